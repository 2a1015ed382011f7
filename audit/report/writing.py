"""Write a report file whole or not at all."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from audit.errors import CannotWrite


def write_whole(path: Path, text: str) -> None:
    """Write text as UTF-8, replacing the file only when everything is on the disk.

    Parameters
    ----------
    path : Path
    text : str
        Line breaks are written as they are.

    Raises
    ------
    CannotWrite
        If the folder is missing or read-only, or the disk is full.
    """
    write_bytes_whole(path, text.encode())


def write_bytes_whole(path: Path, data: bytes) -> None:
    """Write bytes, replacing the file only when everything is on the disk.

    Raises
    ------
    CannotWrite
        If the folder is missing or read-only, or the disk is full.
    """
    made = path.with_name(f".{path.name[:80]}.{secrets.token_hex(6)}.part")
    try:
        with made.open("wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        made.replace(path)
    except OSError as error:
        problem = f"{path.name} cannot be written ({error.strerror or error})"
        advice = "choose another folder, or free some space"
        raise CannotWrite(problem, advice=advice) from error
    finally:
        made.unlink(missing_ok=True)
