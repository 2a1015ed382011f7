"""How much the drawing itself scatters, from the residuals of its own dimensions."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audit.scale.pairs import Pair
from audit.uncertainty import few_values_factor, rectangular

Array = NDArray[np.float64]

LEAST_VALUES = 3  # fewer residuals say nothing about scatter


@dataclass(frozen=True, slots=True, kw_only=True)
class Scatter:
    """Scatter of lengths on the paper, mm, standard uncertainties.

    `total` is all that is not snapping or known print rounding: what a single pair is worth in a
    fit. `drafting` leaves out what rounding of the printed sizes to half the tolerance would do
    as well: what the drawing adds to a measured length. `drafting_without` is the latter with
    each pair left out, shape (n,).
    """

    total: float
    drafting: float
    drafting_without: Array


def drafting_scatter(
    pairs: Sequence[Pair], misfits: Array, *, use: Array, scale: float, floor: float
) -> Scatter:
    """Estimate what the drawing adds to each length, beyond snapping and print rounding.

    The residuals are those that passed the outlier gate; their root mean square is widened for
    being estimated from few (`few_values_factor`), and never goes below the floor. Fractions and
    whole numbers may have been rounded, too; as far as half the tolerance covers that, it is no
    fault of the drawing.

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
    inside = use > 0
    known = np.array([p.u_paper**2 + (p.u_real / scale) ** 2 for p in pairs])
    rounded = np.array([rectangular(p.tolerance / 2) ** 2 if p.u_real == 0 else 0.0 for p in pairs])
    excess = (misfits**2 - known) * inside
    own = excess - rounded / scale**2 * inside
    total, own_total, count = float(excess.sum()), float(own.sum()), int(inside.sum())
    alone = [
        _widened(own_total - float(e), count - int(u), floor)
        for e, u in zip(own, inside, strict=True)
    ]
    return Scatter(
        total=_widened(total, count, floor),
        drafting=_widened(own_total, count, floor),
        drafting_without=np.array(alone),
    )


def _widened(total: float, count: int, floor: float) -> float:
    if count < LEAST_VALUES or total <= 0:
        return floor
    spread = math.sqrt(total / count)
    # A floor says what such drawings are like; a few residuals must clearly exceed it.
    if spread <= floor * (1 + 1 / math.sqrt(count)):
        return floor
    return spread * few_values_factor(count - 1)
