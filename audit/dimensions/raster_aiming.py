"""Ticks, dots and rings of a raster told along which of the lines through them they measure.

Such a mark stands on a dimension line and on an extension line at once. But a line is one or the
other as a whole: all marks on a *run* (a stretch drawn without a gap but for texts) measure along
it, or none does. A dimension line ends at its outermost marks and carries texts between them; what
the network calls a line counts beside that.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from audit.dimensions.even_marks import are_dashes
from audit.dimensions.ink import Floats, Ink, Line, merge_spans
from audit.dimensions.raster_numbers import lines_of_numbers
from audit.dimensions.raster_slashes import aim_by_slash, lean_of, slash_habit
from audit.dimensions.raster_support import aim_even_marks, share_of_line
from audit.dimensions.terminators import Mark
from audit.dimensions.texts import SizeText
from audit.networks.page import PageMaps

Bools = NDArray[np.bool_]

NEAR_MARK_PT = 2.2
ON_RUN_PT = 1.0  # how far a mark may stand off the line of its run
MIN_STROKE_PT = 5.0
SAME_RUN_PT, SAME_RUN_DEG = 1.0, 2.0
ANOTHER_DEG = 25.0  # between two lines that are not one
AXIS_DEG = 9.0  # between an arrowhead and its line
JOINED_PT = 0.6  # within a run
BROKEN_PT = 4.0  # the same where a threshold broke the line into bits; dashes stand wider apart
IN_LINE = 0.4  # letter heights from a line to the middle of a text that stands in it
BESIDE = 1.5  # the same of a text that stands on it
MIDDLE = 0.15  # of a stretch, from its middle to that of a level text beside it
TEXT_GAP = 5.0  # letter heights by which the gap in a line is wider than the text in it
PARALLEL = math.sin(math.radians(4.0))
EXACT_PT, OVERSHOOT_PT = 1.2, 7.5  # past the outermost mark: none, and as much as usual
LED_TO = (0.3, 1.2)  # letter heights that a line led out to its number may run into it, or miss it
NEATNESS = (1.0, 0.5, 0.0)  # of an end that stops at its mark, overshoots it, or runs on
SHORT = 4.0  # letter heights: a shorter stretch has its text elsewhere
LIKELY_ELSEWHERE = 0.4
TEXT, ENDS, NETWORK, ARROW = 1.2, 1.0, 0.5, 1.0  # what they count
SLASHES = 0.8  # where a sheet's habit is known
LEAST, CLEARLY = 1.5, 0.25  # of a run that marks are aimed along, and more than the next one


@dataclass(frozen=True, slots=True)
class _Run:
    """A line drawn from `low` to `high`, and the marks on it: place along it, number."""

    line: Line
    low: float
    high: float
    places: tuple[tuple[float, int], ...]

    @property
    def marks(self) -> frozenset[int]:
        return frozenset(k for _, k in self.places)


def aim_along_runs(
    ink: Ink,
    marks: Sequence[Mark],
    texts: Sequence[SizeText],
    maps: PageMaps,
    *,
    px_per_pt: float,
    upright: float = 0.0,
) -> list[Mark]:
    """Aim ticks, dots and rings along the dimension lines they stand on, where that is clear.

    Parameters
    ----------
    ink : Ink
    marks : sequence of Mark
    texts : sequence of SizeText
        In pt. Where they stand counts, not what they say.
    maps : PageMaps
    px_per_pt : float
        Px of the raster to a pt.
    upright : float
        Direction in which level text runs, degrees.

    Returns
    -------
    list of Mark
        In the same order.
    """
    points = np.array([m.point for m in marks], float).reshape(-1, 2)
    lettering = _Lettering(texts, upright)
    runs = _distinct(
        [
            run
            for k, mark in enumerate(marks)
            if not mark.is_arrow
            for run in _runs_through(ink, marks, points, lettering, k)
        ]
        + _runs_of_numbers(ink, marks, points, texts)
    )
    weigh = partial(_score, marks=marks, lettering=lettering, maps=maps, px_per_pt=px_per_pt)
    scored = [(weigh(run), run) for run in runs]
    settled = _settle(scored, weigh)
    leaning = _leaning(runs, marks, maps, px_per_pt)
    habit = slash_habit([(line, leaning.get((id(line), k), 0)) for k, line in settled.items()])
    if habit:
        told = partial(_as_told, leaning=leaning, habit=habit)
        scored = [(score + told(run), run) for score, run in scored]
        settled = _settle(scored, lambda run: weigh(run) + told(run))
    best = _best_by_mark(scored)
    aimed = [
        replace(m, ux=settled[k].ux, uy=settled[k].uy) if k in settled and not m.is_arrow else m
        for k, m in enumerate(marks)
    ]
    by_network = aim_even_marks(ink, marks, maps, px_per_pt=px_per_pt)
    for k, mark in enumerate(by_network):
        along = best[k].line if k in best else None
        agrees = along is None or along.turned_from(mark.ux, mark.uy) < ANOTHER_DEG
        if k not in settled and not mark.is_arrow and mark.ux**2 + mark.uy**2 > 0 and agrees:
            aimed[k] = mark
        if habit and k not in settled and not mark.is_arrow:
            aimed[k] = aim_by_slash(ink, aimed[k], maps, px_per_pt=px_per_pt, habit=habit)
    return aimed


def _leaning(
    runs: Sequence[_Run], marks: Sequence[Mark], maps: PageMaps, px_per_pt: float
) -> dict[tuple[int, int], int]:
    """How the slashes on runs lean to them, by the run's line and the number of the mark."""
    return {
        (id(run.line), k): lean_of(run.line, marks[k].point, maps, px_per_pt=px_per_pt)
        for run in runs
        for k in run.marks
        if not marks[k].is_arrow
    }


