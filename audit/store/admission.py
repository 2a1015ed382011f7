"""Whether a user entry makes sense before it is written; afterwards it stands for ever."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from audit.errors import BadUsage
from audit.records import DrawnCount, FoundBy, HandChain, LaidPiece, Part, Verdict
from audit.store import entries as e
from audit.store.actions import needs
from audit.store.state import State, used_dimensions

_BY_HAND = frozenset({None, Verdict.NOT_CRITICAL, Verdict.NOT_A_DIMENSION})


def admit(state: State, entry: e.UserEntry) -> e.UserEntry:
    """Check an entry against the audit and give it its number.

    Parameters
    ----------
    state : State
    entry : e.UserEntry

    Returns
    -------
    UserEntry
        The entry to store; an added dimension or view has its number.

    Notes
    -----
    `BadUsage` if it speaks of something that is not there, or cannot be done.
    """
    for number in sorted(needs(entry)):
        _require(number in state.dimensions, f"there is no dimension {number} in this audit")
    match entry:
        case e.AddDimension() | e.AddView():
            return _numbered(state, entry)
        case e.RemoveDimension():
            _check_removal(state, entry.dimension)
        case e.SetVerdict():
            _require(
                entry.verdict in _BY_HAND,
                "only 'not critical' and 'not a dimension' are yours to give",
            )
        case e.Decide():
            _require(
                entry.decision.hold == (entry.decision.value is None),
                "a decision is a value or a hold",
            )
        case e.LinkSame():
            _require(
                entry.link.first != entry.link.second, "a dimension is the same as itself already"
            )
        case e.RenameAudit():
            _require(bool(entry.name.strip()), "an audit needs a name")
        case e.AssignView() | e.SetViewTolerance() | e.EditView() | e.MergeViews():
            _check_view(state, entry)
        case _:
            _check_presence(state, entry)
    return entry


def _require(holds: bool, problem: str) -> None:
    if not holds:
        raise BadUsage(problem, advice="look at the audit as it is now and try again")


def _numbered(state: State, entry: e.AddDimension | e.AddView) -> e.AddDimension | e.AddView:
    head = state.head
    if isinstance(entry, e.AddDimension):
        added = entry.dimension
        _require(added.id in (0, head.next_number), f"the next number is {head.next_number}")
        _require(added.sheet in state.sheets, f"there is no sheet {added.sheet} in this audit")
        _require(added.view == 0 or added.view in state.views, f"there is no view {added.view}")
        numbered = replace(added, id=head.next_number, found_by=FoundBy.USER)
        return e.AddDimension(dimension=numbered)
    view = entry.view
    _require(view.id in (0, head.next_view), f"the next view number is {head.next_view}")
    _require(view.sheet in state.sheets, f"there is no sheet {view.sheet} in this audit")
    return e.AddView(view=replace(view, id=head.next_view))


def _check_removal(state: State, number: int) -> None:
    by_hand = state.dimensions[number].found_by is FoundBy.USER
    _require(by_hand, "the tool found this dimension; mark it 'not a dimension' instead")
    used = number in used_dimensions(state)
    _require(not used, f"a decision, link or chain stands on dimension {number}; withdraw it first")


def _check_view(
    state: State, entry: e.AssignView | e.SetViewTolerance | e.EditView | e.MergeViews
) -> None:
    _require(entry.view in state.views, f"there is no view {entry.view} in this audit")
    sheet = state.views[entry.view].sheet
    if isinstance(entry, e.AssignView):
        same = state.dimensions[entry.dimension].sheet == sheet
        _require(same, f"view {entry.view} is on another sheet")
    if isinstance(entry, e.MergeViews):
        _require(entry.into in state.views, f"there is no view {entry.into} in this audit")
        other = entry.into != entry.view and state.views[entry.into].sheet == sheet
        _require(other, "views are joined into another view of the same sheet")


def _check_presence(state: State, entry: e.UserEntry) -> None:
    match entry:
        case e.AddKnownSize():
            apart = entry.known.a != entry.known.b and entry.known.length.value > 0
            _require(apart, "a known size needs two places and a length above zero")
        case e.RemoveKnownSize():
            _require(entry.known in state.known_sizes, "there is no such known size")
        case e.SetFolds():
            lines = all(f.a != f.b and (f.step is None or f.step.value > 0) for f in entry.folds)
            _require(lines, "a fold needs two places, and a step above zero or none")
        case e.SetAside():
            _require(entry.sheet in state.sheets, f"there is no sheet {entry.sheet} in this audit")
        case e.TakeUp():
            there = any(a.sheet == entry.sheet and a.box == entry.box for a in state.set_asides)
            _require(there, "this text was not set aside")
        case e.WithdrawDecision():
            there = any(d.dimension == entry.dimension for d in state.decisions)
            _require(there, f"nothing was decided about dimension {entry.dimension}")
        case e.Unlink():
            pairs = [{x.first, x.second} for x in state.links]
            _require({entry.first, entry.second} in pairs, "these two were not linked")
        case e.SetPart():
            old = entry.replaces
            _require(bool(entry.part.name.strip()), "a part needs a name")
            _require(old is None or _has(state.parts, old), f"there is no part called {old}")
        case e.RemovePart():
            _require(_has(state.parts, entry.name), f"there is no part called {entry.name}")
        case _:
            _check_kept(state, entry)


def _check_kept(state: State, entry: e.UserEntry) -> None:
    match entry:
        case e.ChangeKnownSize():
            _require(entry.known in state.known_sizes, "there is no such known size")
            _require(entry.becomes.length.value > 0, "a known size is above zero")
        case e.SetChain():
            _require(bool(entry.chain.legs), "a chain needs a leg")
        case e.RemoveChain():
            _require(_has(state.chains, entry.name), f"there is no chain called {entry.name}")
        case e.LayPiece():
            _check_named(state, entry.piece.name, entry.piece.sheet, "a piece")
            view = state.views.get(entry.piece.view)
            on_it = view is not None and view.sheet == entry.piece.sheet
            _require(on_it, f"there is no view {entry.piece.view} on this sheet")
        case e.SetCount():
            _check_named(state, entry.count.name, entry.count.sheet, "a count")
        case e.RemovePiece():
            _require(_has(state.pieces, entry.name), f"there is no piece called {entry.name}")
        case e.RemoveCount():
            there = _has(state.drawn_counts, entry.name)
            _require(there, f"there is no count called {entry.name}")
        case e.MarkCut() | e.TakeErrata() | e.DropErrata():
            _check_outside(state, entry)


def _check_outside(state: State, entry: e.MarkCut | e.TakeErrata | e.DropErrata) -> None:
    match entry:
        case e.MarkCut():
            decided = any(
                d.dimension == entry.dimension and d.value is not None for d in state.decisions
            )
            number = entry.dimension
            _require(decided, f"nothing was decided about dimension {number} that could be cut")
        case e.TakeErrata():
            sheets = {p.sheet for p in entry.errata.proposals}
            known = sheets <= state.sheets.keys()
            _require(known, "these errata speak of sheets that are not here")
        case e.DropErrata():
            there = any(o.digest == entry.digest for o in state.outside)
            _require(there, "these errata were not taken in")


def _check_named(state: State, name: str, sheet: int, what: str) -> None:
    _require(bool(name.strip()), f"{what} needs a name")
    _require(sheet in state.sheets, f"there is no sheet {sheet} in this audit")


def _has(records: Iterable[Part | HandChain | LaidPiece | DrawnCount], name: str) -> bool:
    return any(record.name == name for record in records)
