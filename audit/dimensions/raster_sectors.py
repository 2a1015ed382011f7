"""Angles of a raster, found from their legs: two lines, a mark on each, and an arc drawn between.

A flat or broken arc is traced as a few straight strokes and never fits a circle. But the lines
under its two ends cross at its centre, both marks are equally far from there, and the ink between
them shows whether such an arc is drawn. Text may interrupt it, or it may be drawn beyond both legs
with its arrowheads pointing at each other.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audit.dimensions.candidates import ArcPlace, Candidate
from audit.dimensions.ink import Floats, Indices, Ink, Line, covered, merge_spans
from audit.geometry import Point
from audit.networks.page import STRIDE, PageMaps, Terminator
from audit.records import Arc, DimensionKind, End, EndKind

ON_LEG_PT = 1.6  # between a terminator and its leg
LEG_GAP_PT = 6.0  # how far short of the mark a leg may end
MIN_LEG_PT = 5.0
MIN_RADIUS_PT, MAX_RADIUS_PT = 9.0, 700.0
EVEN_PT, EVEN_SHARE = 1.6, 0.015  # difference of the marks' distances from the vertex
MIN_BETWEEN_DEG = 4.0
MAX_SWEEP_DEG = 300.0
TO_VERTEX = 3.5  # times its length a leg may be from the vertex
MIN_SCORE = 0.15
MIN_APART_PT = 4.0
TANGENT_DEG = 38.0  # between an arrowhead and the arc; heads are chords of it
HEAD_PT = 9.0  # of the arc at either end thickened by heads, ticks and legs
TAIL_PT = (4.0, 13.0)  # where arrowheads outside have their tails
PROBE_PT = 0.6
SIDES_PT = (-0.7, -0.35, 0.0, 0.35, 0.7)
BESIDE_PT = 2.6  # where no ink may be if it is a thin line
INK = 64  # of 255
MASKED = 128  # of 255: text
DRAWN = 0.75  # share of the arc outside texts that must be inked
CLEAR = 0.45  # share by which its sides must be less so
BROKEN = 0.25  # share of the arc at least that no text hides
HEADS_SHARE = 0.3  # of an arc, that either arrowhead takes at most
FEWEST = 4  # probes
CLEAR_PROBES = 6  # the arc stops this far before a text
EXACT_PT = 0.02
ON_CIRCLE_PT = 2.5
ANGLE_ARC_PT, ANGLE_ARC_SHARE = 2.5, 0.12  # how badly a short arc may have been fitted
LONGEST_CHORD = 0.8  # of its radius, one bit of it
CHORD_PT = 1.0  # how far off an arc the ends of its bits may lie
STRAIGHT_PT, SQUARE_DEG = 20.0, 4.0  # no arc is as straight, or it is a large one
ABOUT_PT = 80.0  # either side of a mark: a line broken for its text goes on within
SURE, FAIR = 0.92, 0.78
MOST_PAIRS = 4000


@dataclass(frozen=True, slots=True, eq=False)
class _Legs:
    """Marks on lines, row by row: mark number, stroke number, place of the mark."""

    mark: Indices
    stroke: Indices
    points: Floats


@dataclass(frozen=True, slots=True)
class _Sector:
    """Two legs as seen from their vertex; the arc runs counter-clockwise from the first."""

    vertex: Point
    radius: float
    start: float
    sweep: float
    first: int
    second: int
    outside: bool
    shown: float


def find_sectors(
    ink: Ink,
    terminators: Sequence[Terminator],
    maps: PageMaps,
    *,
    px_per_pt: float,
) -> list[Candidate]:
    """Candidates for angles, from every two lines that carry a terminator at the same distance.

    Parameters
    ----------
    ink : Ink
    terminators : sequence of Terminator
        In pt.
    maps : PageMaps
        For the ink between them.
    px_per_pt : float
        Px of the raster that was looked at to a pt.
    """
    legs = _legs(ink, terminators, chords_of(ink))
    scale = px_per_pt * maps.factor
    sectors = []
    for a, b, vertex in _pairs(ink, legs):
        for one, two in ((a, b), (b, a)):
            if _is_on_circle(ink, vertex, legs.points[one]):
                continue
            sector = _sector(legs, (one, two), vertex, terminators, maps=maps, scale=scale)
            if sector is not None and not (sector.outside and _is_of_chains(ink, legs, sector)):
                sectors.append(sector)
    sectors.sort(key=lambda s: -s.shown)
    return [_candidate(ink, legs, s) for s in _distinct(sectors, legs)]


def chords_of(ink: Ink) -> frozenset[int]:
    """Strokes that are bits of circles and arcs."""
    order = np.argsort(ink.ends[:, 0])
    e, lengths = ink.ends[order], ink.lengths[order]
    found = np.zeros(len(order), np.bool_)
    for arc in ink.arcs:
        most = LONGEST_CHORD * arc.radius
        reach = arc.radius + CHORD_PT + most**2 / (8 * arc.radius)
        low, high = np.searchsorted(e[:, 0], (arc.centre.x - reach, arc.centre.x + reach))
        part, long = e[low:high], lengths[low:high]
        first, last = (
            np.abs(np.hypot(part[:, k] - arc.centre.x, part[:, k + 1] - arc.centre.y) - arc.radius)
            for k in (0, 2)
        )
        bulge = long**2 / (8 * arc.radius)
        found[low:high] |= (np.maximum(first, last) < CHORD_PT + bulge) & (long < most)
    return frozenset(order[found].tolist())


def _legs(ink: Ink, terminators: Sequence[Terminator], chords: frozenset[int]) -> _Legs:
    marks, strokes, points = [], [], []
    for number, t in enumerate(terminators):
        if t.score < MIN_SCORE:
            continue
        for i in ink.near(t.point, ON_LEG_PT + LEG_GAP_PT):
            if ink.lengths[i] < MIN_LEG_PT or ink.curved[i] or i in chords:
                continue
            line = ink.line_of(i)
            along, aside = line.place(t.point)
            gap = max(-along, along - float(ink.lengths[i]), 0.0)
            if abs(aside) < ON_LEG_PT and gap < LEG_GAP_PT and not _is_shaft(line, t):
                marks.append(number)
                strokes.append(i)
                points.append(line.at(along))
    return _Legs(
        np.array(marks, np.intp), np.array(strokes, np.intp), np.array(points).reshape(-1, 2)
    )


def _is_shaft(line: Line, t: Terminator) -> bool:
    """Whether a line runs along an arrowhead instead of across it."""
    if t.direction is None:
        return False
    turn = math.radians(t.direction)
    return line.turned_from(math.cos(turn), -math.sin(turn)) < 90.0 - 1.5 * TANGENT_DEG


def _pairs(ink: Ink, legs: _Legs) -> list[tuple[int, int, Point]]:
    """Rows whose lines cross at a point equally far from both marks."""
    n = len(legs.mark)
    if n < 2:
        return []
    p, u = legs.points, ink.units[legs.stroke]
    found: list[tuple[float, int, int, Point]] = []
    for a in range(n - 1):
        b = np.arange(a + 1, n)
        d = p[b] - p[a]
        cross = u[a, 0] * u[b, 1] - u[a, 1] * u[b, 0]
        ok = (np.abs(cross) > math.sin(math.radians(MIN_BETWEEN_DEG))) & (
            legs.mark[b] != legs.mark[a]
        )
        ok &= np.hypot(d[:, 0], d[:, 1]) > MIN_APART_PT
        b, d, cross = b[ok], d[ok], cross[ok]
        ra = (d[:, 0] * u[b, 1] - d[:, 1] * u[b, 0]) / cross
        rb = (d[:, 0] * u[a, 1] - d[:, 1] * u[a, 0]) / cross
        radius = (np.abs(ra) + np.abs(rb)) / 2
        uneven = np.abs(np.abs(ra) - np.abs(rb))
        ok = (uneven < EVEN_PT + EVEN_SHARE * radius) & (radius > MIN_RADIUS_PT)
        ok &= radius < MAX_RADIUS_PT
        ok &= np.abs(ra) < TO_VERTEX * ink.lengths[legs.stroke[a]] + 2 * LEG_GAP_PT
        ok &= np.abs(rb) < TO_VERTEX * ink.lengths[legs.stroke[b]] + 2 * LEG_GAP_PT
        for k in np.flatnonzero(ok):
            vertex = Point(float(p[a, 0] + ra[k] * u[a, 0]), float(p[a, 1] + ra[k] * u[a, 1]))
            found.append((float(uneven[k]), a, int(b[k]), vertex))
    found.sort(key=lambda row: row[0])
    return [(a, b, vertex) for _, a, b, vertex in found[:MOST_PAIRS]]


def _sector(
    legs: _Legs,
    rows: tuple[int, int],
    vertex: Point,
    terminators: Sequence[Terminator],
    *,
    maps: PageMaps,
    scale: float,
) -> _Sector | None:
    """Check the arc that runs counter-clockwise from one leg to the other."""
    first, second = (Point(*map(float, legs.points[k])) for k in rows)
    start, stop = _turn(vertex, first), _turn(vertex, second)
    sweep = (stop - start) % 360.0
    radius = (vertex.distance(first) + vertex.distance(second)) / 2
    if not MIN_BETWEEN_DEG < sweep < MAX_SWEEP_DEG:
        return None
    ways = [
        _way(terminators[int(legs.mark[k])], turn)
        for k, turn in zip(rows, (start, stop), strict=True)
    ]
    if any(w is None for w in ways):
        return None
    # the bodies of inside arrowheads lie towards each other: +1 at the first leg, -1 at the second
    inside = ways[0] != -1 and ways[1] != 1
    outside = ways[0] != 1 and ways[1] != -1 and any(ways)
    if not inside and not outside:
        return None
    tail = [math.degrees(v / radius) for v in TAIL_PT]
    spans = [(0.0, sweep)] if inside else [(-tail[1], -tail[0]), (sweep + tail[0], sweep + tail[1])]
    heads = min(math.degrees(HEAD_PT / radius), HEADS_SHARE * sweep) if inside else 0.0
    arc = ProbedArc(vertex, radius, [(start + a, start + b) for a, b in spans], heads)
    shown = share_drawn(maps, arc, scale=scale)
    if shown is None:
        return None
    return _Sector(vertex, radius, start, sweep, *rows, not inside, shown)


def _is_of_chains(ink: Ink, legs: _Legs, sector: _Sector) -> bool:
    """Whether a straight line runs on from a mark: a dimension line at a corner, and no arc.

    Of an arc between arrowheads outside nothing but its tails tells: either must be one.
    """
    return any(
        _runs_straight(ink, Point(*map(float, legs.points[k])), sector.vertex)
        for k in (sector.first, sector.second)
    )


def _runs_straight(ink: Ink, mark: Point, vertex: Point) -> bool:
    """Whether a long line runs through a mark square to its leg; it may be broken for its text."""
    far = mark.distance(vertex)
    ux, uy = (mark.x - vertex.x) / far, (mark.y - vertex.y) / far
    for i in ink.near(mark, ON_LEG_PT):
        line = ink.line_of(i)
        along, aside = line.place(mark)
        here = abs(aside) < ON_LEG_PT and -ON_LEG_PT < along < ink.lengths[i] + ON_LEG_PT
        if here and line.turned_from(uy, -ux) < SQUARE_DEG and _is_long(ink, line, along):
            return True
    return False


def _is_long(ink: Ink, line: Line, at: float) -> bool:
    """Whether more of a line is drawn about a place than of any arc's tail."""
    _, pieces = ink.on_line(line)
    return covered(merge_spans(pieces, 0.3), at - ABOUT_PT, at + ABOUT_PT) > STRAIGHT_PT


