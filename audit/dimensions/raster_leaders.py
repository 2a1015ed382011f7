"""Leaders to circles and arcs of a raster, found from the circle instead of from an arrowhead.

A line that runs to or from a circle's centre and carries a terminator, or simply ends, on the rim
is a leader: the network's arrowhead need not point exactly, nor be an arrowhead. Which of several
circles is meant, terminators on the rim say; radius or diameter, the text's sign, and where there
is none to be read, whether the line begins at the centre or ends on both sides of the rim.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from audit.dimensions.assignment import Match
from audit.dimensions.candidates import Candidate, TextPlace
from audit.dimensions.crossings import on_arc
from audit.dimensions.ink import Floats, Indices, Ink, Line, merge_spans
from audit.dimensions.leaders import Leader, follow, tail_places
from audit.dimensions.linear import opposite_ends
from audit.dimensions.raster_marks import find_slashes
from audit.dimensions.texts import SizeText, TextForm
from audit.geometry import Point
from audit.networks.page import Terminator
from audit.records import Arc, DimensionKind, End, EndKind

MIN_RADIUS_PT = 1.5
MIN_STROKE_PT = 3.5
THROUGH_PT, THROUGH_SHARE = 0.8, 0.03  # how far a line across a circle may pass beside its centre
MOST_THROUGH_PT = 2.0
ENDING_PT, ENDING_SINE = 1.2, 0.14  # the same of a line that ends at the rim; 8 degrees
AT_RIM_PT = 2.8  # between a terminator and where the line meets the circle
MARK_SIZE_PT = 12.0  # a line may stop this far short of the rim when a terminator fills the gap
BARE_GAP_PT = 2.0  # and this far when nothing does
BEYOND_PT = 4.0  # inside a rim: an arrowhead there points at something else
SURE_HEAD, SURER = 0.5, 1.4  # score of one, and how much surer it is than what is at the rim
AS_STRONG = 0.02  # between two leaders over one line: the one further in is meant
GAP_PT = 2.4  # within one line
MIN_REACH_PT = 4.0  # of a line on one side of the rim
AT_CENTRE_PT = 1.8
ALONG_DEG = 35.0  # between a terminator's direction and the line it belongs to
LEAST_FROM_CENTRE_PT = 3 * AT_CENTRE_PT  # radius: what begins at a smaller hole's centre is no line
RING_PT = 4.6  # radius: rings that end dimension lines are smaller, holes seldom
AT_RING_PT = 1.2
SQUARE_SINE = 0.035  # of 2 degrees: centre lines run square to the sheet
BARE_STRENGTH = 0.7
LEAST_STRENGTH, STRENGTH_GAIN = 0.76, 0.22  # by the sum of the terminators' scores
SAME_CIRCLE_PT = 1.2
SAME_TIP_PT = 5.0
HALF_TURN = 180.0
HALF_DEG = 200.0  # arcs that show less of their circle show no diameter


@dataclass(frozen=True, slots=True)
class _Rim:
    """Where a line meets a circle: `way` is +1 where going on along the line leads out of it.

    `out` and `into` are how far the line is drawn on either side of the rim; `evidence` is the
    score of a terminator there, 0 for none.
    """

    along: float
    way: int
    out: float
    into: float
    gap: float
    evidence: float


def find_leaders(
    ink: Ink, arcs: Sequence[Arc], terminators: Sequence[Terminator]
) -> list[Candidate]:
    """Candidates for radii and diameters, from every circle and the lines through its centre.

    Parameters
    ----------
    ink : Ink
        Of the traced raster, in pt.
    arcs : sequence of Arc
        Those that a leader may point at.
    terminators : sequence of Terminator
        All the network's, the weak ones too, in pt.
    """
    rounds = _without_rings(arcs, terminators)
    points = np.array([t.point for t in terminators], float).reshape(-1, 2)
    slashes = find_slashes(ink, terminators)
    found: list[tuple[Candidate, bool]] = []
    for arc in rounds:
        for line in _lines_to(ink, arc, slashes):
            found += _on_line(ink, arc, line, (terminators, points))
    return _best_of_concentric(found)


def _best_of_concentric(found: Sequence[tuple[Candidate, bool]]) -> list[Candidate]:
    """Of the circles about one centre that one line meets, the one with the surest terminators.

    Where a line goes right across and stops at one's rim, that one: it would not cross the rim
    that it measures to. Of two as sure, the inner one: a line that leads to the outer one ends
    there.
    """
    kept: list[Candidate] = []
    order = [(not stops, -round(c.strength / AS_STRONG), _radius(c)) for c, stops in found]
    for k in sorted(range(len(found)), key=lambda k: order[k]):
        c = found[k][0]
        centre = c.radius_ends[0].point
        if not any(
            k.radius_ends[0].point.distance(centre) < SAME_CIRCLE_PT
            and not k.strokes.isdisjoint(c.strokes)
            for k in kept
        ):
            kept.append(c)
    return kept


def _radius(leader: Candidate) -> float:
    centre, rim = (e.point for e in leader.radius_ends)
    return centre.distance(rim)


def merge_leaders(found: Sequence[Candidate], others: Sequence[Candidate]) -> list[Candidate]:
    """Put leaders of two searches together; where both have one, its text may be at either's.

    The second search takes every terminator for as good as any: of the circles about one centre
    that a line meets, it may have one where the first saw only a weak sign.
    """
    merged = list(found)
    shown = [c for c in found if not c.strict]
    for other in others:
        if any(_is_beside(other, c) for c in shown):
            continue
        if not other.radius_ends:
            merged.append(other)
            continue
        for k, one in enumerate(merged):
            if one.radius_ends and _is_same(one, other):
                stronger = (
                    one
                    if one.strength >= other.strength
                    else replace(other, claims=one.claims | other.claims)
                )
                merged[k] = replace(
                    stronger,
                    kind=one.kind,  # seen from where the line begins and ends
                    places=one.places + other.places,
                    strict=one.strict and other.strict,
                )
                break
        else:
            merged.append(other)
    return [_wanting(c) for c in merged]


def without_crossed_rims(
    candidates: Sequence[Candidate], terminators: Sequence[Terminator]
) -> list[Candidate]:
    """Leave out leaders to circles that their line only crosses, whichever search found them."""
    points = np.array([t.point for t in terminators], float).reshape(-1, 2)
    return [
        c
        for c in candidates
        if not (c.leader and c.radius_ends and _only_crosses(c, (terminators, points)))
    ]


def without_bends_at_holes(candidates: Sequence[Candidate]) -> list[Candidate]:
    """Leave out leaders to short arcs whose arrowhead stands at a whole circle.

    Where an arrowhead runs into a small hole, a side of it and a part of the rim are traced as an
    arc of their own.
    """
    whole = [c for c in candidates if c.leader and c.radius_ends and (c.sweep or 0.0) > HALF_DEG]
    return [c for c in candidates if not any(_is_bend(c, other) for other in whole)]


def _is_bend(one: Candidate, hole: Candidate) -> bool:
    if not (one.leader and one.radius_ends) or (one.sweep or 0.0) > HALF_TURN or hole.strict:
        return False
    return _tip(one).distance(_tip(hole)) < AT_RIM_PT and _off_rim(hole) < _off_rim(one)


def _off_rim(leader: Candidate) -> float:
    return abs(leader.radius_ends[0].point.distance(_tip(leader)) - _radius(leader))


def _only_crosses(leader: Candidate, terminators: tuple[Sequence[Terminator], Floats]) -> bool:
    tip, centre = _tip(leader), leader.radius_ends[0].point
    radius, far = centre.distance(leader.radius_ends[1].point), centre.distance(tip)
    if far < BEYOND_PT:
        return False
    inward = Line(tip.x, tip.y, (centre.x - tip.x) / far, (centre.y - tip.y) / far)
    evidence = _evidence(inward, tip, terminators)
    rim = _Rim(along=0.0, way=-1, out=0.0, into=radius, gap=0.0, evidence=evidence)
    return _leads_on(rim, radius, inward, terminators)


def without_half_diameters(candidates: Sequence[Candidate], arcs: Sequence[Arc]) -> list[Candidate]:
    """Leave out lengths from a circle's centre to its rim: halves of a diameter across it."""
    circles = [arc for arc in arcs if arc.sweep > HALF_TURN]
    return [
        c
        for c in candidates
        if c.kind is not DimensionKind.DISTANCE
        or not any(_is_half(c.ends[0].point, c.ends[-1].point, arc) for arc in circles)
    ]


