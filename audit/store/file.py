"""The audit file: one SQLite file that holds everything a job consists of."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from audit.errors import BadUsage, StaleRevision
from audit.records import Audit
from audit.store import sources
from audit.store.admission import admit
from audit.store.connection import (
    clear_errors,
    read_only_error,
)
from audit.store.entries import UserEntry
from audit.store.history import (
    apply_entry,
    log_entry,
)
from audit.store.judging import judgement_of
from audit.store.kinds import Entry, Ran, Redone, RunInfo, SourceAdded, Undone
from audit.store.reader import AuditReader, Checkpoint, KnownState
from audit.store.rows import (
    append_entry,
    read_revision,
    write_state,
)
from audit.store.runs import number_run
from audit.store.state import State, audit_of

USER = "user"
TOOL = "tool"
Judge = Callable[[Audit], Audit]


@dataclass(frozen=True, slots=True)
class _Turn:
    """One undoing or redoing: the entry it names, and what does not count after it."""

    marker: Undone | Redone
    undoes: int
    off: frozenset[int]


class AuditFile(AuditReader):
    """An open audit file. Safe to use from several threads; one operation at a time."""

    def add_source(self, source: Path | bytes, name: str, *, actor: str = TOOL) -> str:
        """Take the bytes of a plan file into the audit; the same bytes are kept once.

        Parameters
        ----------
        source : Path | bytes
        name : str
            File name without folder, as the user knows it.
        actor : str

        Returns
        -------
        str
            SHA-256 of the bytes, hex: how `Sheet.digest` and `read_source` know them.
        """
        sources.check_label(name)
        with sources.open_bytes(source) as file:
            measured = sources.measure(file, name)
            with self._lock, self._reading():
                if sources.find_source(self._connection, measured.digest):
                    return measured.digest
            with self._lock, self._writing():
                if sources.find_source(self._connection, measured.digest) is None:
                    sources.write_source(self._connection, measured, file)
                    known = self._sync()
                    added = SourceAdded(digest=measured.digest, name=name, size=measured.size)
                    self._append([(added, None)], known, known.state, actor=actor)
        return measured.digest

    def record(
        self, entry: UserEntry, *, revision: int, actor: str = USER, judge: Judge | None = None
    ) -> int:
        """Write down what a person did.

        Parameters
        ----------
        entry : UserEntry
        revision : int
            The revision the person saw.
        actor : str
        judge : Judge | None
            Works the verdicts out anew; what it returns is stored in the same step.

        Returns
        -------
        int
            The new revision.

        Notes
        -----
        Fails with `StaleRevision` if the audit changed since, `BadUsage` if the entry makes no
        sense, `CannotWrite` if nothing could be written; then nothing was.
        """
        return self.record_all([entry], revision=revision, actor=actor, judge=judge)

    def record_all(
        self,
        entries: Sequence[UserEntry],
        *,
        revision: int,
        actor: str = USER,
        judge: Judge | None = None,
    ) -> int:
        """Write down several things a person did in one step; each is undone by itself.

        Parameters
        ----------
        entries : Sequence[UserEntry]
        revision : int
        actor : str
        judge : Judge | None
            As in `record`.

        Returns
        -------
        int
            The new revision.
        """
        with self._lock:
            known = self._at(revision)
            state = known.state
            stored: list[tuple[Entry, int | None]] = []
            for entry in entries:
                admitted = admit(state, entry)
                state = apply_entry(state, admitted)
                stored.append((admitted, None))
        return self._commit(stored, known, state, actor=actor, judge=judge)

    def undo(self, *, revision: int, actor: str = USER, judge: Judge | None = None) -> int:
        """Take back the last thing a person did.

        Parameters
        ----------
        revision : int
        actor : str
        judge : Judge | None
            As in `record`.

        Returns
        -------
        int
            The new revision.

        Raises
        ------
        BadUsage
            If there is nothing to take back.
        """
        with self._lock:
            known = self._at(revision)
            stacks = self._stacks()
            if not stacks.done:
                raise BadUsage("there is nothing to undo", advice="nothing was changed")
            target = stacks.done[-1]
            turn = _Turn(Undone(), undoes=target, off=stacks.off | {target})
            state = self._turned(turn, known, actor=actor)
        return self._commit([(turn.marker, target)], known, state, actor=actor, judge=judge)

    def redo(self, *, revision: int, actor: str = USER, judge: Judge | None = None) -> int:
        """Do again what was undone last, if a person did nothing since.

        Parameters
        ----------
        revision : int
        actor : str
        judge : Judge | None
            As in `record`.

        Returns
        -------
        int
            The new revision.

        Raises
        ------
        BadUsage
            If there is nothing to do again.
        """
        with self._lock:
            known = self._at(revision)
            stacks = self._stacks()
            if not stacks.undone:
                raise BadUsage("there is nothing to redo", advice="nothing was changed")
            undoing, target = stacks.undone[-1]
            turn = _Turn(Redone(), undoes=undoing, off=stacks.off - {target})
            state = self._turned(turn, known, actor=actor)
        return self._commit([(turn.marker, undoing)], known, state, actor=actor, judge=judge)

    def add_run(
        self,
        found: Audit,
        *,
        revision: int,
        options: tuple[tuple[str, str], ...] = (),
        versions: tuple[tuple[str, str], ...] = (),
        actor: str = TOOL,
        judge: Judge | None = None,
    ) -> int:
        """Store what the machine found, under whatever a person did before.

        Parameters
        ----------
        found : Audit
            In numbers of its own; what was there before keeps its number in the audit. Only the
            sheets in it are replaced; known sizes in it count until the next run of their sheet.
        revision : int
        options : tuple[tuple[str, str], ...]
            What the run was called with.
        versions : tuple[tuple[str, str], ...]
            What made it: program, libraries, weights.
        actor : str
        judge : Judge | None
            As in `record`; it is given the merged audit.

        Returns
        -------
        int
            The new revision.
        """
        with self._lock:
            known = self._at(revision)
            info = RunInfo(
                number=len(known.state.head.runs) + 1,
                at=self._clock().isoformat(timespec="milliseconds"),
                settings=known.state.head.settings,
                options=options,
                versions=versions,
            )
            ran = Ran(info=info, found=number_run(known.state, found))
            state = apply_entry(known.state, ran)
            checkpoint = Checkpoint(revision + 1, self._stacks().off, state)
        after = self._commit([(ran, None)], known, state, actor=actor, judge=judge)
        self._checkpoint = checkpoint
        return after

    def judge(self, judge: Judge, *, revision: int, actor: str = TOOL) -> int:
        """Work the verdicts out anew and store what changed, without finding anything again.

        Parameters
        ----------
        judge : Judge
            Takes the audit and returns it with verdicts, scales, states of texts and findings.
        revision : int
        actor : str

        Returns
        -------
        int
            The new revision.
        """
        with self._lock:
            known = self._at(revision)
        return self._commit([], known, known.state, actor=actor, judge=judge)

    # Inside

    def _turned(self, turn: _Turn, known: KnownState, *, actor: str) -> State:
        """Replay what changes by an undo or redo that is not written yet."""
        line = log_entry(
            turn.marker, seq=known.revision + 1, at=self._clock(), actor=actor, undoes=turn.undoes
        )
        with self._reading():
            return self._replay(turn.off, then=line)

    def _at(self, revision: int) -> KnownState:
        """Return what is known, if it is at the revision that the caller saw."""
        if self.read_only:
            raise read_only_error(self.path, what="it was opened read-only and")
        with self._reading():
            known = self._sync()
        if known.revision != revision:
            raise _stale(revision, known.revision)
        return known

    def _commit(
        self,
        entries: list[tuple[Entry, int | None]],
        known: KnownState,
        state: State,
        *,
        actor: str,
        judge: Judge | None,
    ) -> int:
        """Judge, while others may read and write, then write everything in one transaction."""
        judged: list[tuple[Entry, int | None]] = []
        if judge is not None:
            judgement = judgement_of(state, judge(audit_of(state)))
            state = apply_entry(state, judgement)
            judged.append((judgement, None))
        if not entries and not judged:
            return known.revision
        with self._lock, self._writing():
            current = read_revision(self._connection)
            if current != known.revision:
                raise _stale(known.revision, current)
            self._append(entries, known, state, actor=actor, judged=judged)
        return known.revision + len(entries) + len(judged)

    def _append(
        self,
        entries: list[tuple[Entry, int | None]],
        known: KnownState,
        state: State,
        *,
        actor: str,
        judged: Sequence[tuple[Entry, int | None]] = (),
    ) -> None:
        at = self._clock()
        lines = [(*pair, actor) for pair in entries] + [(*pair, TOOL) for pair in judged]
        for seq, (entry, undoes, who) in enumerate(lines, start=known.revision + 1):
            append_entry(
                self._connection, log_entry(entry, seq=seq, at=at, actor=who, undoes=undoes)
            )
        revision = known.revision + len(lines)
        before = known.state if known.stored else None
        write_state(self._connection, state, before=before, revision=revision)
        self._pending = KnownState(revision, state, stored=True)

    @contextmanager
    def _writing(self) -> Iterator[None]:
        """Hold the write lock; everything inside is kept, or nothing."""
        if self.read_only:
            raise read_only_error(self.path, what="it was opened read-only and")
        with clear_errors(self.path):
            self._connection.execute("BEGIN IMMEDIATE")
            try:
                yield
                self._connection.execute("COMMIT")
            except BaseException:
                self._pending = None
                if self._connection.in_transaction:
                    self._connection.execute("ROLLBACK")
                raise
        if self._pending is not None:
            self._known, self._pending, self._rebuild = self._pending, None, False


def _stale(seen: int, current: int) -> StaleRevision:
    return StaleRevision(
        f"the audit changed meanwhile (revision {current}, you saw {seen})",
        advice="look at it as it is now and try again",
    )
