"""Dimension lines of which one arrowhead shows, or none: slim ones are lost in what they touch.

Only where the rest leaves no doubt: the line ends exactly on a line across it, a number stands at
its middle, the network calls it a dimension line, and no other sure mark is on it. Where no head
shows, the line must be broken for its number, and end so at both ends.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import TypeVar

import numpy as np

from audit.dimensions.candidates import Candidate, TextPlace
from audit.dimensions.crossings import Crossing, find_crossing
from audit.dimensions.ink import Floats, Ink, Line, merge_spans
from audit.dimensions.lines import MarkedLine, Place, find_shaft
from audit.dimensions.raster_inked_edges import find_inked_edge
from audit.dimensions.raster_inked_runs import lead_through_ink
from audit.dimensions.raster_led_on import JOINED_PT, LOOSE_PT, lead_on
from audit.dimensions.raster_support import share_of_line
from audit.dimensions.terminators import Mark
from audit.dimensions.texts import SizeText, plain_sizes
from audit.geometry import Point
from audit.networks.page import PageMaps
from audit.records import DimensionKind, End

Thing = TypeVar("Thing")

BARRIER = 0.5  # how sure of a mark is to be that surely parts a line
DASH_PT = 40.0  # a longer shaft tells the direction of its line
LEAST_PT = 20.0  # 7 mm: shorter ones have their heads outside, or are leaders
SQUARE_DEG = 80.0
EXACT_PT = 1.2  # between the end of the line and what it ends on
ON_TIP_PT = 2.0
INKED_PT = 4.0  # of the line, at its far end
MIDDLE = 0.15  # of its length, from its middle to that of its text
BESIDE = 1.3  # letter heights from the line to the nearest of its text
ASIDE_PT, AXIS = 2.0, 0.985  # how far off a line another mark may be on it; cosine to its axis
CALLED = 0.5  # share of the line that the network calls a dimension line
ROOM = 2.5  # letter heights from the end of a number to the line broken for it
STRENGTH, HEADLESS = 0.55, 0.5


def find_one_headed(
    ink: Ink,
    marks: Sequence[Mark],
    texts: Sequence[SizeText],
    maps: PageMaps,
    *,
    px_per_pt: float,
) -> list[Candidate]:
    """Candidates for lines with one arrowhead that end on a line at their other end.

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
    sizes = plain_sizes(texts)
    sure = [m for m in marks if m.sure >= BARRIER]
    on = _finder_along(sure, [m.point for m in sure], [ASIDE_PT] * len(sure))
    look = maps, px_per_pt
    beside = _finder_along(sizes, [t.line.centre for t in sizes], [_reach(t) for t in sizes])
    found = []
    for mark in marks:
        shaft = find_shaft(ink, mark, behind=True) if mark.is_arrow else None
        if shaft is not None:
            line = _led_back(ink, mark, shaft, beside)
            found.append(_candidate(ink, line, on(line), beside(line), look, headed=mark))
    for size in sizes:
        tried = (
            _candidate(ink, line, on(line), [size], look, headed=None)
            for line in _broken_lines(ink, size)
        )
        made = next((c for c in tried if c is not None), None)
        if made is not None:
            found.append(replace(made, number=size.line.centre))
    return [c for c in found if c is not None and _is_called(c, maps, px_per_pt)]


def _finder_along(
    things: Sequence[Thing], points: Sequence[Point], reach: Sequence[float]
) -> Callable[[Line], list[Thing]]:
    """Make what tells which things stand no further than they reach from a line, of thousands."""
    at, far = np.array(points, float).reshape(-1, 2), np.array(reach)

    def find(line: Line) -> list[Thing]:
        aside = np.abs(line.ux * (at[:, 1] - line.y) - line.uy * (at[:, 0] - line.x))
        return [things[int(k)] for k in np.flatnonzero(aside <= far)]

    return find


