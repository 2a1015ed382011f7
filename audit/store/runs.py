"""A new run of the tool over an audit that a person has worked on.

Two steps: `number_run` gives everything found the numbers of what it was before, or new ones;
`apply_run` lays it under the person's work. The first is done once, when the run is stored, and its
outcome is part of the entry; the second is repeated in every replay.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import partial
from typing import TypeVar

from audit.records import (
    Audit,
    Dimension,
    Finding,
    FoundBy,
    KnownSize,
    Sheet,
    SheetText,
    Statement,
    UserSet,
    View,
)
from audit.store.actions import lay_aside, lay_paper
from audit.store.kinds import Ran, RunInfo
from audit.store.matching import match_dimensions, match_findings, match_sheets, match_views
from audit.store.state import (
    Given,
    Head,
    State,
    audit_of,
    by_id,
    is_user_work,
    state_of,
    used_dimensions,
)
from audit.store.views import settle_views

_OnSheet = TypeVar("_OnSheet", Statement, SheetText, KnownSize)


def merge_run(previous: Audit, found: Audit) -> Audit:
    """Lay what the tool found now under what a person did before.

    Parameters
    ----------
    previous : Audit
        As the user sees it.
    found : Audit
        What the machine found, in numbers of its own; only the sheets in it are replaced.

    Returns
    -------
    Audit
        Dimensions, views and findings that were there before keep their numbers. Confirmed
        readings, moved ends, verdicts set by hand, tolerances, decisions, links, chains, parts and
        texts set aside are as they were. Verdicts of dimensions that carry a person's work are
        *not checked* until judged again.

    Notes
    -----
    `ValueError` if `found` contains a person's work, or refers to what it does not contain.
    An audit file does the same in `AuditFile.add_run`, knowing also which numbers were used once.
    """
    state = state_of(previous)
    numbered = number_run(state, found)
    info = RunInfo(number=1, at="", settings=previous.settings)
    return audit_of(apply_run(state, Ran(info=info, found=numbered)))


def stale_findings(previous: Audit, merged: Audit) -> tuple[Finding, ...]:
    """Return the findings of `previous` that no longer hold in `merged`."""
    still = {finding.id for finding in merged.findings}
    return tuple(finding for finding in previous.findings if finding.id not in still)


def number_run(state: State, found: Audit) -> Audit:
    """Give everything found its number in the audit.

    Parameters
    ----------
    state : State
    found : Audit

    Returns
    -------
    Audit
        `found` with sheet, view, dimension and finding numbers of this audit.

    Notes
    -----
    `ValueError` if `found` contains a person's work, or refers to what it does not contain.
    """
    _refuse_user_work(state, found)
    by_id(found.sheets), by_id(found.views), by_id(found.dimensions), by_id(found.findings)
    found = _number_sheets(state, found)
    found = _number_views(state, found)
    found, next_number = _number_dimensions(state, found)
    findings = number_findings(state, found.findings, next_number)
    return replace(
        found,
        findings=findings,
        links=(),
        decisions=(),
        chains=(),
        pieces=(),
        drawn_counts=(),
        outside=(),
    )


def _refuse_user_work(state: State, found: Audit) -> None:
    own = {*found.decisions, *found.links, *found.chains, *found.pieces, *found.drawn_counts}
    known = {*state.decisions, *state.links, *state.chains, *state.pieces, *state.drawn_counts}
    if not own <= known or any(d.user_set and d.found_by is FoundBy.TOOL for d in found.dimensions):
        raise ValueError("a run holds what the machine found; record a person's work as entries")


def _renumbered(pairs: dict[int, int], ids: Iterable[int], first: int) -> dict[int, int]:
    numbers = dict(pairs)
    for number in ids:
        if number not in numbers:
            numbers[number] = first
            first += 1
    return numbers


def _look_up(numbers: dict[int, int], what: str, number: int) -> int:
    if number not in numbers:
        raise ValueError(f"the run speaks of {what} {number}, which it does not contain")
    return numbers[number]


def _number_sheets(state: State, found: Audit) -> Audit:
    pairs = match_sheets(state.sheets.values(), found.sheets)
    numbers = _renumbered(pairs, (s.id for s in found.sheets), state.head.next_sheet)
    at = partial(_look_up, numbers, "sheet")
    return replace(
        found,
        sheets=tuple(replace(s, id=at(s.id)) for s in found.sheets),
        views=tuple(replace(v, sheet=at(v.sheet)) for v in found.views),
        dimensions=tuple(replace(d, sheet=at(d.sheet)) for d in found.dimensions),
        statements=tuple(replace(s, sheet=at(s.sheet)) for s in found.statements),
        texts=tuple(replace(t, sheet=at(t.sheet)) for t in found.texts),
        known_sizes=tuple(replace(k, sheet=at(k.sheet)) for k in found.known_sizes),
        findings=tuple(_on_sheets(f, at) for f in found.findings),
    )


def _on_sheets(finding: Finding, at: Callable[[int], int]) -> Finding:
    return replace(finding, places=tuple(replace(p, sheet=at(p.sheet)) for p in finding.places))


def _number_views(state: State, found: Audit) -> Audit:
    before = [*state.views.values(), *(m.view for m in state.head.merged_views)]
    pairs = match_views(before, found.views)
    numbers = _renumbered(pairs, (v.id for v in found.views), state.head.next_view)
    at = partial(_look_up, {0: 0, **numbers}, "view")  # 0: in no view
    return replace(
        found,
        views=tuple(replace(v, id=at(v.id)) for v in found.views),
        dimensions=tuple(replace(d, view=at(d.view)) for d in found.dimensions),
        parts=tuple(replace(p, views=tuple(map(at, p.views))) for p in found.parts),
    )


def _number_dimensions(state: State, found: Audit) -> tuple[Audit, int]:
    papers = {sheet.id: sheet.to_paper for sheet in found.sheets}
    present = [d for d in state.dimensions.values() if d.sheet in papers]
    pairs = match_dimensions(present, found.dimensions, papers=papers)
    lost = [d for d in state.lost_dimensions.values() if d.sheet in papers]
    rest = [d for d in found.dimensions if d.id not in pairs]
    pairs |= match_dimensions(lost, rest, papers=papers)
    numbers = _renumbered(pairs, (d.id for d in found.dimensions), state.head.next_number)
    at = partial(_look_up, numbers, "dimension")
    findings = (replace(f, dimensions=tuple(map(at, f.dimensions))) for f in found.findings)
    dimensions = tuple(replace(d, id=at(d.id)) for d in found.dimensions)
    following = 1 + max((d.id for d in dimensions), default=0)
    return (
        replace(found, dimensions=dimensions, findings=tuple(findings)),
        max(state.head.next_number, following),
    )


def number_findings(
    state: State, findings: tuple[Finding, ...], next_number: int
) -> tuple[Finding, ...]:
    """Give findings the numbers they had before, or new ones from `next_number` on."""
    pairs = match_findings(list(state.findings.values()), findings)
    rest = [f for f in findings if f.id not in pairs]
    pairs |= match_findings(list(state.lost_findings.values()), rest)
    numbers = _renumbered(pairs, (f.id for f in findings), next_number)
    return tuple(replace(f, id=numbers[f.id]) for f in findings)


def apply_run(state: State, ran: Ran) -> State:
    """Return the state after a run whose findings carry the audit's numbers already."""
    found = ran.found
    covered = frozenset(s.id for s in found.sheets)
    after = replace(
        state,
        sheets=by_id((state.sheets | {s.id: _sheet(state, s) for s in found.sheets}).values()),
        statements=_elsewhere(state.statements, covered) + found.statements,
        texts=_elsewhere(state.texts, covered) + found.texts,
        found_known=_elsewhere(state.found_known, covered) + found.known_sizes,
    )
    after = _lay_dimensions(after, found, covered)
    after = settle_views(_lay_views(after, found, covered))
    after = _lay_parts(_lay_findings(after, found.findings, covered), found)
    for aside in after.set_asides:
        after = replace(after, texts=lay_aside(after.texts, aside))
    return replace(after, head=_head_after(after, ran, found))


