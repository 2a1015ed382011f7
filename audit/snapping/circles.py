"""Circles and arcs near a rough centre and radius, fitted to their stroke's middle."""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.geometry import CircleFit, Point, fit_circle
from audit.snapping.profile import Floats, Gray, darkness, find_middles, noise_of

RAYS = 360  # one a degree
SEARCH_SHARE = 0.12  # of the radius: how far a click may be off
MIN_SEARCH_PX = 5.0
MAX_SEARCH_PX = 24.0
STEP_PX = 0.25
MIN_RAYS = 16  # fewer rays on the stroke do not fix a circle
INLIER_PX = 1.2  # scanner wobble; beyond it a ray has met another line
# Of rays on a stroke so many per cent are no thicker than its usual width, crowded as it may be; a
# hand's stroke swells by so much, and rays a little blurred are wider by part of a px.
THIN_PERCENT, THICKER, THICKER_PX = 30.0, 1.3, 0.5
THIN_SHARE = 0.3  # of the rays at least are to be so thin
SIGMA_FLOOR_PX = 0.03  # px; what resampling and printing leave, measured on clean renders
TRIALS = 120


@dataclass(frozen=True, slots=True)
class SnappedCircle:
    """A drawn circle or arc.

    Attributes
    ----------
    centre : Point
    radius : float
        To the middle of the stroke, px.
    sigma_centre, sigma_radius : float
        Standard uncertainties, px.
    width : float
        Stroke width, px.
    sweep : float
        Degrees from the first to the last place where the stroke was seen; 360 for a full circle.
    seen : float
        Degrees of arc on which it was really seen: two parallel edges that a circle touches show
        some 30 of them.
    """

    centre: Point
    radius: float
    sigma_centre: float
    sigma_radius: float
    width: float
    sweep: float
    seen: float


def snap_circle(gray: Gray, centre: Point, radius: float) -> SnappedCircle | None:
    """Fit the circle nearest to a rough one.

    Parameters
    ----------
    gray : (h, w) uint8 array
    centre : Point
        Rough, px.
    radius : float
        Rough; together with the centre good to about an eighth of the radius, px.

    Returns
    -------
    SnappedCircle or None
        `None` where no stroke follows such a circle on at least 16 rays of 360.
    """
    if not (all(map(math.isfinite, (*centre, radius))) and radius >= 2.0):
        return None
    rough = CircleFit(centre, radius, 0.0, 0)
    result: tuple[CircleFit, Floats, Floats] | None = None
    reach = min(max(SEARCH_SHARE * radius, MIN_SEARCH_PX), MAX_SEARCH_PX)
    for _ in range(3):
        result = _fit_once(gray, rough, reach)
        if result is None:
            return None
        rough = result[0]
        reach = float(np.median(result[2])) + 3.0
    assert result is not None
    return _judge(*result, start=CircleFit(centre, radius, 0.0, 0))


def _fit_once(
    gray: Gray, rough: CircleFit, reach: float
) -> tuple[CircleFit, Floats, Floats] | None:
    turns = np.radians(np.arange(0.0, 360.0, 360.0 / RAYS))
    middle, width = _ray_middles(gray, rough, turns, reach)
    good = _alone(middle, width)
    if int(good.sum()) < MIN_RAYS:
        return None
    r = rough.radius + middle[good]
    points = np.column_stack(
        [rough.centre.x + r * np.cos(turns[good]), rough.centre.y + r * np.sin(turns[good])]
    )
    inlier = _consensus(points, rough, reach)
    if int(inlier.sum()) < MIN_RAYS:
        return None
    try:
        fit = fit_circle(points[inlier])
    except ValueError:
        return None
    return fit, turns[good][inlier], width[good][inlier]


def _alone(middle: Floats, width: Floats) -> NDArray[np.bool_]:
    """Rays on the stroke; where enough are as thin as it is, only those.

    Where another line runs into the stroke a ray finds both as one, thicker and off its middle.
    """
    good = np.isfinite(middle)
    if not good.any():
        return good
    usual = float(np.percentile(width[good], THIN_PERCENT))
    thin = good & (width <= THICKER * usual + THICKER_PX)
    enough = max(MIN_RAYS, THIN_SHARE * int(good.sum()))
    return thin if int(thin.sum()) >= enough else good


