"""Sheets of parts for the held-out working drawings: a wagon, a model boat, a shaft bracket.

The wagon's parts are drawn one by one and numbered, the boat has stations and a table, the
bracket stands in three views with holes and radii. All are invented.
"""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction
from typing import NamedTuple

from tests.bench.plates_pen import Rng
from tests.bench.plates_shop_things import (
    APART_MM,
    Build,
    Rows,
    ShopThing,
    cabinet,
    title_strip,
    window_seat,
    workbench,
)
from tests.bench.plates_shop_views import ShopView, bend
from tests.bench.plates_things import near

STATIONS = 6


# a wagon: every part by itself


def wagon(build: Build, rng: Rng) -> Rows:
    """A child's wagon: every part drawn apart, numbered, with what it is got out of."""
    long, deep = near(rng, 26, 32, step=0.5), near(rng, 11, 14, step=0.5)
    side, end, bottom = build(1.0), build(1.0), build(1.0)
    axle, wheel, tongue = build(1.25), build(1.5), build(1.25)
    _wagon_side(side, rng, long)
    _wagon_bottom(bottom, rng, long, deep)
    _wagon_end(end, rng, deep)
    _wagon_axle(axle, rng, deep)
    _wagon_wheel(wheel, rng)
    _wagon_tongue(tongue, rng)
    rows = [[side, wheel], [bottom], [end, axle], [tongue]]
    if rng.random() < 0.5:
        rows = [[bottom, wheel], [side, end], [axle], [tongue]]
    return rows


def _wagon_side(view: ShopView, rng: Rng, long: float) -> None:
    high, slope = near(rng, 4.5, 6, step=0.25), near(rng, 3, 4.5, step=0.25)
    thick = near(rng, 0.5, 0.75)
    view.outline((0, 0), (long, 0), (long, high), (slope, high), (0, high - 1.5))
    view.grain(slope + 1, 0.4, long - 1, high - 0.4, lines=4)
    view.size((0, 0), (long, 0), "S")
    view.size((0, high - 1.5), (slope, high), "N")
    view.size((long, 0), (long, high), "E")
    view.size((0, 0), (0, high - 1.5), "W")
    view.mark_part(1, (long * 0.7, high), by=(4.0, 6.0))
    view.below(f"{view.spell(Fraction(thick))} POPLAR, 2 REQD")


def _wagon_bottom(view: ShopView, rng: Rng, long: float, deep: float) -> None:
    in_, cleat = near(rng, 3, 4.5, step=0.25), near(rng, 1.5, 2.25)
    view.rect(0, 0, long, deep)
    for x in (in_, long - in_ - cleat):
        view.hidden((x, 0.5), (x + cleat, 0.5), (x + cleat, deep - 0.5), (x, deep - 0.5), (x, 0.5))
    view.grain(in_ + cleat + 1, 0.5, long - in_ - cleat - 1, deep - 0.5, lines=8)
    view.path([(0, deep * 0.52), (long, deep * 0.52)])
    for x in (in_ + cleat / 2, long - in_ - cleat / 2):
        for y in (1.4, deep / 2 - 0.8, deep / 2 + 1.6, deep - 1.4):
            view.arc((x, y), 0.12, 0, 360, heavy=False)
    view.size((0, deep), (long, deep), "N", tier=2)
    view.size((in_ + cleat, 0), (long - in_ - cleat, 0), "S")
    view.size((0, 0), (in_, 0), "S")
    view.size((in_, deep), (in_ + cleat, deep), "N")
    view.size((0, 0), (0, deep), "W")
    view.within((long * 0.72, 0), (long * 0.72, deep))
    view.mark_part(2, (long * 0.4, deep * 0.77))
    view.note(
        "1 1/4 NO. 8 SCREWS",
        (long - in_ - cleat / 2, deep - 1.4),
        (3.0 + (in_ + cleat / 2) * view.per_inch, 5.0),
    )


def _wagon_end(view: ShopView, rng: Rng, deep: float) -> None:
    high, hole, long = near(rng, 4.5, 6, step=0.25), near(rng, 1, 1.25), near(rng, 3.5, 4.5)
    up, wide = high - near(rng, 1.25, 1.75), deep - 1.0
    view.rect(0, 0, wide, high)
    left, right = (wide - long) / 2 + hole / 2, (wide + long) / 2 - hole / 2
    view.arc((left, up), hole / 2, 90, 270)
    view.arc((right, up), hole / 2, -90, 90)
    for y in (up - hole / 2, up + hole / 2):
        view.path([(left, y), (right, y)], width=view.manner.thick)
    view.cross((left, up), hole * 0.8)
    view.cross((right, up), hole * 0.8)
    view.size((left, up), (right, up), "N")
    view.size((0, 0), (wide, 0), "S")
    view.size((0, 0), (0, high), "W")
    view.size((right, up), (wide, 0), "E")
    view.mark_part(3, (wide * 0.12, high), by=(-5.0, 6.0))
    view.below("2 REQD")


