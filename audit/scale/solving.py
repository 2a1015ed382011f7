"""All scales of a sheet fitted together, wrong sizes gated away, the scatter estimated."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audit.records import PageKind
from audit.scale.fit import Fit, Prior, Tie, fit_scales
from audit.scale.known import OPEN_PRIOR, SCAN_PRIOR, VECTOR_PRIOR, choose_prior
from audit.scale.modes import STRETCH_PRIOR, Membership, Mixture, find_mixture
from audit.scale.pairs import Pair
from audit.scale.scatter import drafting_scatter
from audit.uncertainty import expand
from audit.uncertainty.measure import SCAN_STRETCH

Array = NDArray[np.float64]

LEAST_ACROSS = 2  # sizes of a picture across the others, so that each is judged by another
LEAST_EACH_WAY = 6  # on vector pages x and y are told apart only with so many in each
GATE = 3.0  # standard uncertainties; beyond, a size does not enter the fit
FIRST_GATE = 3.0
MOST_SCATTER = 2.0  # of what is expected; a view that scatters more has no scale, not a wide one
ROUNDS = 4
LEAST_FOR_SCATTER = 8  # below, a view shares the scatter of its sheet
OTHER_VIEWS = 0.25  # of a size's say on scatter that it has in other views of a picture
LEAST_FOR_MEDIAN = 6  # below, a median of residuals is too uncertain to gate by
NORMAL_MEDIAN = 1.4826  # standard deviation over median of |x|, normal distribution
VECTOR_TIE = 5e-5  # relative; views of one vector page share its print exactly
MOST_OFF = 0.02  # relative; so near a size of a vector page agrees with its scale at most
ALONG_DEG = 15.0  # a length within this of an axis counts for that axis


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """One round's result: the fit, each pair's gate, scatter, and relative uncertainty."""

    pairs: tuple[Pair, ...]
    members: tuple[Membership, ...]
    fit: Fit
    prior: Prior
    use: Array
    relative_u: Array
    drafting: Array
    drafting_without: Array
    exact: bool = False

    def of_view(self, view: int) -> NDArray[np.int64]:
        """Return the places of a view's pairs."""
        return np.array([i for i, p in enumerate(self.pairs) if p.view == view], dtype=np.int64)


def misfits(pairs: Sequence[Pair], *, page: PageKind, floor: float) -> Array:
    """Return how far the printed sizes of a sheet are from the scales that they agree on.

    Parameters
    ----------
    pairs : Sequence[Pair]
        At least `LEAST_DIMENSIONS`.
    page : PageKind
        On vector pages the paper is true.
    floor : float
        Least scatter of the drawing, mm of paper.

    Returns
    -------
    Array
        Differences without sign, mm of paper, shape (n,).
    """
    widths = first_widths(pairs, floor)
    mixture = find_mixture(pairs, widths=widths, stretched=page is not PageKind.VECTOR)
    solved = solve(tuple(pairs), mixture, page=page, floor=floor)
    return np.abs(_misfits(pairs, solved.fit, solved.relative_u))


def usual_misfits(each: Sequence[Array]) -> list[float]:
    """Return the root mean square of sets of misfits, wrong sizes counting alike in all of them.

    Parameters
    ----------
    each : sequence of Array
        Of the same sizes in other ways, from `misfits`.

    Returns
    -------
    list of float
        Capped at what right sizes stray at most where the sizes fit worst: else a way that fits
        most sizes exactly and the others not at all would cap those at next to nothing.

    Examples
    --------
    >>> exact, fair = np.array([0.01, 0.01, 0.01, 3, 3]), np.array([0.1, 0.1, 0.1, 0.1, 3])
    >>> [round(u, 2) for u in usual_misfits([exact, fair])]
    [0.28, 0.22]
    """
    most = FIRST_GATE * NORMAL_MEDIAN * max(float(np.median(m)) for m in each)
    return [math.sqrt(float(np.mean(np.minimum(m, most) ** 2))) for m in each]


def first_widths(pairs: Sequence[Pair], floor: float) -> Array:
    """Return the relative scatter expected of right sizes before anything is fitted.

    Parameters
    ----------
    pairs : Sequence[Pair]
        Any number.
    floor : float
        Least scatter of the drawing, mm of paper.

    Returns
    -------
    Array
        Half the tolerance is let in, since plans are rounded and drawn to about that; shape (n,).
    """
    return np.array(
        [
            math.hypot(
                math.hypot(p.u_paper, floor) / p.drawn, p.u_real / p.real, p.tolerance / 2 / p.real
            )
            for p in pairs
        ]
    )


