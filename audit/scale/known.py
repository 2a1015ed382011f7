"""The scale that known sizes fix, and which of them does not fit the others."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from audit.records import NoScale, PageKind, Scale, ScaleFrom
from audit.scale.fit import Fit, Prior, Tie, fit_scales, scale_of
from audit.scale.pairs import Pair

Array = NDArray[np.float64]

# Nothing measured: a copy's two directions differ by up to 1 % (copier anecdotes; taken as
# rectangular), a vector page's paper is true; the shear of scans is common practice, no source.
SCAN_PRIOR = Prior(stretch=0.0058, shear=0.001)
VECTOR_PRIOR = Prior(stretch=1e-5, shear=1e-5)
OPEN_PRIOR = Prior(stretch=0.2, shear=0.05)

# A stretch counts as measured when the lengths fix it better than this.
MEASURED_STRETCH = {True: 0.002, False: 0.0058}  # by "is a vector page"
MEASURED_SHEAR = 0.001

CHANCE = 0.01  # χ² probability below which known sizes contradict each other
WORST_RELATIVE_U = 0.01  # a contradiction larger than this leaves no scale


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownScale:
    """What the known sizes of a sheet come to.

    Attributes
    ----------
    scale : Scale or NoScale
    fit : Fit
        Of all known sizes; the one that does not fit has weight 0.
    inflation : float
        Factor on the covariance when they contradict each other and none can be named.
    bad : int or None
        The one that does not fit the others, as a place in the list.
    contradict : bool
        They do not fit one scale.
    """

    scale: Scale | NoScale
    fit: Fit
    inflation: float
    bad: int | None
    contradict: bool

    def without(self, k: int) -> Scale | NoScale:
        """Return the scale that the other known sizes give."""
        if isinstance(self.scale, NoScale):
            return self.scale
        used = self.fit.weights > 0
        if used[k] and int(used.sum()) < 2:
            return NoScale(
                reason="this size itself sets the scale",
                advice="give another known size to check it by",
            )
        theta, covariance = self.fit.without(k)
        bare = scale_of(
            theta,
            covariance * self.inflation,
            0,
            source=ScaleFrom.KNOWN,
            isotropic=self.scale.isotropic,
        )
        return replace(self.scale, x=bare.x, y=bare.y, shear=bare.shear, covariance=bare.covariance)

    def stretched_by(self, other: Scale) -> Scale:
        """Return this scale with the stretch that another one has measured.

        The length along the known sizes stays as they fix it; across them the stretch decides.

        Parameters
        ----------
        other : Scale
            One whose x and y were measured apart.

        Returns
        -------
        Scale
            With x and y apart.

        Raises
        ------
        TypeError
            If there is no scale to stretch.
        """
        if isinstance(self.scale, NoScale):
            raise TypeError("no scale to stretch")
        weights = self.fit.weights
        lean = float(weights @ self.fit.rows[:, -2] / weights.sum())  # (cos² - sin²) / 2
        along_x, along_y = 0.5 + lean, 0.5 - lean
        mean = along_x * math.log(self.scale.x) + along_y * math.log(self.scale.y)
        stretch = math.log(other.x / other.y)
        by_stretch = np.array([along_y, -along_x, 0.0])
        own, given = np.array(self.scale.covariance), np.array(other.covariance)
        pick = np.array([along_x, along_y, 0.0])
        spread = np.zeros((3, 3))
        spread[:2, :2] = float(pick @ own @ pick)
        u_stretch = float(given[0, 0] + given[1, 1] - 2 * given[0, 1])
        spread += np.outer(by_stretch, by_stretch) * u_stretch
        spread[2, 2] += given[2, 2]
        rows = tuple((float(r[0]), float(r[1]), float(r[2])) for r in spread)
        return replace(
            self.scale,
            x=math.exp(mean + along_y * stretch),
            y=math.exp(mean - along_x * stretch),
            shear=other.shear,
            covariance=(rows[0], rows[1], rows[2]),
            isotropic=False,
        )


def scale_from_known(pairs: Sequence[Pair], *, page: PageKind) -> KnownScale:
    """Fit one scale through known sizes in any directions.

    Where they all run one way the other way is taken to have the same scale, with the
    uncertainty that such a guess has (`SCAN_PRIOR`).

    Parameters
    ----------
    pairs : Sequence[Pair]
        The known sizes, at least one.
    page : PageKind
        Vector pages have true paper.

    Returns
    -------
    KnownScale
        With a `NoScale` when they contradict each other by more than a percent and none of them
        can be named as the wrong one.
    """
    use = np.ones(len(pairs))
    fit, prior = _fit(pairs, use, page)
    chi2, dof = _consistency(fit, prior)
    contradict = dof > 0 and _chance(chi2, dof) < CHANCE
    bad = _odd_one(pairs, page) if contradict else None
    if bad is not None:
        use[bad] = 0.0
        fit, prior = _fit(pairs, use, page)
        chi2, dof = _consistency(fit, prior)
    inflation = chi2 / dof if contradict and bad is None else 1.0
    return KnownScale(
        scale=_scale(fit, prior, pairs, inflation=inflation, consistency=(chi2, dof)),
        fit=fit,
        inflation=inflation,
        bad=bad,
        contradict=contradict,
    )


def choose_prior(
    pairs: Sequence[Pair],
    groups: Sequence[int],
    *,
    relative_u: Array,
    page: PageKind,
    use: Array,
    ties: Sequence[Tie] = (),
) -> Prior:
    """Decide what the lengths themselves measure, and what must be assumed.

    Parameters
    ----------
    pairs : Sequence[Pair]
        At least one.
    groups : Sequence[int]
        Of each pair.
    relative_u : Array
        Of each pair, shape (n,).
    page : PageKind
        Vector pages have true paper.
    use : Array
        Share of each pair that counts, shape (n,).
    ties : Sequence[Tie]
        Groups whose scales hang together.

    Returns
    -------
    Prior
        Open where the lengths fix the stretch (the shear) better than the assumption would.
    """
    vector = page is PageKind.VECTOR
    assumed = VECTOR_PRIOR if vector else SCAN_PRIOR
    trial = Prior(stretch=OPEN_PRIOR.stretch, shear=assumed.shear)
    fit = fit_scales(pairs, groups, relative_u=relative_u, prior=trial, ties=ties, use=use)
    measured = fit.uncertainty_of_stretch() < MEASURED_STRETCH[vector]
    stretch = OPEN_PRIOR.stretch if measured else assumed.stretch
    trial = Prior(stretch=stretch, shear=OPEN_PRIOR.shear)
    fit = fit_scales(pairs, groups, relative_u=relative_u, prior=trial, ties=ties, use=use)
    still = fit.uncertainty_of_stretch() < MEASURED_STRETCH[vector] or not measured
    turned = still and fit.uncertainty_of_shear() < MEASURED_SHEAR
    return Prior(stretch=stretch, shear=OPEN_PRIOR.shear if turned else assumed.shear)


def _relative(pairs: Sequence[Pair]) -> Array:
    return np.array([math.hypot(p.u_paper / p.drawn, p.u_real / p.real) for p in pairs])


def _fit(pairs: Sequence[Pair], use: Array, page: PageKind) -> tuple[Fit, Prior]:
    groups, relative_u = [0] * len(pairs), _relative(pairs)
    prior = choose_prior(pairs, groups, relative_u=relative_u, page=page, use=use)
    return fit_scales(pairs, groups, relative_u=relative_u, prior=prior, use=use), prior


def _consistency(fit: Fit, prior: Prior) -> tuple[float, int]:
    """Return χ² and its degrees of freedom; an assumption that is leant on counts as a witness."""
    free = 1 + (prior.stretch == OPEN_PRIOR.stretch) + (prior.shear == OPEN_PRIOR.shear)
    chi2 = float(np.sum(fit.weights * fit.residuals**2))
    for place, u in ((-2, prior.stretch), (-1, prior.shear)):
        chi2 += float(fit.theta[place]) ** 2 / u**2
    return chi2, max(int(np.count_nonzero(fit.weights)) - free, 0)


def _chance(chi2: float, dof: int) -> float:
    from scipy.special import chdtrc  # noqa: PLC0415  loads slowly

    return float(chdtrc(dof, chi2))


def _odd_one(pairs: Sequence[Pair], page: PageKind) -> int | None:
    """Return the only one whose absence leaves the others consistent, or `None`."""
    if len(pairs) < 3:
        return None
    healed = []
    for k in range(len(pairs)):
        use = np.ones(len(pairs))
        use[k] = 0.0
        chi2, dof = _consistency(*_fit(pairs, use, page))
        if dof == 0 or _chance(chi2, dof) >= CHANCE:
            healed.append((k, dof))
    return healed[0][0] if len(healed) == 1 and healed[0][1] > 0 else None


def _scale(
    fit: Fit,
    prior: Prior,
    pairs: Sequence[Pair],
    *,
    inflation: float,
    consistency: tuple[float, int],
) -> Scale | NoScale:
    isotropic = prior.stretch != OPEN_PRIOR.stretch
    scale = scale_of(
        fit.theta, fit.covariance * inflation, 0, source=ScaleFrom.KNOWN, isotropic=isotropic
    )
    if inflation > 1.0 and math.sqrt(max(scale.covariance[0][0], 0.0)) > WORST_RELATIVE_U:
        return NoScale(
            reason="the known sizes of this sheet contradict each other",
            advice="check the known sizes and their places",
        )
    used = [p for p, w in zip(pairs, fit.weights, strict=True) if w > 0]
    return replace(
        scale,
        used=len(pairs),
        agreeing=len(used),
        chi2=consistency[0],
        dof=consistency[1],
        anchors=tuple(p.middle for p in used),
    )
