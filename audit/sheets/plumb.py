"""The lens of a photo from lines that are straight on the paper (plumb lines).

References
----------
D. C. Brown, "Close-range camera calibration", 1971 (from memory): straight lines in space must be
straight in a picture without distortion.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audit.geometry import Box, Lens, Point

Array = NDArray[np.float64]

# What lenses are like before anything is measured, standard deviations: k1 and k2 at half the
# picture's diagonal (phones .00 to .05, wide angles .2), and the centre as a share of that.
USUAL = (0.1, 0.05, 0.05)
LEAST_LINES = 3
LEAST_POINTS = 8  # on a line, for its bow to say anything
NOISE_FLOOR_PX = 0.05
CLEARLY = 2.0  # the residual must fall by this factor, or the bow be 4 sigma, to speak of a lens
SURE = 4.0
STEPS = 25
TINY = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class LensFit:
    """A lens measured from straight lines.

    Attributes
    ----------
    lens : Lens or None
        `None` where the lines are as straight as they are seen: nothing is corrected.
    before, after : float
        Scatter of the lines' places about straight lines, px, without and with the lens.
    u_k1 : float
        Standard uncertainty of k1.
    noise : float
        Scatter of the lines' places about smooth curves, px: how well they are found at all.
    """

    lens: Lens | None
    before: float
    after: float
    u_k1: float
    noise: float = 0.0

    @property
    def unexplained(self) -> float:
        """Bow of the lines that neither the lens nor noise explains, rms, px: bent paper."""
        return math.sqrt(max(self.after**2 - self.noise**2, 0.0))


def fit_lens(lines: Sequence[Array], box: Box) -> LensFit:
    """Find the radial distortion that makes lines straight.

    Parameters
    ----------
    lines : sequence of arrays, each of shape (n, 2)
        Places on lines that are straight on the paper, in the picture's frame; lines of fewer
        than `LEAST_POINTS` places count as long as there are three places at all.
    box : Box
        The picture.

    Returns
    -------
    LensFit
    """
    radius = math.hypot(box.width, box.height) / 2
    used = [np.asarray(line, float) for line in lines if len(line) >= 3]
    if len(used) < LEAST_LINES:
        before = _rms(_bows(np.zeros(4), used, box.centre, radius)) if used else 0.0
        return LensFit(lens=None, before=before, after=before, u_k1=USUAL[0])
    before = _rms(_bows(np.zeros(4), used, box.centre, radius))
    noise = max(_noise(used), NOISE_FLOOR_PX)
    theta, covariance = _solve(used, box.centre, radius, noise)
    lens = _lens(theta, box.centre, radius)
    after = _rms(_bows(theta, used, box.centre, radius))
    u_k1 = math.sqrt(max(float(covariance[0, 0]), 0.0))
    edge, u_edge = float(theta[0] + theta[1]), _u_edge(covariance)
    clear = abs(edge) > SURE * u_edge or before > CLEARLY * after
    if not clear:
        return LensFit(lens=None, before=before, after=before, u_k1=u_k1, noise=noise)
    return LensFit(lens=lens, before=before, after=after, u_k1=u_k1, noise=noise)


def _u_edge(covariance: Array) -> float:
    pick = np.array([1.0, 1.0, 0.0, 0.0])
    return math.sqrt(max(float(pick @ covariance @ pick), 0.0))


def _lens(theta: Array, middle: Point, radius: float) -> Lens:
    k1, k2, dx, dy = (float(v) for v in theta)
    return Lens(centre=middle.moved(dx * radius, dy * radius), radius=radius, k1=k1, k2=k2)


def _bows(theta: Array, lines: Sequence[Array], middle: Point, radius: float) -> Array:
    """Distances of all places from straight lines through their own, px."""
    lens = _lens(theta, middle, radius)
    flat = lens.straighten(np.concatenate(lines))
    parts, at = [], 0
    for line in lines:
        own = flat[at : at + len(line)]
        at += len(line)
        own = own - own.mean(axis=0)
        _, _, way = np.linalg.svd(own, full_matrices=False)
        parts.append(own @ np.array([-way[0][1], way[0][0]]))
    return np.concatenate(parts)


def _rms(values: Array) -> float:
    return float(np.sqrt(np.mean(values**2)))


def _noise(lines: Sequence[Array]) -> float:
    """Scatter of places about smooth curves: what is left when each line may bow freely."""
    left, free = 0.0, 0
    for line in lines:
        if len(line) < LEAST_POINTS:
            continue
        way = line[-1] - line[0]
        way = way / np.hypot(*way)
        along = (line - line[0]) @ way
        aside = (line - line[0]) @ np.array([-way[1], way[0]])
        along = 2 * along / along[-1] - 1
        fit = np.polynomial.polynomial.polyfit(along, aside, 4)
        left += float(((aside - np.polynomial.polynomial.polyval(along, fit)) ** 2).sum())
        free += len(line) - 5
    return math.sqrt(left / free) if free > 0 else 0.0


def _solve(
    lines: Sequence[Array], middle: Point, radius: float, noise: float
) -> tuple[Array, Array]:
    """Gauss-Newton with what lenses are usually like as a weak prior."""
    prior = np.array([USUAL[0], USUAL[1], USUAL[2], USUAL[2]])
    # many places along one line share what bends it: paper, not noise
    worth = noise * math.sqrt(max(sum(map(len, lines)) / (12.0 * len(lines)), 1.0))
    theta = np.zeros(4)
    hessian = np.eye(4)
    damping = 1e-3
    cost = math.inf
    for _ in range(STEPS):
        bows = _bows(theta, lines, middle, radius) / worth
        jacobian = np.empty((len(bows), 4))
        for k in range(4):
            ahead = theta.copy()
            ahead[k] += TINY * 100
            jacobian[:, k] = (_bows(ahead, lines, middle, radius) / worth - bows) / (TINY * 100)
        hessian = jacobian.T @ jacobian + np.diag(1 / prior**2)
        gradient = jacobian.T @ bows + theta / prior**2
        now = float(bows @ bows + (theta / prior) @ (theta / prior))
        while True:
            step = np.linalg.solve(hessian + damping * np.diag(np.diag(hessian)), -gradient)
            trial = theta + step
            left = _bows(trial, lines, middle, radius) / worth
            cost = float(left @ left + (trial / prior) @ (trial / prior))
            if cost <= now or damping > 1e6:
                break
            damping *= 10
        if cost > now:
            break
        theta, damping = trial, damping / 10
        if float(np.abs(step).max()) < TINY:
            break
    return theta, np.asarray(np.linalg.inv(hessian), float)
