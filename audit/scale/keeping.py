"""Which views of a sheet keep the scale that was fitted: by their own sizes, or as others vouch."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from audit.records import PageKind
from audit.scale.chance import (
    MOST_CHANCE,
    agree_beyond_chance,
    are_witnesses,
    chance_of_agreeing,
    chance_of_another,
)
from audit.scale.modes import IN_USE, LEAST_IN_USE, SHARED, Membership
from audit.scale.pairs import Pair
from audit.scale.solving import Solved, find_agreeing, judge_alone
from audit.scale.votes import (
    FEW_SIZES,
    FEWEST,
    LEAST_TO_VOUCH,
    MANY,
    MOST_WRONG,
    SHARP,
    THREE,
    are_of_other_lines,
    count_at_main,
    count_different,
    count_lone,
    count_strays,
    is_agreed,
    is_backed,
    is_borne_out,
    is_few_and_near,
    least_agreeing,
)

LEAST_AT_MAIN = 2  # agreeing sizes of other views at the main scale, which have it by themselves
LEAST_BACKED = 2  # sizes of a sheet that a stated scale stands behind
TRUE_PRINT = {True: 0.002, False: 0.03}  # relative, by "is drawn": a print so near is true to size
SAME_PRINT = 0.003  # relative; views of one sheet share its print
LONE = {True: 1, False: 3}  # agreeing sizes of a lone view whose print is so true
SLANT_DEG = 20.0  # from level and from upright; receding edges run at 30 to 60
# Relative; where a picture is so near its stated scale two different sizes do: wrong ones are off
# by half as much again in the mean, so that two meet it by chance four times in ten thousand.
EXACT_PRINT = 0.01

Votes = Mapping[int, NDArray[np.bool_]]


@dataclass(frozen=True, slots=True)
class Kept:
    """The views that have a scale.

    `backed` are those that their stated scale stands behind, or the scale of other views.
    """

    views: frozenset[int]
    backed: frozenset[int]


def keep_views(solved: Solved, *, least: int, page: PageKind, stated: Mapping[int, float]) -> Kept:
    """Find the views whose sizes agree, in a component that has enough of them.

    Parameters
    ----------
    solved : Solved
    least : int
        Sizes that a component needs.
    page : PageKind
        A drawn page is printed true to size.
    stated : mapping of int to float
        By view: the scale stated for it, real over drawn.

    Returns
    -------
    Kept
    """
    agree = find_agreeing(solved)
    alone = sum(m.ratio != 1 for m in solved.members) == 0
    votes = {m.view: agree[solved.of_view(m.view)] for m in solved.members}
    vouched = count_at_main(solved.members, votes) >= LEAST_TO_VOUCH
    at_ratio: Counter[Fraction | None] = Counter()
    for m in solved.members:
        at_ratio[m.ratio] += int(votes[m.view].sum())
    agreed = at_ratio[Fraction(1)]
    backed = _backed_views(solved, votes, page=page, stated=stated)
    main: list[Membership] = []
    kept: set[int] = set()
    rest: list[Membership] = []
    for m in solved.members:
        inside, good = votes[m.view], int(votes[m.view].sum())
        off, others = solved.fit.residuals[solved.of_view(m.view)], agreed - good
        few = m.ratio == 1 and is_few_and_near(off, good, elsewhere=others, vouched=vouched)
        if few or (m.view in backed and m.ratio is not None):
            main.append(m)
        elif not is_agreed(
            good,
            len(inside) - _count_strays(solved, m.view, inside, page=page),
            vouched=vouched and m.ratio == 1,
        ):
            rest.append(m)
        elif m.ratio is None:
            if _is_enough(solved, {m.view}, page, least=least):
                kept.add(m.view)
        elif good >= least_agreeing(m.ratio, alone=alone, elsewhere=at_ratio[m.ratio] - good):
            main.append(m)
    together = {m.view for m in main}
    if together & backed:
        enough = sum(len(solved.of_view(view)) for view in together) >= LEAST_BACKED
    else:
        enough = _is_enough(solved, together, page, least=least)
    shared = _at_scales_in_use(solved, main, rest, votes) if enough else frozenset()
    if enough:
        kept |= together | shared
    return Kept(frozenset(kept), (backed & kept) | shared)


def _count_strays(solved: Solved, view: int, agree: NDArray[np.bool_], *, page: PageKind) -> int:
    """Count the sizes of a picture that say nothing about the scale of their view.

    Numbers of other lines, and numbers torn or run together, are off by any ratio, each by its own.
    Where most sizes of a view agree, different ones and hardly by chance, they are asked about, and
    no reason to measure nothing. Where many different ones agree, one number may stand on two lines
    that are not its own, or be off by a ratio that views have, and lines be found a little short.
    """
    inside = solved.of_view(view)
    if page is PageKind.VECTOR or 2 * int(agree.sum()) <= len(agree):
        return 0
    off, own = solved.fit.residuals[inside], [solved.pairs[k] for k in inside]
    printed, drawn = np.array([p.real for p in own]), np.array([p.drawn for p in own])
    if count_different(printed[agree]) < THREE:
        return 0
    counts = are_witnesses(printed, drawn, np.array([p.right for p in own]))
    right = np.array([p.right for p in own])[counts]
    if chance_of_agreeing(off[counts], solved.relative_u[inside][counts], right)[1] > MOST_CHANCE:
        return 0
    odd = ~agree
    if count_different(printed[agree]) >= MANY:
        return count_strays(off[odd], printed[odd])
    odd[odd] = are_of_other_lines(np.abs(off[odd]), solved.relative_u[inside][odd])
    return count_lone(off[odd])


def _at_scales_in_use(
    solved: Solved, main: Sequence[Membership], rest: Sequence[Membership], votes: Votes
) -> frozenset[int]:
    """Which views that do not agree well are at a scale of the views that do."""
    at_ratio: Counter[Fraction | None] = Counter()
    for m in main:
        at_ratio[m.ratio] += int(votes[m.view].sum())
    return frozenset(
        m.view
        for m in rest
        if at_ratio[m.ratio] >= (LEAST_AT_MAIN if m.ratio == 1 else LEAST_IN_USE)
        and _is_at_scale_in_use(solved, m, votes[m.view])
    )


def _is_at_scale_in_use(solved: Solved, member: Membership, agree: NDArray[np.bool_]) -> bool:
    """Whether a view is surely drawn at a scale that other views are drawn at.

    Then one of two sizes may be wrong, and fewer than half of more, each by itself.
    """
    inside, good = solved.of_view(member.view), int(agree.sum())
    most = 2 * good > len(agree) or (good > 0 and len(agree) == FEW_SIZES)
    if not most or len(agree) - good > MOST_WRONG:
        return False
    off = solved.fit.residuals[inside]
    if not is_backed(off, agree, **_sizes_of(solved, member.view)):
        return False
    share = SHARED if member.ratio == 1 else IN_USE
    return chance_of_another(off, solved.relative_u[inside], share=share) <= MOST_CHANCE


def _is_enough(solved: Solved, views: set[int], page: PageKind, *, least: int) -> bool:
    """Whether the sizes of some views are many, or agree too exactly for chance."""
    total = sum(len(solved.of_view(view)) for view in views)
    many = total >= least and _are_different(solved, views, page)
    return many or _bears_itself_out(solved, views, page)


def _are_different(solved: Solved, views: set[int], page: PageKind) -> bool:
    """Whether what agrees is more than one number: misread alike, it fits any scale.

    A file tells what it prints; a picture is read.
    """
    if page is PageKind.VECTOR:
        return True
    inside = np.array([p.view in views for p in solved.pairs]) & find_agreeing(solved)
    logs = np.log([p.real for p in solved.pairs])[inside]
    return len(logs) > 0 and float(np.ptp(logs)) > math.log1p(SHARP)


def _bears_itself_out(solved: Solved, views: set[int], page: PageKind) -> bool:
    """Whether the few sizes of some views agree too exactly for chance; on pictures alone.

    A drawn page has its sizes complete, and mostly states its scale.
    """
    if page is PageKind.VECTOR or not views:
        return False
    inside = np.array([p.view in views for p in solved.pairs])
    off, limit = judge_alone(solved)
    printed = np.array([p.real for p in solved.pairs])[inside]
    agree = find_agreeing(solved)[inside]
    beyond = agree_beyond_chance(
        [p for p in solved.pairs if p.view in views],
        solved.fit.residuals[inside],
        solved.relative_u[inside],
    )
    return is_borne_out(
        off[inside],
        limit[inside],
        agree,
        printed=printed,
        beyond_chance=beyond,
        logs=solved.fit.residuals[inside],
        slanted=np.array([_is_slanted(p) for p in solved.pairs])[inside],
    )


def _is_slanted(pair: Pair) -> bool:
    """Whether a length runs neither level nor upright."""
    lean = math.degrees(math.atan2(abs(pair.dy), abs(pair.dx)))
    return SLANT_DEG < lean < 90.0 - SLANT_DEG


def _backed_views(
    solved: Solved, votes: Votes, *, page: PageKind, stated: Mapping[int, float]
) -> frozenset[int]:
    """Find the views whose sizes, as far as they agree, agree on what is stated for them.

    A print may be off true size: then all views of the sheet are by the same.
    """
    off = {
        m.view: math.log(stated[m.view]) - float(solved.fit.theta[k + 1])
        for k, m in enumerate(solved.members)
        if m.view in stated
    }
    sure = [v for v in off if len(votes[v]) > 1 and is_agreed(*_count(votes[v]), vouched=False)]
    found = set()
    for m in solved.members:
        sizes = _sizes_of(solved, m.view)
        if m.view not in off or not is_backed(
            solved.fit.residuals[solved.of_view(m.view)], votes[m.view], **sizes
        ):
            continue
        others = [off[v] for v in sure if v != m.view]
        as_usual = others and abs(off[m.view] - float(np.median(others))) <= SAME_PRINT
        if as_usual or _is_true(off[m.view], sizes["printed"][votes[m.view]], page):
            found.add(m.view)
    return frozenset(found)


def _sizes_of(solved: Solved, view: int) -> dict[str, NDArray[np.float64]]:
    """What is printed in a view, and the tolerance of each, mm."""
    own = [p for p in solved.pairs if p.view == view]
    return {
        "printed": np.array([p.real for p in own]),
        "allowed": np.array([p.tolerance for p in own]),
    }


def _count(votes: NDArray[np.bool_]) -> tuple[int, int]:
    return int(votes.sum()), len(votes)


def _is_true(off: float, agreeing: NDArray[np.float64], page: PageKind) -> bool:
    """Whether a view of which these sizes agree is printed at its stated scale, true to size."""
    drawn = page is PageKind.VECTOR
    if abs(off) <= TRUE_PRINT[drawn] and len(agreeing) >= LONE[drawn]:
        return True
    return abs(off) <= EXACT_PRINT and count_different(agreeing) >= FEWEST
