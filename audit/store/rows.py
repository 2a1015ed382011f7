"""The tables of an audit file as records: the history, and the state that it comes to."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from audit.errors import BadAudit
from audit.records import (
    Decision,
    Dimension,
    DrawnCount,
    Finding,
    HandChain,
    KnownSize,
    LaidPiece,
    Link,
    OutsideErrata,
    Part,
    Sheet,
    SheetText,
    Statement,
    View,
)
from audit.store.codec import dump_record, load_record
from audit.store.entries import SetAside, SetFolds, SetPaper
from audit.store.history import LogLine
from audit.store.kinds import LogEntry
from audit.store.state import Given, Head, State

STATE_VERSION = 1  # raised whenever replaying an old history gives another state than before

_KEYED: dict[str, type[Any]] = {
    "sheets": Sheet,
    "views": View,
    "dimensions": Dimension,
    "findings": Finding,
    "lost_dimensions": Dimension,
    "lost_findings": Finding,
    "given": Given,
}
_LISTED: dict[str, type[Any]] = {
    "statements": Statement,
    "texts": SheetText,
    "added_texts": SheetText,
    "found_known": KnownSize,
    "user_known": KnownSize,
    "removed_known": KnownSize,
    "parts": Part,
    "links": Link,
    "decisions": Decision,
    "chains": HandChain,
    "pieces": LaidPiece,
    "drawn_counts": DrawnCount,
    "outside": OutsideErrata,
    "set_asides": SetAside,
    "papers": SetPaper,
    "folds": SetFolds,
}
_ENTRY_COLUMNS = "seq, at, actor, kind, payload, undoes"


@dataclass(frozen=True, slots=True)
class Projection:
    """Which revision the state table shows, and by which rules."""

    revision: int
    version: int


def read_revision(connection: sqlite3.Connection) -> int:
    """Return the number of the last entry; 0 when there is none."""
    (seq,) = connection.execute("SELECT max(seq) FROM entries").fetchone()
    revision: int = _checked(seq or 0, int)
    return revision


def read_lines(connection: sqlite3.Connection) -> Iterator[LogLine]:
    """Yield the history without its payloads."""
    for seq, kind, undoes in connection.execute(
        "SELECT seq, kind, undoes FROM entries ORDER BY seq"
    ):
        yield LogLine(_checked(seq, int), _checked(kind, str), _optional(undoes))


def read_last_run(connection: sqlite3.Connection) -> int:
    """Return the number of the last run's entry; 0 when there was none."""
    (seq,) = connection.execute("SELECT max(seq) FROM entries WHERE kind = 'run'").fetchone()
    run: int = _checked(seq or 0, int)
    return run


def read_entries(
    connection: sqlite3.Connection, *, after: int = 0, until: int | None = None
) -> Iterator[LogEntry]:
    """Yield the history in order, from the entry after `after` on, to `until` at most."""
    sql = f"SELECT {_ENTRY_COLUMNS} FROM entries WHERE seq > ? AND seq <= ? ORDER BY seq"
    last = read_revision(connection) if until is None else until
    for row in connection.execute(sql, (after, last)):
        yield _entry(row)


def read_entry_at(connection: sqlite3.Connection, seq: int) -> LogEntry:
    """Return one entry.

    Parameters
    ----------
    connection : sqlite3.Connection
    seq : int

    Returns
    -------
    LogEntry

    Raises
    ------
    BadAudit
        If there is none of that number.
    """
    row = connection.execute(
        f"SELECT {_ENTRY_COLUMNS} FROM entries WHERE seq = ?", (seq,)
    ).fetchone()
    if row is None:
        raise BadAudit(f"entry {seq} is missing in this audit", advice="use another copy")
    return _entry(row)


def _entry(row: tuple[Any, ...]) -> LogEntry:
    seq, at, actor, kind, payload, undoes = row
    try:
        moment = datetime.fromisoformat(_checked(at, str))
    except ValueError:
        raise BadAudit(
            f"entry {seq} of this audit has no time", advice="use another copy"
        ) from None
    return LogEntry(
        seq=_checked(seq, int),
        at=moment,
        actor=_checked(actor, str),
        kind=_checked(kind, str),
        payload=_checked(payload, str),
        undoes=_optional(undoes),
    )


