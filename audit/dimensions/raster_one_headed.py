"""Dimension lines of which one arrowhead shows: the other is too slim, or lost in what it touches.

Only where the rest leaves no doubt: the line ends exactly on a line across it, a number stands at
its middle, the network calls it a dimension line, and no other mark is on it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from audit.dimensions.candidates import Candidate, TextPlace
from audit.dimensions.crossings import Crossing, find_crossing
from audit.dimensions.ink import Ink, Line, merge_spans
from audit.dimensions.lines import MarkedLine, Place, find_shaft
from audit.dimensions.raster_support import share_of_line
from audit.dimensions.terminators import Mark
from audit.dimensions.texts import SizeText, TextForm
from audit.networks.page import PageMaps
from audit.records import DimensionKind

LEAST_PT = 20.0  # 7 mm: shorter ones have their heads outside, or are leaders
SQUARE_DEG = 80.0
EXACT_PT = 1.2  # between the end of the line and what it ends on
ON_TIP_PT = 2.0
INKED_PT = 4.0  # of the line, at its far end
JOINED_PT = 3.5  # within a line of long dashes; a text may part it further
MIDDLE = 0.15  # of its length, from its middle to that of its text
BESIDE = 1.3  # letter heights from the line to the nearest of its text
ASIDE_PT, AXIS = 2.0, 0.985  # how far off a line another mark may be on it; cosine to its axis
CALLED = 0.5  # share of the line that the network calls a dimension line
STRENGTH = 0.55


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
    sizes = [t for t in texts if t.form in (TextForm.LENGTH, TextForm.DIAMETER) and t.plain]
    found = []
    for mark in marks:
        shaft = find_shaft(ink, mark, behind=True) if mark.is_arrow else None
        if shaft is None:
            continue
        candidate = _candidate(ink, mark, _back(ink, mark, shaft), marks, sizes)
        if candidate is None:
            continue
        place = candidate.places[0]
        share = share_of_line(place.line, (place.low, place.high), maps, px_per_pt=px_per_pt)
        if share is not None and share >= CALLED:
            found.append(candidate)
    return found


def _back(ink: Ink, mark: Mark, shaft: int) -> Line:
    """Return the line from a tip back along its shaft."""
    own = ink.line_of(shaft)
    along, _ = own.place(mark.point)
    sign = -1.0 if own.ux * mark.ux + own.uy * mark.uy > 0 else 1.0
    at = own.at(along)
    return Line(at.x, at.y, sign * own.ux, sign * own.uy)


def _candidate(
    ink: Ink, mark: Mark, line: Line, marks: Sequence[Mark], sizes: Sequence[SizeText]
) -> Candidate | None:
    strokes, pieces = ink.on_line(line)
    inside = [span for t in sizes if (span := _parting(line, t)) is not None]
    spans = merge_spans(np.array([*pieces, *inside], float).reshape(-1, 2), JOINED_PT)
    end = next((b for a, b in spans if a < mark.size + ON_TIP_PT and b > LEAST_PT), None)
    if end is None or not any(_is_centred(line, t, end) for t in sizes):
        return None
    if not any(abs(b - end) < EXACT_PT and b - a > INKED_PT for a, b in pieces):
        return None  # a text stands at its end
    if any(_is_on(line, m, end) for m in marks if m is not mark):
        return None
    drawn = tuple(merge_spans(pieces, 0.3))
    width = float(np.median(ink.widths[strokes]))
    marked = MarkedLine(
        line=line, strokes=strokes, spans=drawn, pieces=pieces, places=(), width=width
    )
    near = find_crossing(ink, marked, Place(along=0.0, backward=mark))
    far = find_crossing(ink, marked, Place(along=end))
    if near is None or far is None or not (_is_end(near, line, 0.0) and _is_end(far, line, end)):
        return None
    return Candidate(
        kind=DimensionKind.DISTANCE,
        ends=(near.end, far.end),
        line=(near.end.point, far.end.point),
        strength=STRENGTH,
        places=(TextPlace(line=line, low=0.0, high=end, ink=drawn),),
        claims=frozenset({("arrow", id(mark))}),
        strokes=frozenset(map(int, strokes)),
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


def _is_centred(line: Line, text: SizeText, end: float) -> bool:
    """Whether a text stands at the middle of a line, in it or beside it."""
    along, _ = line.place(text.line.centre)
    sides = [aside for _, aside in map(line.place, text.line.quad)]
    gap = max(0.0, min(sides), -max(sides))
    return abs(along - end / 2) < MIDDLE * end and gap < BESIDE * text.line.height


def _is_on(line: Line, mark: Mark, end: float) -> bool:
    """Whether another mark stands on a line between its ends, or at the far one."""
    along, aside = line.place(mark.point)
    if abs(aside) > ASIDE_PT or not ON_TIP_PT < along < end + mark.size:
        return False
    return not mark.is_arrow or abs(mark.ux * line.ux + mark.uy * line.uy) > AXIS


def _is_end(crossing: Crossing, line: Line, at: float) -> bool:
    along, _ = line.place(crossing.end.point)
    return (
        crossing.stroke >= 0
        and crossing.turn > SQUARE_DEG
        and math.isclose(along, at, abs_tol=EXACT_PT)
    )
