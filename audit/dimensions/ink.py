"""The straight strokes of a page, arranged so that neighbours are found quickly.

Positions are in points of the sheet's frame; a *line* here is an endless straight line given by a
point and a unit direction, places along it are distances from that point.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audit.geometry import Point
from audit.records import Arc, VectorPage

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]
Grid = dict[tuple[int, int], list[int]]

CELL_PT = 12.0
MAX_ROWS = 1 << 24
COLLINEAR_PT = 0.35  # how far the ends of a stroke may lie off a line it is part of
WAVERS = 3.5  # standard deviations of waver that lines and their pieces are given
MOST_PLAY_PT = 1.0
SIN_COLLINEAR = math.sin(math.radians(2.5))
FAN_DEG = 8  # a stroke of 1 pt may be turned this far by rounding alone
LONG_PT = 6.0
SHORT_PT = 1.0  # direction of a stroke shorter than this means nothing


@dataclass(frozen=True, slots=True)
class Line:
    """An endless line: a point on it and its unit direction."""

    x: float
    y: float
    ux: float
    uy: float

    def at(self, along: float) -> Point:
        """Return the point `along` pt from the line's own point."""
        return Point(self.x + along * self.ux, self.y + along * self.uy)

    def place(self, p: tuple[float, float]) -> tuple[float, float]:
        """Return (along, aside) of a point; aside is positive to the right when looking along."""
        dx, dy = p[0] - self.x, p[1] - self.y
        return dx * self.ux + dy * self.uy, self.ux * dy - self.uy * dx

    def places(self, points: Floats) -> tuple[Floats, Floats]:
        """Return (along, aside) of the points of an array (..., 2): `place` for all of them."""
        dx, dy = points[..., 0] - self.x, points[..., 1] - self.y
        return dx * self.ux + dy * self.uy, self.ux * dy - self.uy * dx

    def turned_from(self, ux: float, uy: float) -> float:
        """Return the angle to another direction, 0 to 90 degrees."""
        cross = abs(self.ux * uy - self.uy * ux)
        dot = abs(self.ux * ux + self.uy * uy)
        return math.degrees(math.atan2(cross, dot))


class Ink:
    """Strokes of one page with a grid over them. Built once, never changed.

    `waver` is how far lines that should be straight stray to either side (pt, standard deviation):
    0 where a machine drew them; `play` is what is allowed for it.
    """

    def __init__(self, page: VectorPage, *, waver: float = 0.0) -> None:
        s = page.strokes
        self.waver = waver
        self.play = min(WAVERS * waver, MOST_PLAY_PT)
        self.ends: Floats = s.ends
        self.widths: Floats = s.widths
        self.curved = s.curved
        self.paths = s.paths
        self.dashed = s.pattern > 0
        delta = s.ends[:, 2:] - s.ends[:, :2]
        self.lengths: Floats = np.hypot(delta[:, 0], delta[:, 1])
        safe = np.maximum(self.lengths, 1e-9)[:, None]
        self.units: Floats = delta / safe
        self.middles: Floats = (s.ends[:, :2] + s.ends[:, 2:]) / 2
        self.straight: Indices = np.flatnonzero(~s.curved & (self.lengths > SHORT_PT / 2))
        self.arcs: tuple[Arc, ...] = page.arcs
        every = np.arange(len(s.ends))
        self._grid = _as_grid(_cells_under(s.ends, self.lengths, every))
        long = every[(self.lengths > LONG_PT) & ~s.curved]
        self._long_cells = _cells_under(s.ends, self.lengths, long)
        self._fan = _Fan(self)

    def __len__(self) -> int:
        return len(self.ends)

    def near(self, p: tuple[float, float], radius: float) -> list[int]:
        """Strokes that may pass within `radius` of a point (all that do, and some more)."""
        return _look_up(self._grid, p, radius)

    def straight_near(self, p: tuple[float, float], radius: float, *, longer: float) -> Indices:
        """Straight strokes at least so long that may pass within `radius` of a point, in order."""
        near = np.array(self.near(p, radius), np.intp)
        return np.asarray(near[~self.curved[near] & (self.lengths[near] >= longer)], np.intp)

    def long_through(self, points: Floats, reach: float) -> tuple[Indices, Indices]:
        """Pairs of a point (of (k, 2)) and a straight stroke over `LONG_PT` that may pass there."""
        cells = self._long_cells
        if not len(cells) or not len(points):
            return np.zeros(0, np.intp), np.zeros(0, np.intp)
        keys = _cell_key(cells[:, 0], cells[:, 1])
        found = []
        for dx in (-reach, reach):
            for dy in (-reach, reach):
                cell = np.floor((points + np.array([dx, dy])) / CELL_PT).astype(np.int64)
                own = _cell_key(cell[:, 0], cell[:, 1])
                low, high = np.searchsorted(keys, own, "left"), np.searchsorted(keys, own, "right")
                count = high - low
                point = np.repeat(np.arange(len(points)), count)
                step = np.arange(len(point)) - np.repeat(np.cumsum(count) - count, count)
                stroke = cells[np.repeat(low, count) + step, 2]
                found.append(point.astype(np.int64) * len(self) + stroke)
        pairs = np.unique(np.concatenate(found))
        return pairs // len(self), pairs % len(self)

    def end_points(self, i: int) -> tuple[Point, Point]:
        """Both ends of a stroke."""
        x0, y0, x1, y1 = self.ends[i]
        return Point(float(x0), float(y0)), Point(float(x1), float(y1))

    def line_of(self, i: int) -> Line:
        """Return the endless line a stroke lies on."""
        x0, y0 = self.ends[i, :2]
        ux, uy = self.units[i]
        return Line(float(x0), float(y0), float(ux), float(uy))

    def on_line(self, line: Line, *, beside: float = 0.0) -> tuple[Indices, Floats]:
        """Strokes that are part of a line, and where each begins and ends along it, (k, 2).

        `beside` is how many pt further off than usual they may lie.
        """
        which = self._fan.near(line)
        e, u = self.ends[which], self.units[which]
        cross = np.abs(u[:, 0] * line.uy - u[:, 1] * line.ux)
        along, off = line.places(e.reshape(-1, 2, 2))
        slack = SIN_COLLINEAR + (0.1 + 2 * self.waver + beside) / np.maximum(
            self.lengths[which], 1.0
        )
        play = COLLINEAR_PT + self.play + beside
        part = np.flatnonzero((np.abs(off) < play).all(axis=1) & (cross < slack))
        part = part[np.argsort(which[part])]
        return which[part], np.sort(along[part], axis=1)


