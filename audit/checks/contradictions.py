"""Sizes of a view without a scale that contradict each other.

Where one of two sizes of a small view is wrong, they agree on no scale, and the view is measured by
none. That must not pass in silence: by no scale do both fit what is drawn. Nobody can tell which of
them is wrong, nor is either called so; one warning tells of both.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from audit.checks.unsure import place_of
from audit.checks.words import say_printed
from audit.records import Dimension, Finding, NoScale, PageKind, Scale, Settings, Sheet, View
from audit.scale import Pair, ScaledSheet, is_surely_found, pairs_of_dimensions
from audit.scale.findings import join_words, name_view, say, start_sentence
from audit.scale.fix import stretch_of
from audit.scale.modes import NEAR
from audit.scale.pairs import drafting_floor
from audit.scale.solving import first_widths
from audit.scale.usable import UNSCALED_VIEWS

MOST = 5  # sizes of a view; more that do not agree make it one that is not to scale
SURELY = 3.0  # standard uncertainties; further apart no right sizes of one view are
STRETCH = 0.015  # relative; by as much copies differ in their two directions
LEAST_APART = 0.035  # relative; less is told by no sheet that is drawn by hand or bent
LEAN_DEG = 20.0  # from level and from upright; edges that run backwards lean by 30 to 60


def tell_contradictions(
    scaled: ScaledSheet, dimensions: Sequence[Dimension], *, settings: Settings
) -> list[Finding]:
    """Tell of sizes in small views without a scale that contradict each other (A101).

    Parameters
    ----------
    scaled : ScaledSheet
        Pictures alone: a file tells all sizes of a view, and mostly its scale.
    dimensions : sequence of Dimension
        Of the sheet, with their readings.
    settings : Settings

    Returns
    -------
    list of Finding
        One a view, the size first that contradicts most.
    """
    sheet = scaled.sheet
    still = [v for v in scaled.views if _is_open(v)]
    if sheet.kind is not PageKind.SCAN or len(still) == len(scaled.views):
        return []  # of a sheet without any scale all is doubtful, the paper too
    sure = {d.id: d for d in dimensions if is_surely_found(d, sheet=sheet)}
    pairs = pairs_of_dimensions(list(sure.values()), still, sheet=sheet, settings=settings)
    floor, told = max(drafting_floor(sheet, settings), _scatter(scaled.views)), []
    for view in still:
        own = [p for p in pairs if p.view == view.id and not _leans(p)]
        against = _contradicting(own, floor=floor, stretch=stretch_of(scaled.views))
        if against:
            told.append(_tell([sure[p.source] for p in against], view, sheet))
    return told


def _scatter(views: Sequence[View]) -> float:
    """How much the hand that drew a sheet misses by, mm of paper, as its other views show."""
    drafting = [v.drafting for v in views if isinstance(v.scale, Scale) and v.drafting is not None]
    return float(np.median(drafting)) if drafting else 0.0


def _is_open(view: View) -> bool:
    return isinstance(view.scale, NoScale) and view.kind not in UNSCALED_VIEWS


def _leans(pair: Pair) -> bool:
    lean = math.degrees(math.atan2(abs(pair.dy), abs(pair.dx)))
    return LEAN_DEG < lean < 90.0 - LEAN_DEG


def _contradicting(own: Sequence[Pair], *, floor: float, stretch: float) -> list[Pair]:
    """Return the sizes of a view that cannot all be right, the one first that contradicts most.

    A photo may be longer one way: `stretch` is the log of the scale across over that up. None where
    they contradict each other without that one too: of two mistakes in so small a view one is
    likelier the tool's.
    """
    if not 2 <= len(own) <= MOST:
        return []
    across = math.exp(stretch)
    logs = np.log([p.real / math.hypot(across * p.dx, p.dy) for p in own])
    apart = np.abs(logs[:, None] - logs[None, :])
    widths = first_widths(own, floor)
    limit = SURELY * np.hypot(widths[:, None], widths[None, :]) + STRETCH
    against: NDArray[np.bool_] = (apart > np.maximum(limit, LEAST_APART)) & (apart < NEAR)
    counts = against.sum(axis=1)
    others = np.arange(len(own)) != int(counts.argmax())
    if against[np.ix_(others, others)].any():
        return []
    return [own[int(k)] for k in np.argsort(-counts, kind="stable") if counts[k]]


def _tell(against: Sequence[Dimension], view: View, sheet: Sheet) -> Finding:
    names = join_words([say_printed(d) for d in against])
    text = (
        f"{start_sentence(names)} contradict each other in {name_view(view)}: by no scale do they "
        "all fit what is drawn, and nothing there tells which is wrong. The printed numbers stand "
        "until another witness speaks against one."
    )
    return say(
        "A101",
        text,
        places=[place_of(d, sheet) for d in against],
        dimensions=[d.id for d in against],
        rests_on=[],
    )
