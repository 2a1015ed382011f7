"""A view as a third company of drafters sketches it: its edges, and the sizes asked of it.

Legend: x and y are inches of the part from its lower left corner, y up; mm are of the paper from
the same corner, y down. Edges that share an x or a y were measured off once and stand off alike.
Sizes are told here and set out by `hand3_sizes`, when everything else is drawn.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction

import numpy as np

from tests.bench.hand3_letters import Script
from tests.bench.hand3_pen import Stroke, Tool, dashes, rule, sweep
from tests.bench.hand3_units import writes
from tests.bench.hand_pen import XY, Rng

BROKEN = {"hidden": (2.6, 1.1), "centre": (7.0, 1.0, 1.2, 1.0)}
BEYOND_CIRCLE = 2.5  # mm that centre lines run past a rim
Place = tuple[Fraction, Fraction]


@dataclass(frozen=True, slots=True, kw_only=True)
class Habit:
    """How somebody draws and dimensions; lengths in mm.

    Attributes
    ----------
    unit : str
        "inch", "foot", "decimal", "mm" or "cm".
    mark : str
        Stands after a size.
    number : str
        Where numbers stand: "gap", "above", "below".
    turned : bool
        Whether numbers of upright lines are turned with them.
    head : str
    head_size, away, pitch, gap, beyond : float
        Of heads; first line from the outline; lines from one another; of extension lines.
    inside : bool
        Whether sizes run across the part where they can.
    chain : bool
        Whether he rather draws a chain than lines from one edge.
    radius, bore : str
        How they are called.
    """

    tool: Tool
    script: Script
    unit: str
    number: str
    turned: bool
    head: str
    head_size: float
    away: float
    pitch: float
    gap: float
    beyond: float
    mark: str = ""
    inside: bool = False
    chain: bool = True
    radius: str = "R {}"
    bore: str = "{} DIA"


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A linear size to be set out: along "x" or "y" from `first` to `last`.

    `side`: "below", "above", "left", "right", the how many-th line out in `row`; or "at", across
    the part at `level`. `feet`: where the features stand, across.
    """

    way: str
    first: Fraction
    last: Fraction
    side: str
    row: int
    feet: tuple[Fraction, Fraction]
    level: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Called:
    """A hole or an arc called by a leader: centre, mm, and where the leader points to."""

    kind: str
    centre: XY
    radius: float
    size: Fraction
    angle: float


