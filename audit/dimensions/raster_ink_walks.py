"""Lines followed in the ink to where they stop, however they waver.

A line drawn without a ruler strays by more than any straight line through it allows, and is traced
in pieces. Walked along, it is one line again. Ink that is fainter than it, as of printed squares or
of the other side of the paper, is no part of it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from audit.dimensions.ink import Floats, Line
from audit.dimensions.raster_ink import darkness
from audit.geometry import Point
from audit.networks.page import PageMaps

INK = 77.0  # of 255: at least so dark
FAINT = 0.5  # of how dark a line is: fainter ink is another's
STEP_PT, CELL_PT = 0.7, 0.25  # along a line, and across it
BAND = 16  # cells to either side of where a stretch of a line is expected
NEAR, WIDE, MOST_MOVE = 5, 9, 1.4  # cells: aside, that it may be off; of a crossing; in one step
STRETCH_PT = 40.0  # walked in one direction
GAP_PT = 4.0  # without ink: the line stops
TURNED_COSINE = 0.978  # of 12 degrees from where it began: another line
MOST_STRETCHES = 40
LEAST_PT = 5.0
BESIDE_PT = (-1.2, -0.8, -0.4, 0.0, 0.4, 0.8, 1.2)  # places across a line that is looked along
REACH_GAP_PT, FAR_PT = 2.5, 60.0  # where it is looked how far another line reaches


@dataclass(frozen=True, slots=True)
class Walk:
    """A line as its ink runs, from where it begins to where it stops.

    `line` is the straight way from one to the other; its ink is at `along` and `aside` of that,
    pt. `least` says how dark, of 255, it is at least.
    """

    line: Line
    along: Floats
    aside: Floats
    least: float

    @property
    def length(self) -> float:
        """How far it runs, pt."""
        return float(self.along[-1])

    def at(self, along: float) -> Point:
        """Return the place of its ink at a distance along it."""
        p, off = self.line.at(along), float(np.interp(along, self.along, self.aside))
        return Point(p.x - self.line.uy * off, p.y + self.line.ux * off)

    def spans(self) -> tuple[tuple[float, float], ...]:
        """Return the stretches of it that are inked, where a number breaks it apart."""
        parts = np.split(self.along, np.flatnonzero(np.diff(self.along) > GAP_PT) + 1)
        return tuple((float(part[0]), float(part[-1])) for part in parts)

    def drawn(self, low: float, high: float) -> float:
        """Share of a stretch of it that is inked."""
        steps = int(((self.along > low) & (self.along < high)).sum())
        return steps * STEP_PT / max(high - low, STEP_PT)


def how_dark(line: Line, length: float, maps: PageMaps, scale: float) -> float:
    """Return how dark a stroke is, 0 to 255.

    Parameters
    ----------
    line : Line
        From the stroke's one end towards its other one, pt.
    length : float
    maps : PageMaps
    scale : float
        Px of the maps' ink to a pt.

    Returns
    -------
    float
    """
    along = np.arange(min(1.0, length / 3), max(length - 1.0, length / 2), STEP_PT)
    across = np.array(BESIDE_PT[1:-1])[:, None]
    return float(np.median(darkness(line, along, across, maps, scale).max(axis=0)))


def how_far(
    p: Point, way: tuple[float, float], least: float, maps: PageMaps, scale: float
) -> float:
    """Return how far ink goes on from a place in a direction, up to `FAR_PT`.

    Parameters
    ----------
    p : Point
    way : (float, float)
        Unit vector.
    least : float
        How dark the ink must be, of 255.
    maps : PageMaps
    scale : float
        Px of the maps' ink to a pt.

    Returns
    -------
    float
        Pt.
    """
    along = np.arange(STEP_PT, FAR_PT, STEP_PT)
    line = Line(p.x, p.y, *way)
    dark = darkness(line, along, np.array(BESIDE_PT)[:, None], maps, scale).max(axis=0) > least
    inked = np.concatenate([[0.0], along[dark]])
    gaps = np.flatnonzero(np.diff(inked) > REACH_GAP_PT + STEP_PT)
    return float(inked[gaps[0]] if len(gaps) else inked[-1])


def walk(
    pieces: Sequence[tuple[Line, float]],
    starts: Sequence[Point],
    maps: PageMaps,
    scale: float,
    *,
    least: float = INK,
) -> Walk | None:
    """Follow a line to both sides.

    Parameters
    ----------
    pieces : sequence of (Line, float)
        A stroke of the line and how long it is; or one to either side of a number.
    starts : sequence of Point
        Where to begin, on the stroke; with two of them outwards, away from the other one.
    maps : PageMaps
    scale : float
        Px of the maps' ink to a pt.
    least : float, optional
        How dark the line must be, of 255.

    Returns
    -------
    Walk or None
        Nothing where hardly anything is drawn, or nothing so dark.
    """
    dark = min(how_dark(*piece, maps, scale) for piece in pieces)
    if dark < least:
        return None
    least = max(INK, FAINT * dark)
    if len(pieces) == 1:
        line = pieces[0][0]
        ways = [(starts[0], (line.ux, line.uy)), (starts[0], (-line.ux, -line.uy))]
    else:
        ways = [
            (own, _away(piece, own, other))
            for (piece, _), (own, other) in zip(pieces, pairwise([*starts, starts[0]]), strict=True)
        ]
    one, two = (_one_way(p, way, least, (maps, scale)) for p, way in ways)
    return _as_walk(np.vstack([two[::-1], one]), least)


def _away(line: Line, own: Point, other: Point) -> tuple[float, float]:
    """Return the direction of a line that leads away from a point."""
    sign = 1.0 if line.place(own)[0] > line.place(other)[0] else -1.0
    return sign * line.ux, sign * line.uy


def _as_walk(points: Floats, least: float) -> Walk | None:
    first, last = points[0], points[-1]
    far = float(np.hypot(*(last - first)))
    if far < LEAST_PT:
        return None
    ux, uy = ((last - first) / far).tolist()
    line = Line(float(first[0]), float(first[1]), ux, uy)
    along, aside = line.places(points)
    order = np.argsort(along, kind="stable")
    along, aside = along[order], aside[order]
    start = line.at(float(along[0]))
    return Walk(Line(start.x, start.y, ux, uy), along - along[0], aside, least)


def _one_way(
    start: Point, way: tuple[float, float], least: float, look: tuple[PageMaps, float]
) -> Floats:
    """Follow a line one way, stretch by stretch, each aimed as the one before it ran."""
    points = [np.array([start], float)]
    first = u = np.array(way)
    for _ in range(MOST_STRETCHES):
        found, stopped = _stretch(points[-1][-1], u, least, look)
        if not len(found):
            break
        begin = points[-1][-1]
        points.append(found)
        ran = found[-1] - begin
        ran = ran / max(float(np.hypot(*ran)), 1e-9)
        if stopped or float(ran @ first) < TURNED_COSINE:
            break
        u = (first + ran) / float(np.hypot(*(first + ran)))
    return np.vstack(points)


def _stretch(
    start: Floats, u: Floats, least: float, look: tuple[PageMaps, float]
) -> tuple[Floats, bool]:
    """Follow a line for a stretch; second: whether it stops there."""
    maps, scale = look
    line = Line(float(start[0]), float(start[1]), float(u[0]), float(u[1]))
    along = np.arange(STEP_PT, STRETCH_PT, STEP_PT)
    across = CELL_PT * np.arange(-BAND, BAND + 1, dtype=np.float64)
    inked = (darkness(line, along[:, None], across, maps, scale) > least).tolist()
    at, gap = 0.0, 0.0
    found: list[tuple[float, float]] = []
    for far, row in zip(along.tolist(), inked, strict=True):
        run = _run_at(row, BAND + at)
        gap = gap + STEP_PT if run is None else 0.0
        if gap > GAP_PT:
            break
        if run is None:
            continue
        if run[1] - run[0] < WIDE:
            at += min(max((run[0] + run[1]) / 2 - BAND - at, -MOST_MOVE), MOST_MOVE)
        found.append((far, at * CELL_PT))
    places = np.array(found, float).reshape(-1, 2)
    ways = np.array([[u[0], u[1]], [-u[1], u[0]]])
    return start + places @ ways, gap > GAP_PT


def _run_at(row: Sequence[bool], at: float) -> tuple[int, int] | None:
    """First and last cell of the ink that is nearest to a cell; `None` where none is near."""
    middle = round(at)
    near = [k for k in range(middle - NEAR, middle + NEAR + 1) if 0 <= k < len(row) and row[k]]
    if not near:
        return None
    low = high = min(near, key=lambda k: abs(k - at))
    while low > 0 and row[low - 1]:
        low -= 1
    while high + 1 < len(row) and row[high + 1]:
        high += 1
    return low, high
