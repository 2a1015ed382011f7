"""Dimension lines without any mark, found from their text.

Only where the lines leave no doubt: the line is broken for a text, or carries it in its middle, and
ends on two extension lines that run past it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from audit.dimensions.candidates import Candidate, TextPlace
from audit.dimensions.crossings import Crossing, find_crossing
from audit.dimensions.ink import Ink, Line, merge_spans
from audit.dimensions.lines import MarkedLine, Place
from audit.dimensions.terminators import Mark
from audit.dimensions.texts import SizeText, TextForm
from audit.geometry import Point
from audit.records import DimensionKind, EndKind

SQUARE_DEG = 80.0
STRENGTH = 0.6
END_PT = 1.0
OVERSHOOT_PT = (0.8, 14.0)  # how far an extension line runs past a line without marks
CENTRED = 0.2  # of the length, for a text above an unbroken line
CLEAR_OF_MARKS_PT = 2.0
FREE_PT = 0.6


def find_plain(ink: Ink, marks: Sequence[Mark], texts: Sequence[SizeText]) -> list[Candidate]:
    """Candidates for dimension lines that end on extension lines without a mark."""
    found = []
    for number, text in enumerate(texts):
        if text.form not in (TextForm.LENGTH, TextForm.DIAMETER) or not text.plain:
            continue
        for line, broken in _lines_at(ink, text):
            candidate = _candidate(ink, marks, text, line, number, broken=broken)
            if candidate is not None:
                found.append(candidate)
    return found


def _lines_at(ink: Ink, text: SizeText) -> list[tuple[Line, bool]]:
    """Lines that a text interrupts, or stands on; second: whether it interrupts it."""
    t = text.line
    turn = math.radians(t.angle)
    ux, uy = math.cos(turn), -math.sin(turn)
    own = Line(t.centre.x, t.centre.y, ux, uy)
    half, h = t.length / 2, t.height
    beside = [own.at(half + 0.8 * h), own.at(-half - 0.8 * h)]
    under = Point(t.centre.x - uy * 1.1 * h, t.centre.y + ux * 1.1 * h)
    found: list[tuple[Line, bool]] = []
    for p, broken in ((beside[0], True), (under, False)):
        for i in ink.near(p, 1.2 * h):
            if ink.lengths[i] < 3.0 or ink.curved[i] or own.turned_from(*ink.units[i]) > 1.0:
                continue
            line = ink.line_of(i)
            along, aside = line.place(t.centre)
            if broken and abs(aside) < 0.35 * h and not -half < along < ink.lengths[i] + half:
                found.append((line, True))
            if not broken and 0.5 * h < abs(aside) < 2.0 * h and 0 < along < ink.lengths[i]:
                found.append((line, False))
    return found[:4]


def _candidate(
    ink: Ink,
    marks: Sequence[Mark],
    text: SizeText,
    line: Line,
    number: int,
    *,
    broken: bool,
) -> Candidate | None:
    strokes, pieces = ink.on_line(line)
    middle, _ = line.place(text.line.centre)
    spans = merge_spans(pieces, text.line.length + 4 * text.line.height if broken else 0.3)
    span = next(((a, b) for a, b in spans if a < middle < b), None)
    if span is None:
        return None
    marked = MarkedLine(
        line=line,
        strokes=strokes,
        spans=tuple(merge_spans(pieces, 0.3)),
        pieces=pieces,
        places=(),
        width=float(ink.widths[strokes].min()),
    )
    crossings = [find_crossing(ink, marked, Place(along=t)) for t in span]
    one, two = crossings
    if (
        one is None
        or two is None
        or not all(_is_extension(ink, c, broken=broken) for c in (one, two))
    ):
        return None
    off = abs(middle - (span[0] + span[1]) / 2)
    if not broken and off > CENTRED * (span[1] - span[0]):
        return None
    if any(m.point.distance(line.at(t)) < CLEAR_OF_MARKS_PT + m.size for m in marks for t in span):
        return None
    return Candidate(
        kind=DimensionKind.DISTANCE,
        ends=(one.end, two.end),
        line=(one.end.point, two.end.point),
        strength=STRENGTH if broken else 0.85 * STRENGTH,
        places=(TextPlace(line=line, low=span[0], high=span[1], ink=marked.spans),),
        claims=frozenset({("plain", number)}),
        strokes=frozenset(int(i) for i in strokes),
        wants=frozenset({"length", "diameter"}),
        plain=True,
    )


def _is_extension(ink: Ink, crossing: Crossing, *, broken: bool) -> bool:
    """Whether a line looks like an extension line, not like a table rule or an outline."""
    if crossing.turn < SQUARE_DEG or crossing.stroke < 0 or crossing.end.kind is EndKind.OUTLINE:
        return False
    short, long = sorted((crossing.before, crossing.after))
    low, high = OVERSHOOT_PT
    if not (0.0 if broken else low) <= short <= high or long <= short + 1.0:
        return False
    return short < low or _is_free(ink, crossing)


def _is_free(ink: Ink, crossing: Crossing) -> bool:
    """Whether an extension line's near end stands free, as the end of a table rule does not."""
    at = crossing.end.point
    end = min(ink.end_points(crossing.stroke), key=at.distance)
    for i in ink.near(end, FREE_PT):
        along, aside = ink.line_of(i).place(end)
        past = max(-along, along - float(ink.lengths[i]))
        if i != crossing.stroke and abs(aside) < FREE_PT and past < FREE_PT:
            return False
    return True