def _ray_middles(
    gray: Gray, rough: CircleFit, turns: Floats, reach: float
) -> tuple[Floats, Floats]:
    offsets = np.arange(-reach, reach + STEP_PX / 2, STEP_PX)
    r = np.maximum(rough.radius + offsets, 0.0)
    x = rough.centre.x + np.cos(turns)[:, None] * r[None, :]
    y = rough.centre.y + np.sin(turns)[:, None] * r[None, :]
    h, w = gray.shape
    x0, y0 = max(0, int(x.min()) - 2), max(0, int(y.min()) - 2)
    x1, y1 = min(w, int(x.max()) + 3), min(h, int(y.max()) + 3)
    if x1 - x0 < 4 or y1 - y0 < 4:
        empty = np.full(len(turns), np.nan)
        return empty, empty
    dark = darkness(gray[y0:y1, x0:x1])
    values = cv2.remap(
        dark,
        (x - x0 - 0.5).astype(np.float32),
        (y - y0 - 0.5).astype(np.float32),
        cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_CONSTANT,
        borderValue=0,
    )
    middle, width, _ = find_middles(np.asarray(values, np.float32), offsets, noise=noise_of(dark))
    return middle, width


def _consensus(points: Floats, rough: CircleFit, reach: float) -> NDArray[np.bool_]:
    """Rays on one circle: the best of many three-point circles near the rough one."""
    rng = np.random.default_rng(len(points))  # the same click always gives the same answer
    picks = points[rng.integers(0, len(points), (TRIALS, 3))]
    centres, radii = _through_three(picks)
    near = np.hypot(*(centres - np.array(rough.centre)).T) <= 2 * reach
    near &= np.abs(radii - rough.radius) <= 2 * reach
    if not near.any():
        return np.zeros(len(points), bool)
    centres, radii = centres[near], radii[near]
    away = np.hypot(*(points[None, :, :] - centres[:, None, :]).transpose(2, 0, 1))
    inliers = np.abs(away - radii[:, None]) <= INLIER_PX
    best: NDArray[np.bool_] = inliers[int(inliers.sum(axis=1).argmax())]
    return best


def _through_three(picks: Floats) -> tuple[Floats, Floats]:
    """Circles through each three of (n, 3, 2) points; radius infinite where they lie in line."""
    a, b, c = picks[:, 0], picks[:, 1] - picks[:, 0], picks[:, 2] - picks[:, 0]
    cross = 2 * (b[:, 0] * c[:, 1] - b[:, 1] * c[:, 0])
    bb, cc = (b**2).sum(axis=1), (c**2).sum(axis=1)
    safe = np.where(np.abs(cross) > 1e-6, cross, np.inf)
    ux = (c[:, 1] * bb - b[:, 1] * cc) / safe
    uy = (b[:, 0] * cc - c[:, 0] * bb) / safe
    radii = np.where(np.isfinite(safe), np.hypot(ux, uy), np.inf)
    return a + np.column_stack([ux, uy]), radii


def _judge(
    fit: CircleFit, turns: Floats, widths: Floats, *, start: CircleFit
) -> SnappedCircle | None:
    reach = 2 * min(max(SEARCH_SHARE * start.radius, MIN_SEARCH_PX), MAX_SEARCH_PX)
    if fit.centre.distance(start.centre) > reach or abs(fit.radius - start.radius) > reach:
        return None
    jacobian = np.column_stack([np.cos(turns), np.sin(turns), np.ones(len(turns))])
    # rays a degree apart on a small circle share pixels; count one sample a px of arc
    independent = min(1.0, fit.radius * math.tau / RAYS)
    spread = max(fit.rms, SIGMA_FLOOR_PX)
    covariance = np.linalg.pinv(jacobian.T @ jacobian) * spread**2 / independent
    sigma_c = math.sqrt(float(max(covariance[0, 0], covariance[1, 1])) + SIGMA_FLOOR_PX**2)
    sigma_r = math.sqrt(float(covariance[2, 2]) + SIGMA_FLOOR_PX**2)
    return SnappedCircle(
        fit.centre,
        fit.radius,
        sigma_c,
        sigma_r,
        float(np.median(widths)),
        _sweep(turns),
        len(turns) * 360.0 / RAYS,
    )


def _sweep(turns: Floats) -> float:
    """Degrees from the first to the last seen ray, leaving out the largest gap."""
    degrees = np.sort(np.degrees(turns))
    gaps = np.diff(np.append(degrees, degrees[0] + 360.0))
    largest = float(gaps.max())
    return 360.0 if largest <= 25.0 else 360.0 - largest
