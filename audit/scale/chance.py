"""How likely the few sizes of a view that agree on a scale do so by chance.

Every size says ln(printed / drawn). Right ones say the log scale of their view, known to their
width; wrong ones (misread, of another line, a slip) say anything, the likelier the nearer. Before
anything is seen each scale is as likely. What the sizes make of it is

    p(s) ~ product over sizes of  r N(said; s, width) + (1 - r) W(said - s),

with r how likely the size is right. The share of p(s) that lies away from its peak is the
probability that those at the peak met by chance.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from audit.scale.modes import AT_RATIO, LEAST_WIDTH, LOG_RANGE, OWN, RATIOS
from audit.scale.pairs import Pair

Array = NDArray[np.float64]

# Of sizes read surely that say another scale all the same: 5 in 100 of those in hands held out are
# misread, 3 in 100 of drawn sheets are of another line or drawn so; and people make mistakes.
SLIPS = 0.1
SPREAD = 0.5  # mean of |ln| that wrong sizes are off by: half of them are within a factor of 1.4
NEAR_PEAK = 4.0  # widths of the peak; what lies further off is another scale
STEP = 0.25  # of a width; scales that are tried lie so close
REACH = 5.0  # widths about each size; far from all of them the product is but slowly changing
COARSE = 0.02  # relative; there scales that are tried lie so far apart
BEYOND = 2.0  # ln; beyond what all sizes say
MOST_CHANCE = 0.01  # that the scale is another: simulated sheets fix a wrong one still less often
WITHIN = 3.0  # widths from the scale, of sizes that agree with it
LEAST_WITNESSES = 2
MOST_SIZES = 40  # of a view; more need no such weighing, and it takes as their square
# A hand may be so poor that next to nothing is read right, whatever the network believes.
LEAST_SHARE = 2 / 3  # of a view's sizes that must agree, a sure one among them; else
LEAST_UNSURE = 3 / 4
LEAST_OF_SURE = 0.5  # of its sure ones
ALIKE = 0.04  # relative; one number over one length is one witness, however often it is there


def chance_of_agreeing(said: Array, widths: Array, right: Array) -> tuple[float, float]:
    """Find the scale that sizes agree on, and how likely they do so by chance.

    Parameters
    ----------
    said : Array
        Log of printed over drawn, shape (n,); one or more.
    widths : Array
        Standard uncertainty of each, relative, shape (n,).
    right : Array
        Probability that each was read right, shape (n,); slips are allowed for besides.

    Returns
    -------
    tuple of (float, float)
        The log scale, and the probability that it is another.

    Examples
    --------
    >>> two = np.array([1.0, 1.003])
    >>> round(chance_of_agreeing(two, np.full(2, 0.01), np.full(2, 0.7))[1], 3)
    0.005
    >>> chance_of_agreeing(np.array([1.0, 1.2]), np.full(2, 0.01), np.full(2, 1.0))[1] > 0.3
    True
    """
    widths = np.maximum(widths, LEAST_WIDTH)
    right = right * (1 - SLIPS)
    return likeliest_scale(said, widths, lambda tried: _log_products(tried, said, widths, right))


def chance_of_another(off: Array, widths: Array, *, share: float) -> float:
    """Work out how likely a view is drawn at another scale than one that its sheet is drawn at.

    Before its sizes are looked at it is at that scale with probability `share`, at each plain ratio
    to it with the usual one, else at any scale.

    Parameters
    ----------
    off : Array
        Log of printed over drawn at the scale of the sheet, of each size of the view, shape (n,).
    widths : Array
        Standard uncertainty of each, relative, shape (n,).
    share : float
        0 to 1.

    Returns
    -------
    float

    Examples
    --------
    Two of three sizes that agree with it to a percent leave no doubt; one of two beside a size at
    half of it leaves much.

    >>> round(chance_of_another(np.array([0.0, 0.01, 0.3]), np.full(3, 0.01), share=0.3), 3)
    0.001
    >>> chance_of_another(np.array([0.0, math.log(2)]), np.full(2, 0.01), share=0.3) > 0.02
    True
    """
    widths, right = np.maximum(widths, LEAST_WIDTH), np.full(len(off), 1 - SLIPS)
    plain = np.log([float(r) for r in RATIOS])
    tried = np.concatenate([[0.0], plain])
    shares = np.concatenate([[share], np.full(len(plain), AT_RATIO / len(plain))])
    logs = np.log(shares) + _log_products(tried, off, widths, right)
    spread = _scales_to_try(off, widths)
    own = np.log(OWN / LOG_RANGE * np.gradient(spread)) + _log_products(spread, off, widths, right)
    whole = np.concatenate([logs, own])
    chances = np.exp(whole - whole.max())
    return 1.0 - float(chances[0] / chances.sum())


def likeliest_scale(
    said: Array, widths: Array, log_products: Callable[[Array], Array]
) -> tuple[float, float]:
    """Find the likeliest of all scales about what sizes say, and how likely it is another.

    Parameters
    ----------
    said : Array
        Log scales near which it is looked for, shape (n,).
    widths : Array
        Standard uncertainty of each, relative, positive, shape (n,).
    log_products : callable
        Gives the log of how likely each of some log scales is, shape (m,) to (m,).

    Returns
    -------
    tuple of (float, float)
        The log scale, and the probability of all that lie further off than its peak is wide.
    """
    scales = _scales_to_try(said, widths)
    logs = log_products(scales)
    chances = np.exp(logs - logs.max()) * np.gradient(scales)
    peak = float(scales[int(logs.argmax())])
    width = float(np.min(widths[np.abs(said - peak) <= NEAR_PEAK * widths], initial=math.inf))
    inside = np.abs(scales - peak) <= NEAR_PEAK * (width if math.isfinite(width) else 0.0)
    return peak, 1.0 - float(chances[inside].sum() / chances.sum())


def _scales_to_try(said: Array, widths: Array) -> Array:
    steps = np.arange(-REACH, REACH + STEP, STEP)
    wide = np.arange(said.min() - BEYOND, said.max() + BEYOND, COARSE)
    return np.unique(np.concatenate([(said[:, None] + widths[:, None] * steps).ravel(), wide]))


def _log_products(scales: Array, said: Array, widths: Array, right: Array) -> Array:
    off = said[None, :] - scales[:, None]
    true = np.exp(-0.5 * (off / widths) ** 2) / (widths * math.sqrt(2 * math.pi))
    wrong = np.exp(-np.abs(off) / SPREAD) / (2 * SPREAD)
    return np.asarray(np.log(right * true + (1 - right) * wrong).sum(axis=1), dtype=float)


def agree_beyond_chance(pairs: Sequence[Pair], said: Array, widths: Array) -> NDArray[np.bool_]:
    """Tell which sizes of a view agree on its scale; none where they may do so by chance.

    Parameters
    ----------
    pairs : sequence of Pair
        Of one view, sure and unsure.
    said : Array
        Log of printed over drawn of each, shape (n,).
    widths : Array
        Standard uncertainty of each, relative, shape (n,).

    Returns
    -------
    array of bool, shape (n,)
        Of one number over lengths that are the same, one.
    """
    nobody = np.zeros(len(pairs), np.bool_)
    if len(pairs) > MOST_SIZES:
        return nobody
    right = np.array([p.right for p in pairs])
    printed, drawn = np.array([p.real for p in pairs]), np.array([p.drawn for p in pairs])
    counts = are_witnesses(printed, drawn, right)
    if counts.sum() < LEAST_WITNESSES:
        return nobody
    scale, chance = chance_of_agreeing(said[counts], widths[counts], right[counts])
    agree = counts & (np.abs(said - scale) <= WITHIN * widths)
    sure = counts & (right == 1)
    share = LEAST_SHARE if (agree & sure).any() else LEAST_UNSURE
    few = agree.sum() < max(LEAST_WITNESSES, share * counts.sum())
    against = (agree & sure).sum() < LEAST_OF_SURE * sure.sum()
    return nobody if chance > MOST_CHANCE or few or against else np.asarray(agree, np.bool_)


def are_witnesses(printed: Array, drawn: Array, right: Array) -> NDArray[np.bool_]:
    """Tell which sizes count: of one number over lengths that are the same only the surest does.

    Misread in the same way they would agree as well.

    Parameters
    ----------
    printed : Array
        Positive, in any unit, shape (n,).
    drawn : Array
        In any unit, shape (n,).
    right : Array
        Probability that each was read right, shape (n,).

    Returns
    -------
    array of bool, shape (n,)

    Examples
    --------
    >>> sizes = np.array([2.0, 2.0, 3.0])
    >>> are_witnesses(sizes, sizes, np.array([0.5, 0.9, 0.8])).tolist()
    [False, True, True]
    """
    kept: list[int] = []
    logs = np.log(np.stack([printed, drawn], axis=1))
    for k in np.argsort(-right, kind="stable"):
        if all(np.abs(logs[k] - logs[j]).max() > ALIKE for j in kept):
            kept.append(int(k))
    return np.isin(np.arange(len(printed)), kept)
