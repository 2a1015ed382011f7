"""Looking through an audit file from somebody else before trusting it.

Meant to run in a worker process whose memory and time are limited. Opening any audit file already
refuses foreign tables, views and triggers; here every page, row and record is looked at as well.

References
----------
SQLite documentation, "Defense Against The Dark Arts", "Untrusted SQLite Database Files".
"""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from audit.errors import BadAudit, TooLarge
from audit.records import Audit
from audit.store.connection import (
    clear_errors,
    connect,
    harden,
    has_side_journal,
    usable_path,
)
from audit.store.history import replay, stacks_of
from audit.store.kinds import LogEntry
from audit.store.rows import (
    STATE_VERSION,
    read_entries,
    read_entry_at,
    read_lines,
    read_projection,
    read_revision,
    read_state,
    state_texts,
)
from audit.store.sources import CHUNK_BYTES, MAX_SOURCE_BYTES, is_label
from audit.store.state import State, audit_of

MAX_ENTRIES = 1_000_000
MAX_PAYLOAD_BYTES = 1 << 30  # of all entries together
MAX_SOURCES = 10_000
MAX_SIDE = 1e7  # of a sheet, in its frame: 3.5 km of PDF page
REACH = 100.0  # sheet sizes: no size is drawn further off its sheet
DEADLINE_S = 120.0
_STEPS = 100_000  # virtual machine steps between two looks at the clock


@dataclass(frozen=True, slots=True, kw_only=True)
class StrangerReport:
    """What a file that passed holds.

    `state_matches` is false when the state table does not show what the history comes to (another
    version wrote it, or somebody altered it): open the file with ``rebuild=True`` then.
    """

    name: str
    revision: int
    sources: int
    source_bytes: int
    state_matches: bool


def inspect_stranger(path: Path, *, deadline_s: float = DEADLINE_S) -> StrangerReport:
    """Look through an audit file of unknown origin.

    Parameters
    ----------
    path : Path
    deadline_s : float
        Seconds after which the file counts as too large.

    Returns
    -------
    StrangerReport

    Notes
    -----
    `BadAudit` when anything is not as plan-audit writes it, `TooLarge` over a limit, `NotReadable`
    when there is no such file. Nothing in the file is changed, unless a program that was writing it
    was killed: then its unfinished change is rolled back.
    """
    path = usable_path(path)
    connection = connect(path, read_only=not has_side_journal(path))
    try:
        with clear_errors(path), _limited(connection, path, deadline_s):
            connection.execute("BEGIN")
            return _look_through(connection, path)
    finally:
        connection.close()


@contextmanager
def _limited(connection: sqlite3.Connection, path: Path, seconds: float) -> Iterator[None]:
    end = time.monotonic() + seconds
    harden(connection)
    connection.set_progress_handler(lambda: time.monotonic() > end, _STEPS)
    try:
        yield
    except sqlite3.OperationalError as error:
        # Text that is no UTF-8 raises the same class without a code.
        if getattr(error, "sqlite_errorcode", None) != sqlite3.SQLITE_INTERRUPT:
            raise
        raise TooLarge(
            f"{path.name} takes too long to look through", advice="ask for a smaller audit"
        ) from error
    finally:
        connection.set_progress_handler(None, 0)


def _look_through(connection: sqlite3.Connection, path: Path) -> StrangerReport:
    (verdict,) = connection.execute("PRAGMA quick_check(1)").fetchone()
    _require(verdict == "ok", path, "is damaged")
    _check_entries(connection, path)
    count, size = _check_sources(connection, path)
    state = _replay(connection)
    audit = audit_of(state)
    _check_references(audit, path)
    _check_places(audit, path)
    return StrangerReport(
        name=state.head.name,
        revision=read_revision(connection),
        sources=count,
        source_bytes=size,
        state_matches=_state_matches(connection, state),
    )


def _require(holds: bool, path: Path, problem: str) -> None:
    if not holds:
        raise BadAudit(f"{path.name} {problem}", advice="ask for an untouched copy")


