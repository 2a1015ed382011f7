"""Follows a line in the ink of a picture step by step, as straight or as evenly bent as it runs."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from audit.geometry import Point

INK = 70  # of 255
STEP_PT = 0.7  # on along a line
MOST_PT = 230.0  # 80 mm
NEAR_PT, LOOK_PT = 2.5, 4.5  # ahead: whether it goes on, and which way
BEND_DEG = np.arange(-6.0, 6.1, 1.5)  # in one step; a bow is rounder than holes are
STRAIGHTER = 0.02  # darkness that a degree of bend must win, so that it runs on over crossings
LEAST_AHEAD = 0.4  # share of what lies ahead that is inked: less is an end


class FollowedInk:
    """The ink of a picture, asked in pt."""

    def __init__(self, dark: NDArray[np.uint8], scale: float) -> None:
        self.dark, self.scale = dark, scale

    def inked(self, x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.bool_]:
        """Whether there is ink at each of some places, pt."""
        h, w = self.dark.shape
        column = np.clip((x * self.scale).astype(int), 0, w - 1)
        row = np.clip((y * self.scale).astype(int), 0, h - 1)
        return np.asarray(self.dark[row, column] > INK)

    def ahead(
        self,
        p: Point,
        turns: NDArray[np.float64],
        low: float,
        high: float,
        *,
        bend: float = 0.0,
    ) -> NDArray[np.float64]:
        """Share of a stretch ahead of a point that is inked, for each direction (radians).

        `bend` is by how much such a stretch turns on each pt.
        """
        far = np.arange(low, high, 0.5)[None, :]
        turned = turns[:, None] + bend * far / 2
        return np.asarray(
            self.inked(p.x + far * np.cos(turned), p.y + far * np.sin(turned)).mean(axis=1)
        )


def go_on(dark: FollowedInk, points: Sequence[Point], turn: float) -> list[Point]:
    """Go on along a line as straight as its ink allows, until it ends."""
    points, bend = list(points), 0.0
    bends = np.radians(BEND_DEG)
    while len(points) * STEP_PT < MOST_PT:
        p = points[-1]
        shares = dark.ahead(p, turn + bends, 0.3, LOOK_PT, bend=bend / STEP_PT)
        near = dark.ahead(p, turn + bends, 0.3, NEAR_PT, bend=bend / STEP_PT)
        # an even bend costs nothing
        best = int(np.argmax(shares + near - STRAIGHTER * np.abs(np.degrees(bends - bend))))
        if near[best] < LEAST_AHEAD:
            break
        turn += float(bends[best])
        bend = 0.6 * bend + 0.4 * float(bends[best])
        p = p.moved(STEP_PT * math.cos(turn), STEP_PT * math.sin(turn))
        points.append(_centred(dark, p, turn))
    return points


def _centred(dark: FollowedInk, p: Point, turn: float) -> Point:
    """Move a point to the middle of the thin line it stands on; at a crossing leave it."""
    off = np.arange(-1.6, 1.61, 0.2)
    inked = dark.inked(p.x - off * math.sin(turn), p.y + off * math.cos(turn))
    if not inked[len(off) // 2] or inked[0] or inked[-1]:
        return p
    by = float(np.clip(off[inked].mean(), -0.3, 0.3))
    return p.moved(-by * math.sin(turn), by * math.cos(turn))
