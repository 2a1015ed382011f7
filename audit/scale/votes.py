"""How many sizes of a view must agree, alone and where other views vouch for the scale."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from audit.scale.modes import LEAST_IN_USE, NEAR, RATIOS, SAME_RATIO, Membership

LEAST_SHARE = 2 / 3  # of a view's sizes that must agree
LEAST_AT_RATIO = 2  # a view at another standard scale needs so many agreeing sizes
LEAST_TO_VOUCH = 12  # agreeing sizes that vouch for a sheet's main scale
LEAST_VIEWS = 2  # of which they must be
LEAST_ELSEWHERE = 5  # agreeing sizes of other views beside one of the view itself
FEW_SIZES = 2  # of a view that says nothing about a scale of its own
FAR = math.log(1.3)  # what is further off is asked about, not called wrong
MOST_WRONG = 2  # of a view's sizes where others vouch; more look like a view not to scale
LEAST_STATED = 1 / 3  # of a view's sizes that must agree on the scale that is stated for it
SHARP = 0.04  # relative, expanded: sizes that are known no better bear each other out too easily
SEEN = 0.06  # relative; sizes that agree so much better than they are known show such an error
THREE = 3  # sizes that bear each other out though none is known so well
FEWEST = 2  # sizes that bear each other out
_LOG_RATIOS = np.log([float(r) for r in RATIOS if r > 1])
MANY = 5  # different sizes that agree: chance hardly brings so many together
MOST_RIVALS = 2  # wrong sizes of a view that agree with each other: more are drawn so on purpose


def count_at_main(members: Sequence[Membership], votes: Mapping[int, NDArray[np.bool_]]) -> int:
    """Return how many sizes vouch for a sheet's main scale.

    Parameters
    ----------
    members : sequence of Membership
        Every view that has sizes.
    votes : mapping of int to array of bool
        By view: which of its sizes agree with its scale.

    Returns
    -------
    int
        Those that agree, in views that need nobody to vouch for them; 0 if only one view does.
    """
    at_main = [votes[m.view] for m in members if m.ratio == 1]
    sure = [v for v in at_main if is_agreed(int(v.sum()), len(v), vouched=False)]
    return sum(int(v.sum()) for v in sure) if len(sure) >= LEAST_VIEWS else 0


def is_agreed(good: int, sizes: int, *, vouched: bool) -> bool:
    """Tell whether enough sizes of a view agree on its scale.

    In a small view a wrong size or two soon make a third. Where other views vouch for the scale
    they are alarms, not a reason to measure nothing there.

    Parameters
    ----------
    good : int
        How many agree.
    sizes : int
        Of how many.
    vouched : bool
        Whether enough sizes of other views agree on the same scale.

    Examples
    --------
    >>> is_agreed(3, 5, vouched=False), is_agreed(3, 5, vouched=True)
    (False, True)
    >>> is_agreed(1, 3, vouched=True)
    False
    """
    if good >= LEAST_SHARE * sizes:
        return True
    return vouched and 2 * good > sizes and sizes - good <= MOST_WRONG


def least_agreeing(ratio: Fraction, *, alone: bool, elsewhere: int = 0) -> int:
    """Return how many sizes of a view must agree for it to count to a sheet's main scale.

    Parameters
    ----------
    ratio : Fraction
        Of its scale to the main one.
    alone : bool
        Whether all views are at the main scale.
    elsewhere : int
        Sizes of other views that agree at this ratio. A sheet is drawn at one scale or two: a lone
        size that fits one of them hardly does so by chance.

    Examples
    --------
    >>> half = Fraction(1, 2)
    >>> [least_agreeing(half, alone=False, elsewhere=n) for n in (0, 3, 4)]
    [2, 2, 1]
    """
    used = elsewhere >= LEAST_IN_USE
    return 1 if used or (ratio == 1 and alone) else LEAST_AT_RATIO


def is_few_and_near(off: NDArray[np.float64], good: int, *, elsewhere: int, vouched: bool) -> bool:
    """Tell whether a view of very few sizes may be measured though a size of it is wrong.

    Parameters
    ----------
    off : array of float
        Log of printed over drawn at the sheet's scale, of each of its sizes.
    good : int
        How many of them agree.
    elsewhere : int
        Sizes of other views that agree on the sheet's scale.
    vouched : bool
        Whether they are enough to vouch for a view of which no size agrees.

    Examples
    --------
    >>> is_few_and_near(np.array([0.06]), 0, elsewhere=20, vouched=True)
    True
    >>> is_few_and_near(np.array([0.3]), 0, elsewhere=20, vouched=True)
    False
    >>> is_few_and_near(np.array([0.0, 0.06]), 1, elsewhere=5, vouched=False)
    True
    """
    if len(off) > FEW_SIZES or len(off) - good > 1 or not (np.abs(off) < NEAR).all():
        return False
    return vouched or (good > 0 and elsewhere >= LEAST_ELSEWHERE)


def is_borne_out(
    off: NDArray[np.float64],
    limit: NDArray[np.float64],
    agree: NDArray[np.bool_],
    *,
    printed: NDArray[np.float64],
    beyond_chance: NDArray[np.bool_] | None = None,
    logs: NDArray[np.float64] | None = None,
    slanted: NDArray[np.bool_] | None = None,
) -> bool:
    """Tell whether few sizes of a picture agree so exactly that they did not meet by chance.

    A detail of an old plate has two or three sizes, and nothing else at its scale. Misread sizes,
    and lengths between the wrong lines, lie at any ratio to what is printed; two that lie within
    a few percent of each other are right, and one beside them that is nearly so is wrong. One
    number over lengths that are the same says nothing, however often it stands there: misread in
    the same way it agrees as well.

    Parameters
    ----------
    off : array of float
        Of each size from the scale that the others give it, relative.
    limit : array of float
        How far that may be by uncertainty alone, relative, expanded.
    agree : array of bool
        Which of them agree.
    printed : array of float
        The sizes themselves, in any unit.
    beyond_chance : array of bool, optional
        Different sizes of which it was worked out that they hardly met by chance. Then one of three
        may be of another line, but not of another view: neither at a ratio that views of a sheet
        have, nor so near that it would be called wrong.
    logs : array of float, optional
        Log of printed over drawn at the scale, of each size; wanted beside `beyond_chance`.
    slanted : array of bool, optional
        Which are drawn slantwise; wanted there too. One that is drawn too short may be an edge that
        runs backwards on a block drawn obliquely, its front true.

    Examples
    --------
    >>> two, both = np.array([2.0, 3.0]), np.array([True, True])
    >>> is_borne_out(np.array([0.01, 0.01]), np.full(2, 0.02), both, printed=two)
    True
    >>> is_borne_out(np.array([0.01, 0.01]), np.full(2, 0.02), both, printed=np.full(2, 3.0))
    False
    >>> is_borne_out(np.array([0.01, 0.01]), np.full(2, 0.07), both, printed=two)
    False
    >>> is_borne_out(np.full(3, 0.01), np.full(3, 0.07), np.full(3, True), printed=two[[0, 1, 1]])
    False
    >>> three, most = np.array([2.0, 3.0, 1.0]), np.array([True, True, False])
    >>> is_borne_out(np.array([0, 0, 0.06]), np.full(3, 0.02), most, printed=three)
    True
    >>> is_borne_out(
    ...     np.array([0, 0, 0.6]),
    ...     np.full(3, 0.02),
    ...     most,
    ...     printed=three,
    ...     beyond_chance=most,
    ...     logs=np.array([0, 0, 0.45]),
    ... )
    True
    """
    good = int(agree.sum())
    if good < FEWEST or good < LEAST_SHARE * len(agree):
        return False
    if count_different(printed[agree]) < FEWEST:
        return False
    known = np.sort(limit[agree])
    sharp = known[FEWEST - 1] <= SHARP or _are_three(known, printed[agree])
    near = np.log1p(off[~agree]) < NEAR
    if beyond_chance is not None and logs is not None and beyond_chance.sum() >= FEWEST:
        seen = np.sort((off + limit)[agree & beyond_chance])
        sharp = sharp or (len(seen) >= FEWEST and float(seen[FEWEST - 1]) <= SEEN)
        near |= are_of_other_lines(np.abs(logs[~agree]), limit[~agree])
        if slanted is not None:
            near |= slanted[~agree] & (logs[~agree] > FAR)
    return sharp and bool(near.all())


def are_of_other_lines(odd: NDArray[np.float64], limit: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Tell which sizes are off by what no other view of a sheet would have them off by.

    Parameters
    ----------
    odd : array of float
        How far sizes are off, log, positive.
    limit : array of float
        How far each may be by uncertainty alone, relative.

    Examples
    --------
    Twice as large a detail is drawn, 2.3 times none.

    >>> are_of_other_lines(np.log([2.0, 2.3, 1.2]), np.full(3, 0.01)).tolist()
    [False, True, False]
    """
    at_ratio = np.abs(odd[:, None] - _LOG_RATIOS).min(axis=1) <= SAME_RATIO + np.log1p(limit)
    return np.asarray((odd > FAR) & ~at_ratio, np.bool_)


