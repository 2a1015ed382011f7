"""Dimensions of half views: one arrowhead, and a line that runs on past the centre line.

The printed size is the whole one, so the second end is the first mirrored in the centre line.
"""

from __future__ import annotations

import numpy as np

from audit.dimensions.candidates import Candidate
from audit.dimensions.crossings import Crossing, find_crossing
from audit.dimensions.ink import Ink, Line
from audit.dimensions.linear import text_places_of
from audit.dimensions.lines import MarkedLine, Place
from audit.geometry import Box, Point
from audit.records import DimensionKind, End, EndKind

PAST_PT = 45.0  # how far a dimension line runs on past the centre line at most
SQUARE_DEG = 80.0
MIN_HALF_PT = 6.0
AT_CENTRE_PT = 1.5
FACED_PT = 60.0  # 21 mm: of a larger size the arrowheads stand inside
STRENGTH = 0.75
MIN_DASHES = 3  # pieces of a centre line drawn dash by dash
DASH_GAP_PT = 14.0
EDGE_WIDE = 1.5  # times a centre line's width: edges are drawn thick
MIN_EDGE_PT = 12.0


def find_half_dimensions(
    ink: Ink, lines: list[MarkedLine], *, width: float, height: float
) -> list[Candidate]:
    """Candidates with one arrowhead whose line passes a centre line and just ends.

    The other half has room on the page, `width` by `height` pt, or none was left out: an arrowhead
    that was not seen leaves a line with one as well.
    """
    found = []
    page = Box(0.0, 0.0, width, height)
    for index, marked in enumerate(lines):
        for i, place in enumerate(marked.places):
            for mark, way in ((place.forward, 1.0), (place.backward, -1.0)):
                if mark is None or _has_partner(marked, i, way) or _is_faced(marked, i, way):
                    continue
                candidate = _candidate(ink, marked, (index, i), place, way)
                if candidate is not None and page.contains(candidate.ends[1].point):
                    found.append(candidate)
    return found


def _has_partner(marked: MarkedLine, i: int, way: float) -> bool:
    """Whether another mark stands on the same drawn stretch behind the arrowhead."""
    others = marked.places[:i] if way > 0 else marked.places[i + 1 :]
    start = marked.places[i].along
    end = _line_end(marked, start, way)
    return any(min(start, end) - 1.0 <= p.along <= max(start, end) + 1.0 for p in others)


def _is_faced(marked: MarkedLine, i: int, way: float) -> bool:
    """Whether the next mark points back at an arrowhead, from outside of a short size: ``->|5|<-``.

    The line behind such a head is its tail, and leads to a number at most.
    """
    k = i + (1 if way > 0 else -1)
    if not 0 <= k < len(marked.places):
        return False
    one, next_ = marked.places[i], marked.places[k]
    alone = one.even is next_.even is None and None in (one.forward, one.backward)
    back = (next_.backward, next_.forward) if way > 0 else (next_.forward, next_.backward)
    return alone and back[1] is None and back[0] is not None and _are_near(one, next_)


def _are_near(one: Place, other: Place) -> bool:
    return abs(one.along - other.along) < FACED_PT


def _line_end(marked: MarkedLine, start: float, way: float) -> float:
    """Where the ink behind an arrowhead ends, over one gap for a text."""
    reach = 40.0
    end = start
    spans = sorted(marked.spans, reverse=way > 0)
    for a, b in spans:
        near, far = (b, a) if way > 0 else (a, b)
        if way * (near - start) > 1.0 and way * (far - start) > -1.0:
            continue
        if way * (end - near) < reach and way * (end - far) > 0:
            end = far
    return end


