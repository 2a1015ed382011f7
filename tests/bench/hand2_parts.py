"""Things for the house and the bench as people sketch them, invented: held-out parts, the first.

Each gives its views, and where a view stands to the first one: "", "right" or "above". Lengths are
real inches.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from tests.bench.hand2_drafts import Habit
from tests.bench.hand2_views import View
from tests.bench.hand_pen import Rng

F = Fraction
QUARTER = F(1, 4)
O = F(0)  # noqa: E741 - the corner of every part
Views = list[tuple[View, str]]


@dataclass(slots=True)
class Bench:
    """Begins views: `pick` gives mm to an inch for so many inches, wide and high."""

    habit: Habit
    rng: Rng
    pick: Callable[[F, F], float]
    plant: Callable[[F], F]

    def begin(self, wide: F, high: F) -> View:
        """Begin the first view of a part."""
        return self._draft(self.pick(wide, high))

    def also(self, first: View) -> View:
        """Begin another view at the scale of the first."""
        return self._draft(first.per_inch)

    def _draft(self, per_inch: float) -> View:
        strokes = np.random.default_rng(int(self.rng.integers(2**32)))  # sizes depend on none
        return View(habit=self.habit, rng=strokes, per_inch=per_inch, plant=self.plant)

    def size(self, least: float, most: float, step: F = QUARTER) -> F:
        """Pick a size between two, inches, at a whole step."""
        return int(self.rng.integers(round(F(least) / step), round(F(most) / step) + 1)) * step

    def count(self, least: int, most: int) -> int:
        """Pick a count."""
        return int(self.rng.integers(least, most + 1))


def garden_bench(b: Bench) -> Views:
    """A bench from the front and from its end."""
    w, h, t = b.size(36, 60, F(1, 2)), b.size(15, 19, F(1, 2)), b.size(1.5, 2, F(1, 4))
    inset, leg, low, rail = b.size(4, 7), b.size(2.5, 3.5), b.size(3, 6), b.size(2.5, 4)
    d = b.begin(w, h)
    d.rectangle(O, h - t, w, h)
    for x in (inset, w - inset - leg):
        d.rectangle(x, O, x + leg, h - t)
    for y in (low, low + rail):
        d.line(d.at(inset + leg, y), d.at(w - inset - leg, y), thick=True)
    d.chain("x", [O, inset, w - inset, w], "below", [d.y(h - t), d.y(O), d.y(O), d.y(h - t)])
    d.chain("x", [O, w], "above", [d.y(h), d.y(h)])
    d.chain("y", [O, low, low + rail], "left", [d.x(inset)] * 3)
    d.chain("y", [O, h], "right", [d.x(w - inset), d.x(w)])
    d.caption("FRONT")
    deep, set_in = b.size(11, 14, F(1, 2)), b.size(1, 2, F(1, 4))
    e = b.also(d)
    e.rectangle(O, h - t, deep, h)
    e.rectangle(set_in, O, deep - set_in, h - t)
    e.hidden(e.at(set_in, low), e.at(deep - set_in, low))
    e.chain("x", [set_in, deep - set_in], "below", [e.y(O)] * 2)
    e.chain("x", [O, deep], "above", [e.y(h)] * 2)
    e.chain("y", [h - t, h], "right", [e.x(deep)] * 2)
    return [(d, ""), (e, "right")]


def shelf_bracket(b: Bench) -> Views:
    """A bracket with a hollow swept by compass and two screw holes."""
    w, t = b.size(7, 10, F(1, 2)), b.size(1.5, 2.5, F(1, 4))
    hole, up = F(b.count(2, 3), 8), b.size(1, 1.5, F(1, 4))
    d = b.begin(w, w)
    d.outline([(t, O), (O, O), (O, w), (w, w), (w, w - t)], closed=False)
    radius = float(w - t) * d.per_inch
    centre = d.x(t) + radius, d.y(w - t) + radius
    d.arc(centre, radius, 90.0, 90.0)
    for y in (up, w - t - up):
        at = d.at(t / 2, y)
        d.arc(at, float(hole) * d.per_inch / 2)
        d.cross(at, float(hole) * d.per_inch / 2 + 1.8)
    d.chain("x", [O, w], "above", [d.y(w)] * 2)
    d.chain("x", [O, t], "below", [d.y(O)] * 2)
    d.chain("y", [O, up, w - t - up], "left", [d.x(O)] * 3)
    d.chain("y", [O, w], "left", [d.x(O)] * 2)
    d.chain("y", [w - t, w], "right", [d.x(w)] * 2)
    d.round_size("radius", centre, radius, w - t, out=135.0, far=-0.45 * radius)
    return [(d, "")]


def birdhouse(b: Bench) -> Views:
    """A nest box: front with its hole, and a side under the roof."""
    w, side, top = b.size(5, 7, F(1, 2)), b.size(7, 9, F(1, 4)), b.size(2, 3, F(1, 4))
    hole, up = F(b.count(9, 12), 8), b.size(5, 6, F(1, 4))
    d = b.begin(w, side + top)
    d.outline([(O, O), (w, O), (w, side), (w / 2, side + top), (O, side)])
    at = d.at(w / 2, up)
    d.arc(at, float(hole) * d.per_inch / 2)
    d.centre_line((at[0], d.y(side + top) - 3.0), (at[0], d.y(O) + 1.0))
    d.line((at[0] - 6.0, at[1]), (at[0] + 6.0, at[1]))
    d.chain("x", [O, w], "below", [d.y(O)] * 2)
    d.chain("y", [O, side, side + top], "left", [d.x(O), d.x(O), d.x(w / 2)])
    d.chain("y", [O, up], "right", [d.x(w), at[0] + 6.0])
    d.round_size(
        "diameter",
        at,
        float(hole) * d.per_inch / 2,
        hole,
        out=40.0,
        far=0.62 * float(w) * d.per_inch,
    )
    d.caption("FRONT")
    deep, over = b.size(6, 8, F(1, 4)), b.size(1, 2, F(1, 4))
    e = b.also(d)
    e.rectangle(O, O, deep, side)
    e.rectangle(-over, side, deep, side + top)
    e.chain("x", [O, deep], "below", [e.y(O)] * 2)
    e.chain("x", [-over, deep], "above", [e.y(side + top)] * 2)
    e.chain("y", [O, side], "right", [e.x(deep)] * 2)
    e.caption("SIDE")
    return [(d, ""), (e, "right")]


def toy_truck(b: Bench) -> Views:
    """A truck from its side: bed, cab and two wheels."""
    long, bed, high = b.size(8, 11, F(1, 2)), b.size(1.25, 2, F(1, 8)), b.size(2.5, 3.5, F(1, 8))
    nose, cab = b.size(0.5, 1, F(1, 8)), b.size(2, 3, F(1, 8))
    front, rear = b.size(1.5, 2, F(1, 8)), b.size(1.5, 2.5, F(1, 8))
    wheel = b.size(0.75, 1, F(1, 8))
    d = b.begin(long, high + wheel)
    d.outline([(O, O), (long, O), (long, bed), (cab, bed), (cab, high), (nose, high), (O, bed)])
    radius = float(wheel) * d.per_inch
    for x in (front, long - rear):
        at = d.at(x, O)
        d.arc(at, radius)
        d.arc(at, 0.18 * radius)
        d.cross(at, radius + 2.0)
    foot = d.y(O) + radius + 2.0
    d.chain("x", [O, front, long - rear, long], "below", [d.y(O), foot, foot, d.y(O)])
    d.chain("x", [O, long], "below", [d.y(O)] * 2)
    d.chain("x", [nose, cab], "above", [d.y(high)] * 2)
    d.chain("y", [O, bed, high], "left", [d.x(O), d.x(O), d.x(nose)])
    d.chain("y", [O, bed], "right", [d.x(long)] * 2)
    d.round_size(
        "radius", d.at(long - rear, O), radius, wheel, out=60.0, far=float(bed) * d.per_inch + 3
    )
    return [(d, "")]


def mallet(b: Bench) -> Views:
    """A joiner's mallet from the front and its head from the end."""
    w, h, cut = b.size(5, 7), b.size(3, 4), b.size(0.25, 0.5, F(1, 8))
    wide, long = b.size(1, 1.5, F(1, 8)), b.size(7, 9, F(1, 2))
    d = b.begin(w, h + long)
    d.outline([(cut, long), (w - cut, long), (w, long + h), (O, long + h)])
    left, right = (w - wide) / 2, (w + wide) / 2
    d.outline([(left, long), (left, O), (right, O), (right, long)], closed=False)
    for x in (left, right):
        d.hidden(d.at(x, long), d.at(x, long + h))
    d.chain("x", [O, w], "above", [d.y(long + h)] * 2)
    d.chain("x", [left, right], "below", [d.y(O)] * 2)
    d.chain("y", [long, long + h], "right", [d.x(w - cut), d.x(w)])
    d.chain("y", [O, long], "left", [d.x(left), d.x(cut)])
    thick = b.size(2, 3, F(1, 4))
    e = b.also(d)
    e.rectangle(O, long, thick, long + h)
    e.hidden(e.at(thick / 4, long), e.at(thick / 4, long + h))
    e.hidden(e.at(3 * thick / 4, long), e.at(3 * thick / 4, long + h))
    e.chain("x", [O, thick], "above", [e.y(long + h)] * 2)
    e.chain("x", [thick / 4, 3 * thick / 4], "below", [e.y(long)] * 2)
    e.caption("HEAD")
    return [(d, ""), (e, "right")]


