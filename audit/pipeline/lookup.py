"""What an audit holds: its sheets, dimensions and views, and what a bare number counts there."""

from __future__ import annotations

import math
from collections.abc import Sequence

from audit.errors import BadPlace, BadUsage
from audit.geometry import Box, Point
from audit.lengths import Unit
from audit.pipeline.texts import counted_as
from audit.records import Audit, Dimension, End, Sheet, StatementKind
from audit.scale import plan_unit


def find_sheet(audit: Audit, number: int) -> Sheet:
    """Return a sheet of an audit.

    Raises
    ------
    BadPlace
        If there is no such sheet.
    """
    for sheet in audit.sheets:
        if sheet.id == number:
            return sheet
    raise BadPlace(f"there is no sheet {number}", advice="look at the list of sheets")


def find_dimension(audit: Audit, number: int) -> Dimension:
    """Return a dimension of an audit.

    Raises
    ------
    BadUsage
        If there is no such dimension.
    """
    for dimension in audit.dimensions:
        if dimension.id == number:
            return dimension
    raise BadUsage(f"there is no dimension {number}", advice="look at the audit as it is now")


def unit_of(audit: Audit, sheet: int) -> Unit | None:
    """Tell what a bare number counts on a sheet: as set, as printed there, or on other sheets."""
    own = [d for d in audit.dimensions if d.sheet == sheet]
    known = {k.length.unit for k in audit.known_sizes}
    settled = audit.settings.length_unit or plan_unit(own) or plan_unit(audit.dimensions)
    return settled or (known.pop() if len(known) == 1 else None)


def counted_on(audit: Audit, sheet: int) -> Unit | None:
    """Tell what the numbers printed on a sheet count: as a note there says, else as `unit_of`.

    Where no note does, as the numbers there, or on other sheets, were taken: a stated scale tells
    centimetres as well.
    """
    if audit.settings.unit is not None:
        return audit.settings.unit
    said = {
        s.form.unit
        for s in audit.statements
        if s.sheet == sheet and s.kind is StatementKind.UNIT and s.form is not None
    } & {Unit.CM, Unit.M}
    if len(said) == 1:
        return said.pop()
    own = [d for d in audit.dimensions if d.sheet == sheet and d.printed is not None]
    return counted_as(own or audit.dimensions) or unit_of(audit, sheet)


def find_view(audit: Audit, sheet: Sheet, ends: Sequence[End]) -> int:
    """Number of the smallest view around a dimension's middle, else of the nearest one; 0: none."""
    return view_at(audit, sheet, Box.around([end.point for end in ends]).centre)


def view_at(audit: Audit, sheet: Sheet, middle: Point) -> int:
    """Number of the smallest view around a place, else of the nearest one; 0: none."""
    views = [v for v in audit.views if v.sheet == sheet.id]
    around = [v for v in views if v.box.contains(middle)]
    if around:
        return min(around, key=lambda v: v.box.width * v.box.height).id
    return min(views, key=lambda v: _off(v.box, middle)).id if views else 0


def _off(box: Box, point: Point) -> float:
    dx = max(box.x0 - point.x, 0.0, point.x - box.x1)
    dy = max(box.y0 - point.y, 0.0, point.y - box.y1)
    return math.hypot(dx, dy)
