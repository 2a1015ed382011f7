"""Which of several papers a photo shows, as the sizes on it tell.

The edge of a sheet of A4 and of Letter look alike from many sides. Flat by the wrong one the two
directions of the sheet have scales 9 % apart, which known sizes or the printed ones show.
"""

from __future__ import annotations

import math
import statistics
from dataclasses import dataclass, replace

from audit.pipeline.laying_flat import LaidFlat, PaperChoice
from audit.pipeline.sheet import FoundSheet
from audit.records import Scale, ScaleFrom, Settings, Sheet
from audit.scale import fix_scales

TRUE_STRETCH = 0.02  # relative; copies are stretched by up to about 1 % and never by more than this
WRONG_STRETCH = 0.045  # relative; the shapes of papers that are mistaken for each other differ more
SURE = 3.0  # standard uncertainties
LEAST_AGREEING = 6  # printed sizes that agree, where no stretch could be measured
CLEARLY_MORE = 2.0  # times as many as by any other paper


@dataclass(frozen=True, slots=True, kw_only=True)
class _Fit:
    """How well sizes fit one paper: stretch of x over y with its u (`None`: not measured)."""

    choice: PaperChoice
    stretch: float | None
    u: float
    agreeing: int


def settle_paper(found: FoundSheet, laid: LaidFlat, settings: Settings) -> FoundSheet:
    """Lay a sheet on the one paper its sizes fit; where they fit none, or several, on none.

    Parameters
    ----------
    found : FoundSheet
        Looked at as `laid.looked_at`.
    laid : LaidFlat
    settings : Settings

    Returns
    -------
    FoundSheet
        With the findings of how it lies.
    """
    if not laid.choices:
        return replace(found, findings=found.findings + laid.findings)
    chosen = _decide([_fit(found, choice, settings) for choice in laid.choices])
    if chosen is None:
        bare = replace(laid.sheet, pictures=found.sheet.pictures)
        return replace(found, sheet=bare, findings=found.findings + laid.findings)
    others = ", ".join(c.paper.name for c in laid.choices if c is not chosen)
    why = f" The sizes on it decided between {chosen.paper.name} and {others}."
    told = tuple(replace(f, text=f.text + why) for f in chosen.findings)
    return replace(found, sheet=_laid_as(found, chosen), findings=found.findings + told)


def _laid_as(found: FoundSheet, choice: PaperChoice) -> Sheet:
    return replace(choice.sheet, pictures=found.sheet.pictures)


def _fit(found: FoundSheet, choice: PaperChoice, settings: Settings) -> _Fit:
    scaled = fix_scales(
        _laid_as(found, choice),
        found.views,
        dimensions=found.dimensions,
        known_sizes=found.known_sizes,
        settings=settings,
    )
    scales = [v.scale for v in scaled.views if isinstance(v.scale, Scale)]
    measured = [s for s in scales if not s.isotropic]
    agreeing = sum(s.agreeing for s in scales if s.source is ScaleFrom.CONSENSUS)
    if not measured:
        return _Fit(choice=choice, stretch=None, u=0.0, agreeing=agreeing)
    stretch = statistics.median(math.log(s.x / s.y) for s in measured)
    return _Fit(choice=choice, stretch=stretch, u=min(map(_u, measured)), agreeing=agreeing)


def _u(scale: Scale) -> float:
    c = scale.covariance
    return math.sqrt(max(c[0][0] + c[1][1] - 2 * c[0][1], 0.0))


def _decide(fits: list[_Fit]) -> PaperChoice | None:
    good = [f for f in fits if _is_right(f)]
    rest = [f for f in fits if f not in good]
    if len(good) == 1 and all(_is_wrong(f) for f in rest):
        return good[0].choice
    ranked = sorted(fits, key=lambda f: -f.agreeing)
    best, second = ranked[0], ranked[1]
    clear = best.agreeing >= max(LEAST_AGREEING, CLEARLY_MORE * second.agreeing)
    fits_at_all = best.stretch is None or _is_right(best)
    return best.choice if clear and fits_at_all else None


def _is_right(fit: _Fit) -> bool:
    return (
        fit.stretch is not None
        and abs(fit.stretch) <= TRUE_STRETCH
        and SURE * fit.u < WRONG_STRETCH - TRUE_STRETCH
    )


def _is_wrong(fit: _Fit) -> bool:
    """Whether sizes measured another shape; a paper that gives no scale at all is no better."""
    if fit.stretch is None:
        return fit.agreeing == 0
    return abs(fit.stretch) > max(WRONG_STRETCH, TRUE_STRETCH + SURE * fit.u)
