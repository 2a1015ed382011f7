"""The scales that the printed sizes of a sheet agree on, each judged without the size in question.

Order of work: find which views hang together (`modes`), fit all scales together with outliers
gated away (`fit`), estimate how much the drawing scatters (`scatter`), ask if enough sizes agree.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from audit.records import NoScale, PageKind, Scale, ScaleFrom
from audit.scale.fit import scale_of
from audit.scale.keeping import LEAST_BACKED, Kept, keep_views
from audit.scale.known import OPEN_PRIOR
from audit.scale.modes import LEAST_IN_USE, NOTHING_STATED, Mixture, find_mixture
from audit.scale.naming import relative_u
from audit.scale.pairs import Pair
from audit.scale.solving import VECTOR_TIE, Solved, find_agreeing, first_widths, solve
from audit.scale.votes import LEAST_AT_RATIO, SEEN, THREE, count_different
from audit.uncertainty import expand
from audit.uncertainty.measure import SCAN_STRETCH

Array = NDArray[np.float64]

LEAST_DIMENSIONS = 4  # a scale needs so many printed sizes
LEAST_TOGETHER = 2  # views that share a scale which no other view has


@dataclass(frozen=True, slots=True, kw_only=True)
class ViewScale:
    """The scale of one view, what the drawing adds there, and how its sizes voted.

    `backed`: the scale that is stated for the view stands behind it, or that of other views.
    """

    view: int
    scale: Scale | NoScale
    drafting: float
    dimensions: int
    agreeing: int
    backed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """The scale by which one dimension is judged: estimated without it."""

    dimension: int
    scale: Scale | NoScale
    drafting: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Consensus:
    """What the printed sizes of a sheet came to.

    `views` holds the views that have usable sizes; `shared` is the scale of the sheet as a whole
    for views that have none, when all views share one.
    """

    views: tuple[ViewScale, ...]
    left_out: tuple[LeftOut, ...]
    shared: Scale | NoScale
    shared_drafting: float


def find_consensus(
    pairs: Sequence[Pair],
    *,
    page: PageKind,
    floor: float,
    paper_known: bool = True,
    stated: Mapping[int, float] = NOTHING_STATED,
) -> Consensus:
    """Estimate the scales of a sheet from its own printed sizes.

    Parameters
    ----------
    pairs : Sequence[Pair]
        All usable dimensions of the sheet, any number.
    page : PageKind
        On vector pages the paper is true and x = y unless each has enough sizes.
    floor : float
        Least scatter of the drawing, mm of paper.
    paper_known : bool
        Whether the size of the paper itself is known; if not, what is stated counts for nothing.
    stated : mapping of int to float
        By view: the scale stated for it, real over drawn. It gives no scale; where too few sizes
        of the view agree to fix one, it tells whether those that do are believed.

    Returns
    -------
    Consensus
        With a `NoScale` for every view whose sizes are too few or do not agree.
    """
    if not paper_known:
        stated = NOTHING_STATED
    if len(pairs) < (LEAST_BACKED if stated or page is not PageKind.VECTOR else LEAST_DIMENSIONS):
        return _nothing(pairs)
    widths = first_widths(pairs, floor)
    stretched = page is not PageKind.VECTOR
    mixture = find_mixture(pairs, widths=widths, stretched=stretched, stated=stated)

    mixture = _without_lone(mixture, pairs)
    held = {m.view for m in mixture.members}
    solved = solve(tuple(p for p in pairs if p.view in held), mixture, page=page, floor=floor)
    kept = keep_views(solved, least=LEAST_DIMENSIONS, page=page, stated=stated)
    if kept.views and len(kept.views) < len(mixture.members):
        inside = tuple(p for p in pairs if p.view in kept.views)
        rest = replace(mixture, members=tuple(m for m in mixture.members if m.view in kept.views))
        solved = solve(inside, rest, page=page, floor=floor)
        kept = keep_views(solved, least=LEAST_DIMENSIONS, page=page, stated=stated)
    found = _consensus(pairs, solved, kept, page=page)
    left = [p for p in pairs if p.view not in kept.views]
    if not kept.views or page is PageKind.VECTOR or len({p.view for p in left}) < LEAST_TOGETHER:
        return found
    return _with_second(found, find_consensus(left, page=page, floor=floor, stated=stated), left)


def _with_second(found: Consensus, second: Consensus, left: Sequence[Pair]) -> Consensus:
    """Give views that are left over a scale that they share, as a wheel and its section do.

    Alone each has too few sizes. Together three must agree, all different, so exactly that each is
    judged by others that would show an error in it.
    """
    scaled = {v.view: replace(v, backed=True) for v in second.views if isinstance(v.scale, Scale)}
    printed = np.array([p.real for p in left if p.view in scaled])
    agreeing = sum(v.agreeing for v in scaled.values())
    if len(scaled) < LEAST_TOGETHER or min(agreeing, count_different(printed)) < THREE:
        return found
    shown = [expand(relative_u(o.scale)) for o in second.left_out if isinstance(o.scale, Scale)]
    if max(shown, default=math.inf) > SEEN:
        return found
    return replace(
        found,
        views=tuple(scaled.get(v.view, v) for v in found.views),
        left_out=found.left_out + second.left_out,
        shared=NoScale(reason="the views of this sheet are drawn at different scales"),
    )


def _without_lone(mixture: Mixture, pairs: Sequence[Pair]) -> Mixture:
    """Leave out views that hang on a sheet's main scale by too few sizes to have one from it.

    At one ratio in use or another a single size fits any scale: held to it, it would bend the main
    one. Not where many sizes of other views show that the sheet has that ratio.
    """
    counts = Counter(p.view for p in pairs)
    at_ratio: Counter[Fraction | None] = Counter()
    for m in mixture.members:
        at_ratio[m.ratio] += counts[m.view]
    kept = [
        m
        for m in mixture.members
        if m.ratio in (1, None)
        or counts[m.view] >= LEAST_AT_RATIO
        or at_ratio[m.ratio] > LEAST_IN_USE
    ]
    return replace(mixture, members=tuple(kept))


def _consensus(
    pairs: Sequence[Pair],
    solved: Solved,
    kept: Kept,
    *,
    page: PageKind,
) -> Consensus:
    isotropic = solved.prior.stretch != OPEN_PRIOR.stretch
    agree = find_agreeing(solved)
    main = {m.view for m in solved.members if m.ratio is not None} & kept.views
    views, left_out = [], []
    for view in sorted({p.view for p in pairs}):
        count = sum(p.view == view for p in pairs)
        inside = solved.of_view(view)
        good = int(agree[inside].sum()) if len(inside) else 0
        if view not in kept.views:
            views.append(_unscaled(view, count, good))
            continue
        member = next(k for k, m in enumerate(solved.members) if m.view == view)
        voters = main if view in main else {view}
        scale = _view_scale(solved, member + 1, isotropic=isotropic, voters=voters, agree=agree)
        views.append(
            ViewScale(
                view=view,
                scale=scale,
                drafting=float(solved.drafting[inside[0]]),
                dimensions=count,
                agreeing=good,
                backed=view in kept.backed,
            )
        )
        left_out += [_left_out(solved, int(k), member + 1, scale) for k in inside]
    shared = _shared(solved, kept.views, page, isotropic=isotropic, agree=agree)
    drafting = float(np.median(solved.drafting))
    return Consensus(
        views=tuple(views), left_out=tuple(left_out), shared=shared, shared_drafting=drafting
    )


def _view_scale(
    solved: Solved,
    group: int,
    *,
    isotropic: bool,
    voters: set[int],
    agree: NDArray[np.bool_],
) -> Scale:
    bare = scale_of(
        solved.fit.theta,
        solved.fit.covariance,
        group,
        source=ScaleFrom.CONSENSUS,
        isotropic=isotropic,
    )
    voting = [k for k, p in enumerate(solved.pairs) if p.view in voters]
    return replace(
        bare,
        used=len(voting),
        agreeing=int(agree[voting].sum()),
        anchors=tuple(solved.pairs[k].middle for k in voting if solved.use[k] > 0),
    )


def _left_out(solved: Solved, k: int, group: int, scale: Scale) -> LeftOut:
    theta, covariance = solved.fit.without(k)
    bare = scale_of(theta, covariance, group, source=scale.source, isotropic=scale.isotropic)
    return LeftOut(
        dimension=solved.pairs[k].source,
        scale=replace(scale, x=bare.x, y=bare.y, shear=bare.shear, covariance=bare.covariance),
        drafting=float(solved.drafting_without[k]),
    )


def _shared(
    solved: Solved,
    kept: frozenset[int],
    page: PageKind,
    *,
    isotropic: bool,
    agree: NDArray[np.bool_],
) -> Scale | NoScale:
    members = [m for m in solved.members if m.view in kept]
    if not members:
        return NoScale(reason="too few printed sizes on this sheet agree on a scale")
    if any(m.ratio != 1 for m in members):
        return NoScale(reason="the views of this sheet are drawn at different scales")
    voters = {m.view for m in members}
    scale = _view_scale(solved, 0, isotropic=isotropic, voters=voters, agree=agree)
    more = (VECTOR_TIE if page is PageKind.VECTOR else SCAN_STRETCH) ** 2
    (xx, xy, xs), (_, yy, ys), shear = scale.covariance
    return replace(
        scale, covariance=((xx + more, xy + more, xs), (xy + more, yy + more, ys), shear)
    )


def _unscaled(view: int, count: int, good: int) -> ViewScale:
    if count >= LEAST_DIMENSIONS:
        reason = "its printed sizes do not agree on one scale"
    else:
        reason = f"only {count} printed size{'' if count == 1 else 's'} to take a scale from"
    return ViewScale(
        view=view, scale=NoScale(reason=reason), drafting=0.0, dimensions=count, agreeing=good
    )


def _nothing(pairs: Sequence[Pair]) -> Consensus:
    ids = sorted({p.view for p in pairs})
    return Consensus(
        views=tuple(_unscaled(v, sum(p.view == v for p in pairs), 0) for v in ids),
        left_out=(),
        shared=NoScale(reason="too few printed sizes on this sheet to take a scale from"),
        shared_drafting=0.0,
    )
