"""Views drawn and dimensioned by hand: what is dimensioned is kept as truth.

Ends are where the lines really stand, the number is what is printed.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

import numpy as np

from tests.bench.hand_letters import Lettering, letter, paste
from tests.bench.hand_pen import PX_PER_MM, XY, Hand, Ink, Pen, Rng

STEP = Fraction(1, 16)
LEAST_MM = 6.0  # between two edges

Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Manner:
    """How a sheet is dimensioned: lengths in mm.

    `inline`: the text breaks its line; `aligned`: it runs along it; `decimal`: sizes are decimals;
    `gap` and `beyond` are of extension lines, `away` the first dimension line from the outline.
    """

    inline: bool
    aligned: bool
    decimal: bool
    gap: float
    beyond: float
    away: float
    radius: str
    drill: str
    lettering: Lettering


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """One size on a sheet: ends in mm of paper, `right` is what should be printed, inches.

    Kinds: "distance"; "beside", written at an edge without a line; "radius" and "diameter" with
    centre and a point of the rim, two points of the rim. `lettered` is where its text stands:
    left, top, right, bottom, mm of paper.
    """

    kind: str
    ends: tuple[XY, XY]
    text: str
    printed: Fraction
    right: Fraction
    pictorial: bool = False
    lettered: Box = (0.0, 0.0, 0.0, 0.0)

    @property
    def length_mm(self) -> float:
        """How long it is on the paper."""
        return math.dist(*self.ends)


@dataclass(slots=True)
class View:
    """A part in the making: where its corner lies (mm), mm to an inch, and its turn, degrees."""

    pen: Pen
    manner: Manner
    origin: XY
    per_inch: float
    turn: float = 0.0
    drawn: list[Drawn] = field(default_factory=list)
    plant: Callable[[Fraction], Fraction] = lambda right: right
    _off: dict[tuple[str, Fraction], float] = field(default_factory=dict)

    @property
    def rng(self) -> Rng:
        """Of the pen."""
        return self.pen.rng

    @property
    def hand(self) -> Hand:
        """Of the pen."""
        return self.pen.hand

    def at(self, x: Fraction, y: Fraction) -> XY:
        """Where a place of the part, inches from its lower left corner, stands on the paper."""
        return self.place(self._set("x", x), self._set("y", y))

    def place(self, x: float, y: float) -> XY:
        """Where a place of the view, mm from its corner and y up, stands on the paper."""
        c, s = math.cos(math.radians(self.turn)), math.sin(math.radians(self.turn))
        return self.origin[0] + c * x - s * y, self.origin[1] - s * x - c * y

    def _set(self, way: str, v: Fraction) -> float:
        if (way, v) not in self._off:
            sigma = self.hand.drafting
            self._off[way, v] = float(np.clip(self.rng.normal(0, sigma), -2 * sigma, 2 * sigma))
        return float(v) * self.per_inch + self._off[way, v]

    def outline(self, places: Sequence[tuple[Fraction, Fraction]]) -> None:
        """Draw an outline from place to place, closed."""
        self.pen.lines([self.at(*p) for p in places], width=self.hand.thick, closed=True)

    def spell(self, size: Fraction) -> str:
        """Spell a size as this sheet does."""
        if self.manner.decimal:
            return f"{float(size):.3f}".removeprefix("0") if size < 1 else f"{float(size):.3f}"
        whole, rest = divmod(size, 1)
        mark = self.manner.lettering.mark
        return (f"{whole} {rest}" if whole and rest else str(rest or whole)) + mark

    def across(
        self,
        way: str,
        first: Fraction,
        last: Fraction,
        *,
        level: float,
        feet: tuple[float, float],
        form: str = "{}",
    ) -> None:
        """Dimension between two edges: along `way`, its line at a level, mm of the view.

        `feet` are where the two features stand, mm across; extension lines run from there.
        """
        ends = []
        level = self._clear(way, level, feet, last - first, form)
        for v, foot in ((first, feet[0]), (last, feet[1])):
            ends.append(self._extension(way, self._set(way, v), foot, level))
        right = last - first
        printed = self.plant(right)
        text = form.format(self.spell(printed))
        self.drawn.append(
            Drawn(
                kind="distance",
                ends=(ends[0], ends[1]),
                text=text,
                printed=printed,
                right=right,
                lettered=self._line(ends[0], ends[1], text),
            )
        )

    def _clear(
        self, way: str, level: float, feet: tuple[float, float], size: Fraction, form: str
    ) -> float:
        """Set an upright line with a level text far enough from the part for its text."""
        if way == "x" or self.manner.aligned or not self.manner.inline:
            return level
        how = self.manner.lettering
        need = 0.5 * how.height * len(form.format(self.spell(size))) * how.tight + 2.0
        nearest = min(feet, key=lambda foot: abs(foot - level))
        return (
            level if abs(level - nearest) > need else nearest + math.copysign(need, level - nearest)
        )

    def _flat(self, way: str, along: float, aside: float) -> XY:
        return self.place(along, aside) if way == "x" else self.place(aside, along)

    def _extension(self, way: str, v: float, foot: float, level: float) -> XY:
        r, m = self.rng, self.manner
        sign = 1.0 if level >= foot else -1.0
        if abs(level - foot) < 0.5:
            return self._flat(way, v, level)
        gap = 0.0 if r.random() < self.hand.leave else max(0.0, float(r.normal(m.gap, 0.3)))
        off = r.normal(0, 0.08, 2)
        start = self._flat(way, v + off[0], foot + sign * gap)
        tip = self._flat(way, v + off[1], level + sign * max(0.4, float(r.normal(m.beyond, 0.4))))
        self.pen.line(start, tip, over=0.15)
        share = (level - foot) / (level - foot + sign * m.beyond)
        return self._flat(way, v + off[0] + share * (off[1] - off[0]), level)

    def _line(self, a: XY, b: XY, text: str) -> Box:
        """Draw dimension line, heads and text between two ends; tell where the text stands."""
        pen, r, m = self.pen, self.rng, self.manner
        tile = letter(text, m.lettering, self.hand, r)
        high, wide = (v / PX_PER_MM for v in tile.shape)
        length = math.dist(a, b)
        u = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
        angle = math.degrees(math.atan2(-u[1], u[0]))
        angle = (angle + 90) % 180 - 90 if m.aligned else 0.0
        angle = 90.0 if m.aligned and abs(angle + 90) < 1 else angle
        turned = math.radians(angle - math.degrees(math.atan2(-u[1], u[0])))
        along = abs(math.cos(turned)) * wide + abs(math.sin(turned)) * high
        tall = abs(math.sin(turned)) * wide + abs(math.cos(turned)) * high
        heads = 2 * self.hand.head_mm
        inside = length > along + heads + 1.5
        fits = length > along + 1.2
        middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        slide = float(r.normal(0, 0.04)) * length
        up = self._up(u)
        if inside or fits:
            half = along / 2 + float(r.uniform(0.4, 1.1))
            centre = (middle[0] + slide * u[0], middle[1] + slide * u[1])
            centre = centre if inside else middle
            if not m.inline:
                lift = tall / 2 + float(r.uniform(0.4, 1.0))
                centre = (centre[0] + lift * up[0], centre[1] + lift * up[1])
                half = 0.0
            if inside:
                self._shafts(a, b, u, centre if m.inline else middle, half)
            elif not m.inline:
                pen.line(a, b, over=0.1)
        else:
            beyond = 1.6 * self.hand.head_mm + along / 2 + 1.0
            centre = (b[0] + beyond * u[0], b[1] + beyond * u[1])
        if not inside:
            self._outside(a, b, u)
        return self._letter(tile, centre, angle + float(r.normal(0, 1.0)))

    def _letter(self, tile: Ink, centre: XY, angle: float) -> Box:
        """Lay a text on the page, and once more where only texts are."""
        for page in (self.pen.page, self.pen.letters):
            paste(page, tile, centre, angle)
        high, wide = (v / PX_PER_MM for v in tile.shape)
        c, s = abs(math.cos(math.radians(angle))), abs(math.sin(math.radians(angle)))
        x, y = (c * wide + s * high) / 2, (s * wide + c * high) / 2
        return centre[0] - x, centre[1] - y, centre[0] + x, centre[1] + y

    def _up(self, u: XY) -> XY:
        n = (u[1], -u[0])
        return n if n[1] < -1e-6 or (abs(n[1]) <= 1e-6 and n[0] < 0) else (-n[0], -n[1])

    def _shafts(self, a: XY, b: XY, u: XY, centre: XY, half: float) -> None:
        pen, r = self.pen, self.rng
        at = (centre[0] - a[0]) * u[0] + (centre[1] - a[1]) * u[1]
        length = math.dist(a, b)
        for tip, s, stop in ((a, 1.0, at - half), (b, -1.0, length - at - half)):
            short = float(r.uniform(0, self.hand.short))
            start = (tip[0] + s * short * u[0], tip[1] + s * short * u[1])
            last = max(stop, short + 0.5)
            pen.line(start, (tip[0] + s * last * u[0], tip[1] + s * last * u[1]), over=0.1)
            pen.head(tip, (-s * u[0], -s * u[1]))

    def _outside(self, a: XY, b: XY, u: XY) -> None:
        long = 1.4 * self.hand.head_mm  # so that a tail keeps off the next text of a chain
        for tip, s in ((a, -1.0), (b, 1.0)):
            self.pen.line(tip, (tip[0] + s * long * u[0], tip[1] + s * long * u[1]), over=0.2)
            self.pen.head(tip, (-s * u[0], -s * u[1]))

    def beside(self, a: XY, b: XY, size: Fraction, out: XY, *, pictorial: bool = False) -> None:
        """Write a size beside an edge, without any line; `out` points away from the part."""
        printed = self.plant(size)
        text = self.spell(printed)
        tile = letter(text, self.manner.lettering, self.hand, self.rng)
        high, wide = (v / PX_PER_MM for v in tile.shape)
        far = abs(out[0]) * wide / 2 + abs(out[1]) * high / 2 + float(self.rng.uniform(1.0, 2.0))
        middle = ((a[0] + b[0]) / 2 + far * out[0], (a[1] + b[1]) / 2 + far * out[1])
        lettered = self._letter(tile, middle, float(self.rng.normal(0, 1.2)))
        self.drawn.append(
            Drawn(
                kind="beside",
                ends=(a, b),
                text=text,
                printed=printed,
                right=size,
                pictorial=pictorial,
                lettered=lettered,
            )
        )

    def leader(self, centre: XY, radius: float, text: str, out: float, far: float) -> XY:
        """Lead from a rim, at an angle, to a text; returns the point on the rim."""
        u = (math.cos(math.radians(out)), -math.sin(math.radians(out)))
        rim = (centre[0] + radius * u[0], centre[1] + radius * u[1])
        knee = (rim[0] + far * u[0], rim[1] + far * u[1])
        side = 1.0 if u[0] >= 0 else -1.0
        foot = (knee[0] + side * float(self.rng.uniform(1.5, 4.0)), knee[1])
        self.pen.line(rim, knee, over=0.1)
        self.pen.line(knee, foot, over=0.1)
        self.pen.head(rim, (-u[0], -u[1]))
        tile = letter(text, self.manner.lettering, self.hand, self.rng)
        wide = tile.shape[1] / PX_PER_MM
        paste(self.pen.page, tile, (foot[0] + side * (wide / 2 + 0.8), foot[1]), 0.0)
        return rim

    def round_size(
        self, kind: str, centre: XY, radius: float, size: Fraction, *, out: float, far: float
    ) -> None:
        """Lead to a radius or a hole and keep it as truth."""
        m = self.manner
        text = (m.radius if kind == "radius" else m.drill).format(self.spell(size))
        rim = self.leader(centre, radius, text, out, far)
        other = (2 * centre[0] - rim[0], 2 * centre[1] - rim[1])
        ends = (centre, rim) if kind == "radius" else (rim, other)
        self.drawn.append(Drawn(kind=kind, ends=ends, text=text, printed=size, right=size))

    def note(self, text: str, at: XY) -> None:
        """Letter a note, its middle at a place of the paper."""
        paste(self.pen.page, letter(text, self.manner.lettering, self.hand, self.rng), at, 0.0)
