"""Narrow sizes whose arrowheads stand outside and are too small to be seen: ``->| 4 3/4 |<-``.

The number stands at the middle between two parallel lines, and beyond either a short line begins
on it, both in line with the number: so a narrow part is measured, whatever its heads look like.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from audit.dimensions.candidates import Candidate, TextPlace
from audit.dimensions.crossings import find_crossing
from audit.dimensions.ink import Floats, Ink, Line
from audit.dimensions.lines import MarkedLine, Place
from audit.dimensions.raster_ink import darkness
from audit.dimensions.raster_support import share_of_line
from audit.dimensions.text_places import line_of_text
from audit.dimensions.texts import SizeText, plain_sizes
from audit.networks.page import PageMaps
from audit.records import DimensionKind

IN_LINE = 0.35  # letter heights from a number's middle to the line of its tails
ROOM = 2.5  # letter heights from the number to what its tails begin on
EDGE_PT, SQUARE_DEG = 12.0, 86.0  # of that: least length, more than a letter's, and its angle
TOUCH_PT = 1.2  # that such a line may stop short: traces end in the middle of a mark on it
MIDDLE = 0.15  # of the room, from its middle to the number's
TAIL_PT = (1.4, 4.4)  # of a tail, from what it begins on: less than the shortest ones
BARE_PT = 0.8  # half as wide as a line, between it and the number
INKED, CLEAR, BLANK = 0.9, 0.6, 0.25  # shares: of a tail, of paper beside it, of ink before it
INK = 77  # of 255
BESIDE_PT, STEP_PT = 2.0, 0.35
CALLED = 0.5  # share of both tails that the network calls a dimension line
STRENGTH = 0.55


def find_between_tails(
    ink: Ink, texts: Sequence[SizeText], maps: PageMaps, *, px_per_pt: float
) -> list[Candidate]:
    """Candidates for numbers between two lines that tails point at from outside.

    Parameters
    ----------
    ink : Ink
        Of the traced raster, in pt.
    texts : sequence of SizeText
        In pt. Where they stand counts, not what they say.
    maps : PageMaps
        For the ink, and for what the network calls a line.
    px_per_pt : float
        Px of the raster to a pt.

    Returns
    -------
    list of Candidate
    """
    sizes = plain_sizes(texts)
    made = (
        _between(ink, text, maps, px_per_pt, across=across)
        for text in sizes
        for across in (False, True)
    )
    return [candidate for candidate in made if candidate is not None]


def _between(
    ink: Ink, text: SizeText, maps: PageMaps, px_per_pt: float, *, across: bool
) -> Candidate | None:
    t = text.line
    way = line_of_text(text, across=across)
    half = (t.height if across else t.length) / 2
    edges = _edges(ink, way, half, half + ROOM * t.height)
    if edges is None or abs(edges[0] + edges[1]) / 2 > MIDDLE * (edges[1] - edges[0]):
        return None
    aside = _row_of_tails(way, edges, (half, IN_LINE * t.height), maps, px_per_pt * maps.factor)
    if aside is None:
        return None
    line = Line(way.x - aside * way.uy, way.y + aside * way.ux, way.ux, way.uy)
    found = _candidate(ink, line, edges, maps, px_per_pt)
    return None if found is None else replace(found, number=t.centre)


def _edges(ink: Ink, way: Line, least: float, most: float) -> tuple[float, float] | None:
    """Places of the nearest lines across a way, before its own point and behind it."""
    found: tuple[list[float], list[float]] = ([], [])
    for i in ink.near((way.x, way.y), most):
        turned = way.turned_from(*map(float, ink.units[i]))
        if ink.curved[i] or ink.lengths[i] < EDGE_PT or turned < SQUARE_DEG:
            continue
        (at, one), (at2, other) = (way.place(p) for p in ink.end_points(i))
        place = at + (at2 - at) * one / (one - other)
        reaches = one * other < 0.0 or min(abs(one), abs(other)) < TOUCH_PT
        if reaches and least < abs(place) < most:
            found[place > 0].append(place)
    return (max(found[0]), min(found[1])) if all(found) else None


def _row_of_tails(
    way: Line,
    edges: tuple[float, float],
    number: tuple[float, float],
    maps: PageMaps,
    scale: float,
) -> float | None:
    """How far aside of a way two tails lie in line beyond the edges; `None` where none do."""
    half, room = number
    best: tuple[float, float] | None = None
    for aside in np.arange(-room, room + 1e-6, STEP_PT):
        shares = []
        for edge, sign in zip(edges, (-1.0, 1.0), strict=True):
            tail = edge + sign * np.arange(*TAIL_PT, STEP_PT)
            before = np.arange(sign * half, edge - sign * BARE_PT, sign * STEP_PT)
            if _inked(way, before, aside, maps, scale) > BLANK:
                return None  # a line leads to the number
            beside = max(_inked(way, tail, aside + d, maps, scale) for d in (-BESIDE_PT, BESIDE_PT))
            inked = _inked(way, tail, aside, maps, scale)
            shares.append(inked if beside < CLEAR else 0.0)
        if min(shares) >= INKED and (best is None or sum(shares) > best[0]):
            best = sum(shares), float(aside)
    return None if best is None else best[1]


def _inked(way: Line, along: Floats, aside: float, maps: PageMaps, scale: float) -> float:
    """Share of places along a way, so far aside of it, that are ink."""
    if not len(along):
        return 0.0
    return float((darkness(way, along, aside, maps, scale) > INK).mean())


def _candidate(
    ink: Ink, line: Line, edges: tuple[float, float], maps: PageMaps, px_per_pt: float
) -> Candidate | None:
    low, high = edges
    tails = ((low - TAIL_PT[1], low), (high, high + TAIL_PT[1]))
    shares = [share_of_line(line, tail, maps, px_per_pt=px_per_pt) for tail in tails]
    if any(share is None or share < CALLED for share in shares):
        return None
    strokes, _ = ink.on_line(line)
    marked = MarkedLine(
        line=line, strokes=strokes, spans=tails, pieces=np.array(tails), places=(), width=0.0
    )
    ends = [find_crossing(ink, marked, Place(along=at)) for at in edges]
    if ends[0] is None or ends[1] is None or min(e.turn for e in ends if e) < SQUARE_DEG:
        return None
    return Candidate(
        kind=DimensionKind.DISTANCE,
        ends=(ends[0].end, ends[1].end),
        line=(ends[0].end.point, ends[1].end.point),
        strength=STRENGTH,
        places=(TextPlace(line=line, low=low, high=high, ink=tails),),
        strokes=frozenset(map(int, strokes)),
        wants=frozenset({"length", "diameter"}),
        plain=True,
    )
