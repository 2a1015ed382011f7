"""What each user entry does to the state.

Every function takes the state and the entry and returns the new state. Entries are checked when
they are recorded (`audit.store.admission`); here, in a replay, one whose record has gone changes
nothing.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any, TypeVar

from audit.geometry import Box
from audit.records import (
    Dimension,
    DrawnCount,
    FoundBy,
    HandChain,
    LaidPiece,
    Sheet,
    SheetText,
    TextState,
    UserSet,
    Verdict,
)
from audit.store import entries as e
from audit.store.counting import count_anew
from audit.store.state import Given, MergedView, State, by_id, chain_dimensions
from audit.store.views import settle_views

_Named = TypeVar("_Named", DrawnCount, HandChain, LaidPiece)

# No verdict rests on these.
_UNJUDGED = (e.MarkCut, e.TakeErrata, e.DropErrata)
SAME_TEXT_OVERLAP = 0.5  # area shared over area of both: the same text, found again


def apply_action(state: State, entry: e.UserEntry) -> State:
    """Return the state after a user entry; what it touches is no longer judged."""
    after = _ACTIONS[type(entry)](state, entry)
    if isinstance(entry, _UNJUDGED):
        return replace(after, head=replace(after.head, touched=True))
    head = replace(
        after.head,
        due=True,
        touched=True,
        dirty=after.head.dirty | (touched_by(entry) & after.dimensions.keys()),
    )
    return replace(after, head=head)


def touched_by(entry: e.UserEntry) -> frozenset[int]:
    """Return the numbers of the dimensions that an entry is directly about."""
    if isinstance(entry, e.AddDimension):
        return frozenset({entry.dimension.id})
    if isinstance(entry, e.Decide | e.WithdrawDecision | e.RemoveDimension | e.MarkCut):
        return frozenset()
    number = getattr(entry, "dimension", None)
    return frozenset() if number is None else frozenset({number})


def needs(entry: e.UserEntry) -> frozenset[int]:
    """Return the numbers of the dimensions that must exist for an entry to make sense."""
    match entry:
        case e.AddDimension():
            return frozenset()
        case e.Decide(decision=decision):
            return frozenset({decision.dimension})
        case e.LinkSame(link=link):
            return frozenset({link.first, link.second})
        case e.SetChain(chain=chain):
            return chain_dimensions(chain)
        case e.SetPart(part=part):
            return frozenset(part.dimensions)
    number = getattr(entry, "dimension", None)
    return frozenset() if number is None else frozenset({number})


def _rename(state: State, entry: e.RenameAudit) -> State:
    return replace(state, head=replace(state.head, name=entry.name))


def _settings(state: State, entry: e.ChangeSettings) -> State:
    if entry.settings.unit is not state.head.settings.unit:
        state = count_anew(state, entry.settings.unit)
    return replace(state, head=replace(state.head, settings=entry.settings))


def _add_known(state: State, entry: e.AddKnownSize) -> State:
    removed = tuple(k for k in state.removed_known if k != entry.known)
    if entry.known in state.user_known:
        return replace(state, removed_known=removed)
    return replace(state, user_known=(*state.user_known, entry.known), removed_known=removed)


def _remove_known(state: State, entry: e.RemoveKnownSize) -> State:
    kept = tuple(k for k in state.user_known if k != entry.known)
    removed = tuple(k for k in state.removed_known if k != entry.known)
    return replace(state, user_known=kept, removed_known=(*removed, entry.known))


def _change_known(state: State, entry: e.ChangeKnownSize) -> State:
    if entry.known not in state.known_sizes:
        return state
    if entry.known not in state.user_known:  # the tool's own: hidden, and the person's added
        removed = _remove_known(state, e.RemoveKnownSize(known=entry.known))
        return _add_known(removed, e.AddKnownSize(known=entry.becomes))
    changed = [entry.becomes if k == entry.known else k for k in state.user_known]
    return replace(state, user_known=tuple(dict.fromkeys(changed)))


def _set_paper(state: State, entry: e.SetPaper) -> State:
    others = tuple(p for p in state.papers if p.sheet != entry.sheet)
    state = replace(state, papers=(*others, entry))
    sheet = state.sheets.get(entry.sheet)
    if sheet is None:
        return state  # given before the first run; it waits in `papers`
    return replace(state, sheets={**state.sheets, sheet.id: lay_paper(sheet, entry)})


def lay_paper(sheet: Sheet, paper: e.SetPaper) -> Sheet:
    """Put a sheet on its paper as a person said."""
    return replace(
        sheet,
        to_paper=paper.to_paper,
        paper_known=paper.paper_known,
        u_paper=paper.u_paper,
        scatter=paper.scatter,
        paper_box=paper.paper_box,
        flatness=paper.flatness,
        user_set=sheet.user_set | {UserSet.PAPER},
    )


def _set_folds(state: State, entry: e.SetFolds) -> State:
    others = tuple(f for f in state.folds if f.sheet != entry.sheet)
    state = replace(state, folds=(*others, entry))
    sheet = state.sheets.get(entry.sheet)
    if sheet is None:
        return state
    return replace(state, sheets={**state.sheets, sheet.id: replace(sheet, folds=entry.folds)})


def _change(state: State, number: int, side: UserSet, **changes: Any) -> State:
    dimension = state.dimensions.get(number)
    if dimension is None:
        return state
    changed = replace(dimension, user_set=dimension.user_set | {side}, **changes)
    given = state.given
    if number in given:  # what a person says here outlasts what the next run is given
        given = {**given, number: Given(sides=given[number].sides - {side})}
    return replace(state, dimensions={**state.dimensions, number: changed}, given=given)


def _lift(state: State, number: int, side: UserSet, **changes: Any) -> State:
    dimension = state.dimensions.get(number)
    if dimension is None:
        return state
    changed = replace(dimension, user_set=dimension.user_set - {side}, **changes)
    return replace(state, dimensions={**state.dimensions, number: changed})


def _correct(state: State, entry: e.CorrectReading) -> State:
    return _change(state, entry.dimension, UserSet.READING, reading=entry.reading)


def _move(state: State, entry: e.MoveEnds) -> State:
    dimension = state.dimensions.get(entry.dimension)
    if dimension is None:
        return state
    found = dimension.ends if dimension.found_by is FoundBy.TOOL else ()
    return _change(
        state,
        entry.dimension,
        UserSet.ENDS,
        ends=entry.ends,
        line=dimension.line if entry.line is None else entry.line,
        found_ends=dimension.found_ends or found,
    )


def _change_kind(state: State, entry: e.ChangeKind) -> State:
    return _change(state, entry.dimension, UserSet.KIND, kind=entry.kind)


def _assign(state: State, entry: e.AssignView) -> State:
    return _change(state, entry.dimension, UserSet.VIEW, view=entry.view)


def _add_dimension(state: State, entry: e.AddDimension) -> State:
    added = replace(entry.dimension, found_by=FoundBy.USER)
    head = replace(state.head, next_number=max(state.head.next_number, added.id + 1))
    dimensions = by_id([*state.dimensions.values(), added])
    return settle_views(replace(state, head=head, dimensions=dimensions))


def _remove_dimension(state: State, entry: e.RemoveDimension) -> State:
    kept = {n: d for n, d in state.dimensions.items() if n != entry.dimension}
    return replace(state, dimensions=kept)


def _set_verdict(state: State, entry: e.SetVerdict) -> State:
    if entry.verdict is None:
        return _lift(state, entry.dimension, UserSet.VERDICT, verdict=Verdict.NOT_CHECKED, why=None)
    why = entry.reason or None
    return _change(state, entry.dimension, UserSet.VERDICT, verdict=entry.verdict, why=why)


def _dimension_tolerance(state: State, entry: e.SetDimensionTolerance) -> State:
    act = _lift if entry.tolerance is None else _change
    return act(state, entry.dimension, UserSet.TOLERANCE, tolerance_set=entry.tolerance)


def _view_tolerance(state: State, entry: e.SetViewTolerance) -> State:
    view = state.views.get(entry.view)
    if view is None:
        return state
    sides = view.user_set - {UserSet.TOLERANCE}
    if entry.tolerance is not None:
        sides |= {UserSet.TOLERANCE}
    changed = replace(view, tolerance_set=entry.tolerance, user_set=sides)
    return replace(state, views={**state.views, view.id: changed})


def _edit_view(state: State, entry: e.EditView) -> State:
    view = state.views.get(entry.view)
    if view is None:
        return state
    if entry.kind is not None:
        view = replace(view, kind=entry.kind, user_set=view.user_set | {UserSet.KIND})
    if entry.title is not None:
        view = replace(view, title=entry.title, user_set=view.user_set | {UserSet.TITLE})
    if entry.stated_scale is not None:
        sides = view.user_set | {UserSet.SCALE}
        view = replace(view, stated_scale=entry.stated_scale or None, user_set=sides)
    if entry.box is None:
        return replace(state, views={**state.views, view.id: view})
    view = replace(view, box=entry.box, user_set=view.user_set | {UserSet.BOX})
    return settle_views(replace(state, views={**state.views, view.id: view}))


def _add_view(state: State, entry: e.AddView) -> State:
    added = replace(entry.view, user_set=entry.view.user_set | {UserSet.BOX, UserSet.KIND})
    head = replace(state.head, next_view=max(state.head.next_view, added.id + 1))
    views = by_id([*state.views.values(), added])
    return settle_views(replace(state, head=head, views=views))


def _merge_views(state: State, entry: e.MergeViews) -> State:
    view = state.views.get(entry.view)
    if view is None:
        return state
    merged = (*state.head.merged_views, MergedView(view=view, into=entry.into))
    kept = {n: v for n, v in state.views.items() if n != entry.view}
    head = replace(state.head, merged_views=merged)
    return settle_views(replace(state, head=head, views=kept))


def shared_area(a: Box, b: Box) -> float:
    """Area that two boxes share over the area they cover together, 0 to 1.

    Parameters
    ----------
    a : Box
    b : Box

    Returns
    -------
    float

    Examples
    --------
    >>> shared_area(Box(0, 0, 2, 1), Box(1, 0, 3, 1))
    0.3333333333333333
    >>> shared_area(Box(0, 0, 0, 5), Box(0, 0, 0, 5)), shared_area(Box(0, 0, 0, 5), Box(0, 0, 1, 1))
    (1.0, 0.0)
    """
    if a == b:
        return 1.0
    width = min(a.x1, b.x1) - max(a.x0, b.x0)
    height = min(a.y1, b.y1) - max(a.y0, b.y0)
    if width <= 0 or height <= 0:
        return 0.0
    shared = width * height
    return shared / (a.width * a.height + b.width * b.height - shared)


def text_at(texts: tuple[SheetText, ...], sheet: int, box: Box) -> int | None:
    """Return the index of the text that stands where `box` is; `None` when there is none."""
    rated = (
        (shared_area(text.box, box), -index)
        for index, text in enumerate(texts)
        if text.sheet == sheet
    )
    best = max(rated, default=(0.0, 0))
    return -best[1] if best[0] >= SAME_TEXT_OVERLAP else None


def lay_aside(texts: tuple[SheetText, ...], aside: e.SetAside) -> tuple[SheetText, ...]:
    """Mark one text as set aside; a text that is no longer seen stays in the list for it."""
    index = text_at(texts, aside.sheet, aside.box)
    if index is None:
        lost = SheetText(
            sheet=aside.sheet,
            text=aside.text,
            box=aside.box,
            state=TextState.SET_ASIDE,
            why=aside.why,
        )
        return (*texts, lost)
    marked = replace(texts[index], state=TextState.SET_ASIDE, why=aside.why)
    return (*texts[:index], marked, *texts[index + 1 :])


def _set_aside(state: State, entry: e.SetAside) -> State:
    others = _without(state.set_asides, entry.sheet, entry.box)
    return replace(state, set_asides=(*others, entry), texts=lay_aside(state.texts, entry))


def _take_up(state: State, entry: e.TakeUp) -> State:
    index = text_at(state.texts, entry.sheet, entry.box)
    texts = state.texts
    if index is not None:
        why = "taken up again, not judged since"
        taken = replace(texts[index], state=TextState.NOT_CHECKED, why=why)
        texts = (*texts[:index], taken, *texts[index + 1 :])
    return replace(
        state, texts=texts, set_asides=_without(state.set_asides, entry.sheet, entry.box)
    )


def _without(asides: tuple[e.SetAside, ...], sheet: int, box: Box) -> tuple[e.SetAside, ...]:
    return tuple(
        a
        for a in asides
        if a.sheet != sheet or (a.box != box and shared_area(a.box, box) < SAME_TEXT_OVERLAP)
    )


def _decide(state: State, entry: e.Decide) -> State:
    made = entry.decision
    others = [d for d in state.decisions if d.dimension != made.dimension]
    decisions = tuple(sorted([*others, made], key=lambda d: d.dimension))
    return _build_to(replace(state, decisions=decisions), made.dimension)


def _withdraw(state: State, entry: e.WithdrawDecision) -> State:
    decisions = tuple(d for d in state.decisions if d.dimension != entry.dimension)
    return _build_to(replace(state, decisions=decisions), entry.dimension)


def _build_to(state: State, number: int) -> State:
    dimension: Dimension | None = state.dimensions.get(number)
    if dimension is None:
        return state
    value = next((d.value for d in state.decisions if d.dimension == number), None)
    changed = replace(dimension, build_to=value)
    return replace(state, dimensions={**state.dimensions, number: changed})


def _link(state: State, entry: e.LinkSame) -> State:
    pair = {entry.link.first, entry.link.second}
    others = tuple(x for x in state.links if {x.first, x.second} != pair)
    return replace(state, links=(*others, entry.link))


def _unlink(state: State, entry: e.Unlink) -> State:
    pair = {entry.first, entry.second}
    return replace(state, links=tuple(x for x in state.links if {x.first, x.second} != pair))


def _set_part(state: State, entry: e.SetPart) -> State:
    name = entry.part.name
    old = entry.replaces if entry.replaces is not None else name
    parts = [p for p in state.parts if p.name == old or p.name != name]
    if any(p.name == old for p in parts):
        parts = [entry.part if p.name == old else p for p in parts]
    else:
        parts.append(entry.part)
    gone = state.head.removed_parts | ({old} if old != name else set())
    head = replace(
        state.head,
        user_parts=(state.head.user_parts - {old}) | {name},
        removed_parts=gone - {name},
    )
    return replace(state, head=head, parts=tuple(parts))


def _remove_part(state: State, entry: e.RemovePart) -> State:
    head = replace(
        state.head,
        user_parts=state.head.user_parts - {entry.name},
        removed_parts=state.head.removed_parts | {entry.name},
    )
    return replace(state, head=head, parts=tuple(p for p in state.parts if p.name != entry.name))


def _set_chain(state: State, entry: e.SetChain) -> State:
    return replace(state, chains=_put(state.chains, entry.chain))


def _remove_chain(state: State, entry: e.RemoveChain) -> State:
    return replace(state, chains=tuple(c for c in state.chains if c.name != entry.name))


def _lay_piece(state: State, entry: e.LayPiece) -> State:
    return replace(state, pieces=_put(state.pieces, entry.piece))


def _remove_piece(state: State, entry: e.RemovePiece) -> State:
    return replace(state, pieces=tuple(p for p in state.pieces if p.name != entry.name))


def _set_count(state: State, entry: e.SetCount) -> State:
    return replace(state, drawn_counts=_put(state.drawn_counts, entry.count))


def _remove_count(state: State, entry: e.RemoveCount) -> State:
    kept = tuple(c for c in state.drawn_counts if c.name != entry.name)
    return replace(state, drawn_counts=kept)


def _mark_cut(state: State, entry: e.MarkCut) -> State:
    marked = tuple(
        replace(d, cut=entry.cut, cut_note=entry.note) if d.dimension == entry.dimension else d
        for d in state.decisions
    )
    return replace(state, decisions=marked)


def _take_errata(state: State, entry: e.TakeErrata) -> State:
    others = tuple(o for o in state.outside if o.digest != entry.errata.digest)
    return replace(state, outside=(*others, entry.errata))


def _drop_errata(state: State, entry: e.DropErrata) -> State:
    return replace(state, outside=tuple(o for o in state.outside if o.digest != entry.digest))


def _put(records: tuple[_Named, ...], record: _Named) -> tuple[_Named, ...]:
    """Put a record in the place of the one of its name, else at the end."""
    put = [record if r.name == record.name else r for r in records]
    if record not in put:
        put.append(record)
    return tuple(put)


_ACTIONS: dict[type[Any], Callable[[State, Any], State]] = {
    e.RenameAudit: _rename,
    e.ChangeSettings: _settings,
    e.AddKnownSize: _add_known,
    e.RemoveKnownSize: _remove_known,
    e.ChangeKnownSize: _change_known,
    e.SetPaper: _set_paper,
    e.SetFolds: _set_folds,
    e.CorrectReading: _correct,
    e.MoveEnds: _move,
    e.ChangeKind: _change_kind,
    e.AssignView: _assign,
    e.AddDimension: _add_dimension,
    e.RemoveDimension: _remove_dimension,
    e.SetVerdict: _set_verdict,
    e.SetDimensionTolerance: _dimension_tolerance,
    e.SetViewTolerance: _view_tolerance,
    e.EditView: _edit_view,
    e.AddView: _add_view,
    e.MergeViews: _merge_views,
    e.SetAside: _set_aside,
    e.TakeUp: _take_up,
    e.Decide: _decide,
    e.WithdrawDecision: _withdraw,
    e.LinkSame: _link,
    e.Unlink: _unlink,
    e.SetPart: _set_part,
    e.RemovePart: _remove_part,
    e.SetChain: _set_chain,
    e.RemoveChain: _remove_chain,
    e.LayPiece: _lay_piece,
    e.RemovePiece: _remove_piece,
    e.SetCount: _set_count,
    e.RemoveCount: _remove_count,
    e.MarkCut: _mark_cut,
    e.TakeErrata: _take_errata,
    e.DropErrata: _drop_errata,
}
