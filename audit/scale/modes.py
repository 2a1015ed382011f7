"""Which views of a sheet share a scale: the robust mode of log ratios, as a mixture over views.

Every usable dimension says ln(printed / drawn). Right ones pile up at the log scale of their
view, wrong ones lie anywhere. Views of a sheet mostly share one scale, or differ by a standard
ratio (a detail at twice the size); each view is given the cheapest of: the sheet's main scale, a
standard ratio of it, a scale of its own, in the sense of log probability. A second scale that the
sizes of other views agree on is likelier than one that no view has, and next to a scale that they
agree on hardly any view has one of its own.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from audit.scale.pairs import Pair

Array = NDArray[np.float64]

WRONG_SHARE = 0.15  # of printed sizes; 8 to 20 % were seen wrong or misread
LOG_RANGE = math.log(1000.0)  # wrong ratios are taken as spread over three decades
SHARED, AT_RATIO, OWN = 0.6, 0.3, 0.1  # prior shares of views (judgement, no source)
STATED = 10.0  # times likelier is the ratio that is stated (judgement, no source)
IN_USE = 0.3  # prior share of a second scale that other views have (judgement, no source)
LEAST_IN_USE = 4  # agreeing sizes of other views that show a scale to be one of the sheet's
FINE = 0.06  # relative width; sizes that are drawn less exactly agree with too much
FITS = 3.0  # widths from the scale of its view, of a size that agrees with it
TRUE_PRINT = 0.002  # relative; a scale so near the stated one is that one
SAME_RATIO = 0.02  # relative; ratios in use stand further apart
NEAR = math.log(1.15)  # scales in use stand further apart: a size so near a scale is of that scale
NEAR_OWN = 0.1  # of views with a scale of their own, so near one in use (judgement, no source)
LEAST_WIDTH = 2e-4  # relative; narrower peaks than paper and print deserve
STRETCHES = np.linspace(-0.03, 0.03, 41)  # δ tried on scans: copies differ by up to 2 to 3 %
STRETCH_PRIOR = 0.01  # standard deviation of δ among scans and copies

NOTHING_STATED: Mapping[int, float] = MappingProxyType({})

# Ratios between the scales of views on one sheet.
RATIOS = tuple(
    Fraction(n, d)
    for n, d in (
        (1, 10), (1, 8), (1, 5), (1, 4), (1, 3), (2, 5), (1, 2), (2, 3), (3, 4),
        (4, 3), (3, 2), (2, 1), (5, 2), (3, 1), (4, 1), (5, 1), (8, 1), (10, 1),
    )
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Membership:
    """Where one view belongs: the main scale times `ratio`, or (`None`) a scale of its own."""

    view: int
    ratio: Fraction | None
    log_scale: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Mixture:
    """The main log scale of a sheet, its stretch δ, and where every view belongs."""

    main: float
    stretch: float
    members: tuple[Membership, ...]


def find_mixture(
    pairs: Sequence[Pair],
    *,
    widths: Array,
    stretched: bool,
    fixed: float | None = None,
    stated: Mapping[int, float] = NOTHING_STATED,
) -> Mixture:
    """Find the scales a sheet's dimensions vote for.

    Parameters
    ----------
    pairs : Sequence[Pair]
        At least one.
    widths : Array
        Relative half width within which a right dimension falls (1 sigma), shape (n,).
    stretched : bool
        Whether x and y may have different scales.
    fixed : float | None
        The main log scale, when known sizes have fixed it already.
    stated : mapping of int to float
        By view: the scale stated for it, real over drawn. It makes one ratio likelier.

    Returns
    -------
    Mixture
        One membership for each view that has pairs, in the order of their ids.
    """
    widths = np.maximum(widths, LEAST_WIDTH)
    views = np.array([p.view for p in pairs])
    best: tuple[float, float, float] | None = None
    for stretch in STRETCHES if stretched else (0.0,):
        ratios = _log_ratios(pairs, stretch)
        score, main = _best_main(ratios, widths, views, fixed, stated)
        score -= 0.5 * (stretch / STRETCH_PRIOR) ** 2
        if best is None or score > best[0]:
            best = (score, main, float(stretch))
    assert best is not None
    _, main, stretch = best
    ratios = _log_ratios(pairs, stretch)

    def place(
        expected: Mapping[int, float], in_use: Mapping[int, frozenset[Fraction]]
    ) -> tuple[Membership, ...]:
        return tuple(
            _membership(
                v,
                ratios[views == v],
                widths[views == v],
                main,
                expected=expected.get(v),
                in_use=in_use.get(v, frozenset()),
            )
            for v in map(int, np.unique(views))
        )

    members = place({}, {})
    expected = _expected_logs(members, stated, main) if stated else {}
    members = place(expected, {}) if stated else members
    in_use = _ratios_in_use(members, ratios, widths, views)
    if in_use:
        members = place(expected, in_use)
    return Mixture(main=main, stretch=stretch, members=members)


def _expected_logs(
    members: Sequence[Membership], stated: Mapping[int, float], main: float
) -> dict[int, float]:
    """Return by view the log ratio to the main scale that its stated scale makes it have.

    A print that is off true size is so in all views: what most views show is taken off.
    """
    off = [math.log(stated[m.view]) - m.log_scale for m in members if m.view in stated]
    print_off = float(np.median(off)) if off else 0.0
    return {view: math.log(factor) - print_off - main for view, factor in stated.items()}


def _ratios_in_use(
    members: Sequence[Membership], ratios: Array, widths: Array, views: NDArray[np.int64]
) -> dict[int, frozenset[Fraction]]:
    """Return by view at which ratios to the main scale enough sizes of other views agree."""
    at = {m.view: m.log_scale for m in members}
    off = np.abs(ratios - np.array([at[int(v)] for v in views]))
    fits = (off <= FITS * widths) & (widths <= FINE)
    good = {m.view: int(fits[views == m.view].sum()) for m in members}
    seen = {m.ratio for m in members if m.ratio is not None}
    found = {
        v.view: frozenset(
            r
            for r in seen
            if sum(good[m.view] for m in members if m.ratio == r and m is not v) >= LEAST_IN_USE
        )
        for v in members
    }
    return {view: used for view, used in found.items() if used}


def _log_ratios(pairs: Sequence[Pair], stretch: float) -> Array:
    x = np.array([p.dx for p in pairs]) * math.exp(stretch / 2)
    y = np.array([p.dy for p in pairs]) * math.exp(-stretch / 2)
    return np.asarray(np.log([p.real for p in pairs]) - np.log(np.hypot(x, y)), dtype=float)


def _log_likelihood(at: Array, ratios: Array, widths: Array) -> Array:
    """Log probability density of each ratio, (m, n), when the scale is each of `at`, (m,)."""
    z = (ratios[None, :] - at[:, None]) / widths[None, :]
    right = (1 - WRONG_SHARE) * np.exp(-0.5 * z**2) / (widths[None, :] * math.sqrt(2 * math.pi))
    return np.asarray(np.log(right + WRONG_SHARE / LOG_RANGE), dtype=float)


def _own_scores(table: Array, widths: Array, views: NDArray[np.int64]) -> dict[int, float]:
    """Best score of each view when it keeps a scale of its own, the freedom paid for."""
    scores = {}
    for view in np.unique(views):
        inside = views == view
        peak = float(table[np.ix_(inside, inside)].sum(axis=1).max())
        width = float(np.min(widths[inside])) * math.sqrt(2 * math.pi)
        scores[int(view)] = peak + math.log(OWN) + math.log(min(width / LOG_RANGE, 1.0))
    return scores


def _best_main(
    ratios: Array,
    widths: Array,
    views: NDArray[np.int64],
    fixed: float | None,
    stated: Mapping[int, float],
) -> tuple[float, float]:
    table = _log_likelihood(ratios, ratios, widths)
    own = _own_scores(table, widths, views)
    candidates = ratios if fixed is None else np.array([fixed])
    if fixed is not None:
        table = _log_likelihood(candidates, ratios, widths)
    total = np.zeros(len(candidates))
    for view, score in own.items():
        shared = table[:, views == view].sum(axis=1) + math.log(SHARED)
        total += np.maximum(shared, score)
    for said in {math.log(factor) for factor in stated.values()}:
        total[np.abs(candidates - said) <= TRUE_PRINT] += math.log(STATED)
    place = int(np.argmax(total))
    return float(total[place]), float(candidates[place])


def _membership(
    view: int,
    ratios: Array,
    widths: Array,
    main: float,
    *,
    expected: float | None,
    in_use: frozenset[Fraction],
) -> Membership:
    steps = np.array([math.log(r) for r in RATIOS])
    at = np.concatenate([[main], main + steps, ratios])
    scores = _log_likelihood(at, ratios, widths).sum(axis=1)
    scores[0] += math.log(SHARED)
    second = in_use - {1}
    shares = [IN_USE / len(second) if r in second else AT_RATIO / len(steps) for r in RATIOS]
    scores[1 : 1 + len(steps)] += np.log(shares)
    width = float(np.min(widths)) * math.sqrt(2 * math.pi)
    scores[1 + len(steps) :] += math.log(OWN) + math.log(min(width / LOG_RANGE, 1.0))
    for r in in_use:
        near = np.abs(at[1 + len(steps) :] - main - math.log(r)) < NEAR
        scores[1 + len(steps) :][near] += math.log(NEAR_OWN)
    if expected is not None:  # the ratio that is stated, where it is one in use
        said = np.abs(at[: 1 + len(steps)] - main - expected) <= SAME_RATIO
        scores[: 1 + len(steps)][said] += math.log(STATED)
    place = int(np.argmax(scores))
    if place == 0:
        return Membership(view=view, ratio=Fraction(1), log_scale=main)
    ratio = RATIOS[place - 1] if place <= len(steps) else None
    return Membership(view=view, ratio=ratio, log_scale=float(at[place]))
