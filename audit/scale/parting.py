"""A straight cut between two views that were taken as one, each with a scale of its own.

Wherever a level or an upright line parts the sizes of a view so that those on either side agree
with each other, at least three different ones beyond chance, and the scales they agree on differ,
two views are drawn. Which ratio these have to each other does not matter then, nor that a size or
two say neither, or stand beyond the line.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audit.scale.chance import WITHIN, agree_beyond_chance
from audit.scale.modes import NEAR
from audit.scale.pairs import Pair
from audit.scale.solving import first_widths
from audit.scale.votes import count_different, is_agreed

LEAST_DIFFERENT = 3  # sizes that agree on either side
# By which numbers are wrong: in a view that has a scale without them one more must agree then.
SLIPS = (2.0, 2.54, 10.0, 12.0, 25.4)
SAME_RATIO = 0.02  # relative; from such a ratio

Bools = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Parted:
    """Two views in one: where sizes stand, which scale each is of, and how these differ.

    Attributes
    ----------
    beyond : array of bool, shape (n,)
        Whether each size stands beyond the cut, on the side of fewer that agree.
    other : array of bool, shape (n,)
        Whether it is of that side's scale; what says neither is of the scale of its own side.
    off : float
        Log of the first scale, real over drawn, less that of the side beyond.
    agreeing : int
        How many sizes agree with the scale of their side.
    """

    beyond: Bools
    other: Bools
    off: float
    agreeing: int


def find_parted(own: Sequence[Pair], floor: float) -> Parted | None:
    """Find the cut at which most sizes of a view agree with their side.

    Parameters
    ----------
    own : sequence of Pair
        Of one view.
    floor : float
        Least scatter of the drawing, mm of paper.

    Returns
    -------
    Parted or None
    """
    logs = np.array([math.log(p.real / p.drawn) for p in own])
    widths = first_widths(own, floor)
    cuts = (c for c in _cuts(own) if abs(np.median(logs[c]) - np.median(logs[~c])) > NEAR / 2)
    found = [_judge(own, logs, widths, beyond) for beyond in cuts]
    return max((p for p in found if p is not None), key=lambda p: p.agreeing, default=None)


def _cuts(own: Sequence[Pair]) -> Iterator[Bools]:
    """Tell for each level and upright cut with enough sizes on either side which are beyond it."""
    middles = np.array([p.middle for p in own], float).reshape(-1, 2)
    for places in middles.T:
        for low in np.unique(places)[:-1]:
            beyond = places > low
            if LEAST_DIFFERENT <= beyond.sum() <= len(own) - LEAST_DIFFERENT:
                yield beyond


def _judge(
    own: Sequence[Pair], logs: NDArray[np.float64], widths: NDArray[np.float64], beyond: Bools
) -> Parted | None:
    first, second = (_agreeing(own, logs, widths, side) for side in (~beyond, beyond))
    if first.sum() < second.sum():
        beyond, first, second = ~beyond, second, first
    if not second.any():
        return None
    sizes = np.array([p.real for p in own])
    scales = [float(np.median(logs[agree])) for agree in (first, second)]
    near = [np.abs(logs - scale) <= WITHIN * widths for scale in scales]
    off = scales[0] - scales[1]
    if min(count_different(sizes[a]) for a in (first, second)) < _least(off, near[0]):
        return None
    other = np.where(near[0] == near[1], beyond, near[1])
    return Parted(beyond=beyond, other=other, off=off, agreeing=int(first.sum() + second.sum()))


def _agreeing(
    own: Sequence[Pair], logs: NDArray[np.float64], widths: NDArray[np.float64], side: Bools
) -> Bools:
    """Tell which sizes of a side agree on its scale; none where they may do so by chance."""
    inside = [p for p, within in zip(own, side, strict=True) if within]
    found = np.zeros(len(own), np.bool_)
    found[side] = agree_beyond_chance(inside, logs[side], widths[side])
    return found


def _least(off: float, near: Bools) -> float:
    """How many different sizes must agree on either side; no number does for like scales.

    `off` is the log ratio of the scales, `near` which sizes of the view say the first one.
    """
    if abs(off) < NEAR:
        return math.inf
    has_scale = is_agreed(int(near.sum()), len(near), vouched=False)
    slip = min(abs(abs(off) - math.log(s)) for s in SLIPS) < SAME_RATIO
    return LEAST_DIFFERENT + (has_scale and slip)
