"""Grey levels of a picture, by the share of it that is no lighter."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray


def level_at(gray: NDArray[np.uint8 | np.int16], percent: float) -> float:
    """Grey level under which so many percent of a picture lie, as `np.percentile` tells it.

    Levels are few: counting them takes a fifth of the time of sorting the picture.

    Parameters
    ----------
    gray : uint8 or int16 array
        Not empty; of differences, below zero too.
    percent : float
        0 to 100.

    Examples
    --------
    >>> level_at(np.array([0, 10, 20, 30], np.uint8), 50)
    15.0
    >>> level_at(np.array([7], np.uint8), 90)
    7.0
    """
    least = 0 if gray.dtype == np.uint8 else int(gray.min())
    above = gray.ravel() if not least else gray.ravel().astype(np.intp) - least
    return level_of(np.bincount(above), percent, least=least)


def value_at(ranked: NDArray[np.float64], share: float) -> float:
    """Value under which such a share of others lie, as `np.quantile` tells it of them.

    Parameters
    ----------
    ranked : float array
        In order; not empty.
    share : float
        0 to 1.

    Examples
    --------
    >>> value_at(np.array([0.0, 1.0, 4.0]), 0.75)
    2.5
    """
    place = share * (len(ranked) - 1)
    first = math.floor(place)
    low, high = float(ranked[first]), float(ranked[min(first + 1, len(ranked) - 1)])
    return _between(low, high, place - first)


def _between(low: float, high: float, share: float) -> float:
    """Value so far on from one to another, rounded as numpy does: from the nearer of the two."""
    return low + (high - low) * share if share < 0.5 else high - (high - low) * (1 - share)


def level_of(counts: NDArray[np.intp], percent: float, *, least: int = 0) -> float:
    """Grey level under which so many percent of a picture lie, by how much of it is at each level.

    Parameters
    ----------
    counts : int array
        How many px are at `least`, at the level above that, and so on.
    percent : float
        0 to 100.
    least : int

    Examples
    --------
    >>> level_of(np.array([1, 0, 2]), 50, least=-1)
    1.0
    """
    ends = np.cumsum(counts)
    last = int(ends[-1]) - 1
    place = percent / 100 * last
    first = math.floor(place)
    places = (first, min(first + 1, last))
    low, high = (least + int(k) for k in np.searchsorted(ends, places, side="right"))
    return _between(low, high, place - first)
