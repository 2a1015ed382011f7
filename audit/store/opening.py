"""Making and opening audit files."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import ExitStack
from datetime import UTC, datetime
from pathlib import Path

from audit.errors import BadUsage
from audit.records import Settings
from audit.store.atomic import appearing_file
from audit.store.connection import (
    WAIT_S,
    clear_errors,
    connect,
    harden,
    usable_path,
)
from audit.store.file import USER, AuditFile
from audit.store.history import (
    created_state,
    log_entry,
)
from audit.store.kinds import Created
from audit.store.migrations import APPLICATION_ID, apply_migrations
from audit.store.rows import (
    append_entry,
    write_state,
)


def _utc_now() -> datetime:
    return datetime.now(UTC)


def create_audit(
    path: Path,
    *,
    name: str,
    settings: Settings | None = None,
    actor: str = USER,
    wait_s: float = WAIT_S,
    clock: Callable[[], datetime] = _utc_now,
) -> AuditFile:
    """Make a new audit file; it appears at `path` whole, or not at all.

    Parameters
    ----------
    path : Path
        Must not exist.
    name : str
    settings : Settings | None
    actor : str
    wait_s : float
        As in `open_audit`.
    clock : Callable[[], datetime]
        Tells the time, UTC.

    Returns
    -------
    AuditFile
        Open for writing, at revision 1.

    Raises
    ------
    BadUsage
        If the file exists already, or its path or name cannot be used.
    """
    path = usable_path(path)
    if not name.strip():
        raise BadUsage("an audit needs a name", advice="give one")
    created = Created(name=name, settings=settings or Settings())
    content = _first_content(created, actor=actor, at=clock())
    with appearing_file(path, replace=False) as file:
        file.write(content)
    return open_audit(path, wait_s=wait_s, clock=clock)


def _first_content(created: Created, *, actor: str, at: datetime) -> bytes:
    connection = sqlite3.connect(":memory:", isolation_level=None)
    try:
        harden(connection)
        connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        apply_migrations(connection, at=at.isoformat())
        connection.execute("BEGIN")
        append_entry(connection, log_entry(created, seq=1, at=at, actor=actor))
        write_state(connection, created_state(created), before=None, revision=1)
        connection.execute("COMMIT")
        return connection.serialize()
    finally:
        connection.close()


def open_audit(
    path: Path,
    *,
    read_only: bool = False,
    rebuild: bool = False,
    wait_s: float = WAIT_S,
    clock: Callable[[], datetime] = _utc_now,
) -> AuditFile:
    """Open an audit file; tables of an older version are brought up to date.

    Parameters
    ----------
    path : Path
    read_only : bool
        Never write, not even to bring the tables up to date.
    rebuild : bool
        Work the state out from the history, whatever the state table shows.
    wait_s : float
        How long to wait while another program writes, seconds.
    clock : Callable[[], datetime]
        Tells the time, UTC.

    Returns
    -------
    AuditFile
        Use it as a context manager, or close it.
    """
    path = usable_path(path)
    with ExitStack() as undo:
        connection = connect(path, read_only=read_only, wait_s=wait_s)
        undo.callback(connection.close)
        if not read_only:
            with clear_errors(path):
                apply_migrations(connection, at=clock().isoformat())
        undo.pop_all()
    return AuditFile(connection, path, read_only=read_only, rebuild=rebuild, clock=clock)