def _as_told(run: _Run, *, leaning: Mapping[tuple[int, int], int], habit: int) -> float:
    """How much the slashes on a run speak for it where all of a sheet's lean one way."""
    own = [leaning.get((id(run.line), k), 0) for k in run.marks]
    return SLASHES * habit * sum(own) / max(len(own), 1)


def _settle(runs: Sequence[tuple[float, _Run]], weigh: Callable[[_Run], float]) -> dict[int, Line]:
    """Lines that marks measure along, the clearest runs first: what crosses one loses its marks."""
    scored = list(runs)
    settled: dict[int, Line] = {}
    while scored:
        scored.sort(key=lambda pair: -pair[0])
        score, run = scored.pop(0)
        if score < LEAST:
            break
        rivals = [s for s, other in scored if _crosses(run, other)]
        if score - max(rivals, default=0.0) < CLEARLY:
            continue
        settled = dict.fromkeys(run.marks, run.line) | settled
        scored = [
            (s, other) if not _crosses(run, other) else (weigh(left), left)
            for s, other in scored
            for left in [_without(other, run.marks)]
            if len(left.places) > 1 or not _crosses(run, other)
        ]
    return settled


def _best_by_mark(scored: Sequence[tuple[float, _Run]]) -> dict[int, _Run]:
    return {k: run for _, run in sorted(scored, key=lambda pair: pair[0]) for k in run.marks}


