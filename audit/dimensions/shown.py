"""What a picture shows of a page: what runs on beyond its rim is hidden, not missing.

A scan may be cut through the frames drawn on it; of a photo made flat, the picture is a
four-sided part of the page, and what is filled in around it is no paper.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audit.geometry import Box, Point
from audit.records import VectorPage

Floats = NDArray[np.float64]
RIM_PT = 3.0  # beside the rim, where lines are traced no more


@dataclass(frozen=True, slots=True)
class Shown:
    """The part of a page that is shown: corners in order, none inwards, pt."""

    corners: tuple[Point, ...]

    @classmethod
    def of(cls, page: VectorPage) -> Shown:
        """Return what is shown of a page: all of it where nothing else is known."""
        return cls(page.shown or Box(0.0, 0.0, page.width, page.height).corners)

    @property
    def box(self) -> Box:
        """The box about what is shown."""
        return Box.around(self.corners)

    def hides(self, x: Floats, y: Floats) -> NDArray[np.bool_]:
        """Tell which places lie beyond the rim, or right at it.

        Examples
        --------
        >>> shown = Shown(Box(0, 0, 100, 50).corners)
        >>> shown.hides(np.array([50.0, 99.0, 120.0]), np.array([25.0, 25.0, 25.0])).tolist()
        [False, True, True]
        """
        p = np.array(self.corners, float)
        step = np.roll(p, -1, axis=0) - p
        unit = step / np.maximum(np.hypot(step[:, 0], step[:, 1]), 1e-9)[:, None]
        inward = unit[:, :1] * (y - p[:, 1:]) - unit[:, 1:] * (x - p[:, :1])
        return np.asarray((inward * np.sign(_area(p)) < RIM_PT).any(axis=0))


def goes_round(corners: Floats) -> bool:
    """Tell whether corners go round once and none of them turns inwards."""
    step = np.roll(corners, -1, axis=0) - corners
    after = np.roll(step, -1, axis=0)
    turn = step[:, 0] * after[:, 1] - step[:, 1] * after[:, 0]
    return bool((turn > 0).all() or (turn < 0).all())


def _area(p: Floats) -> float:
    """Twice the area within corners, above 0 where they go clockwise as seen."""
    after = np.roll(p, -1, axis=0)
    return float((p[:, 0] * after[:, 1] - after[:, 0] * p[:, 1]).sum())
