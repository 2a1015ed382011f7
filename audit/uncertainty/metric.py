"""From paper vectors to real ones: the 2×2 metric of a scale, and how it changes.

A paper vector d is mapped by A = [[x, y s], [0, y c]] with s the shear and c = sqrt(1 - s²): the
images of the two axes have lengths x and y and the cosine s between them. Lengths and angles of
A d are those of the real part; A itself is fixed only up to a turn, which changes neither.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from audit.records import Scale

Array = NDArray[np.float64]


def real_matrix(scale: Scale) -> Array:
    """Return the 2×2 matrix A, real mm for each mm of paper."""
    cosine = math.sqrt(max(1.0 - scale.shear**2, 0.0))
    return np.array([[scale.x, scale.y * scale.shear], [0.0, scale.y * cosine]])


def real_length(vector_paper: ArrayLike, scale: Scale) -> float:
    """Return the real length in mm of a vector on the paper.

    Parameters
    ----------
    vector_paper : ArrayLike
        Shape (2,), mm.
    scale : Scale
        Real mm for each mm of paper.

    Returns
    -------
    float
        In mm.

    Examples
    --------
    >>> from audit.records import Scale, ScaleFrom
    >>> exact = ((0.0, 0.0, 0.0),) * 3
    >>> half = Scale(x=2.0, y=2.0, covariance=exact, source=ScaleFrom.KNOWN)
    >>> real_length((3.0, 4.0), half), real_length((0.0, 0.0), half)
    (10.0, 0.0)
    """
    real = real_matrix(scale) @ np.asarray(vector_paper, dtype=float)
    return float(np.hypot(real[0], real[1]))


def real_changes(vector_paper: ArrayLike, scale: Scale) -> Array:
    """Return the derivatives of A d by (ln x, ln y, shear), as a 2×3 array."""
    dx, dy = (float(v) for v in np.asarray(vector_paper, dtype=float))
    shear = scale.shear
    cosine = math.sqrt(max(1.0 - shear**2, 1e-12))
    return np.array(
        [
            [scale.x * dx, scale.y * shear * dy, scale.y * dy],
            [0.0, scale.y * cosine * dy, -scale.y * shear / cosine * dy],
        ]
    )