def _wagon_axle(view: ShopView, rng: Rng, deep: float) -> None:
    square, pin, out = near(rng, 1.5, 2), near(rng, 0.625, 0.875), near(rng, 2.25, 3)
    body = deep + near(rng, 0.5, 1.5, step=0.25)
    low, top = (square - pin) / 2, (square + pin) / 2
    view.rect(0, 0, body, square)
    for x0, x1 in ((-out, 0.0), (body, body + out)):
        view.path([(x0, low), (x1, low)], width=view.manner.thick)
        view.path([(x0, top), (x1, top)], width=view.manner.thick)
        view.path([(x0 or x1, low), (x0 or x1, top)], width=view.manner.thick)
    view.path([(body + out, low), (body + out, top)], width=view.manner.thick)
    view.centre_line((-out - 0.6, square / 2), (body + out + 0.6, square / 2))
    view.grain(0.5, 0.2, body - 0.5, square * 0.42, lines=2)
    view.chain([(-out, low), (0, 0), (body, 0)], "S")
    view.size((-out, low), (body + out, low), "S", tier=2)
    view.size((body + out, low), (body + out, top), "E")
    view.size((body, 0), (body, square), "E", tier=2)
    view.mark_part(4, (body * 0.3, square), by=(-6.0, 7.0))
    view.stock("OAK  2 REQD", (body * 0.64, square), by=(0.0, 3.4))


def _wagon_wheel(view: ShopView, rng: Rng) -> None:
    across, bore, thick = near(rng, 5, 7, step=0.25), near(rng, 0.6875, 0.9375), near(rng, 0.75, 1)
    radius, hub = across / 2, near(rng, 1.75, 2.25)
    view.arc((0, 0), radius, 0, 360)
    view.arc((0, 0), hub / 2, 0, 360, heavy=False)
    view.cross((0, 0), radius + 0.4)
    view.hole((0, 0), bore, "DRILL", (-0.42 * across * view.per_inch, 0.5 * across * view.per_inch))
    view.size((-radius, 0), (radius, 0), "S")
    left = radius + max(1.4, 9.0 / view.per_inch)
    view.start()
    view.cut((left, -radius), (left + thick, -radius), (left + thick, -bore / 2),
             (left, -bore / 2))  # fmt: skip
    view.cut((left, bore / 2), (left + thick, bore / 2), (left + thick, radius), (left, radius))
    for y in (-bore / 2, bore / 2):
        view.path([(left, y), (left + thick, y)])
    view.size((left, -radius), (left + thick, -radius), "S")
    view.mark_part(5, (radius * 0.68, radius * 0.68), by=(3.0, 6.0))
    view.below("4 REQD")


def _wagon_tongue(view: ShopView, rng: Rng) -> None:
    long, root, tip = near(rng, 25, 30, step=0.5), near(rng, 2, 2.5), near(rng, 1.125, 1.375)
    thick, bolt = near(rng, 0.875, 1.125), near(rng, 1.25, 1.75)
    half = (root - tip) / 2
    cut = (long * 0.4, long * 0.62)
    view.broken = cut
    view.path([(0, 0), (0, root)], width=view.manner.thick)
    for y0, y1 in ((0.0, half), (root, root - half)):
        at = [y0 + (y1 - y0) * x / long for x in cut]
        view.path([(0, y0), (cut[0], at[0])], width=view.manner.thick)
        view.path([(cut[1], at[1]), (long, y1)], width=view.manner.thick)
    view.path([(long, half), (long, root - half)], width=view.manner.thick)
    view.grain(bolt + 1, root * 0.25, cut[0] - 0.5, root * 0.75, lines=3)
    view.break_across(cut[0], -0.5, root + 0.5)
    view.hole((bolt, root / 2), 0.40625, "HOLE", (10.0, 10.0))
    view.size((0, 0), (bolt, root / 2), "S")
    view.size((0, 0), (long, half), "S", tier=2)
    view.size((0, 0), (0, root), "W")
    view.size((long, half), (long, root - half), "E")
    view.mark_part(6, (long * 0.75, root - half), by=(5.0, 6.0))
    view.below(f"TONGUE, {view.spell(Fraction(thick))} ASH, 1 REQD")


