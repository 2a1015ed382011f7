"""Viewports and measured lines: the scale of each view for readers that can measure."""

from __future__ import annotations

import math

from audit.geometry import Point
from audit.lengths import Unit
from audit.records import (
    Audit,
    Dimension,
    DimensionKind,
    MeasuredLine,
    NoScale,
    Sheet,
    Verdict,
    View,
    Viewport,
)
from audit.report.naming import name_views
from audit.report.phrases import (
    FINEST_SHOP,
    VERDICT_STYLES,
    spell_measured,
    spell_printed,
    spell_uncertainty,
    with_unit,
)
from audit.report.seen import PaperSteps, SeenPage, real_steps

MM_PER_IN = 25.4
# A view whose scale varies by more than this over its box (a photo not rectified) gets no
# viewport: one factor would be wrong at its edges. Share of the scale.
LARGEST_VARIATION = 0.005
BAND_PT = 3.2  # width of the coloured band along a dimension line, pt

_LINEAR = (DimensionKind.DISTANCE, DimensionKind.DIAMETER, DimensionKind.RADIUS)


def list_viewports(audit: Audit, sheet: Sheet, page: SeenPage) -> tuple[Viewport, ...]:
    """Viewports of the views of a sheet that have one scale all over.

    Parameters
    ----------
    audit : Audit
    sheet : Sheet
    page : SeenPage

    Returns
    -------
    tuple of Viewport
        In the order of the views; overlapping ones are found by a reader from last to first.
    """
    names, unit = name_views(audit), sheet_unit(audit, sheet.id)
    viewports = []
    for view in audit.views:
        steps = _even_steps(view, sheet, page) if view.sheet == sheet.id else None
        if steps is None or view.box.width <= 0 or view.box.height <= 0:
            continue
        per_unit = MM_PER_IN if unit is Unit.IN else 1.0
        viewports.append(
            Viewport(
                view=view.id,
                box=page.place_box(view.box),
                name=names[view.id],
                ratio=_say_ratio(steps, unit),
                x=steps.x / per_unit,
                y=steps.y / per_unit,
                unit=unit.value,
                denominator=FINEST_SHOP if unit is Unit.IN else 0,
            )
        )
    return tuple(viewports)


def sheet_unit(audit: Audit, sheet: int) -> Unit:
    """Choose the unit that measured lengths are told in: set, else that of most sizes."""
    if audit.settings.length_unit in (Unit.IN, Unit.MM):
        return audit.settings.length_unit
    units = [d.scaled.unit for d in audit.dimensions if d.sheet == sheet and d.scaled]
    units += [d.printed.unit for d in audit.dimensions if d.sheet == sheet and d.printed]
    return Unit.MM if units.count(Unit.MM) > units.count(Unit.IN) else Unit.IN


def list_lines(audit: Audit, sheet: Sheet, page: SeenPage) -> tuple[MeasuredLine, ...]:
    """Measured lines over the dimensions of a sheet, in the colours of their verdicts."""
    scaled_views = {v.view for v in list_viewports(audit, sheet, page)}
    return tuple(
        _line(d, ends, scaled_views)
        for d in audit.dimensions
        if d.sheet == sheet.id and (ends := _band(d, page)) is not None
    )


def _line(dimension: Dimension, ends: tuple[Point, Point], scaled_views: set[int]) -> MeasuredLine:
    return MeasuredLine(
        mark=f"d{dimension.id}",
        a=ends[0],
        b=ends[1],
        colour=VERDICT_STYLES[dimension.verdict].colour,
        width=BAND_PT,
        view=dimension.view if dimension.view in scaled_views else None,
        contents=_line_words(dimension),
    )


def _line_words(dimension: Dimension) -> str:
    """Say scaled and printed in one line: ``3 3/8 in ± 0.009 (printed 3 9/32)``."""
    printed = spell_printed(dimension)
    scaled = dimension.scaled
    if scaled is None:
        return f"printed {printed}"
    size = with_unit(spell_measured(scaled.value, scaled.unit), scaled.unit)
    return f"{size} ± {spell_uncertainty(scaled.expanded, scaled.unit)} (printed {printed})"


def _band(dimension: Dimension, page: SeenPage) -> tuple[Point, Point] | None:
    """Find the ends of the band: the drawn dimension line if there is one, else end to end."""
    if dimension.kind not in _LINEAR or dimension.verdict is Verdict.NOT_A_DIMENSION:
        return None
    ends = tuple(end.point for end in dimension.ends)
    points = dimension.line if len(dimension.line) == 2 else ends
    if dimension.kind is not DimensionKind.DISTANCE:
        points = ends
    if len(points) != 2 or points[0].distance(points[1]) == 0:
        return None
    return page.place(points[0]), page.place(points[1])


def _even_steps(view: View, sheet: Sheet, page: SeenPage) -> PaperSteps | None:
    """Scale of a view at its centre, when it is the same at its corners."""
    scale = view.scale
    if isinstance(scale, NoScale):
        return None
    metric = (scale.x, scale.y, scale.shear)
    middle = real_steps(sheet, page, at=view.box.centre, metric=metric)
    if middle is None:
        return None
    for corner in view.box.corners:
        steps = real_steps(sheet, page, at=corner, metric=metric)
        if steps is None or _differ(steps.x, middle.x) or _differ(steps.y, middle.y):
            return None
    return middle


def _differ(a: float, b: float) -> bool:
    return not math.isclose(a, b, rel_tol=LARGEST_VARIATION)


def _say_ratio(steps: PaperSteps, unit: Unit) -> str:
    """Say the scale of a view as readers show it: ``1 in = 2 in``."""
    x, y = steps.x * 72 / MM_PER_IN, steps.y * 72 / MM_PER_IN
    one, other = f"{x:.4g}", f"{y:.4g}"
    both = one if one == other else f"{one} × {other}"
    return f"1 {unit.value} = {both} {unit.value}"