def _reach(text: SizeText) -> float:
    """How far from a line the middle of a text may be that stands in it or beside it."""
    centre = text.line.centre
    return max(map(centre.distance, text.line.quad)) + BESIDE * text.line.height


def _is_called(candidate: Candidate, maps: PageMaps, px_per_pt: float) -> bool:
    place = candidate.places[0]
    share = share_of_line(place.line, (place.low, place.high), maps, px_per_pt=px_per_pt)
    return share is not None and share >= CALLED


def _broken_lines(ink: Ink, size: SizeText) -> Iterator[Line]:
    """Give the lines that are broken for a number, each from one of its ends on.

    Grain is left out behind a number as well: which of them is its line, their ends tell.
    """
    for i in ink.near(size.line.centre, size.line.length / 2 + ROOM * size.line.height):
        line = ink.line_of(i)
        parting = None if ink.curved[i] else _parting(line, size)
        if parting is None or ink.lengths[i] < INKED_PT:
            continue
        line = lead_on(ink, line, float(ink.lengths[i]) / 2, [parting])
        parting = _parting(line, size) or parting
        _, pieces = ink.on_line(line, beside=LOOSE_PT)
        spans = merge_spans(np.array([*pieces, parting], float), JOINED_PT)
        low, high = next((a, b) for a, b in spans if a <= parting[0] and b >= parting[1])
        if low < parting[0] - INKED_PT and high > parting[1] + INKED_PT:
            at = line.at(low)
            yield Line(at.x, at.y, line.ux, line.uy)


def _back(ink: Ink, mark: Mark, shaft: int) -> Line:
    """Return the line from a tip back along its shaft."""
    own = ink.line_of(shaft)
    along, _ = own.place(mark.point)
    sign = -1.0 if own.ux * mark.ux + own.uy * mark.uy > 0 else 1.0
    at = own.at(along)
    return Line(at.x, at.y, sign * own.ux, sign * own.uy)


def _led_back(ink: Ink, mark: Mark, shaft: int, beside: Callable[[Line], list[SizeText]]) -> Line:
    """Return the line from a tip back, fitted to all its dashes where a number stands in it."""
    line = _back(ink, mark, shaft)
    if ink.lengths[shaft] > DASH_PT:
        return line
    parted = [span for t in beside(line) if (span := _parting(line, t)) is not None]
    return lead_on(ink, line, mark.size, parted) if parted else line


def _candidate(
    ink: Ink,
    line: Line,
    marks: Sequence[Mark],
    sizes: Sequence[SizeText],
    look: tuple[PageMaps, float],
    *,
    headed: Mark | None,
) -> Candidate | None:
    """Make a candidate of a line that begins where its one head points, or where it stops."""
    strokes, pieces = ink.on_line(line, beside=LOOSE_PT)
    inside = [span for t in sizes if (span := _parting(line, t)) is not None]
    spans = merge_spans(np.array([*pieces, *inside], float).reshape(-1, 2), JOINED_PT)
    start = ON_TIP_PT + (headed.size if headed is not None else 0.0)
    run = next(((a, b) for a, b in spans if a < start and b > LEAST_PT), None)
    if run is None:
        return None
    if headed is None:
        through = lead_through_ink(line, run, look[0], px_per_pt=look[1])
        pieces = np.array([*pieces, *through], float)
        run = (min([run[0], *(a for a, _ in through)]), max([run[1], *(b for _, b in through)]))
    drawn = tuple(merge_spans(pieces, 0.3))
    width = float(np.median(ink.widths[strokes]))
    marked = MarkedLine(
        line=line, strokes=strokes, spans=drawn, pieces=pieces, places=(), width=width
    )
    for low, end in _stretches(line, pieces, run, sizes, headed=headed is not None):
        least = -ON_TIP_PT if headed is None else ON_TIP_PT
        if any(_is_on(line, m, (low + least, end)) for m in marks if m is not headed):
            continue
        near = _end_at(ink, marked, Place(along=low, backward=headed), look)
        far = _end_at(ink, marked, Place(along=end), look)
        if near is not None and far is not None:
            return _made(marked, (near, far), (low, end), headed)
    return None