# a model boat: stations, half breadths, a table


class Hull(NamedTuple):
    """A model boat's sizes, inches; `fore` of its length is where it is broadest."""

    long: float
    beam: float
    deep: float
    rise: float
    sheer: float
    fore: float

    def half(self, x: float) -> float:
        """Half its breadth at a distance from the stem."""
        t = x / self.long
        if t <= self.fore:
            return self.beam / 2 * math.sin(math.pi / 2 * t / self.fore) ** 0.8
        u = (t - self.fore) / (1 - self.fore)
        return self.beam / 2 * (1 - 0.42 * u**2.2)

    def sheer_at(self, x: float) -> float:
        """Height of its upper edge over the base."""
        t = x / self.long
        return (
            self.deep + self.sheer * (1 - t / 0.62) ** 2
            if t < 0.62
            else self.deep + (0.3 * self.sheer * (t - 0.62) ** 2 / 0.144)
        )

    def keel_at(self, x: float) -> float:
        """Height of its lower edge over the base."""
        t = x / self.long
        if t < 0.3:
            return self.rise * (1 - t / 0.3) ** 2
        return 0.8 * self.rise * max(0.0, (t - 0.55) / 0.45) ** 1.8

    def section(self, x: float, share: float) -> tuple[float, float]:
        """A point of a cross section: off the middle, height over the base."""
        low, high = self.keel_at(x), self.sheer_at(x)
        return self.half(x) * share**0.45, low + (high - low) * share**1.6


def boat(build: Build, rng: Rng) -> Rows:
    """A model boat: profile over half breadth, its stations numbered, sections, a table."""
    hull = Hull(
        long=STATIONS * near(rng, 3, 4, step=0.25), beam=near(rng, 5, 6.5, step=0.25),
        deep=near(rng, 3, 3.75), rise=near(rng, 0.75, 1.25), sheer=near(rng, 0.75, 1.25),
        fore=float(rng.uniform(0.48, 0.58)),
    )  # fmt: skip
    lines, body = build(1.0), build(1.2)
    for view in (lines, body):
        view.nearest = 16
    _sheer_plan(lines, hull)
    _half_breadth(lines, hull, -hull.beam / 2 - 0.8 * APART_MM / lines.per_inch)
    lines.below("SHEER AND HALF-BREADTH PLANS")
    _body_plan(body, hull)
    return [[lines], [body, _offsets(build, hull)]]


def _places(hull: Hull) -> list[float]:
    return [hull.long * k / STATIONS for k in range(STATIONS + 1)]


def _run(hull: Hull) -> list[float]:
    return [hull.long * k / 48 for k in range(49)]


def _sheer_plan(view: ShopView, hull: Hull) -> None:
    xs, last = _run(hull), hull.long
    view.curve([(x, hull.sheer_at(x)) for x in xs])
    view.curve([(x, hull.keel_at(x)) for x in xs])
    for x in (0.0, last):
        view.path([(x, hull.keel_at(x)), (x, hull.sheer_at(x))], width=view.manner.thick)
    view.path([(0, 0), (last, 0)])
    places = _places(hull)
    for k, x in enumerate(places):
        if 0 < k < STATIONS:
            view.path([(x, 0), (x, hull.sheer_at(x))])
        number = view.at(x, hull.sheer_at(x))
        view.words(str(k), (number[0] + 1.6, number[1] - 2.2))
    view.chain([(x, 0.0) for x in places], "S")
    view.size((0, hull.sheer_at(0)), (last, hull.sheer_at(last)), "N", tier=2)
    view.chain([(0, 0), (0, hull.sheer_at(0))], "W")
    view.size((last, 0), (last, hull.sheer_at(last)), "E")
    middle = (places[2] + places[3]) / 2
    view.within((middle, hull.keel_at(middle)), (middle, hull.sheer_at(middle)))


def _half_breadth(view: ShopView, hull: Hull, base: float) -> None:
    view.start()
    last, places = hull.long, _places(hull)
    view.centre_line((-0.6, base), (last + 0.6, base))
    view.path([(0, base), (last, base)])
    view.curve([(x, base + hull.half(x)) for x in _run(hull)])
    view.path([(last, base), (last, base + hull.half(last))], width=view.manner.thick)
    for x in places[1:-1:2]:
        view.path([(x, base), (x, base + hull.half(x))])
    for x in places[2:-1:2]:
        view.within((x, base), (x, base + hull.half(x)))
    view.size((last, base), (last, base + hull.half(last)), "E")
    mast = (places[1] + places[2]) / 2
    view.arc((mast, base), 0.2, 0, 180)
    view.size((0, base), (mast, base), "S")
    fore, aft, wide = (
        places[4] + 0.12 * places[1],
        places[5] - 0.12 * places[1],
        0.4 * hull.beam / 2,
    )
    view.path([(fore, base), (fore, base + wide), (aft, base + wide), (aft, base)])
    view.size((fore, base), (aft, base), "S")
    view.size((aft, base), (last, base), "S")
    view.note("MAST STEP", (mast - 0.1, base + 0.1), (-8.0, 15.0))


