"""Where on a view there is room: what a number or a note would stand on, mm."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from tests.bench.plates_pen import Floats, Lettered, Mark

AIR_MM = 0.5  # about letters
ON_LETTERS = 6.0  # times as bad as on a line
OFF_LEADER = 4.0  # for each mm of a leader over letters


def legs_of(points: Floats) -> Floats:
    """The legs of a path: x, y, x, y."""
    return np.hstack([points[:-1], points[1:]])


def inside_of(legs: Floats, letters: Lettered, air: float) -> Floats:
    """How much of each leg lies in the box about letters, mm."""
    c, s = math.cos(math.radians(letters.turn)), math.sin(math.radians(letters.turn))
    turn = np.array([[c, s], [-s, c]])
    p = (legs[:, :2] - letters.at) @ turn
    d = (legs[:, 2:] - legs[:, :2]) @ turn
    low, high = np.zeros(len(legs)), np.ones(len(legs))
    with np.errstate(divide="ignore", invalid="ignore"):
        for k, size in enumerate(letters.size):
            half = size / 2 + air
            first, last = (-half - p[:, k]) / d[:, k], (half - p[:, k]) / d[:, k]
            level = np.abs(d[:, k]) < 1e-9
            off = level & (np.abs(p[:, k]) > half)
            near, far = np.minimum(first, last), np.maximum(first, last)
            low = np.maximum(low, np.where(level, 0.0, near))
            high = np.where(off, -1.0, np.minimum(high, np.where(level, 1.0, far)))
    return np.asarray(np.maximum(high - low, 0.0) * np.hypot(*d.T))


@dataclass(slots=True)
class Room:
    """What is drawn already: legs of lines, and letters."""

    legs: Floats
    letters: list[Lettered] = field(default_factory=list)

    @classmethod
    def of(cls, marks: Sequence[Mark | Lettered]) -> Room:
        """The room that marks leave; filled faces take none."""
        drawn = [m for m in marks if isinstance(m, Mark) and m.width and not m.blank]
        legs = [legs_of(m.points) for m in drawn] or [np.zeros((0, 4))]
        return cls(np.concatenate(legs), [m for m in marks if isinstance(m, Lettered)])

    def draw(self, points: Floats) -> None:
        """Take a line's room."""
        self.legs = np.concatenate([self.legs, legs_of(points)])

    def cost(self, letters: Lettered, own: Floats | None = None) -> float:
        """How badly letters would stand; `own` is a line that they may stand on."""
        inside = inside_of(self.legs, letters, AIR_MM)
        total = float((inside > 0).sum() + inside.sum())
        if own is not None:
            mine = inside_of(legs_of(own), letters, AIR_MM)
            total -= float((mine > 0).sum() + mine.sum())
        near = [m for m in self.letters if math.dist(m.at, letters.at) < 60]
        over = [inside_of(_edges(m), letters, AIR_MM).sum() for m in near]
        return total + ON_LETTERS * float(sum(over))

    def crossed(self, leader: Floats) -> float:
        """How badly a leader would run over letters."""
        legs = legs_of(leader)
        return OFF_LEADER * float(sum(inside_of(legs, m, 0.2).sum() for m in self.letters))


def _edges(letters: Lettered) -> Floats:
    """The edges and the diagonals of the box about letters."""
    c = letters.corners()
    return legs_of(np.stack([c[0], c[1], c[2], c[3], c[0], c[2], c[3], c[1]]))
