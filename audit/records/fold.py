"""Folds, creases and taped joints that part a sheet."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from audit.geometry import Point
from audit.lengths import Length, Unit

MOST_STEP_MM = Fraction(10**6)  # a larger one, from a file of others, says as little


@dataclass(frozen=True, slots=True, kw_only=True)
class Fold:
    """A line across which the paper may be shifted: a fold, a crease, a taped joint.

    Attributes
    ----------
    a, b : Point
        Two places on it, in the sheet's frame; it runs on from edge to edge.
    step : Length or None
        By how much the two sides may stand off where they belong, either way, as a person said;
        `None`: nobody has.
    measured : float or None
        Standard uncertainty that it brings to a length across it, mm on the paper, as known sizes
        across it tell; `None`: none does.
    """

    a: Point
    b: Point
    step: Length | None = None
    measured: float | None = None

    @property
    def u_paper(self) -> float | None:
        """Standard uncertainty of a length across it, mm on the paper; `None`: not known.

        A stated step is a limit, its values taken as rectangular (JCGM 100:2008, 4.3.7).
        """
        if self.step is not None and self.step.unit is not Unit.DEG:
            return float(min(self.step.to(Unit.MM).value, MOST_STEP_MM)) / math.sqrt(3)
        return self.measured

    def parts(self, *places: Point) -> bool:
        """Whether places lie on both sides of it; one that lies on the line is on neither."""
        sides = [self._side(place) for place in places]
        return min(sides, default=0.0) < 0.0 < max(sides, default=0.0)

    def _side(self, place: Point) -> float:
        return (self.b.x - self.a.x) * (place.y - self.a.y) - (self.b.y - self.a.y) * (
            place.x - self.a.x
        )
