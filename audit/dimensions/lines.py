"""Candidate dimension lines: endless lines with marks on them.

A line comes from an arrowhead with the stroke behind it, from two arrowheads that face away from
or towards each other with nothing between (some programs stop the line short, or print the text
in its place), or from a stroke with ticks, dots or rings on it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.spatial import cKDTree

from audit.dimensions.aimed_lines import lines_between_aimed, lines_filled
from audit.dimensions.ink import Floats, Indices, Ink, Line, covered, merge_spans
from audit.dimensions.terminators import Mark, MarkKind
from audit.geometry import Point

ON_LINE_PT = 0.7  # how far a mark may stand off its dimension line
AXIS_DEG = 9.0  # how far an arrowhead may be turned from its line (blunt or coarsely drawn heads)
SHAFT_REACH_PT = 16.0  # how far behind the tip the shaft may begin
SAME_PLACE_PT = 0.9
SAME_LINE_DEG = 0.35
MIN_TICK_PT, MAX_TICK_PT = 2.5, 22.0
MIN_TICK_DEG, MAX_TICK_DEG = 25.0, 72.0
TICK_ASIDE_PT = 0.5
MIN_SHAFT_PT = 1.5
FACING_DEG = 1.2
AIMED_DEG = 25.0
SAME_TICK_PT = 2.5
WAVERS_PT = 0.05  # from this waver on lines by hand are sought between their marks
LOOSE_PT = 3.0  # how far off a piece of a line, led on, its next mark may stand
BESIDE_PT = 0.8  # how much further a piece of such a line may lie off it,
BOW, MOST_BOW_PT = 0.015, 1.6  # or this share of its length: long lines bow more
DRAWN = 0.25  # share of a line between two marks
LED_SINE = 0.02  # of 1.1 degrees: so far a dash of a line may be turned from it
LED_DRAWN = 0.5  # share of such a line that is drawn
FACING_COSINE = 0.99  # of 8 degrees
TAIL_SINE, TAIL_OFF_PT = 0.06, 1.2  # how far a tail may be turned from its line, and at one end
LEANING_COSINE = 0.985  # of 10 degrees that such a head may lean
LONGEST_LED_PT = 110.0  # 39 mm: more of a longer line is drawn than a number leaves of it
LONGEST_TAIL_PT, MOST_TAILS = 30.0, 6.0  # of such a tail; and how many of it the heads stand apart
LOOSE_SINE = 0.05  # of 3 degrees that a short piece of a line by hand may be turned from it
MIN_BETWEEN_PT = 6.0  # nearer marks say little of a line's direction
BETWEEN_DEG = 3.0
MOST_BETWEEN = 8000


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A place on a line where marks stand.

    `forward` is an arrowhead pointing to greater `along`, `backward` one pointing to less, `even`
    a tick, dot or ring.
    """

    along: float
    forward: Mark | None = None
    backward: Mark | None = None
    even: Mark | None = None

    @property
    def marks(self) -> tuple[Mark, ...]:
        """All marks here."""
        return tuple(m for m in (self.forward, self.backward, self.even) if m is not None)


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkedLine:
    """A line, the strokes that draw it, and its places in order."""

    line: Line
    strokes: Indices
    spans: tuple[tuple[float, float], ...]
    pieces: Floats
    places: tuple[Place, ...]
    width: float


def find_marked_lines(ink: Ink, marks: list[Mark]) -> list[MarkedLine]:
    """Every line that could be a dimension line."""
    grid = _MarkGrid(marks, play=ON_LINE_PT + ink.play)
    ticks, crossed = _tick_crossings(ink)
    lines = [
        *_lines_of_arrows(ink, marks),
        *_lines_of_even_marks(ink, marks),
        *(ink.line_of(int(j)) for j in np.unique(crossed)),
    ]
    drawn_by_hand = ink.waver >= WAVERS_PT
    between = _between_marks(ink, lines, grid) if drawn_by_hand else lines_between_aimed(ink, marks)
    between = [*between, *lines_filled(marks)]
    by_hand = {id(line): beside for line, beside in between}
    lines = _distinct([*(line for line, _ in between), *lines])
    # a tick that is known to measure along one line is no tick of another, and a head holds none
    aimed = [i for m in marks if m.is_arrow or m.ux or m.uy for i in m.strokes]
    pool = np.setdiff1d(ticks, np.array(aimed, np.intp))
    found = []
    for line in lines:
        marked = _mark_line(ink, line, grid, pool, beside=by_hand.get(id(line), 0.0))
        if marked is not None:
            found.append(marked)
    return found


