"""The whole order of the stages: from files to a judged audit."""

from __future__ import annotations

import logging
from collections import Counter
from collections.abc import Callable, Sequence
from contextlib import nullcontext
from dataclasses import dataclass, replace

from audit.errors import AuditError, BadPlace
from audit.lengths import Unit
from audit.pipeline.creases import propose_folds
from audit.pipeline.folding import mark_folds
from audit.pipeline.judging import join_judged
from audit.pipeline.laying_flat import GivenPaper, LaidFlat, lay_flat, parse_paper
from audit.pipeline.recalling import recall_sheets
from audit.pipeline.request import CheckRequest
from audit.pipeline.settling_paper import settle_paper
from audit.pipeline.settling_stretch import settle_stretch
from audit.pipeline.sheet import FoundSheet, JudgedSheet, judge_sheet, look_at_sheet
from audit.pipeline.texts import SheetUnit, with_unit
from audit.records import Audit, Finding, KnownSize, Sheet
from audit.scale.findings import say
from audit.sheets import (
    KnownRectangle,
    LoadedPlan,
    MarkedFold,
    PointRow,
    Unopened,
    load_plan,
    parse_fold,
    parse_known,
    parse_rectangle,
    read_points,
)

log = logging.getLogger(__name__)

NOT_READ = "D104"

