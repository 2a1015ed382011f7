"""Breaks of a part on a picture: both edges stop, and nothing straight closes the gap.

Break lines are drawn in many ways, wavy by hand more often than not, but what they do to the part
is always the same: two parallel edges are interrupted at one place and go on in line.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from audit.dimensions.breaks import BreakLine, BreakPair
from audit.dimensions.ink import Floats, Ink, Line
from audit.geometry import Box, Point

MIN_EDGE_PT = 18.0
MIN_GAP_PT, MAX_GAP_PT = 3.0, 60.0
ALIGNED = 0.5  # share by which the two edges' gaps must overlap
PARALLEL_DEG = 1.5
IN_LINE_PT = 1.2
MAX_HEIGHT_PT = 160.0  # between the two edges
MIN_HEIGHT_PT = 4.0
CLOSED = 0.8  # of that height: a straight stroke this long across the gap's end closes the part
AT_END_PT = 6.0  # 2 mm: a blurred edge is traced a little past the stroke that it ends on
CROSSING_DEG = 5.0  # off the straight way across
WIDE = 0.75  # times the sheet's thick strokes: edges are drawn thick
PAST_PT, SQUARE_SINE = 8.0, 0.94  # of an extension line past the line of its size; 70 degrees
FRAME_PT = 36.0  # from a gap to the edges of a frame, or as far as the gap's edges are apart
MOST_EDGES = 1500


@dataclass(frozen=True, slots=True)
class _Gap:
    """An edge that stops at `low` and goes on at `high`, along its line."""

    line: Line
    low: float
    high: float


def find_gaps(
    ink: Ink, *, measured: Sequence[Sequence[Point]] = (), texts: Sequence[Box] = ()
) -> list[BreakPair]:
    """Find the breaks of a traced page.

    Parameters
    ----------
    ink : Ink
    measured : sequence of sequences of Point
        Lines of dimensions. They stop for their numbers, and between long dashes: two of them, one
        above the other, are no part that is broken. Extension lines end a little past them.
    texts : sequence of Box
        Boxes of texts: between the strokes of two large letters nothing is left out.
    """
    edges = _edges(ink)
    led_out = [i for i in edges if _is_led_out(ink, i, measured)]
    gaps = [
        gap
        for gap in _edge_gaps(ink, [i for i in edges if i not in led_out])
        if not any(_lies_on(gap, way) for way in measured)
    ]
    found = []
    used: set[int] = set()
    for i, first in enumerate(gaps):
        for j in range(i + 1, len(gaps)):
            if i in used or j in used:
                continue
            pair = _pair(ink, first, gaps[j])
            if pair is None or any(_lies_in(pair.box, text) for text in texts):
                continue
            if not _is_framed(ink, edges, (first, gaps[j]), measured):
                found.append(pair)
                used |= {i, j}
    return found


def _lies_on(gap: _Gap, way: Sequence[Point]) -> bool:
    """Whether a gap is one in the line of a dimension, or at an end of it."""
    if len(way) < 2:
        return False
    (low, off), (high, other) = (gap.line.place(p) for p in (way[0], way[-1]))
    reach = sorted((low, high))
    across = max(abs(off), abs(other))
    room = IN_LINE_PT
    return across < room and reach[0] < gap.high + room and reach[1] > gap.low - room


def _is_led_out(ink: Ink, i: int, measured: Sequence[Sequence[Point]]) -> bool:
    """Whether a stroke is an extension line: a dimension ends on it, near an end of its own.

    It stops short of the edge that it is led out from, and the edge is whole.
    """
    line, length = ink.line_of(i), float(ink.lengths[i])
    for way in measured:
        dx, dy = way[-1].x - way[0].x, way[-1].y - way[0].y
        if abs(line.ux * dy - line.uy * dx) < SQUARE_SINE * math.hypot(dx, dy):
            continue
        for end in (way[0], way[-1]):
            along, aside = line.place(end)
            if abs(aside) < IN_LINE_PT and -IN_LINE_PT < min(along, length - along) < PAST_PT:
                return True
    return False


def _lies_in(gap: Box, text: Box) -> bool:
    """Whether what looks like a broken part is two letters of one text."""
    return all(text.contains(corner) for corner in gap.corners)


def _edges(ink: Ink) -> list[int]:
    """Strokes that may be edges of parts, longest first."""
    edges = [int(i) for i in ink.straight if ink.lengths[i] > MIN_EDGE_PT]
    if not edges:
        return []
    thick = float(np.percentile(ink.widths[edges], 80))
    edges = [i for i in edges if ink.widths[i] > WIDE * thick]
    return sorted(edges, key=lambda i: -float(ink.lengths[i]))[:MOST_EDGES]


def _edge_gaps(ink: Ink, edges: Sequence[int]) -> list[_Gap]:
    if not edges:
        return []
    gaps = []
    ends = ink.ends[list(edges)]
    for n, i in enumerate(edges):
        line = ink.line_of(i)
        for place in in_line(line, ends[n + 1 :]):
            k = edges[n + 1 + place]
            if line.turned_from(*map(float, ink.units[k])) > PARALLEL_DEG:
                continue
            low, high = sorted(line.place(p)[0] for p in ink.end_points(k))
            length = float(ink.lengths[i])
            span = (length, low) if low > length else (high, 0.0)
            if MIN_GAP_PT < span[1] - span[0] < MAX_GAP_PT:
                gaps.append(_Gap(line, *span))
    return gaps


def in_line(line: Line, ends: Floats) -> list[int]:
    """Places of the strokes, (n, 4), both of whose ends lie in a line: few of many thousand."""
    aside = line.ux * (ends[:, 1::2] - line.y) - line.uy * (ends[:, ::2] - line.x)
    return np.flatnonzero((np.abs(aside) <= IN_LINE_PT).all(axis=1)).tolist()


def _pair(ink: Ink, first: _Gap, second: _Gap) -> BreakPair | None:
    line = first.line
    if line.turned_from(second.line.ux, second.line.uy) > PARALLEL_DEG:
        return None
    ends = [line.place(second.line.at(t)) for t in (second.low, second.high)]
    height = abs(ends[0][1] + ends[1][1]) / 2
    low, high = sorted((ends[0][0], ends[1][0]))
    if not MIN_HEIGHT_PT < height < MAX_HEIGHT_PT:
        return None
    common = min(high, first.high) - max(low, first.low)
    if common < ALIGNED * max(high - low, first.high - first.low):
        return None
    sides = []
    for t, s in ((first.low, low), (first.high, high)):
        a = line.at(t)
        near = min(
            (second.low, second.high), key=lambda v: abs(line.place(second.line.at(v))[0] - s)
        )
        b = second.line.at(near)
        aside = line.place(b)[1]
        square = (-line.uy * aside, line.ux * aside)  # where the edges stop at two places
        if any(_is_closed(ink, a.midpoint(b), way) for way in ((b.x - a.x, b.y - a.y), square)):
            return None
        sides.append(BreakLine(a, b))
    return None if _is_crossed(ink, *sides) else BreakPair(sides[0], sides[1])


def _is_framed(
    ink: Ink,
    edges: Sequence[int],
    pair: tuple[_Gap, _Gap],
    measured: Sequence[Sequence[Point]],
) -> bool:
    """Whether edges run past a gap on both sides: panes in a frame, one over the other.

    Of a part that is broken all edges stop. Lines of dimensions run past as well.
    """
    line, low, high = pair[0].line, pair[0].low, pair[0].high
    other = line.place(pair[1].line.at(pair[1].low))[1]
    room = max(abs(other), FRAME_PT)
    sides = set()
    for i in edges:
        if line.turned_from(*map(float, ink.units[i])) > PARALLEL_DEG:
            continue
        (a, aside), (b, _) = (line.place(p) for p in ink.end_points(i))
        if min(a, b) > low or max(a, b) < high:
            continue
        beyond = [aside - v for v in (0.0, other)]
        if min(map(abs, beyond)) > room or _is_measured(ink, i, measured):
            continue
        if beyond[0] * beyond[1] > 0:
            sides.add(beyond[0] > 0)
    return len(sides) > 1


def _is_measured(ink: Ink, i: int, measured: Sequence[Sequence[Point]]) -> bool:
    """Whether a stroke is part of the line of a dimension."""
    line, length = ink.line_of(i), float(ink.lengths[i])
    return any(_lies_on(_Gap(line, 0.0, length), way) for way in measured)


def _is_crossed(ink: Ink, first: BreakLine, second: BreakLine) -> bool:
    """Whether a straight stroke runs from edge to edge inside a gap: what is drawn there is there.

    Between two openings of a part runs the centre line of both; break lines have a Z, or are waves.
    """
    middles = [side.a.midpoint(side.b) for side in (first, second)]
    apart = middles[0].distance(middles[1])
    height = max((side.a.distance(side.b) for side in (first, second)), default=0.0)
    for i in ink.near(middles[0].midpoint(middles[1]), apart / 2):
        line = ink.line_of(i)
        turned = min(line.turned_from(side.line.ux, side.line.uy) for side in (first, second))
        along = [line.place(m)[0] for m in middles]
        aside = [line.place(m)[1] for m in middles]
        reach = min(min(a, float(ink.lengths[i]) - a) for a in along)
        if turned < CROSSING_DEG and aside[0] * aside[1] < 0 and reach > CLOSED * height / 2:
            return True
    return False


def _is_closed(ink: Ink, middle: tuple[float, float], across: tuple[float, float]) -> bool:
    """Whether a straight stroke runs from edge to edge at the end of a gap."""
    height = math.hypot(*across)
    for i in ink.near(middle, AT_END_PT):
        line = ink.line_of(i)
        if line.turned_from(across[0] / height, across[1] / height) > 25.0:
            continue
        along, aside = line.place(middle)
        reach = min(along, float(ink.lengths[i]) - along)
        if abs(aside) < AT_END_PT and reach > CLOSED * height / 2:
            return True
    return False