def _between_marks(ink: Ink, lines: list[Line], grid: _MarkGrid) -> list[tuple[Line, float]]:
    """Lines from mark to mark, about along lines that were drawn: truer than any piece of them.

    With each comes how far beside it its pieces may lie.
    """
    found: list[tuple[Line, float]] = []
    tried: set[tuple[int, int]] = set()
    for line in lines:
        along, aside = line.places(grid.points)
        room = ON_LINE_PT + ink.play + np.minimum(LOOSE_SINE * np.abs(along), LOOSE_PT)
        near = np.flatnonzero(np.abs(aside) < room)
        for i, j in pairwise(near[np.argsort(along[near])].tolist()):
            (ax, ay), (bx, by) = grid.points[i], grid.points[j]
            far = math.hypot(bx - ax, by - ay)
            if far < MIN_BETWEEN_PT or (i, j) in tried:
                continue
            between = Line(float(ax), float(ay), float((bx - ax) / far), float((by - ay) / far))
            turn = between.turned_from(line.ux, line.uy)
            if turn < BETWEEN_DEG + math.degrees(ink.play / far):
                tried |= {(i, j), (j, i)}
                beside = max(BESIDE_PT, min(BOW * far, MOST_BOW_PT))
                if _share_drawn(ink, between, far, beside=beside) > DRAWN:
                    found.append((between, beside))
        if len(tried) > MOST_BETWEEN:  # a sheet of noise
            break
    return found


def _share_drawn(ink: Ink, line: Line, length: float, *, beside: float = BESIDE_PT) -> float:
    """How much of a line is there, from its own point on; a text may stand in it."""
    strokes, pieces = ink.on_line(line, beside=beside)
    return covered(merge_spans(pieces, 0.3), 0.0, length) / length if len(strokes) else 0.0


class _MarkGrid:
    """Marks as arrays, to find those on a line."""

    def __init__(self, marks: list[Mark], *, play: float = ON_LINE_PT) -> None:
        self.marks = marks
        self.play = play
        self.points = np.array([m.point for m in marks], float).reshape(-1, 2)

    def on(self, line: Line) -> Iterable[Mark]:
        if not self.marks:
            return ()
        _, aside = line.places(self.points)
        return (self.marks[int(i)] for i in np.flatnonzero(np.abs(aside) < self.play))


def _lines_of_arrows(ink: Ink, marks: list[Mark]) -> list[Line]:
    arrows = [m for m in marks if m.is_arrow]
    lines: list[Line] = []
    alone: list[Mark] = []
    shafts: list[tuple[Mark, Line]] = []
    for mark in arrows:
        shaft = find_shaft(ink, mark)
        if shaft is None:
            alone.append(mark)
        else:
            shafts.append((mark, _through(mark.point, ink.line_of(shaft))))
    lines = [line for _, line in shafts]
    # the truer line goes first: of two that are nearly one the first is kept
    led = _led_to_facing(ink, shafts, arrows) + _led_between_tails(ink, shafts)
    most = AXIS_DEG if ink.waver >= WAVERS_PT else FACING_DEG
    return led + lines + _facing(alone, arrows, most=most)


def _led_between_tails(ink: Ink, shafts: Sequence[tuple[Mark, Line]]) -> list[Line]:
    """Lines from tip to tip of two heads, where the short lines behind them just miss.

    Of ``->|5|<-`` only the tails are drawn, and of ``|<- 2 3/4 ->|`` little more where the number
    fills the room: too short to tell their direction well.
    """
    found = []
    for mark, line, other, its in heads_near_each_other(shafts):
        dx, dy = other.point.x - mark.point.x, other.point.y - mark.point.y
        far = math.hypot(dx, dy)
        if far < MIN_BETWEEN_PT or mark.ux * other.ux + mark.uy * other.uy > -LEANING_COSINE:
            continue
        led = Line(mark.point.x, mark.point.y, dx / far, dy / far)
        off = max(abs(line.place(other.point)[1]), abs(its.place(mark.point)[1]))
        way = mark.ux * led.ux + mark.uy * led.uy
        if off < ON_LINE_PT + ink.play or abs(way) < LEANING_COSINE:
            continue
        if _have_tails(ink, led, far, outside=way > 0):
            found.append(led)
    return found


