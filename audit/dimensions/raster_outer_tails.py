"""Ticks, dots and crosses of short sizes whose lines show outside only: ``-x  x- 8``.

Between the two there is no room for the number, and often nothing is drawn. But from each a short
line runs outwards, the two in line with each other, and each stands on a line square to that: so
both measure along it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from scipy.spatial import cKDTree

from audit.dimensions.ink import Floats, Ink, Line, covered, merge_spans
from audit.dimensions.terminators import Mark

BETWEEN_PT = (4.0, 60.0)  # between the two: in more than 21 mm a number has room
TAIL_PT = (4.0, 40.0)  # length of a line outside
AT_MARK_PT, ASIDE_PT = 3.0, 1.2  # from a mark to where it begins; and beside their common line
TURN_DEG, SQUARE_DEG = 4.0, 86.0  # a short line tells its direction badly
EDGE_PT = 8.0  # least length of what a mark stands on
BARE = 0.1  # share of the way between the two that is drawn


def aim_by_tails(ink: Ink, marks: Sequence[Mark]) -> list[Mark]:
    """Aim pairs of ticks, dots or rings along the lines that run outwards from both.

    Parameters
    ----------
    ink : Ink
    marks : sequence of Mark
        In pt; two that know already along what they measure are left alone.

    Returns
    -------
    list of Mark
        In the same order.
    """
    even = [k for k, m in enumerate(marks) if not m.is_arrow]
    points = np.array([marks[k].point for k in even], float).reshape(-1, 2)
    aimed = list(marks)
    if len(even) < 2:
        return aimed
    for i, j in sorted(cKDTree(points).query_pairs(BETWEEN_PT[1])):
        one, two = marks[even[i]], marks[even[j]]
        if _knows(one) and _knows(two):
            continue
        far = one.point.distance(two.point)
        ux, uy = (
            (two.point.x - one.point.x) / max(far, 1e-9),
            (two.point.y - one.point.y) / max(far, 1e-9),
        )
        line = Line(one.point.x, one.point.y, ux, uy)
        if (
            far > BETWEEN_PT[0]
            and _is_tailed(ink, line, far)
            and _is_free(line, far, points, (i, j))
        ):
            for k in (even[i], even[j]):
                aimed[k] = replace(marks[k], ux=ux, uy=uy, tailed=True)
    return aimed


def _knows(mark: Mark) -> bool:
    """Whether a mark knows along what it measures."""
    return bool(mark.ux or mark.uy)


def _is_tailed(ink: Ink, line: Line, far: float) -> bool:
    """Whether lines run outwards from both ends of a stretch and none between them."""
    back = Line(*line.at(far), -line.ux, -line.uy)
    _, pieces = ink.on_line(line)
    between = covered(merge_spans(pieces, 0.3) if len(pieces) else [], AT_MARK_PT, far - AT_MARK_PT)
    ends = (Line(line.x, line.y, -line.ux, -line.uy), Line(back.x, back.y, line.ux, line.uy))
    return between < BARE * far and all(_has_tail(ink, e) and _stands(ink, e) for e in ends)


def _has_tail(ink: Ink, out: Line) -> bool:
    """Whether a short line begins at a line's own point and runs along it."""
    for i in ink.near((out.x, out.y), AT_MARK_PT):
        (a, off), (b, other) = (out.place(p) for p in ink.end_points(i))
        level = out.turned_from(*map(float, ink.units[i])) < TURN_DEG
        begins = abs(min(a, b)) < AT_MARK_PT and max(abs(off), abs(other)) < ASIDE_PT
        if level and begins and not ink.curved[i] and TAIL_PT[0] < ink.lengths[i] < TAIL_PT[1]:
            return True
    return False


def _stands(ink: Ink, out: Line) -> bool:
    """Whether a line that is no tail passes or reaches a line's own point, square to it."""
    p = (out.x, out.y)
    for i in ink.near(p, ASIDE_PT):
        other = ink.line_of(i)
        along, aside = other.place(p)
        on = abs(aside) < ASIDE_PT and -AT_MARK_PT < along < ink.lengths[i] + AT_MARK_PT
        square = other.turned_from(out.ux, out.uy) > SQUARE_DEG
        if on and square and ink.lengths[i] > EDGE_PT and not ink.curved[i]:
            return True
    return False


def _is_free(line: Line, far: float, points: Floats, own: tuple[int, int]) -> bool:
    """Whether no other mark stands between the two, or on their tails."""
    d = points - np.array([line.x, line.y])
    along, aside = d @ [line.ux, line.uy], np.abs(d @ [-line.uy, line.ux])
    on = (aside < AT_MARK_PT) & (along > -TAIL_PT[1]) & (along < far + TAIL_PT[1])
    on[list(own)] = False
    return not bool(on.any())
