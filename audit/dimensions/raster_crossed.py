"""Dimension lines with no heads at all, which run a little past the lines that they end on.

Who draws so says where a size ends by the crossing alone. The number tells which two crossings it
lies between: it stands in its line, or on it, at the middle between them; or behind both, where the
line of a short size leads to it. Only where the network calls it a dimension line; and where the
sheet ends its lines in arrowheads, only a line that stops exactly at both ends: of some heads a
scan leaves nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from audit.dimensions.candidates import Candidate, TextPlace
from audit.dimensions.crossings import Crossing
from audit.dimensions.ink import Ink, Line, merge_spans
from audit.dimensions.raster_bare import is_bare
from audit.dimensions.raster_inked_runs import lead_through_ink
from audit.dimensions.raster_number_lines import (
    SAME_PT,
    SURE,
    Half,
    crossings_of,
    find_half,
    leaves_doubt,
    led_over_gap,
)
from audit.dimensions.raster_support import share_of_line
from audit.dimensions.terminators import Mark
from audit.dimensions.text_places import line_of_text
from audit.dimensions.texts import SizeText, plain_sizes
from audit.networks.page import PageMaps
from audit.records import DimensionKind

ARROWED, FEW = 0.85, 8  # share and number of arrowheads that show the habit
LEAST_PT = 10.0  # of a size with its number between its ends
MIDDLE, LOOSE = 0.15, 0.3  # of a size, from its middle to its number's; letter heights more
INSIDE_PT = 5.0  # 1.8 mm from an end to an edge just inside it
EXACT_PT = 1.5  # by which a line whose heads are too small to be seen may run past its ends
HEAD_PT = 4.0  # from an end to the tip of an arrowhead that stands there
BEHIND_PT = (3.0, 60.0)  # of one with its number behind: in more than 21 mm a number has room
LED_PT = 40.0  # from such a number to the nearer end
# Share of the line that the network calls a dimension line: a number in it says so too, and so do
# two extension lines; else a number on it may stand on an edge, one behind it at a leader.
CALLED_IN, CALLED_ELSE = 0.3, 0.5
PAST_PT = (0.8, 12.0)  # that an extension line runs past a dimension line
IN, ON, BEHIND = 0.85, 0.7, 0.8  # strength where the number stands in the line, on it, behind it
MARKED = 0.7  # what is left of it where a mark is drawn on the line: that says more


@dataclass(frozen=True, slots=True)
class _Seen:
    """Two crossings that a number lies between, or behind: as far out as each stands on its half.

    `called` is the share of the line that the network must call so, `strength` what it is worth.
    """

    halves: tuple[Half, ...]
    pair: tuple[Crossing, Crossing]
    called: float
    strength: float


def find_crossed(
    ink: Ink,
    marks: Sequence[Mark],
    texts: Sequence[SizeText],
    maps: PageMaps,
    *,
    px_per_pt: float,
) -> list[Candidate]:
    """Candidates for lines between two crossings with a number at their middle, or behind them.

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
    arrowed = _is_arrowed(marks)
    sizes = plain_sizes(texts)
    found = []
    for text in sizes:
        behind = () if arrowed else _behind(ink, text, sizes, marks)
        for seen in (*_between(ink, text, sizes, marks, exact=arrowed), *behind):
            if _share_called(seen, maps, px_per_pt) < seen.called:
                continue
            if arrowed and (_goes_on(seen, maps, px_per_pt) or _has_one_head(seen, marks)):
                continue
            drawn = _have_marks(ink, seen.halves, marks, maps, px_per_pt * maps.factor)
            made = _candidate(seen, strength=seen.strength * (MARKED if drawn else 1.0))
            found.append(replace(made, number=text.line.centre))
            break
    return found


def _goes_on(seen: _Seen, maps: PageMaps, px_per_pt: float) -> bool:
    """Whether the ink of a line goes on where its trace stops, as in hatching."""
    return any(
        span[0] >= half.stop
        for half in seen.halves
        for span in lead_through_ink(half.line, (0.0, half.stop), maps, px_per_pt=px_per_pt)
    )


def _has_one_head(seen: _Seen, marks: Sequence[Mark]) -> bool:
    """Whether a sure arrowhead stands at one end of a line alone: it ends another line there."""
    heads = [m.point for m in marks if m.is_arrow and m.sure >= SURE]
    one, two = (any(h.distance(c.end.point) < HEAD_PT for h in heads) for c in seen.pair)
    return one != two


def _is_arrowed(marks: Sequence[Mark]) -> bool:
    """Whether a sheet ends its lines in arrowheads."""
    sure = [m.is_arrow for m in marks if m.sure >= SURE]
    return len(sure) >= FEW and sum(sure) >= ARROWED * len(sure)


def _between(
    ink: Ink, text: SizeText, sizes: Sequence[SizeText], marks: Sequence[Mark], *, exact: bool
) -> Iterator[_Seen]:
    """Lines that a number stands in, along or across, or on; `exact`: that stop at both ends."""
    for broken, across in ((True, False), (True, True), (False, False)):
        halves = _halves(ink, text, sizes, across=across, broken=broken)
        if halves[0] is None or halves[1] is None:
            continue
        both = (halves[0], halves[1])
        pair = _best_pair(ink, both, text, marks, exact=exact)
        if pair is not None:
            sure = broken or all(map(_is_extension, pair))
            yield _Seen(both, pair, CALLED_IN if sure else CALLED_ELSE, IN if broken else ON)