def heads_near_each_other(
    shafts: Sequence[tuple[Mark, Line]],
) -> Iterator[tuple[Mark, Line, Mark, Line]]:
    """Give every two heads that stand no further apart than a line led between tails may be long.

    Parameters
    ----------
    shafts : sequence of (Mark, Line)
        Heads, each with the line of its shaft; a crowded sheet has thousands.

    Yields
    ------
    tuple of (Mark, Line, Mark, Line)
        In the order of `shafts`.
    """
    if len(shafts) < 2:
        return
    points = np.array([mark.point for mark, _ in shafts])
    reach = max(LONGEST_LED_PT, MOST_TAILS * LONGEST_TAIL_PT)
    for k, other in sorted(cKDTree(points).query_pairs(reach)):
        yield *shafts[k], *shafts[other]


def _have_tails(ink: Ink, led: Line, far: float, *, outside: bool) -> bool:
    """Whether behind the heads at both ends of a stretch a short line is drawn, about along it."""
    tails, sign = [], 1.0 if outside else -1.0
    for tip, way in ((led.at(0.0), -sign), (led.at(far), sign)):
        lengths = [
            float(ink.lengths[i])
            for i in ink.near(tip, 2.0)
            if not ink.curved[i]
            and MIN_SHAFT_PT < ink.lengths[i] < LONGEST_TAIL_PT
            and abs(led.ux * ink.units[i, 1] - led.uy * ink.units[i, 0])
            < max(TAIL_SINE, TAIL_OFF_PT / float(ink.lengths[i]))
            and way * ((ink.middles[i, 0] - tip.x) * led.ux + (ink.middles[i, 1] - tip.y) * led.uy)
            > 0
        ]
        tails.append(max(lengths, default=0.0))
    most = MOST_TAILS * max(tails) if outside else LONGEST_LED_PT
    return min(tails) > 0 and far < most


def _led_to_facing(
    ink: Ink, shafts: Sequence[tuple[Mark, Line]], arrows: Sequence[Mark]
) -> list[Line]:
    """Lines from head to head where a shaft, led on, just misses the other head.

    The first of many long dashes tells the direction of their line none too well.
    """
    points = np.array([m.point for m in arrows], float).reshape(-1, 2)
    found = []
    for mark, line in shafts:
        dx, dy = points[:, 0] - mark.point.x, points[:, 1] - mark.point.y
        back = -(dx * mark.ux + dy * mark.uy)
        aside = np.abs(line.ux * dy - line.uy * dx)
        missed = (aside > ON_LINE_PT + ink.play) & (aside < LED_SINE * back)
        for k in map(int, np.flatnonzero(missed)):
            far = math.hypot(dx[k], dy[k])
            led = Line(mark.point.x, mark.point.y, float(dx[k]) / far, float(dy[k]) / far)
            apart = mark.ux * arrows[k].ux + mark.uy * arrows[k].uy < -FACING_COSINE
            if apart and _share_drawn(ink, led, far) > LED_DRAWN:
                found.append(led)
    return found


def _through(p: Point, line: Line) -> Line:
    along, _ = line.place(p)
    at = line.at(along)
    return Line(at.x, at.y, line.ux, line.uy)


def find_shaft(ink: Ink, mark: Mark, *, behind: bool = False) -> int | None:
    """Find the stroke an arrowhead sits on: through the tip, behind it, or beyond it if allowed."""
    best: tuple[float, int] | None = None
    reach = mark.size + SHAFT_REACH_PT
    for probe in (0.0, mark.size, reach):
        p = (mark.point.x - probe * mark.ux, mark.point.y - probe * mark.uy)
        for i in ink.near(p, 2.0):
            if i in mark.strokes or ink.lengths[i] < MIN_SHAFT_PT or ink.curved[i]:
                continue
            line = ink.line_of(i)
            if line.turned_from(mark.ux, mark.uy) > AXIS_DEG:
                continue
            along, aside = line.place(mark.point)
            gap = max(-along, along - float(ink.lengths[i]), 0.0)
            if abs(aside) > ON_LINE_PT + ink.play or gap > reach:
                continue
            mx, my = (float(v) for v in ink.middles[i])
            if behind and (mx - mark.point.x) * mark.ux + (my - mark.point.y) * mark.uy > -1.0:
                continue
            cost = gap + 4 * abs(aside) - 0.02 * min(float(ink.lengths[i]), 200.0)
            if best is None or cost < best[0]:
                best = (cost, i)
    return None if best is None else best[1]


