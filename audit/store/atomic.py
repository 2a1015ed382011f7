"""Files that appear at their place whole, or not at all."""

from __future__ import annotations

import contextlib
import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from audit.errors import BadUsage, CannotWrite


@contextmanager
def appearing_file(target: Path, *, replace: bool) -> Iterator[BinaryIO]:
    """Write a file beside its place, sync it, and move it there when all went well.

    A file that is there already is replaced if `replace` says so; otherwise that is `BadUsage`.
    `CannotWrite` when the folder is missing, read-only, or full; then nothing is left behind.
    """
    hidden = target.with_name(f".{secrets.token_hex(8)}.part")
    try:
        descriptor = os.open(hidden, os.O_WRONLY | os.O_CREAT | os.O_EXCL | _BINARY, 0o666)
        with os.fdopen(descriptor, "wb") as file:
            yield file
            file.flush()
            os.fsync(file.fileno())
        _put(hidden, target, replace=replace)
        _sync_folder(target.parent)
    except OSError as error:
        raise _told(error, target) from error
    finally:
        with contextlib.suppress(OSError):
            hidden.unlink()


_BINARY = getattr(os, "O_BINARY", 0)


def _put(hidden: Path, target: Path, *, replace: bool) -> None:
    if replace:
        hidden.replace(target)
        return
    try:
        os.link(hidden, target)
    except FileExistsError:
        raise
    except OSError:  # no hard links here (FAT, some network drives)
        if target.exists():
            raise FileExistsError(str(target)) from None
        hidden.rename(target)


def _sync_folder(folder: Path) -> None:
    with contextlib.suppress(OSError):  # not possible on Windows
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)


def _told(error: OSError, target: Path) -> CannotWrite | BadUsage:
    if isinstance(error, FileExistsError):
        return BadUsage(f"{target} exists already", advice="open it, or choose another name")
    reason = error.strerror or "unknown reason"
    return CannotWrite(
        f"cannot write {target}: {reason}", advice="choose a folder that exists, with room"
    )
