"""Opening the SQLite file inside an audit, and saying in one line what went wrong.

The journal is `DELETE` mode and every commit is synced, so that all confirmed work lies in the one
file: a side file would be left behind when the audit is mailed. `synchronous` is EXTRA, one step
above FULL: it also syncs the folder after the journal is removed, without which a power cut could
bring the journal back and undo a confirmed change.

References
----------
SQLite documentation, "PRAGMA synchronous", "Defense Against The Dark Arts".
"""

from __future__ import annotations

import os
import sqlite3
import stat
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

from audit.errors import AuditError, BadAudit, BadUsage, CannotWrite, NotReadable, TooLarge
from audit.store.migrations import APPLICATION_ID, MIGRATIONS, expected_schema, schema_of

WAIT_S = 5.0  # for another program to finish its write; a write takes a few ms
MAX_RECORD_BYTES = 256 << 20  # of one row; a run of 30 000 dimensions is about 60 MB
MAX_PATH_BYTES = 500  # SQLite's own limit is 512, and the journal's suffix needs 8 of them
MAX_NAME_BYTES = 240  # file systems allow 255, of which the journal's suffix needs 8
HEADER_BYTES = 100
JOURNAL_MAGIC = bytes.fromhex("d9d505f920a163d7")
_ONE_FILE, _WRITE_AHEAD = b"\x01\x01", b"\x02\x02"  # bytes 18 and 19
MAGIC = b"SQLite format 3\x00"

_LIMITS = (
    (sqlite3.SQLITE_LIMIT_LENGTH, MAX_RECORD_BYTES),
    (sqlite3.SQLITE_LIMIT_SQL_LENGTH, 100_000),
    (sqlite3.SQLITE_LIMIT_ATTACHED, 0),
    (sqlite3.SQLITE_LIMIT_COLUMN, 64),
    (sqlite3.SQLITE_LIMIT_EXPR_DEPTH, 32),
    (sqlite3.SQLITE_LIMIT_TRIGGER_DEPTH, 1),
    (sqlite3.SQLITE_LIMIT_VARIABLE_NUMBER, 64),
)
_SAFEGUARDS = (  # Python 3.12 and newer can set these
    ("SQLITE_DBCONFIG_DEFENSIVE", True),
    ("SQLITE_DBCONFIG_TRUSTED_SCHEMA", False),
    ("SQLITE_DBCONFIG_ENABLE_TRIGGER", False),
    ("SQLITE_DBCONFIG_ENABLE_VIEW", False),
    ("SQLITE_DBCONFIG_DQS_DML", False),
    ("SQLITE_DBCONFIG_DQS_DDL", False),
)


def connect(path: Path, *, read_only: bool, wait_s: float = WAIT_S) -> sqlite3.Connection:
    """Open an audit file after looking at its header, and check that its tables are ours.

    `wait_s` is how long to wait for another program's write, seconds. The connection is in
    autocommit mode and may be used from any thread, one at a time. `NotReadable` when there is no
    such file, or it may not be read; `BadAudit` when it is no audit file, is damaged, or comes from
    a newer version; `CannotWrite` when it is to be written and may not be, or another program
    holds it.
    """
    path = usable_path(path)
    check_header(path, read_only=read_only)
    _check_journal(path)
    if not read_only:
        _check_writable(path)
    with clear_errors(path):
        connection = _connect_raw(path, read_only=read_only, wait_s=wait_s)
        with ExitStack() as undo:
            undo.callback(connection.close)
            check_tables(connection, path)
            if not read_only:
                _set_journal(connection)
            undo.pop_all()
    return connection


def _connect_raw(path: Path, *, read_only: bool, wait_s: float) -> sqlite3.Connection:
    connection = sqlite3.connect(
        f"{path.as_uri()}?mode={'ro' if read_only else 'rw'}",
        uri=True,
        timeout=wait_s,
        isolation_level=None,
        check_same_thread=False,
    )
    harden(connection)
    return connection


def harden(connection: sqlite3.Connection) -> None:
    """Switch off what an audit never needs and a hostile file could use."""
    for limit, value in _LIMITS:
        connection.setlimit(limit, value)
    for name, value in _SAFEGUARDS:
        if hasattr(sqlite3, name) and hasattr(connection, "setconfig"):
            connection.setconfig(getattr(sqlite3, name), value)
    connection.execute("PRAGMA trusted_schema = OFF")
    connection.execute("PRAGMA cell_size_check = ON")
    connection.execute("PRAGMA mmap_size = 0")
    connection.execute("PRAGMA temp_store = MEMORY")


def _set_journal(connection: sqlite3.Connection) -> None:
    connection.execute("PRAGMA journal_mode = DELETE").fetchone()
    connection.execute("PRAGMA synchronous = EXTRA")
    connection.execute("PRAGMA fullfsync = ON")  # macOS: flush the drive as well


def usable_path(path: Path) -> Path:
    """Return the path in full.

    Parameters
    ----------
    path : Path

    Returns
    -------
    Path

    Raises
    ------
    BadUsage
        If it is too long for SQLite and its journal, or no path at all.
    """
    try:
        full = path.absolute()
        whole, name = len(os.fsencode(full)), len(os.fsencode(full.name))
        real = len(os.fsencode(full.resolve()))
    except (ValueError, RuntimeError, OSError) as error:
        raise BadUsage(f"cannot use the path {path}", advice="choose another one") from error
    if max(whole, real) > MAX_PATH_BYTES or name > MAX_NAME_BYTES:
        raise BadUsage(
            f"the path of the audit is too long ({name} bytes for the name, {whole} in all)",
            advice=f"at most {MAX_NAME_BYTES} for the name and {MAX_PATH_BYTES} in all",
        )
    return full


