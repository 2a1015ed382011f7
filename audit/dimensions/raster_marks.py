"""Terminators that the network proposes, set on the lines that were really drawn.

The network's tips are good to a pixel and its directions to some degrees. The shaft behind a tip
tells the direction exactly, and what the shaft ends on tells the place.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations

import numpy as np
from scipy.spatial import cKDTree

from audit.dimensions.crossings import find_parted_edge, meet_circle, on_arc
from audit.dimensions.ink import Indices, Ink, Line
from audit.dimensions.terminators import Mark, MarkKind
from audit.geometry import Point
from audit.networks.page import Terminator
from audit.records import Arc

NEAR_PT = 2.2  # how far a proposed tip may stand off the lines it belongs to
SHAFT_DEG = 24.0  # how far the network's direction may be off: heads drawn by hand lean
SHAFT_GAP_PT = 16.0  # how far behind its tip a shaft may begin
MIN_SHAFT_PT = 4.0
CROSSING_DEG = 22.0
CROSSING_GAP_PT = 2.6  # how far short of the tip what it ends on may stop
BARB_PT = 24.0  # longer strokes are no part of an arrowhead
BARB_DEG = (4.0, 62.0)
ACROSS_TIPS_PT = 3.0  # of a side of two heads, to either side of their tips
HEAD_PT, HEAD_SLOPE = 12.0, 0.6  # of a filled head: length, and half its width to that
ACROSS_DEG = 15.0  # strokes of a filled head's inside run across it
LEAN_DEG = 8.0
EVEN_PT = 1.5  # how far the network's place of a dot or tick may be off
TICK_DEG = (25.0, 72.0)
USUAL_SIZE_PT = 8.0  # of an arrowhead, when nothing of it can be measured
FEW_SIZES = 4  # heads that say how long those of their sheet are
LARGEST = 1.6  # times that: no head is so much longer than most of its sheet's
DOT_SIZE_PT = 4.0
SAME_EVEN_PT = 4.0  # two dots or rings never stand closer
RIM_PT = 5.0  # radius of the largest dot or ring
TICK_BEND_PT = 5.0  # radius
RIM_BIT_PT = 2.6  # radius of a bend no larger than a dot
LEAST_BEND_PT = 8.0  # the sides of a slash drawn by hand pass for smaller bends
ASIDE_PT = 1.4  # how far beside the network's tip its shaft may pass
AT_CENTRE_PT = 1.6  # how far a leader may pass beside the centre of its circle
IN_HEAD = 0.5  # of the length of a head: the radius of bends in its blot
AT_CENTRE = 0.3  # of its radius, where that is less: bends between a head's barb and its shaft
SQUARE_SINE = 0.035  # of 2 degrees
SLANT_PT = 2.0  # how much nearer a crossing at no angle at all would have to be
BACK_SCORE, CLEAR_SCORE = 0.45, 0.6  # of a head's back, and of its tip
BACK_PT = (3.0, 16.0)  # behind the tip
BACK_COSINE = 0.87  # of 30 degrees between the two
SLASH = 0.5  # score of a terminator on the middle of a tick
LETTER_PT, TAIL_PT, SQUARELY_DEG = 22.0, 8.0, 60.0
OVERLAP_PT = 4.0  # between the tips of two heads that point one way: no head is so short
FAR_PT = OVERLAP_PT + ASIDE_PT  # marks so far from each other are two, heads or not
FACING_PT = (6.0, 110.0)  # between two heads: a line that is longer still is drawn
FACING_COSINE = 0.985  # of 10 degrees that a head may lean
WEAK = 0.35  # score of a proposal that needs a line to stand on


def set_marks(ink: Ink, proposed: Sequence[Terminator]) -> list[Mark]:
    """Make marks of the network's proposals, which are in pt here, best first."""
    marks: list[Mark] = []
    loose: set[int] = set()
    order = sorted(proposed, key=lambda t: -t.score)
    for terminator in order:
        if _is_back(terminator, order):
            continue
        even = terminator.direction is None
        mark, led = (_even_mark(ink, terminator), True) if even else _arrow(ink, terminator)
        if mark is not None and not any(_is_same(mark, other) for other in marks):
            loose |= set() if led else {len(marks)}
            marks.append(replace(mark, sure=terminator.score))
    return _with_usual_sizes(_facing_each_other(marks, loose))