def _is_on_circle(ink: Ink, vertex: Point, mark: Floats) -> bool:
    """Whether the arc would be part of a full circle: a hole with its centre lines, no angle."""
    radius = vertex.distance(Point(*map(float, mark)))
    return any(
        arc.is_circle
        and arc.centre.distance(vertex) < ON_CIRCLE_PT
        and abs(arc.radius - radius) < ON_CIRCLE_PT
        for arc in ink.arcs
    )


def _turn(vertex: Point, p: Point) -> float:
    return math.degrees(math.atan2(vertex.y - p.y, p.x - vertex.x)) % 360.0


def _way(t: Terminator, turn: float) -> int | None:
    """Say which way round an arrowhead's body lies: +1 counter-clockwise; `None`: neither."""
    if t.direction is None:
        return 0
    off = (t.direction - turn - 90.0 + 180.0) % 360.0 - 180.0  # from the tangent
    if abs(off) < TANGENT_DEG:
        return 1
    return -1 if abs(off) > 180.0 - TANGENT_DEG else None


@dataclass(frozen=True, slots=True, eq=False)
class ProbedArc:
    """A circle's spans, degrees; `heads` is how much of either end arrowheads may thicken."""

    centre: Point
    radius: float
    spans: Sequence[tuple[float, float]]
    heads: float


