"""Dimension lines with no heads at all, which run a little past the lines that they end on.

Who draws so says where a size ends by the crossing alone. The number tells which two crossings it
lies between: it stands in its line, or on it, at the middle between them. Only where the sheet does
not end its lines in arrowheads, and the network calls it a dimension line.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from audit.dimensions.candidates import Candidate, TextPlace
from audit.dimensions.crossings import Crossing, find_crossing
from audit.dimensions.ink import Floats, Ink, Line, merge_spans
from audit.dimensions.lines import MarkedLine, Place
from audit.dimensions.raster_bare import is_bare
from audit.dimensions.raster_led_on import JOINED_PT, LOOSE_PT, lead_on
from audit.dimensions.raster_support import share_of_line
from audit.dimensions.terminators import Mark
from audit.dimensions.text_places import line_of_text
from audit.dimensions.texts import SizeText, TextForm
from audit.geometry import Point
from audit.networks.page import PageMaps
from audit.records import DimensionKind

ARROWED, FEW, SURE = 0.85, 8, 0.6  # share, number and score of arrowheads that show the habit
IN_LINE, ROOM = 0.4, 2.5  # letter heights: a number's middle off its line; to where that goes on
ON_LINE = (0.45, 1.6)  # letter heights from a line to the middle of a number on it
LEVEL_DEG, INKED_PT = 3.0, 4.0  # of a line, to its number; and the least of it on either side
SQUARE_DEG, SLANT_DEG = 80.0, 40.0  # of what is crossed, to the line; and of where the line stops
EDGE_PT, REACH_PT, SAME_PT = 6.0, 2.5, 1.2  # its least length; how far off; of two that are one
TAIL_PT, PAST_PT = 20.0, 12.0  # that a line runs past its last crossing; and what it ends on, past
LEAST_PT = 10.0  # of a size
MIDDLE, LOOSE = 0.15, 0.3  # of a size, from its middle to its number's; letter heights more
# Share of the line that the network calls a dimension line: a number in it says so too, one on it
# may stand on an edge.
CALLED_IN, CALLED_ON = 0.3, 0.5
MOST = 16  # crossings of half a line: more are hatching
IN, ON = 0.85, 0.7  # strength where the number stands in the line, and on it
MARKED = 0.7  # what is left of it where a mark is drawn on the line: that says more


@dataclass(frozen=True, slots=True)
class _Half:
    """A line from the middle of its number outwards, and where it stops, pt.

    `numbers` are the places of others that it is broken for.
    """

    marked: MarkedLine
    stop: float
    numbers: tuple[float, ...]

    @property
    def line(self) -> Line:
        return self.marked.line


def find_crossed(
    ink: Ink,
    marks: Sequence[Mark],
    texts: Sequence[SizeText],
    maps: PageMaps,
    *,
    px_per_pt: float,
) -> list[Candidate]:
    """Candidates for lines between two crossings with a number at their middle.

    Parameters
    ----------
    ink : Ink
        Of the traced raster, in pt.
    marks : sequence of Mark
    texts : sequence of SizeText
        In pt. Where they stand counts, not what they say.
    maps : PageMaps
        For what the network calls a line.
    px_per_pt : float
        Px of the raster to a pt.

    Returns
    -------
    list of Candidate
    """
    if _is_arrowed(marks):
        return []
    sizes = [t for t in texts if t.form in (TextForm.LENGTH, TextForm.DIAMETER) and t.plain]
    found = []
    for text in sizes:
        for halves, broken in _lines_at(ink, text, sizes):
            pair = _best_pair(ink, halves, text, marks)
            called = _share_called(halves, pair, maps, px_per_pt) if pair is not None else 0.0
            if pair is None or called < (CALLED_IN if broken else CALLED_ON):
                continue
            drawn = _have_marks(ink, halves, marks, maps, px_per_pt * maps.factor)
            strength = (IN if broken else ON) * (MARKED if drawn else 1.0)
            made = _candidate(halves, pair, strength=strength)
            found.append(replace(made, number=text.line.centre))
            break
    return found


def _is_arrowed(marks: Sequence[Mark]) -> bool:
    """Whether a sheet ends its lines in arrowheads."""
    sure = [m.is_arrow for m in marks if m.sure >= SURE]
    return len(sure) >= FEW and sum(sure) >= ARROWED * len(sure)


def _lines_at(
    ink: Ink, text: SizeText, sizes: Sequence[SizeText]
) -> list[tuple[tuple[_Half, _Half], bool]]:
    """Both halves of the lines that a number stands in, along or across, or on."""
    found = []
    for broken, across in ((True, False), (True, True), (False, False)):
        way = line_of_text(text, across=across)
        halves = []
        for line in (way, Line(way.x, way.y, -way.ux, -way.uy)):
            stroke = _stroke_of(ink, text, line, across=across, broken=broken)
            if stroke is not None:
                halves.append(_half(ink, line, stroke, text, sizes))
        if len(halves) == 2:
            found.append(((halves[0], halves[1]), broken))
    return found


def _stroke_of(ink: Ink, text: SizeText, way: Line, *, across: bool, broken: bool) -> int | None:
    """Find the stroke that goes on from a number along a way, or the one that it stands on."""
    t = text.line
    half = (t.height if across else t.length) / 2
    low, high = (
        (0.0, IN_LINE * t.height) if broken else (ON_LINE[0] * t.height, ON_LINE[1] * t.height)
    )
    best: tuple[float, int] | None = None
    for i in ink.near(way.at(half if broken else 0.0), ROOM * t.height):
        line = ink.line_of(i)
        if (
            ink.curved[i]
            or ink.lengths[i] < INKED_PT
            or line.turned_from(way.ux, way.uy) > LEVEL_DEG
        ):
            continue
        at = [way.place(p)[0] for p in ink.end_points(i)]
        aside = abs(line.place(t.centre)[1])
        begins = min(at) if broken else max(min(at), 0.0) + aside
        fits = min(at) < half + ROOM * t.height and max(at) > half + (INKED_PT if broken else 0.0)
        if low <= aside < high and fits and (min(at) > 0.0 or not broken):
            best = min(best or (begins, i), (begins, i))
    return None if best is None else best[1]


def _half(ink: Ink, way: Line, stroke: int, text: SizeText, sizes: Sequence[SizeText]) -> _Half:
    """Lead a stroke on, outwards from a number; where it stops it may be broken for another."""
    line = _from_number(ink.line_of(stroke), way, text)
    start = line.place(Point(*map(float, ink.middles[stroke])))[0]
    line = _from_number(lead_on(ink, line, start, []), way, text)
    strokes, pieces = ink.on_line(line, beside=LOOSE_PT)
    numbers = [s for t in sizes if t is not text and (s := _parting(line, t)) is not None]
    spans = merge_spans(np.array([*pieces, *numbers], float).reshape(-1, 2), JOINED_PT)
    stop = next((b for a, b in spans if a - JOINED_PT < start < b + JOINED_PT), start)
    marked = MarkedLine(
        line=line,
        strokes=strokes,
        spans=tuple(merge_spans(pieces, 0.3)) if len(pieces) else (),
        pieces=pieces,
        places=(),
        width=float(ink.widths[stroke]),
    )
    return _Half(marked, stop, tuple((a + b) / 2 for a, b in numbers))


def _from_number(line: Line, way: Line, text: SizeText) -> Line:
    """Return a line from the foot of a number's middle on, outwards."""
    at = line.at(line.place(text.line.centre)[0])
    sign = 1.0 if line.ux * way.ux + line.uy * way.uy > 0 else -1.0
    return Line(at.x, at.y, sign * line.ux, sign * line.uy)


