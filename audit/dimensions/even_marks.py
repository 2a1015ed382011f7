"""Ticks and dots, each left to the one line that it ends.

A tick or dot stands on two lines at once, the dimension line and the extension line: which of them
it ends, how neatly they stop at their outermost marks tells.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from audit.dimensions.ink import merge_spans
from audit.dimensions.lines import MarkedLine, Place
from audit.dimensions.terminators import Mark, MarkKind
from audit.dimensions.texts import SizeText

TEXT_ASIDE_PT = 12.0  # no text of a dimension is over 30 pt high
EXACT_END_PT = 1.2
MAX_DASH_GAP_PT = 6.0  # 2 mm: usual dashes stand 1 mm apart and nearer
MIN_DASH_GAPS = 3
UNLIKE, FEW_UNLIKE = 2.5, 6  # times as wide; of so many gaps the widest and the narrowest may be
CARRIES_TEXT = 1.2  # neater than an extension line between two dimension lines
APART_PT = 24.0  # empty paper between two lines that happen to be in line
ON_INK_PT = 1.0  # a mark further off the end of a line does not stand on it
PAST_TEXT = 3.0  # letter heights that a line drawn so far for a text runs past it
BESIDE = 1.3  # letter heights from a line to the middle of a text that stands on it
PARALLEL_DEG = 4.0
OVERSHOOT_PT = 7.5  # how far lines usually run past each other at a tick


def settle_even_marks(
    lines: list[MarkedLine], texts: Sequence[SizeText], places: NDArray[np.float64]
) -> list[MarkedLine]:
    """Leave each tick or dot to one line.

    A tick or dot stands on two lines at once, the dimension line and the extension line. The
    dimension line is the one that ends at its outermost marks, or runs on for a text beyond them.

    Parameters
    ----------
    lines : list of MarkedLine
    texts : sequence of SizeText
    places : (n, 2) float array
        Their middles, pt.

    Returns
    -------
    list of MarkedLine
        In the same order, without the marks of others.
    """
    users: dict[object, list[tuple[int, float]]] = {}
    for index, marked in enumerate(lines):
        if not any(p.even is not None for p in marked.places):
            continue
        runs = [_of_one_kind(run) for run in _runs(marked, texts, places)]
        neat = [_neatness(run, texts, places) for run in runs]
        for place in marked.places:
            if place.even is not None:
                own = max(
                    (n for n, run in zip(neat, runs, strict=True) if place in run.places),
                    default=0.0,
                )
                users.setdefault(_identity(place.even), []).append((index, own))
    lost: dict[int, set[object]] = {}
    for key, claims in users.items():
        best = max(own for _, own in claims)
        for index, own in claims:
            if own < best - 0.05:
                lost.setdefault(index, set()).add(key)
    return [_without(marked, lost.get(k, set())) for k, marked in enumerate(lines)]


def _runs(
    marked: MarkedLine, texts: Sequence[SizeText], places: NDArray[np.float64]
) -> list[MarkedLine]:
    """Drawn parts of a line with much empty paper between: two figures may stand in line."""
    if not marked.spans:
        return []
    spans = [*marked.spans, *text_spans(marked, texts, places)]
    joined = merge_spans(np.array(spans, float), APART_PT)
    return [
        replace(
            marked,
            spans=tuple(s for s in marked.spans if low <= s[0] <= high),
            places=tuple(p for p in marked.places if low - _room(p) < p.along < high + _room(p)),
        )
        for low, high in joined
    ]


def text_spans(
    marked: MarkedLine,
    texts: Sequence[SizeText],
    places: NDArray[np.float64],
    *,
    gap: float = 1.0,
) -> list[tuple[float, float]]:
    """Stretches of a line where a text stands in its way, with the gap around it.

    Parameters
    ----------
    marked : MarkedLine
    texts : sequence of SizeText
    places : (n, 2) float array
        Their middles, pt.
    gap : float
        Letter heights to either side of the text.

    Returns
    -------
    list of (float, float)
        From and to, pt along the line.
    """
    if not len(places):
        return []
    line = marked.line
    aside = np.abs(line.places(places)[1])
    spans = []
    for i in map(int, np.flatnonzero(aside < TEXT_ASIDE_PT)):
        t = texts[i].line
        if aside[i] < 0.4 * t.height:
            along = [line.place(q)[0] for q in t.quad]
            spans.append((min(along) - gap * t.height, max(along) + gap * t.height))
    return spans


def _of_one_kind(marked: MarkedLine) -> MarkedLine:
    """Leave out slashes that a line with dots or rings happens to cross."""
    kinds = {p.even.kind for p in marked.places if p.even is not None}
    if not kinds - {MarkKind.TICK}:
        return marked
    places = [
        p
        for p in marked.places
        if p.even is None or p.even.kind is not MarkKind.TICK or p.forward or p.backward
    ]
    return replace(marked, places=tuple(places))


def _room(place: Place) -> float:
    """How far from the end of a line its marks may stand: it may stop at the rim of a ring."""
    return ON_INK_PT + max(m.size for m in place.marks)


def _identity(mark: Mark) -> object:
    return mark.strokes if mark.strokes else id(mark)


def _without(marked: MarkedLine, lost: set[object]) -> MarkedLine:
    if not lost:
        return marked
    places = [
        replace(p, even=None) if p.even is not None and _identity(p.even) in lost else p
        for p in marked.places
    ]
    return replace(marked, places=tuple(p for p in places if p.marks))


def _neatness(marked: MarkedLine, texts: Sequence[SizeText], places: NDArray[np.float64]) -> float:
    """How exactly a line ends at its outermost marks, 0 to 1; 0 for one drawn in dashes.

    More for a line that runs on under a text: that is why it is drawn so far.
    """
    if len(marked.places) < 2 or _is_dashed(marked):
        return 0.0
    first, last = marked.places[0].along, marked.places[-1].along
    starts = [a for a, b in marked.spans if a - 0.5 <= first <= b + 0.5]
    stops = [b for a, b in marked.spans if a - 0.5 <= last <= b + 0.5]
    over = ((min(starts, default=first), first), (last, max(stops, default=last)))
    return sum(_end_neatness(marked, a, b, texts, places) for a, b in over) / 2


def _end_neatness(
    marked: MarkedLine,
    low: float,
    high: float,
    texts: Sequence[SizeText],
    places: NDArray[np.float64],
) -> float:
    """How neat the end of a line is that overshoots its last mark from `low` to `high`."""
    if high - low < EXACT_END_PT:
        return 1.0
    if high - low < OVERSHOOT_PT:
        return 0.6
    return CARRIES_TEXT if _carries_text(marked, low, high, texts, places) else 0.2


def _carries_text(
    marked: MarkedLine,
    low: float,
    high: float,
    texts: Sequence[SizeText],
    places: NDArray[np.float64],
) -> bool:
    """Whether a text stands along a stretch of a line that ends with it, on it or just off it."""
    if not len(places):
        return False
    line = marked.line
    dx, dy = places[:, 0] - line.x, places[:, 1] - line.y
    along, aside = line.ux * dx + line.uy * dy, np.abs(line.ux * dy - line.uy * dx)
    near = (aside < TEXT_ASIDE_PT) & (along > low) & (along < high)
    for i in map(int, np.flatnonzero(near)):
        t = texts[i]
        turn = math.radians(t.line.angle)
        level = line.turned_from(math.cos(turn), -math.sin(turn)) < PARALLEL_DEG
        if not (t.plain and level and aside[i] < BESIDE * t.line.height):
            continue
        ends = [line.place(q)[0] for q in t.line.quad]
        room = PAST_TEXT * t.line.height
        if min(ends) < low + room if low < marked.places[0].along else max(ends) > high - room:
            return True
    return False


def _is_dashed(marked: MarkedLine) -> bool:
    """Whether a line is drawn dash by dash, as centre lines and hidden edges are.

    A dimension line is broken for texts, which are wider than a gap between dashes, and for rings.
    """
    gaps = [(one[1], other[0]) for one, other in pairwise(sorted(marked.spans))]
    bare = [b - a for a, b in gaps if not any(a <= p.along <= b for p in marked.places)]
    return are_dashes(bare)


def are_dashes(gaps: Sequence[float]) -> bool:
    """Whether gaps in a line, pt, are those between dashes: many, short, and alike.

    A threshold breaks a pale line into bits: the gaps between those are of every size.

    Examples
    --------
    >>> are_dashes([3.1, 2.8, 3.3, 14.0]), are_dashes([3.6, 0.8, 1.1, 14.0])
    (True, False)
    """
    small = sorted(gap for gap in gaps if gap < MAX_DASH_GAP_PT)
    if len(small) < MIN_DASH_GAPS or len(small) <= len(gaps) / 2:
        return False
    few = len(small) // FEW_UNLIKE
    return small[-1 - few] < UNLIKE * small[few]