def share_drawn(maps: PageMaps, arc: ProbedArc, *, scale: float) -> float | None:
    """Share of an arc that is drawn as a thin line, where no text hides it; `None`: it is not."""
    step = max(math.degrees(PROBE_PT / arc.radius), 0.05)
    degrees = [np.arange(a, b, step) for a, b in arc.spans]
    turns = np.radians(np.concatenate(degrees))
    if len(turns) < FEWEST:
        return None
    slim = np.concatenate(
        [
            (d > a + arc.heads) & (d < b - arc.heads)
            for d, (a, b) in zip(degrees, arc.spans, strict=True)
        ]
    )
    ways = np.cos(turns), np.sin(turns)
    centre, radius = arc.centre, arc.radius
    masked = values_along(maps.text, centre, radius, ways, scale / STRIDE) >= MASKED
    if float(masked.mean()) > 1.0 - BROKEN:
        return None
    across = radius + np.array(SIDES_PT)[:, None]
    on = np.asarray((values_along(maps.dark, centre, across, ways, scale) > INK).any(axis=0))
    # where a text stands in the arc's line the arc stops before it does
    seen = [free for free in (~masked, _clear_of(masked)) if int(free.sum()) >= FEWEST]
    share = max((float(on[free].mean()) for free in seen), default=0.0)
    if share <= DRAWN:
        return None
    either = radius + np.array([-BESIDE_PT, BESIDE_PT])[:, None]
    beside = (values_along(maps.dark, centre, either, ways, scale) > INK).mean(axis=0)
    slim = slim & ~masked if (slim & ~masked).any() else ~masked
    thin = float(beside[slim].mean()) < share - CLEAR
    return share if thin else None


