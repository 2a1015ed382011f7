"""The law of propagation of uncertainty, in matrices.

References
----------
JCGM 100:2008 (GUM), 5.1.2 and 5.2.2 (law of propagation), 4.3.7 (rectangular), 6.2.1 (expanded);
clause numbers from memory, the worked examples H.1 and H.2 are tests.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

COVERAGE_FACTOR = 2.0  # k; about 95 % of a normal distribution


def combine(gradient: ArrayLike, covariance: ArrayLike) -> float:
    """Combine the uncertainties of a result's inputs.

    Parameters
    ----------
    gradient : ArrayLike
        Derivative of the result by each input, shape (n,).
    covariance : ArrayLike
        Of the inputs, shape (n, n).

    Returns
    -------
    float
        Standard uncertainty sqrt(g C gᵀ); rounding below zero counts as zero.

    Examples
    --------
    >>> combine([3.0, 4.0], [[1.0, 0.0], [0.0, 1.0]])
    5.0
    >>> combine([], [])
    0.0
    """
    g = np.asarray(gradient, dtype=float).reshape(-1)
    c = np.asarray(covariance, dtype=float).reshape(len(g), len(g))
    return math.sqrt(max(float(g @ c @ g), 0.0))


def combine_many(jacobian: ArrayLike, covariance: ArrayLike) -> NDArray[np.float64]:
    """Combine the uncertainties of the inputs that several results share.

    Parameters
    ----------
    jacobian : ArrayLike
        Derivatives of each result by each input, shape (m, n).
    covariance : ArrayLike
        Of the inputs, shape (n, n).

    Returns
    -------
    NDArray
        Covariance of the results, shape (m, m).

    Examples
    --------
    >>> combine_many([[1.0, 1.0], [1.0, -1.0]], [[1.0, 0.0], [0.0, 1.0]]).tolist()
    [[2.0, 0.0], [0.0, 2.0]]
    """
    j = np.atleast_2d(np.asarray(jacobian, dtype=float))
    return np.asarray(j @ np.asarray(covariance, dtype=float) @ j.T, dtype=float)


def rectangular(half_width: float) -> float:
    """Return the standard uncertainty of something known only within limits.

    Parameters
    ----------
    half_width : float
        Everything between - `half_width` and + `half_width` is equally likely.

    Returns
    -------
    float
        `half_width` / √3.

    Examples
    --------
    >>> round(rectangular(1 / 64), 6), rectangular(0.0)
    (0.009021, 0.0)
    """
    return abs(half_width) / math.sqrt(3.0)


def expand(u: float) -> float:
    """Return the expanded uncertainty U = k u with k = 2.

    Parameters
    ----------
    u : float
        Standard uncertainty.

    Returns
    -------
    float
        U, in the same unit.

    Examples
    --------
    >>> expand(0.25), expand(0.0)
    (0.5, 0.0)
    """
    return COVERAGE_FACTOR * u


def few_values_factor(dof: int) -> float:
    """Return the widening of a standard uncertainty that was itself estimated from few values.

    Parameters
    ----------
    dof : int
        Degrees of freedom of the estimate; below 1 counts as 1.

    Returns
    -------
    float
        t(.975, dof) / 2, so that U = 2 u still covers 95 %.

    References
    ----------
    GUM G.3 (Student's t; clause from memory); the values are scipy's.

    Examples
    --------
    >>> round(few_values_factor(3), 3), round(few_values_factor(1000), 3)
    (1.591, 1.0)
    """
    if dof < 1:
        return few_values_factor(1)
    return _T_975[min(dof, len(_T_975)) - 1] / COVERAGE_FACTOR


# t(.975, dof) for dof = 1 … 60, scipy.stats.t.ppf rounded to 4 decimals (a test compares them);
# a table because scipy.stats takes longer to load than everything else here.
_T_975 = (
    12.7062, 4.3027, 3.1824, 2.7764, 2.5706, 2.4469, 2.3646, 2.3060, 2.2622, 2.2281,
    2.2010, 2.1788, 2.1604, 2.1448, 2.1314, 2.1199, 2.1098, 2.1009, 2.0930, 2.0860,
    2.0796, 2.0739, 2.0687, 2.0639, 2.0595, 2.0555, 2.0518, 2.0484, 2.0452, 2.0423,
    2.0395, 2.0369, 2.0345, 2.0322, 2.0301, 2.0281, 2.0262, 2.0244, 2.0227, 2.0211,
    2.0195, 2.0181, 2.0167, 2.0154, 2.0141, 2.0129, 2.0117, 2.0106, 2.0096, 2.0086,
    2.0076, 2.0066, 2.0057, 2.0049, 2.0040, 2.0032, 2.0025, 2.0017, 2.0010, 2.0003,
)  # fmt: skip
