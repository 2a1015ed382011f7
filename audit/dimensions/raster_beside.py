"""Sizes written beside an edge of an outline, without any dimension line, as old plans have them.

A size close to an edge, at about its middle, tells how long the edge is when both its ends are
square corners, it stands outside of them, and nothing nearer can be meant. Edges that end aslant
are left alone: on a view seen from a corner no edge is as long as it is drawn. Where an arrowhead
points at a line that goes on from an edge, no corner is: that is its extension line. What the
number says plays no part.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from audit.dimensions.candidates import Candidate, TextPlace
from audit.dimensions.ink import Ink, Line, merge_spans
from audit.dimensions.raster_bent_edges import BentEdge, follow_edge
from audit.dimensions.terminators import Mark
from audit.dimensions.texts import SizeText, TextForm
from audit.geometry import Point
from audit.records import DimensionKind, End, EndKind

NEAR = 1.2  # text heights between a text and its edge
TOUCHING = 0.15  # text heights that it may seem to reach over an edge that it touches
LETTERS = 1.5  # of the text along it: so long is no stroke of its letters
OTHER_SIDE = 2.5  # text heights: an edge so near on the other side makes it a table's field
MIDDLE, MIDDLE_HEIGHTS = 0.1, 0.4  # of the edge, and heights: how far off its middle a text stands
MIN_EDGE_PT = 8.0
SHORTEST = 0.6  # of the text along it: an edge that is shorter still is not meant
SQUARE_DEG = 82.0  # corners drawn by hand are a little off
CORNER_PT = 3.2  # how far from an edge's end its neighbour may stop: two-level scans eat ends
LEAST_NEIGHBOUR_PT = 5.0
GAP_PT = 1.6  # within one edge
PROBE_PT = 6.0
LONGER = 0.05  # of how much longer it is, a stretch's middle may be further off
SAME_PT = 1.2
EXACT_PT = 0.05
STRENGTH = 0.35
PARTED = re.compile(r"[/.,⁄'\"½¼¾⅛⅜⅝⅞]")
HEAD_PT = 2.0  # between where an arrowhead points and where its line meets another
HEAD = 0.5  # how sure of an arrowhead is to be that its line is no edge
HABIT = 2  # such sizes that show a whole number beside an edge to be a size, and no part's number


@dataclass(frozen=True, slots=True)
class _Edge:
    """An edge between two square corners: places along its line, and how wide it is drawn."""

    line: Line
    low: float
    high: float
    strokes: frozenset[int]
    width: float


@dataclass(frozen=True, slots=True)
class Corner:
    """Where strokes meet a line squarely: place along it, and how far they reach to either side.

    `right` is the side that is to the right when looking along the line.
    """

    at: float
    right: float
    left: float


def find_beside(ink: Ink, texts: Sequence[SizeText], marks: Sequence[Mark] = ()) -> list[Candidate]:
    """Candidates for edges that a size is written beside.

    Parameters
    ----------
    ink : Ink
        Of the traced raster, in pt.
    texts : sequence of SizeText
        In pt.
    marks : sequence of Mark
        In pt; lines that bear an arrowhead are no edges.

    Returns
    -------
    list of Candidate
        Weaker than any with a dimension line, which a text goes to first.
    """
    heads = [m for m in marks if m.is_arrow and m.sure >= HEAD]
    found = [
        (number, edge)
        for number, text in enumerate(texts)
        if text.form is TextForm.LENGTH and text.plain
        for edge in _edges_at(ink, text, heads)
    ]
    parted = {n for n, _ in found if PARTED.search(texts[n].line.text)}
    return [
        replace(_candidate(edge, number), number=texts[number].line.centre)
        for number, edge in found
        if number in parted or len(parted) >= HABIT
    ]


def _edges_at(ink: Ink, text: SizeText, heads: Sequence[Mark]) -> list[_Edge]:
    """Edges that a text stands beside; none where there are some on both its sides."""
    t = text.line
    turn = math.radians(t.angle)
    along, across = (math.cos(turn), -math.sin(turn)), (math.sin(turn), math.cos(turn))
    found = []
    for (ux, uy), half, reach in (
        (along, t.height / 2, t.length / 2),
        (across, t.length / 2, t.height / 2),
    ):
        sides = []
        for sign in (1.0, -1.0):
            away = (-sign * uy, sign * ux)
            face = Point(t.centre.x + half * away[0], t.centre.y + half * away[1])
            sides.append(_nearest(ink, face, away, (ux, uy), (t.height, 2 * reach)))
        near = [s for s in sides if s is not None and s[0] < NEAR * t.height]
        if len(near) != 1 or all(s is not None for s in sides):
            continue
        edge = _edge(ink, near[0][1], heads, t.centre, (reach, t.height))
        if edge is not None:
            found.append(edge)
    return found


def _overlap(length: float, size: tuple[float, float]) -> float:
    """Return how far a text may reach over a stroke, pt; strokes of its letters are shorter."""
    height, long = size
    return TOUCHING * height if length > LETTERS * max(height, long) else 0.5


def _nearest(
    ink: Ink,
    face: Point,
    away: tuple[float, float],
    along: tuple[float, float],
    size: tuple[float, float],
) -> tuple[float, int] | None:
    """Nearest stroke along a text's side that passes before its middle, and how far off it is.

    `size` is the text's height and how long it is along that side.
    """
    far = OTHER_SIDE * size[0]
    best: tuple[float, int] | None = None
    steps = max(2, math.ceil(far / PROBE_PT) + 1)
    seen: set[int] = set()
    for k in range(steps):
        at = far * k / (steps - 1)
        seen.update(ink.near((face.x + at * away[0], face.y + at * away[1]), PROBE_PT))
    for i in seen:
        if ink.curved[i] or ink.lengths[i] < MIN_EDGE_PT / 2:
            continue
        line = ink.line_of(i)
        if line.turned_from(*along) > 90.0 - SQUARE_DEG:
            continue
        place, _ = line.place(face)
        if not -0.5 < place < float(ink.lengths[i]) + 0.5:
            continue
        foot = line.at(place)
        off = (foot.x - face.x) * away[0] + (foot.y - face.y) * away[1]
        if not -_overlap(float(ink.lengths[i]), size) < off < far:
            continue
        if best is None or off < best[0]:
            best = (off, i)
    return best


def _drawn(ink: Ink, stroke: int, centre: Point) -> BentEdge | None:
    """Find the edge that a stroke is part of, where a text stands beside it."""
    if ink.waver > 0:
        return follow_edge(ink, stroke)
    line = ink.line_of(stroke)
    strokes, pieces = ink.on_line(line)
    middle, _ = line.place(centre)
    spans = merge_spans(pieces, GAP_PT) if len(strokes) else []
    span = next(((a, b) for a, b in spans if a - 0.5 < middle < b + 0.5), None)
    if span is None:
        return None
    own = frozenset(
        int(i)
        for i, (a, b) in zip(strokes, pieces, strict=True)
        if a < span[1] + GAP_PT and b > span[0] - GAP_PT
    )
    return BentEdge(line, *span, own)


def _edge(
    ink: Ink, stroke: int, heads: Sequence[Mark], centre: Point, size: tuple[float, float]
) -> _Edge | None:
    """Find the longest stretch between two square corners whose middle a text stands at.

    `size` is how far the text reaches along it from its middle, and its height.
    """
    reach, height = size
    drawn = _drawn(ink, stroke, centre)
    if drawn is None or drawn.high - drawn.low < max(MIN_EDGE_PT, SHORTEST * 2 * reach):
        return None
    line, own = drawn.line, drawn.strokes
    middle, aside = line.place(centre)
    corners = merge_corners(
        c
        for c in _corners(ink, line, (drawn.low, drawn.high), own)
        if not any(_ends_at(line, c, head) for head in heads)
    )
    best: tuple[float, float, float] | None = None
    for one, two in combinations(corners, 2):
        low, high = one.at, two.at
        long, off = high - low, abs((low + high) / 2 - middle)
        if long < max(MIN_EDGE_PT, SHORTEST * 2 * reach) or not low < middle < high:
            continue
        if not _is_outside(one, two, aside):
            continue
        cost = off - LONGER * long
        if off <= MIDDLE * long + MIDDLE_HEIGHTS * height and (best is None or cost < best[0]):
            best = (cost, low, high)
    if best is None:
        return None
    return _Edge(line, best[1], best[2], own, float(max(ink.widths[i] for i in own)))


def _ends_at(line: Line, corner: Corner, head: Mark) -> bool:
    """Whether what meets a line at a corner is a dimension line whose arrowhead points at it."""
    at, aside = line.place(head.point)
    to_right = line.ux * head.uy - line.uy * head.ux
    beyond, behind = (corner.right, corner.left)[:: 1 if to_right > 0 else -1]
    near = abs(at - corner.at) < HEAD_PT and abs(aside) < HEAD_PT
    square = abs(to_right) > math.sin(math.radians(SQUARE_DEG))
    return near and square and beyond < LEAST_NEIGHBOUR_PT < behind


def _is_outside(one: Corner, two: Corner, aside: float) -> bool:
    """Whether a text stands outside: in a table's field the rules of its rows enclose it."""
    out, into = ("right", "left") if aside > 0 else ("left", "right")
    enclosed = min(getattr(one, out), getattr(two, out)) > abs(aside)
    return not enclosed and max(getattr(one, into), getattr(two, into)) > LEAST_NEIGHBOUR_PT