def _body_plan(view: ShopView, hull: Hull) -> None:
    places = _places(hull)
    shares = [k / 16 for k in range(17)]
    for k in (1, 2, 3, 4, 5):
        side = -1 if k > 3 else 1
        points = [hull.section(places[k], s) for s in shares]
        view.curve([(side * x, y) for x, y in points], heavy=k == 3)
        if k == 3:
            view.curve([(-x, y) for x, y in points])
    x, y = hull.section(places[3], 1.0)
    view.path([(-x, y), (x, y)])
    view.path([(-x, 0), (x, 0)])
    view.centre_line((0, -0.3), (0, hull.sheer_at(places[1]) + 0.3))
    for share in (0.33, 0.66):
        view.path([(-x, y * share), (x, y * share)], width=view.manner.fine)
    view.size((-x, y), (x, y), "N")
    view.size((x, 0), (x, y), "E")
    view.size((-x, 0), (-x, y * 0.66), "W")
    view.below("BODY PLAN")


def _offsets(build: Build, hull: Hull) -> ShopView:
    view = build(1.0)
    view.nearest = 16

    def told(value: float) -> str:
        return view.spell(Fraction(round(value * 16), 16)).rstrip('"')

    places = _places(hull)[1:]
    rows = (
        ("STATION", *(str(k + 1) for k in range(STATIONS))),
        ("Half Breadth", *(told(hull.half(x)) for x in places)),
        ("Keel", *(told(hull.keel_at(x)) for x in places)),
        ("Sheer", *(told(hull.sheer_at(x)) for x in places)),
    )
    view.table(rows, replace(view.manner.captions, fraction="slant"), ruled=True)
    return view


# a bracket: three views, holes, radii


class Casting(NamedTuple):
    """A shaft bracket's sizes, inches."""

    wide: float
    deep: float
    base: float
    up: float
    hub: float
    bore: float
    web: float
    boss: float
    corner: float
    apart: tuple[float, float]
    drill: float


def bracket(build: Build, rng: Rng) -> Rows:
    """A shaft bracket of cast iron: three views, holes and radii, perhaps in decimals."""
    wide, deep = near(rng, 6, 8, step=0.25), near(rng, 3.5, 4.5, step=0.25)
    part = Casting(
        wide=wide, deep=deep, base=near(rng, 0.625, 0.875), up=near(rng, 3.75, 5),
        hub=near(rng, 2, 2.5), bore=near(rng, 1, 1.375), web=near(rng, 0.625, 0.875),
        boss=near(rng, 1.75, 2.5), corner=near(rng, 0.5, 0.75),
        apart=(wide - near(rng, 1.5, 2), deep - near(rng, 1.25, 1.5)),
        drill=near(rng, 0.40625, 0.53125, step=0.0625),
    )  # fmt: skip
    main = build(1.0)
    main.decimals = bool(rng.random() < 0.4)
    left = part.wide + APART_MM / main.per_inch
    base = part.up + part.hub / 2 + 0.7 * APART_MM / main.per_inch
    _bracket_front(main, part)
    _bracket_side(main, part, left)
    _bracket_top(main, part, base)
    key = build(2.0)
    key.decimals = main.decimals
    _bushing(key, part, rng)
    return [[main], [key, title_strip(build, rng, "SHAFT BRACKET, C.I.")]]


def _bracket_front(view: ShopView, p: Casting) -> None:
    middle, radius = p.wide / 2, p.hub / 2
    view.rect(0, 0, p.wide, p.base)
    foot = round(p.hub * 0.72 * 8) / 8
    toward = math.atan2(p.base - p.up, foot)
    turn = toward + math.acos(radius / math.hypot(foot, p.up - p.base))
    x, y = radius * math.cos(turn), p.up + radius * math.sin(turn)
    for way in (-1, 1):
        view.path([(middle + way * foot, p.base), (middle + way * x, y)], width=view.manner.thick)
    view.arc((middle, p.up), radius, 0, 360)
    view.cross((middle, p.up), radius + 0.35)
    view.hole((middle, p.up), p.bore, "BORE", (15.0, 9.0))
    view.radius((middle, p.up), radius, 145)
    view.centre_line((middle, -0.1), (middle, p.up - radius))
    view.size((0, 0), (p.wide, 0), "S")
    view.size((0, 0), (middle, p.up), "W")
    view.size((p.wide, 0), (p.wide, p.base), "E")
    view.size((middle - foot, p.base), (middle + foot, p.base), "S", tier=2)


