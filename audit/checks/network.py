"""Adjustment of printed and drawn together, and what it says of each printed size.

Unknown are the places of the stations and the scale of the view; observed are the drawn places and
the printed sizes. A printed size is doubted when its residual is too large for its weight (the
w-test of Baarda), and when the change it asks for is larger than what would still agree.

References
----------
W. Baarda, A testing procedure for use in geodetic networks, Publications on Geodesy 2-5, Delft
1968 (idea; formulas as in Ghilani and Wolf, Adjustment Computations, chapters 12 and 21).
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from statistics import NormalDist
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from audit.checks.stations import Leg, Station, StationLine
from audit.lengths import MM_PER_INCH, Unit

Floats = NDArray[np.float64]

FALSE_ALARM = 0.01  # for all printed sizes of a line together
LEAST_SIGMA_IN = 1e-4  # an exact printed size still needs a weight
LEAST_REDUNDANCY = 1e-6  # below, nothing checks an observation
MOST_DENSE = 100_000  # entries of a table, mostly zeros, from which it pays to keep it sparse
MOST_DENSE_ROWS = 500  # of the inverse, at a time


@dataclass(frozen=True, slots=True, kw_only=True)
class Adjusted:
    """Weighted least squares with the reliability of each observation.

    Attributes
    ----------
    unknowns : Floats
        Best estimates.
    residuals : Floats
        Adjusted minus observed.
    redundancy : Floats
        Share of each observation that the others check, 0 to 1; they add up to `freedom`.
    tests : Floats
        w: residual over its own standard deviation, with sigma 0 known; 0 where nothing checks it.
    cofactors : Floats
        Covariance of the unknowns, sigma 0 = 1.
    chi2 : float
        Weighted sum of squared residuals.
    freedom : int
        Observations less unknowns.
    """

    unknowns: Floats
    residuals: Floats
    redundancy: Floats
    tests: Floats
    cofactors: Floats
    chi2: float
    freedom: int

    @property
    def errors(self) -> Floats:
        """Estimated gross error of each observation, as if it were the only one wrong."""
        safe = np.maximum(self.redundancy, LEAST_REDUNDANCY)
        return np.where(self.redundancy > LEAST_REDUNDANCY, -self.residuals / safe, 0.0)


def adjust(design: Any, observed: ArrayLike, sigmas: ArrayLike) -> Adjusted:
    """Adjust linear observations by weighted least squares.

    Parameters
    ----------
    design : Any
        Shape (n, u), full column rank: what numpy makes an array of, or a scipy.sparse.csr_array.
    observed : ArrayLike
        Shape (n,).
    sigmas : ArrayLike
        Shape (n,), positive; errors are taken as independent.

    Returns
    -------
    Adjusted
        Unknowns, residuals and reliability.

    Raises
    ------
    ValueError
        If the unknowns are not determined, or a sigma is not positive.

    Examples
    --------
    Two readings of one length, the second half as good:

    >>> done = adjust([[1.0], [1.0]], [10.0, 10.5], [1.0, 2.0])
    >>> done.unknowns.round(6).tolist(), done.redundancy.round(6).tolist()
    ([10.1], [0.2, 0.8])
    """
    table = design if _is_sparse(design) else np.asarray(design, float)
    values, spread = np.asarray(observed, float), np.asarray(sigmas, float)
    if not (spread > 0).all():
        raise ValueError("an observation needs a positive standard deviation")
    weighted = _weigh(table, 1.0 / spread)
    normal = weighted.T @ weighted
    normal = normal.toarray() if _is_sparse(normal) else normal
    try:
        factor = np.linalg.cholesky(normal)
    except np.linalg.LinAlgError as error:
        raise ValueError("the observations do not determine the unknowns") from error
    half = np.linalg.inv(factor)
    cofactors = half.T @ half
    unknowns = cofactors @ (weighted.T @ (values / spread))
    residuals = table @ unknowns - values
    leverage = np.concatenate(
        [
            np.asarray((part * (part @ cofactors)).sum(axis=1)).ravel()
            for k in range(0, len(values), MOST_DENSE_ROWS)
            for part in [weighted[k : k + MOST_DENSE_ROWS]]
        ]
    )
    redundancy = np.clip(1.0 - leverage, 0.0, 1.0)
    checked = redundancy > LEAST_REDUNDANCY
    root = np.sqrt(np.where(checked, redundancy, 1.0))
    tests = np.where(checked, residuals / (spread * root), 0.0)
    return Adjusted(
        unknowns=unknowns,
        residuals=residuals,
        redundancy=redundancy,
        tests=tests,
        cofactors=cofactors,
        chi2=float(((residuals / spread) ** 2).sum()),
        freedom=len(values) - table.shape[1],
    )


def _is_sparse(table: Any) -> bool:
    return hasattr(table, "tocsr")


def _weigh(table: Any, weights: Floats) -> Any:
    """Multiply the rows of a table."""
    weighted = table * weights[:, None]
    return weighted.tocsr() if _is_sparse(weighted) else weighted


def lay_table(
    entries: Sequence[float], places: tuple[Sequence[int], Sequence[int]], shape: tuple[int, int]
) -> Any:
    """Lay out a table of few entries; one that would be large is kept sparse.

    Parameters
    ----------
    entries : sequence of float
    places : tuple of two sequences of int
        Row and column of each; what stands at the same place is added up.
    shape : tuple of int

    Returns
    -------
    ndarray or scipy.sparse.csr_array
    """
    if shape[0] * shape[1] > MOST_DENSE:
        from scipy import sparse  # noqa: PLC0415  # loads slowly, seldom needed

        return sparse.csr_array((entries, places), shape=shape)
    table = np.zeros(shape)
    np.add.at(table, places, entries)
    return table


def critical_value(count: int, *, false_alarm: float = FALSE_ALARM) -> float:
    """Return the w above which one of `count` observations is doubted.

    Parameters
    ----------
    count : int
        Tested together.
    false_alarm : float
        Chance that a faultless line has any doubted at all.

    Returns
    -------
    float
        Two-sided.

    Examples
    --------
    >>> round(critical_value(1, false_alarm=0.001), 4), round(critical_value(10), 2)
    (3.2905, 3.29)
    """
    alone = 1.0 - (1.0 - false_alarm) ** (1.0 / max(count, 1))
    return NormalDist().inv_cdf(1.0 - alone / 2.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnTest:
    """What drawn places say when some printed sizes are left out.

    `fits`: nothing else is doubted then. `worst` is the largest w over its critical value.
    """

    fits: bool
    worst: float


def drawn_test(line: StationLine, without: Collection[int]) -> DrawnTest | None:
    """Ask the drawing whether the other printed sizes of a line hold without some.

    Parameters
    ----------
    line : StationLine
        With drawn places that may speak.
    without : Collection[int]
        Places in `line.used` that are taken as wrong.

    Returns
    -------
    DrawnTest | None
        `None` where the drawing says nothing.
    """
    left_out = set(without)
    legs = [leg for k, leg in enumerate(line.used) if k not in left_out]
    done = _adjust_line(line, legs)
    if done is None:
        return None
    adjusted, printed = done
    limit = critical_value(len(adjusted.tests))
    change = np.abs(adjusted.errors[:printed])
    doubted = np.abs(adjusted.tests) / limit
    worst = float(doubted.max(initial=0.0))
    least = _least_change(line)
    serious = (doubted[:printed] > 1.0) & (change > least)
    return DrawnTest(fits=not serious.any(), worst=worst)


def doubt_legs(line: StationLine) -> tuple[int, ...]:
    """Find printed sizes that the drawing alone speaks against.

    Each is compared with the places of its own two stations only: several mistakes that hide each
    other in an adjustment cannot do so here.

    Parameters
    ----------
    line : StationLine
        With drawn places that may speak; of any other line none is doubted.

    Returns
    -------
    tuple[int, ...]
        Places in `line.used`, those furthest off first.
    """
    if line.u_scale is None:
        return ()
    limit = critical_value(max(len(line.used), 1))
    factor = float(MM_PER_INCH) if line.unit is Unit.IN else 1.0
    off = {}
    for k, leg in enumerate(line.used):
        first, second = line.stations[leg.a], line.stations[leg.b]
        if not (first.drawn and second.drawn):
            continue
        drawn = second.place - first.place
        u = math.hypot(_place_sigma(first), _place_sigma(second), line.u_scale * drawn)
        allowed = _least_change(line) + float(leg.half) * factor + limit * u
        excess = abs(float(leg.value) * factor - drawn) - allowed
        if excess > 0:
            off[k] = excess
    return tuple(sorted(off, key=lambda k: -off[k]))


def _least_change(line: StationLine) -> float:
    """A change below the usual tolerance is no error, mm."""
    return float(MM_PER_INCH) / 64 if line.unit is Unit.IN else 0.5


def _adjust_line(line: StationLine, legs: Sequence[Leg]) -> tuple[Adjusted, int] | None:
    """Adjust a line in mm: printed legs first, then drawn places, then the scale."""
    drawn = [k for k, s in enumerate(line.stations) if s.drawn]
    if line.u_scale is None or len(drawn) < 2:
        return None
    touched = {leg.a for leg in legs} | {leg.b for leg in legs} | set(drawn)
    column = {station: k for k, station in enumerate(sorted(touched))}
    rows, columns, entries, observed, sigmas = [], [], [], [], []
    factor = float(MM_PER_INCH) if line.unit is Unit.IN else 1.0
    for row, leg in enumerate(legs):
        rows += [row, row]
        columns += [column[leg.b], column[leg.a]]
        entries += [1.0, -1.0]
        observed.append(float(leg.value) * factor)
        least = LEAST_SIGMA_IN * float(MM_PER_INCH)
        sigmas.append(max(float(leg.half) * factor / math.sqrt(3), least))
    origin = line.stations[drawn[0]].place
    scale = len(column)
    for k in drawn:
        row, station = len(observed), line.stations[k]
        rows += [row, row]
        columns += [column[k], scale]
        entries += [1.0, -(station.place - origin)]
        observed.append(0.0)
        sigmas.append(_place_sigma(station))
    rows.append(len(observed))
    columns.append(scale)
    entries.append(1.0)
    observed.append(1.0)
    sigmas.append(max(line.u_scale, 1e-6))
    table = lay_table(entries, (rows, columns), (len(observed), scale + 1))
    try:
        return adjust(table, observed, sigmas), len(legs)
    except ValueError:
        return None


def _place_sigma(station: Station) -> float:
    """Ends that were taken as one station though they lie apart make its place unsure."""
    return math.hypot(station.sigma, station.spread / 2 if station.doubtful else 0.0)