class _Lettering:
    """Texts as arrays: middles, directions, lengths, heights."""

    def __init__(self, texts: Sequence[SizeText], upright: float) -> None:
        lines = [t.line for t in texts]
        turns = np.radians([t.angle for t in lines])
        self.middles: Floats = np.array([t.centre for t in lines], float).reshape(-1, 2)
        self.ways: Floats = np.column_stack([np.cos(turns), -np.sin(turns)]).reshape(-1, 2)
        self.lengths: Floats = np.array([t.length for t in lines], float)
        self.heights: Floats = np.array([t.height for t in lines], float)
        self.level = np.abs(np.sin(turns - math.radians(upright))) < PARALLEL
        self.usual = float(np.median(self.heights)) if lines else 0.0

    def along(self, line: Line) -> tuple[Floats, Floats, Floats, Floats, Bools]:
        """Texts that run along a line, and level ones at an upright line.

        Their places on it, how far aside they are, how much of it they take up, heights, and which
        of them are level ones at an upright line.
        """
        sine = np.abs(self.ways[:, 0] * line.uy - self.ways[:, 1] * line.ux)
        across = self.level & (sine > math.cos(math.asin(PARALLEL)))
        which = (sine < PARALLEL) | across
        d = self.middles[which] - np.array([line.x, line.y])
        aside = np.abs(line.ux * d[:, 1] - line.uy * d[:, 0])
        lengths, heights, level = self.lengths[which], self.heights[which], across[which]
        # as far aside as a text that runs along the line and has its side where this one's is
        nearer = np.maximum(aside - (lengths - heights) / 2, 0.0)
        at = d @ [line.ux, line.uy]
        extent = np.where(level, heights, lengths)
        return at, np.where(level, nearer, aside), extent, heights, level


def _runs_through(
    ink: Ink, marks: Sequence[Mark], points: Floats, lettering: _Lettering, k: int
) -> list[_Run]:
    mark = marks[k]
    runs: list[_Run] = []
    for i in ink.near(mark.point, NEAR_MARK_PT):
        if i in mark.strokes or ink.curved[i] or ink.lengths[i] < MIN_STROKE_PT:
            continue
        line = ink.line_of(i)
        along, aside = line.place(mark.point)
        gap = max(-along, along - float(ink.lengths[i]), 0.0)
        known = any(line.turned_from(r.line.ux, r.line.uy) < ANOTHER_DEG for r in runs)
        if abs(aside) > NEAR_MARK_PT or gap > NEAR_MARK_PT or known:
            continue
        span = _span_at(ink, line, along, lettering)
        if span is not None:
            runs.append(_Run(line, *span, _places(line, span, marks, points)))
    return [run for run in runs if len(run.places) > 1]


def _runs_of_numbers(
    ink: Ink, marks: Sequence[Mark], points: Floats, texts: Sequence[SizeText]
) -> list[_Run]:
    even = np.array([m.point for m in marks if not m.is_arrow], float).reshape(-1, 2)
    found = []
    for line, far in lines_of_numbers(ink, even, texts):
        _, pieces = ink.on_line(line)
        spans = merge_spans(np.array([*pieces, (0.0, far)], float), JOINED_PT)
        span = next((a, b) for a, b in spans if a <= 0.0 and b >= far)
        found.append(_Run(line, *span, _places(line, (0.0, far), marks, points)))
    return found


def _span_at(
    ink: Ink, line: Line, along: float, lettering: _Lettering
) -> tuple[float, float] | None:
    """How far a line is drawn around a place on it, broken for texts at most."""
    _, pieces = ink.on_line(line)
    at, aside, lengths, heights, _ = lettering.along(line)
    inside = aside < IN_LINE * heights
    middles, rooms = at[inside], lengths[inside] + TEXT_GAP * heights[inside]
    spans: list[tuple[float, float]] = []
    drawn = merge_spans(pieces, JOINED_PT)
    if not are_dashes([b - a for (_, a), (b, _) in pairwise(drawn)]):
        drawn = merge_spans(pieces, BROKEN_PT)
    for low, high in drawn:
        before = spans[-1][1] if spans else -math.inf
        broken = (middles > before) & (middles < low) & (low - before < rooms)
        if broken.any():
            spans[-1] = (spans[-1][0], high)
        else:
            spans.append((low, high))
    for low, high in spans:
        if low - NEAR_MARK_PT < along < high + NEAR_MARK_PT:
            return low, high
    return None


