"""Leaders to circles and arcs of a raster, found from the circle instead of from an arrowhead.

A line that runs to or from a circle's centre and carries a terminator, or simply ends, on the rim
is a leader: the network's arrowhead need not point exactly, nor be an arrowhead. Which of several
circles is meant, terminators on the rim say; radius or diameter, the text's sign, and where there
is none to be read, whether the line begins at the centre or ends on both sides of the rim.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audit.dimensions.candidates import Candidate, TextPlace
from audit.dimensions.crossings import on_arc
from audit.dimensions.ink import Floats, Indices, Ink, Line, merge_spans
from audit.dimensions.leaders import Leader, follow, tail_places
from audit.dimensions.linear import opposite_ends
from audit.dimensions.raster_marks import find_slashes
from audit.dimensions.raster_rims import (
    AT_CENTRE_PT,
    AT_RIM_PT,
    MARK_SIZE_PT,
    SAME_CIRCLE_PT,
    SURE_HEAD,
    SURER,
    Rim,
    ends_there,
    find_rim,
    is_square,
    leads_on,
    radius_of,
    stops_short,
)
from audit.geometry import Point
from audit.networks.page import Terminator
from audit.records import Arc, DimensionKind, End, EndKind

MIN_RADIUS_PT = 1.5
MIN_STROKE_PT = 3.5
THROUGH_PT, THROUGH_SHARE = 0.8, 0.03  # how far a line across a circle may pass beside its centre
MOST_THROUGH_PT = 2.0
ENDING_PT, ENDING_SINE = 1.2, 0.14  # the same of a line that ends at the rim; 8 degrees
AS_STRONG = 0.02  # between two leaders over one line: the one further in is meant
GAP_PT = 2.4  # within one line
LEAST_FROM_CENTRE_PT = 3 * AT_CENTRE_PT  # radius: what begins at a smaller hole's centre is no line
RING_PT = 4.6  # radius: rings that end dimension lines are smaller, holes seldom
AT_RING_PT = 1.2
BARE_STRENGTH = 0.7
LEAST_STRENGTH, STRENGTH_GAIN = 0.76, 0.22  # by the sum of the terminators' scores


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
    strokes = _long_strokes(ink, find_slashes(ink, terminators))
    found: list[tuple[Candidate, bool]] = []
    for arc in rounds:
        for line in _lines_to(ink, arc, strokes):
            found += _on_line(ink, arc, line, (terminators, points))
    return _best_of_concentric(found)


def _best_of_concentric(found: Sequence[tuple[Candidate, bool]]) -> list[Candidate]:
    """Of the circles about one centre that one line meets, the one with the surest terminators.

    Where a line goes right across and stops at one's rim, that one: it would not cross the rim
    that it measures to. Of two as sure, the inner one: a line that leads to the outer one ends
    there.
    """
    kept: list[Candidate] = []
    order = [(not stops, -round(c.strength / AS_STRONG), radius_of(c)) for c, stops in found]
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


@dataclass(frozen=True, slots=True, eq=False)
class _Strokes:
    """Straight strokes, row by row: number, whether it is a tick, start, direction."""

    which: Indices
    slash: NDArray[np.bool_]
    starts: Floats
    units: Floats


def _long_strokes(ink: Ink, slashes: Indices) -> _Strokes:
    which = ink.straight[ink.lengths[ink.straight] > MIN_STROKE_PT]
    return _Strokes(which, np.isin(which, slashes), ink.ends[which, :2], ink.units[which])


def _lines_to(ink: Ink, arc: Arc, strokes: _Strokes) -> list[Line]:
    """Lines of strokes that run to or through a circle's centre, each once."""
    reach = arc.radius + MARK_SIZE_PT
    across = np.clip(THROUGH_SHARE * arc.radius, THROUGH_PT, MOST_THROUGH_PT)
    ending = np.minimum(max(ENDING_PT, ENDING_SINE * arc.radius), 0.4 * arc.radius)
    d = np.array(arc.centre) - strokes.starts
    aside = np.abs(strokes.units[:, 0] * d[:, 1] - strokes.units[:, 1] * d[:, 0])
    near = np.flatnonzero(aside < max(across, ending))
    which, d, aside = strokes.which[near], d[near], aside[near]
    # a tick on the rim slants to its leader: what runs to the centre there is the leader itself
    off = np.hypot(*(ink.middles[which] - np.array(arc.centre)).T)
    along = (d * strokes.units[near]).sum(axis=1)
    length = ink.lengths[which]
    beyond = np.maximum(np.maximum(-along, along - length), 0.0)  # from its nearer end to the foot
    allowed = np.where(beyond > 0.6 * arc.radius, ending, across)
    good = ~strokes.slash[near] | (np.abs(off - arc.radius) < AT_RIM_PT)
    good &= (aside < allowed) & (beyond < reach)
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
        for rim in [find_rim(line, foot + way * half, way, spans, terminators)]
        if rim is not None
        and not leads_on(rim, arc.radius, line, terminators)
        and not stops_short(rim, line, terminators)
    ]
    shown = [r for r in rims if r.evidence > 0]
    strict = not shown
    if strict:
        shown = [r for r in rims if ends_there(r, arc) and not is_square(line)]
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
    stops = both and not is_square(line) and min(r.out for r in shown) == 0.0
    return [(found, stops)]


def _leader(
    ink: Ink,
    line: Line,
    tip: Rim,
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


def _places(leader: Leader, line: Line, tip: Rim) -> tuple[TextPlace, ...]:
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