def _facing_each_other(marks: Sequence[Mark], loose: set[int]) -> list[Mark]:
    """Turn heads behind which no line was traced to the head that faces them.

    Between ``|<- 2 3/4 ->|`` there may be room for hardly more than the number.
    """
    arrows = [m for m in marks if m.is_arrow]
    return [_turned_to(m, arrows) if k in loose else m for k, m in enumerate(marks)]


def _turned_to(mark: Mark, arrows: Sequence[Mark]) -> Mark:
    best: tuple[float, float, float] | None = None
    for other in arrows:
        dx, dy = other.point.x - mark.point.x, other.point.y - mark.point.y
        far = math.hypot(dx, dy)
        if not FACING_PT[0] < far < FACING_PT[1]:
            continue
        way = math.copysign(1.0, mark.ux * dx + mark.uy * dy)
        ux, uy = way * dx / far, way * dy / far
        own, its = mark.ux * ux + mark.uy * uy, -(other.ux * ux + other.uy * uy)
        if min(own, its) > FACING_COSINE and (best is None or far < best[0]):
            best = far, ux, uy
    return mark if best is None else replace(mark, ux=best[1], uy=best[2])


def _with_usual_sizes(marks: Sequence[Mark]) -> list[Mark]:
    """Let heads of which nothing could be measured be as long as others of the sheet.

    And those of which too much was: a stroke of grain that meets a tip looks like a side of it.
    """
    known = [m.size for m in marks if m.is_arrow and m.size > 0]
    usual = float(np.median(known)) if len(known) >= FEW_SIZES else USUAL_SIZE_PT
    return [
        m if 0 < m.size < LARGEST * usual or not m.is_arrow else replace(m, size=usual)
        for m in marks
    ]


def _is_back(t: Terminator, others: Sequence[Terminator]) -> bool:
    """Whether a weak proposal is the back of a blank arrowhead whose tip is seen clearly.

    Or is a line that crosses just before such a tip: two heads on one line do not overlap.
    """
    if t.score >= BACK_SCORE:
        return False
    for other in others:
        if other.score < CLEAR_SCORE:
            return False  # the clearest come first
        if other.direction is None:
            continue
        turn = math.radians(other.direction)
        dx, dy = t.point.x - other.point.x, t.point.y - other.point.y
        along = dx * math.cos(turn) - dy * math.sin(turn)
        aside = abs(dx * math.sin(turn) + dy * math.cos(turn))
        same = t.direction is None or math.cos(math.radians(t.direction) - turn) > BACK_COSINE
        behind = BACK_PT[0] < along < BACK_PT[1]
        before = t.direction is not None and NEAR_PT < -along < USUAL_SIZE_PT
        if same and (behind or before) and aside < ASIDE_PT:
            return True
    return False


def without_tick_bends(arcs: Sequence[Arc], marks: Sequence[Mark]) -> tuple[Arc, ...]:
    """Leave out small bends around ticks: corners between a thick slash and what it crosses.

    And bends about a tick or dot, which are bits of its own rim.
    """
    ticks = [m.point for m in marks if m.kind is MarkKind.TICK]
    even = [m.point for m in marks if not m.is_arrow]
    return tuple(
        arc
        for arc in arcs
        if arc.is_circle
        or arc.radius > TICK_BEND_PT
        or (
            all(abs(arc.centre.distance(p) - arc.radius) > NEAR_PT for p in ticks)
            and all(
                arc.centre.distance(p) > (EVEN_PT if arc.radius > RIM_BIT_PT else NEAR_PT)
                for p in even
            )
        )
    )