def _stretches(
    line: Line,
    pieces: Floats,
    run: tuple[float, float],
    sizes: Sequence[SizeText],
    *,
    headed: bool,
) -> list[tuple[float, float]]:
    """Stretches of a line from where a piece of it begins to where one ends, about a number.

    Those whose middle is nearer to the number's come first: grain may go on where a line ends.
    """
    own = pieces[(pieces[:, 1] - pieces[:, 0] > INKED_PT) & (pieces[:, 1] < run[1] + EXACT_PT)]
    starts = [0.0] if headed else own[own[:, 0] > run[0] - EXACT_PT, 0].tolist()
    found = [
        (off, low, end)
        for low in starts
        for end in own[:, 1].tolist()
        if end - low > LEAST_PT
        for off in [_off_middle(line, sizes, low, end)]
        if off < MIDDLE
    ]
    return [(low, end) for _, low, end in sorted(found)]


def _made(
    marked: MarkedLine, ends: tuple[End, End], stretch: tuple[float, float], headed: Mark | None
) -> Candidate:
    low, high = stretch
    place = TextPlace(line=marked.line, low=low, high=high, ink=marked.spans)
    return Candidate(
        kind=DimensionKind.DISTANCE,
        ends=ends,
        line=(ends[0].point, ends[1].point),
        strength=STRENGTH if headed is not None else HEADLESS,
        places=(place,),
        claims=frozenset() if headed is None else frozenset({("arrow", id(headed))}),
        strokes=frozenset(map(int, marked.strokes)),
        wants=frozenset({"length", "diameter"}),
        plain=True,
    )


def _parting(line: Line, text: SizeText) -> tuple[float, float] | None:
    """Stretch of a line that a text stands in, with the gap around it."""
    t = text.line
    places = [line.place(q) for q in t.quad]
    if abs(line.place(t.centre)[1]) > 0.4 * t.height:
        return None
    at = [along for along, _ in places]
    return min(at) - t.height, max(at) + t.height


def _off_middle(line: Line, sizes: Sequence[SizeText], low: float, end: float) -> float:
    """How far off the middle of a stretch the nearest text in it or beside it is, of its length."""
    offs = [
        abs(line.place(t.line.centre)[0] - (low + end) / 2) / (end - low)
        for t in sizes
        if _is_beside(line, t)
    ]
    return min(offs, default=math.inf)


def _is_beside(line: Line, text: SizeText) -> bool:
    sides = [aside for _, aside in map(line.place, text.line.quad)]
    return max(0.0, min(sides), -max(sides)) < BESIDE * text.line.height


def _is_on(line: Line, mark: Mark, span: tuple[float, float]) -> bool:
    """Whether another mark stands on a stretch of a line, or at its far end."""
    along, aside = line.place(mark.point)
    if abs(aside) > ASIDE_PT or not span[0] < along < span[1] + mark.size:
        return False
    return not mark.is_arrow or abs(mark.ux * line.ux + mark.uy * line.uy) > AXIS


def _end_at(ink: Ink, marked: MarkedLine, place: Place, look: tuple[PageMaps, float]) -> End | None:
    """Find what a line ends on at a place: a line across it, or else an edge that the ink shows."""
    crossing = find_crossing(ink, marked, place)
    if crossing is not None and _is_end(crossing, marked.line, place.along):
        return crossing.end
    return find_inked_edge(marked.line, place.along, look[0], px_per_pt=look[1])


def _is_end(crossing: Crossing, line: Line, at: float) -> bool:
    along, _ = line.place(crossing.end.point)
    return (
        crossing.stroke >= 0
        and crossing.turn > SQUARE_DEG
        and math.isclose(along, at, abs_tol=EXACT_PT)
    )