def _candidate(
    ink: Ink, marked: MarkedLine, at: tuple[int, int], place: Place, way: float
) -> Candidate | None:
    crossing = find_crossing(ink, marked, place)
    if crossing is None or crossing.turn < SQUARE_DEG or crossing.stroke < 0:
        return None
    end = _line_end(marked, place.along, way)
    middle = _centre_line_before(ink, marked, crossing, end, way)
    if middle is None:
        return None
    here, _ = marked.line.place(crossing.end.point)
    if way * (here - middle) < MIN_HALF_PT:  # before it stands the other side of a narrow part
        return None
    if any(abs(p.along - middle) < AT_CENTRE_PT for p in marked.places):
        return None  # measured to the centre line, from outside
    mirrored = End(
        point=marked.line.at(2 * middle - here),
        kind=EndKind.CENTRE,
        sigma=2 * crossing.end.sigma,
        along=crossing.end.along,
    )
    low, high = sorted((here, end))
    return Candidate(
        kind=DimensionKind.DISTANCE,
        ends=(crossing.end, mirrored),
        line=(crossing.end.point, marked.line.at(end)),
        strength=STRENGTH,
        places=text_places_of(ink, marked, low, high),
        claims=frozenset({("half", *at)}),
        strokes=frozenset(int(i) for i in marked.strokes),
        wants=frozenset({"length", "diameter"}),
        half=True,
    )


def _centre_line_before(
    ink: Ink, marked: MarkedLine, crossing: Crossing, end: float, way: float
) -> float | None:
    """Find the centre line the dimension line passes shortly before it ends."""
    best: float | None = None
    for step in range(0, int(PAST_PT), 8):
        p = marked.line.at(end + way * step)
        for i in ink.near(p, 10.0):
            if i == crossing.stroke or ink.lengths[i] < 1.0 or ink.curved[i]:
                continue
            at = _crosses_at(ink, marked.line, i)
            if at is None:
                continue
            past = way * (at - end)
            if not 1.0 < past < PAST_PT or not is_centre_line(ink, i, marked.line.at(at)):
                continue
            if _extends_an_edge(ink, i):
                continue
            if best is None or past < way * (best - end):
                best = at
    return best


def _crosses_at(ink: Ink, line: Line, i: int) -> float | None:
    ux, uy = (float(v) for v in ink.units[i])
    if line.turned_from(ux, uy) < SQUARE_DEG:
        return None
    cross = line.ux * uy - line.uy * ux
    dx, dy = float(ink.ends[i, 0]) - line.x, float(ink.ends[i, 1]) - line.y
    return (dx * uy - dy * ux) / cross


def _extends_an_edge(ink: Ink, i: int) -> bool:
    """Whether a dashed line goes on as an edge of the part: an extension line, drawn in dashes."""
    which, pieces = ink.on_line(ink.line_of(i))
    order = pieces[:, 0].argsort()
    pieces, which = pieces[order], which[order]
    own = int((which == i).argmax())
    apart = pieces[1:, 0] - np.maximum.accumulate(pieces[:, 1])[:-1] > DASH_GAP_PT
    run = np.concatenate([[0], np.cumsum(apart)])
    edge = (ink.widths[which] > EDGE_WIDE * ink.widths[i]) & ~ink.dashed[which]
    edge &= pieces[:, 1] - pieces[:, 0] > MIN_EDGE_PT
    return bool((edge & (run == run[own])).any())


def is_centre_line(ink: Ink, i: int, p: Point) -> bool:
    """Whether a stroke is dashed, or one of several pieces in line that reach past a point."""
    line = ink.line_of(i)
    along, _ = line.place(p)
    if bool(ink.dashed[i]):
        return -DASH_GAP_PT < along < float(ink.lengths[i]) + DASH_GAP_PT
    which, pieces = ink.on_line(line)
    order = pieces[:, 0].argsort()
    pieces, which = pieces[order], which[order]
    gaps = pieces[1:, 0] - pieces[:-1, 1]
    dashes = int(((gaps > 0.5) & (gaps < DASH_GAP_PT)).sum()) + 1
    reaches = float(pieces[0, 0]) < along < float(pieces[-1, 1])
    lengths = pieces[:, 1] - pieces[:, 0]
    uneven = len(lengths) >= MIN_DASHES and float(lengths.max()) > 2 * float(lengths.min())
    return dashes >= MIN_DASHES and reaches and uneven