def solve(pairs: tuple[Pair, ...], mixture: Mixture, *, page: PageKind, floor: float) -> Solved:
    """Fit the scales of a sheet in rounds: fit, estimate the scatter, gate wrong sizes away.

    Parameters
    ----------
    pairs : tuple of Pair
        At least one.
    mixture : Mixture
        Which views hang together.
    page : PageKind
        Vector pages have true paper.
    floor : float
        Least scatter of the drawing, mm of paper.

    Returns
    -------
    Solved
    """
    members = mixture.members
    place = {m.view: k + 1 for k, m in enumerate(members)}
    groups = [place[p.view] for p in pairs]
    ties = _ties(members, page)
    use = _first_gate(pairs, mixture, floor)
    scatter = np.full(len(pairs), floor)
    for _ in range(ROUNDS):
        relative = _relative(pairs, scatter)
        prior = _prior(pairs, groups, relative, page=page, use=use, ties=ties)
        fit = fit_scales(pairs, groups, relative_u=relative, prior=prior, ties=ties, use=use)
        misfit = _misfits(pairs, fit, relative)
        scatter, drafting, alone = _scatters(pairs, members, misfit, use=use, floor=floor)
        sigma = _gate_widths(pairs, members, misfit, scatter, floor=floor)
        use = _gated(pairs, members, np.abs(misfit) <= GATE * sigma, use)
    relative = _relative(pairs, scatter)
    fit = fit_scales(pairs, groups, relative_u=relative, prior=prior, ties=ties, use=use)
    return Solved(
        pairs=pairs,
        members=members,
        fit=fit,
        prior=prior,
        use=use,
        relative_u=relative,
        drafting=drafting,
        drafting_without=alone,
        exact=page is PageKind.VECTOR,
    )


def _ties(members: Sequence[Membership], page: PageKind) -> list[Tie]:
    u = VECTOR_TIE if page is PageKind.VECTOR else SCAN_STRETCH
    ties = [
        Tie(first=k + 1, second=0, difference=math.log(m.ratio), u=u)
        for k, m in enumerate(members)
        if m.ratio is not None
    ]
    if not ties:  # nothing shares a main scale; keep the unknown solvable
        ties = [Tie(first=1, second=0, difference=0.0, u=1.0)]
    return ties


def _first_gate(pairs: Sequence[Pair], mixture: Mixture, floor: float) -> Array:
    widths = first_widths(pairs, floor)
    at = {m.view: m.log_scale for m in mixture.members}
    half = mixture.stretch / 2
    use = np.zeros(len(pairs))
    for k, p in enumerate(pairs):
        drawn = math.hypot(p.dx * math.exp(half), p.dy * math.exp(-half))
        use[k] = abs(math.log(p.real / drawn) - at[p.view]) <= FIRST_GATE * widths[k]
    return _gated(pairs, mixture.members, use > 0, np.ones(len(pairs)))


def _gate_widths(
    pairs: Sequence[Pair],
    members: Sequence[Membership],
    misfit: Array,
    scatter: Array,
    *,
    floor: float,
) -> Array:
    """Return the standard uncertainty, mm of paper, that the gate is set by.

    The scatter of the sizes inside the gate, or what the median of all residuals makes it when
    that is less: wrong sizes hardly move a median, but once inside they widen the scatter.
    """
    drawn = np.array([p.drawn for p in pairs])
    sigma: Array = _relative(pairs, scatter) * drawn
    bare: Array = _relative(pairs, np.full(len(pairs), floor)) * drawn
    by_view = [np.array([p.view == m.view for p in pairs]) for m in members]
    large = [v for v in by_view if np.count_nonzero(v) >= LEAST_FOR_MEDIAN]
    small = np.array([not any(v[k] for v in large) for k in range(len(pairs))])
    for inside in (*large, small):  # small views lend each other their residuals
        if np.count_nonzero(inside) >= LEAST_FOR_MEDIAN:
            middle = NORMAL_MEDIAN * float(np.median(np.abs(misfit[inside])))
            sigma[inside] = np.minimum(sigma[inside], np.maximum(bare[inside], middle))
    most: Array = MOST_SCATTER * first_widths(pairs, floor) * drawn
    return np.asarray(np.minimum(sigma, most), dtype=float)


def _gated(
    pairs: Sequence[Pair], members: Sequence[Membership], inside: NDArray[np.bool_], before: Array
) -> Array:
    """Return the gate as weights; a view with a scale of its own never loses all its pairs."""
    use = inside.astype(float)
    for m in members:
        if m.ratio is None:
            own = np.array([p.view == m.view for p in pairs])
            if not use[own].any():
                use[own] = before[own] if before[own].any() else 1.0
    return use if use.any() else before


def _relative(pairs: Sequence[Pair], scatter: Array) -> Array:
    return np.array(
        [
            math.hypot(p.u_paper / p.drawn, s / p.drawn, p.u_real / p.real)
            for p, s in zip(pairs, scatter, strict=True)
        ]
    )