def _facing(alone: list[Mark], arrows: list[Mark], *, most: float) -> list[Line]:
    """Lines through two arrowheads on one axis, for heads without a shaft.

    One of them points along it, or both, where they are near, but for `most` degrees.
    """
    lines = []
    for a in alone:
        for b in arrows:
            if b is a or a.ux * b.ux + a.uy * b.uy > -math.cos(math.radians(AXIS_DEG)):
                continue
            dx, dy = b.point.x - a.point.x, b.point.y - a.point.y
            far = math.hypot(dx, dy)
            if far < 2.0:
                continue
            line = Line(a.point.x, a.point.y, dx / far, dy / far)
            turned = [line.turned_from(m.ux, m.uy) for m in (a, b)]
            if turned[0] < FACING_DEG or (far < LONGEST_LED_PT and max(turned) < most):
                lines.append(line)
    return lines


def _lines_of_even_marks(ink: Ink, marks: list[Mark]) -> list[Line]:
    lines = []
    even = [m for m in marks if not m.is_arrow]
    for mark in even:
        through = _strokes_through(ink, mark.point, 1.6 * mark.size + 1.5, mark.strokes)
        own = Line(*mark.point, mark.ux, mark.uy)
        lines += [own, *_across(own, through)] if mark.tailed else through
    return lines


def _across(own: Line, lines: Sequence[Line]) -> list[Line]:
    """Those of some lines that do not run about along one."""
    return [line for line in lines if own.turned_from(line.ux, line.uy) > AIMED_DEG]


def _tick_crossings(ink: Ink) -> tuple[Indices, Indices]:
    """Short strokes, and the long ones that pass slantwise through their middles, pair by pair."""
    short = ink.straight[
        (ink.lengths[ink.straight] > MIN_TICK_PT) & (ink.lengths[ink.straight] < MAX_TICK_PT)
    ]
    point, other = ink.long_through(ink.middles[short], TICK_ASIDE_PT)
    tick = short[point]
    d = ink.middles[tick] - ink.ends[other, :2]
    u, v = ink.units[other], ink.units[tick]
    along = (d * u).sum(axis=1)
    aside = np.abs(u[:, 0] * d[:, 1] - u[:, 1] * d[:, 0])
    sine = np.abs(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0])
    good = (
        (aside < TICK_ASIDE_PT)
        & (along > -TICK_ASIDE_PT)
        & (along < ink.lengths[other] + TICK_ASIDE_PT)
        & (sine > math.sin(math.radians(MIN_TICK_DEG)))
        & (sine < math.sin(math.radians(MAX_TICK_DEG)))
    )
    return tick[good], other[good]


def _strokes_through(ink: Ink, p: Point, reach: float, but: frozenset[int]) -> list[Line]:
    lines = []
    for i in ink.near(p, reach):
        if i in but or ink.lengths[i] < MIN_SHAFT_PT or ink.curved[i]:
            continue
        line = ink.line_of(i)
        along, aside = line.place(p)
        on_line = abs(aside) < ON_LINE_PT + ink.play
        if on_line and -reach < along < ink.lengths[i] + reach:
            lines.append(_through(p, line))
    return lines


def _distinct(lines: list[Line]) -> list[Line]:
    kept: list[Line] = []
    bins: dict[tuple[int, int], list[Line]] = {}
    for line in lines:
        turn = math.degrees(math.atan2(line.uy, line.ux)) % 180.0
        offset = line.ux * line.y - line.uy * line.x
        if turn > 179.5:
            turn, offset = turn - 180.0, -offset
        elif line.uy < 0 or (line.uy == 0 and line.ux < 0):
            offset = -offset
        key_turn, key_offset = round(turn * 2), round(offset / 2)
        near = [
            other
            for i in (-1, 0, 1)
            for j in range(-3, 4)
            for other in bins.get((key_turn + i, key_offset + j), ())
        ]
        if any(_is_same_line(line, other) for other in near):
            continue
        kept.append(line)
        bins.setdefault((key_turn, key_offset), []).append(line)
    return kept