def settle_on_arcs(ink: Ink, marks: Sequence[Mark]) -> list[Mark]:
    """Set marks that end a leader at a circle on the circle itself."""
    return [_on_arc(ink, mark) for mark in marks]


def _on_arc(ink: Ink, mark: Mark) -> Mark:
    best: tuple[float, Point] | None = None
    for arc in ink.arcs:
        far = mark.point.distance(arc.centre)
        if abs(far - arc.radius) > NEAR_PT or far < NEAR_PT or not on_arc(arc, mark.point):
            continue
        if not mark.is_arrow and not arc.is_circle and arc.radius < LEAST_BEND_PT:
            continue
        line = _radial_line(ink, mark, arc.centre)
        if line is None or not (arc.is_circle or _is_corner(line, arc, mark)):
            continue
        near, _ = line.place(mark.point)
        at = meet_circle(line, arc.centre, arc.radius, near=near)
        if at is not None and abs(at - near) < NEAR_PT + 1.0:
            cost = abs(at - near) - (1.0 if arc.is_circle else 0.0)
            if best is None or cost < best[0]:
                best = (cost, line.at(at))
    return mark if best is None else replace(mark, point=best[1])


def _radial_line(ink: Ink, mark: Mark, centre: Point) -> Line | None:
    """Find the straight line through a mark that runs through a circle's centre."""
    if mark.is_arrow:
        line = Line(mark.point.x, mark.point.y, mark.ux, mark.uy)
        return line if abs(line.place(centre)[1]) < AT_CENTRE_PT else None
    best: tuple[float, int] | None = None
    for i in ink.near(mark.point, NEAR_PT):
        if i in mark.strokes or ink.curved[i] or ink.lengths[i] < MIN_SHAFT_PT:
            continue
        line = ink.line_of(i)
        off = abs(line.place(mark.point)[1]) + 0.5 * abs(line.place(centre)[1])
        square = _is_square(line)
        fits = abs(line.place(centre)[1]) < AT_CENTRE_PT and off < NEAR_PT
        # centre lines run square to the sheet and through every circle: a slanted leader first
        cost = off + (1.5 if square else 0.0)
        if fits and _reaches(ink, i, mark.point) and (best is None or cost < best[0]):
            best = (cost, i)
    return None if best is None else ink.line_of(best[1])


def _is_corner(line: Line, arc: Arc, mark: Mark) -> bool:
    """Whether a line passes the centre of a bend near enough for how large it is.

    And it is no bend of the blot of an arrowhead, which lies within the head.
    """
    behind = (mark.point.x - arc.centre.x) * mark.ux + (mark.point.y - arc.centre.y) * mark.uy
    in_head = 0.0 < behind < mark.size and arc.radius < IN_HEAD * mark.size
    return abs(line.place(arc.centre)[1]) < AT_CENTRE * arc.radius and not in_head


def _is_square(line: Line) -> bool:
    return min(abs(line.ux), abs(line.uy)) < SQUARE_SINE


def _is_same(a: Mark, b: Mark) -> bool:
    dx, dy = b.point.x - a.point.x, b.point.y - a.point.y
    # the first is told at once: each mark is compared with all
    if abs(dx) > FAR_PT or abs(dy) > FAR_PT or a.is_arrow is not b.is_arrow:
        return False
    if not a.is_arrow:
        return a.point.distance(b.point) < SAME_EVEN_PT
    overlap = abs(dx * a.ux + dy * a.uy) < OVERLAP_PT and abs(dx * a.uy - dy * a.ux) < ASIDE_PT
    near = overlap or math.hypot(dx, dy) < NEAR_PT
    return near and a.ux * b.ux + a.uy * b.uy > math.cos(math.radians(30.0))


