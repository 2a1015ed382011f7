"""Ends of dimension lines on dashed lines whose dash there is lost: under a dot, or in a gap.

Centres are measured between by leading their centre lines out to the dimension line. Where a mark
hides the last dash, or the line stops in a gap just there, the dashes before it lead to the place.
"""

from __future__ import annotations

import math

import numpy as np

from audit.dimensions.ink import Ink, Line, merge_spans
from audit.geometry import Point

LONG_PT = 8.0  # of the dash that tells the direction
REACH_PT = 60.0  # between it and the place: a dot and some short dashes stand there
CLOSE_PT = 10.0  # more than what aims at a place misses it by
BLANK_PT = 7.0  # between dashes: 1 to 2 mm are usual
SQUARE_DEG = 87.0
AIMED_PT, AIMED_SINE = 0.6, 0.02  # off the place, and more the further off the dash is
PIECE_PT = 0.8  # of a short dash, at least
WAVERS = 0.3  # pt that dashes of one line may lie off it more than usual


def find_dashed(ink: Ink, line: Line, along: float) -> tuple[float, int] | None:
    """Find a dashed line square to a line whose dashes lead to a place on it.

    Parameters
    ----------
    ink : Ink
    line : Line
    along : float
        Of the place on the line, pt.

    Returns
    -------
    tuple of (float, int) or None
        Where the line crosses it, pt along, and the number of its nearest long dash.
    """
    which = ink.straight_near(line.at(along), REACH_PT + CLOSE_PT, longer=LONG_PT)
    e, u = ink.ends[which], ink.units[which]
    at, aside = line.places(e.reshape(-1, 2, 2))
    gap = np.abs(aside).min(axis=1)
    square = np.abs(u[:, 0] * line.ux + u[:, 1] * line.uy) < math.cos(math.radians(SQUARE_DEG))
    room = AIMED_PT + 2 * ink.waver + AIMED_SINE * gap
    near = np.abs(at - along).min(axis=1) < room
    one_side = aside.prod(axis=1) > 0.0
    fits = np.flatnonzero(square & near & one_side & (gap < REACH_PT))
    for k in fits[np.argsort(gap[fits])]:
        place = _led_to(ink, line, int(which[k]))
        if place is not None and abs(place - along) < AIMED_PT + 2 * ink.waver:
            return place, int(which[k])
    return None


def _led_to(ink: Ink, line: Line, i: int) -> float | None:
    """Where the dashes behind a long one lead to on a line; `None` where they do not reach it."""
    near, far = sorted(ink.end_points(i), key=lambda p: abs(line.place(p)[1]))
    long = far.distance(near)
    way = Line(far.x, far.y, (near.x - far.x) / long, (near.y - far.y) / long)
    to_line = long + abs(line.place(near)[1])
    strokes, pieces = ink.on_line(way, beside=WAVERS)
    behind = np.array([int(s) != i for s in strokes], np.bool_) & (pieces[:, 0] > long - 1.0)
    dashes = merge_spans(pieces[behind], 0.0) if behind.any() else []
    reached, last = long, None
    for low, high in dashes:
        if low - reached > BLANK_PT or low > to_line:
            break
        if high - low > PIECE_PT:
            last = (low + min(high, to_line)) / 2
        reached = max(reached, high)
    if last is None or to_line - reached > BLANK_PT:
        return None
    return _crosses(line, far, _middle(ink, strokes, pieces, last, way))


def _middle(
    ink: Ink,
    strokes: np.ndarray[tuple[int, ...], np.dtype[np.intp]],
    pieces: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
    last: float,
    way: Line,
) -> Point:
    """Middle of the dash that covers a place of its line, on the dash itself."""
    k = int(np.argmin(np.maximum(pieces[:, 0] - last, last - pieces[:, 1])))
    own = ink.line_of(int(strokes[k]))
    along, _ = own.place(way.at(last))
    return own.at(along)


def _crosses(line: Line, a: Point, b: Point) -> float:
    """Where on a line the line through two points crosses it."""
    (at, one), (at2, other) = line.place(a), line.place(b)
    return at + (at2 - at) * one / (one - other)