def _bracket_side(view: ShopView, p: Casting, left: float) -> None:
    top, middle = p.up + p.hub / 2, left + p.deep / 2
    view.start()
    view.rect(left, 0, left + p.deep, p.base)
    for x in (middle - p.web / 2, middle + p.web / 2):
        view.path([(x, p.base), (x, p.up - p.hub / 2)], width=view.manner.thick)
    view.rect(middle - p.boss / 2, p.up - p.hub / 2, middle + p.boss / 2, top)
    for y in (p.up - p.bore / 2, p.up + p.bore / 2):
        view.hidden((middle - p.boss / 2, y), (middle + p.boss / 2, y))
    view.centre_line((middle - p.boss / 2 - 0.4, p.up), (middle + p.boss / 2 + 0.4, p.up))
    view.size((middle - p.boss / 2, top), (middle + p.boss / 2, top), "N")
    view.size((middle + p.boss / 2, p.up - p.bore / 2), (middle + p.boss / 2, p.up + p.bore / 2),
              "E")  # fmt: skip
    view.size((left, 0), (left + p.deep, 0), "S")
    at = p.base + 0.45 * (p.up - p.hub / 2 - p.base)
    view.within((middle - p.web / 2, at), (middle + p.web / 2, at))


def _bracket_top(view: ShopView, p: Casting, base: float) -> None:
    middle, far, r = p.wide / 2, base + p.deep, p.corner
    view.start()
    shape = [
        *bend((r, base + r), r, 180, 270), *bend((p.wide - r, base + r), r, 270, 360),
        *bend((p.wide - r, far - r), r, 0, 90), *bend((r, far - r), r, 90, 180),
    ]  # fmt: skip
    view.curve([*shape, shape[0]])
    centre = base + p.deep / 2
    view.rect(middle - p.hub / 2, centre - p.boss / 2, middle + p.hub / 2, centre + p.boss / 2)
    across = [middle - p.apart[0] / 2, middle + p.apart[0] / 2]
    along = [centre - p.apart[1] / 2, centre + p.apart[1] / 2]
    for x in across:
        for y in along:
            view.arc((x, y), p.drill / 2, 0, 360)
            view.cross((x, y), 0.42)
    view.centre_line((middle, base - 0.3), (middle, far + 0.3))
    view.hole((across[1], along[1]), p.drill, "DRILL, 4 HOLES", (11.0, 8.0))
    view.size((across[0], along[1]), (across[1], along[1]), "N")
    view.size((0, base), (0, far), "W")
    view.size((p.wide, along[0]), (p.wide, along[1]), "E")
    view.radius((r, base + r), r, 225)


def _bushing(view: ShopView, p: Casting, rng: Rng) -> None:
    long, flange, lip = p.boss, p.bore + near(rng, 0.5, 0.75), near(rng, 0.1875, 0.3125)
    inner = p.bore - near(rng, 0.25, 0.375)
    low, high = -p.bore / 2, p.bore / 2
    view.cut((0, inner / 2), (lip + long, inner / 2), (lip + long, high), (lip, high),
             (lip, flange / 2), (0, flange / 2))  # fmt: skip
    view.cut((0, -inner / 2), (lip + long, -inner / 2), (lip + long, low), (lip, low),
             (lip, -flange / 2), (0, -flange / 2))  # fmt: skip
    for x in (0.0, lip + long):
        view.path([(x, -inner / 2), (x, inner / 2)])
    view.centre_line((-0.1, 0), (lip + long + 0.1, 0))
    view.size((0, -flange / 2), (lip + long, low), "S")
    view.size((0, flange / 2), (lip, flange / 2), "N")
    view.size((0, -flange / 2), (0, flange / 2), "W")
    view.size((lip + long, low), (lip + long, high), "E")
    view.size((lip + long, -inner / 2), (lip + long, inner / 2), "E", tier=2)
    view.below("BUSHING, BRASS, 2 REQD")


THINGS: tuple[ShopThing, ...] = (cabinet, boat, workbench, wagon, bracket, window_seat)
