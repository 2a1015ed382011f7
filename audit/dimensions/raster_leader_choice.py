"""Which of the leaders to circles of a raster are meant, where several searches found some.

Several may run over one line, or to one circle; what a line only crosses, or a bend traced beside
a hole, is none.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from audit.dimensions.assignment import Match
from audit.dimensions.candidates import Candidate
from audit.dimensions.ink import Floats, Line
from audit.dimensions.raster_rims import (
    AT_CENTRE_PT,
    AT_RIM_PT,
    BEYOND_PT,
    SAME_CIRCLE_PT,
    SURE_HEAD,
    Rim,
    evidence_at,
    leads_on,
    radius_of,
    stops_short,
)
from audit.dimensions.texts import SizeText, TextForm
from audit.geometry import Point
from audit.networks.page import Terminator
from audit.records import Arc, DimensionKind

SAME_TIP_PT = 5.0
HALF_TURN = 180.0
HALF_DEG = 200.0  # arcs that show less of their circle show no diameter


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
    """Leave out leaders to circles that their line only crosses, or ends before.

    Whichever search found them.
    """
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


def doubt_rival_arcs(candidates: Sequence[Candidate]) -> list[Candidate]:
    """Let a radius be known no better than two arcs differ to which one arrowhead points.

    A corner drawn by hand, broken or run into by its sides, is traced as two circles, and nothing
    tells which of them its draughtsman meant.
    """
    rounds = [c for c in candidates if c.leader and c.radius_ends and (c.sweep or 0.0) < HALF_DEG]
    known = {id(c): _known(c, rounds) for c in rounds}
    return [known.get(id(c), c) for c in candidates]


def _known(leader: Candidate, rounds: Sequence[Candidate]) -> Candidate:
    centre, rim = leader.radius_ends
    off = [
        abs(radius_of(other) - radius_of(leader)) / 2
        for other in rounds
        if _tip(leader).distance(_tip(other)) < AT_RIM_PT
        and not leader.strokes.isdisjoint(other.strokes)
        and max(_off_rim(leader), _off_rim(other)) < AT_RIM_PT
        and _shares_side(leader, other)
    ]
    rim = replace(rim, sigma=max([rim.sigma, *off]))
    return replace(leader, radius_ends=(centre, rim))


def _shares_side(one: Candidate, other: Candidate) -> bool:
    """Whether the centres of two leaders' arcs lie on one side of their arrowhead."""
    tip = _tip(one)
    a, b = one.radius_ends[0].point, other.radius_ends[0].point
    return (a.x - tip.x) * (b.x - tip.x) + (a.y - tip.y) * (b.y - tip.y) > 0.0


def _is_bend(one: Candidate, hole: Candidate) -> bool:
    if not (one.leader and one.radius_ends) or (one.sweep or 0.0) > HALF_TURN or hole.strict:
        return False
    return _tip(one).distance(_tip(hole)) < AT_RIM_PT and _off_rim(hole) < _off_rim(one)


def _off_rim(leader: Candidate) -> float:
    return abs(leader.radius_ends[0].point.distance(_tip(leader)) - radius_of(leader))


def _only_crosses(leader: Candidate, terminators: tuple[Sequence[Terminator], Floats]) -> bool:
    tip, centre = _tip(leader), leader.radius_ends[0].point
    radius, far = centre.distance(leader.radius_ends[1].point), centre.distance(tip)
    if far < BEYOND_PT:
        return False
    inward = Line(tip.x, tip.y, (centre.x - tip.x) / far, (centre.y - tip.y) / far)
    evidence = evidence_at(inward, tip, terminators)
    if far > radius + BEYOND_PT and evidence >= SURE_HEAD:
        return True  # it points at the circle from afar, and ends at something else
    out = tip.distance(leader.line[1])
    rim = Rim(along=0.0, way=-1, out=out, into=radius, gap=0.0, evidence=evidence)
    return leads_on(rim, radius, inward, terminators) or stops_short(rim, inward, terminators)


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
    rounds = one.radius_ends and other.radius_ends
    if not rounds or _is_same_circle(one, other):
        return False
    concentric = one.radius_ends[0].point.distance(other.radius_ends[0].point) < SAME_CIRCLE_PT
    shared = one.strokes & other.strokes or one.claims & other.claims
    return concentric and bool(shared)


def _tip(leader: Candidate) -> Point:
    return leader.line[0]
