"""The proportions of a rectangle seen askew."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audit.geometry import Box, Point, Transform

Array = NDArray[np.float64]

# Focal length over half the picture's diagonal: phones about 1.2 to 1.7 (26 to 35 mm equivalent),
# and as much again to either side for zooms and cropped pictures; log-normal.
USUAL_FOCAL, FOCAL_SPREAD = 1.4, 0.35
TRIED_FOCALS = 81
OFF_AXIS = 0.006  # of half the diagonal: where the camera's axis really meets the picture
LEAST_COSINE_U = 1e-4
STEP_PX = 0.5
SQUARE = ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """Width over height of a rectangle, and its standard uncertainty."""

    ratio: float
    u: float


def measure_shape(corners: Sequence[Point], box: Box, *, sigma: float) -> Shape:
    """Find the proportions of a rectangle from its picture.

    The camera is taken to have square pixels and its axis in the middle of the picture; its focal
    length is what makes the sides square to each other, as far as the view tells, and a usual one
    where it does not.

    Parameters
    ----------
    corners : sequence of four Points
        In order around the rectangle, the lens undone; width is from the first to the second.
    box : Box
        The picture.
    sigma : float
        Standard uncertainty of a corner along x and y.

    Returns
    -------
    Shape

    References
    ----------
    Z. Zhang, L.-W. He, "Whiteboard scanning and image enhancement", 2007 (from memory): aspect
    ratio and focal length from one view of a rectangle.
    """
    radius = math.hypot(box.width, box.height) / 2
    flat = (np.array(corners, float) - box.centre) / radius
    step = STEP_PX / radius
    focals = USUAL_FOCAL * np.exp(np.linspace(-3, 3, TRIED_FOCALS) * FOCAL_SPREAD)
    logs, cosines = _views(flat, focals)
    u_log, u_cosine = np.zeros_like(logs), np.full_like(cosines, LEAST_COSINE_U**2)
    for k in range(10):
        moved, u = flat.copy(), sigma / radius
        if k < 8:
            moved[k // 2, k % 2] += step
        else:  # the axis lies elsewhere: everything is shifted
            moved[:, k % 2] += step
            u = OFF_AXIS
        log, cosine = _views(moved, focals)
        u_log = u_log + ((log - logs) / step * u) ** 2
        u_cosine = u_cosine + ((cosine - cosines) / step * u) ** 2
    misfit = np.linspace(-3, 3, TRIED_FOCALS) ** 2 + cosines**2 / u_cosine
    weight = np.exp(-(misfit - misfit.min()) / 2)
    weight = weight / weight.sum()
    mean = float(weight @ logs)
    variance = float(weight @ ((logs - mean) ** 2 + u_log))
    ratio = math.exp(mean)
    return Shape(ratio=ratio, u=ratio * math.sqrt(variance))


def _views(flat: Array, focals: Array) -> tuple[Array, Array]:
    """Log of width over height, and cosine between the sides, for each focal length."""
    matrix = Transform.from_points(SQUARE, [(float(x), float(y)) for x, y in flat]).matrix
    first, second = matrix[:, 0], matrix[:, 1]
    weight = np.column_stack([1 / focals, 1 / focals, np.ones_like(focals)])
    a, b = weight * first, weight * second
    na, nb = np.linalg.norm(a, axis=1), np.linalg.norm(b, axis=1)
    return np.log(na / nb), (a * b).sum(axis=1) / (na * nb)
