"""Sizes on pictorial views, known by extension lines that slant to their dimension lines.

On a view seen from a corner (ISO 5456-3) dimension lines run along the slanted axes and extension
lines along others. What is drawn there is no true length.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from audit.dimensions.ink import Ink, merge_spans
from audit.records import Dimension, DimensionKind

REACH_PT = 2.5  # how far short of the dimension line an extension line may stop
OVERSHOOT_PT = 7.5  # how far extension lines usually run past it
LONGER = 1.5  # an extension line reaches so much further to the one side than to the other
FOOT_PT = 6.0  # shorter strokes are parts of arrowheads
DASH_PT, DASH_GAP_PT = 3.0, 4.5  # of extension lines that a two-level scan broke up
SLANT_DEG = (25.0, 78.0)  # between an extension line and a dimension line of a pictorial view
SQUARE_DEG = 84.0
PARALLEL_DEG = 4.0
OFF_AXIS_DEG = 7.0  # a dimension line this near level or upright may stand on a true view
Foot = tuple[float, float, float]  # direction from the dimension line on, its angle to that line


def find_pictorial(ink: Ink, dimensions: Sequence[Dimension], *, upright: float) -> frozenset[int]:
    """Ids of the dimensions that are drawn on pictorial views.

    Parameters
    ----------
    ink : Ink
    dimensions : sequence of Dimension
        Of the same page, with their views.
    upright : float
        Direction in which most text runs, degrees.

    Returns
    -------
    frozenset of int
        Those along a slanted axis, and level or upright ones with slanting extension lines in the
        same view.
    """
    oblique = [d for d in dimensions if _is_oblique(ink, d)]
    slanted = [d for d in oblique if _off_axis(d, upright) > OFF_AXIS_DEG]
    views = {d.view for d in slanted}
    return frozenset(d.id for d in [*slanted, *(d for d in oblique if d.view in views)])


def _is_oblique(ink: Ink, dimension: Dimension) -> bool:
    """Whether slanting lines from one side stop at both its ends, and no square ones do."""
    if dimension.kind is not DimensionKind.DISTANCE or len(dimension.ends) != 2:
        return False
    first, last = (_feet(ink, dimension, which) for which in (0, 1))
    slants = any(
        _turn_between(a, b) < PARALLEL_DEG
        for a in first
        for b in last
        if all(SLANT_DEG[0] < f[2] < SLANT_DEG[1] for f in (a, b))
    )
    return slants and not all(any(f[2] > SQUARE_DEG for f in feet) for feet in (first, last))


def _feet(ink: Ink, dimension: Dimension, which: int) -> list[Foot]:
    """Strokes that come to an end of a dimension from one side and stop there."""
    p, q = dimension.ends[which].point, dimension.ends[1 - which].point
    far = p.distance(q)
    if far == 0:
        return []
    ux, uy = (q.x - p.x) / far, (q.y - p.y) / far
    found = []
    for i in ink.near(p, REACH_PT):
        if ink.curved[i] or ink.lengths[i] < DASH_PT:
            continue
        line = ink.line_of(i)
        at, aside = line.place(p)
        low, high = _drawn(ink, i)
        if high - low < FOOT_PT:
            continue
        before, after = at - low, high - at
        near, long = min(before, after), max(before, after)
        if abs(aside) > REACH_PT or near < -REACH_PT or near > OVERSHOOT_PT:
            continue
        if long < LONGER * max(near, 0.0) + FOOT_PT:
            continue
        way = 1.0 if after > before else -1.0
        found.append((way * line.ux, way * line.uy, line.turned_from(ux, uy)))
    return found


def _drawn(ink: Ink, i: int) -> tuple[float, float]:
    """How far a stroke reaches along its line, with the dashes that go on from a short one."""
    length = float(ink.lengths[i])
    if length >= FOOT_PT:
        return 0.0, length
    _, pieces = ink.on_line(ink.line_of(i))
    spans = merge_spans(pieces, DASH_GAP_PT)
    return next(((a, b) for a, b in spans if a <= length / 2 <= b), (0.0, length))


def _turn_between(a: Foot, b: Foot) -> float:
    """Degrees between two directions, 0 to 180: feet on two sides are far apart."""
    return math.degrees(math.acos(max(-1.0, min(1.0, a[0] * b[0] + a[1] * b[1]))))


def _off_axis(dimension: Dimension, upright: float) -> float:
    p, q = (e.point for e in dimension.ends)
    turn = math.degrees(math.atan2(-(q.y - p.y), q.x - p.x)) - upright
    return abs((turn + 45.0) % 90.0 - 45.0)
