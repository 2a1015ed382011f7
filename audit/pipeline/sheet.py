"""One sheet: found, placed, scaled and judged."""

from __future__ import annotations

import logging
from collections.abc import Sequence
from dataclasses import dataclass, replace

from audit.checks import Judged, account_for, judge
from audit.dimensions import find_dimensions
from audit.geometry import Point
from audit.lengths import Unit
from audit.pipeline.numbering import number_dimensions
from audit.pipeline.pictures import find_on_picture
from audit.pipeline.placing import place_rows, snap_known
from audit.pipeline.texts import (
    SheetUnit,
    collect_statements,
    collect_texts,
    find_unit,
    with_unit,
)
from audit.pipeline.viewing import give_views
from audit.reading import TextLine, join_texts
from audit.records import (
    CODES,
    Dimension,
    Finding,
    KnownSize,
    PageKind,
    Place,
    Scale,
    Settings,
    Sheet,
    SheetText,
    Statement,
    VectorPage,
    View,
)
from audit.scale import ScaledSheet, fix_scales
from audit.sheets import LoadedPlan, PointRow

log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundSheet:
    """What is on a sheet, before any scale: the result of looking, not of judging."""

    sheet: Sheet
    views: tuple[View, ...] = ()
    dimensions: tuple[Dimension, ...] = ()
    statements: tuple[Statement, ...] = ()
    texts: tuple[SheetText, ...] = ()
    known_sizes: tuple[KnownSize, ...] = ()
    findings: tuple[Finding, ...] = ()
    unit: SheetUnit = SheetUnit(None, "nothing was read")  # noqa: RUF009  # frozen


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedSheet:
    """A sheet with scales and verdicts."""

    found: FoundSheet
    views: tuple[View, ...]
    dimensions: tuple[Dimension, ...]
    texts: tuple[SheetText, ...]
    findings: tuple[Finding, ...]


def look_at_sheet(
    plan: LoadedPlan,
    sheet: Sheet,
    *,
    rows: Sequence[PointRow] = (),
    known_sizes: Sequence[KnownSize] = (),
    settings: Settings,
    first_id: int = 1,
) -> FoundSheet:
    """Find everything on a sheet and place what the user gave.

    Parameters
    ----------
    plan : LoadedPlan
    sheet : Sheet
    rows : sequence of PointRow
        Points of any sheet; those of this one are placed.
    known_sizes : sequence of KnownSize
        Of any sheet.
    settings : Settings
    first_id : int
        Number of the sheet's first dimension.

    Returns
    -------
    FoundSheet
    """
    page = _vector_page(plan, sheet)
    texts = join_texts(page) if page is not None else ()
    unit = find_unit(texts, settings)
    drawn, views, leftover = _find(page, texts, sheet=sheet, unit=unit.unit)
    placed = place_rows(plan, sheet, rows, unit=unit.unit)
    if unit.unit is None:
        unit = _unit_of_typed(placed) or unit
        placed = with_unit(placed, unit.unit) if unit.unit else placed
    known = tuple(snap_known(plan, sheet, k) for k in known_sizes if k.sheet == sheet.id)
    statements = collect_statements(leftover, sheet=sheet.id, unit=unit.unit)
    size_texts = collect_texts(texts, statements, sheet=sheet.id, unit=unit.unit)
    placed, read_texts, told = find_on_picture(plan, sheet, placed, unit=unit.unit)
    dimensions = number_dimensions([*placed, *_without_twins(drawn, placed)], first_id)
    views, dimensions = give_views(sheet, views, dimensions)
    return FoundSheet(
        sheet=sheet,
        views=views,
        dimensions=dimensions,
        statements=statements,
        texts=size_texts + read_texts,
        known_sizes=known,
        findings=_source_findings(sheet, page) + _not_looked_for(sheet, page) + told,
        unit=unit,
    )


def _vector_page(plan: LoadedPlan, sheet: Sheet) -> VectorPage | None:
    if sheet.kind not in (PageKind.VECTOR, PageKind.BOTH):
        return None
    return plan.vector_page(sheet)


def _find(
    page: VectorPage | None, texts: Sequence[TextLine], *, sheet: Sheet, unit: Unit | None
) -> tuple[tuple[Dimension, ...], tuple[View, ...], tuple[TextLine, ...]]:
    if page is None:
        return (), (), tuple(texts)
    found = find_dimensions(page, texts, sheet=sheet.id, unit=unit)
    return found.dimensions, found.views, found.leftover


def _unit_of_typed(placed: Sequence[Dimension]) -> SheetUnit | None:
    """What the sizes a person typed count, when the sheet itself says nothing."""
    printed = [d.printed for d in placed]
    units = {p.unit for p in printed if p is not None and p.unit is not Unit.DEG}
    return SheetUnit(units.pop(), "the sizes you typed") if len(units) == 1 else None


