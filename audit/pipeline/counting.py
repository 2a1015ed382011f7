"""The number that is printed for something that was counted on a drawing."""

from __future__ import annotations

from collections.abc import Sequence

from audit.geometry import Box, Point
from audit.records import Audit, Dimension, DimensionKind, Sheet

NEAR = 0.35  # of a box's side: the middle of the feature a callout belongs to lies so near its own
LEAST_SHARE = 0.3  # of a box's side: a smaller feature is only a part of what was counted


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
        `None` when no callout with a number belongs to any of them.
    text : str
        The callout, empty when there is none.
    """
    near = [
        (away, d)
        for d in audit.dimensions
        if d.sheet == sheet.id
        and len(d.ends) > 1
        and _count_of(d) is not None
        and (away := min(_away(d, box) for box in places)) <= NEAR
    ]
    if not near:
        return None, ""
    nearest = min(near, key=lambda pair: pair[0])[1]
    return _count_of(nearest), nearest.reading.text if nearest.reading else ""


def _count_of(dimension: Dimension) -> int | None:
    callout = dimension.reading.callout if dimension.reading else None
    return callout.count if callout is not None and (callout.count or 0) > 1 else None


def _away(dimension: Dimension, box: Box) -> float:
    """How far the middles of a feature and of a box are apart, in sides of the box."""
    side = max(box.width, box.height)
    middle, size = _extent(dimension)
    if size < LEAST_SHARE * side:
        return float("inf")
    return middle.distance(box.centre) / side


def _extent(dimension: Dimension) -> tuple[Point, float]:
    """Middle and size of the feature of a dimension."""
    first, second = dimension.ends[0].point, dimension.ends[1].point
    if dimension.kind is DimensionKind.RADIUS:
        return first, 2 * first.distance(second)
    return first.midpoint(second), first.distance(second)
