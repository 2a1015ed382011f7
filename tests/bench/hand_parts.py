"""Invented parts drawn and dimensioned by hand: blocks, plates, wheels, levers, rods, boxes.

A part is given in real inches and drawn at so many mm to the inch, its edges a little off. What is
dimensioned is kept as truth: ends are where the lines really stand, the number is what is printed.
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


def stations(rng: Rng, total: Fraction, count: int, least: Fraction) -> list[Fraction]:
    """Part a length into `count` legs of no less than so much, at places of a whole step."""
    free = int((total - count * least) / STEP)
    cuts = sorted(int(v) for v in rng.integers(0, max(free, 0) + 1, count - 1))
    return [cut * STEP + (k + 1) * least for k, cut in enumerate(cuts)]


def _inches(v: View, mm: float) -> Fraction:
    return max(STEP, round(Fraction(mm / v.per_inch) / (2 * STEP)) * 2 * STEP)


def _floor(size: Fraction, step: Fraction) -> Fraction:
    return max(step, size // step * step)


def _centre_lines(v: View, centre: XY, reach: float) -> None:
    for dx, dy in ((reach, 0.0), (0.0, reach)):
        a, b = (centre[0] - dx, centre[1] - dy), (centre[0] + dx, centre[1] + dy)
        v.pen.dashed(a, b, (6.0, 1.2, 1.5, 1.2))


def block(v: View, wide: float, high: float) -> None:
    """A stepped block with a chain, an overall and heights."""
    least = _inches(v, LEAST_MM)
    w, h = _inches(v, wide), _inches(v, high)
    x1, x2 = stations(v.rng, w, 3, least)
    (y1,) = stations(v.rng, h, 2, least)
    zero = Fraction(0)
    v.outline([(zero, zero), (w, zero), (w, y1), (x2, y1), (x2, h), (zero, h)])
    a = v.manner.away
    top = v._set("y", h)
    low, right, left = v._set("y", zero), v._set("x", w), v._set("x", zero)
    v.pen.line(v.at(x1, zero), v.at(x1, h), width=v.hand.thick)
    v.across("x", zero, x1, level=low - a, feet=(low, low))
    v.across("x", x1, w, level=low - a, feet=(low, low))
    v.across("x", zero, w, level=low - 2.1 * a, feet=(low, low))
    v.across("x", zero, x2, level=top + a, feet=(top, top))
    v.across("y", zero, y1, level=right + a, feet=(right, right))
    v.across("y", zero, h, level=left - a, feet=(left, left))


def plate(v: View, wide: float, high: float) -> None:
    """A plate with holes on centre lines and a rounded corner."""
    least = _inches(v, 1.6 * LEAST_MM)
    w, h = _inches(v, wide), _inches(v, high)
    x1, x2 = stations(v.rng, w, 3, least)
    (y1,) = stations(v.rng, h, 2, least)
    zero, r = Fraction(0), _inches(v, 7.0)
    low, right, left, top = (
        v._set("y", zero), v._set("x", w), v._set("x", zero), v._set("y", h),
    )  # fmt: skip
    radius = float(r) * v.per_inch
    pen, thick = v.pen, v.hand.thick
    pen.line(v.at(zero, zero), v.at(w, zero), width=thick)
    pen.line(v.at(w, zero), v.place(right, top - radius), width=thick)
    pen.line(v.place(right - radius, top), v.at(zero, h), width=thick)
    pen.line(v.at(zero, h), v.at(zero, zero), width=thick)
    corner = v.place(right - radius, top - radius)
    pen.circle(corner, radius, start=v.turn, sweep=90, width=thick)
    hole = _inches(v, float(v.rng.uniform(4.0, 7.0)))
    for x in (x1, x2):
        pen.circle(v.at(x, y1), float(hole) * v.per_inch / 2, width=thick)
        _centre_lines(v, v.at(x, y1), float(hole) * v.per_inch / 2 + 3.0)
    a, foot = v.manner.away, v._set("y", y1) + 4.0
    v.across("x", zero, x1, level=top + a, feet=(top, foot))
    v.across("x", x1, x2, level=top + a, feet=(foot, foot))
    v.across("x", zero, w, level=low - a, feet=(low, low))
    v.across("y", zero, y1, level=left - a, feet=(left, v._set("x", x1) - 4.0))
    v.across("y", zero, h, level=left - 2.1 * a, feet=(left, left))
    v.round_size("radius", corner, radius, r, out=45 + v.turn, far=float(v.rng.uniform(5, 9)))
    v.round_size(
        "diameter", v.at(x2, y1), float(hole) * v.per_inch / 2, hole, out=-45 + v.turn, far=12.0
    )


def wheel(v: View, wide: float, high: float) -> None:
    """A wheel with hub and bore, and its rim from the side, with shading strokes."""
    outer = _inches(v, min(high, 0.6 * wide))
    thick_in = _inches(v, float(v.rng.uniform(7, 14)))
    zero, w = Fraction(0), v.hand.thick
    mid = outer / 2
    centre = v.at(mid, mid)
    radius = float(outer) * v.per_inch / 2
    bore = _inches(v, 0.22 * radius)
    hub = _inches(v, float(v.rng.uniform(0.9, 1.1)) * radius)
    for size in (outer, hub, bore):
        v.pen.circle(centre, float(size) * v.per_inch / 2, width=w)
    v._off["y", zero] = v._off["y", mid]
    v._off["y", outer] = v._off["y", mid]
    v._off["x", zero] = v._off["x", outer] = v._off["x", mid]
    _centre_lines(v, centre, radius + 3.0)
    start = outer + _inches(v, 20.0)
    far = start + thick_in
    v.outline([(start, zero), (far, zero), (far, outer), (start, outer)])
    low, top = v._set("y", zero), v._set("y", outer)
    for edge, way in ((low, 1.0), (top, -1.0)):
        for k in range(5):
            y = edge + way * (1.0 + 1.1 * k + 0.25 * k * k)
            a, b = v.place(v._set("x", start) + 0.6, y), v.place(v._set("x", far) - 0.6, y)
            v.pen.line(a, b, over=0.3)
    a = v.manner.away
    v.across("x", start, far, level=low - a, feet=(low, low))
    v.across(
        "y", zero, outer, level=v._set("x", far) + a, feet=(v._set("x", far),) * 2, form="{} DIA."
    )
    v.across("x", zero, outer, level=low - a, feet=(v._set("y", mid),) * 2)
    v.round_size("diameter", centre, float(bore) * v.per_inch / 2, bore, out=130, far=radius + 4.0)
    v.round_size("radius", centre, float(hub) * v.per_inch / 2, hub / 2, out=50, far=radius)


def lever(v: View, wide: float, high: float) -> None:
    """A lever between two round ends, sometimes aslant."""
    r1 = _inches(v, min(0.32 * high, 11.0)) / 2 + STEP
    r2 = _floor(r1 * Fraction(3, 4), STEP)
    apart = _inches(v, wide) - r1 - r2
    zero = Fraction(0)
    first, last = v.at(zero, zero), v.at(apart, zero)
    k, thick = v.per_inch, v.hand.thick
    lean = math.degrees(math.acos(min(1.0, float(r1 - r2) / float(apart))))
    v.pen.circle(first, float(r1) * k, start=lean + v.turn, sweep=360 - 2 * lean, width=thick)
    v.pen.circle(last, float(r2) * k, start=-lean + v.turn, sweep=2 * lean, width=thick)
    c, s = math.cos(math.radians(lean)), math.sin(math.radians(lean))
    x0, y0, x1 = v._set("x", zero), v._set("y", zero), v._set("x", apart)
    for side in (1, -1):
        a = v.place(x0 + float(r1) * k * c, y0 + side * float(r1) * k * s)
        b = v.place(x1 + float(r2) * k * c, y0 + side * float(r2) * k * s)
        v.pen.line(a, b, width=thick)
    bore = _floor(r2 * Fraction(3, 4), STEP)
    for centre, r in ((first, r1), (last, r2)):
        v.pen.circle(centre, float(bore) * k / 2, width=thick)
        _centre_lines(v, centre, float(r) * k + 3.0)
    below = y0 - float(r1) * k - v.manner.away
    v.across("x", zero, apart, level=below, feet=(y0 - 3.0, y0 - 3.0))
    v._off["x", -r1] = v._off["x", zero]
    v._off["x", apart + r2] = v._off["x", apart]
    v.across("x", -r1, apart + r2, level=below - 1.1 * v.manner.away, feet=(y0, y0))
    v.round_size("radius", first, float(r1) * k, r1, out=120 + v.turn, far=7.0)
    v.round_size("radius", last, float(r2) * k, r2, out=55 + v.turn, far=6.0)
    v.round_size(
        "diameter", last, float(bore) * k / 2, bore, out=-40 + v.turn, far=float(r2) * k + 6.0
    )


def rod(v: View, wide: float, high: float) -> None:
    """A turned rod of three diameters with shading strokes."""
    least = _inches(v, 1.4 * LEAST_MM)
    w = _inches(v, wide)
    x1, x2 = stations(v.rng, w, 3, least)
    big = _inches(v, min(0.5 * high, 26.0))
    small, tail = _floor(big * Fraction(5, 8), 2 * STEP), _floor(big * Fraction(3, 8), 2 * STEP)
    mid, zero = big / 2, Fraction(0)
    places = [
        (zero, mid - big / 2), (x1, mid - big / 2), (x1, mid - small / 2), (x2, mid - small / 2),
        (x2, mid - tail / 2), (w, mid - tail / 2), (w, mid + tail / 2), (x2, mid + tail / 2),
        (x2, mid + small / 2), (x1, mid + small / 2), (x1, mid + big / 2), (zero, mid + big / 2),
    ]  # fmt: skip
    v.outline(places)
    for a, b, size in ((zero, x1, big), (x1, x2, small), (x2, w, tail)):
        v.pen.line(v.at(a, mid - size / 2), v.at(a, mid + size / 2), width=v.hand.thick)
        low = v._set("y", mid - size / 2)
        for k in range(4):
            y = low + 0.9 + 0.9 * k + 0.2 * k * k
            if y < v._set("y", mid):
                ends = v.place(v._set("x", a) + 0.8, y), v.place(v._set("x", b) - 0.8, y)
                v.pen.line(*ends, over=0.4)
    a, low = v.manner.away, v._set("y", zero)
    feet = {
        x: v._set("y", mid - s / 2) for x, s in ((zero, big), (x1, big), (x2, small), (w, tail))
    }
    level = low - a
    for one, two in ((zero, x1), (x1, x2), (x2, w)):
        v.across("x", one, two, level=level, feet=(feet[one], feet[two]))
    v.across("x", zero, w, level=level - 1.1 * a, feet=(feet[zero], feet[w]))
    left, right = v._set("x", zero), v._set("x", w)
    v.across("y", zero, big, level=left - a, feet=(left, left), form="{} DIA.")
    v.across(
        "y", mid - tail / 2, mid + tail / 2, level=right + a, feet=(right, right), form="{} DIA."
    )


def box(v: View, wide: float, high: float) -> None:
    """A board with sizes written beside its edges, and one proper dimension."""
    least = _inches(v, 2 * LEAST_MM)
    w, h = _inches(v, wide), _inches(v, high)
    (x1,) = stations(v.rng, w, 2, least)
    (y1,) = stations(v.rng, h, 2, least)
    zero = Fraction(0)
    v.outline([(zero, zero), (w, zero), (w, h), (x1, h), (x1, y1), (zero, y1)])
    v.beside(v.at(zero, zero), v.at(w, zero), w, (0.0, 1.0))
    v.beside(v.at(zero, zero), v.at(zero, y1), y1, (-1.0, 0.0))
    v.beside(v.at(x1, h), v.at(w, h), w - x1, (0.0, -1.0))
    right = v._set("x", w)
    v.across("y", zero, h, level=right + v.manner.away, feet=(right, right))


def pictorial(v: View, wide: float, high: float) -> None:
    """A box seen aslant, some sizes written at its edges: nothing on it may be scaled."""
    size = _inches(v, 0.55 * wide), _inches(v, 0.4 * wide), _inches(v, 0.35 * high)
    c, s = math.cos(math.radians(30)), math.sin(math.radians(30))

    def at(x: Fraction, y: Fraction, z: Fraction) -> XY:
        k = v.per_inch
        depth = float(y) * k
        return v.place(
            float(x) * k * c + depth * c, float(z) * k - float(x) * k * s + depth * s + 0.3 * wide
        )

    x, y, z = size
    o = Fraction(0)
    for path in (
        [(o, o, o), (x, o, o), (x, o, z), (o, o, z), (o, o, o)],
        [(o, o, z), (o, y, z), (x, y, z), (x, o, z)],
        [(x, y, z), (x, y, o), (x, o, o)],
    ):
        v.pen.lines([at(*p) for p in path], width=v.hand.thick)
    v.beside(at(o, o, o), at(x, o, o), x, (-0.5, 0.9), pictorial=True)
    v.beside(at(x, o, o), at(x, y, o), y, (0.5, 0.9), pictorial=True)
    v.beside(at(o, o, o), at(o, o, z), z, (-1.0, 0.0), pictorial=True)


PARTS: tuple[Callable[[View, float, float], None], ...] = (block, plate, wheel, lever, rod, box)
Part = Callable[[View, float, float], None]
__all__ = ["PARTS", "Drawn", "Ink", "Manner", "Part", "View", "pictorial"]
