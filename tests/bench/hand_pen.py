"""Ink on a page as a hand leaves it: wavering lines, corners run over, arrowheads of many kinds.

Everything is drawn in mm of the paper on a page of 600 dpi. `Hand` is one person with one pen.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

XY = tuple[float, float]
Floats = NDArray[np.float64]
Ink = NDArray[np.uint8]
Rng = np.random.Generator

PX_PER_MM = 600 / 25.4
STEP_MM = 0.7  # between places at which a stroke may turn and swell
KNOT_MM = 9.0  # over which a ruled line strays
FINE = 4  # bits of a px that the strokes are placed to


@dataclass(frozen=True, slots=True, kw_only=True)
class Hand:
    """How a person draws: lengths in mm of paper.

    `waver` is how far ruled lines stray, `over` how far they miss their ends, `drafting` how far
    edges stand from where they should, `leave` the share of extension lines that touch the
    outline, `short` how far dimension lines may stop before their arrowheads' tips.
    """

    waver: float
    over: float
    drafting: float
    thin: float
    thick: float
    dark: int
    swell: float
    head: str
    head_mm: float
    leave: float
    short: float


class Pen:
    """Draws with one hand on one page."""

    def __init__(self, size_mm: XY, hand: Hand, rng: Rng) -> None:
        """Take a clean page of so many mm."""
        shape = (round(size_mm[1] * PX_PER_MM), round(size_mm[0] * PX_PER_MM))
        self.page: Ink = np.full(shape, 255, np.uint8)
        self.letters = self.page.copy()  # only what is lettered
        self.hand = hand
        self.rng = rng

    def line(self, a: XY, b: XY, *, width: float = 0.0, over: float | None = None) -> None:
        """Draw a ruled line; it may run on or stop short at both ends."""
        far = self.hand.over if over is None else over
        p, q = np.array(a, float), np.array(b, float)
        length = float(np.hypot(*(q - p)))
        u = (q - p) / max(length, 1e-9)
        miss = self.rng.normal(0, far, 2) if far else np.zeros(2)
        miss = np.clip(miss, -0.25 * length, 2.5)
        self.stroke(np.stack([p - miss[0] * u, q + miss[1] * u]), width=width)

    def lines(self, points: Sequence[XY], *, width: float = 0.0, closed: bool = False) -> None:
        """Draw a ruled line from point to point."""
        chain = [*points, points[0]] if closed else list(points)
        for k in range(len(chain) - 1):
            self.line(chain[k], chain[k + 1], width=width)

    def dashed(self, a: XY, b: XY, pattern: Sequence[float]) -> None:
        """Draw a centre line: dashes and gaps of so many mm in turn."""
        length, at, k = math.dist(a, b), 0.0, 0
        while at < length:
            step = pattern[k % len(pattern)] * float(self.rng.uniform(0.8, 1.2))
            if k % 2 == 0:
                ends = [at / length, min(at + step, length) / length]
                p, q = ((a[0] + s * (b[0] - a[0]), a[1] + s * (b[1] - a[1])) for s in ends)
                self.line(p, q, over=0.1)
            at, k = at + step, k + 1

    def circle(
        self, centre: XY, radius: float, *, start: float = 0.0, sweep: float = 360.0, width: float
    ) -> None:
        """Draw an arc from an angle on, counter-clockwise as seen, degrees; by compass."""
        n = max(6, round(math.radians(sweep) * radius / STEP_MM))
        more = float(self.rng.uniform(0, 4)) if sweep >= 360 else 0.0
        turn = np.radians(np.linspace(start, start + sweep + more, n))
        round_ = np.stack([np.cos(turn), -np.sin(turn)], axis=1)
        self.stroke(np.array(centre) + radius * round_, width=width, waver=0.4 * self.hand.waver)

    def stroke(self, points: Floats, *, width: float = 0.0, waver: float | None = None) -> None:
        """Draw along points; the pen strays, swells and thins."""
        path = _resampled(points)
        stray = self.hand.waver if waver is None else waver
        path = path + self._off(path, stray)
        wide = (width or self.hand.thin) * (1.0 + self.hand.swell * _smooth(self.rng, len(path), 8))
        level = int(np.clip(self.hand.dark + self.rng.normal(0, 8), 0, 140))
        ends = np.round(path * PX_PER_MM * 2**FINE).astype(int)
        for k in range(len(ends) - 1):
            thick = max(1, round(float(wide[k]) * PX_PER_MM))
            cv2.line(
                self.page, ends[k].tolist(), ends[k + 1].tolist(), level, thick, cv2.LINE_AA, FINE
            )

    def fill(self, points: Floats) -> None:
        """Fill a shape with ink."""
        ends = np.round(points * PX_PER_MM * 2**FINE).astype(np.int32)
        cv2.fillPoly(self.page, [ends], self.hand.dark, cv2.LINE_AA, FINE)

    def head(self, tip: XY, towards: XY) -> None:
        """Draw an arrowhead at a tip that points along a unit vector, in this hand's way."""
        off = self.rng.normal(0, 0.12, 2)
        at = np.array(tip) + off[0] * np.array(towards) + 0.5 * off[1] * _across(towards)
        HEADS[self.hand.head](self, at, np.array(towards))

    def _off(self, path: Floats, stray: float) -> Floats:
        length = float(np.hypot(*np.diff(path, axis=0).T).sum())
        knots = length / KNOT_MM + 1.0
        aside = stray * _smooth(self.rng, len(path), knots) * min(1.0, 0.3 + length / 40.0)
        way = np.gradient(path, axis=0)
        way /= np.maximum(np.hypot(*way.T), 1e-9)[:, None]
        return np.asarray(aside[:, None] * np.stack([-way[:, 1], way[:, 0]], axis=1))