def _corners(ink: Ink, line: Line, span: tuple[float, float], own: frozenset[int]) -> list[Corner]:
    """Places along a stretch of a line where other strokes meet it squarely, one a stroke."""
    which = ink.straight[ink.lengths[ink.straight] > LEAST_NEIGHBOUR_PT]
    units = ink.units[which]
    cross = line.ux * units[:, 1] - line.uy * units[:, 0]
    square = np.abs(cross) > math.sin(math.radians(SQUARE_DEG))
    which, units, cross = which[square], units[square], cross[square]
    d = ink.ends[which, :2] - np.array([line.x, line.y])
    at = (d[:, 0] * units[:, 1] - d[:, 1] * units[:, 0]) / cross
    own_way = (d[:, 0] * line.uy - d[:, 1] * line.ux) / cross  # along the other, from its start
    past = np.maximum(np.maximum(-own_way, own_way - ink.lengths[which]), 0.0)
    room = 2 * CORNER_PT
    near = (past < CORNER_PT) & (at > span[0] - room) & (at < span[1] + room)
    near &= ~np.isin(which, np.fromiter(own, np.intp, len(own)))
    e = ink.ends[which[near]]
    asides = line.ux * (e[:, 1::2] - line.y) - line.uy * (e[:, ::2] - line.x)
    return [
        Corner(float(a), float(side.max()), float(-side.min()))
        for a, side in zip(at[near], asides, strict=True)
    ]