def _prior(
    pairs: Sequence[Pair],
    groups: Sequence[int],
    relative: Array,
    *,
    page: PageKind,
    use: Array,
    ties: Sequence[Tie],
) -> Prior:
    if page is not PageKind.VECTOR:
        prior = choose_prior(pairs, groups, relative_u=relative, page=page, use=use, ties=ties)
        hangs = prior.stretch == OPEN_PRIOR.stretch and _hangs_on_one(pairs, use)
        return Prior(stretch=STRETCH_PRIOR, shear=SCAN_PRIOR.shear) if hangs else prior
    slope = [math.degrees(math.atan2(abs(p.dy), abs(p.dx))) for p in pairs]
    across = sum(s <= ALONG_DEG and u > 0 for s, u in zip(slope, use, strict=True))
    upright = sum(s >= 90 - ALONG_DEG and u > 0 for s, u in zip(slope, use, strict=True))
    if min(across, upright) < LEAST_EACH_WAY:
        return VECTOR_PRIOR
    return Prior(stretch=OPEN_PRIOR.stretch, shear=VECTOR_PRIOR.shear)


def _hangs_on_one(pairs: Sequence[Pair], use: Array) -> bool:
    """Whether one size alone tells the stretch: by its own measure no size can be judged."""
    lean = np.arctan2([abs(p.dy) for p in pairs], [abs(p.dx) for p in pairs])[use > 0]
    flat = int((lean <= math.pi / 4).sum())
    return min(flat, len(lean) - flat) < LEAST_ACROSS


def _misfits(pairs: Sequence[Pair], fit: Fit, relative: Array) -> Array:
    """Given minus fitted, mm of paper, brought to the variance a length has by itself."""
    drawn = np.array([p.drawn for p in pairs])
    own = np.einsum("ij,jk,ik->i", fit.rows, fit.covariance, fit.rows)
    inside = fit.weights > 0
    share = np.where(inside, 1 - fit.leverages(), 1 + own / np.maximum(relative, 1e-9) ** 2)
    return np.asarray(np.expm1(fit.residuals / np.sqrt(share)) * drawn, dtype=float)


def _scatters(
    pairs: Sequence[Pair],
    members: Sequence[Membership],
    misfit: Array,
    *,
    use: Array,
    floor: float,
) -> tuple[Array, Array, Array]:
    """Total scatter and drafting of each pair, and drafting as it is without that pair.

    Those of its view where that has enough pairs, else those of the whole sheet. One hand drew a
    picture: there the other views count for a part.
    """
    sheet = drafting_scatter(pairs, misfit, use=use, scale=_mean_scale(pairs), floor=floor)
    total, drafting = np.full(len(pairs), sheet.total), np.full(len(pairs), sheet.drafting)
    alone = sheet.drafting_without.copy()
    for m in members:
        inside = np.array([p.view == m.view for p in pairs])
        if np.count_nonzero(use[inside]) < LEAST_FOR_SCATTER:
            continue
        seen = inside if floor == 0 else np.ones(len(pairs), np.bool_)
        part = drafting_scatter(
            [p for p, s in zip(pairs, seen, strict=True) if s],
            misfit[seen],
            use=use[seen],
            scale=math.exp(m.log_scale),
            floor=floor,
            share=np.where(inside, 1.0, OTHER_VIEWS)[seen],
        )
        total[inside], drafting[inside] = part.total, part.drafting
        alone[inside] = part.drafting_without[inside[seen]]
    return total, drafting, alone


def _mean_scale(pairs: Sequence[Pair]) -> float:
    return math.exp(float(np.median([math.log(p.real / p.drawn) for p in pairs])))


def judge_alone(solved: Solved) -> tuple[Array, Array]:
    """Hold each pair against the scale estimated without it.

    Parameters
    ----------
    solved : Solved

    Returns
    -------
    tuple of (array, array), shape (n,)
        How far it is off, relative, and how far that may be by uncertainty alone (expanded).
    """
    fit = solved.fit
    own = np.einsum("ij,jk,ik->i", fit.rows, fit.covariance, fit.rows)
    left = 1 - fit.leverages()
    u = np.sqrt(solved.relative_u**2 + np.maximum(own / left, 0.0))
    return np.abs(-np.expm1(-fit.residuals / left)), expand(1.0) * u


def find_agreeing(solved: Solved) -> NDArray[np.bool_]:
    """Tell which pairs agree with the scale estimated without them.

    Parameters
    ----------
    solved : Solved

    Returns
    -------
    array of bool, shape (n,)
    """
    off, limit = judge_alone(solved)
    real = np.array([p.real for p in solved.pairs])
    limit *= real
    if solved.exact:  # sizes that scatter more are no drawing of a program at any scale
        limit = np.minimum(limit, MOST_OFF * real)
    tolerance = np.array([p.tolerance for p in solved.pairs])
    return np.asarray(off * real <= np.maximum(tolerance, limit) + limit, dtype=bool)
