"""The straight strokes of a page, arranged so that neighbours are found quickly.

Positions are in points of the sheet's frame; a *line* here is an endless straight line given by a
point and a unit direction, places along it are distances from that point.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audit.geometry import Point
from audit.records import Arc, VectorPage

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

CELL_PT = 12.0
COLLINEAR_PT = 0.35  # how far the ends of a stroke may lie off a line it is part of
COLLINEAR_DEG = 2.5
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

    def turned_from(self, ux: float, uy: float) -> float:
        """Return the angle to another direction, 0 to 90 degrees."""
        cross = abs(self.ux * uy - self.uy * ux)
        dot = abs(self.ux * ux + self.uy * uy)
        return math.degrees(math.atan2(cross, dot))


class Ink:
    """Strokes of one page with a grid over them. Built once, never changed."""

    def __init__(self, page: VectorPage) -> None:
        s = page.strokes
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
        self._grid = _fill_grid(s.ends, self.lengths)

    def __len__(self) -> int:
        return len(self.ends)

    def near(self, p: tuple[float, float], radius: float) -> list[int]:
        """Strokes that may pass within `radius` of a point (all that do, and some more)."""
        x0, x1 = math.floor((p[0] - radius) / CELL_PT), math.floor((p[0] + radius) / CELL_PT)
        y0, y1 = math.floor((p[1] - radius) / CELL_PT), math.floor((p[1] + radius) / CELL_PT)
        found: set[int] = set()
        for i in range(x0, x1 + 1):
            for j in range(y0, y1 + 1):
                found.update(self._grid.get((i, j), ()))
        return sorted(found)

    def end_points(self, i: int) -> tuple[Point, Point]:
        """Both ends of a stroke."""
        x0, y0, x1, y1 = self.ends[i]
        return Point(float(x0), float(y0)), Point(float(x1), float(y1))

    def line_of(self, i: int) -> Line:
        """Return the endless line a stroke lies on."""
        x0, y0 = self.ends[i, :2]
        ux, uy = self.units[i]
        return Line(float(x0), float(y0), float(ux), float(uy))

    def on_line(self, line: Line) -> tuple[Indices, Floats]:
        """Strokes that are part of a line, and where each begins and ends along it, (k, 2)."""
        which = self.straight
        e, u = self.ends[which], self.units[which]
        cross = np.abs(u[:, 0] * line.uy - u[:, 1] * line.ux)
        off0 = np.abs(line.ux * (e[:, 1] - line.y) - line.uy * (e[:, 0] - line.x))
        off1 = np.abs(line.ux * (e[:, 3] - line.y) - line.uy * (e[:, 2] - line.x))
        part = (
            (off0 < COLLINEAR_PT)
            & (off1 < COLLINEAR_PT)
            & (
                cross
                < math.sin(math.radians(COLLINEAR_DEG)) + 0.1 / np.maximum(self.lengths[which], 1)
            )
        )
        chosen = which[part]
        t0 = (self.ends[chosen, 0] - line.x) * line.ux + (self.ends[chosen, 1] - line.y) * line.uy
        t1 = (self.ends[chosen, 2] - line.x) * line.ux + (self.ends[chosen, 3] - line.y) * line.uy
        return chosen, np.column_stack([np.minimum(t0, t1), np.maximum(t0, t1)])


def _fill_grid(ends: Floats, lengths: Floats) -> dict[tuple[int, int], list[int]]:
    """Map each cell to the strokes that pass through it (sampled every half cell)."""
    n = len(ends)
    if not n:
        return {}
    steps = np.ceil(lengths / (CELL_PT / 2)).astype(int) + 1
    owner = np.repeat(np.arange(n), steps)
    first = np.cumsum(steps) - steps
    t = (np.arange(len(owner)) - first[owner]) / np.maximum(steps[owner] - 1, 1)
    x = ends[owner, 0] + t * (ends[owner, 2] - ends[owner, 0])
    y = ends[owner, 1] + t * (ends[owner, 3] - ends[owner, 1])
    cells = np.column_stack([np.floor(x / CELL_PT), np.floor(y / CELL_PT), owner]).astype(np.int64)
    cells = np.unique(cells, axis=0)
    grid: dict[tuple[int, int], list[int]] = {}
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