def _is_same_line(a: Line, b: Line) -> bool:
    return a.turned_from(b.ux, b.uy) < SAME_LINE_DEG and abs(b.place((a.x, a.y))[1]) < 0.3


def _mark_line(
    ink: Ink, line: Line, grid: _MarkGrid, pool: Indices, *, beside: float = 0.0
) -> MarkedLine | None:
    strokes, pieces = ink.on_line(line, beside=beside)
    spans = merge_spans(pieces, 0.3) if len(strokes) else []
    on: list[tuple[float, Mark, int]] = []
    for mark in grid.on(line):
        along, _ = line.place(mark.point)
        if not mark.is_arrow:
            if _may_measure(mark, line):
                on.append((along, mark, 0))
        elif line.turned_from(mark.ux, mark.uy) < AXIS_DEG:
            on.append((along, mark, 1 if mark.ux * line.ux + mark.uy * line.uy > 0 else -1))
    ticks = _ticks_on(ink, line, spans, strokes, pool)
    on += [(along, mark, 0) for along, mark in ticks if not _is_known(along, mark, on)]
    if len(on) < 2 and not any(way for _, _, way in on):
        return None
    longest = strokes[np.argmax(pieces[:, 1] - pieces[:, 0])] if len(strokes) else None
    width = 0.0 if longest is None else float(ink.widths[longest])
    return MarkedLine(
        line=line,
        strokes=strokes,
        spans=tuple(spans),
        pieces=pieces,
        places=tuple(_places(on)),
        width=width,
    )


def _is_known(along: float, tick: Mark, on: list[tuple[float, Mark, int]]) -> bool:
    """Whether a slash among the strokes is one of the marks that stand on the line already."""
    return any(
        way == 0
        and (
            bool(tick.strokes & mark.strokes)
            or (abs(place - along) < SAME_TICK_PT and mark.kind is MarkKind.TICK)
        )
        for place, mark, way in on
    )


def _may_measure(mark: Mark, line: Line) -> bool:
    """Whether a tick, dot or ring may measure along a line: those of pictures may know theirs."""
    known = mark.ux != 0.0 or mark.uy != 0.0
    return not known or line.turned_from(mark.ux, mark.uy) < AIMED_DEG


def _ticks_on(
    ink: Ink, line: Line, spans: list[tuple[float, float]], own: Indices, pool: Indices
) -> list[tuple[float, Mark]]:
    """Short strokes whose middle lies on the line, turned from it, where the line has ink."""
    if not spans:
        return []
    m, u = ink.middles[pool], ink.units[pool]
    _, aside = line.places(m)
    short = np.abs(aside) < TICK_ASIDE_PT
    sine = np.abs(u[:, 0] * line.uy - u[:, 1] * line.ux)
    short &= (sine > math.sin(math.radians(MIN_TICK_DEG))) & (
        sine < math.sin(math.radians(MAX_TICK_DEG))
    )
    ticks = []
    mine = set(map(int, own))
    for i in map(int, pool[short]):
        along, _ = line.place((float(ink.middles[i, 0]), float(ink.middles[i, 1])))
        if i in mine or not any(a - 1.0 <= along <= b + 1.0 for a, b in spans):
            continue
        mark = Mark(
            kind=MarkKind.TICK,
            point=line.at(along),
            size=float(ink.lengths[i]),
            strokes=frozenset((i,)),
        )
        ticks.append((along, mark))
    return ticks


def _places(on: list[tuple[float, Mark, int]]) -> list[Place]:
    places: list[Place] = []
    for along, mark, way in sorted(on, key=lambda row: row[0]):
        if places and along - places[-1].along < SAME_PLACE_PT:
            old = places[-1]
            places[-1] = Place(
                along=old.along,
                forward=mark if way > 0 and old.forward is None else old.forward,
                backward=mark if way < 0 and old.backward is None else old.backward,
                even=mark if way == 0 and old.even is None else old.even,
            )
        else:
            places.append(
                Place(
                    along=along,
                    forward=mark if way > 0 else None,
                    backward=mark if way < 0 else None,
                    even=mark if way == 0 else None,
                )
            )
    return places
