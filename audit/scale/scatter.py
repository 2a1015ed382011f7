"""How much the drawing itself scatters, from the residuals of its own dimensions."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audit.scale.pairs import Pair
from audit.uncertainty import few_values_factor

Array = NDArray[np.float64]

LEAST_VALUES = 3  # fewer residuals say nothing about scatter


@dataclass(frozen=True, slots=True, kw_only=True)
class Scatter:
    """Scatter of lengths on the paper, mm: of all residuals, and with each left out, shape (n,)."""

    overall: float
    without: Array


def drafting_scatter(
    pairs: Sequence[Pair], misfits: Array, *, use: Array, scale: float, floor: float
) -> Scatter:
    """Estimate what the drawing adds to each length, beyond snapping and print rounding.

    The residuals are those that passed the outlier gate; their root mean square is widened for
    being estimated from few (`few_values_factor`), and never goes below the floor.

    Parameters
    ----------
    pairs : Sequence[Pair]
        Of one view.
    misfits : Array
        Given minus fitted length, mm of paper, at the variance of single lengths; shape (n,).
    use : Array
        1 for residuals that passed the gate, else 0; shape (n,).
    scale : float
        Real mm for each mm of paper.
    floor : float
        Least scatter, mm of paper.

    Returns
    -------
    Scatter
        In mm of paper.
    """
    known = np.array([p.u_paper**2 + (p.u_real / scale) ** 2 for p in pairs])
    excess = (misfits**2 - known) * (use > 0)
    total, count = float(excess.sum()), int(np.count_nonzero(use))
    alone = [
        _widened(total - float(e), count - (u > 0), floor) for e, u in zip(excess, use, strict=True)
    ]
    return Scatter(overall=_widened(total, count, floor), without=np.array(alone))


def _widened(total: float, count: int, floor: float) -> float:
    if count < LEAST_VALUES or total <= 0:
        return floor
    spread = math.sqrt(total / count)
    return spread * few_values_factor(count - 1) if spread > floor else floor