def _elsewhere(records: tuple[_OnSheet, ...], covered: frozenset[int]) -> tuple[_OnSheet, ...]:
    return tuple(r for r in records if r.sheet not in covered)


def _sheet(state: State, found: Sheet) -> Sheet:
    before = state.sheets.get(found.id)
    if before is not None and UserSet.PAPER in before.user_set:
        found = replace(
            found,
            to_paper=before.to_paper,
            paper_known=before.paper_known,
            u_paper=before.u_paper,
            scatter=before.scatter,
            paper_box=before.paper_box,
            flatness=before.flatness,
            user_set=before.user_set,
        )
    for paper in state.papers:
        if paper.sheet == found.id:
            found = lay_paper(found, paper)
    folds = tuple(f for given in state.folds if given.sheet == found.id for f in given.folds)
    return replace(found, folds=folds)


def _lay_dimensions(state: State, found: Audit, covered: frozenset[int]) -> State:
    now = {d.id: d for d in found.dimensions}
    used = used_dimensions(state)
    laid, lost = dict(now), dict(state.lost_dimensions)
    for number, before in state.dimensions.items():
        if number in now:
            given = state.given.get(number, Given(sides=frozenset())).sides
            laid[number] = _lay_dimension(before, now[number], given)
        elif before.sheet not in covered or number in used or is_user_work(before):
            laid[number] = before
        else:
            lost[number] = before
    dimensions = by_id(laid.values())
    return replace(
        state,
        dimensions=dimensions,
        lost_dimensions={n: d for n, d in lost.items() if n not in dimensions},
        given=_given_after(state, found),
    )


def _given_after(state: State, found: Audit) -> dict[int, Given]:
    given = dict(state.given)
    for dimension in found.dimensions:
        if dimension.found_by is FoundBy.USER:
            before = state.dimensions.get(dimension.id)
            earlier = given.get(dimension.id, Given(sides=frozenset())).sides
            own = frozenset() if before is None else before.user_set - earlier
            given[dimension.id] = Given(sides=dimension.user_set - own)
    return given