def _arrow(ink: Ink, t: Terminator) -> tuple[Mark | None, bool]:
    """Set an arrowhead on its shaft and on what it points at; weak ones need both.

    Second: whether it has a shaft, which tells its direction exactly.
    """
    turn = math.radians(t.direction or 0.0)
    body = (math.cos(turn), -math.sin(turn))
    barbs, size = _barbs(ink, t.point, body)
    shaft = _shaft(ink, t.point, body, barbs)
    point, stands = t.point, False
    if shaft is not None:
        sign = 1.0 if shaft.ux * body[0] + shaft.uy * body[1] > 0 else -1.0
        body = (sign * shaft.ux, sign * shaft.uy)
        point, stands = _tip_on(ink, t.point, shaft, barbs)
    if t.score < WEAK and not stands:
        return None, False
    mark = Mark(
        kind=MarkKind.FILLED,
        point=point,
        ux=-body[0],
        uy=-body[1],
        size=size,
        strokes=barbs | _inside(ink, t.point, body),
    )
    return mark, shaft is not None


def _inside(ink: Ink, p: Point, body: tuple[float, float]) -> frozenset[int]:
    """Strokes traced in the blot of a filled head: wholly within it, across its axis."""
    head = Line(p.x, p.y, *body)
    return frozenset(
        i
        for i in ink.near(p, HEAD_PT)
        if ink.lengths[i] < HEAD_PT
        and head.turned_from(*map(float, ink.units[i])) > ACROSS_DEG
        and all(
            -0.5 < along < HEAD_PT and abs(aside) < HEAD_SLOPE * along + 1.0
            for along, aside in map(head.place, ink.end_points(i))
        )
    )


def _barbs(ink: Ink, p: Point, body: tuple[float, float]) -> tuple[frozenset[int], float]:
    """Short strokes from the tip towards the body, askew; and how far they reach, 0 if none."""
    found, reach = set(), []
    for i in ink.near(p, NEAR_PT):
        if ink.lengths[i] > BARB_PT:
            continue
        near, far = ink.end_points(i)
        if near.distance(p) > far.distance(p):
            near, far = far, near
        if near.distance(p) > 2 * NEAR_PT or near.distance(p) > 0.5 * far.distance(p):
            continue
        along = (far.x - p.x) * body[0] + (far.y - p.y) * body[1]
        if along <= 0:
            continue
        askew = math.degrees(math.acos(min(1.0, along / max(far.distance(p), 1e-9))))
        if BARB_DEG[0] < askew < BARB_DEG[1]:
            found.add(i)
            reach.append(along)
    return frozenset(found), max(reach, default=0.0)


def _shaft(ink: Ink, p: Point, body: tuple[float, float], barbs: frozenset[int]) -> Line | None:
    best: tuple[float, int] | None = None
    for probe in (0.0, USUAL_SIZE_PT, SHAFT_GAP_PT):
        at = (p.x + probe * body[0], p.y + probe * body[1])
        for i in ink.near(at, NEAR_PT + 0.3 * probe):
            side = _crosses(ink, i, p, body) or _meets(ink, i, p, body)
            cost = None if side else _shaft_cost(ink, i, p, body)
            if i in barbs and cost is not None:
                # a side of a large head is no shaft, though a shaft may lean a little too
                leans = ink.line_of(i).turned_from(*body) > LEAN_DEG
                cost = None if leans or ink.lengths[i] < 1.5 * USUAL_SIZE_PT else cost
            if cost is not None and (best is None or cost < best[0]):
                best = (cost, i)
    return None if best is None else ink.line_of(best[1])


def _crosses(ink: Ink, i: int, p: Point, body: tuple[float, float]) -> bool:
    """Whether a stroke is a side of two heads that stand tip to tip, crossing at the tips."""
    length = float(ink.lengths[i])
    line = ink.line_of(i)
    along, aside = line.place(p)
    through = min(along, length - along) > ACROSS_TIPS_PT and abs(aside) < ASIDE_PT
    return through and length < 2 * BARB_PT and line.turned_from(*body) > BARB_DEG[0]