def check_header(path: Path, *, read_only: bool) -> None:
    """Look at a file's first bytes before SQLite does; `NotReadable` or `BadAudit` if they fail."""
    header = _read_header(path)
    no_audit = BadAudit(
        f"{path.name} is not an audit file", advice="give the .audit file that plan-audit made"
    )
    if len(header) < HEADER_BYTES or not header.startswith(MAGIC):
        raise no_audit
    if int.from_bytes(header[68:72], "big") != APPLICATION_ID:
        raise no_audit
    if header[18:20] not in (_ONE_FILE, _WRITE_AHEAD):
        raise _damaged(path)
    if header[18:20] == _WRITE_AHEAD and read_only:
        raise BadAudit(
            f"another program changed {path.name} so that it keeps its changes beside itself",
            advice="open it once where you may write, that mends it",
        )
    if int.from_bytes(header[60:64], "big") > len(MIGRATIONS):
        raise BadAudit(f"{path.name} comes from a newer version", advice="update plan-audit")


def _read_header(path: Path) -> bytes:
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            raise NotReadable(f"{path.name} is no file", advice="give an .audit file")
        with path.open("rb") as file:
            return file.read(HEADER_BYTES)
    except FileNotFoundError:
        raise NotReadable(f"there is no file {path}", advice="check the name") from None
    except OSError as error:
        reason = error.strerror or "unknown reason"
        raise NotReadable(
            f"cannot read {path}: {reason}", advice="check the path and your rights"
        ) from None


def has_side_journal(path: Path) -> bool:
    """Tell whether a program that was writing the file left its journal (it was killed)."""
    return _journal_of(path).exists()


def _journal_of(path: Path) -> Path:
    real = path.resolve()
    return real.with_name(f"{real.name}-journal")


def _check_journal(path: Path) -> None:
    """Refuse a journal that names other files: SQLite would look for them, and delete them.

    Ours never does (that needs several attached files). The name, if any, stands at the end,
    before the eight bytes of a mark.

    References
    ----------
    SQLite documentation, "Atomic Commit In SQLite", multi-file commit; the layout is from memory.
    """
    try:
        with _journal_of(path).open("rb") as file:
            file.seek(0, os.SEEK_END)
            file.seek(max(0, file.tell() - len(JOURNAL_MAGIC)))
            if file.read() != JOURNAL_MAGIC:
                return
    except OSError:
        return
    raise BadAudit(
        f"the journal beside {path.name} names other files", advice="ask for an untouched copy"
    )


def _check_writable(path: Path) -> None:
    if not os.access(path, os.W_OK):
        raise read_only_error(path)
    if not os.access(path.resolve().parent, os.W_OK):
        raise read_only_error(path, what="its folder")


def read_only_error(path: Path, *, what: str = "the file") -> CannotWrite:
    """Return the error for an audit that may be read but not changed."""
    return CannotWrite(
        f"cannot change {path.name}: {what} is read-only",
        advice="copy the audit to a folder where you may write",
    )


def check_tables(connection: sqlite3.Connection, path: Path) -> None:
    """Check that a file holds exactly our tables: no view, trigger or stranger's table.

    Parameters
    ----------
    connection : sqlite3.Connection
    path : Path
        For the message.

    Raises
    ------
    BadAudit
        If it does not.
    """
    (steps,) = connection.execute("PRAGMA user_version").fetchone()
    if not 1 <= steps <= len(MIGRATIONS) or schema_of(connection) != expected_schema(steps):
        raise BadAudit(
            f"{path.name} does not have the tables of an audit file",
            advice="it was altered by another program; use an untouched copy",
        )
    names = [name for (name,) in connection.execute("SELECT name FROM migrations ORDER BY name")]
    if names != [m.name for m in MIGRATIONS[:steps]]:
        raise BadAudit(
            f"{path.name} comes from another line of versions", advice="update plan-audit"
        )


def _damaged(path: Path) -> BadAudit:
    return BadAudit(f"{path.name} is damaged", advice="use another copy of the audit")


@contextmanager
def clear_errors(path: Path) -> Iterator[None]:
    """Turn every `sqlite3.Error` raised inside into one of ours, which names the audit."""
    try:
        yield
    except (sqlite3.Error, UnicodeDecodeError, MemoryError) as error:
        # SQLite's own message may quote bytes of a broken file that are no text.
        raise _told(error, path) from error


def _told(error: Exception, path: Path) -> AuditError:
    code = getattr(error, "sqlite_errorcode", None)
    primary = None if code is None else code & 0xFF
    if code == sqlite3.SQLITE_READONLY_ROLLBACK:
        return CannotWrite(
            f"a program was stopped while it changed {path.name}",
            advice="open the audit once where you may write, that mends it",
        )
    if primary in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return CannotWrite(
            f"{path.name} is in use by another program", advice="try again when it has finished"
        )
    if primary in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM, sqlite3.SQLITE_CANTOPEN):
        return read_only_error(path, what="the file or its folder")
    if primary == sqlite3.SQLITE_FULL:
        return CannotWrite(
            f"cannot write {path.name}: the disk is full", advice="make room and repeat"
        )
    if primary == sqlite3.SQLITE_IOERR:
        return CannotWrite(
            f"cannot read or write {path.name}: the disk is full, failing, or was taken away",
            advice="nothing was changed; make room, or copy the audit to another disk",
        )
    too_big = primary in (sqlite3.SQLITE_TOOBIG, sqlite3.SQLITE_NOMEM)
    if too_big or isinstance(error, MemoryError):
        return TooLarge(
            f"a record in {path.name} is too large", advice="check fewer sheets at once"
        )
    if primary is None and "decode" not in str(error):  # a closed connection and the like
        return AuditError(f"{path.name}: {error}", advice="report this with the file")
    return _damaged(path)
