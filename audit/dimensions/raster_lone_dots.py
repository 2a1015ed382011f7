"""Dots of narrow chains: ``->| 3/4 . 3/4 |<-``, where no dimension line leads to the dot.

The network knows dots by the lines that end in them. Between two heads that point at each other
from outside there is none; what stands out is that a line is thicker there, to both sides.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from audit.dimensions.raster_lines import Floats, Pieces
from audit.geometry import Point
from audit.networks.page import Terminator

Dark = NDArray[np.float32]

HEAD_SCORE = 0.5  # of both heads
APART_PT = (12.0, 130.0)  # between their tips: a longer chain has room for its lines
FACING_COSINE = 0.97  # of 14 degrees that a head drawn by hand may lean
ROOM_PT = 5.0  # from a tip to a dot
LINE_PT = 14.0  # length of a line with a dot: no stroke of a figure
SQUARE_COSINE = 0.1  # of 84 degrees between it and the row
SHORT_PT = 2.0  # that the line may end before the row: in the dot's middle
REACH_PT = 5.0  # to either side of a line: further than a dot's rim
ALONG_PT = 1.5  # that a dot may stand off the row
PLAIN_PT = (4.5, 8.0)  # along the line from the row: as thin as it is
STEP_PT = 0.2
INKED = 0.4  # of 1
SIDE_PT = (0.5, 2.6)  # that a dot's rim stands out beyond the line's own, to either side
EVEN = 0.5  # the side that stands out less, as a share of the other
SAME_PT = 3.0  # of what the network saw
SCORE = 0.7


def with_lone_dots(
    tips: Sequence[Terminator], strokes: Pieces, dark: Dark, *, px_per_pt: float
) -> tuple[Terminator, ...]:
    """Add the dots on lines that pass between two heads pointing at each other.

    Parameters
    ----------
    tips : sequence of Terminator
        What the network saw, in px of `dark`.
    strokes : Pieces
        In the same px.
    dark : (h, w) float32 array
        0 paper to 1 ink.
    px_per_pt : float
        Of the same px.

    Returns
    -------
    tuple of Terminator
        The same, with what was seen as a weak dot or not at all.
    """
    heads = [t for t in tips if t.direction is not None and t.score >= HEAD_SCORE]
    long = strokes.take(strokes.lengths > LINE_PT * px_per_pt)
    found: list[Point] = []
    for k, one in enumerate(heads):
        for other in heads[k + 1 :]:
            if _face(one, other, px_per_pt):
                found += _dots_between(one.point, other.point, long, dark, px_per_pt)
    return tuple(_with(tips, found, SAME_PT * px_per_pt))


def _with(tips: Sequence[Terminator], found: Sequence[Point], same: float) -> list[Terminator]:
    """Put dots in the place of dots that are less sure, and where nothing else stands."""
    left = list(tips)
    for dot in found:
        there = [t for t in left if t.point.distance(dot) < same]
        if all(t.direction is None and t.score < SCORE for t in there):
            left = [t for t in left if t not in there]
            left.append(Terminator(point=dot, direction=None, score=SCORE))
    return left


def _face(one: Terminator, other: Terminator, px_per_pt: float) -> bool:
    """Whether two heads point at each other, their bodies outside."""
    dx, dy = other.point.x - one.point.x, other.point.y - one.point.y
    far = math.hypot(dx, dy)
    if not APART_PT[0] * px_per_pt < far < APART_PT[1] * px_per_pt:
        return False
    cosines = []
    for tip, sign in ((one, -1.0), (other, 1.0)):
        turn = math.radians(tip.direction or 0.0)
        cosines.append(sign * (math.cos(turn) * dx - math.sin(turn) * dy) / far)
    return min(cosines) > FACING_COSINE


def _dots_between(a: Point, b: Point, lines: Pieces, dark: Dark, px_per_pt: float) -> list[Point]:
    """Dots on the lines that cross or end at the way from a to b, square to it."""
    far = a.distance(b)
    u = np.array([(b.x - a.x) / far, (b.y - a.y) / far])
    start, turned = np.array([a.x, a.y]), np.array([-u[1], u[0]])
    first, last = lines.ends[:, :2] - start, lines.ends[:, 2:] - start
    one, other = first @ turned, last @ turned
    square = np.abs((last - first) @ u) < SQUARE_COSINE * lines.lengths
    near = np.minimum(np.abs(one), np.abs(other)) < SHORT_PT * px_per_pt
    share = np.clip(one / np.where(square, one - other, 1.0), 0.0, 1.0)
    at = (first + share[:, None] * (last - first)) @ u
    room = ROOM_PT * px_per_pt
    inside = (at > room) & (at < far - room) & square & ((one * other < 0.0) | near)
    found = []
    for k in np.flatnonzero(inside).tolist():
        way = (last[k] - first[k]) / lines.lengths[k]
        way = way if abs(one[k]) < abs(other[k]) else -way  # towards the longer part
        dot = _dot_on(start + at[k] * u, way, dark, px_per_pt)
        if dot is not None:
            found.append(dot)
    return found


def _dot_on(at: Floats, way: Floats, dark: Dark, px_per_pt: float) -> Point | None:
    """Find the dot on a line at a place of it; `way` leads along the line to where it is plain."""
    plain = [_rims(at + t * px_per_pt * way, way, dark, px_per_pt) for t in _steps(*PLAIN_PT)]
    bare = np.median(np.array(plain), axis=0)
    steps = _steps(-ALONG_PT, ALONG_PT)
    out = np.array([_rims(at + t * px_per_pt * way, way, dark, px_per_pt) for t in steps]) - bare
    least, most = out.min(axis=1), out.max(axis=1)
    fits = (least >= SIDE_PT[0]) & (most <= SIDE_PT[1]) & (least >= EVEN * most)
    if not fits.any():
        return None
    x, y = at + float(np.average(steps[fits], weights=least[fits])) * px_per_pt * way
    return Point(float(x), float(y))


def _rims(at: Floats, way: Floats, dark: Dark, px_per_pt: float) -> tuple[float, float]:
    """How far ink goes on to either side of a place of a line, pt."""
    steps = _steps(0.0, REACH_PT)
    h, w = dark.shape
    out = []
    for sign in (-1.0, 1.0):
        x = at[0] - sign * way[1] * steps * px_per_pt
        y = at[1] + sign * way[0] * steps * px_per_pt
        rows, columns = np.clip(y.astype(int), 0, h - 1), np.clip(x.astype(int), 0, w - 1)
        blank = np.flatnonzero(dark[rows, columns] < INKED)
        out.append(float(steps[blank[0]]) if len(blank) else REACH_PT)
    return out[0], out[1]


def _steps(low: float, high: float) -> Floats:
    return np.arange(low, high + 1e-6, STEP_PT)
