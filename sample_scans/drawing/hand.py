"""From a clean drawing to one by hand: every mark becomes pen lines that waver a little.

The wavering is zero on average, so that a dimension stays where the truth says.
"""

from __future__ import annotations

import itertools
import math
import random
from dataclasses import dataclass

from drawing.lettering import ALPHABET, BETWEEN, pen_points
from drawing.marks import Arc, Fill, Mark, Point, Run, Stroke, angle_of, dash_up, distance, step

WAVER = 0.0016  # inches, largest sideways step of a ruled line
KNOT = 0.45  # inches between two such steps
PIECE = 0.06  # inches, longest straight piece of a wavering line
OVERSHOOT = 0.014  # inches by which visible edges cross at corners
LETTER_TURN = 1.6  # degrees, largest
LETTER_SHIFT = 0.035  # of the letter height
LETTER_PEN = 0.1  # pen over letter height: ISO 3098, type B
INK = (0.82, 1.0)  # how dark a line comes out


@dataclass(frozen=True, kw_only=True)
class PenLine:
    """A row of points drawn with a round pen; `ink` 1 is black."""

    points: tuple[Point, ...]
    width: float
    ink: float


@dataclass(frozen=True, kw_only=True)
class Wedge:
    """A filled triangle."""

    points: tuple[Point, ...]
    ink: float


def by_hand(marks: list[Mark], seed: int) -> tuple[list[PenLine], list[Wedge]]:
    """Redraw marks with an unsteady hand. `random.Random.random` is the same everywhere."""
    rng = random.Random(seed)
    lines: list[PenLine] = []
    wedges: list[Wedge] = []
    for mark in marks:
        ink = rng.uniform(*INK)
        if isinstance(mark, Stroke):
            lines += _ruled(mark, ink, rng)
        elif isinstance(mark, Arc):
            lines.append(_compass(mark, ink, rng))
        elif isinstance(mark, Fill):
            wedges.append(Wedge(points=mark.points, ink=ink))
        else:
            lines += _lettered(mark, ink, rng)
    return lines, wedges


def _ruled(stroke: Stroke, ink: float, rng: random.Random) -> list[PenLine]:
    points = [*stroke.points, stroke.points[0]] if stroke.closed else list(stroke.points)
    if stroke.dash:
        cut = dash_up(points, stroke.dash)
        return [PenLine(points=tuple(c), width=stroke.width, ink=ink) for c in cut]
    lines = []
    for a, b in itertools.pairwise(points):
        over = OVERSHOOT if stroke.width > 0.02 and distance(a, b) > 0.2 else 0.0
        row = _wavering(a, b, rng.uniform(0, over), rng.uniform(0, over), rng)
        lines.append(PenLine(points=row, width=stroke.width, ink=ink))
    return lines


def _wavering(
    a: Point, b: Point, before: float, after: float, rng: random.Random
) -> tuple[Point, ...]:
    angle, length = angle_of(a, b), distance(a, b)
    if length == 0.0:
        return a, b
    knots = max(1, round(length / KNOT))
    aside = [0.0, *(rng.uniform(-WAVER, WAVER) for _ in range(knots - 1)), 0.0]
    pieces = max(1, math.ceil(length / PIECE))
    row = [step(a, angle, -before)] if before else []
    for i in range(pieces + 1):
        where = i / pieces * knots
        left = min(int(where), knots - 1)
        share = where - left
        share = share * share * (3 - 2 * share)
        row.append(
            step(a, angle, length * i / pieces, aside[left] * (1 - share) + aside[left + 1] * share)
        )
    return tuple(row + ([step(b, angle, after)] if after else []))


def _compass(arc: Arc, ink: float, rng: random.Random) -> PenLine:
    phases = [(n, rng.uniform(-WAVER, WAVER) / 2, rng.uniform(0, 360)) for n in (2, 3, 5)]
    pieces = max(12, math.ceil(abs(math.radians(arc.sweep)) * arc.radius / PIECE * 1.5))
    row = []
    for i in range(pieces + 1):
        angle = arc.start + arc.sweep * i / pieces
        off = sum(size * math.cos(math.radians(n * angle + phase)) for n, size, phase in phases)
        row.append(step(arc.centre, angle, arc.radius + min(off, arc.radius / 50)))
    return PenLine(points=tuple(row), width=arc.width, ink=ink)


def _lettered(run: Run, ink: float, rng: random.Random) -> list[PenLine]:
    lines, x, unit = [], 0.0, run.height / 6
    for letter in run.text:
        width, pens = ALPHABET[letter]
        turn = run.angle + rng.uniform(-LETTER_TURN, LETTER_TURN)
        size = unit * rng.uniform(0.97, 1.04)
        shift = rng.uniform(-LETTER_SHIFT, LETTER_SHIFT) * run.height
        start = step(run.origin, run.angle, x * unit + rng.uniform(-0.15, 0.15) * unit, shift)
        for pen in pens:
            row = [
                _unsteady(step(start, turn, px * size, py * size), unit, rng)
                for px, py in pen_points(pen)
            ]
            pen_width = run.height * LETTER_PEN * rng.uniform(0.92, 1.08)
            lines.append(PenLine(points=tuple(row), width=pen_width, ink=ink))
        x += width + BETWEEN
    return lines


def _unsteady(point: Point, unit: float, rng: random.Random) -> Point:
    return point[0] + rng.uniform(-0.09, 0.09) * unit, point[1] + rng.uniform(-0.09, 0.09) * unit