def _is_half(a: Point, b: Point, arc: Arc) -> bool:
    near, far = sorted((a.distance(arc.centre), b.distance(arc.centre)))
    return near < AT_CENTRE_PT and abs(far - arc.radius) < AT_CENTRE_PT


def without_repeats(
    matches: Sequence[Match], candidates: Sequence[Candidate], texts: Sequence[SizeText]
) -> list[Match]:
    """Of several leaders to one circle keep those whose text says R or Ø, or the cheapest one.

    What is left of an arrowhead or of a line may be taken for a text, and finds a leader too.
    """
    kept: list[Match] = []
    for match in sorted(matches, key=lambda m: (not _is_signed(m, texts), m.cost)):
        one = candidates[match.candidate]
        repeats = one.radius_ends and not _is_signed(match, texts)
        if not repeats or not any(_is_same_circle(one, candidates[k.candidate]) for k in kept):
            kept.append(match)
    return kept


def _is_signed(match: Match, texts: Sequence[SizeText]) -> bool:
    return match.text >= 0 and texts[match.text].form in (TextForm.RADIUS, TextForm.DIAMETER)


def _is_same_circle(one: Candidate, other: Candidate) -> bool:
    if not other.radius_ends:
        return False
    a, b = one.radius_ends, other.radius_ends
    return (
        a[0].point.distance(b[0].point) < SAME_CIRCLE_PT
        and abs(a[0].point.distance(a[1].point) - b[0].point.distance(b[1].point)) < SAME_CIRCLE_PT
    )


