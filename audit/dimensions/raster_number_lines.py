"""Lines from a number outwards, and what they cross: for dimension lines without heads.

Half a line is traced by itself, from its number on: on paper that is warped the two halves of one
do not lie in line with each other.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from audit.dimensions.crossings import Crossing, find_crossing
from audit.dimensions.ink import Floats, Ink, Line, merge_spans
from audit.dimensions.lines import MarkedLine, Place
from audit.dimensions.raster_led_on import JOINED_PT, LOOSE_PT, lead_on
from audit.dimensions.terminators import Mark
from audit.dimensions.texts import SizeText
from audit.geometry import Point

SURE = 0.6  # score of an arrowhead that surely ends a line
IN_LINE, ROOM = 0.4, 2.5  # letter heights: a number's middle off its line; to where that goes on
ON_LINE = (0.45, 1.6)  # letter heights from a line to the middle of a number on it
LEVEL_DEG, INKED_PT = 3.0, 4.0  # of a line, to its number; and the least of it on either side
SQUARE_DEG, SLANT_DEG = 80.0, 40.0  # of what is crossed, to the line; and of where the line stops
EDGE_PT, REACH_PT, SAME_PT = 6.0, 2.5, 1.2  # its least length; how far off; of two that are one
DASH_PT, GAP_PT = 3.0, 5.0  # the same two where the line stops: a dash may be all that is near
TAIL_PT, PAST_PT = 30.0, 12.0  # that a line runs past its last crossing; and what it ends on, past
MOST = 16  # crossings of half a line: more are hatching


@dataclass(frozen=True, slots=True)
class Half:
    """A line from the middle of its number outwards, and where it stops, pt.

    `numbers` are the places of others that it is broken for.
    """

    marked: MarkedLine
    stop: float
    numbers: tuple[float, ...]

    @property
    def line(self) -> Line:
        """Return the line itself."""
        return self.marked.line


def find_half(
    ink: Ink,
    text: SizeText,
    way: Line,
    sizes: Sequence[SizeText],
    *,
    across: bool,
    broken: bool,
) -> Half | None:
    """Find the line that goes on from a number along a way, or the one that it stands on.

    Parameters
    ----------
    ink : Ink
    text : SizeText
        The number.
    way : Line
        From its middle, as it is written or square to that.
    sizes : sequence of SizeText
        All numbers: the line may be broken for others too.
    across : bool
        Whether the way is square to the number.
    broken : bool
        Whether the line is broken for it.

    Returns
    -------
    Half or None
    """
    stroke = _stroke_of(ink, text, way, across=across, broken=broken)
    return None if stroke is None else _half(ink, way, stroke, text, sizes)


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


def _half(ink: Ink, way: Line, stroke: int, text: SizeText, sizes: Sequence[SizeText]) -> Half:
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
    return Half(marked, stop, tuple((a + b) / 2 for a, b in numbers))


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


def crossings_of(ink: Ink, half: Half, marks: Sequence[Mark]) -> list[tuple[float, Crossing]]:
    """Find what half a line crosses up to the next number or head, and where along it.

    Parameters
    ----------
    ink : Ink
    half : Half
    marks : sequence of Mark

    Returns
    -------
    list of (float, Crossing)
        Nothing where it runs on behind what it crosses last.
    """
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


def led_over_gap(ink: Ink, half: Half, marks: Sequence[Mark], *, longest: float) -> Half:
    """Lead half a line on to the next piece of it where it stops just behind what it crosses.

    Of a short size often the tails alone are drawn, and nothing between its ends.

    Parameters
    ----------
    ink : Ink
    half : Half
    marks : sequence of Mark
    longest : float
        Between its ends, pt.

    Returns
    -------
    Half
        As it was where nothing goes on.
    """
    ends = crossings_of(ink, half, marks)
    if len(ends) != 1 or half.stop - ends[0][0] > PAST_PT:
        return half
    pieces = half.marked.pieces
    behind = pieces[(pieces[:, 0] > half.stop) & (pieces[:, 0] < ends[0][0] + longest)]
    return (
        half if not len(behind) else replace(half, stop=float(behind[np.argmin(behind[:, 0]), 1]))
    )


def _places_across(ink: Ink, half: Half) -> list[float]:
    """Places along half a line where a stroke crosses it, or reaches it."""
    line = half.line
    others = ~ink.curved & (ink.lengths > DASH_PT)
    others[half.marked.strokes] = False
    which = np.flatnonzero(others)
    ends = ink.ends[which].reshape(-1, 2, 2) - np.array([line.x, line.y])
    at, aside = ends @ [line.ux, line.uy], ends @ [-line.uy, line.ux]
    turn = np.degrees(np.arctan2(np.abs(np.diff(aside)), np.abs(np.diff(at))))[:, 0]
    gap = np.maximum(np.maximum(aside.min(axis=1), -aside.max(axis=1)), 0.0)
    near = np.flatnonzero((gap < GAP_PT) & (turn > SLANT_DEG))
    crossed = _crossed_at(at[near], aside[near])
    stops, square = half.stop - crossed < TAIL_PT, turn[near] > SQUARE_DEG
    plain = (gap[near] < REACH_PT) & (ink.lengths[which[near]] > EDGE_PT)
    fits = (plain & square) | (stops & (plain | square))
    inside = (crossed > 0.0) & (crossed < half.stop + SAME_PT) & fits
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


def leaves_doubt(half: Half, at: float, crossing: Crossing) -> bool:
    """Whether neither a line stops at a crossing, nor the line across it does."""
    short, long = sorted((crossing.before, crossing.after))
    return half.stop - at > TAIL_PT and not (short < PAST_PT and long > short)