class _Fan:
    """Strokes by direction in bins of a degree, each bin sorted by distance from the origin."""

    def __init__(self, ink: Ink) -> None:
        which = ink.straight
        self.size = float(np.abs(ink.ends).max(initial=1.0)) * 2.0
        turn = np.degrees(np.arctan2(ink.units[which, 1], ink.units[which, 0])) % 180.0
        self.bins: list[tuple[Indices, list[float]]] = []
        own = np.minimum(np.round(turn).astype(int) % 180, 179)
        for degree, (c, s) in enumerate(_WAYS):
            part = which[own == degree]
            far = c * ink.middles[part, 1] - s * ink.middles[part, 0]
            order = np.argsort(far)
            self.bins.append((part[order], far[order].tolist()))

    def near(self, line: Line) -> Indices:
        """Strokes that may be part of a line: all that are, and some more."""
        turn = math.degrees(math.atan2(line.uy, line.ux)) % 180.0
        found = []
        for degree in range(round(turn) - FAN_DEG, round(turn) + FAN_DEG + 1):
            part, far = self.bins[degree % 180]
            if not far:
                continue
            c, s = _WAYS[degree % 180]
            at = c * line.y - s * line.x
            room = abs(math.sin(math.radians(turn - degree))) * self.size + 1.0
            found.append(part[bisect_left(far, at - room) : bisect_left(far, at + room)])
        return np.concatenate(found) if found else np.zeros(0, np.intp)


# cosine and sine of each degree
_WAYS = [(math.cos(math.radians(k)), math.sin(math.radians(k))) for k in range(180)]


def _look_up(grid: Grid, p: tuple[float, float], radius: float) -> list[int]:
    x0, x1 = math.floor((p[0] - radius) / CELL_PT), math.floor((p[0] + radius) / CELL_PT)
    y0, y1 = math.floor((p[1] - radius) / CELL_PT), math.floor((p[1] + radius) / CELL_PT)
    found: set[int] = set()
    for i in range(x0, x1 + 1):
        for j in range(y0, y1 + 1):
            found.update(grid.get((i, j), ()))
    return sorted(found)


def _cells_under(ends: Floats, lengths: Floats, which: Indices) -> NDArray[np.int64]:
    """Cells that strokes pass through: sorted rows of column, row, stroke."""
    if not len(which):
        return np.zeros((0, 3), np.int64)
    steps = np.ceil(lengths[which] / (CELL_PT / 2)).astype(int) + 1
    row = np.repeat(np.arange(len(which)), steps)
    owner = which[row]
    first = np.cumsum(steps) - steps
    t = (np.arange(len(owner)) - first[row]) / np.maximum(steps[row] - 1, 1)
    x = ends[owner, 0] + t * (ends[owner, 2] - ends[owner, 0])
    y = ends[owner, 1] + t * (ends[owner, 3] - ends[owner, 1])
    cells = np.column_stack([np.floor(x / CELL_PT), np.floor(y / CELL_PT), owner]).astype(np.int64)
    cells = cells[np.lexsort(cells.T[::-1])]
    new = np.ones(len(cells), np.bool_)
    new[1:] = np.any(cells[1:] != cells[:-1], axis=1)
    return np.asarray(cells[new], np.int64)


def _cell_key(column: NDArray[np.int64], row: NDArray[np.int64]) -> NDArray[np.int64]:
    """One number for a cell that sorts as (column, row) does."""
    return np.asarray(column * MAX_ROWS + row, np.int64)


def _as_grid(cells: NDArray[np.int64]) -> Grid:
    grid: Grid = {}
    if not len(cells):
        return grid
    breaks = np.flatnonzero(np.any(np.diff(cells[:, :2], axis=0) != 0, axis=1)) + 1
    for block in np.split(cells, breaks):
        grid[(int(block[0, 0]), int(block[0, 1]))] = block[:, 2].tolist()
    return grid


def merge_spans(spans: Floats, gap: float) -> list[tuple[float, float]]:
    """Join spans (k, 2) that overlap or lie closer than `gap`.

    Examples
    --------
    >>> merge_spans(np.array([[5.0, 6.0], [0.0, 2.0], [2.1, 4.0]]), 0.5)
    [(0.0, 4.0), (5.0, 6.0)]
    """
    merged: list[tuple[float, float]] = []
    for a, b in sorted((float(a), float(b)) for a, b in spans):
        if merged and a <= merged[-1][1] + gap:
            merged[-1] = (merged[-1][0], max(b, merged[-1][1]))
        else:
            merged.append((a, b))
    return merged


def covered(spans: list[tuple[float, float]], low: float, high: float) -> float:
    """Length of [low, high] that merged spans cover.

    Examples
    --------
    >>> covered([(0.0, 4.0), (5.0, 6.0)], 3.0, 10.0)
    2.0
    """
    return sum(max(0.0, min(b, high) - max(a, low)) for a, b in spans)