def _wanting(candidate: Candidate) -> Candidate:
    """Let a leader at a short arc ask for a radius: a diameter is printed at whole circles."""
    if not candidate.radius_ends or (candidate.sweep or 0.0) > HALF_DEG:
        return candidate
    return replace(candidate, wants=frozenset({"radius"}))


def _is_same(one: Candidate, other: Candidate) -> bool:
    """Whether two leaders run over one line to one circle."""
    return _is_same_circle(one, other) and (
        not one.strokes.isdisjoint(other.strokes) or _tip(one).distance(_tip(other)) < SAME_TIP_PT
    )


def _is_beside(one: Candidate, other: Candidate) -> bool:
    """Whether two leaders run over one line to different circles about one centre."""
    if not one.radius_ends or _is_same_circle(one, other):
        return False
    concentric = one.radius_ends[0].point.distance(other.radius_ends[0].point) < SAME_CIRCLE_PT
    shared = one.strokes & other.strokes or one.claims & other.claims
    return concentric and bool(shared)


def _tip(leader: Candidate) -> Point:
    return leader.line[0]


def _without_rings(arcs: Sequence[Arc], terminators: Sequence[Terminator]) -> list[Arc]:
    """Leave out the rings and dots that end dimension lines."""
    return [
        arc
        for arc in arcs
        if arc.radius > RING_PT or (arc.radius > MIN_RADIUS_PT and not _is_ring(arc, terminators))
    ]


def _is_ring(arc: Arc, terminators: Sequence[Terminator]) -> bool:
    """Whether a small circle is a mark itself, not a hole with a mark at its rim.

    Centre lines crossing in a hole look a little like a dot.
    """
    far = [(t, t.point.distance(arc.centre)) for t in terminators]
    inside = max((t.score for t, d in far if t.direction is None and d < AT_RING_PT), default=0.0)
    at_rim = max(
        (t.score for t, d in far if d >= AT_RING_PT and abs(d - arc.radius) < AT_RING_PT),
        default=0.0,
    )
    return inside >= SURE_HEAD or inside > SURER * at_rim