def tray(b: Bench) -> Views:
    """A tray seen from above, parted by strips of one thickness."""
    t, deep, n = F(b.count(3, 4), 8), b.size(7, 10, F(1, 2)), b.count(2, 3)
    rooms = [b.size(2.5, 5, F(1, 4)) for _ in range(n)]
    edges = [O]
    for room in rooms:
        edges += [edges[-1] + t, edges[-1] + t + room]
    w = edges[-1] + t
    d = b.begin(w, deep)
    d.rectangle(O, O, w, deep)
    d.rectangle(t, t, w - t, deep - t)
    for k in range(2, len(edges) - 1, 2):
        for x in edges[k : k + 2]:
            d.line(d.at(x, t), d.at(x, deep - t), thick=True)
    for k in range(1, len(edges) - 1, 2):
        level = d.y(deep / 2) + float(b.rng.uniform(-4, 4))
        d.inner("x", edges[k], edges[k + 1], level)
    d.chain("x", [O, w], "below", [d.y(O)] * 2)
    d.chain("y", [O, deep], "right", [d.x(w)] * 2)
    d.chain("y", [t, deep - t], "left", [d.x(t)] * 2)
    d.lead(d.at(O, deep - t), 0.0, _mixed_thick(t), out=120.0, far=9.0)
    return [(d, "")]


def _mixed_thick(t: F) -> str:
    return f"{t} STRIPS"
