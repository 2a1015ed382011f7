"""Reading an audit file: the audit as it is, its history, the plan files inside."""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import Self

from audit.records import Audit
from audit.store import sources
from audit.store.atomic import appearing_file
from audit.store.connection import (
    clear_errors,
)
from audit.store.entries import UserEntry
from audit.store.history import (
    UndoStacks,
    read_entry,
    replay,
    stacks_of,
)
from audit.store.kinds import LogEntry, RunInfo
from audit.store.rows import (
    STATE_VERSION,
    read_entries,
    read_entry_at,
    read_last_run,
    read_lines,
    read_projection,
    read_revision,
    read_state,
)
from audit.store.state import State, audit_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Snapshot:
    """An audit at one revision.

    Attributes
    ----------
    revision : int
    audit : Audit
    judgement_due : bool
        A person changed something that the verdicts do not know of yet.
    next_number, next_view : int
        The numbers that an added dimension and an added view will get.
    can_undo, can_redo : bool
    runs : tuple of RunInfo
    """

    revision: int
    audit: Audit
    judgement_due: bool
    next_number: int
    next_view: int
    can_undo: bool
    can_redo: bool
    runs: tuple[RunInfo, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryInfo:
    """One line of the history for people.

    `entry` is `None` for runs and judgements, whose contents are large; `counts` is false for a
    user entry that was undone; `undoes` names the entry that an ``undo`` or ``redo`` takes back.
    """

    seq: int
    at: datetime
    actor: str
    kind: str
    counts: bool
    entry: UserEntry | None = None
    undoes: int | None = None


@dataclass(frozen=True, slots=True)
class KnownState:
    """What this program last saw of the file; `stored`: the state table shows just that."""

    revision: int
    state: State
    stored: bool


@dataclass(frozen=True, slots=True)
class Checkpoint:
    """The state right after the last run, and which entries before it did not count.

    Undoing what was done since then starts here: runs are long, and stay as they are.
    """

    run: int
    off: frozenset[int]
    state: State


class AuditReader:
    """The reading half of `AuditFile`."""

    def __init__(
        self,
        connection: sqlite3.Connection,
        path: Path,
        *,
        read_only: bool,
        rebuild: bool,
        clock: Callable[[], datetime],
    ) -> None:
        self.path = path
        self.read_only = read_only
        self._connection = connection
        self._rebuild = rebuild
        self._clock = clock
        self._lock = threading.RLock()
        self._known: KnownState | None = None
        self._checkpoint: Checkpoint | None = None
        self._pending: KnownState | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file; closing twice does no harm."""
        with self._lock:
            self._connection.close()

    @property
    def revision(self) -> int:
        """Number of the last entry in the file, other programs' included."""
        with self._lock, clear_errors(self.path):
            return read_revision(self._connection)

    def load(self) -> Audit:
        """Return the audit as it is now."""
        return self.snapshot().audit

    def snapshot(self) -> Snapshot:
        """Return the audit as it is now, with its revision and what can be undone."""
        with self._lock, self._reading():
            known = self._sync()
            stacks = self._stacks()
        head = known.state.head
        return Snapshot(
            revision=known.revision,
            audit=audit_of(known.state),
            judgement_due=head.due,
            next_number=head.next_number,
            next_view=head.next_view,
            can_undo=bool(stacks.done),
            can_redo=bool(stacks.undone),
            runs=head.runs,
        )

    def history(self) -> tuple[EntryInfo, ...]:
        """Return all entries, oldest first."""
        with self._lock, self._reading():
            off = self._stacks().off
            return tuple(_info(entry, off) for entry in read_entries(self._connection))

    def replayed(self) -> Audit:
        """Return the audit as its history alone gives it, whatever the state table shows."""
        with self._lock, self._reading():
            return audit_of(self._replay(self._stacks().off))

    def list_sources(self) -> tuple[sources.Source, ...]:
        """Return the plan files inside, oldest first."""
        with self._lock, clear_errors(self.path):
            return sources.list_sources(self._connection)

    def read_source(self, digest: str, to: Path) -> Path:
        """Write a plan file's bytes to a file, which appears whole or not at all.

        Parameters
        ----------
        digest : str
        to : Path
            Replaced if it exists.

        Returns
        -------
        Path
            `to`.
        """
        with appearing_file(to, replace=True) as target:
            sources.save_chunks(self.iterate_source(digest), target, to.name)
        return to

    def iterate_source(self, digest: str) -> Iterator[bytes]:
        """Yield a plan file's bytes in chunks of at most 1 MiB, checked against the digest."""
        with clear_errors(self.path):
            yield from sources.read_chunks(self._connection, digest)

    # Inside

    def _replay(self, off: frozenset[int], *, then: LogEntry | None = None) -> State:
        """Replay the history, `then` after it, from the last run on where that is still right."""
        run = read_last_run(self._connection)
        before = frozenset(seq for seq in off if seq < run)
        kept = self._checkpoint
        if run and (kept is None or (kept.run, kept.off) != (run, before)):
            state = self._follow(read_entries(self._connection, until=run), off)
            kept = self._checkpoint = Checkpoint(run, before, state)
        rest = read_entries(self._connection, after=run)
        start = kept.state if run and kept is not None else None
        return self._follow(rest if then is None else (*rest, then), off, start=start)

    def _follow(
        self, log: Iterable[LogEntry], off: frozenset[int], *, start: State | None = None
    ) -> State:
        def entry_at(seq: int) -> LogEntry:
            return read_entry_at(self._connection, seq)

        return replay(log, off=off, entry_at=entry_at, start=start)

    def _stacks(self) -> UndoStacks:
        return stacks_of(read_lines(self._connection))

    def _sync(self) -> KnownState:
        """Bring what this program knows up to the file; inside a transaction."""
        revision = read_revision(self._connection)
        if self._known is None or self._known.revision != revision:
            shown = read_projection(self._connection)
            if not self._rebuild and (shown.revision, shown.version) == (revision, STATE_VERSION):
                self._known = KnownState(revision, read_state(self._connection), stored=True)
            else:
                state = self._replay(self._stacks().off)
                self._known = KnownState(revision, state, stored=False)
        return self._known

    @contextmanager
    def _reading(self) -> Iterator[None]:
        """Hold one consistent view of the file."""
        with clear_errors(self.path):
            self._connection.execute("BEGIN")
            try:
                yield
            finally:
                if self._connection.in_transaction:
                    self._connection.execute("ROLLBACK")


def _info(entry: LogEntry, off: frozenset[int]) -> EntryInfo:
    return EntryInfo(
        seq=entry.seq,
        at=entry.at,
        actor=entry.actor,
        kind=entry.kind,
        counts=entry.seq not in off,
        entry=read_entry(entry) if entry.by_user else None,  # type: ignore[arg-type]
        undoes=entry.undoes,
    )