def _lines_to(ink: Ink, arc: Arc, slashes: Indices) -> list[Line]:
    """Lines of strokes that run to or through a circle's centre, each once."""
    which = ink.straight[ink.lengths[ink.straight] > MIN_STROKE_PT]
    # a tick on the rim slants to its leader: what runs to the centre there is the leader itself
    off = np.hypot(*(ink.middles[which] - np.array(arc.centre)).T)
    which = which[~np.isin(which, slashes) | (np.abs(off - arc.radius) < AT_RIM_PT)]
    d = np.array(arc.centre) - ink.ends[which, :2]
    u = ink.units[which]
    along = (d * u).sum(axis=1)
    aside = np.abs(u[:, 0] * d[:, 1] - u[:, 1] * d[:, 0])
    length = ink.lengths[which]
    beyond = np.maximum(np.maximum(-along, along - length), 0.0)  # from its nearer end to the foot
    reach = arc.radius + MARK_SIZE_PT
    across = np.clip(THROUGH_SHARE * arc.radius, THROUGH_PT, MOST_THROUGH_PT)
    ending = np.minimum(max(ENDING_PT, ENDING_SINE * arc.radius), 0.4 * arc.radius)
    allowed = np.where(beyond > 0.6 * arc.radius, ending, across)
    good = (aside < allowed) & (beyond < reach)
    kept: list[Line] = []
    for i in which[good][np.argsort(-length[good])]:
        line = ink.line_of(int(i))
        if not any(_is_same_line(line, k, arc) for k in kept):
            kept.append(line)
    return kept


def _is_same_line(one: Line, other: Line, arc: Arc) -> bool:
    turned = one.turned_from(other.ux, other.uy)
    return turned < math.degrees(1.5 / (arc.radius + MARK_SIZE_PT)) + 0.5


def _on_line(
    ink: Ink,
    arc: Arc,
    line: Line,
    terminators: tuple[Sequence[Terminator], Floats],
) -> list[tuple[Candidate, bool]]:
    """At most one leader: a line to a circle; second: whether it goes across and stops there."""
    foot, aside = line.place(arc.centre)
    half = math.sqrt(max(arc.radius**2 - aside**2, 0.0))
    strokes, pieces = ink.on_line(line)
    if not len(strokes):
        return []
    spans = merge_spans(pieces, GAP_PT)
    rims = [
        rim
        for way in (-1, 1)
        if on_arc(arc, line.at(foot + way * half))
        for rim in [_rim(line, foot + way * half, way, spans, terminators)]
        if rim is not None and not _leads_on(rim, arc.radius, line, terminators)
    ]
    shown = [r for r in rims if r.evidence > 0]
    strict = not shown
    if strict:
        shown = [r for r in rims if _ends_there(r, arc) and not _is_square(line)]
    if not shown:
        return []
    tip = max(shown, key=lambda r: (r.evidence, r.out))
    both = len(shown) == 2 and not strict
    # so that of several circles the one with the surest terminators wins
    shown_by = sum(r.evidence for r in shown)
    leader = _leader(ink, line, tip, strokes, pieces)
    starts_at_centre = any(min(abs(a - foot), abs(b - foot)) < AT_CENTRE_PT for a, b in spans)
    starts_at_centre &= arc.radius > LEAST_FROM_CENTRE_PT
    is_radius = not arc.is_circle or (starts_at_centre and not both)
    found = Candidate(
        kind=DimensionKind.RADIUS if is_radius else DimensionKind.DIAMETER,
        ends=opposite_ends(arc, leader.tip),
        radius_ends=_radius_ends(arc, leader.tip),
        line=leader.path,
        strength=BARE_STRENGTH if strict else LEAST_STRENGTH + STRENGTH_GAIN * min(shown_by, 1.0),
        places=_places(leader, line, tip),
        claims=frozenset({("leader", min(leader.strokes))}),
        strokes=leader.strokes,
        leader=True,
        strict=strict,
        wants=frozenset({"radius", "diameter"}),
        sweep=arc.sweep,
    )
    # a centre line square to the sheet may stop anywhere
    stops = both and not _is_square(line) and min(r.out for r in shown) == 0.0
    return [(found, stops)]


def _rim(
    line: Line,
    at: float,
    way: int,
    spans: Sequence[tuple[float, float]],
    terminators: tuple[Sequence[Terminator], Floats],
) -> _Rim | None:
    evidence = _evidence(line, line.at(at), terminators)
    room = MARK_SIZE_PT if evidence else BARE_GAP_PT
    out = into = 0.0
    gap = room
    for a, b in spans:
        low, high = sorted((way * (a - at), way * (b - at)))
        if low < room and high > MIN_REACH_PT and high > out:
            out = high
            gap = min(gap, max(low, 0.0))
        if high > -room and low < -MIN_REACH_PT and -low > into:
            into = -low
    if not out and not into:
        return None
    return _Rim(at, way, out, into, gap, evidence)