def _lay_dimension(before: Dimension, found: Dimension, given: frozenset[UserSet]) -> Dimension:
    """Lay a found dimension under the person's work on it.

    `given` are sides that an earlier run was given and no entry set since: a run that is given the
    dimension anew replaces them.
    """
    anew = found.found_by is FoundBy.USER
    sides = before.user_set - given if anew else before.user_set
    placed = UserSet.ENDS in sides or (before.found_by is FoundBy.USER and not anew)
    merged = replace(
        found,
        user_set=sides | found.user_set,
        build_to=before.build_to,
        tolerance_set=before.tolerance_set,
        found_by=FoundBy.USER if anew else before.found_by,
    )
    if UserSet.READING in sides or (_is_confirmed(before) and not anew):
        merged = replace(merged, reading=before.reading)
    if placed:
        found_ends = found.ends if before.found_by is FoundBy.TOOL else ()
        merged = replace(merged, ends=before.ends, line=before.line, found_ends=found_ends)
    if UserSet.KIND in sides or placed:
        merged = replace(merged, kind=before.kind)
    if UserSet.VIEW in sides:
        merged = replace(merged, view=before.view)
    if UserSet.VERDICT in sides:
        merged = replace(merged, verdict=before.verdict, why=before.why)
    return merged


def _is_confirmed(dimension: Dimension) -> bool:
    return is_user_work(replace(dimension, user_set=frozenset(), found_by=FoundBy.TOOL))


def _lay_views(state: State, found: Audit, covered: frozenset[int]) -> State:
    merged = {m.view.id for m in state.head.merged_views}
    now = {v.id: v for v in found.views if v.id not in merged}
    wanted = {d.view for d in state.dimensions.values()}
    laid = [_lay_view(state.views.get(v.id), v) for v in now.values()]
    laid += [
        v
        for v in state.views.values()
        if v.id not in now and (v.sheet not in covered or v.user_set or v.id in wanted)
    ]
    return replace(state, views=by_id(laid))


def _lay_view(before: View | None, found: View) -> View:
    if before is None:
        return found
    sides = before.user_set
    merged = replace(found, user_set=sides, tolerance_set=before.tolerance_set)
    if UserSet.KIND in sides:
        merged = replace(merged, kind=before.kind)
    if UserSet.BOX in sides:
        merged = replace(merged, box=before.box)
    if UserSet.TITLE in sides:
        merged = replace(merged, title=before.title)
    if UserSet.SCALE in sides:
        merged = replace(merged, stated_scale=before.stated_scale)
    return merged


def _lay_parts(state: State, found: Audit) -> State:
    head = state.head
    users = {p.name: p for p in state.parts if p.name in head.user_parts}
    parts = [users.pop(p.name, p) for p in found.parts if p.name not in head.removed_parts]
    return replace(state, parts=(*parts, *users.values()))


def _lay_findings(state: State, found: tuple[Finding, ...], covered: frozenset[int]) -> State:
    now = {f.id: f for f in found}
    kept, lost = dict(now), dict(state.lost_findings)
    for before in state.findings.values():
        if before.id in now:
            continue
        if _is_elsewhere(state, before, covered):
            kept[before.id] = before
        else:
            lost[before.id] = before
    lost = {n: f for n, f in lost.items() if n not in kept}
    return replace(state, findings=by_id(kept.values()), lost_findings=lost)


def _is_elsewhere(state: State, finding: Finding, covered: frozenset[int]) -> bool:
    sheets = {place.sheet for place in finding.places}
    sheets |= {state.dimensions[n].sheet for n in finding.dimensions if n in state.dimensions}
    return bool(sheets) and not sheets & covered


def _head_after(state: State, ran: Ran, found: Audit) -> Head:
    used = {d.id for d in found.dimensions} | {f.id for f in found.findings}
    covered = {s.id for s in found.sheets}
    now = {d.id: d for d in found.dimensions}
    overlaid = {
        d.id
        for d in state.dimensions.values()
        if d.sheet in covered and (d.id not in now or _is_overlaid(d, now[d.id]))
    }
    return replace(
        state.head,
        next_number=max(state.head.next_number, 1 + max(used, default=0)),
        next_sheet=max(state.head.next_sheet, 1 + max(covered, default=0)),
        next_view=max(state.head.next_view, 1 + max((v.id for v in found.views), default=0)),
        runs=(*state.head.runs, ran.info),
        dirty=frozenset(overlaid) | ((state.head.dirty - now.keys()) & state.dimensions.keys()),
        due=state.head.touched,
    )


def _is_overlaid(laid: Dimension, found: Dimension) -> bool:
    """Whether the run's verdict is about something else than what stands there now."""
    sides = ("reading", "ends", "kind", "view", "tolerance_set")
    return any(getattr(laid, side) != getattr(found, side) for side in sides)
