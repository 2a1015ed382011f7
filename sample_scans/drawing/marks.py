"""What a sheet is made of: strokes, arcs, fills and runs of lettering, in inches of the drawing.

The origin is the top left corner of the sheet, x to the right, y down. Angles are degrees,
counter-clockwise as seen.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

Point = tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class Stroke:
    """A pen line through some points; `dash` holds lengths on, off, on, off … in inches."""

    points: tuple[Point, ...]
    width: float
    dash: tuple[float, ...] = ()
    closed: bool = False


@dataclass(frozen=True, kw_only=True)
class Arc:
    """A circular pen line; `sweep` 360 is a full circle."""

    centre: Point
    radius: float
    width: float
    start: float = 0.0
    sweep: float = 360.0
    dash: tuple[float, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Fill:
    """A filled triangle: an arrowhead."""

    points: tuple[Point, Point, Point]


@dataclass(frozen=True, kw_only=True)
class Run:
    """Letters on one base line that starts at `origin`; `height` is that of a capital."""

    text: str
    origin: Point
    angle: float
    height: float


Mark = Stroke | Arc | Fill | Run


def direction(angle: float) -> Point:
    """Return the unit step in a direction; exact for quarter turns."""
    quarter = {0.0: (1.0, 0.0), 90.0: (0.0, -1.0), 180.0: (-1.0, 0.0), 270.0: (0.0, 1.0)}
    turn = angle % 360.0
    if turn in quarter:
        return quarter[turn]
    return math.cos(math.radians(angle)), -math.sin(math.radians(angle))


def step(start: Point, angle: float, along: float, up: float = 0.0) -> Point:
    """Walk `along` in a direction and `up` to its left."""
    ux, uy = direction(angle)
    return start[0] + along * ux + up * uy, start[1] + along * uy - up * ux


def distance(a: Point, b: Point) -> float:
    return math.sqrt((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2)


def angle_of(a: Point, b: Point) -> float:
    """Direction from `a` to `b`, in [0, 360)."""
    if a[1] == b[1]:
        return 0.0 if b[0] >= a[0] else 180.0
    if a[0] == b[0]:
        return 90.0 if b[1] < a[1] else 270.0
    return math.degrees(math.atan2(a[1] - b[1], b[0] - a[0])) % 360.0


def points_of_arc(arc: Arc, longest: float) -> list[Point]:
    """Points along an arc, no further than `longest` apart."""
    pieces = max(8, math.ceil(abs(math.radians(arc.sweep)) * arc.radius / longest))
    angles = (arc.start + arc.sweep * i / pieces for i in range(pieces + 1))
    return [step(arc.centre, a, arc.radius) for a in angles]


def dash_up(points: Sequence[Point], pattern: Sequence[float]) -> list[list[Point]]:
    """Cut a line into the dashes of a pattern (lengths on, off, …)."""
    dashes: list[list[Point]] = []
    index, left, current = 0, pattern[0], [points[0]]
    for a, b in itertools.pairwise(points):
        done, length = 0.0, distance(a, b)
        while length - done > left:
            done += left
            here = (a[0] + (b[0] - a[0]) * done / length, a[1] + (b[1] - a[1]) * done / length)
            if index % 2 == 0:
                dashes.append([*current, here])
            index, current = index + 1, [here]
            left = pattern[index % len(pattern)]
        left -= length - done
        current.append(b)
    if index % 2 == 0 and len(current) > 1:
        dashes.append(current)
    return dashes


def box_around(points: Iterable[Point]) -> tuple[float, float, float, float]:
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)