def _meets(ink: Ink, i: int, p: Point, body: tuple[float, float]) -> bool:
    """Whether a stroke is a side of another head, which meets this one tip to tip."""
    if ink.lengths[i] > BARB_PT or ink.line_of(i).turned_from(*body) < LEAN_DEG:
        return False
    ahead = [(q.x - p.x) * body[0] + (q.y - p.y) * body[1] for q in ink.end_points(i)]
    return max(ahead) < NEAR_PT


def _shaft_cost(ink: Ink, i: int, p: Point, body: tuple[float, float]) -> float | None:
    length = float(ink.lengths[i])
    if length < MIN_SHAFT_PT or ink.curved[i]:
        return None
    line = ink.line_of(i)
    off = line.turned_from(*body)
    along, aside = line.place(p)
    gap = max(-along, along - length, 0.0)
    if off > SHAFT_DEG or abs(aside) > ASIDE_PT + ink.play or gap > SHAFT_GAP_PT:
        return None
    mx, my = (float(v) for v in ink.middles[i])
    behind = (mx - p.x) * body[0] + (my - p.y) * body[1] > -0.5 * length
    if gap > NEAR_PT and not behind:
        return None
    return off / 8.0 + abs(aside) + 0.12 * gap - 0.02 * min(length, 60.0)


def _tip_on(ink: Ink, p: Point, shaft: Line, barbs: frozenset[int]) -> tuple[Point, bool]:
    """Where the shaft meets what the arrow points at; the foot of the tip when nothing is there.

    Second: whether something is there.
    """
    along, _ = shaft.place(p)
    best: tuple[float, float] | None = None
    for i in ink.near(p, NEAR_PT + CROSSING_GAP_PT):
        if i in barbs or ink.curved[i] or ink.lengths[i] < MIN_SHAFT_PT / 2:
            continue
        line = ink.line_of(i)
        turn = shaft.turned_from(line.ux, line.uy)
        if turn < CROSSING_DEG:
            continue
        at = _meeting(shaft, line)
        s, _ = line.place(shaft.at(at))
        gap = max(-s, s - float(ink.lengths[i]), 0.0)
        if abs(at - along) > NEAR_PT or gap > CROSSING_GAP_PT:
            continue
        cost = abs(at - along) + 0.3 * gap + (90.0 - turn) / 60.0
        if best is None or cost < best[0]:
            best = (cost, at)
    if best is None:
        parted = find_parted_edge(ink, shaft, along)
        return shaft.at(along if parted is None else parted[0]), parted is not None
    return shaft.at(best[1]), True


def _meeting(line: Line, other: Line) -> float:
    cross = line.ux * other.uy - line.uy * other.ux
    dx, dy = other.x - line.x, other.y - line.y
    return (dx * other.uy - dy * other.ux) / cross


def _even_mark(ink: Ink, t: Terminator) -> Mark:
    """Set a tick or dot on the crossing of the two lines it stands on."""
    ticks = _ticks(ink, t.point)
    own = ticks | _fragments(ink, t.point)
    lines = [
        ink.line_of(i)
        for i in ink.near(t.point, NEAR_PT + CROSSING_GAP_PT)
        if i not in own
        and not ink.curved[i]
        and ink.lengths[i] > MIN_SHAFT_PT
        and abs(ink.line_of(i).place(t.point)[1]) < NEAR_PT
        and _reaches(ink, i, t.point)
    ]
    point, best = t.point, EVEN_PT + SLANT_PT
    for k, one in enumerate(lines):
        for two in lines[k + 1 :]:
            turn = one.turned_from(two.ux, two.uy)
            if turn < CROSSING_DEG:
                continue
            crossing = one.at(_meeting(one, two))
            # a slash that was not known for one crosses both lines aslant
            cost = crossing.distance(t.point) + SLANT_PT * (90.0 - turn) / 90.0
            if cost < best and crossing.distance(t.point) < EVEN_PT:
                point, best = crossing, cost
    size = max((float(ink.lengths[i]) for i in ticks), default=DOT_SIZE_PT)
    return Mark(kind=MarkKind.TICK if ticks else MarkKind.DOT, point=point, size=size, strokes=own)


