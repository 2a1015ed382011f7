"""The scales of the views of a sheet that has known sizes.

A known size rules over what printed sizes agree on. The printed sizes only tell whether a view
is drawn at that scale, at a standard ratio of it (a detail at twice the size), or at neither.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from audit.records import NoScale, PageKind, Scale, ScaleFrom
from audit.scale.consensus import LeftOut, ViewScale, find_consensus
from audit.scale.known import KnownScale
from audit.scale.modes import Membership, find_mixture
from audit.scale.pairs import Pair
from audit.scale.scatter import drafting_scatter
from audit.scale.solving import GATE, first_widths
from audit.scale.votes import LEAST_SHARE
from audit.uncertainty import expand, real_changes, real_length, real_matrix

Array = NDArray[np.float64]

LEAST_AT_RATIO = 3  # against a known size, a ratio needs so many agreeing sizes
NEAR = 0.1  # relative; a view so near to the known scale is not meant to be at another one


class Standing(StrEnum):
    """How the printed sizes of a view stand to the known sizes of its sheet."""

    AGREES = "agrees"
    AT_RATIO = "at another standard scale"
    CONTRADICTS = "contradicts"
    OTHER = "at a scale of its own"


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownView:
    """One view's scale, how its printed sizes stand to the known ones, and their ratio.

    `sheet_scale` is what the sheet as a whole came to: the known sizes, with the stretch they
    leave open measured by the printed ones where those can.
    """

    scaled: ViewScale
    sheet_scale: Scale
    standing: Standing
    ratio: float = 1.0


def scale_views_by_known(
    pairs: Sequence[Pair], known: KnownScale, *, page: PageKind, floor: float
) -> tuple[tuple[KnownView, ...], tuple[LeftOut, ...]]:
    """Give every view that has usable printed sizes its scale.

    Parameters
    ----------
    pairs : Sequence[Pair]
        The usable dimensions of the sheet, any number.
    known : KnownScale
        What the known sizes come to.
    page : PageKind
        Vector pages have true paper.
    floor : float
        Least scatter of the drawing, mm of paper.

    Returns
    -------
    tuple[tuple[KnownView, ...], tuple[LeftOut, ...]]
        The views, and the scale for each dimension of theirs (estimated without it where it was
        estimated from dimensions at all).
    """
    if isinstance(known.scale, NoScale) or not pairs:
        return (), ()
    scale, single = _with_stretch(pairs, known, known.scale, page=page, floor=floor)
    true = [_in_real(p, scale) for p in pairs]
    relative = np.array([_relative_u(p, scale) for p in pairs])
    widths = np.hypot(first_widths(true, floor * _mean(scale)), relative)
    mixture = find_mixture(true, widths=widths, stretched=False, fixed=0.0)
    views, left_out = [], []
    for member in mixture.members:
        own = [p for p in pairs if p.view == member.view]
        view = _place_view(own, member, scale, page=page, floor=floor)
        views.append(view)
        left_out += _left_out(own, view, single, page=page, floor=floor)
    return tuple(views), tuple(left_out)


def _mean(scale: Scale) -> float:
    return math.sqrt(scale.x * scale.y)


def _in_real(pair: Pair, scale: Scale) -> Pair:
    """Return the pair with its drawn vector in real mm, as the known sizes make it."""
    dx, dy = (float(v) for v in real_matrix(scale) @ np.array([pair.dx, pair.dy]))
    factor = math.hypot(dx, dy) / pair.drawn
    return replace(pair, dx=dx, dy=dy, u_paper=pair.u_paper * factor)


def _relative_u(pair: Pair, scale: Scale) -> float:
    """Relative standard uncertainty that the known scale brings to a length."""
    vector = np.array([pair.dx, pair.dy])
    real = real_matrix(scale) @ vector
    by_scale = real @ real_changes(vector, scale) / float(real @ real)
    return math.sqrt(max(float(by_scale @ np.array(scale.covariance) @ by_scale), 0.0))


def _place_view(
    own: Sequence[Pair], member: Membership, scale: Scale, *, page: PageKind, floor: float
) -> KnownView:
    ratio = member.ratio
    if ratio is not None and ratio != 1:
        if _agreeing(own, scale, ratio, floor) < _votes(own, LEAST_AT_RATIO):
            ratio = Fraction(1)
        else:
            return _known_view(own, scale, ratio, Standing.AT_RATIO, floor)
    if ratio is None:
        consensus = find_consensus(own, page=page, floor=floor)
        found = consensus.views[0]
        if isinstance(found.scale, Scale):
            return _by_consensus(found, scale)
    return _known_view(own, scale, Fraction(1), Standing.AGREES, floor)


def _votes(own: Sequence[Pair], least: int) -> float:
    return max(least, LEAST_SHARE * len(own))


def _by_consensus(found: ViewScale, scale: Scale) -> KnownView:
    """Place a view whose printed sizes agree with each other, but not with the known ones."""
    if not isinstance(found.scale, Scale):
        raise TypeError("a consensus without a scale")
    ratio = _mean(found.scale) / _mean(scale)
    if abs(math.log(ratio)) < NEAR:
        no_scale = NoScale(
            reason="its printed sizes agree with each other, but not with the known size",
            advice="check the known size and where it was placed",
        )
        found, standing = replace(found, scale=no_scale), Standing.CONTRADICTS
    else:
        standing = Standing.OTHER
    return KnownView(scaled=found, sheet_scale=scale, standing=standing, ratio=ratio)


def scaled_by(scale: Scale, ratio: float) -> Scale:
    """Return a scale with both factors multiplied by an exact ratio.

    Parameters
    ----------
    scale : Scale
        Of another view of the sheet.
    ratio : float
        This view's scale over that one.

    Returns
    -------
    Scale
        With the same relative uncertainty.
    """
    return replace(scale, x=scale.x * ratio, y=scale.y * ratio)


def _known_view(
    own: Sequence[Pair], scale: Scale, ratio: Fraction, standing: Standing, floor: float
) -> KnownView:
    here = scaled_by(scale, float(ratio))
    scatter = _scatter(own, here, floor)
    return KnownView(
        scaled=ViewScale(
            view=own[0].view,
            scale=here,
            drafting=scatter[0],
            dimensions=len(own),
            agreeing=_agreeing(own, scale, ratio, floor),
        ),
        sheet_scale=scale,
        standing=standing,
        ratio=float(ratio),
    )


def _misfits(own: Sequence[Pair], scale: Scale) -> Array:
    """Given minus drawn length, mm of paper."""
    return np.array([p.drawn * math.log(p.real / real_length((p.dx, p.dy), scale)) for p in own])


def _scatter(own: Sequence[Pair], scale: Scale, floor: float) -> tuple[float, Array]:
    misfit = _misfits(own, scale)
    by_scale = np.array([_relative_u(p, scale) * p.drawn for p in own])
    first = np.array([w * p.drawn for w, p in zip(first_widths(own, floor), own, strict=True)])
    use = (np.abs(misfit) <= GATE * np.hypot(first, by_scale)).astype(float)
    aware = [
        replace(p, u_paper=math.hypot(p.u_paper, u)) for p, u in zip(own, by_scale, strict=True)
    ]
    scatter = drafting_scatter(aware, misfit, use=use, scale=_mean(scale), floor=floor)
    return scatter.drafting, scatter.drafting_without


def _agreeing(own: Sequence[Pair], scale: Scale, ratio: Fraction, floor: float) -> int:
    """Count the sizes that agree with a ratio of the known scale, as far as can be told."""
    here = scaled_by(scale, float(ratio))
    drafting = _scatter(own, here, floor)[0]
    count = 0
    for pair, misfit in zip(own, _misfits(own, here), strict=True):
        factor = pair.real / pair.drawn
        u = math.hypot(
            math.hypot(pair.u_paper, drafting) * factor,
            pair.u_real,
            _relative_u(pair, scale) * pair.real,
        )
        limit = expand(u)
        count += abs(float(misfit)) * factor <= max(pair.tolerance, limit) + limit
    return count


def _left_out(
    own: Sequence[Pair],
    view: KnownView,
    single: dict[int, Scale],
    *,
    page: PageKind,
    floor: float,
) -> list[LeftOut]:
    if isinstance(view.scaled.scale, NoScale):
        return []
    if view.scaled.scale.source is ScaleFrom.CONSENSUS:
        return list(find_consensus(own, page=page, floor=floor).left_out)
    without = _scatter(own, view.scaled.scale, floor)[1]
    return [
        LeftOut(
            dimension=p.source,
            scale=scaled_by(single[p.source], view.ratio),
            drafting=float(d),
        )
        for p, d in zip(own, without, strict=True)
    ]


def _with_stretch(
    pairs: Sequence[Pair], known: KnownScale, scale: Scale, *, page: PageKind, floor: float
) -> tuple[Scale, dict[int, Scale]]:
    """Let the printed sizes measure the stretch that known sizes in one direction leave open.

    Returns the sheet's scale, and for every pair the scale estimated without it.
    """
    single = {p.source: scale for p in pairs}
    if not scale.isotropic or page is PageKind.VECTOR:
        return scale, single
    consensus = find_consensus(pairs, page=page, floor=floor)
    measured = [
        v.scale for v in consensus.views if isinstance(v.scale, Scale) and not v.scale.isotropic
    ]
    if not measured:
        return scale, single
    scale = known.stretched_by(measured[0])
    single = {p.source: scale for p in pairs}
    for left in consensus.left_out:
        if isinstance(left.scale, Scale):
            single[left.dimension] = known.stretched_by(left.scale)
    return scale, single
