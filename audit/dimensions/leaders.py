"""Leaders: drawn paths from a feature or a dimension line to a text."""

from __future__ import annotations

import math
from dataclasses import dataclass

from audit.dimensions.candidates import TextPlace
from audit.dimensions.ink import Ink, Line
from audit.geometry import Point

JOINED_PT = 1.0
MAX_BENDS = 3
ON_LINE_PT = 0.6
MIN_LEADER_PT = 5.0
MIN_TURN_DEG = 12.0
CLEAR_OF_ENDS_PT = 1.5  # extension lines begin at the ends, leaders between them
SEARCH_PT = 40.0


@dataclass(frozen=True, slots=True)
class Leader:
    """A drawn path from its tip to its tail at the text, stretch by stretch."""

    tip: Point
    stretches: tuple[tuple[Line, float], ...]
    strokes: frozenset[int]

    @property
    def path(self) -> tuple[Point, ...]:
        """Tip, bends, tail."""
        return (self.tip, *(line.at(length) for line, length in self.stretches))


def stretch(a: Point, b: Point) -> tuple[Line, float]:
    """Return the line from one point to another, and its length."""
    far = max(a.distance(b), 1e-6)
    return Line(a.x, a.y, (b.x - a.x) / far, (b.y - a.y) / far), far


def follow(ink: Ink, tip: Point, first: int, tail: Point, known: frozenset[int]) -> Leader:
    """Collect the stretches of a leader from its tip to its tail, over at most a few bends."""
    strokes = {first, *known, *along_with(ink, first)}
    stretches = [stretch(tip, tail)]
    for _ in range(MAX_BENDS):
        step = next_stroke(ink, tail, strokes)
        if step is None:
            break
        i, far = step
        strokes.add(i)
        stretches.append(stretch(tail, far))
        tail = far
    return Leader(tip, tuple(stretches), frozenset(strokes))


def along_with(ink: Ink, first: int) -> set[int]:
    """Strokes that continue one in its own direction, end to end: one line drawn in pieces."""
    which, pieces = ink.on_line(ink.line_of(first))
    low, high = 0.0, float(ink.lengths[first])
    found = {first}
    for _ in range(len(which)):
        more = (pieces[:, 1] > low - JOINED_PT) & (pieces[:, 0] < high + JOINED_PT)
        if not more.any():
            break
        found = {int(i) for i in which[more]} | {first}
        a, b = min(low, float(pieces[more, 0].min())), max(high, float(pieces[more, 1].max()))
        if (a, b) == (low, high):
            break
        low, high = a, b
    return found


def next_stroke(ink: Ink, tail: Point, known: set[int]) -> tuple[int, Point] | None:
    """Find the one stroke that begins where a leader ends; `None` at a crossing of several."""
    near = []
    for i in ink.near(tail, JOINED_PT):
        if i in known or ink.lengths[i] < 1.0:
            continue
        a, b = ink.end_points(i)
        if a.distance(tail) < JOINED_PT:
            near.append((i, b))
        elif b.distance(tail) < JOINED_PT:
            near.append((i, a))
    return near[0] if len(near) == 1 else None


def text_places(leader: Leader) -> tuple[TextPlace, ...]:
    """Text stands on any stretch, or beyond the tail: on its shoulder or level beside it."""
    places = [
        TextPlace(line=line, low=0.0, high=length, ink=((0.0, length),))
        for line, length in leader.stretches
    ]
    return (*places, *tail_places(leader))


def tail_places(leader: Leader) -> tuple[TextPlace, ...]:
    """Places for a text at the far end only."""
    line, length = leader.stretches[-1]
    places = [TextPlace(line=line, low=0.0, high=length, ink=((0.0, length),), tail=True)]
    tail = line.at(length)
    for ux, uy in ((1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)):
        if ux * line.ux + uy * line.uy > 0.05:
            level = Line(tail.x, tail.y, ux, uy)
            places.append(TextPlace(line=level, low=-0.5, high=0.0, ink=(), tail=True))
    return tuple(places)


def leaders_from(ink: Ink, line: Line, low: float, high: float) -> list[Leader]:
    """Leaders that begin on a dimension line between its ends, and carry its text elsewhere."""
    middle = (low + high) / 2
    reach = min((high - low) / 2, SEARCH_PT)
    found = []
    for i in ink.near(line.at(middle), reach):
        if ink.lengths[i] < MIN_LEADER_PT or ink.curved[i]:
            continue
        if line.turned_from(*map(float, ink.units[i])) < MIN_TURN_DEG:
            continue
        a, b = ink.end_points(i)
        for start, far in ((a, b), (b, a)):
            along, aside = line.place(start)
            clear = low + CLEAR_OF_ENDS_PT < along < high - CLEAR_OF_ENDS_PT
            if clear and abs(aside) < ON_LINE_PT:
                leader = follow(ink, start, i, far, frozenset())
                # the rim of a ring begins on the line too, and leads nowhere
                if abs(line.place(leader.path[-1])[1]) >= MIN_LEADER_PT:
                    found.append(leader)
    return found


def unit(a: Point, b: Point) -> tuple[float, float]:
    """Return the unit direction from one point to another."""
    far = max(math.hypot(b.x - a.x, b.y - a.y), 1e-9)
    return (b.x - a.x) / far, (b.y - a.y) / far