def _parting(line: Line, text: SizeText) -> tuple[float, float] | None:
    """Stretch of a line that a number stands in, with the room around it."""
    t = text.line
    at, aside = line.place(t.centre)
    if abs(aside) > IN_LINE * t.height or at < 0.0:
        return None
    along = [line.place(q)[0] for q in t.quad]
    return min(along) - ROOM * t.height, max(along) + ROOM * t.height


def _best_pair(
    ink: Ink, halves: tuple[_Half, _Half], text: SizeText, marks: Sequence[Mark]
) -> tuple[Crossing, Crossing] | None:
    """Return the two crossings that a number stands between, at their middle."""
    sides = [_crossings_of(ink, half, marks) for half in halves]
    fits = []
    for (one, first), (two, second) in product(*sides):
        off = abs(one - two) / 2 - LOOSE * text.line.height
        if one + two > LEAST_PT and off < MIDDLE * (one + two):
            doubts = _doubts(halves[0], one, first) + _doubts(halves[1], two, second)
            fits.append((doubts, off, (first, second)))
    return min(fits, key=lambda fit: fit[:2])[2] if fits else None


def _crossings_of(ink: Ink, half: _Half, marks: Sequence[Mark]) -> list[tuple[float, Crossing]]:
    """What half a line crosses up to the next number or head; nothing where it runs on behind."""
    places = _places_across(ink, half)
    if not places or len(places) > MOST:
        return []
    ends = [c for p in places if (c := find_crossing(ink, half.marked, Place(along=p))) is not None]
    found = [(half.line.place(c.end.point)[0], c) for c in ends if c.stroke >= 0]
    others = [*half.numbers, *_heads_on(half.line, marks)]
    last = min((at for at in others if at > 0.0), default=math.inf)
    if last > half.stop and half.stop - max((at for at, _ in found), default=0.0) > TAIL_PT:
        return []
    return [(at, c) for at, c in found if 0.0 < at < last + SAME_PT]