def _checked(value: Any, kind: type[Any]) -> Any:
    if type(value) is not kind:
        raise BadAudit("a column of this audit holds another type", advice="use another copy")
    return value


def _optional(value: Any) -> int | None:
    number: int | None = None if value is None else _checked(value, int)
    return number


def append_entry(connection: sqlite3.Connection, entry: LogEntry) -> None:
    """Write one entry at the end of the history."""
    connection.execute(
        f"INSERT INTO entries ({_ENTRY_COLUMNS}) VALUES (?, ?, ?, ?, ?, ?)",
        (
            entry.seq,
            entry.at.isoformat(timespec="milliseconds"),
            entry.actor,
            entry.kind,
            entry.payload,
            entry.undoes,
        ),
    )


def read_projection(connection: sqlite3.Connection) -> Projection:
    """Return what the state table shows; revision 0 when it shows nothing."""
    row = connection.execute("SELECT revision, version FROM projection").fetchone()
    if row is None:
        return Projection(0, STATE_VERSION)
    return Projection(_checked(row[0], int), _checked(row[1], int))


def read_state(connection: sqlite3.Connection) -> State:
    """Read the state from its table.

    Parameters
    ----------
    connection : sqlite3.Connection

    Returns
    -------
    State

    Raises
    ------
    BadAudit
        If the table is not what this version writes.
    """
    head: Head | None = None
    keyed: dict[str, dict[int, Any]] = {name: {} for name in _KEYED}
    listed: dict[str, list[Any]] = {name: [] for name in _LISTED}
    for kind, number, text in connection.execute(
        "SELECT kind, number, record FROM state ORDER BY kind, number"
    ):
        _checked(text, str)
        if kind in _KEYED:
            keyed[kind][_checked(number, int)] = load_record(_KEYED[kind], text)
        elif kind in _LISTED:
            listed[kind].append(load_record(_LISTED[kind], text))
        elif kind == "head":
            head = load_record(Head, text)
    if head is None:
        raise BadAudit("the state of this audit is missing", advice="use another copy")
    tables: dict[str, Any] = {**keyed, **{name: tuple(rows) for name, rows in listed.items()}}
    return State(head=head, **tables)


def state_rows(state: State) -> dict[tuple[str, int], Any]:
    """Return the records of a state under the keys of their rows."""
    rows: dict[tuple[str, int], Any] = {("head", 0): state.head}
    for name in _KEYED:
        table: Mapping[int, Any] = getattr(state, name)
        rows.update(((name, number), record) for number, record in table.items())
    for name in _LISTED:
        records: Iterable[Any] = getattr(state, name)
        rows.update(((name, index), record) for index, record in enumerate(records))
    return rows


def state_texts(state: State) -> dict[tuple[str, int], str]:
    """Return the rows of a state as they are written."""
    return {key: dump_record(record) for key, record in state_rows(state).items()}


def write_state(
    connection: sqlite3.Connection, state: State, *, before: State | None, revision: int
) -> None:
    """Bring the state table up to a revision, writing only what changed.

    Parameters
    ----------
    connection : sqlite3.Connection
        Inside a transaction.
    state : State
    before : State | None
        What the table shows now; `None`: unknown, everything is written.
    revision : int
    """
    rows = state_rows(state)
    old = {} if before is None else state_rows(before)
    if before is None:
        connection.execute("DELETE FROM state")
    connection.executemany(
        "DELETE FROM state WHERE kind = ? AND number = ?", old.keys() - rows.keys()
    )
    changed = ((key, record) for key, record in rows.items() if old.get(key) is not record)
    connection.executemany(
        "INSERT INTO state VALUES (?, ?, ?) ON CONFLICT DO UPDATE SET record = excluded.record"
        " WHERE record <> excluded.record",
        ((*key, dump_record(record)) for key, record in changed),
    )
    connection.execute(
        "INSERT INTO projection VALUES (1, ?, ?) ON CONFLICT DO UPDATE"
        " SET revision = excluded.revision, version = excluded.version",
        (revision, STATE_VERSION),
    )
