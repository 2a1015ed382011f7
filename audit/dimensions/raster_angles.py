"""Arcs of angles, centred exactly: on the crossing of the legs their marks stand on.

A short arc fixes its own centre badly; the two lines under its ends fix it well.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from audit.dimensions.ink import Ink, Line
from audit.dimensions.terminators import Mark
from audit.geometry import Point, intersect_lines
from audit.records import Arc

ON_ARC_PT = 3.0  # how far a mark may stand off an arc that was fitted badly
LEG_PT = 2.0  # how far a leg may pass beside its mark
LEG_GAP_PT = 6.0  # how far short of the mark a leg may end
RADIAL_DEG = 14.0  # how far a leg may point past the badly fitted centre
OFF_SHARE, OFF_PT = 0.3, 6.0  # how far off that centre may be, of the radius and at least
EVEN_PT = 2.5  # difference of the two marks' distances from the vertex
MIN_LEG_PT = 4.0
MIN_BETWEEN_DEG = 4.0


def aim_arcs(ink: Ink, marks: Sequence[Mark]) -> tuple[Arc, ...]:
    """Return a page's arcs; those that carry two marks on lines get those lines' crossing."""
    return tuple(arc if arc.is_circle else _aimed(ink, marks, arc) for arc in ink.arcs)


def _aimed(ink: Ink, marks: Sequence[Mark], arc: Arc) -> Arc:
    on = [m for m in marks if _stands_on(m, arc)]
    best: tuple[float, Point, float] | None = None
    for i, first in enumerate(on):
        for second in on[i + 1 :]:
            if first.point.distance(second.point) < OFF_PT:
                continue
            vertex = _vertex(ink, arc, first, second)
            if vertex is None:
                continue
            near = vertex.distance(arc.centre)
            if best is None or near < best[0]:
                radius = (vertex.distance(first.point) + vertex.distance(second.point)) / 2
                best = (near, vertex, radius)
    if best is None:
        return arc
    return _moved(arc, best[1], best[2])


def _stands_on(mark: Mark, arc: Arc) -> bool:
    dx, dy = mark.point.x - arc.centre.x, arc.centre.y - mark.point.y
    if abs(math.hypot(dx, dy) - arc.radius) > ON_ARC_PT:
        return False
    slack = math.degrees(14.0 / max(arc.radius, 6.0))
    turn = math.degrees(math.atan2(dy, dx))
    return (turn - arc.start + slack) % 360.0 <= arc.sweep + 2 * slack


def _vertex(ink: Ink, arc: Arc, first: Mark, second: Mark) -> Point | None:
    best: tuple[float, Point] | None = None
    for a in _legs(ink, arc, first):
        for b in _legs(ink, arc, second):
            if a.turned_from(b.ux, b.uy) < MIN_BETWEEN_DEG:
                continue
            p = intersect_lines((a.x, a.y), (a.x + a.ux, a.y + a.uy), (b.x, b.y), b.at(1.0))
            if p is None:
                continue
            off = p.distance(arc.centre)
            uneven = abs(p.distance(first.point) - p.distance(second.point))
            if off < max(OFF_PT, OFF_SHARE * arc.radius) and uneven < EVEN_PT:
                cost = off / arc.radius + uneven
                if best is None or cost < best[0]:
                    best = (cost, p)
    return None if best is None else best[1]


def _legs(ink: Ink, arc: Arc, mark: Mark) -> list[Line]:
    """Lines through a mark that run roughly towards the arc's centre."""
    dx, dy = arc.centre.x - mark.point.x, arc.centre.y - mark.point.y
    far = max(math.hypot(dx, dy), 1e-9)
    found = []
    for i in ink.near(mark.point, LEG_PT + LEG_GAP_PT):
        if ink.lengths[i] < MIN_LEG_PT or ink.curved[i] or i in mark.strokes:
            continue
        line = ink.line_of(i)
        along, aside = line.place(mark.point)
        gap = max(-along, along - float(ink.lengths[i]), 0.0)
        radial = line.turned_from(dx / far, dy / far) < RADIAL_DEG
        if radial and abs(aside) < LEG_PT and gap < LEG_GAP_PT:
            found.append(line)
    return found


def _moved(arc: Arc, centre: Point, radius: float) -> Arc:
    """Give an arc another centre, its two ends staying in their directions."""
    turns = []
    for turn in (arc.start, arc.start + arc.sweep):
        t = math.radians(turn)
        x = arc.centre.x + arc.radius * math.cos(t) - centre.x
        y = centre.y - (arc.centre.y - arc.radius * math.sin(t))
        turns.append(math.degrees(math.atan2(y, x)))
    sweep = (turns[1] - turns[0]) % 360.0
    return replace(arc, centre=centre, radius=radius, start=turns[0] % 360.0, sweep=sweep)
