"""Plane transforms: affine and projective, and through a lens that bends straight lines."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from audit.geometry.lens import Lens
from audit.geometry.plane import Point

Row = tuple[float, float, float]
MIN_DETERMINANT = 1e-12  # of the matrix scaled to unit largest entry
EVEN = 0.01  # relative; a scaling more uneven than this would make a round lens oval


class NotInvertible(ValueError):
    """A transform that squeezes the plane onto a line."""


@dataclass(frozen=True, slots=True)
class Transform:
    """A projective map of the plane, row-major, acting on column vectors (x, y, 1).

    Attributes
    ----------
    rows : three rows of three floats
    lens : Lens or None
        The source is a picture through this lens: places are straightened before `rows` apply.
    bent : Lens or None
        The target is a picture through this lens: places are bent after `rows` applied.
    """

    rows: tuple[Row, Row, Row] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    lens: Lens | None = None
    bent: Lens | None = None

    @classmethod
    def from_matrix(cls, matrix: ArrayLike) -> Transform:
        """Build from any 3×3 array-like."""
        m = np.asarray(matrix, dtype=float).reshape(3, 3)
        rows = tuple(tuple(float(v) for v in row) for row in m)
        return cls(rows)  # type: ignore[arg-type]  # the reshape fixed the shape

    @classmethod
    def scaling(cls, x: float, y: float | None = None) -> Transform:
        """Scale about the origin; `y` defaults to `x`."""
        return cls(((x, 0.0, 0.0), (0.0, x if y is None else y, 0.0), (0.0, 0.0, 1.0)))

    @classmethod
    def from_points(
        cls, source: Sequence[tuple[float, float]], target: Sequence[tuple[float, float]]
    ) -> Transform:
        """Homography from at least four point pairs (normalised direct linear transform).

        Raises
        ------
        NotInvertible
            If three of four points lie on a line, or fewer than four pairs are given.

        References
        ----------
        R. Hartley, "In defense of the eight-point algorithm", 1997 (from memory): normalisation.
        """
        if len(source) < 4 or len(source) != len(target):
            raise NotInvertible("a homography needs four or more point pairs")
        src, norm_src = _normalised(source)
        dst, norm_dst = _normalised(target)
        rows = []
        for (x, y), (u, v) in zip(src, dst, strict=True):
            rows.append([x, y, 1, 0, 0, 0, -u * x, -u * y, -u])
            rows.append([0, 0, 0, x, y, 1, -v * x, -v * y, -v])
        _, singular, vt = np.linalg.svd(np.asarray(rows))
        if singular[7] < 1e-9 * singular[0]:
            raise NotInvertible("the points do not fix a homography: three lie on one line")
        m = np.linalg.inv(norm_dst) @ vt[-1].reshape(3, 3) @ norm_src
        result = cls.from_matrix(m / m[2, 2] if abs(m[2, 2]) > MIN_DETERMINANT else m)
        result.inverse()
        return result

    @property
    def matrix(self) -> NDArray[np.float64]:
        """The 3×3 array, lenses left out."""
        return np.array(self.rows, dtype=float)

    @property
    def is_affine(self) -> bool:
        """Whether parallels stay parallel."""
        return (
            self.lens is None
            and self.bent is None
            and self.rows[2][0] == 0.0
            and self.rows[2][1] == 0.0
        )

    def apply(self, point: tuple[float, float]) -> Point:
        """Map one point."""
        if self.lens is not None or self.bent is not None:
            ((x, y),) = self.apply_many([point])
            return Point(float(x), float(y))
        (a, b, c), (d, e, f), (g, h, i) = self.rows
        w = g * point[0] + h * point[1] + i
        return Point((a * point[0] + b * point[1] + c) / w, (d * point[0] + e * point[1] + f) / w)

    def apply_many(self, points: ArrayLike) -> NDArray[np.float64]:
        """Map an (n, 2) array."""
        p = np.asarray(points, dtype=float).reshape(-1, 2)
        if self.lens is not None:
            p = self.lens.straighten(p)
        q = np.column_stack([p, np.ones(len(p))]) @ self.matrix.T
        mapped = np.asarray(q[:, :2] / q[:, 2:], dtype=float)
        return mapped if self.bent is None else self.bent.bend(mapped)

    def jacobian(self, point: tuple[float, float]) -> NDArray[np.float64]:
        """2×2 matrix of derivatives at a point: how small steps there are mapped."""
        (a, b, c), (d, e, f), (g, h, i) = self.rows
        x, y = point if self.lens is None else self.lens.straighten([point])[0]
        w = g * x + h * y + i
        u, v = (a * x + b * y + c) / w, (d * x + e * y + f) / w
        plane = np.array([[(a - g * u) / w, (b - h * u) / w], [(d - g * v) / w, (e - h * v) / w]])
        if self.lens is not None:
            plane = plane @ self.lens.jacobian(point)
        if self.bent is not None:
            (seen,) = self.bent.bend([(u, v)])
            plane = np.linalg.inv(self.bent.jacobian((float(seen[0]), float(seen[1])))) @ plane
        return np.asarray(plane, dtype=float)

    def inverse(self) -> Transform:
        """Return the opposite map.

        Raises
        ------
        NotInvertible
            If the matrix is singular.
        """
        m = self.matrix
        largest = float(np.abs(m).max())
        if not math.isfinite(largest) or largest == 0:
            raise NotInvertible("the transform is empty")
        if abs(np.linalg.det(m / largest)) < MIN_DETERMINANT**1.5:
            raise NotInvertible("the transform squeezes the plane onto a line")
        back = Transform.from_matrix(np.linalg.inv(m))
        return Transform(back.rows, lens=self.bent, bent=self.lens)

    def then(self, after: Transform) -> Transform:
        """Return the map that does this one first and `after` second.

        A lens between the two is carried to the outside, where the map it passes only turns and
        evenly scales, or is undone by the other one's lens.

        Raises
        ------
        NotInvertible
            If a lens would have to pass a map that makes its circles oval.
        """
        rows = Transform.from_matrix(after.matrix @ self.matrix).rows
        if self.bent == after.lens:
            return Transform(rows, lens=self.lens, bent=after.bent)
        if self.bent is None and self.lens is None and after.lens is not None:
            lens = _carried(after.lens, Transform(self.rows).inverse())
            return Transform(rows, lens=lens, bent=after.bent)
        if after.lens is None and after.bent is None and self.bent is not None:
            return Transform(rows, lens=self.lens, bent=_carried(self.bent, after))
        raise NotInvertible("two different lenses cannot be made one")


def _carried(lens: Lens, through: Transform) -> Lens:
    """Return a lens as it is in the frame that an even scaling and turn leads to."""
    sides = np.linalg.svd(through.matrix[:2, :2], compute_uv=False)
    if not through.is_affine or sides[0] > sides[1] * (1 + EVEN):
        raise NotInvertible("a lens passes only turns and even scaling")
    return lens.moved(through.apply(lens.centre), times=float(np.sqrt(sides[0] * sides[1])))


def _normalised(
    points: Sequence[tuple[float, float]],
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    p = np.asarray(points, dtype=float)
    centre = p.mean(axis=0)
    spread = float(np.sqrt(((p - centre) ** 2).sum(axis=1)).mean())
    if spread == 0:
        raise NotInvertible("all points are the same")
    k = math.sqrt(2) / spread
    norm = np.array([[k, 0, -k * centre[0]], [0, k, -k * centre[1]], [0, 0, 1.0]])
    return (p - centre) * k, norm
