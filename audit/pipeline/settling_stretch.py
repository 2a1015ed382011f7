"""How wide a photo's paper is to its height, where its own lines made it flat: its sizes decide.

Level and plumb lines tell how the paper leans, but how much shorter it looks for that only as far
as the camera is known, and in a cropped photo the camera's axis meets the picture at any place.
A scale of its own for each direction takes up the rest, if it begins near enough.
"""

from __future__ import annotations

import math
import statistics
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from audit.geometry import Transform
from audit.pipeline.laying_flat import LaidFlat
from audit.pipeline.sheet import FoundSheet
from audit.records import Scale, ScaleFrom, Settings, Sheet
from audit.scale import ScaledSheet, fix_scales
from audit.uncertainty.measure import SMOOTH_REACH

STEP = 0.03  # of ln(x/y): printed sizes find their stretch from so far
MOST_STEPS = 5
WITHIN = 3.0  # standard uncertainties of the stretch that are tried
WRONG_MM = 20.0  # of paper: a size that agrees with nothing may be off by as much (judgement)
FINEST_MM = 0.01  # of paper: no photo shows less (judgement)
MORE = 1.5  # sizes' worth by which a stretch must be better: one wrong size fits any stretch
LEAST_AGREEING = 6


class _Worth(NamedTuple):
    """Of a stretch: how many sizes agree, and what each is worth, as a logarithm of chances."""

    agreeing: int
    each: float

    @property
    def all(self) -> float:
        return self.agreeing * self.each


def settle_stretch(found: FoundSheet, laid: LaidFlat, settings: Settings) -> FoundSheet:
    """Stretch a sheet that its lines made flat as most of its printed sizes agree.

    Parameters
    ----------
    found : FoundSheet
        Looked at, on its paper.
    laid : LaidFlat
        How it came to lie.
    settings : Settings

    Returns
    -------
    FoundSheet
        What its sizes do not tell of the stretch is in its `u_paper`; as it is where known sizes
        rule, or where it was laid flat in another way.
    """
    by_lines = laid.u_stretch > 0 and found.sheet.to_paper == laid.sheet.to_paper
    if not by_lines or found.known_sizes:
        return found
    best, scaled = found.sheet, _scaled(found, found.sheet, settings)
    least = _worth(scaled)
    for stretch in _stretches(laid.u_stretch):
        sheet = _stretched(found.sheet, stretch)
        tried = _scaled(found, sheet, settings)
        worth = _worth(tried)
        if worth.agreeing >= LEAST_AGREEING and worth.all > least.all + MORE * worth.each:
            best, scaled, least = sheet, tried, worth
    return replace(found, sheet=best if _measures(scaled) else _unsure(best, laid.u_stretch))


def _stretches(u: float) -> list[float]:
    """What is tried, the least first."""
    steps = min(math.ceil(max(WITHIN * u - STEP / 2, 0.0) / STEP), MOST_STEPS)
    return [way * k * STEP for k in range(1, steps + 1) for way in (1, -1)]


def _stretched(sheet: Sheet, stretch: float) -> Sheet:
    wider = Transform.scaling(math.exp(stretch / 2), math.exp(-stretch / 2))
    return replace(sheet, to_paper=sheet.to_paper.then(wider))


def _scaled(found: FoundSheet, sheet: Sheet, settings: Settings) -> ScaledSheet:
    return fix_scales(sheet, found.views, dimensions=found.dimensions, settings=settings)


def _agreed(scaled: ScaledSheet) -> list[tuple[Scale, float]]:
    """Scales on which sizes agreed, each with how far its view's sizes scatter, mm of paper."""
    found = [(v.scale, v.drafting or 0.0) for v in scaled.views if isinstance(v.scale, Scale)]
    return [one for one in found if one[0].source is ScaleFrom.CONSENSUS]


def _worth(scaled: ScaledSheet) -> _Worth:
    """Say how well sizes agree: the more there are of them, and the closer, the better."""
    agreed = _agreed(scaled)
    if not agreed:
        return _Worth(0, 0.0)
    most = max(scale.agreeing for scale, _ in agreed)
    scatter = max(statistics.median(scatter for _, scatter in agreed), FINEST_MM)
    return _Worth(most, math.log(WRONG_MM / min(scatter, WRONG_MM)))


def _measures(scaled: ScaledSheet) -> bool:
    """Whether the printed sizes measure the stretch themselves."""
    agreed = _agreed(scaled)
    return bool(agreed) and not any(scale.isotropic for scale, _ in agreed)


def _unsure(sheet: Sheet, u_stretch: float) -> Sheet:
    """Put what is not known of the stretch, half on either axis, where errors of a map are."""
    mm = math.sqrt(abs(float(np.linalg.det(sheet.to_paper.jacobian(sheet.box.centre)))))
    reach = SMOOTH_REACH * mm * math.hypot(sheet.width, sheet.height)
    return replace(sheet, u_paper=math.hypot(sheet.u_paper, u_stretch / 2 * reach / math.sqrt(2)))