def _places_across(ink: Ink, half: _Half) -> list[float]:
    """Places along half a line where a stroke crosses it, or reaches it."""
    line = half.line
    which = np.setdiff1d(ink.straight[ink.lengths[ink.straight] > EDGE_PT], half.marked.strokes)
    ends = ink.ends[which].reshape(-1, 2, 2) - np.array([line.x, line.y])
    at, aside = ends @ [line.ux, line.uy], ends @ [-line.uy, line.ux]
    turn = np.degrees(np.arctan2(np.abs(np.diff(aside)), np.abs(np.diff(at))))[:, 0]
    gap = np.maximum(np.maximum(aside.min(axis=1), -aside.max(axis=1)), 0.0)
    near = np.flatnonzero((gap < REACH_PT) & (turn > SLANT_DEG))
    crossed = _crossed_at(at[near], aside[near])
    square = (turn[near] > SQUARE_DEG) | (half.stop - crossed < TAIL_PT)
    inside = (crossed > 0.0) & (crossed < half.stop + SAME_PT) & square
    # of two that are nearly one, the one that reaches the line, and the longer one
    order = np.lexsort([-ink.lengths[which[near]], gap[near]])
    places: list[float] = []
    for k in order[inside[order]]:
        if all(abs(crossed[k] - other) > SAME_PT for other in places):
            places.append(float(crossed[k]))
    return places


def _crossed_at(at: Floats, aside: Floats) -> Floats:
    """Where strokes, led on, cross a line, given both their ends' places along and aside."""
    share = aside[:, 0] / (aside[:, 0] - aside[:, 1])
    return np.asarray(at[:, 0] + share * (at[:, 1] - at[:, 0]), float)


def _heads_on(line: Line, marks: Sequence[Mark]) -> list[float]:
    """Places of the sure arrowheads that lie along a line."""
    return [
        at
        for m in marks
        if m.is_arrow and m.sure >= SURE and line.turned_from(m.ux, m.uy) < LEVEL_DEG
        for at, aside in [line.place(m.point)]
        if abs(aside) < SAME_PT
    ]


def _doubts(half: _Half, at: float, crossing: Crossing) -> int:
    """Say 1 of a crossing where neither the line stops nor the line across it does."""
    short, long = sorted((crossing.before, crossing.after))
    return int(half.stop - at > TAIL_PT and not (short < PAST_PT and long > short))


def _share_called(
    halves: tuple[_Half, _Half],
    pair: tuple[Crossing, Crossing],
    maps: PageMaps,
    px_per_pt: float,
) -> float:
    """Share of a line that the network calls a dimension line, of its two halves together."""
    shares = []
    for half, crossing in zip(halves, pair, strict=True):
        far = half.line.place(crossing.end.point)[0]
        share = share_of_line(half.line, (0.0, far), maps, px_per_pt=px_per_pt)
        shares += [] if share is None else [share]
    return float(np.mean(shares)) if shares else 0.0


def _have_marks(
    ink: Ink,
    halves: tuple[_Half, _Half],
    marks: Sequence[Mark],
    maps: PageMaps,
    scale: float,
) -> bool:
    """Whether there is a mark on a line that is more than the crossing of two."""
    on = [
        m
        for half in halves
        for m in marks
        for at, aside in [half.line.place(m.point)]
        if abs(aside) < SAME_PT and 0.0 < at < half.stop + SAME_PT and not m.is_arrow
    ]
    return not all(is_bare(ink, m.point, maps, scale) for m in on)


def _candidate(
    halves: tuple[_Half, _Half], pair: tuple[Crossing, Crossing], *, strength: float
) -> Candidate:
    one, two = (c.end for c in pair)
    far = one.point.distance(two.point)
    ux, uy = (two.point.x - one.point.x) / far, (two.point.y - one.point.y) / far
    line = Line(one.point.x, one.point.y, ux, uy)
    drawn = [
        (line.place(half.line.at(a))[0], line.place(half.line.at(b))[0])
        for half in halves
        for a, b in half.marked.spans
    ]
    ink = merge_spans(np.sort(np.array(drawn, float).reshape(-1, 2), axis=1), 0.3)
    return Candidate(
        kind=DimensionKind.DISTANCE,
        ends=(one, two),
        line=(one.point, two.point),
        strength=strength,
        places=(TextPlace(line=line, low=0.0, high=far, ink=tuple(ink)),),
        strokes=frozenset(int(i) for half in halves for i in half.marked.strokes),
        wants=frozenset({"length", "diameter"}),
        plain=True,
    )