def _check_entries(connection: sqlite3.Connection, path: Path) -> None:
    count, first, last, size = connection.execute(
        "SELECT count(*), min(seq), max(seq), sum(length(payload) + length(actor)) FROM entries"
    ).fetchone()
    _require(count > 0 and (first, last) == (1, count), path, "has gaps in its history")
    if count > MAX_ENTRIES or size > MAX_PAYLOAD_BYTES:
        raise TooLarge(f"{path.name} has too long a history", advice="start a new audit")


def _check_sources(connection: sqlite3.Connection, path: Path) -> tuple[int, int]:
    rows = connection.execute(
        "SELECT s.digest, s.name, s.size, count(c.number), coalesce(max(c.number), -1),"
        " coalesce(sum(length(c.bytes)), 0), coalesce(max(length(c.bytes)), 0),"
        " coalesce(min(c.number IS NULL OR typeof(c.bytes) = 'blob'), 1)"
        " FROM sources s LEFT JOIN chunks c ON c.source = s.id GROUP BY s.id"
    ).fetchmany(MAX_SOURCES + 1)
    if len(rows) > MAX_SOURCES:
        raise TooLarge(f"{path.name} holds too many plan files", advice="start a new audit")
    for digest, name, size, count, last, total, largest, blobs in rows:
        numbers = all(isinstance(n, int) for n in (size, last))
        plain = isinstance(name, str) and numbers and blobs == 1
        _require(plain and is_label(name), path, "holds a plan file with an impossible name")
        known = (
            isinstance(digest, str) and len(digest) == 64 and set(digest) <= set("0123456789abcdef")
        )
        _require(known, path, "holds a plan file without a digest")
        whole = (count, total) == (last + 1, size) and largest <= CHUNK_BYTES
        _require(whole and size <= MAX_SOURCE_BYTES, path, f"holds only part of {name}")
    return len(rows), sum(row[2] for row in rows)


def _replay(connection: sqlite3.Connection) -> State:
    def entry_at(seq: int) -> LogEntry:
        return read_entry_at(connection, seq)

    off = stacks_of(read_lines(connection)).off
    return replay(read_entries(connection), off=off, entry_at=entry_at)


def _state_matches(connection: sqlite3.Connection, state: State) -> bool:
    shown = read_projection(connection)
    if (shown.revision, shown.version) != (read_revision(connection), STATE_VERSION):
        return False
    try:
        return state_texts(read_state(connection)) == state_texts(state)
    except BadAudit:
        return False


def _check_references(audit: Audit, path: Path) -> None:
    sheets = {s.id for s in audit.sheets}
    views = {v.id: v.sheet for v in audit.views}
    dimensions = {d.id for d in audit.dimensions}
    findings = {f.id for f in audit.findings}
    used = {v.sheet for v in audit.views} | {d.sheet for d in audit.dimensions}
    used |= {s.sheet for s in audit.statements} | {t.sheet for t in audit.texts}
    used |= {p.sheet for p in audit.pieces} | {c.sheet for c in audit.drawn_counts}
    fits = (
        used <= sheets
        and all(d.view == 0 or views.get(d.view) == d.sheet for d in audit.dimensions)
        and all(set(f.dimensions) <= dimensions for f in audit.findings)
        and all(p.sheet in sheets for f in audit.findings for p in f.places)
        and not dimensions & findings
    )
    _require(fits, path, "speaks of sheets, views or dimensions that it does not have")


def _check_places(audit: Audit, path: Path) -> None:
    """Sizes lie on or about their sheets: what is worked out from them must stay a number."""
    reach = {}
    for sheet in audit.sheets:
        whole = 0 < sheet.width <= MAX_SIDE and 0 < sheet.height <= MAX_SIDE
        _require(whole, path, "holds a sheet without a usable size")
        reach[sheet.id] = REACH * max(sheet.width, sheet.height)
    places = [(d.sheet, end.point) for d in audit.dimensions for end in (*d.ends, *d.found_ends)]
    places += [(d.sheet, point) for d in audit.dimensions for point in d.line]
    places += [(k.sheet, point) for k in audit.known_sizes for point in (k.a, k.b)]
    places += [(s.id, p) for s in audit.sheets for f in s.folds for p in (f.a, f.b)]
    near = all(max(abs(p.x), abs(p.y)) <= reach.get(sheet, 0.0) for sheet, p in places)
    _require(near, path, "speaks of places far off its sheets")