def _places(
    line: Line, span: tuple[float, float], marks: Sequence[Mark], points: Floats
) -> tuple[tuple[float, int], ...]:
    d = points - np.array([line.x, line.y])
    along = d @ [line.ux, line.uy]
    aside = np.abs(line.ux * d[:, 1] - line.uy * d[:, 0])
    on = (aside < ON_RUN_PT) & (along > span[0] - NEAR_MARK_PT) & (along < span[1] + NEAR_MARK_PT)
    found = [
        (float(along[k]), k)
        for k in np.flatnonzero(on).tolist()
        if not marks[k].is_arrow or line.turned_from(marks[k].ux, marks[k].uy) < AXIS_DEG
    ]
    return tuple(sorted(found))


def _distinct(runs: Sequence[_Run]) -> list[_Run]:
    kept: list[_Run] = []
    for run in runs:
        again = any(len(run.marks & k.marks) > 1 and not _is_turned(run.line, k.line) for k in kept)
        if not again:
            kept.append(run)
    return kept


def _is_turned(one: Line, other: Line) -> bool:
    return one.turned_from(other.ux, other.uy) > ANOTHER_DEG


def _crosses(one: _Run, other: _Run) -> bool:
    return _is_turned(one.line, other.line) and not one.marks.isdisjoint(other.marks)


def _without(run: _Run, gone: frozenset[int]) -> _Run:
    return replace(run, places=tuple((at, k) for at, k in run.places if k not in gone))


def _score(
    run: _Run,
    *,
    marks: Sequence[Mark],
    lettering: _Lettering,
    maps: PageMaps,
    px_per_pt: float,
) -> float:
    """How much speaks for a run being a dimension line."""
    at, aside, extent, heights, level = lettering.along(run.line)
    inside = aside < IN_LINE * heights
    rims = [(at - way * extent / 2)[inside] for way in (1, -1)]
    rooms = heights[inside]
    beside = aside < BESIDE * heights
    at, level = at[beside], level[beside]
    places = [place for place, _ in run.places]
    stretches = [(a, b) for a, b in pairwise(places) if b - a > ON_RUN_PT]
    carried = [
        1.0
        if _is_carried(a, b, at, level)
        else LIKELY_ELSEWHERE
        if b - a < SHORT * lettering.usual
        else 0.0
        for a, b in stretches
    ]
    at = at[~level]
    ends = (
        _neatness(
            places[0] - run.low,
            bool(((at > run.low) & (at < places[0])).any()) or _leads(run.low - rims[1], rooms),
        ),
        _neatness(
            run.high - places[-1],
            bool(((at > places[-1]) & (at < run.high)).any()) or _leads(rims[0] - run.high, rooms),
        ),
    )
    shown = share_of_line(run.line, (places[0], places[-1]), maps, px_per_pt=px_per_pt)
    arrows = any(marks[k].is_arrow for _, k in run.places)
    return (
        TEXT * float(np.mean(carried or [0.0]))
        + ENDS * sum(ends) / 2
        + NETWORK * (0.5 if shown is None else shown)
        + ARROW * arrows
    )


def _is_carried(low: float, high: float, at: Floats, level: Bools) -> bool:
    """Whether a text stands at a stretch; a level one beside an upright line, at its middle."""
    off = np.abs(at - (low + high) / 2)
    return bool((off < np.where(level, MIDDLE, 0.5) * (high - low)).any())


def _leads(gaps: Floats, heights: Floats) -> bool:
    """Whether a line ends at a text in line with it, so far from it: `-x  x- 3/4`."""
    into, most = LED_TO
    return bool(((gaps > -into * heights) & (gaps < most * heights)).any())


def _neatness(over: float, carries_text: bool) -> float:
    """How well an end becomes a dimension line that goes so far past its outermost mark."""
    exact, usual, far = NEATNESS
    if carries_text or over < EXACT_PT:
        return exact
    return usual if over < OVERSHOOT_PT else far
