"""Invented parts drawn and dimensioned by hand: blocks, plates, wheels, levers, rods, boxes.

A part is given in real inches and drawn at so many mm to the inch, its edges a little off. What is
dimensioned is kept as truth: ends are where the lines really stand, the number is what is printed.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction

from tests.bench.hand_pen import XY, Ink, Rng
from tests.bench.hand_views import LEAST_MM, STEP, Drawn, Manner, View


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