Progress = Callable[[str], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """The result of `check`: the audit, what could not be opened, and what was opened in vain.

    `unread` are the files of which not one sheet could be looked at.
    """

    audit: Audit
    unopened: tuple[Unopened, ...]
    unread: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Given:
    """What the user gave with the plans, taken apart."""

    known: tuple[KnownSize, ...]
    rectangles: tuple[KnownRectangle, ...]
    rows: tuple[PointRow, ...]
    placed: tuple[KnownSize, ...] = ()
    papers: tuple[GivenPaper, ...] = ()
    folds: tuple[MarkedFold, ...] = ()


def be_silent(_: str) -> None:
    """Tell nobody about progress."""


def check(
    request: CheckRequest, *, plan: LoadedPlan | None = None, progress: Progress = be_silent
) -> Checked:
    """Audit plans.

    Parameters
    ----------
    request : CheckRequest
    plan : LoadedPlan, optional
        Its files, where they are open already; they stay open.
    progress : callable
        Told in a few words what is being done.

    Returns
    -------
    Checked

    Raises
    ------
    BadPlace
        If a known size, rectangle or point names a sheet that is not there.
    """
    request = replace(request, settings=request.settled)
    given = _take_apart(request)
    with nullcontext(plan) if plan is not None else load_plan(request.plans) as opened:
        numbers = {sheet.id for sheet in opened.sheets}
        _refuse_unknown_sheets(given, numbers)
        recalled = recall_sheets(opened.sheets, request.before)
        given = replace(given, placed=recalled.known_sizes)
        laid = tuple(
            lay_flat(opened, sheet, rectangles=given.rectangles, papers=given.papers)
            for sheet in mark_folds(recalled.sheets, given.folds)
        )
        found = _look(opened, laid, given, request, progress)
        judged = _judge(_share_unit(found), request, progress)
        return Checked(
            audit=_assemble(request, judged, opened.unopened),
            unopened=opened.unopened,
            unread=_list_unread(found),
        )


def _take_apart(request: CheckRequest) -> Given:
    unit = request.settings.unit
    rows: list[PointRow] = []
    for path in request.points:
        rows += read_points(path)
    return Given(
        known=tuple(parse_known(text, unit=unit) for text in request.known),
        rectangles=tuple(parse_rectangle(text, unit=unit) for text in request.rectangles),
        rows=tuple(rows),
        papers=tuple(parse_paper(text) for text in request.papers),
        folds=tuple(parse_fold(text, unit=unit) for text in request.folds),
    )


def _refuse_unknown_sheets(given: Given, numbers: set[int]) -> None:
    named = [
        *(("a known size", k.sheet) for k in given.known),
        *(("a rectangle", r.sheet) for r in given.rectangles),
        *(("a paper", p.sheet) for p in given.papers if p.sheet),
        *(("a fold", f.sheet) for f in given.folds),
        *((f"line {row.line} of the points", row.sheet) for row in given.rows),
    ]
    for what, sheet in named:
        if sheet not in numbers:
            last = max(numbers, default=0)
            there = "only sheet 1" if last == 1 else f"sheets 1 to {last}"
            raise BadPlace(f"{what} names sheet {sheet}", advice=f"there is {there}")


def _look(
    plan: LoadedPlan,
    laid: Sequence[LaidFlat],
    given: Given,
    request: CheckRequest,
    progress: Progress,
) -> tuple[FoundSheet, ...]:
    found: list[FoundSheet] = []
    next_id, next_view = 1, 1
    for flat in laid:
        sheet = flat.looked_at
        progress(f"looking at sheet {sheet.id} of {len(laid)}: {sheet.name}")
        try:
            one = look_at_sheet(
                plan,
                sheet,
                rows=given.rows,
                known_sizes=given.known,
                placed_known=given.placed,
                settings=request.settings,
                first_id=next_id,
            )
        except BadPlace:
            raise
        except AuditError as error:
            one = FoundSheet(sheet=sheet, findings=(_not_read(sheet.name, error),))
        one = settle_stretch(settle_paper(one, flat, request.settings), flat, request.settings)
        one = replace(one, findings=one.findings + _propose_folds(plan, one.sheet))
        one = _number_views(one, next_view)
        next_id += len(one.dimensions)
        next_view += len(one.views)
        found.append(one)
    return tuple(found)


def _propose_folds(plan: LoadedPlan, sheet: Sheet) -> tuple[Finding, ...]:
    """Propose folds where the sheet can be looked at: a damaged one must not end the check."""
    try:
        return propose_folds(plan, sheet)
    except AuditError as error:
        log.info("no folds looked for on %s: %s", sheet.name, error)
        return ()


def _list_unread(found: Sequence[FoundSheet]) -> tuple[str, ...]:
    read = {f.sheet.source for f in found if all(x.code != NOT_READ for x in f.findings)}
    return tuple(dict.fromkeys(f.sheet.source for f in found if f.sheet.source not in read))


def _number_views(found: FoundSheet, first: int) -> FoundSheet:
    """Give views numbers that no other sheet's views have."""
    numbers = {view.id: n for n, view in enumerate(found.views, start=first)}
    return replace(
        found,
        views=tuple(replace(v, id=numbers[v.id]) for v in found.views),
        dimensions=tuple(replace(d, view=numbers.get(d.view, 0)) for d in found.dimensions),
    )


def _share_unit(found: Sequence[FoundSheet]) -> tuple[FoundSheet, ...]:
    """Let sheets that say nothing of their unit count as the others of the plan do."""
    counts = Counter(f.unit.unit for f in found if f.unit.unit is not None)
    if len(counts) != 1:
        return tuple(found)
    (unit,) = counts
    return tuple(f if f.unit.unit is not None else _with_unit(f, unit) for f in found)


def _with_unit(found: FoundSheet, unit: Unit) -> FoundSheet:
    return replace(
        found,
        unit=SheetUnit(unit, "the other sheets"),
        dimensions=with_unit(found.dimensions, unit),
    )


def _judge(
    found: Sequence[FoundSheet], request: CheckRequest, progress: Progress
) -> tuple[JudgedSheet, ...]:
    progress("comparing printed with drawn")
    everything = [d for f in found for d in f.dimensions]
    return tuple(judge_sheet(f, others=everything, settings=request.settings) for f in found)


def _assemble(
    request: CheckRequest, judged: Sequence[JudgedSheet], unopened: Sequence[Unopened]
) -> Audit:
    audit = Audit(
        name=request.plans[0].stem,
        settings=request.settings,
        sheets=tuple(j.found.sheet for j in judged),
        statements=tuple(s for j in judged for s in j.found.statements),
        known_sizes=tuple(k for j in judged for k in j.found.known_sizes),
    )
    others = [_not_read(u.source, u.error) for u in unopened]
    return join_judged(audit, judged, others=others)


def _not_read(name: str, error: AuditError) -> Finding:
    do = f"; {error.advice}" if error.advice else ""
    text = f"{name} was not read, nothing on it was checked: {error.problem}{do}."
    return say(NOT_READ, text, places=())
