"""Two scales in one view of which neither stands apart: sizes of several drawings amid each other.

Squares printed on the paper, or lines that run on from one drawing into the next, join all that is
drawn on a sheet. Its sizes then vote for two scales, and no straight line parts them. Many
different sizes on either scale, each mostly beside others of its own, are drawings at two scales;
slips are few, and stand amid what is right.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audit.geometry import Point
from audit.scale.chance import MOST_CHANCE, WITHIN, are_witnesses, chance_of_agreeing
from audit.scale.modes import NEAR
from audit.scale.pairs import Pair
from audit.scale.solving import first_widths
from audit.scale.votes import count_different

Bools = NDArray[np.bool_]
Array = NDArray[np.float64]

LEAST_DIFFERENT = 4  # sizes of either scale: nobody slips by one ratio as often
HAND_MM = 0.3  # of paper; by so much hands miss, and scales that differ are still told apart
UNEVEN = 0.01  # relative; a scale that was stretched while it was copied is one all the same
LEAST_SHARE = 2 / 3  # of a view's sizes that vote for one or the other
LEAST_BESIDE = 0.5  # of the sizes of either scale whose nearest neighbour is of it too
NEIGHBOURS = 3  # of a place, that tell which drawing it belongs to


@dataclass(frozen=True, slots=True, kw_only=True)
class Mingled:
    """Which sizes of a view are of its second scale, and how much larger it is drawn.

    Attributes
    ----------
    other : array of bool, shape (n,)
    off : float
        Log of the first scale, real over drawn, less that of the second.
    """

    other: Bools
    off: float


def find_mingled(own: Sequence[Pair], floor: float) -> Mingled | None:
    """Find the two scales that the sizes of one view are drawn at, wherever they stand.

    Parameters
    ----------
    own : sequence of Pair
        Of one view.
    floor : float
        Least scatter of the drawing, mm of paper.

    Returns
    -------
    Mingled or None
        What says neither scale is of the drawing that stands about it.
    """
    if len(own) < 2 * LEAST_DIFFERENT:
        return None
    logs = np.array([math.log(p.real / p.drawn) for p in own])
    widths = np.hypot(first_widths(own, max(floor, HAND_MM)), UNEVEN)
    first = _most_agreed(logs, widths, np.ones(len(own), np.bool_))
    second = _most_agreed(logs, widths, ~first)
    scales = [float(np.median(logs[group])) if group.any() else 0.0 for group in (first, second)]
    if abs(scales[0] - scales[1]) < NEAR or (first | second).sum() < LEAST_SHARE * len(own):
        return None
    if not all(_is_drawn(own, logs, widths, *two) for two in ((first, second), (second, first))):
        return None
    if not _keep_together(own, first, second):
        return None
    other = np.where(first == second, _by_neighbours(own, first, second), second)
    return Mingled(other=other, off=scales[0] - scales[1])


def is_beside(place: Point, mine: Sequence[Point], others: Sequence[Point]) -> bool:
    """Tell whether most of what stands nearest to a place is of some sizes, not of others.

    Parameters
    ----------
    place : Point
    mine : sequence of Point
        Middles of some sizes.
    others : sequence of Point
        Of the others; one or more altogether.

    Examples
    --------
    >>> near, far = [Point(0, 0), Point(1, 0)], [Point(9, 0), Point(8, 0)]
    >>> is_beside(Point(2, 0), near, far), is_beside(Point(7, 0), near, far)
    (True, False)
    """
    ranked = sorted(
        [(place.distance(p), True) for p in mine] + [(place.distance(p), False) for p in others]
    )
    nearest = [is_mine for _, is_mine in ranked[:NEIGHBOURS]]
    return 2 * sum(nearest) > len(nearest)


def _most_agreed(logs: Array, widths: Array, free: Bools) -> Bools:
    """Return those about the scale that most of the free ones say."""
    near = np.abs(logs[:, None] - logs[None, :]) <= WITHIN * widths[None, :]
    near &= free[:, None] & free[None, :]
    centre = float(np.median(logs[near[int(near.sum(axis=1).argmax())]])) if near.any() else 0.0
    return np.asarray(free & (np.abs(logs - centre) <= WITHIN * widths), dtype=np.bool_)


def _is_drawn(own: Sequence[Pair], logs: Array, widths: Array, group: Bools, other: Bools) -> bool:
    """Whether different sizes say a scale, hardly by chance among all that do not say the other."""
    printed, drawn = np.array([(p.real, p.drawn) for p in own]).T
    if count_different(printed[group]) < LEAST_DIFFERENT:
        return False
    right = np.array([p.right for p in own])
    rest = ~other & are_witnesses(printed, drawn, np.where(other, 0.0, right))
    scale, chance = chance_of_agreeing(logs[rest], widths[rest], right[rest])
    return chance <= MOST_CHANCE and abs(scale - float(np.median(logs[group]))) < NEAR / 2


def _keep_together(own: Sequence[Pair], first: Bools, second: Bools) -> bool:
    """Whether most sizes of either scale stand next to another one of it."""
    both = first | second
    places = np.array([p.middle for p in own], float).reshape(-1, 2)[both]
    apart = np.hypot(*(places[:, None] - places[None, :]).transpose(2, 0, 1))
    np.fill_diagonal(apart, np.inf)
    like = first[both][apart.argmin(axis=1)] == first[both]
    return all(float(like[group[both]].mean()) > LEAST_BESIDE for group in (first, second))


def _by_neighbours(own: Sequence[Pair], first: Bools, second: Bools) -> Bools:
    mine = [p.middle for p, inside in zip(own, second, strict=True) if inside]
    others = [p.middle for p, inside in zip(own, first, strict=True) if inside]
    return np.array([is_beside(p.middle, mine, others) for p in own], np.bool_)