def find_slashes(ink: Ink, terminators: Sequence[Terminator]) -> Indices:
    """Strokes of ticks: short, with a terminator that points nowhere on their middle."""
    even = np.array([t.point for t in terminators if t.direction is None and t.score >= SLASH])
    if not len(even):
        return np.zeros(0, np.intp)
    short = ink.straight[ink.lengths[ink.straight] < BARB_PT]
    near, _ = cKDTree(even).query(ink.middles[short], distance_upper_bound=EVEN_PT)
    return np.asarray(short[np.isfinite(near)], np.intp)


def without_slash_ends(ink: Ink, terminators: Sequence[Terminator]) -> list[Terminator]:
    """Leave out weak arrowheads at the ends of ticks."""
    slashes = find_slashes(ink, terminators)
    tips = ink.ends[slashes].reshape(-1, 2)
    if not len(tips):
        return list(terminators)
    tree = cKDTree(tips)
    return [
        t
        for t in terminators
        if t.direction is None or t.score >= CLEAR_SCORE or float(tree.query(t.point)[0]) > NEAR_PT
    ]


def stands_on_crossing(ink: Ink, p: Point, body: float | None = None) -> bool:
    """Whether two lines, longer than any stroke of a letter, cross at a place about squarely.

    Of them the one behind a head, whose body lies towards `body` (degrees), may be a short tail.
    """
    lines = [
        (ink.line_of(i), float(ink.lengths[i]))
        for i in ink.near(p, ASIDE_PT)
        if not ink.curved[i]
        and ink.lengths[i] > TAIL_PT
        and abs(ink.line_of(i).place(p)[1]) < ASIDE_PT
        and _reaches(ink, i, p)
    ]
    return any(
        one.turned_from(two.ux, two.uy) > SQUARELY_DEG
        and all(long > LETTER_PT or _is_tail(line, p, long, body) for line, long in pair)
        for pair in combinations(lines, 2)
        for (one, _), (two, _) in [pair]
    )


def _is_tail(line: Line, p: Point, length: float, body: float | None) -> bool:
    """Whether a short line lies behind a head at a place, along it."""
    if body is None:
        return False
    turn = math.radians(body)
    ux, uy = math.cos(turn), -math.sin(turn)
    along, _ = line.place(p)
    far = length - along if line.ux * ux + line.uy * uy > 0 else along
    return line.turned_from(ux, uy) < LEAN_DEG and far > TAIL_PT


def _fragments(ink: Ink, p: Point) -> frozenset[int]:
    """Pieces of the rim of a dot or ring: short, and all of them near its middle."""
    return frozenset(
        i
        for i in ink.near(p, RIM_PT)
        if ink.lengths[i] < 2 * RIM_PT and all(q.distance(p) < RIM_PT for q in ink.end_points(i))
    )


def _reaches(ink: Ink, i: int, p: Point) -> bool:
    along, _ = ink.line_of(i).place(p)
    return -CROSSING_GAP_PT < along < float(ink.lengths[i]) + CROSSING_GAP_PT


def _ticks(ink: Ink, p: Point) -> frozenset[int]:
    """Short strokes with their middle at the place, slanting to a longer stroke there."""
    short = [
        i
        for i in ink.near(p, NEAR_PT)
        if ink.lengths[i] < BARB_PT
        and math.hypot(ink.middles[i, 0] - p.x, ink.middles[i, 1] - p.y) < NEAR_PT
    ]
    long = [
        ink.line_of(i)
        for i in ink.near(p, NEAR_PT)
        if i not in short
        and ink.lengths[i] > MIN_SHAFT_PT
        and abs(ink.line_of(i).place(p)[1]) < NEAR_PT
    ]
    low, high = TICK_DEG
    return frozenset(
        i
        for i in short
        if any(low < line.turned_from(*map(float, ink.units[i])) < high for line in long)
    )