def _clear_of(masked: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Places that are not near a masked one."""
    near = np.convolve(masked, np.ones(2 * CLEAR_PROBES + 1)) > 0
    return np.asarray(~near[CLEAR_PROBES : CLEAR_PROBES + len(masked)])


def values_along(
    image: NDArray[np.uint8],
    vertex: Point,
    radius: float | Floats,
    ways: tuple[Floats, Floats],
    scale: float,
) -> NDArray[np.uint8]:
    """Look up the values of an image along arcs about one vertex.

    Parameters
    ----------
    image : (h, w) uint8 array
    vertex : Point
        In pt.
    radius : float or (n, 1) array
        In pt: of one arc or of n.
    ways : pair of (turns,) arrays
        Cosines and sines of the turns.
    scale : float
        Px of the image to a pt.

    Returns
    -------
    (turns,) or (n, turns) uint8 array
        0 beyond the image.
    """
    column = np.floor((vertex.x + radius * ways[0]) * scale).astype(int)
    row = np.floor((vertex.y - radius * ways[1]) * scale).astype(int)
    h, w = image.shape
    ok = (column >= 0) & (row >= 0) & (column < w) & (row < h)
    if ok.all():
        return np.asarray(image[row, column], np.uint8)
    return np.where(ok, image[np.clip(row, 0, h - 1), np.clip(column, 0, w - 1)], 0).astype(
        np.uint8
    )


def _distinct(sectors: Sequence[_Sector], legs: _Legs) -> list[_Sector]:
    """One of those between the same two marks, the one best drawn."""
    kept: dict[tuple[int, int], _Sector] = {}
    for s in sectors:
        key = (int(legs.mark[s.first]), int(legs.mark[s.second]))
        kept.setdefault((min(key), max(key)), s)
    return list(kept.values())


def _candidate(ink: Ink, legs: _Legs, s: _Sector) -> Candidate:
    ends = tuple(
        End(
            point=Point(*map(float, legs.points[k])),
            kind=EndKind.EXTENSION,
            sigma=EXACT_PT,
            line_width=float(ink.widths[legs.stroke[k]]),
        )
        for k in (s.first, s.second)
    )
    vertex = End(point=s.vertex, kind=EndKind.EXACT, sigma=EXACT_PT)
    marks = sorted(int(legs.mark[k]) for k in (s.first, s.second))
    return Candidate(
        kind=DimensionKind.ANGLE,
        ends=(vertex, *ends),
        line=(ends[0].point, ends[1].point),
        strength=FAIR if s.outside else SURE,
        arcs=(ArcPlace(centre=s.vertex, radius=s.radius, start=s.start, sweep=s.sweep),),
        claims=frozenset({("sector", *marks)}),
        wants=frozenset({"angle"}),
    )


def without_angle_arcs(arcs: Sequence[Arc], sectors: Sequence[Candidate]) -> tuple[Arc, ...]:
    """Leave out the arcs that show angles: no leader points at those."""
    places = [a for s in sectors if s.strength >= FAIR for a in s.arcs]
    return tuple(
        arc
        for arc in arcs
        if not any(
            p.centre.distance(arc.centre) < max(ANGLE_ARC_PT, ANGLE_ARC_SHARE * p.radius)
            and abs(p.radius - arc.radius) < max(ANGLE_ARC_PT, ANGLE_ARC_SHARE * p.radius)
            for p in places
        )
    )


def merge_sectors(found: Sequence[Candidate], others: Sequence[Candidate]) -> list[Candidate]:
    """Put the angles of two searches together, leaving out what the first has already."""
    return [
        *found,
        *(
            c
            for c in others
            if c.kind is not DimensionKind.ANGLE or not any(_is_same(c, f) for f in found)
        ),
    ]


def _is_same(one: Candidate, other: Candidate) -> bool:
    """Whether two angles have their legs at the same places."""
    a, b = one.line, other.line
    reach = 6.0
    return any(
        a[0].distance(x) < reach and a[-1].distance(y) < reach
        for x, y in ((b[0], b[-1]), (b[-1], b[0]))
    )
