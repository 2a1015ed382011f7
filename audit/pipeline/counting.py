"""The number that is printed for something that was counted on a drawing."""

from __future__ import annotations

from collections.abc import Sequence

from audit.geometry import Box, Point
from audit.records import Audit, Dimension, Sheet

NEAR = 3.0  # sides of the example: a callout further off speaks of something else


def printed_count(audit: Audit, sheet: Sheet, places: Sequence[Box]) -> tuple[int | None, str]:
    """Find the number printed at one of what is counted: the 6 of ``6X Ø 1/4``.

    Parameters
    ----------
    audit : Audit
    sheet : Sheet
    places : sequence of Box
        Around each of them, sheet frame; at least one.

    Returns
    -------
    count : int or None
        `None` when no callout with a number stands near.
    text : str
        The callout, empty when there is none.
    """
    reach = NEAR * max(max(box.width, box.height) for box in places)
    near = [
        (away, d)
        for d in audit.dimensions
        if d.sheet == sheet.id
        and _count_of(d) is not None
        and (away := min(_away(p, box) for p in _places(d) for box in places)) <= reach
    ]
    if not near:
        return None, ""
    nearest = min(near, key=lambda pair: pair[0])[1]
    return _count_of(nearest), nearest.reading.text if nearest.reading else ""


def _count_of(dimension: Dimension) -> int | None:
    callout = dimension.reading.callout if dimension.reading else None
    return callout.count if callout is not None and (callout.count or 0) > 1 else None


def _places(dimension: Dimension) -> list[Point]:
    return [*(end.point for end in dimension.ends), *dimension.line]


def _away(point: Point, box: Box) -> float:
    dx = max(box.x0 - point.x, 0.0, point.x - box.x1)
    dy = max(box.y0 - point.y, 0.0, point.y - box.y1)
    return float((dx * dx + dy * dy) ** 0.5)
