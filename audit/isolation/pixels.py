"""Gray pixels on their way from the worker to its parent: written to a file the parent maps."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from audit.errors import CannotWrite

ADVICE_SPACE = "free some space, or set PLAN_AUDIT_CACHE to a folder on another disk"


def write_pixels(target: Path, bands: Iterable[bytes | memoryview]) -> None:
    """Write bands of pixels one after the other.

    Parameters
    ----------
    target : Path
    bands : iterable of bytes
        Their own errors pass through.

    Raises
    ------
    CannotWrite
        If the disk is full or the folder cannot be written.
    """
    try:
        stream = target.open("wb", buffering=0)  # bands are large: nothing is left for closing
    except OSError as error:
        raise _full(error) from error
    with stream:
        for band in bands:
            rest = memoryview(band)
            while rest:
                try:
                    rest = rest[stream.write(rest) :]
                except OSError as error:
                    raise _full(error) from error


def _full(error: OSError) -> CannotWrite:
    reason = error.strerror or str(error)
    return CannotWrite(f"pixels cannot be written to the cache ({reason})", advice=ADVICE_SPACE)
