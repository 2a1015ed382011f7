"""Half views: the centre line they are mirrored on, and words that speak of half a part."""

from __future__ import annotations

import math
from collections.abc import Sequence

from audit.errors import BadUsage
from audit.geometry import Box, Point, Transform
from audit.records import Audit, Dimension, DimensionKind, EndKind, View, ViewKind

MIRRORED_LINE = 0.9  # of a size: a dimension line shorter than this shows only part of it
HALF_WORDS = ("HALF VIEW", "HALF PATTERN", "HALF SECTION")
HALF_REACH = 0.25  # of a view's longer side: how far below it words may stand that are about it


def centre_line(
    view: View,
    dimensions: Sequence[Dimension],
    to_real: Transform,
    *,
    given: tuple[Point, Point] | None = None,
) -> tuple[Point, Point] | None:
    """Find the centre line a view is mirrored on.

    Parameters
    ----------
    view : View
        Of any kind.
    dimensions : sequence of Dimension
        Of the view.
    to_real : Transform
        From the sheet's frame to real mm.
    given : (Point, Point) or None
        Two places on it in the sheet's frame, which go before all.

    Returns
    -------
    (Point, Point) or None
        Real mm; `None` when the view is whole.

    Raises
    ------
    BadUsage
        If the given places are one, or the line of a half view was not found.
    """
    if given is not None:
        a, b = (to_real.apply(p) for p in given)
        if a.distance(b) < 1.0:
            raise BadUsage("the two places of the centre line are one", advice="give two ends")
        return a, b
    if view.kind is not ViewKind.HALF:
        return None
    axis = find_half_axis(view, dimensions, to_real)
    if axis is None:
        problem = f"the centre line of half view {view.id} was not found"
        raise BadUsage(problem, advice="give two places on it with --centre-line 'x,y x,y'")
    return axis


def find_half_axis(
    view: View, dimensions: Sequence[Dimension], to_real: Transform
) -> tuple[Point, Point] | None:
    """Take the centre line of a half view off the sizes drawn across it.

    Where the whole size is printed, the far end was mirrored: the middle of the ends lies on the
    centre line. Where half of it is printed, the size ends on the centre line. Either way the line
    is square to the size.

    Parameters
    ----------
    view : View
    dimensions : sequence of Dimension
        Of the view.
    to_real : Transform

    Returns
    -------
    (Point, Point) or None
        Real mm; `None` when no size tells.
    """
    for dimension in dimensions:
        place = _on_centre_line(view, dimension)
        if place is not None:
            a, b = (to_real.apply(end.point) for end in dimension.ends)
            at = to_real.apply(place)
            return at, at.moved(-(b.y - a.y), b.x - a.x)
    return None


def _on_centre_line(view: View, dimension: Dimension) -> Point | None:
    """Return the place where a size meets the centre line of a half view, if it does."""
    if dimension.kind not in (DimensionKind.DISTANCE, DimensionKind.DIAMETER):
        return None
    ends = [end.point for end in dimension.ends]
    if len(ends) != 2 or ends[0] == ends[1]:
        return None
    middle = ends[0].midpoint(ends[1])
    if [view.box.contains(end) for end in ends].count(True) == 1:
        return middle
    centre = [e.point for e in dimension.ends if e.kind is EndKind.CENTRE]
    if len(centre) != 1:
        return None
    drawn = dimension.line[0].distance(dimension.line[-1]) if len(dimension.line) > 1 else 0.0
    # the line of a mirrored size stops soon behind the centre line
    is_mirrored = 0 < drawn < MIRRORED_LINE * ends[0].distance(ends[1])
    return middle if is_mirrored else centre[0]


def warn_half(audit: Audit, view: View, axis: tuple[Point, Point] | None) -> tuple[str, ...]:
    """Warn where the sheet speaks of half a view, and it is not mirrored.

    Parameters
    ----------
    audit : Audit
        With the statements of the sheet.
    view : View
        To be printed.
    axis : (Point, Point) or None
        What it is mirrored on.

    Returns
    -------
    tuple of str
        Empty when there is nothing to warn of.
    """
    reach = HALF_REACH * max(view.box.width, view.box.height)
    beside = [v for v in audit.views if v.sheet == view.sheet]
    says = [
        s.text
        for s in audit.statements
        if s.sheet == view.sheet
        and s.text.upper() in HALF_WORDS
        and _apart(view.box, s.box) <= min(_apart(v.box, s.box) for v in beside)
        and _apart(view.box, s.box) <= reach
    ]
    if axis is not None or not says:
        return ()
    return (
        f"The sheet says “{says[0]}” here. If only half of the part is drawn, print again with "
        "--centre-line, two places on its centre line.",
    )


def _apart(first: Box, second: Box) -> float:
    """Distance of two boxes, sheet frame; 0 where they touch."""
    dx = max(first.x0 - second.x1, second.x0 - first.x1, 0.0)
    dy = max(first.y0 - second.y1, second.y0 - first.y1, 0.0)
    return math.hypot(dx, dy)