def merge_corners(corners: Iterable[Corner]) -> list[Corner]:
    """Take corners of a line that lie within a stroke or two for one, in order along it.

    Examples
    --------
    >>> [c.at for c in merge_corners([Corner(20.0, 5, 0), Corner(0.0, 5, 0), Corner(0.5, 0, 9)])]
    [0.25, 20.0]
    >>> merge_corners([])
    []
    """
    groups: list[list[Corner]] = []
    for corner in sorted(corners, key=lambda c: c.at):
        if groups and corner.at - groups[-1][-1].at < SAME_PT:
            groups[-1].append(corner)
        else:
            groups.append([corner])
    return [
        Corner(sum(c.at for c in g) / len(g), max(c.right for c in g), max(c.left for c in g))
        for g in groups
    ]


def _candidate(edge: _Edge, number: int) -> Candidate:
    ends = [
        End(
            point=edge.line.at(at),
            kind=EndKind.OUTLINE,
            sigma=EXACT_PT,
            line_width=edge.width,
            along=math.degrees(math.atan2(-edge.line.uy, edge.line.ux)) % 180.0,
        )
        for at in (edge.low, edge.high)
    ]
    place = TextPlace(line=edge.line, low=edge.low, high=edge.high, ink=((edge.low, edge.high),))
    return Candidate(
        kind=DimensionKind.DISTANCE,
        ends=(ends[0], ends[1]),
        line=(ends[0].point, ends[1].point),
        strength=STRENGTH,
        places=(place,),
        claims=frozenset({("beside", number)}),
        strict=True,
        plain=True,
        wants=frozenset({"length"}),
    )
