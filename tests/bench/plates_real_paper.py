"""Paper that does not lie as it was printed: a little drawn together here, stretched there.

What is bent is a plate before it is inked: lines and places of numbers move, their ends with them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from tests.bench.hand_views import Drawn
from tests.bench.plates_pen import XY, Floats, Lettered, Mark, Rng

WAVES = 4  # of the paper
MOST_MM = 0.14  # of one wave
LENGTHS_MM = (90.0, 260.0)
STEP_MM = 1.5  # between points of a line that is bent


@dataclass(frozen=True, slots=True)
class Warp:
    """Waves of paper: how far each moves it (x, y, mm), its wave number (x, y), its phase."""

    moves: Floats
    numbers: Floats
    phases: Floats

    def bend(self, at: Floats) -> Floats:
        """Where places of the flat paper, mm, come to lie."""
        waves = np.sin(at @ self.numbers.T + self.phases)
        return np.asarray(at + waves @ self.moves)


def warp_of(rng: Rng) -> Warp:
    """Some paper."""
    turn, lean = rng.uniform(0, math.tau, (2, WAVES))
    number = math.tau / rng.uniform(*LENGTHS_MM, WAVES)
    far = rng.uniform(0.2, 1.0, WAVES) * MOST_MM
    return Warp(
        moves=np.stack([far * np.cos(lean), far * np.sin(lean)], axis=1),
        numbers=np.stack([number * np.cos(turn), number * np.sin(turn)], axis=1),
        phases=rng.uniform(0, math.tau, WAVES),
    )


def bend_marks(marks: Sequence[Mark | Lettered], warp: Warp) -> list[Mark | Lettered]:
    """Lay what is drawn on such paper."""
    return [_bend_mark(m, warp) for m in marks]


def bend_sizes(drawn: Sequence[Drawn], warp: Warp) -> list[Drawn]:
    """Lay the ends of sizes on such paper."""

    def moved(end: XY) -> XY:
        x, y = warp.bend(np.array([end], float))[0]
        return float(x), float(y)

    return [replace(d, ends=(moved(d.ends[0]), moved(d.ends[1]))) for d in drawn]


def _bend_mark(mark: Mark | Lettered, warp: Warp) -> Mark | Lettered:
    if isinstance(mark, Lettered):
        x, y = warp.bend(np.array([mark.at], float))[0]
        return replace(mark, at=(float(x), float(y)))
    return replace(mark, points=warp.bend(_closer(mark.points)))


def _closer(points: Floats) -> Floats:
    """The same line with a point every few mm, its corners kept."""
    legs = np.hypot(*np.diff(points, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(legs)])
    every = np.arange(0.0, along[-1], STEP_MM)
    at = np.unique(np.concatenate([along, every]))
    return np.stack([np.interp(at, along, points[:, k]) for k in (0, 1)], axis=1)
