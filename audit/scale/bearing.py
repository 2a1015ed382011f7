"""Readings that are not sure one by one, and all the same bear each other out on a scale.

On a sheet lettered by a poor hand few readings are sure, too few for a scale. But misread sizes
lie at any ratio to what is drawn, and right ones at one: five of a handful that fall within a
percent or two of each other did not get there by chance. A single one never helps; but of a
detail's three sizes, all of which agree with a sure one, two may be unsure.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from audit.records import Dimension, PageKind, ReadBy, Settings, Sheet, View
from audit.scale.chance import LEAST_WITNESSES, agree_beyond_chance
from audit.scale.modes import Mixture, find_mixture
from audit.scale.pairs import Pair, pairs_of_dimensions
from audit.scale.solving import FIRST_GATE, first_widths
from audit.scale.usable import why_not_read
from audit.scale.votes import count_different

LEAST_HEARD = 0.2  # confidence; below, as good as nothing was heard
LEAST_BEARING = 5  # sizes that agree, sure ones among them
FEW_BEARING = 3  # different ones of a view, where all its sizes agree exactly and one is sure
EXACT = 0.03  # relative; and drawn so exactly, too: half an inch is, at half size
LEAST_DIFFERENT = 4  # sizes among them that are not about the same
MOST_HEARD = 200  # unsure sizes of a sheet; more are no sheet that a person lettered
LEAST_SHARE = 0.5  # of the sizes heard that agree: right ones are the rule, whatever their hand
WIDEST = 0.04  # relative; sizes that are drawn less exactly agree with anything


def unsure_pairs(
    dimensions: Iterable[Dimension], views: Iterable[View], *, sheet: Sheet, settings: Settings
) -> tuple[Pair, ...]:
    """Collect what a sheet's unsure readings say, as if they were right.

    Parameters
    ----------
    dimensions : Iterable[Dimension]
        Of this sheet; others are passed over.
    views : Iterable[View]
        Of this sheet.
    sheet : Sheet
        Where they are drawn.
    settings : Settings
        Its `confidence_limit` parts sure from unsure.

    Returns
    -------
    tuple[Pair, ...]
        Of letters that our network read off a picture with less confidence than that, where
        nothing else speaks against them.
    """
    heard = {
        d.id: replace(d, reading=replace(d.reading, confirmed=True))
        for d in dimensions
        if d.reading is not None and _is_heard(d, settings)
    }
    pairs = pairs_of_dimensions(heard.values(), views, sheet=sheet, settings=settings)
    return tuple(replace(p, right=_right(heard[p.source])) for p in pairs)


def _right(dimension: Dimension) -> float:
    return dimension.reading.confidence if dimension.reading is not None else 0.0


def _is_heard(dimension: Dimension, settings: Settings) -> bool:
    reading = dimension.reading
    if reading is None or reading.by is not ReadBy.NET or reading.doubt:
        return False
    return reading.confidence >= LEAST_HEARD and why_not_read(dimension, settings) is not None


def find_bearing(
    sure: Sequence[Pair], unsure: Sequence[Pair], *, page: PageKind, floor: float
) -> tuple[Pair, ...]:
    """Find the unsure sizes that agree with each other, and with the sure ones, on scales.

    Parameters
    ----------
    sure : sequence of Pair
        Of one sheet.
    unsure : sequence of Pair
        Of the same sheet.
    page : PageKind
        On vector pages the paper is true.
    floor : float
        Least scatter of the drawing, mm of paper.

    Returns
    -------
    tuple[Pair, ...]
        Those of `unsure` that agree; none where those that do may have met by chance.
    """
    pairs = (*sure, *unsure)
    widths = first_widths(pairs, floor)
    fine = widths <= WIDEST
    if not 0 < len(unsure) <= MOST_HEARD or len(pairs) < LEAST_WITNESSES:
        return ()
    mixture = find_mixture(pairs, widths=widths, stretched=page is not PageKind.VECTOR)
    off = np.abs(_off(pairs, mixture))
    bearing = _bearing(pairs, mixture, (off <= FIRST_GATE * widths) & fine)
    known, heard = bearing[: len(sure)], bearing[len(sure) :]
    agreed = not _is_chance(pairs, bearing) and float(np.mean(heard)) >= LEAST_SHARE
    exact = (off <= EXACT) & (widths <= EXACT)
    if not agreed:
        heard = _in_small_views(pairs, exact, len(sure))[len(sure) :]
    elif known.size and float(np.mean(known)) < LEAST_SHARE:
        heard = np.zeros(len(unsure), np.bool_)  # what is sure speaks against it
    heard |= (_beyond_chance(pairs, mixture, widths) & exact)[len(sure) :]
    return tuple(p for p, fits in zip(unsure, heard, strict=True) if fits)


def _bearing(
    pairs: Sequence[Pair], mixture: Mixture, agree: NDArray[np.bool_]
) -> NDArray[np.bool_]:
    """Which sizes agree with many others: at the sheet's main scale, or in a view of many."""
    members = {m.view: m for m in mixture.members}
    bearing = agree & np.array([members[p.view].ratio == 1 for p in pairs])
    for view, member in members.items():
        own = agree & np.array([p.view == view for p in pairs])
        if member.ratio is None and not _is_chance(pairs, own):
            bearing |= own
    return np.asarray(bearing, np.bool_)


def _is_chance(pairs: Sequence[Pair], bearing: NDArray[np.bool_]) -> bool:
    """Whether so few sizes agree, or so alike ones, that they may do so by chance."""
    sizes = np.array([p.real for p, fits in zip(pairs, bearing, strict=True) if fits])
    return len(sizes) < LEAST_BEARING or count_different(sizes) < LEAST_DIFFERENT


def _in_small_views(
    pairs: Sequence[Pair], exact: NDArray[np.bool_], sure: int
) -> NDArray[np.bool_]:
    """Tell which sizes stand in a view where a few, a sure one among them, agree exactly."""
    found = np.zeros(len(pairs), np.bool_)
    for view in {p.view for p in pairs}:
        own = np.array([p.view == view for p in pairs])
        different = count_different(np.array([p.real for p in pairs])[own])
        if different >= FEW_BEARING and own[:sure].any() and exact[own].all():
            found |= own
    return found


def _beyond_chance(
    pairs: Sequence[Pair], mixture: Mixture, widths: NDArray[np.float64]
) -> NDArray[np.bool_]:
    """Tell which sizes agree on the scale of their view, where chance would hardly have it so."""
    found = np.zeros(len(pairs), np.bool_)
    said = _log_ratios(pairs, mixture.stretch)
    for view in {p.view for p in pairs}:
        own = np.array([p.view == view for p in pairs])
        agreed = agree_beyond_chance([p for p in pairs if p.view == view], said[own], widths[own])
        found[np.flatnonzero(own)] = agreed
    return found


def _off(pairs: Sequence[Pair], mixture: Mixture) -> NDArray[np.float64]:
    """Log of printed over drawn, less that of the view's scale."""
    at = {m.view: m.log_scale for m in mixture.members}
    said = _log_ratios(pairs, mixture.stretch)
    return np.asarray(said - [at[p.view] for p in pairs], dtype=float)


def _log_ratios(pairs: Sequence[Pair], stretch: float) -> NDArray[np.float64]:
    """Log of printed over drawn, paper that is stretched allowed for."""
    half = math.exp(stretch / 2)
    drawn = np.hypot([p.dx * half for p in pairs], [p.dy / half for p in pairs])
    return np.asarray(np.log([p.real for p in pairs]) - np.log(drawn), dtype=float)