@dataclass(slots=True)
class Sketch:
    """A view in the making; `scale` in mm to an inch."""

    habit: Habit
    rng: Rng
    scale: float
    strokes: list[Stroke] = field(default_factory=list)
    asked: list[Asked] = field(default_factory=list)
    called: list[Called] = field(default_factory=list)
    titles: list[str] = field(default_factory=list)
    _off: dict[tuple[str, Fraction], float] = field(default_factory=dict)

    def along(self, way: str, v: Fraction) -> float:
        """Where an edge stands, mm."""
        if (way, v) not in self._off:
            edge = self.habit.tool.edge
            self._off[way, v] = float(np.clip(self.rng.normal(0, edge), -2 * edge, 2 * edge))
        off = self._off[way, v] + float(v) * self.scale
        return off if way == "x" else -off

    def at(self, x: Fraction, y: Fraction) -> XY:
        """Where a place stands, mm."""
        return self.along("x", x), self.along("y", y)

    def line(self, a: Place, b: Place, kind: str = "edge") -> None:
        """Draw an "edge", a "thin" line, a "hidden" or a "centre" one."""
        tool = self.habit.tool
        ends = self.at(*a), self.at(*b)
        if kind in BROKEN:
            self.strokes += dashes(*ends, tool, self.rng, BROKEN[kind])
            return
        width = tool.heavy if kind == "edge" else tool.light
        width *= float(self.rng.uniform(0.88, 1.12))
        self.strokes.append(rule(*ends, tool, self.rng, width=width))

    def shape(self, places: Sequence[Place], kind: str = "edge", *, closed: bool = True) -> None:
        """Draw lines from place to place."""
        around = [*places, places[0]] if closed else places
        for a, b in itertools.pairwise(around):
            self.line(a, b, kind)

    def box(
        self, x: Fraction, y: Fraction, wide: Fraction, high: Fraction, kind: str = "edge"
    ) -> None:
        """Draw a rectangle from its lower left corner."""
        self.shape([(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)], kind)

    def arc(self, centre: Place, radius: Fraction, turn: XY, kind: str = "edge") -> None:
        """Draw an arc from angle to angle, degrees."""
        tool = self.habit.tool
        width = tool.heavy if kind == "edge" else tool.light
        r = float(radius) * self.scale
        self.strokes.append(sweep(self.at(*centre), r, turn, tool, self.rng, width=width))

    def bow(self, a: Place, b: Place, rise: Fraction) -> None:
        """Draw a shallow arc through two places, its middle so far aside (left of the way)."""
        (ax, ay), (bx, by) = self.at(*a), self.at(*b)
        half, up = math.hypot(bx - ax, by - ay) / 2, float(rise) * self.scale
        r = (half**2 + up**2) / (2 * abs(up))
        u = ((bx - ax) / (2 * half), (by - ay) / (2 * half))
        side = math.copysign(r - abs(up), -up)
        middle = ((ax + bx) / 2 + u[1] * side, (ay + by) / 2 - u[0] * side)
        start = math.degrees(math.atan2(middle[1] - ay, ax - middle[0]))
        end = math.degrees(math.atan2(middle[1] - by, bx - middle[0]))
        swept = (end - start + 180) % 360 - 180
        tool = self.habit.tool
        turn = (start, start + swept)
        self.strokes.append(sweep(middle, r, turn, tool, self.rng, width=tool.heavy))

    def round(self, centre: Place, size: Fraction, *, crossed: bool = True) -> None:
        """Draw a circle of a diameter, with its centre lines."""
        self.arc(centre, size / 2, (0.0, 360.0))
        if crossed:
            x, y = self.at(*centre)
            reach = float(size) * self.scale / 2 + BEYOND_CIRCLE
            tool, marks = self.habit.tool, (reach * 0.6, 0.8, 1.0, 0.8)
            self.strokes += dashes((x - reach, y), (x + reach, y), tool, self.rng, marks)
            self.strokes += dashes((x, y - reach), (x, y + reach), tool, self.rng, marks)

    def call(self, kind: str, centre: Place, size: Fraction, angle: float) -> None:
        """Call a "diameter" or a "radius" by a leader that comes from an angle, degrees.

        What cannot be written in his unit is not called.
        """
        if not writes(size, self.habit.unit):
            return
        r = float(size) * self.scale / (2 if kind == "diameter" else 1)
        self.called.append(
            Called(kind=kind, centre=self.at(*centre), radius=r, size=size, angle=angle)
        )

    def hatch(
        self, x: Fraction, y: Fraction, wide: Fraction, high: Fraction, pitch: float = 2.0
    ) -> None:
        """Hatch a rectangle: slanting lines, mm apart."""
        (left, low), (right, top) = self.at(x, y), self.at(x + wide, y + high)
        tool, v = self.habit.tool, left - (low - top)
        while v < right:
            v += pitch * float(self.rng.uniform(0.8, 1.2))
            a, b = max(left, v), min(right, v + low - top)
            if b - a > 0.6:
                ends = (a, low - (a - v)), (b, low - (b - v))
                self.strokes.append(rule(*ends, tool, self.rng, width=0.8 * tool.light, over=0.1))

    def grain(
        self, x: Fraction, y: Fraction, wide: Fraction, high: Fraction, count: int = 3
    ) -> None:
        """Hint at the wood: short lines along it."""
        (left, low), (right, top) = self.at(x, y), self.at(x + wide, y + high)
        tool, level = self.habit.tool, right - left > low - top
        for _ in range(count):
            u, v, reach = (float(k) for k in self.rng.uniform((0.1, 0.2, 0.1), (0.6, 0.8, 0.3)))
            a = (left + u * (right - left), top + v * (low - top))
            b = (a[0] + reach * (right - left), a[1] + float(self.rng.normal(0, 0.5)))
            if not level:
                a = (left + v * (right - left), top + u * (low - top))
                b = (a[0] + float(self.rng.normal(0, 0.3)), a[1] + reach * (low - top))
            self.strokes.append(rule(a, b, tool, self.rng, width=0.7 * tool.light))

    def size(
        self, way: str, first: Fraction, last: Fraction, side: str, row: int = 0,
        *, feet: tuple[Fraction, Fraction] | Fraction | None = None, across: Fraction | None = None,
    ) -> None:  # fmt: skip
        """Ask for a size; `across` is where its line could run across the part.

        What cannot be written in his unit is not asked.
        """
        if not writes(last - first, self.habit.unit):
            return
        if across is not None and self.habit.inside:
            spot = (across, across)
            self.asked.append(
                Asked(way=way, first=first, last=last, side="at", row=0, feet=spot, level=across)
            )
            return
        pair = feet if isinstance(feet, tuple) else (feet or Fraction(0), feet or Fraction(0))
        self.asked.append(Asked(way=way, first=first, last=last, side=side, row=row, feet=pair))

    def within(self, way: str, first: Fraction, last: Fraction, level: Fraction) -> None:
        """Ask for a size that runs across the part whoever draws it."""
        if not writes(last - first, self.habit.unit):
            return
        spot = (level, level)
        self.asked.append(
            Asked(way=way, first=first, last=last, side="at", row=0, feet=spot, level=level)
        )

    def run(
        self, way: str, stops: Sequence[Fraction], side: str, row: int = 0,
        *, feet: Fraction = Fraction(0), whole: bool = True,
    ) -> None:  # fmt: skip
        """Ask for sizes from stop to stop, and for the `whole`: a chain, or each from the first."""
        for k, (a, b) in enumerate(itertools.pairwise(stops)):
            if self.habit.chain:
                self.size(way, a, b, side, row, feet=feet)
            elif whole or k < len(stops) - 2:
                self.size(way, stops[0], b, side, row + k, feet=feet)
        if whole and self.habit.chain and len(stops) > 2:
            self.size(way, stops[0], stops[-1], side, row + 1, feet=feet)

    def title(self, text: str) -> None:
        """Name the view."""
        self.titles.append(text)