def _is_extension(crossing: Crossing) -> bool:
    """Whether a line ends just behind the one that it is crossed by, as a rule or edge does not."""
    short, long = sorted((crossing.before, crossing.after))
    return PAST_PT[0] < short < PAST_PT[1] < long


def _overshoots(halves: tuple[Half, Half], pair: tuple[Crossing, Crossing]) -> bool:
    """Whether a line runs past either of its ends."""
    ends = zip(halves, pair, strict=True)
    return any(half.stop - half.line.place(c.end.point)[0] > EXACT_PT for half, c in ends)


def _behind(
    ink: Ink, text: SizeText, sizes: Sequence[SizeText], marks: Sequence[Mark]
) -> Iterator[_Seen]:
    """Lines of short sizes that lead to a number behind both ends."""
    for across in (False, True):
        halves = _halves(ink, text, sizes, across=across, broken=True)
        lone = [half for half in halves if half is not None]
        if len(lone) != 1:
            continue
        half = led_over_gap(ink, lone[0], marks, longest=BEHIND_PT[1])
        ends = crossings_of(ink, half, marks)
        if len(ends) != 2 or any(leaves_doubt(half, at, c) for at, c in ends):
            continue
        (near, one), (far, two) = sorted(ends, key=lambda end: end[0])
        room = (text.line.height if across else text.line.length) / 2
        if near - room < LED_PT and BEHIND_PT[0] < far - near < BEHIND_PT[1]:
            yield _Seen((half,), (one, two), CALLED_ELSE, BEHIND)


def _halves(
    ink: Ink, text: SizeText, sizes: Sequence[SizeText], *, across: bool, broken: bool
) -> tuple[Half | None, Half | None]:
    """Lines from a number to both sides."""
    way = line_of_text(text, across=across)
    back = Line(way.x, way.y, -way.ux, -way.uy)
    one, two = (
        find_half(ink, text, line, sizes, across=across, broken=broken) for line in (way, back)
    )
    return one, two


def _best_pair(
    ink: Ink, halves: tuple[Half, Half], text: SizeText, marks: Sequence[Mark], *, exact: bool
) -> tuple[Crossing, Crossing] | None:
    """Return the two crossings that a number stands between, at their middle.

    Edges just inside the ends lie evenly about it as well: `exact` leaves none but the ends.
    """
    sides = [crossings_of(ink, half, marks) for half in halves]
    fits = []
    for (one, first), (two, second) in product(*sides):
        off = abs(one - two) / 2 - LOOSE * text.line.height
        if one + two > LEAST_PT and off < MIDDLE * (one + two):
            doubts = leaves_doubt(halves[0], one, first) + leaves_doubt(halves[1], two, second)
            fits.append(((doubts, off), (one, two), (first, second)))
    if not fits:
        return None
    _, (one, two), pair = min(fits, key=lambda fit: fit[0])
    if not exact or not _overshoots(halves, pair):
        return pair
    ends = [
        (key, other)
        for key, at, other in fits
        if abs(at[0] - one) < INSIDE_PT and abs(at[1] - two) < INSIDE_PT
        if not _overshoots(halves, other)
    ]
    return min(ends, key=lambda fit: fit[0])[1] if ends else None


def _share_called(seen: _Seen, maps: PageMaps, px_per_pt: float) -> float:
    """Share of a line that the network calls a dimension line, of its halves together."""
    shares = []
    for half, crossing in zip(seen.halves, seen.pair[-len(seen.halves) :], strict=True):
        far = half.line.place(crossing.end.point)[0]
        share = share_of_line(half.line, (0.0, far), maps, px_per_pt=px_per_pt)
        shares += [] if share is None else [share]
    return float(np.mean(shares)) if shares else 0.0


def _have_marks(
    ink: Ink,
    halves: Sequence[Half],
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


def _candidate(seen: _Seen, *, strength: float) -> Candidate:
    one, two = (c.end for c in seen.pair)
    far = one.point.distance(two.point)
    ux, uy = (two.point.x - one.point.x) / far, (two.point.y - one.point.y) / far
    line = Line(one.point.x, one.point.y, ux, uy)
    drawn = [
        (line.place(half.line.at(a))[0], line.place(half.line.at(b))[0])
        for half in seen.halves
        for a, b in half.marked.spans
    ]
    ink = merge_spans(np.sort(np.array(drawn, float).reshape(-1, 2), axis=1), 0.3)
    return Candidate(
        kind=DimensionKind.DISTANCE,
        ends=(one, two),
        line=(one.point, two.point),
        strength=strength,
        places=(TextPlace(line=line, low=0.0, high=far, ink=tuple(ink)),),
        strokes=frozenset(int(i) for half in seen.halves for i in half.marked.strokes),
        wants=frozenset({"length", "diameter"}),
        plain=True,
    )