def _are_three(limit: NDArray[np.float64], printed: NDArray[np.float64]) -> bool:
    """Tell whether three different sizes agree, two of them known rather well.

    Of three wrong ones two would have to fall in with the third: together that is rarer than that
    one of two does which are known twice as well.
    """
    if count_different(printed) < THREE:
        return False
    return bool(limit[FEWEST - 1] <= 2 * SHARP and limit[THREE - 1] <= 4 * SHARP)


def count_different(sizes: NDArray[np.float64]) -> int:
    """Count sizes that are not about the same.

    Parameters
    ----------
    sizes : array of float
        Positive, in any unit.

    Examples
    --------
    >>> count_different(np.array([1.5, 1.5, 1.51, 6.0])), count_different(np.array([]))
    (2, 0)
    """
    logs = np.sort(np.log(sizes))
    return int((np.diff(logs) > math.log1p(SHARP)).sum()) + 1 if len(logs) else 0


def count_lone(off: NDArray[np.float64]) -> int:
    """Count sizes that are off by a ratio that no other of them is off by.

    Parameters
    ----------
    off : array of float
        Log of printed over drawn at one scale, of sizes that do not agree with it.

    Examples
    --------
    >>> count_lone(np.array([0.7, 0.71, -1.9])), count_lone(np.array([]))
    (1, 0)
    """
    apart = np.abs(off[:, None] - off[None, :])
    return int((np.sum(apart <= SHARP, axis=1) == 1).sum())


