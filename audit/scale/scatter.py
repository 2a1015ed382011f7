"""How much the drawing itself scatters, from the residuals of its own dimensions.

On a page that a program drew the residuals tell it as they are. On a picture they are few, some of
them are wrong numbers, and how such drawings are made is known beforehand: there the scatter σ of a
length is a distribution. Before anything was measured σ is as likely the floor (a plotter, a neat
hand) as anything above it, up to what the poorest hands do; "the floor" is anything down to what
the best printing and scanning leave of a drawing that a program made, or that was made large and
printed small. Every residual m with known variance v makes it likelier as

    (1 - w) N(m; 0, v + σ²) + w / (range of wrong sizes),

so that one known badly says little, and a wrong number next to nothing. What a length is told to be
uncertain by is the interval that covers 95 % of the lengths so distributed: few residuals make it
wide by themselves, as Student's t does.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from audit.scale.modes import LOG_RANGE, WRONG_SHARE
from audit.scale.pairs import Pair
from audit.uncertainty import few_values_factor, rectangular

Array = NDArray[np.float64]

LEAST_VALUES = 3  # fewer residuals say nothing about scatter
ENOUGH = 6  # residuals that tell by themselves which of them are wrong; fewer hang on the gate
AS_THE_FLOOR = 0.5  # probability beforehand that a drawing scatters no more than its kind's floor
AS_ROUNDED = 0.75  # of what rounding to half the tolerance would do: not all sizes are rounded
BEST = 0.3  # times the floor; on plotted paper .03 mm, what good prints and scanners leave
WORST = 10.0  # times the floor; a hand that strays a millimetre draws nothing to measure
FINER = 21  # scatters tried below the floor, and
STEPS = 41  # from it on, 6 % apart: finer than any sheet can tell
COVERED = 0.95  # of lengths, within twice the scatter that is told


@dataclass(frozen=True, slots=True, kw_only=True)
class Scatter:
    """Scatter of lengths on the paper, mm, standard uncertainties.

    `total` is all that is not snapping or known print rounding: what a single pair is worth in a
    fit. `drafting` leaves out what rounding of the printed sizes to half the tolerance would do
    as well: what the drawing adds to a measured length. `drafting_without` is the latter with
    each pair left out, shape (n,); on pictures finer than their kind only where `drafting` is.
    """

    total: float
    drafting: float
    drafting_without: Array


def drafting_scatter(
    pairs: Sequence[Pair],
    misfits: Array,
    *,
    use: Array,
    scale: float,
    floor: float,
    share: Array | None = None,
) -> Scatter:
    """Estimate what the drawing adds to each length, beyond snapping and print rounding.

    Parameters
    ----------
    pairs : Sequence[Pair]
        Of one view, or of a sheet.
    misfits : Array
        Given minus fitted length, mm of paper, at the variance of single lengths; shape (n,).
    use : Array
        1 for residuals that passed the outlier gate, else 0; shape (n,). Pictures with enough of
        them do without.
    scale : float
        Real mm for each mm of paper.
    floor : float
        What drawings of its kind usually scatter at least, mm of paper; 0 for a drawn page.
    share : Array | None
        How much each residual counts, 0 to 1, shape (n,); `None`: all alike. Pictures alone.

    Returns
    -------
    Scatter
        In mm of paper.
    """
    known = np.array([p.u_paper**2 + (p.u_real / scale) ** 2 for p in pairs])
    rounded = np.array([rectangular(p.tolerance / 2) ** 2 if p.u_real == 0 else 0.0 for p in pairs])
    rounded /= scale**2
    if floor > 0:
        counts = np.ones(len(pairs)) if share is None else share
        counts = counts if len(pairs) >= ENOUGH else counts * use
        wrong = WRONG_SHARE / (LOG_RANGE * np.array([p.drawn for p in pairs]))
        seen = _Seen(misfits=misfits, wrong=wrong, counts=counts, floor=floor)
        return seen.scatter(known, rounded)
    inside = use > 0
    excess = (misfits**2 - known) * inside
    own = excess - rounded * inside
    total, own_total, many = float(excess.sum()), float(own.sum()), int(inside.sum())
    alone = [
        _widened(own_total - float(e), many - int(u)) for e, u in zip(own, inside, strict=True)
    ]
    return Scatter(
        total=_widened(total, many),
        drafting=_widened(own_total, many),
        drafting_without=np.array(alone),
    )


def _widened(total: float, count: int) -> float:
    """Root mean square of residuals, widened for being estimated from few."""
    if count < LEAST_VALUES or total <= 0:
        return 0.0
    return math.sqrt(total / count) * few_values_factor(count - 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Seen:
    """The residuals of a picture.

    `wrong` is the density of wrong sizes at each, `counts` how much each has a say.
    """

    misfits: Array
    wrong: Array
    counts: Array
    floor: float

    def scatter(self, known: Array, rounded: Array) -> Scatter:
        """Tell what the drawing scatters, with all residuals and without each."""
        # what fixes a scale is never taken for finer than its kind: few sizes would soon do
        total = self._chances(known)[0] @ (self.floor * np.maximum(_ladder(), 1.0)) ** 2
        left = self.counts.sum() - np.concatenate([[0.0], self.counts])
        covering = _covering(self._chances(known + AS_ROUNDED * rounded))
        # finer than its kind only as far as all say so: without the one that strays furthest the
        # rest look truer than the drawing is, and a wrong one hardly counts among them
        covering = np.maximum(covering, min(covering[0], 1.0))
        drafting = self.floor * np.where(left < LEAST_VALUES, 1.0, covering)
        return Scatter(
            total=math.sqrt(float(total)),
            drafting=float(drafting[0]),
            drafting_without=drafting[1:],
        )

    def _chances(self, known: Array) -> Array:
        """Probability of each scatter, with all residuals and without each, (n + 1, scatters)."""
        variance = known[:, None] + (self.floor * _ladder()) ** 2
        right = np.exp(-0.5 * self.misfits[:, None] ** 2 / variance)
        right *= (1 - WRONG_SHARE) / np.sqrt(2 * math.pi * variance)
        logs = self.counts[:, None] * np.log(right + self.wrong[:, None])
        whole = logs.sum(axis=0) + np.log(_beforehand())
        return _normalised(np.vstack([whole, whole - logs]))


def _normalised(logs: Array) -> Array:
    chances = np.exp(logs - logs.max(axis=1, keepdims=True))
    return np.asarray(chances / chances.sum(axis=1, keepdims=True), dtype=float)


@cache
def _ladder() -> Array:
    """Scatters that are tried, in floors, shape (FINER + STEPS - 1,)."""
    return np.concatenate([np.geomspace(BEST, 1.0, FINER), np.geomspace(1.0, WORST, STEPS)[1:]])


def _beforehand() -> Array:
    """Probability of each before anything was measured: up to the floor all are as likely."""
    fine = _ladder() <= 1.0
    coarse = np.where(fine, 0.0, 1.0 / _ladder())
    chances = AS_THE_FLOOR * fine / fine.sum() + (1 - AS_THE_FLOOR) * coarse / coarse.sum()
    return np.asarray(chances, dtype=float)


@cache
def _cover_table() -> tuple[Array, Array]:
    """Half widths of intervals, in floors, and the share of lengths of each scatter in them."""
    reach = 2 * np.geomspace(0.9 * BEST, 2 * WORST, 8 * (FINER + STEPS))
    inside = [[math.erf(q / (s * math.sqrt(2.0))) for q in reach] for s in _ladder()]
    return reach, np.array(inside)


def _covering(chances: Array) -> Array:
    """Half the interval that covers 95 % of lengths so distributed, in floors, shape (n,)."""
    reach, inside = _cover_table()
    covered = chances @ inside
    return np.array([np.interp(COVERED, row, reach) / 2 for row in covered])
