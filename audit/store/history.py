"""One linear history: which entries count, what may be undone, and replaying it all.

The rule of undoing. Undo takes back the last user entry that counts, redo the last undoing that
nothing of the user's came after. Both only append: an ``undo`` entry names the entry that no longer
counts, a ``redo`` entry names the ``undo``. Runs and judgements are never undone; a replay applies
them under whatever user entries count by then.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, NamedTuple

from audit.errors import BadAudit
from audit.store.actions import apply_action, touched_by
from audit.store.codec import dump_record, load_record
from audit.store.entries import AddDimension, AddView
from audit.store.judging import apply_judgement
from audit.store.kinds import (
    KIND_NAMES,
    MACHINE_KINDS,
    MARKER_KINDS,
    NAME_OF,
    Created,
    Entry,
    Judged,
    LogEntry,
    Ran,
    Redone,
    SourceAdded,
    Undone,
)
from audit.store.runs import apply_run
from audit.store.state import Head, State

_ALTERED = "the file was altered by another program; use an untouched copy"


class LogLine(NamedTuple):
    """An entry without its payload."""

    seq: int
    kind: str
    undoes: int | None


@dataclass(frozen=True, slots=True)
class UndoStacks:
    """What may be undone and redone, last first to go.

    Attributes
    ----------
    done : tuple of int
        User entries that count, oldest first.
    undone : tuple of (int, int)
        The ``undo`` entry and the entry it took back, oldest undoing first; emptied by every new
        user entry.
    off : frozenset of int
        User entries that do not count.
    """

    done: tuple[int, ...] = ()
    undone: tuple[tuple[int, int], ...] = ()
    off: frozenset[int] = frozenset()


def stacks_of(log: Iterable[LogLine]) -> UndoStacks:
    """Work out from the history what may be undone and redone.

    Parameters
    ----------
    log : Iterable[LogLine]
        From the first entry on.

    Returns
    -------
    UndoStacks

    Raises
    ------
    BadAudit
        If an ``undo`` or ``redo`` names an entry that was not next in turn.
    """
    done: list[int] = []
    undone: list[tuple[int, int]] = []
    off: set[int] = set()
    for line in log:
        if line.kind == "undo":
            if not done or done[-1] != line.undoes:
                raise BadAudit(_out_of_turn(line), advice=_ALTERED)
            off.add(done[-1])
            undone.append((line.seq, done.pop()))
        elif line.kind == "redo":
            if not undone or undone[-1][0] != line.undoes:
                raise BadAudit(_out_of_turn(line), advice=_ALTERED)
            done.append(undone.pop()[1])
            off.discard(done[-1])
        elif line.kind not in MACHINE_KINDS:
            done.append(line.seq)
            undone.clear()
    return UndoStacks(tuple(done), tuple(undone), frozenset(off))


def _out_of_turn(line: LogLine) -> str:
    return f"entry {line.seq} of this audit takes back an entry that was not next in turn"


def read_entry(entry: LogEntry) -> Entry:
    """Decode what an entry says.

    Parameters
    ----------
    entry : LogEntry

    Returns
    -------
    Entry

    Raises
    ------
    BadAudit
        If its kind is unknown, or its payload does not fit.
    """
    kind: type[Any] | None = KIND_NAMES.get(entry.kind)
    if kind is None:
        raise BadAudit(
            f"entry {entry.seq} of this audit is of an unknown kind {entry.kind[:40]!r}",
            advice="update plan-audit: the file comes from a newer version",
        )
    decoded: Entry = load_record(kind, entry.payload)
    return decoded


def replay(
    log: Iterable[LogEntry],
    *,
    off: frozenset[int],
    entry_at: Callable[[int], LogEntry],
    start: State | None = None,
) -> State:
    """Build the state from the history.

    Parameters
    ----------
    log : Iterable[LogEntry]
        In order; from the first entry on, or from the one after `start`.
    off : frozenset[int]
        User entries that do not count.
    entry_at : Callable[[int], LogEntry]
        Returns any entry of the history (an undoing touches what its target touched).
    start : State | None
        The state before the first entry of `log`.

    Returns
    -------
    State

    Raises
    ------
    BadAudit
        If the history is empty, or contradicts itself.
    """
    state = start
    for entry in log:
        try:
            state = _follow(state, entry, off=off, entry_at=entry_at)
        except (ValueError, KeyError, TypeError, AttributeError, ArithmeticError) as error:
            raise BadAudit(
                f"entry {entry.seq} of this audit contradicts those before it", advice=_ALTERED
            ) from error
    if state is None:
        raise BadAudit("this audit is empty", advice="use another copy of the file")
    return state


def _follow(
    state: State | None,
    entry: LogEntry,
    *,
    off: frozenset[int],
    entry_at: Callable[[int], LogEntry],
) -> State:
    if state is None:
        made = read_entry(entry)
        if not isinstance(made, Created):
            raise BadAudit("the history of this audit has no beginning", advice=_ALTERED)
        return created_state(made)
    if entry.kind in MARKER_KINDS:
        return mark_taken_back(state, _target(entry, entry_at))
    if entry.seq in off:
        return reserve_numbers(state, read_entry(entry))
    return apply_entry(state, read_entry(entry))


def _target(entry: LogEntry, entry_at: Callable[[int], LogEntry]) -> Entry:
    named = entry_at(entry.undoes or 0)
    return read_entry(entry_at(named.undoes or 0) if entry.kind == "redo" else named)


def created_state(made: Created) -> State:
    """Return the state of a new audit."""
    return State(head=Head(name=made.name, settings=made.settings))


def apply_entry(state: State, entry: Entry) -> State:
    """Return the state after an entry that counts; markers are handled by `replay`."""
    match entry:
        case Ran():
            return apply_run(state, entry)
        case Judged():
            return apply_judgement(state, entry)
        case Created() | SourceAdded() | Undone() | Redone():
            return state
        case _:
            return apply_action(state, entry)


def reserve_numbers(state: State, entry: Entry) -> State:
    """Keep the numbers that an undone entry used from being used again."""
    head = state.head
    if isinstance(entry, AddDimension):
        head = replace(head, next_number=max(head.next_number, entry.dimension.id + 1))
    if isinstance(entry, AddView):
        head = replace(head, next_view=max(head.next_view, entry.view.id + 1))
    return replace(state, head=head)


def mark_taken_back(state: State, target: Entry) -> State:
    """Note that what an undone or redone entry is about must be judged again."""
    touched = touched_by(target) & state.dimensions.keys()  # type: ignore[arg-type]  # a user entry
    return replace(state, head=replace(state.head, due=True, dirty=state.head.dirty | touched))


def log_entry(
    entry: Entry, *, seq: int, at: datetime, actor: str, undoes: int | None = None
) -> LogEntry:
    """Return an entry as the history holds it."""
    return LogEntry(
        seq=seq,
        at=at,
        actor=actor,
        kind=NAME_OF[type(entry)],
        payload=dump_record(entry),
        undoes=undoes,
    )