def count_strays(off: NDArray[np.float64], printed: NDArray[np.float64]) -> int:
    """Count sizes that say no other scale; none where several far off do, by one ratio.

    Parameters
    ----------
    off : array of float
        Log of printed over drawn at one scale, of sizes that do not agree with it.
    printed : array of float
        The sizes themselves, positive, in any unit.

    Examples
    --------
    One number on two lines that are not its own, one off by a third, and one by 6 %.

    >>> count_strays(np.array([-2.46, -2.49, 0.29, 0.06]), np.array([2.5, 2.5, 14.5, 104.5]))
    4
    >>> count_strays(np.log([2.0, 2.0, 2.01]), np.array([3.0, 4.0, 5.0]))
    0
    """
    far = np.abs(off) >= NEAR
    near = np.abs(off[far, None] - off[None, far]) <= SHARP
    alike = (count_different(printed[far][row]) for row in near)
    return 0 if max(alike, default=0) >= THREE else len(off)


def is_backed(
    off: NDArray[np.float64],
    agree: NDArray[np.bool_],
    *,
    printed: NDArray[np.float64],
    allowed: NDArray[np.float64],
) -> bool:
    """Tell whether the sizes of a view bear out the scale that is stated for it.

    Mistakes are each their own. Sizes that are wrong by the same are none: by the same ratio the
    view is stretched, or two views in one; by the same length it is drawn shortened.

    Parameters
    ----------
    off : array of float
        Log of printed over drawn at that scale, of each of its sizes.
    agree : array of bool
        Which of them agree with it.
    printed : array of float
        The sizes themselves, in any unit.
    allowed : array of float
        Tolerance of each, in that unit.

    Examples
    --------
    >>> few = np.array([True, True, False, False, False])
    >>> known = {"printed": np.array([10, 20, 30, 40, 60]), "allowed": np.full(5, 0.1)}
    >>> is_backed(np.array([0, 0, 0.1, -0.3, 0.7]), few, **known)
    True
    >>> is_backed(np.array([0, 0, 0.7, 0.7, 0.7]), few, **known)
    False
    """
    good, wrong = int(agree.sum()), ~agree
    if good == 0 or good < LEAST_STATED * len(off):
        return False
    if good == 1 and not (np.abs(off) < NEAR).all():
        return False
    share = allowed / printed
    like = _are_alike(off[wrong], share[wrong])
    like |= _are_alike(-printed[wrong] * np.expm1(-off[wrong]), allowed[wrong])
    rivals = int(like.sum(axis=1).max(initial=0))
    return rivals <= (1 if good == 1 else max(MOST_RIVALS, good - 1))


def _are_alike(values: NDArray[np.float64], allowed: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Tell of every two values whether they are within what either is allowed."""
    apart = np.abs(values[:, None] - values[None, :])
    return np.asarray(apart <= np.maximum(allowed[:, None], allowed[None, :]), dtype=np.bool_)
