"""Dots of narrow chains: ``->| 3 1/2 . 5 |<-``, told along what they measure.

Between two heads that point at each other from outside hardly any line is drawn, and the one that
a dot stands on is its extension line. It measures along the way from the one head to the other, and
parts that as surely as any head.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from scipy.spatial import cKDTree

from audit.dimensions.ink import Ink, Line, covered, merge_spans
from audit.dimensions.terminators import Mark

SURE = 0.5  # score of either head
APART_PT, ROOM_PT, BESIDE_PT = (12.0, 130.0), 5.0, 2.5  # of the heads; from them to a dot; aside
FACING_COSINE = 0.97  # of 14 degrees that a head drawn by hand may lean
BARE = 0.25  # share of the way between the heads that is drawn at most


def aim_between_heads(ink: Ink, marks: Sequence[Mark]) -> list[Mark]:
    """Aim dots that stand between two heads pointing at each other along the way between these.

    Parameters
    ----------
    ink : Ink
    marks : sequence of Mark
        In pt.

    Returns
    -------
    list of Mark
        In the same order.
    """
    heads = [m for m in marks if m.is_arrow and m.sure >= SURE]
    if len(heads) < 2 or len(heads) == len(marks):
        return list(marks)
    near = cKDTree(np.array([m.point for m in heads], float)).query_pairs(APART_PT[1])
    ways = [
        (line, far)
        for one, two in ((heads[i], heads[j]) for i, j in sorted(near))
        for line, far in [_way(one, two)]
        if APART_PT[0] < far and _face(one, two, line) and _is_bare(ink, line, far)
    ]
    return [m if m.is_arrow else _aimed(m, ways) for m in marks]


def _way(one: Mark, two: Mark) -> tuple[Line, float]:
    dx, dy = two.point.x - one.point.x, two.point.y - one.point.y
    far = max(float(np.hypot(dx, dy)), 1e-9)
    return Line(one.point.x, one.point.y, dx / far, dy / far), far


def _face(one: Mark, two: Mark, line: Line) -> bool:
    """Whether two heads point at each other, their bodies outside."""
    ways = (one.ux * line.ux + one.uy * line.uy, -two.ux * line.ux - two.uy * line.uy)
    return min(ways) > FACING_COSINE


def _is_bare(ink: Ink, line: Line, far: float) -> bool:
    """Whether no line is drawn from head to head."""
    _, pieces = ink.on_line(line)
    return covered(merge_spans(pieces, 0.3) if len(pieces) else [], 0.0, far) < BARE * far


def _aimed(mark: Mark, ways: Sequence[tuple[Line, float]]) -> Mark:
    for line, far in ways:
        at, aside = line.place(mark.point)
        if ROOM_PT < at < far - ROOM_PT and abs(aside) < BESIDE_PT:
            return replace(mark, ux=line.ux, uy=line.uy, sure=1.0)
    return mark
