"""Numbers beside a short length that were given to the blank between it and its neighbour.

In a row of dimensions a short one has its arrows and its number outside, over the blank between it
and the next one of the row. The arrowheads that face each other across the blank look like those
of one more dimension, and the number stands between them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from audit.geometry import Point
from audit.pipeline.centred_texts import OFF_MIDDLE
from audit.records import Dimension, DimensionKind
from audit.scale.usable import SURELY_FOUND

IN_ROW = 0.02  # of the blank's length, by which its neighbours may stray from its line
SHARED = 0.02  # of it, between its end and theirs
SHORT = 4.0  # times as long as its number: a longer one has room for number and arrows inside


def hand_outside_texts(dimensions: Sequence[Dimension]) -> tuple[Dimension, ...]:
    """Give the numbers of blanks between two dimensions to the short one that they stand beside.

    Parameters
    ----------
    dimensions : sequence of Dimension
        Of one picture, places in its px; a blank between the arrowheads of two others is not
        surely found.

    Returns
    -------
    tuple of Dimension
        Without the blanks whose numbers were given away.
    """
    given: dict[int, Dimension] = {}
    blank: set[int] = set()
    for dimension in dimensions:
        beside = _short_beside(dimension, dimensions)
        if beside is not None and beside.id not in given:
            given[beside.id] = replace(beside, reading=dimension.reading)
            blank.add(dimension.id)
    return tuple(given.get(d.id, d) for d in dimensions if d.id not in blank)


def _short_beside(blank: Dimension, dimensions: Sequence[Dimension]) -> Dimension | None:
    """Find the short dimension without a number at the end of a blank that its number is near to.

    Another dimension of the row must stand at the other end: only then both arrowheads are theirs.
    """
    if not _is_length(blank) or blank.score >= SURELY_FOUND or blank.reading is None:
        return None
    a, b = blank.line
    far = a.distance(b)
    box = blank.reading.box
    along = _along(box.centre, a, b) / far
    if abs(along - 0.5) <= OFF_MIDDLE:
        return None
    near, other = (a, b) if along < 0.5 else (b, a)
    others = [d for d in dimensions if d.id != blank.id and _is_length(d)]
    short = [d for d in others if _goes_on(d, near, other)]
    if len(short) != 1 or not any(_goes_on(d, other, near) for d in others):
        return None
    [found] = short
    long = SHORT * max(box.width, box.height)
    return found if found.reading is None and found.line[0].distance(found.line[1]) < long else None


def _is_length(dimension: Dimension) -> bool:
    line = dimension.line
    return dimension.kind is DimensionKind.DISTANCE and len(line) == 2 and line[0] != line[1]


def _goes_on(dimension: Dimension, end: Point, other: Point) -> bool:
    """Whether a dimension goes on from an end of a blank, in line with it and away from it."""
    far = end.distance(other)
    first, last = sorted(dimension.line, key=end.distance)
    if end.distance(first) > SHARED * far or _along(last, end, other) > 0:
        return False
    ux, uy = (other.x - end.x) / far, (other.y - end.y) / far
    return abs((last.x - end.x) * uy - (last.y - end.y) * ux) < IN_ROW * far


def _along(place: Point, start: Point, end: Point) -> float:
    far = start.distance(end)
    return ((place.x - start.x) * (end.x - start.x) + (place.y - start.y) * (end.y - start.y)) / far
