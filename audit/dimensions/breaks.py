"""Break lines: a straight line with a Z in it, or a wavy one, in facing pairs.

A length measured across a pair of them is drawn shorter than it is.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from audit.dimensions.ink import Floats, Ink, Line
from audit.geometry import Box, Point

MIN_BREAK_PT = 12.0
MIN_ZIG_PT, MAX_ZIG_PT = 2.0, 28.0  # how far the Z reaches off the line
MAX_PIECES = 7
JOINED_PT = 0.3
PARALLEL_DEG = 6.0
MAX_APART_PT = 72.0
WAVE_PIECES = 12  # a wavy break line is flattened into this many pieces at least
FEWEST_ACROSS = 3  # solid lines across both of a pair that show that nothing is left out
INNER = 0.05  # of a break line's length, at its ends
MIN_WAVE, MAX_WAVE = 0.02, 0.25  # amplitude over length


@dataclass(frozen=True, slots=True)
class BreakLine:
    """One break line, from end to end."""

    a: Point
    b: Point

    @property
    def line(self) -> Line:
        """The endless line it follows."""
        far = max(self.a.distance(self.b), 1e-6)
        return Line(self.a.x, self.a.y, (self.b.x - self.a.x) / far, (self.b.y - self.a.y) / far)


@dataclass(frozen=True, slots=True)
class BreakPair:
    """Two facing break lines, between which the part is left out."""

    first: BreakLine
    second: BreakLine

    @property
    def box(self) -> Box:
        """Upright box around both."""
        return Box.around((self.first.a, self.first.b, self.second.a, self.second.b))

    def lies_between(self, p: Point, q: Point) -> bool:
        """Whether the way from `p` to `q` leads across both lines, beside their whole length."""
        u = self.first.line
        along = [u.place(point)[0] for point in (p, q)]
        low, high = 0.0, self.first.a.distance(self.first.b)
        room = 1.5 * (high - low) + 40.0  # dimension lines stand well outside the outline
        if max(along) < low - room or min(along) > high + room:
            return False
        sides = []
        for line in (self.first.line, self.second.line):
            one, two = line.place(p)[1], line.place(q)[1]
            sides.append(one * two < 0)
        return all(sides)


def find_breaks(ink: Ink) -> list[BreakPair]:
    """Find all facing pairs of break lines."""
    lines = _break_lines(ink)
    pairs: list[BreakPair] = []
    used: set[int] = set()
    for i, first in enumerate(lines):
        for j in range(i + 1, len(lines)):
            if i not in used and j not in used and _face(first, lines[j]):
                used |= {i, j}
                pair = BreakPair(first, lines[j])
                if not _runs_on(ink, pair):
                    pairs.append(pair)
    return pairs


def _runs_on(ink: Ink, pair: BreakPair) -> bool:
    """Whether the drawing runs on across both lines, as across the sign for glass.

    Where a part is broken its edges stop; a centre line or a dimension line may run on.
    """
    across = 0
    for k in map(int, ink.straight):
        if ink.dashed[k] or ink.lengths[k] < MIN_BREAK_PT:
            continue
        p, q = ink.end_points(k)
        if all(_crosses(line, p, q) for line in (pair.first, pair.second)):
            across += 1
    return across >= FEWEST_ACROSS


def _crosses(line: BreakLine, p: Point, q: Point) -> bool:
    """Whether the way from `p` to `q` crosses a break line well inside it, at a good angle."""
    u = line.line
    (a0, s0), (a1, s1) = u.place(p), u.place(q)
    if s0 * s1 >= 0 or abs(s1 - s0) < abs(a1 - a0) / 4:
        return False
    at = a0 + (a1 - a0) * s0 / (s0 - s1)
    length = line.a.distance(line.b)
    return INNER * length < at < (1 - INNER) * length


def _face(first: BreakLine, second: BreakLine) -> bool:
    a, b = first.line, second.line
    if a.turned_from(b.ux, b.uy) > PARALLEL_DEG:
        return False
    long, aside = a.place(second.a.midpoint(second.b))
    length = first.a.distance(first.b)
    other = second.a.distance(second.b)
    return (
        1.0 < abs(aside) < MAX_APART_PT
        and 0.0 < long < length
        and 0.5 < other / max(length, 1e-6) < 2.0
    )


def _break_lines(ink: Ink) -> list[BreakLine]:
    """Chains of joined strokes that leave a straight line and come back to it, or wave about it."""
    found = []
    for chain in _chains(ink):
        points = np.vstack([ink.ends[chain[:1], :2], ink.ends[chain, 2:]])
        if len(chain) <= MAX_PIECES:
            line = _zigzag(points)
        elif bool(ink.curved[chain].all()) and len(chain) >= WAVE_PIECES:
            line = _wave(points)
        else:
            line = None
        if line is not None:
            found.append(line)
    return found


def _chains(ink: Ink) -> list[list[int]]:
    """Strokes of one path that follow each other."""
    n = len(ink)
    if n < 3:
        return []
    gap = np.abs(ink.ends[1:, :2] - ink.ends[:-1, 2:]).max(axis=1)
    joined = (gap < JOINED_PT) & (ink.paths[1:] == ink.paths[:-1])
    cuts = [-1, *np.flatnonzero(~joined).tolist(), n - 1]
    return [list(range(a + 1, b + 1)) for a, b in pairwise(cuts) if b - a >= 3]


def _straight_line(points: Floats) -> tuple[Floats, Floats, float] | None:
    """Place along and aside of points relative to the chord from the first to the last."""
    chord = points[-1] - points[0]
    length = float(np.hypot(*chord))
    if length < MIN_BREAK_PT:
        return None
    u = chord / length
    d = points - points[0]
    return d @ u, d @ np.array([-u[1], u[0]]), length


def _zigzag(points: Floats) -> BreakLine | None:
    """A line whose first and last piece lie on one chord, with a Z between that crosses it."""
    placed = _straight_line(points)
    if placed is None or len(points) < 5:
        return None
    along, aside, length = placed
    first, last = points[1] - points[0], points[-1] - points[-2]
    parallel = abs(first[0] * last[1] - first[1] * last[0]) < 0.03 * np.hypot(*first) * np.hypot(
        *last
    )
    on_chord = max(abs(aside[1]), abs(aside[-2])) < 0.03 * length
    middle = aside[2:-2] if len(points) > 5 else aside[1:-1]
    reach = float(np.abs(middle).max()) if len(middle) else 0.0
    crosses = len(points) == 5 or float(middle.max()) * float(middle.min()) < 0
    if not (parallel and on_chord and MIN_ZIG_PT < reach < MAX_ZIG_PT and reach < 0.5 * length):
        return None
    if not crosses or float(along[1]) < 0.1 * length or float(along[-2]) > 0.9 * length:
        return None
    return BreakLine(Point(*map(float, points[0])), Point(*map(float, points[-1])))


def _wave(points: Floats) -> BreakLine | None:
    """A hand-drawn or S-shaped break: runs along its chord and crosses it at least once."""
    placed = _straight_line(points)
    if placed is None:
        return None
    along, aside, length = placed
    onwards = float((np.diff(along) > 0).mean())
    reach = float(np.abs(aside).max()) / length
    inner = aside[np.abs(aside) > 0.15 * reach * length]
    crossings = int((np.diff(np.sign(inner)) != 0).sum())
    if onwards < 0.9 or not MIN_WAVE < reach < MAX_WAVE or crossings < 1:
        return None
    return BreakLine(Point(*map(float, points[0])), Point(*map(float, points[-1])))
