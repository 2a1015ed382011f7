"""How a lens bends straight lines: radial distortion about a centre."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from audit.geometry.plane import Point

FARTHEST = 1.5  # radii; further out, where no picture is, the bending no longer grows
ROUNDS = 12  # Newton settles in 3 to 5
SETTLED = 1e-12  # of the radius


@dataclass(frozen=True, slots=True)
class Lens:
    """Radial distortion of a picture, as the way back to a picture without it.

    A place p of the picture belongs at ``centre + (p - centre)(1 + k1 s + k2 s²)`` with
    s = (|p - centre| / radius)². Barrel distortion has a positive k1.

    Attributes
    ----------
    centre : Point
        Where nothing moves, in the picture's frame.
    radius : float
        Half the picture's diagonal, in the same unit; only the unit of k1 and k2.
    k1, k2 : float
        Relative change of the distance from the centre at one radius.

    References
    ----------
    D. C. Brown, "Decentering distortion of lenses", 1966 (from memory): the radial series, here
    from the bent place to the straight one.
    """

    centre: Point
    radius: float
    k1: float
    k2: float = 0.0

    def straighten(self, points: ArrayLike) -> NDArray[np.float64]:
        """Map places of the picture to where they belong; shape (n, 2)."""
        d = np.asarray(points, dtype=float).reshape(-1, 2) - self.centre
        return np.asarray(self.centre + d * self._growth(self._share(d))[:, None], dtype=float)

    def bend(self, points: ArrayLike) -> NDArray[np.float64]:
        """Map straight places to where the picture shows them; the inverse of `straighten`."""
        d = np.asarray(points, dtype=float).reshape(-1, 2) - self.centre
        goal = np.hypot(d[:, 0], d[:, 1]) / self.radius
        r = goal.copy()
        for _ in range(ROUNDS):
            s = r * r
            error = r * self._growth(s) - goal
            slope = self._growth(s) + 2 * s * self._slope(s)
            step = error / np.where(slope > 0.1, slope, 0.1)
            r = np.maximum(r - step, 0.0)
            if float(np.abs(step).max(initial=0.0)) < SETTLED:
                break
        factor = np.divide(r, goal, out=np.ones_like(r), where=goal > 0)
        return np.asarray(self.centre + d * factor[:, None], dtype=float)

    def jacobian(self, point: tuple[float, float]) -> NDArray[np.float64]:
        """2×2 matrix of derivatives of `straighten` at a place of the picture."""
        d = np.subtract(point, self.centre)
        s = float(self._share(d[None, :])[0])
        growth, slope = float(self._growth(np.array(s))), float(self._slope(np.array(s)))
        return np.eye(2) * growth + 2 * slope / self.radius**2 * np.outer(d, d)

    def moved(self, centre: Point, *, times: float) -> Lens:
        """Return the same lens in another frame, turned and evenly scaled."""
        return Lens(centre=centre, radius=self.radius * times, k1=self.k1, k2=self.k2)

    def _share(self, d: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray((d**2).sum(axis=1) / self.radius**2, dtype=float)

    def _growth(self, s: NDArray[np.float64]) -> NDArray[np.float64]:
        s = np.minimum(s, FARTHEST**2)
        return np.asarray(1.0 + s * (self.k1 + s * self.k2), dtype=float)

    def _slope(self, s: NDArray[np.float64]) -> NDArray[np.float64]:
        """Derivative of the growth by s."""
        return np.asarray(np.where(s < FARTHEST**2, self.k1 + 2 * s * self.k2, 0.0), dtype=float)
