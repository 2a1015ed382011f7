"""Angles: an arc with a mark at each end, centred on the vertex."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

from audit.dimensions.candidates import ArcPlace, Candidate
from audit.dimensions.crossings import EXACT_PT, TIP_PT
from audit.dimensions.ink import Ink
from audit.dimensions.terminators import Mark, MarkKind
from audit.geometry import Point
from audit.records import Arc, DimensionKind, End, EndKind

ON_ARC_PT = 1.2
SAME_CIRCLE_PT = 0.6
TANGENT_DEG = 30.0  # an arrowhead is a chord of a tight arc
MIN_RADIUS_PT = 6.0
MIN_ANGLE_DEG = 2.0
LEG_PT = 0.6  # how far a leg may pass beside the mark or the vertex
MIN_TICK_PT, MAX_TICK_PT = 2.5, 22.0
SQUARE_DEG = 78.0  # an arrowhead is a chord of its arc
MIN_LEG_PT = 6.0
FAR_APART_PT = 220.0  # between two arrowheads with no arc drawn
MOST_STANDING = 300  # arrowheads looked at in pairs
MOST_BARE_DEG = 170.0
BARE_STRENGTH = 0.7


@dataclass(frozen=True, slots=True)
class _Stop:
    """A mark on a circle, at an angle; `way` +1 when it points counter-clockwise as seen."""

    turn: float
    way: int
    mark: Mark


def find_angles(ink: Ink, marks: Sequence[Mark]) -> list[Candidate]:
    """Candidates for angles, from every circle that has drawn arcs and two marks on it."""
    found = []
    for number, (centre, radius, arcs) in enumerate(_dimension_circles(ink.arcs)):
        stops = _stops(ink, centre, radius, arcs, marks)
        for first, second in _neighbours(stops):
            candidate = _candidate(ink, (centre, radius), arcs, (first, second), number=number)
            if candidate is not None:
                found.append(candidate)
    return found


def find_bare_angles(ink: Ink, marks: Sequence[Mark]) -> list[Candidate]:
    """Candidates for angles whose arc is all but gone: broken for its text, or between two marks.

    Two arrowheads stand on two lines, square to them, as far from where the lines meet. They take
    no text but an angle.
    """
    standing = [(m, lines) for m in marks if m.is_arrow for lines in [_lines_under(ink, m)]]
    standing = [s for s in standing if s[1]][:MOST_STANDING]
    found = []
    for k, (one, under) in enumerate(standing):
        for other, beneath in standing[k + 1 :]:
            if one.kind is not other.kind or one.point.distance(other.point) > FAR_APART_PT:
                continue
            for i, j in product(under, beneath):
                candidate = _bare_candidate(ink, (one, other), (i, j))
                if candidate is not None:
                    found.append(candidate)
    return found


def _lines_under(ink: Ink, mark: Mark) -> list[int]:
    """Strokes that an arrowhead stands on, square to it, save for the bend of its arc."""
    found = []
    for i in ink.near(mark.point, 2.0):
        if i in mark.strokes or ink.curved[i] or ink.lengths[i] < MIN_LEG_PT:
            continue
        line = ink.line_of(i)
        along, aside = line.place(mark.point)
        on = -ON_ARC_PT < along < float(ink.lengths[i]) + ON_ARC_PT
        if abs(aside) < LEG_PT and on and line.turned_from(mark.ux, mark.uy) > SQUARE_DEG:
            found.append(i)
    return found


def _bare_candidate(ink: Ink, marks: tuple[Mark, Mark], under: tuple[int, int]) -> Candidate | None:
    one, other = (ink.line_of(i) for i in under)
    sine = one.ux * other.uy - one.uy * other.ux
    if abs(sine) < math.sin(math.radians(MIN_ANGLE_DEG)):
        return None
    dx, dy = other.x - one.x, other.y - one.y
    vertex = one.at((dx * other.uy - dy * other.ux) / sine)
    radius, far = (vertex.distance(m.point) for m in marks)
    if radius < MIN_RADIUS_PT or abs(radius - far) > SAME_CIRCLE_PT:
        return None
    stops = []
    for mark in marks:
        x, y = mark.point.x - vertex.x, mark.point.y - vertex.y
        turn = math.degrees(math.atan2(-y, x)) % 360.0
        stops.append(_Stop(turn, 1 if mark.ux * y - mark.uy * x > 0 else -1, mark))
    if stops[0].way == stops[1].way:
        return None
    # arrowheads inside their angle point away from each other: the arc runs against the first's way
    first, second = stops if stops[0].way < 0 else (stops[1], stops[0])
    sweep = (second.turn - first.turn) % 360.0
    if not MIN_ANGLE_DEG < sweep < MOST_BARE_DEG:
        return None
    legs = [_end_on(ink, under[marks.index(s.mark)], s.mark.point) for s in (first, second)]
    return Candidate(
        kind=DimensionKind.ANGLE,
        ends=(End(point=vertex, kind=EndKind.EXACT, sigma=EXACT_PT), legs[0], legs[1]),
        line=(first.mark.point, second.mark.point),
        strength=BARE_STRENGTH,
        arcs=(ArcPlace(centre=vertex, radius=radius, start=first.turn, sweep=sweep),),
        claims=frozenset({("arrow", id(m)) for m in marks}),
        wants=frozenset({"angle"}),
        strict=True,
    )


def _dimension_circles(arcs: Sequence[Arc]) -> list[tuple[Point, float, list[Arc]]]:
    """Arcs that share a circle, without full circles."""
    circles: list[tuple[Point, float, list[Arc]]] = []
    for arc in arcs:
        if arc.radius < MIN_RADIUS_PT or arc.is_circle:
            continue
        for centre, radius, parts in circles:
            if centre.distance(arc.centre) < SAME_CIRCLE_PT and abs(radius - arc.radius) < 0.4:
                parts.append(arc)
                break
        else:
            circles.append((arc.centre, arc.radius, [arc]))
    return circles


def _stops(
    ink: Ink, centre: Point, radius: float, arcs: Sequence[Arc], marks: Sequence[Mark]
) -> list[_Stop]:
    stops = []
    for mark in [*marks, *_ticks(ink, centre, radius, arcs)]:
        dx, dy = mark.point.x - centre.x, mark.point.y - centre.y
        far = math.hypot(dx, dy)
        if abs(far - radius) > ON_ARC_PT:
            continue
        turn = math.degrees(math.atan2(-dy, dx)) % 360.0
        if not any(_near_arc(a, turn, mark.size, radius) for a in arcs):
            continue
        way = 0
        if mark.is_arrow:
            # counter-clockwise tangent as seen, y down: (-sin, -cos)
            ccw = (mark.ux * dy - mark.uy * dx) / far
            bend = math.degrees(mark.size / (2 * radius))
            if math.degrees(math.acos(min(1.0, abs(ccw)))) > TANGENT_DEG + bend:
                continue
            way = 1 if ccw > 0 else -1
        stops.append(_Stop(turn, way, mark))
    return sorted(stops, key=lambda s: s.turn)


def _near_arc(arc: Arc, turn: float, size: float, radius: float) -> bool:
    slack = math.degrees((size + 4.0) / radius)
    return (turn - arc.start + slack) % 360.0 <= arc.sweep + 2 * slack


def _ticks(ink: Ink, centre: Point, radius: float, arcs: Sequence[Arc]) -> list[Mark]:
    """Short strokes across the ends of an arc."""
    ticks = []
    for arc in arcs:
        for turn in (arc.start, arc.start + arc.sweep):
            p = centre.moved(
                radius * math.cos(math.radians(turn)), -radius * math.sin(math.radians(turn))
            )
            for i in ink.near(p, 2.0):
                middle = Point(float(ink.middles[i, 0]), float(ink.middles[i, 1]))
                if (
                    MIN_TICK_PT < ink.lengths[i] < MAX_TICK_PT
                    and middle.distance(p) < 1.0
                    and _slants(ink, i, centre)
                ):
                    ticks.append(
                        Mark(
                            kind=MarkKind.TICK,
                            point=middle,
                            size=float(ink.lengths[i]),
                            strokes=frozenset((i,)),
                        )
                    )
    return ticks


def _slants(ink: Ink, i: int, centre: Point) -> bool:
    dx, dy = float(ink.middles[i, 0]) - centre.x, float(ink.middles[i, 1]) - centre.y
    off = ink.line_of(i).turned_from(dx, dy)
    return 20.0 < off < 70.0


def _neighbours(stops: list[_Stop]) -> list[tuple[_Stop, _Stop]]:
    """Ordered pairs, counter-clockwise from the first to the second, next to each other."""
    n = len(stops)
    pairs = []
    for k in range(n):
        for step in range(1, n):
            other = stops[(k + step) % n]
            if (other.turn - stops[k].turn) % 360.0 > MIN_ANGLE_DEG:
                pairs.append((stops[k], other))
                break
    return pairs


def _candidate(
    ink: Ink,
    circle: tuple[Point, float],
    arcs: Sequence[Arc],
    stops: tuple[_Stop, _Stop],
    *,
    number: int,
) -> Candidate | None:
    centre, radius = circle
    first, second = stops
    sweep = (second.turn - first.turn) % 360.0
    if first.way * second.way > 0:
        return None  # both point the same way round
    inside = first.way <= 0 and second.way >= 0
    outside = first.way >= 0 and second.way <= 0
    if not (inside or outside):
        return None
    drawn = _drawn_share(arcs, first.turn, sweep)
    strength = 0.9 if first.way * second.way < 0 else 0.75
    if inside and first.way:
        strength *= 0.5 + 0.5 * min(1.0, drawn / 0.5)
    elif drawn < 0.3:
        strength *= 0.6
    legs = [_leg(ink, centre, s) for s in (first, second)]
    strength *= 1.0 if all(leg.kind is not EndKind.TIP for leg in legs) else 0.7
    if strength < 0.3:
        return None
    vertex = End(point=centre, kind=EndKind.EXACT, sigma=EXACT_PT)
    return Candidate(
        kind=DimensionKind.ANGLE,
        ends=(vertex, legs[0], legs[1]),
        line=(first.mark.point, second.mark.point),
        strength=strength,
        arcs=(ArcPlace(centre=centre, radius=radius, start=first.turn, sweep=sweep),),
        claims=frozenset({("angle", number, round(first.turn), round(second.turn))}),
        wants=frozenset({"angle"}),
    )


def _drawn_share(arcs: Sequence[Arc], start: float, sweep: float) -> float:
    steps = max(8, int(sweep))
    hit = 0
    for k in range(steps):
        turn = start + sweep * (k + 0.5) / steps
        hit += any((turn - a.start) % 360.0 <= a.sweep for a in arcs)
    return hit / steps


def _leg(ink: Ink, centre: Point, stop: _Stop) -> End:
    """Find the line from the vertex under a mark, and its exact direction."""
    p = stop.mark.point
    best: tuple[float, int] | None = None
    for i in ink.near(p, 4.0):
        if i in stop.mark.strokes or ink.lengths[i] < 2.0 or ink.curved[i]:
            continue
        line = ink.line_of(i)
        along, aside = line.place(p)
        _, off = line.place(centre)
        gap = max(-along, along - float(ink.lengths[i]), 0.0)
        if abs(aside) > 1.2 or abs(off) > 2 * LEG_PT or gap > 4.0:
            continue
        cost = abs(aside) + abs(off) + 0.2 * gap
        if best is None or cost < best[0]:
            best = (cost, i)
    if best is None:
        return End(point=p, kind=EndKind.TIP, sigma=TIP_PT)
    return _end_on(ink, best[1], p)


def _end_on(ink: Ink, i: int, p: Point) -> End:
    """Return the end of an angle on a stroke, beside a mark."""
    line = ink.line_of(i)
    along, _ = line.place(p)
    return End(
        point=line.at(along),
        kind=EndKind.EXTENSION,
        sigma=EXACT_PT,
        line_width=float(ink.widths[i]),
    )