def _across(u: XY | Floats) -> Floats:
    return np.array([-u[1], u[0]])


def _smooth(rng: Rng, n: int, knots: float) -> Floats:
    count = max(2, round(knots) + 1)
    return np.interp(np.linspace(0, count - 1, n), np.arange(count), rng.normal(0, 1, count))


def _resampled(points: Floats) -> Floats:
    steps = np.hypot(*np.diff(points, axis=0).T)
    far = np.concatenate([[0.0], np.cumsum(steps)])
    n = max(3, round(far[-1] / STEP_MM) + 1)
    at = np.linspace(0.0, far[-1], n)
    return np.stack([np.interp(at, far, points[:, k]) for k in range(2)], axis=1)


def _size(pen: Pen) -> float:
    return pen.hand.head_mm * float(pen.rng.uniform(0.8, 1.2))


def _barbs(pen: Pen, tip: Floats, u: Floats, *, sides: Sequence[int], bent: float) -> None:
    for side in sides:
        size, lean = _size(pen), math.radians(float(pen.rng.uniform(11, 22)))
        away = -math.cos(lean) * u + side * math.sin(lean) * _across(u)
        middle = tip + 0.5 * size * away - bent * size * side * _across(u)
        pen.stroke(np.stack([tip, middle, tip + size * away]), waver=0.05)


def _open(pen: Pen, tip: Floats, u: Floats) -> None:
    """Two quick strokes."""
    _barbs(pen, tip, u, sides=(-1, 1), bent=0.0)


def _barb(pen: Pen, tip: Floats, u: Floats) -> None:
    """One stroke on one side only."""
    _barbs(pen, tip, u, sides=(int(pen.rng.choice([-1, 1])),), bent=0.0)


def _swept(pen: Pen, tip: Floats, u: Floats) -> None:
    """Two bent strokes."""
    _barbs(pen, tip, u, sides=(-1, 1), bent=0.07)


def _wedge(pen: Pen, tip: Floats, u: Floats, *, half: float) -> None:
    size = _size(pen)
    sides = size * half * pen.rng.uniform(0.7, 1.25, 2)
    back = tip - size * u
    waist = tip - float(pen.rng.uniform(0.8, 1.0)) * size * u
    points = [tip, back + sides[0] * _across(u), waist, back - sides[1] * _across(u)]
    pen.fill(np.stack(points))


def _slim(pen: Pen, tip: Floats, u: Floats) -> None:
    """A long filled one."""
    _wedge(pen, tip, u, half=0.14)


def _fat(pen: Pen, tip: Floats, u: Floats) -> None:
    """A short filled one."""
    _wedge(pen, tip, u, half=0.3)


def _tick(pen: Pen, tip: Floats, u: Floats) -> None:
    """A slash through the corner, a little long."""
    lean = math.radians(float(pen.rng.uniform(38, 58)))
    way = math.cos(lean) * u + math.sin(lean) * _across(u)
    way = way if way[0] > 0 else -way
    half = 0.45 * _size(pen)
    pen.stroke(np.stack([tip - half * way, tip + half * way]), waver=0.05)


def _dot(pen: Pen, tip: Floats, u: Floats) -> None:
    """A blob."""
    turn = np.linspace(0, 2 * math.pi, 14)
    radius = 0.22 * _size(pen) * pen.rng.uniform(0.85, 1.15, 14)
    pen.fill(tip + np.stack([radius * np.cos(turn), radius * np.sin(turn)], axis=1))


HEADS = {
    "open": _open,
    "barb": _barb,
    "swept": _swept,
    "slim": _slim,
    "fat": _fat,
    "tick": _tick,
    "dot": _dot,
}
