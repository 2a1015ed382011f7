"""The bytes of the plan files inside the audit, cut into chunks and known by their SHA-256."""

from __future__ import annotations

import hashlib
import io
import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from audit.errors import BadAudit, BadUsage, CannotWrite, NotReadable, TooLarge

CHUNK_BYTES = 1 << 20  # a scan of 200 MB is 200 rows; one chunk in memory at a time
MAX_NAME_CHARS = 255
MAX_SOURCE_BYTES = 2 << 30  # larger than any single plan file we know; the disk is finite


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A plan file whose bytes are in the audit."""

    digest: str
    name: str
    size: int


def check_label(name: str) -> None:
    """Check that a text can be the name of a plan file.

    Parameters
    ----------
    name : str

    Raises
    ------
    BadUsage
        If it is empty, too long, or a path.
    """
    if not is_label(name):
        raise BadUsage("a plan file needs a plain name", advice="give its name without folders")


def is_label(name: str) -> bool:
    """Tell whether a text can be the name of a plan file: short, and no path."""
    apart = not {"/", "\0"} & set(name) and name not in {".", ".."}
    return apart and 0 < len(name) <= MAX_NAME_CHARS


def open_bytes(source: Path | bytes) -> BinaryIO:
    """Open a plan file for reading, wherever its bytes are.

    Parameters
    ----------
    source : Path | bytes

    Returns
    -------
    BinaryIO

    Raises
    ------
    NotReadable
        If the file cannot be read, or is no plain file.
    """
    if isinstance(source, bytes):
        return io.BytesIO(source)
    try:
        if not source.is_file():
            problem = "no such file" if not source.exists() else "not a file"
            raise NotReadable(f"cannot read {source}: {problem}", advice="check the name")
        return source.open("rb")
    except OSError as error:
        raise NotReadable(
            f"cannot read {source}: {error.strerror}", advice="check the path and your rights"
        ) from error


def measure(file: BinaryIO, name: str) -> Source:
    """Read a file through once for its digest and size.

    Parameters
    ----------
    file : BinaryIO
    name : str
        File name without folder.

    Returns
    -------
    Source

    Raises
    ------
    TooLarge
        If it is larger than an audit takes in.
    """
    digest, size = hashlib.sha256(), 0
    for piece in _pieces(file, name):
        digest.update(piece)
        size += len(piece)
        if size > MAX_SOURCE_BYTES:
            raise TooLarge(f"{name} is over {MAX_SOURCE_BYTES >> 30} GB", advice="split the plan")
    return Source(digest=digest.hexdigest(), name=name, size=size)


def _pieces(file: BinaryIO, name: str) -> Iterator[bytes]:
    try:
        file.seek(0)
        while piece := file.read(CHUNK_BYTES):
            yield piece
    except OSError as error:
        raise NotReadable(
            f"cannot read {name}: {error.strerror}", advice="copy it first"
        ) from error


def find_source(connection: sqlite3.Connection, digest: str) -> Source | None:
    """Return what the audit holds under a digest; `None` when it holds nothing."""
    row = connection.execute(
        "SELECT digest, name, size FROM sources WHERE digest = ?", (digest,)
    ).fetchone()
    return None if row is None else Source(digest=row[0], name=row[1], size=row[2])


def list_sources(connection: sqlite3.Connection) -> tuple[Source, ...]:
    """Return all sources, oldest first."""
    rows = connection.execute("SELECT digest, name, size FROM sources ORDER BY id")
    return tuple(Source(digest=d, name=n, size=s) for d, n, s in rows)


def write_source(connection: sqlite3.Connection, source: Source, file: BinaryIO) -> None:
    """Write a source's bytes inside the transaction that is open.

    Parameters
    ----------
    connection : sqlite3.Connection
    source : Source
        As `measure` found it.
    file : BinaryIO

    Raises
    ------
    NotReadable
        If the file changed since it was measured.
    """
    (number,) = connection.execute("SELECT coalesce(max(id), 0) + 1 FROM sources").fetchone()
    connection.execute(
        "INSERT INTO sources VALUES (?, ?, ?, ?)", (number, source.digest, source.name, source.size)
    )
    digest = hashlib.sha256()
    for index, piece in enumerate(_pieces(file, source.name)):
        digest.update(piece)
        connection.execute("INSERT INTO chunks VALUES (?, ?, ?)", (number, index, piece))
    if digest.hexdigest() != source.digest:
        raise NotReadable(
            f"{source.name} changed while it was being read", advice="try again when it is complete"
        )


def read_chunks(connection: sqlite3.Connection, digest: str) -> Iterator[bytes]:
    """Yield a source's bytes, one chunk at a time, and check them at the end.

    Parameters
    ----------
    connection : sqlite3.Connection
    digest : str

    Yields
    ------
    bytes

    Raises
    ------
    BadAudit
        If the audit has no such source, or its bytes are not what was taken in.
    """
    row = connection.execute("SELECT id, name FROM sources WHERE digest = ?", (digest,)).fetchone()
    if row is None:
        raise BadAudit(
            f"this audit does not hold a source {digest[:12]}", advice="add the plan file again"
        )
    number, name = row
    seen, index = hashlib.sha256(), 0
    while chunk := connection.execute(
        "SELECT bytes FROM chunks WHERE source = ? AND number = ?", (number, index)
    ).fetchone():
        piece = chunk[0]
        if not isinstance(piece, bytes):
            break
        seen.update(piece)
        yield piece
        index += 1
    if seen.hexdigest() != digest:
        raise BadAudit(f"the copy of {name} in this audit is damaged", advice="add the plan again")


def save_chunks(chunks: Iterator[bytes], target: BinaryIO, name: str) -> None:
    """Write chunks to an open file.

    Parameters
    ----------
    chunks : Iterator[bytes]
    target : BinaryIO
    name : str
        For the message.

    Raises
    ------
    CannotWrite
        If the disk is full or the file cannot be written.
    """
    for piece in chunks:
        try:
            target.write(piece)
        except OSError as error:
            raise CannotWrite(
                f"cannot write {name}: {error.strerror}", advice="make room and repeat"
            ) from error
