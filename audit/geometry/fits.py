"""Straight lines and circles through scattered points, with the scatter they leave."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from audit.geometry.plane import Point

CIRCLE_STEPS = 20  # Gauss-Newton from an algebraic start settles in 3 to 6


@dataclass(frozen=True, slots=True)
class LineFit:
    """A straight line: a point on it, its unit direction, and the RMS distance of the points."""

    point: Point
    direction: Point
    rms: float
    count: int


@dataclass(frozen=True, slots=True)
class CircleFit:
    """A circle: centre, radius, and the RMS distance of the points from it."""

    centre: Point
    radius: float
    rms: float
    count: int


def fit_line(points: ArrayLike, *, weights: ArrayLike | None = None) -> LineFit:
    """Total least squares line through (n, 2) points.

    Raises
    ------
    ValueError
        If there are fewer than two different points.

    Examples
    --------
    >>> fit_line([(0, 1), (1, 1), (2, 1)]).rms
    0.0
    """
    p = np.asarray(points, dtype=float).reshape(-1, 2)
    w = np.ones(len(p)) if weights is None else np.asarray(weights, dtype=float)
    if len(p) < 2 or not np.any(np.ptp(p, axis=0) > 0):
        raise ValueError("a line needs two different points")
    centre = np.average(p, axis=0, weights=w)
    d = p - centre
    _, vectors = np.linalg.eigh((d * w[:, None]).T @ d)
    u, n = vectors[:, 1], vectors[:, 0]
    rms = math.sqrt(float(np.average((d @ n) ** 2, weights=w)))
    return LineFit(Point(*map(float, centre)), Point(*map(float, u)), rms, len(p))


def fit_circle(points: ArrayLike) -> CircleFit:
    """Geometric least squares circle through (n, 2) points.

    An algebraic fit starts it, Gauss-Newton on the true distances finishes it.

    Raises
    ------
    ValueError
        If there are fewer than three points, or they lie on a line.

    Examples
    --------
    >>> round(fit_circle([(1, 0), (0, 1), (-1, 0), (0, -1)]).radius, 9)
    1.0
    """
    p = np.asarray(points, dtype=float).reshape(-1, 2)
    if len(p) < 3:
        raise ValueError("a circle needs three points")
    centre, radius = _algebraic_circle(p)
    for _ in range(CIRCLE_STEPS):
        d = p - centre
        r = np.hypot(d[:, 0], d[:, 1])
        jac = np.column_stack([-d / np.maximum(r, 1e-12)[:, None], -np.ones(len(p))])
        step, *_ = np.linalg.lstsq(jac, -(r - radius), rcond=None)
        centre, radius = centre + step[:2], radius + float(step[2])
        if float(np.abs(step).max()) < 1e-10 * max(1.0, radius):
            break
    rms = math.sqrt(float(np.mean((np.hypot(*(p - centre).T) - radius) ** 2)))
    return CircleFit(Point(*map(float, centre)), float(radius), rms, len(p))


def _algebraic_circle(p: NDArray[np.float64]) -> tuple[NDArray[np.float64], float]:
    mean = p.mean(axis=0)
    q = p - mean
    size = float(np.abs(q).max())
    if size == 0:
        raise ValueError("a circle needs three different points")
    q = q / size
    a = np.column_stack([2 * q, np.ones(len(q))])
    solution, _, rank, _ = np.linalg.lstsq(a, (q**2).sum(axis=1), rcond=1e-12)
    if rank < 3:
        raise ValueError("the points lie on a line")
    radius = math.sqrt(max(float(solution[2] + solution[:2] @ solution[:2]), 0.0))
    return mean + solution[:2] * size, radius * size