def _without_twins(
    drawn: Sequence[Dimension], placed: Sequence[Dimension]
) -> tuple[Dimension, ...]:
    """Leave out what a person has placed already: same kind, same ends within a stroke or two."""
    return tuple(d for d in drawn if not any(_is_twin(d, p) for p in placed))


def _is_twin(one: Dimension, other: Dimension) -> bool:
    if one.kind is not other.kind or len(one.ends) != len(other.ends):
        return False
    first = [end.point for end in one.ends]
    second = [end.point for end in other.ends]
    size = max(1e-9, first[0].distance(first[-1]))
    near = min(0.2 * size, 6.0)
    return _all_near(first, second, near) or _all_near(first, second[::-1], near)


def _all_near(first: Sequence[Point], second: Sequence[Point], near: float) -> bool:
    return all(a.distance(b) <= near for a, b in zip(first, second, strict=True))


def _source_findings(sheet: Sheet, page: VectorPage | None) -> tuple[Finding, ...]:
    told = []
    whole = (Place(sheet=sheet.id, box=sheet.box),)
    if any("repair" in remark for remark in sheet.remarks):
        text = f"{sheet.name} was damaged and repaired while opening; compare it with the paper."
        code = CODES["D101"]
        told.append(Finding(id=0, code=code.code, severity=code.severity, places=whole, text=text))
    if page is not None and page.truncated:
        text = f"{sheet.name} holds more than the limits allow; what was left out is not checked."
        code = CODES["D102"]
        told.append(Finding(id=0, code=code.code, severity=code.severity, places=whole, text=text))
    return tuple(told)


def _not_looked_for(sheet: Sheet, page: VectorPage | None) -> tuple[Finding, ...]:
    """Say that on a picture only what was given is checked: silence must not read as approval."""
    if page is not None or sheet.kind is PageKind.EMPTY:
        return ()
    code = CODES["D105"]
    text = (
        f"On {sheet.name} only the points you gave were checked; other sizes were not looked for."
    )
    whole = (Place(sheet=sheet.id, box=sheet.box),)
    return (Finding(id=0, code=code.code, severity=code.severity, places=whole, text=text),)


def judge_sheet(
    found: FoundSheet, *, others: Sequence[Dimension] = (), settings: Settings
) -> JudgedSheet:
    """Give a sheet its scales and verdicts.

    Parameters
    ----------
    found : FoundSheet
    others : sequence of Dimension
        Of the other sheets: the plan's finest step and unit are those of the whole plan.
    settings : Settings

    Returns
    -------
    JudgedSheet
    """
    dimensions, scaled = _scale(found, settings)
    everything = [*dimensions, *(d for d in others if d.sheet != found.sheet.id)]
    judged: Judged = judge(scaled, everything, settings=settings)
    texts = account_for(
        found.texts,
        judged.dimensions,
        statements=found.statements,
        used=scaled.compared,
    )
    return JudgedSheet(
        found=replace(found, dimensions=dimensions),
        views=judged.views,
        dimensions=judged.dimensions,
        texts=texts,
        findings=found.findings + scaled.findings + judged.findings,
    )


def _scale(found: FoundSheet, settings: Settings) -> tuple[tuple[Dimension, ...], ScaledSheet]:
    """Fix the scales; where nothing printed says the unit, let a standard scale decide it."""

    def fix(dimensions: Sequence[Dimension]) -> ScaledSheet:
        return fix_scales(
            found.sheet,
            found.views,
            dimensions=dimensions,
            known_sizes=found.known_sizes,
            statements=found.statements,
            settings=settings,
        )

    if found.unit.unit is not None:
        return found.dimensions, fix(found.dimensions)
    fitting = []
    for unit in (Unit.IN, Unit.MM):
        dimensions = with_unit(found.dimensions, unit)
        scaled = fix(dimensions)
        named = sum(isinstance(v.scale, Scale) and v.scale.drawn is not None for v in scaled.views)
        if named:
            fitting.append((dimensions, scaled, unit))
    if len(fitting) != 1:
        return found.dimensions, fix(found.dimensions)
    dimensions, scaled, unit = fitting[0]
    return dimensions, replace(
        scaled, findings=(*scaled.findings, _unit_finding(found.sheet, unit))
    )


def _unit_finding(sheet: Sheet, unit: Unit) -> Finding:
    code = CODES["S107"]
    name = "inches" if unit is Unit.IN else "mm"
    other = "mm" if unit is Unit.IN else "inches"
    text = (
        f"Nothing printed on {sheet.name} says what its numbers count. Taken as {name} the drawing "
        f"has a standard scale, as {other} it has none; so they are taken as {name}."
    )
    return Finding(
        id=0,
        code=code.code,
        severity=code.severity,
        places=(Place(sheet=sheet.id, box=sheet.box),),
        text=text,
    )