def _leads_on(
    rim: _Rim, radius: float, line: Line, terminators: tuple[Sequence[Terminator], Floats]
) -> bool:
    """Whether a line only crosses a rim, on its way to an arrowhead further in.

    What looks like one at the very centre is where a radius begins.
    """
    every, points = terminators
    if not len(points):
        return False
    at = line.at(rim.along)
    d = (points - np.array(at)) * -rim.way
    inward, aside = d @ [line.ux, line.uy], np.abs(d @ [-line.uy, line.ux])
    beyond = (inward > BEYOND_PT) & (inward < radius - AT_CENTRE_PT) & (aside < AT_RIM_PT)
    for k in np.flatnonzero(beyond):
        t = every[int(k)]
        if t.direction is None or t.score < max(SURE_HEAD, SURER * rim.evidence):
            continue
        turn = math.radians(t.direction)
        out = rim.way * (math.cos(turn) * line.ux - math.sin(turn) * line.uy)
        if out > math.cos(math.radians(ALONG_DEG)):
            return True
    return False


def _evidence(line: Line, p: Point, terminators: tuple[Sequence[Terminator], Floats]) -> float:
    """Score of the network's best terminator at a place that fits a line's direction."""
    every, points = terminators
    if not len(points):
        return 0.0
    near = np.flatnonzero(np.hypot(points[:, 0] - p.x, points[:, 1] - p.y) < AT_RIM_PT)
    best = 0.0
    for k in near:
        t = every[int(k)]
        if t.direction is None:
            best = max(best, t.score)
            continue
        turn = math.radians(t.direction)
        off = line.turned_from(math.cos(turn), -math.sin(turn))
        best = max(best, t.score if off < ALONG_DEG else 0.0)
    return best


def _ends_there(rim: _Rim, arc: Arc) -> bool:
    """Whether a line without terminators still ends at a rim, coming from outside."""
    if not rim.out:
        return False
    if rim.into < MIN_REACH_PT:
        return True
    # across the rim to the centre, or all across to the other rim, and no further
    stops = (0.0, arc.radius)
    inner = rim.into - arc.radius
    return any(abs(inner - stop) < AT_CENTRE_PT for stop in stops)


def _is_square(line: Line) -> bool:
    """Whether a line square to the sheet may as well be a centre or extension line."""
    return min(abs(line.ux), abs(line.uy)) < SQUARE_SINE


def _leader(
    ink: Ink,
    line: Line,
    tip: _Rim,
    strokes: np.ndarray[tuple[int, ...], np.dtype[np.intp]],
    pieces: Floats,
) -> Leader:
    """Follow the line from its tip out, or in where nothing is drawn outside."""
    reach, way = (tip.out, tip.way) if tip.out else (tip.into, -tip.way)
    point, tail = line.at(tip.along), line.at(tip.along + way * reach)
    used = frozenset(
        int(i)
        for i, (a, b) in zip(strokes, pieces, strict=True)
        if max(tip.into, GAP_PT) >= -max(tip.way * (a - tip.along), tip.way * (b - tip.along))
        and tip.out + GAP_PT >= min(tip.way * (a - tip.along), tip.way * (b - tip.along))
    )
    return follow(ink, point, min(used), tail, used)


def _places(leader: Leader, line: Line, tip: _Rim) -> tuple[TextPlace, ...]:
    """Text stands on or beyond any stretch of the leader, or inside on its way to the centre."""
    places = [
        TextPlace(line=stretch, low=0.0, high=length, ink=((0.0, length),))
        for stretch, length in leader.stretches
    ]
    places += tail_places(leader)
    start = line.at(tip.along)
    if tip.into:
        inward = Line(start.x, start.y, -tip.way * line.ux, -tip.way * line.uy)
        places.append(TextPlace(line=inward, low=0.0, high=tip.into, ink=((0.0, tip.into),)))
        places.append(
            TextPlace(line=inward, low=0.0, high=tip.into, ink=((0.0, tip.into),), tail=True)
        )
    return tuple(places)


def _radius_ends(arc: Arc, near: Point) -> tuple[End, End]:
    first, _ = opposite_ends(arc, near)
    centre = End(point=arc.centre, kind=EndKind.EXACT, sigma=0.01, along=first.along)
    return centre, first
