"""Lines that pass a head by a little, and are divided there all the same.

By hand the heads of a chain stand a little off its line. A line that misses one of them, as it
strays, would run on to the next one, and take the number of either of the two sizes.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence

from audit.dimensions.candidates import Candidate
from audit.geometry import Point, project_onto
from audit.records import DimensionKind

SAME_END_PT = 2.5  # between where two lines end at one extension line
BESIDE_PT = 3.0  # of a head beside a line that misses it
LEAST_PT = 6.0  # of either part


def without_divided(candidates: Sequence[Candidate]) -> list[Candidate]:
    """Leave out distances that two others in line with them, as strong, divide.

    Parameters
    ----------
    candidates : sequence of Candidate
        In pt. Those that pass over a mark on their own line are left alone: where that line is
        parted, numbers tell.

    Returns
    -------
    list of Candidate
        In the same order.
    """
    legs = _Legs(candidates)
    return [c for c in candidates if not _is_leg(c) or c.parted or not _is_divided(c, legs)]


class _Legs:
    """Distances by the places where they end: a large sheet has thousands."""

    def __init__(self, candidates: Sequence[Candidate]) -> None:
        self.cells: dict[tuple[int, int], list[tuple[Point, Point, Candidate]]] = defaultdict(list)
        for leg in filter(_is_leg, candidates):
            a, b = (end.point for end in leg.ends)
            self.cells[_cell(a)].append((a, b, leg))
            self.cells[_cell(b)].append((b, a, leg))

    def others(self, c: Candidate, end: Point) -> list[Point]:
        """Far ends of lines as strong as another one that begin at a place."""
        column, row = _cell(end)
        return [
            far
            for i in (-1, 0, 1)
            for j in (-1, 0, 1)
            for near, far, leg in self.cells.get((column + i, row + j), ())
            if near.distance(end) < SAME_END_PT and leg is not c and leg.strength >= c.strength
        ]


def _cell(p: Point) -> tuple[int, int]:
    return math.floor(p.x / SAME_END_PT), math.floor(p.y / SAME_END_PT)


def _is_leg(c: Candidate) -> bool:
    drawn = c.kind is DimensionKind.DISTANCE and not (c.leader or c.plain or c.half or c.unsure)
    return drawn and len(c.ends) == 2


def _is_divided(c: Candidate, legs: _Legs) -> bool:
    a, b = (end.point for end in c.ends)
    if a.distance(b) < 2 * LEAST_PT:
        return False
    firsts = [p for p in legs.others(c, a) if _is_between(p, a, b)]
    lasts = legs.others(c, b) if firsts else []
    return any(p.distance(q) < SAME_END_PT for p in firsts for q in lasts)


def _is_between(p: Point, a: Point, b: Point) -> bool:
    along, aside = project_onto(p, a, b)
    return LEAST_PT < along < a.distance(b) - LEAST_PT and abs(aside) < BESIDE_PT
