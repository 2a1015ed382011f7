"""Weighted least squares for the scales of one sheet, with and without each single length.

Unknowns: the log scale s of each group (one or more views, or the known sizes), and two things
the whole sheet shares: the stretch δ = ln x - ln y, and the shear. Observations are logarithms of
real lengths, which makes the model nearly linear and every error relative. Pseudo-observations
say what is assumed where nothing measures it: δ and shear near 0, groups tied to each other.

References
----------
Leaving one observation out by a rank-one downdate (Sherman and Morrison 1950; from memory, a test
compares it with a second fit).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audit.records import Scale, ScaleFrom
from audit.scale.pairs import Pair

Array = NDArray[np.float64]

GAUSS_NEWTON_STEPS = 8  # the log model settles in 2 or 3
SETTLED = 1e-12
FURTHEST = 0.5  # stretch and shear; misread sizes would drive them to where nothing is a number
LEAST_RELATIVE_U = 1e-6  # no length is known better; keeps the equations solvable


@dataclass(frozen=True, slots=True, kw_only=True)
class Prior:
    """What is assumed of a sheet: standard uncertainties of the stretch δ and of the shear."""

    stretch: float
    shear: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Tie:
    """Two groups whose log scales differ by a known amount (`first` minus `second`)."""

    first: int
    second: int
    difference: float
    u: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """Solved scales of a sheet.

    Attributes
    ----------
    theta : array of shape (groups + 2,)
        Log scales, then δ and shear.
    covariance : array of shape (groups + 2, groups + 2)
    rows : array of shape (n, groups + 2)
        Derivative of each log length.
    weights : array of shape (n,)
        1 / u² of each log length; 0 for lengths left out as outliers.
    residuals : array of shape (n,)
        ln(given) - ln(fitted).
    groups : array of int, shape (n,)
    """

    theta: Array
    covariance: Array
    rows: Array
    weights: Array
    residuals: Array
    groups: NDArray[np.int64]

    def without(self, k: int) -> tuple[Array, Array]:
        """Return parameters and covariance as they are when length `k` is left out."""
        row, weight = self.rows[k], float(self.weights[k])
        spread = self.covariance @ row
        left = 1.0 - weight * float(row @ spread)
        if weight == 0.0:
            return self.theta, self.covariance
        left = max(left, 1e-9)
        theta = self.theta - spread * (weight * float(self.residuals[k]) / left)
        return theta, self.covariance + np.outer(spread, spread) * (weight / left)

    def leverages(self) -> Array:
        """Return the share of each length in fixing its own fitted value, 0 to 1, shape (n,)."""
        own = np.einsum("ij,jk,ik->i", self.rows, self.covariance, self.rows)
        return np.asarray(np.clip(own * self.weights, 0.0, 1.0 - 1e-9), dtype=float)

    def uncertainty_of_stretch(self) -> float:
        """Return the standard uncertainty of δ."""
        return math.sqrt(max(float(self.covariance[-2, -2]), 0.0))

    def uncertainty_of_shear(self) -> float:
        """Return the standard uncertainty of the shear."""
        return math.sqrt(max(float(self.covariance[-1, -1]), 0.0))


def fit_scales(
    pairs: Sequence[Pair],
    groups: Sequence[int],
    *,
    relative_u: Array,
    prior: Prior,
    ties: Sequence[Tie] = (),
    use: Array | None = None,
) -> Fit:
    """Fit the scales of a sheet.

    Parameters
    ----------
    pairs : Sequence[Pair]
        At least one.
    groups : Sequence[int]
        Of each pair, 0-based; every group must have a used pair or a tie.
    relative_u : Array
        Relative standard uncertainty of each pair, shape (n,).
    prior : Prior
        What holds where nothing is measured.
    ties : Sequence[Tie]
        Groups whose scales hang together.
    use : Array | None
        Share of each pair that counts, shape (n,), 0 for outliers; `None`: all.

    Returns
    -------
    Fit
        Parameters, covariance and what is needed to leave lengths out.

    Raises
    ------
    ValueError
        If there are no pairs, or nothing fixes a group.
    """
    if not pairs:
        raise ValueError("a scale needs at least one length")
    vectors = np.array([(p.dx, p.dy) for p in pairs])
    real = np.log([p.real for p in pairs])
    group = np.asarray(groups, dtype=np.int64)
    size = 1 + max([*(int(g) for g in group), *(max(t.first, t.second) for t in ties)])
    weights = 1.0 / np.maximum(relative_u, LEAST_RELATIVE_U) ** 2
    if use is not None:
        weights = weights * use
    ratio = real - np.log(np.hypot(vectors[:, 0], vectors[:, 1]))
    theta = _start(ratio, group, weights, size=size, ties=ties)
    for _ in range(GAUSS_NEWTON_STEPS):
        fitted, rows = _model(vectors, group, theta, size)
        normal, right = _normal_equations(
            rows, weights, real - fitted, theta=theta, prior=prior, ties=ties
        )
        covariance = _invert(normal)
        step = covariance @ right
        theta = theta + step
        theta[-2:] = np.clip(theta[-2:], -FURTHEST, FURTHEST)
        if float(np.abs(step).max()) < SETTLED:
            break
    fitted, rows = _model(vectors, group, theta, size)
    return Fit(
        theta=theta,
        covariance=covariance,
        rows=rows,
        weights=weights,
        residuals=real - fitted,
        groups=group,
    )


def scale_of(
    theta: Array, covariance: Array, group: int, *, source: ScaleFrom, isotropic: bool
) -> Scale:
    """Read one group's scale off a fit.

    Parameters
    ----------
    theta : Array
        As in `Fit`, or as left by `Fit.without`.
    covariance : Array
        Likewise.
    group : int
        0-based.
    source : ScaleFrom
        What fixed it.
    isotropic : bool
        Whether x = y was assumed.

    Returns
    -------
    Scale
        With x, y, shear and their covariance; everything else is left at its default.
    """
    pick = np.zeros((3, len(theta)))
    pick[0, group], pick[0, -2] = 1.0, 0.5
    pick[1, group], pick[1, -2] = 1.0, -0.5
    pick[2, -1] = 1.0
    log_x, log_y, shear = (float(v) for v in pick @ theta)
    spread = pick @ covariance @ pick.T
    rows = tuple((float(r[0]), float(r[1]), float(r[2])) for r in spread)
    return Scale(
        x=math.exp(log_x),
        y=math.exp(log_y),
        shear=shear,
        covariance=(rows[0], rows[1], rows[2]),
        source=source,
        isotropic=isotropic,
    )


def _start(
    ratio: Array, group: NDArray[np.int64], weights: Array, *, size: int, ties: Sequence[Tie]
) -> Array:
    """Begin at the weighted mean log ratio of each group."""
    theta = np.zeros(size + 2)
    total = np.bincount(group, weights=weights, minlength=size)
    mean = np.bincount(group, weights=weights * ratio, minlength=size)
    known = total > 0
    theta[:size][known] = mean[known] / total[known]
    for tie in ties:
        if not known[tie.first]:
            theta[tie.first] = theta[tie.second] + tie.difference
    return theta


def _model(
    vectors: Array, group: NDArray[np.int64], theta: Array, size: int
) -> tuple[Array, Array]:
    """Return fitted log lengths, (n,), and their derivatives, (n, size + 2)."""
    x = np.exp(theta[-2] / 2) * vectors[:, 0]
    y = np.exp(-theta[-2] / 2) * vectors[:, 1]
    squared = np.maximum(x**2 + y**2 + 2 * theta[-1] * x * y, 1e-300)
    rows = np.zeros((len(vectors), size + 2))
    rows[np.arange(len(vectors)), group] = 1.0
    rows[:, -2] = (x**2 - y**2) / (2 * squared)
    rows[:, -1] = x * y / squared
    return theta[group] + 0.5 * np.log(squared), rows


def _normal_equations(
    rows: Array,
    weights: Array,
    misfit: Array,
    *,
    theta: Array,
    prior: Prior,
    ties: Sequence[Tie],
) -> tuple[Array, Array]:
    normal = (rows * weights[:, None]).T @ rows
    right = rows.T @ (weights * misfit)
    for place, u in ((-2, prior.stretch), (-1, prior.shear)):
        normal[place, place] += 1.0 / u**2
        right[place] -= theta[place] / u**2
    for tie in ties:
        row = np.zeros(len(theta))
        row[tie.first], row[tie.second] = 1.0, -1.0
        miss = tie.difference - float(row @ theta)
        normal += np.outer(row, row) / tie.u**2
        right += row * (miss / tie.u**2)
    return normal, right


def _invert(normal: Array) -> Array:
    """Invert after scaling to a unit diagonal; the weights span many decades."""
    diagonal = np.sqrt(np.diag(normal))
    if not np.all(diagonal > 0):
        raise ValueError("nothing fixes the scale of a group")
    scaled = normal / np.outer(diagonal, diagonal)
    try:
        inverse = np.linalg.inv(scaled)
    except np.linalg.LinAlgError:  # what only contradicting sizes fix, to the last digit
        inverse = np.linalg.pinv(scaled, hermitian=True)
    return np.asarray(inverse / np.outer(diagonal, diagonal), dtype=float)
