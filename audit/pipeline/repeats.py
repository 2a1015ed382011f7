"""How often a hole is drawn whose callout gives a number: the circles of its size.

On a drawn page circles are exact, and a dashed one is known by its pieces. On a picture a ring of
the hole's radius is looked for all over its view.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from audit.geometry import Box, Point
from audit.records import Arc, Dimension, DimensionKind, Repeats, View

SAME_SHARE = 0.01  # of a radius: programs round places to a hundredth of a point
SAME_PT = 0.1
ONE_CENTRE = 0.2  # of a radius: circles of one size that near are one hole, drawn twice
WHOLE_DEG = 330.0  # drawn in all: outlines come in pieces, and centre lines may part them
PART_DEG = 60.0  # less is a rounded corner


@dataclass(frozen=True, slots=True)
class Ring:
    """A hole's circle: its middle in the sheet's frame, and whether it is seen all round."""

    centre: Point
    whole: bool


def count_repeats(
    dimensions: Sequence[Dimension], views: Iterable[View], arcs: Sequence[Arc]
) -> tuple[Dimension, ...]:
    """Count the circles of each hole that is printed with a number.

    Parameters
    ----------
    dimensions : sequence of Dimension
        Of one drawn page, in its views.
    views : iterable of View
        Of the page.
    arcs : sequence of Arc
        All that the page draws, in its frame.

    Returns
    -------
    tuple of Dimension
        In the same order, with `repeats` where holes were counted.
    """

    def count(dimension: Dimension, view: Box) -> Repeats | None:
        return part_by_view(dimension.middle, rings_of_size(dimension, arcs), view)

    return count_holes(dimensions, views, count)


def count_holes(
    dimensions: Iterable[Dimension],
    views: Iterable[View],
    count: Callable[[Dimension, Box], Repeats | None],
) -> tuple[Dimension, ...]:
    """Count what is drawn of each hole that is printed with a number.

    Parameters
    ----------
    dimensions : iterable of Dimension
        Of one sheet, in its views.
    views : iterable of View
        Of the sheet.
    count : function
        What is drawn of the hole of a dimension in the box of its view; `None`: unknown.

    Returns
    -------
    tuple of Dimension
        In the same order, with `repeats` where holes were counted.
    """
    boxes = {view.id: view.box for view in views}
    return tuple(
        replace(d, repeats=count(d, boxes[d.view])) if is_counted_hole(d) and d.view in boxes else d
        for d in dimensions
    )


def is_counted_hole(dimension: Dimension) -> bool:
    """Whether a dimension is that of a whole circle, printed with a number of them.

    Parameters
    ----------
    dimension : Dimension

    Returns
    -------
    bool
    """
    callout = dimension.reading.callout if dimension.reading is not None else None
    return (
        dimension.kind is DimensionKind.DIAMETER
        and callout is not None
        and (callout.count or 0) > 1
        and dimension.sweep is not None
        and dimension.sweep >= WHOLE_DEG
    )


def rings_of_size(dimension: Dimension, arcs: Iterable[Arc]) -> list[Ring]:
    """Return the holes drawn as large as that of a dimension, each once.

    Parameters
    ----------
    dimension : Dimension
        A diameter.
    arcs : iterable of Arc

    Returns
    -------
    list of Ring
    """
    radius = dimension.ends[0].point.distance(dimension.ends[1].point) / 2
    if radius <= 0.0:
        return []
    off = max(SAME_PT, SAME_SHARE * radius)
    alike = [a for a in arcs if abs(a.radius - radius) <= off]
    groups = _by_centre(alike, ONE_CENTRE * radius)
    drawn = [(g[0].centre, math.fsum(a.sweep for a in g)) for g in groups]
    return [Ring(centre, seen >= WHOLE_DEG) for centre, seen in drawn if seen >= PART_DEG]


def _by_centre(arcs: Iterable[Arc], room: float) -> list[list[Arc]]:
    """Put arcs together whose centres lie so near to that of the first one.

    First ones are looked up by squares of that size: a sieve has thousands of holes.
    """
    groups: list[list[Arc]] = []
    begun: dict[tuple[int, int], list[list[Arc]]] = {}
    for arc in arcs:
        column, row = (math.floor(v / room) for v in arc.centre)
        near = (
            group
            for dx in (-1, 0, 1)
            for dy in (-1, 0, 1)
            for group in begun.get((column + dx, row + dy), ())
            if group[0].centre.distance(arc.centre) <= room
        )
        group = next(near, None)
        if group is None:
            group = []
            groups.append(group)
            begun.setdefault((column, row), []).append(group)
        group.append(arc)
    return groups


def part_by_view(own: Point, rings: Sequence[Ring], view: Box) -> Repeats | None:
    """Tell the circles of a hole's own view from those elsewhere.

    Parameters
    ----------
    own : Point
        Middle of the hole itself.
    rings : sequence of Ring
        Of the whole sheet.
    view : Box
        In the sheet's frame.

    Returns
    -------
    Repeats or None
        `None` where the hole itself was not seen: then nothing is known of the others.
    """
    if not rings:
        return None
    near = min(rings, key=lambda r: r.centre.distance(own))
    inside = [r for r in rings if r is near or view.contains(r.centre)]
    rest = sorted(
        (r.centre for r in inside if r.whole and r is not near), key=lambda p: p.distance(own)
    )
    return Repeats(
        places=(near.centre, *rest),
        partly=sum(not r.whole and r is not near for r in inside),
        elsewhere=sum(r.whole and r is not near and not view.contains(r.centre) for r in rings),
    )
