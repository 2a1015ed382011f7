"""Radii and diameters: leaders that point at a circle or arc.

The measure is the circle's own exact radius, whatever the leader looks like; the leader only says
which circle the text is about.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np

from audit.dimensions.candidates import Candidate
from audit.dimensions.crossings import on_arc
from audit.dimensions.ink import Floats, Ink
from audit.dimensions.leaders import (
    MAX_BENDS,
    Leader,
    along_with,
    follow,
    next_stroke,
    stretch,
    text_places,
    unit,
)
from audit.dimensions.linear import opposite_ends
from audit.dimensions.lines import MarkedLine, find_shaft
from audit.dimensions.terminators import Mark, MarkKind
from audit.dimensions.texts import SizeText, TextForm
from audit.geometry import Box, Point
from audit.geometry.round_index import RoundIndex
from audit.records import Arc, DimensionKind, End, EndKind

ON_CIRCLE_PT = 1.0  # how far a tip may stand off the circle it points at
ON_CIRCLE_RELATIVE = 0.01
AT_CENTRE_DEG = 7.0  # how far a leader may point past the centre
AT_CENTRE_PT = 1.5
BARE_REACH_PT = 8.0  # a leader without arrowhead may stop this short of the circle
BARE_DEG = 12.0
MIN_LEADER_PT = 3.0
MIN_RADIUS_PT = 1.0
SAME_PT = 0.05  # between the centres of two pieces of one circle, and between their radii
ON_RIM_PT = 0.5
RING_PT = 4.0  # radius: terminators are smaller, holes seldom
SHARED_STRENGTH = 0.95
BARE_STRENGTH = 0.75


def find_radial(
    ink: Ink, marks: Sequence[Mark], lines: Sequence[MarkedLine], texts: Sequence[SizeText]
) -> list[Candidate]:
    """Candidates for radii and diameters shown by a leader."""
    rounds = _without_rings(_distinct_circles(ink.arcs), lines)
    found: list[Candidate] = []
    for mark in marks:
        for arc in rounds:
            if mark.is_arrow and _points_at(mark, arc):
                leader = _leader_of(ink, mark)
            elif not mark.is_arrow and _stands_on(mark, arc):
                leader = _leader_through(ink, mark, arc)
            else:
                continue
            if leader is not None:
                found.append(_candidate(arc, leader, strength=SHARED_STRENGTH))
    used = {s for m in marks if m.is_arrow for s in m.strokes}
    for text in texts:
        if text.form in (TextForm.RADIUS, TextForm.DIAMETER):
            found += _bare_leaders(ink, text, rounds, used)
    return _merged(found)


def _distinct_circles(arcs: Sequence[Arc]) -> list[Arc]:
    """One arc for each circle, the one drawn furthest round (outlines are drawn in pieces)."""
    kept: list[Arc] = []
    index = RoundIndex()
    for arc in sorted(arcs, key=lambda a: -a.sweep):
        if arc.radius < MIN_RADIUS_PT:
            continue
        alike = [kept[k] for k in index.alike(arc.centre, arc.radius, SAME_PT)]
        if not any(
            arc.centre.distance(k.centre) < SAME_PT
            and abs(arc.radius - k.radius) < SAME_PT
            and (k.is_circle or abs(arc.start - k.start) < 1.0)
            for k in alike
        ):
            kept.append(arc)
            index.add(arc.centre, arc.radius)
    return kept


def _without_rings(arcs: list[Arc], lines: Sequence[MarkedLine]) -> list[Arc]:
    """Drop the tiny rings that end dimension lines, and leaders on the rim of a larger circle."""
    ends = [
        p.even.point
        for marked in lines
        if sum(p.even is not None and p.even.kind is MarkKind.RING for p in marked.places) > 1
        for p in marked.places
        if p.even is not None
    ]
    drawn = [arc for arc in arcs if not arc.dashes]
    rows = np.array([(*arc.centre, arc.radius) for arc in drawn]).reshape(-1, 3)
    return [
        arc
        for arc in arcs
        if arc.radius > RING_PT
        or not (any(p.distance(arc.centre) < 0.5 for p in ends) or _is_on_rim(arc, rows))
    ]


def _is_on_rim(small: Arc, rows: Floats) -> bool:
    """Whether a circle stands on the rim of a larger one; rows of centre and radius."""
    x, y, radius = rows.T
    off = np.abs(np.hypot(x - small.centre.x, y - small.centre.y) - radius)
    return bool(((off < ON_RIM_PT) & (radius > 1.5 * small.radius)).any())


def _stands_on(mark: Mark, arc: Arc) -> bool:
    return (
        abs(mark.point.distance(arc.centre) - arc.radius) < ON_CIRCLE_PT
        and mark.size < arc.radius
        and on_arc(arc, mark.point)
    )


def _leader_through(ink: Ink, mark: Mark, arc: Arc) -> Leader | None:
    """Find the line that ends in a dot or ring and runs to or from the centre of its circle."""
    reach = 1.6 * mark.size + 1.5
    for i in ink.near(mark.point, reach):
        if ink.lengths[i] < 1.0 or ink.curved[i] or i in mark.strokes:
            continue
        line = ink.line_of(i)
        a, b = ink.end_points(i)
        near, tail = (a, b) if a.distance(mark.point) < b.distance(mark.point) else (b, a)
        if (
            abs(line.place(mark.point)[1]) < 0.7
            and abs(line.place(arc.centre)[1]) < AT_CENTRE_PT
            and near.distance(mark.point) < reach
            and tail.distance(arc.centre) > arc.radius
        ):
            return follow(ink, mark.point, i, tail, mark.strokes)
    return None


def _points_at(mark: Mark, arc: Arc) -> bool:
    dx, dy = arc.centre.x - mark.point.x, arc.centre.y - mark.point.y
    far = math.hypot(dx, dy)
    if abs(far - arc.radius) > ON_CIRCLE_PT + ON_CIRCLE_RELATIVE * arc.radius or far < 0.5:
        return False
    aside = abs(mark.ux * dy - mark.uy * dx)
    return (
        aside < max(AT_CENTRE_PT, far * math.sin(math.radians(AT_CENTRE_DEG)))
        and aside < 0.5 * far
        and on_arc(arc, mark.point)
    )


def _leader_of(ink: Ink, mark: Mark) -> Leader | None:
    """Follow the line behind (or through) an arrowhead to its tail."""
    shaft = find_shaft(ink, mark, behind=True)
    if shaft is None:
        return None
    ends = ink.end_points(shaft)
    back = [(mark.point.x - p.x) * mark.ux + (mark.point.y - p.y) * mark.uy for p in ends]
    tail = ends[0] if back[0] > back[1] else ends[1]
    if max(back) < MIN_LEADER_PT:  # the line lies beyond the tip, across the circle
        return None
    return follow(ink, mark.point, shaft, tail, mark.strokes)


def _candidate(arc: Arc, leader: Leader, *, strength: float, strict: bool = False) -> Candidate:
    """A leader shows a radius or a diameter: which, its text says."""
    ends = opposite_ends(arc, leader.tip)
    return Candidate(
        kind=DimensionKind.DIAMETER if arc.is_circle else DimensionKind.RADIUS,
        ends=ends,
        radius_ends=_radius_ends(arc, ends[0]),
        line=leader.path,
        strength=strength,
        places=text_places(leader),
        claims=frozenset({("leader", min(leader.strokes))}),
        strokes=leader.strokes,
        leader=True,
        strict=strict,
        wants=frozenset({"radius", "diameter"}),
        sweep=arc.sweep,
    )


def _merged(candidates: list[Candidate]) -> list[Candidate]:
    """Make one of the candidates that run over the same line to the same circle."""
    kept: dict[tuple[object, ...], Candidate] = {}
    for c in sorted(candidates, key=lambda c: -c.strength):
        centre = c.radius_ends[0].point
        radius = centre.distance(c.radius_ends[1].point)
        key = (min(c.strokes), round(centre.x, 1), round(centre.y, 1), round(radius, 1))
        old = kept.get(key)
        kept[key] = c if old is None else replace(old, places=old.places + c.places)
    return list(kept.values())


def _radius_ends(arc: Arc, first: End) -> tuple[End, End]:
    centre = End(point=arc.centre, kind=EndKind.EXACT, sigma=0.01, along=first.along)
    return centre, first


def _bare_leaders(
    ink: Ink, text: SizeText, rounds: Sequence[Arc], used: set[int]
) -> list[Candidate]:
    """Leaders without arrowhead, from a text that says R or Ø to a circle."""
    found = []
    h = text.line.height
    box = text.line.box.grown(1.3 * h)
    for i in _strokes_at(ink, box):
        if i in used:
            continue
        for tail, tip in (ink.end_points(i), ink.end_points(i)[::-1]):
            if box.contains(tail):
                found += _walk_to_circle(ink, i, tail, tip, rounds)
    return found


def _strokes_at(ink: Ink, box: Box) -> list[int]:
    reach = max(box.width, box.height) / 2
    return [
        i
        for i in ink.near(box.centre, reach)
        if ink.lengths[i] > MIN_LEADER_PT and sum(box.contains(p) for p in ink.end_points(i)) == 1
    ]


def _walk_to_circle(
    ink: Ink, first: int, tail: Point, tip: Point, rounds: Sequence[Arc]
) -> list[Candidate]:
    strokes = {first}
    path = [tail, tip]
    for _ in range(MAX_BENDS):
        arc = _aimed_at(path[-2], path[-1], rounds)
        if arc is not None:
            back = path[::-1]
            leader = Leader(
                back[0],
                tuple(stretch(a, b) for a, b in pairwise(back)),
                frozenset(strokes | along_with(ink, first)),
            )
            return [_candidate(arc, leader, strength=BARE_STRENGTH, strict=True)]
        step = next_stroke(ink, path[-1], strokes)
        if step is None:
            break
        strokes.add(step[0])
        path.append(step[1])
    return []


def _aimed_at(before: Point, tip: Point, rounds: Sequence[Arc]) -> Arc | None:
    """Find the circle whose rim a path ends at, on the way to its centre."""
    ux, uy = unit(before, tip)
    best: tuple[float, Arc] | None = None
    for arc in rounds:
        dx, dy = arc.centre.x - tip.x, arc.centre.y - tip.y
        far = math.hypot(dx, dy)
        short = far - arc.radius  # positive outside
        if not -min(BARE_REACH_PT, 0.9 * arc.radius) < short < BARE_REACH_PT or far < 0.5:
            continue
        off = math.degrees(math.acos(max(-1.0, min(1.0, (ux * dx + uy * dy) / far))))
        off = min(off, 180.0 - off) if short < 0.5 else off
        if off < BARE_DEG and on_arc(arc, tip):
            cost = abs(short) + off / 3
            if best is None or cost < best[0]:
                best = (cost, arc)
    return None if best is None else best[1]
