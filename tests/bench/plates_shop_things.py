"""Sheets of whole pieces for the held-out working drawings: a cabinet, a bench, a window seat.

Views stand in line with their sections; mouldings and joints are drawn beside them, some at a
scale that is lettered under them. All are invented.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from tests.bench.plates_pen import Rng
from tests.bench.plates_shop_views import ShopView, bend
from tests.bench.plates_things import near

Build = Callable[[float], ShopView]
Rows = list[list[ShopView]]
ShopThing = Callable[[Build, Rng], Rows]
PLY = 0.75
APART_MM = 30.0  # between two views in line, with their sizes
STRIPS = (
    (("Drawn  R.H.", "Date 3-14-27"), ("Sheet 2 of 3", "No. 46")),
    (("DRG. NO. 118", "9-12-31"), ("TRACED  E.W.", "CHECKED")),
    (("Wood Shop", "Grade 9"), ("Plate 17", "Issue of May 1923")),
    (("PROBLEM 24", "SHEET 1"), ("SCORE", "10-6-19")),
)


def title_strip(build: Build, rng: Rng, name: str) -> ShopView:
    """What stands in a sheet's corner: its name, its number, when it was drawn."""
    view = build(1.0)
    rows = STRIPS[int(rng.integers(len(STRIPS)))]
    view.table(((name, "1 REQD"), *rows), view.manner.captions, ruled=True)
    return view


class Carcase(NamedTuple):
    """A wall cabinet's sizes, inches."""

    wide: float
    high: float
    deep: float
    stile: float
    low: float
    shelves: tuple[float, float]
    crown: float
    over: float


def cabinet(build: Build, rng: Rng) -> Rows:
    """A wall cabinet: front, a section beside it, a plan in section, its cornice large."""
    high = near(rng, 26, 31, step=0.5)
    box = Carcase(
        wide=near(rng, 18, 23, step=0.5), high=high, deep=near(rng, 6.5, 8.5, step=0.25),
        stile=near(rng, 2.25, 2.75), low=near(rng, 2.5, 3.25),
        shelves=(near(rng, 8, 9.5), near(rng, 17, 18.5)),
        crown=near(rng, 1.75, 2.25), over=near(rng, 1.25, 1.75),
    )  # fmt: skip
    main = build(1.0)
    _cabinet_front(main, box)
    left = box.wide + max(0.35 * box.wide, APART_MM / main.per_inch)
    _cabinet_section(main, box, left)
    main.named(("FRONT ELEVATION", box.wide / 2), ("SECTION A-A", left + box.deep / 2))
    plan = build(1.0)
    _cabinet_plan(plan, box)
    moulding = build(float(rng.uniform(5.0, 6.5)))
    named = moulding.at_usual() if rng.random() < 0.6 else ""
    _cornice(moulding, box, rng)
    moulding.below("CORNICE", named)
    return [[main], [plan, moulding], [title_strip(build, rng, "WALL CABINET")]]


def _cabinet_front(view: ShopView, box: Carcase) -> None:
    wide, high, stile = box.wide, box.high, box.stile
    view.rect(0, 0, wide, high)
    view.path([(PLY, 0), (PLY, high)])
    view.path([(wide - PLY, 0), (wide - PLY, high)])
    left, right = PLY + stile, wide - PLY - stile
    view.rect(left, box.low, right, high - stile)
    view.path([(PLY, box.low), (left, box.low)])
    view.path([(right, box.low), (wide - PLY, box.low)])
    view.grain(left + 1, box.low + 2, right - 1, high - stile - 2, lines=9)
    view.curve([(-box.over, high + box.crown), (-box.over, high + box.crown * 0.8), (0, high)])
    view.curve([(wide + box.over, high + box.crown),
                (wide + box.over, high + box.crown * 0.8), (wide, high)])  # fmt: skip
    view.path([(-box.over, high + box.crown), (wide + box.over, high + box.crown)], width=0.4)
    view.arc((right + stile * 0.5, high * 0.5), 0.45, 0, 360)
    view.within((left, high * 0.6), (right, high * 0.6))
    view.within(
        (left + 0.72 * (right - left), box.low), (left + 0.72 * (right - left), high - stile)
    )
    view.within((0, high * 0.3), (left, high * 0.3))
    view.size((0, 0), (wide, 0), "S", tier=2)
    view.chain([(0, 0), (0, high), (-box.over, high + box.crown)], "W")
    view.cut_line((wide * 0.72, -0.4), (wide * 0.72, high + box.crown + 0.4), "A", (1, 0))


def _cabinet_section(view: ShopView, box: Carcase, left: float) -> None:
    high, right = box.high, left + box.deep
    view.start()
    back, front = left + 0.375, right - PLY
    view.cut_rect(left, 0, back, high, lean=60)
    view.cut_rect(back, 0, front, PLY)
    view.cut_rect(back, high - PLY, front, high)
    for y in box.shelves:
        view.cut_rect(back, y, front - 0.5, y + 0.5, lean=135)
    view.cut_rect(front, 0.0, right, box.low, lean=135)
    view.rect(front, box.low, right, high - box.stile)
    view.cut_rect(front, high - box.stile, right, high, lean=135)
    view.cut(
        (right, high),
        (right + box.over, high + box.crown * 0.8),
        (right + box.over, high + box.crown),
        (right, high + box.crown),
    )
    for y in (0.0, high):
        view.project((box.wide, y), (left, y))
    middle = back + 0.45 * (front - back)
    view.within((middle, PLY), (middle, box.shelves[0]))
    view.within((middle, box.shelves[0] + 0.5), (middle, box.shelves[1]))
    view.within((middle, box.shelves[1] + 0.5), (middle, high - PLY))
    view.size((left, 0), (right, 0), "S")
    view.size((right, 0), (right, box.low), "E")
    view.size((right, box.low), (right, high - box.stile), "E")


def _cabinet_plan(view: ShopView, box: Carcase) -> None:
    wide, deep = box.wide, box.deep
    view.cut_rect(PLY, deep - 0.375, wide - PLY, deep, lean=60)
    for x in (0.0, wide - PLY):
        view.cut_rect(x, 0, x + PLY, deep)
    for x in (PLY, wide - PLY - box.stile):
        view.cut_rect(x, 0, x + box.stile, PLY, lean=135)
    view.rect(PLY + box.stile, 0.25, wide - PLY - box.stile, 0.5, heavy=False)
    view.within((PLY, deep * 0.5), (wide - PLY, deep * 0.5))
    view.size((0, 0), (0, deep), "W")
    view.size((PLY + box.stile, 0), (wide - PLY - box.stile, 0), "S")
    view.size((wide - PLY, deep), (wide, deep), "N")
    view.below("SECTION B-B")


def _cornice(view: ShopView, box: Carcase, rng: Rng) -> None:
    over, crown = box.over, box.crown
    step, cove = near(rng, 0.25, 0.375), near(rng, 0.75, 1.0)
    face = over - step
    shape = [
        (0.0, 0.0), (0.375, 0.0), (0.375, crown - step - cove),
        *bend((0.375 + cove, crown - step - cove), cove, 180, 90),
        (0.375 + face, crown - step), (0.375 + face, crown), (0.0, crown),
    ]  # fmt: skip
    corner = (0.375 + cove, crown - step)
    view.path([(0.375, crown - step - cove), (0.375, 0), (0, 0), (0, crown),
               (0.375 + face, crown), (0.375 + face, crown - step), corner],
              width=view.manner.thick)  # fmt: skip
    view.curve(shape[2:-3])
    view.hatch_in(shape)
    view.size((0, 0), (0, crown), "W")
    view.size((0.375 + face, crown - step), (0.375 + face, crown), "E")
    view.size((0, crown), (0.375 + face, crown), "N")
    view.radius((0.375 + cove, crown - step - cove), cove, 135, behind=True)


class BenchSizes(NamedTuple):
    """A workbench's sizes, inches."""

    long: float
    high: float
    deep: float
    top: float
    leg: float
    in_: float
    rail: float
    low: float


def workbench(build: Build, rng: Rng) -> Rows:
    """A workbench in feet and inches: front and end, its vise jaw, the foot of a leg."""
    sizes = BenchSizes(
        long=near(rng, 58, 74, step=1), high=near(rng, 31, 34, step=0.5),
        deep=near(rng, 22, 28, step=0.5), top=near(rng, 1.75, 2.5), leg=near(rng, 3, 3.75),
        in_=near(rng, 6, 9, step=0.5), rail=near(rng, 4.5, 6, step=0.25), low=near(rng, 6, 8),
    )  # fmt: skip
    main = build(1.0)
    main.in_feet()
    named = main.at_usual() if rng.random() < 0.4 else ""
    _bench_front(main, sizes)
    left = sizes.long + APART_MM / main.per_inch
    _bench_end(main, sizes, left)
    main.named(("FRONT", sizes.long / 2), ("END", left + sizes.deep / 2))
    main.below(named)
    jaw, foot = build(float(rng.uniform(3.4, 4.2))), build(float(rng.uniform(4.6, 5.6)))
    _vise_jaw(jaw, rng)
    _leg_foot(foot, sizes, rng)
    return [[main], [jaw, foot, title_strip(build, rng, "MANUAL TRAINING BENCH")]]


def _bench_front(view: ShopView, s: BenchSizes) -> None:
    under = s.high - s.top
    view.rect(0, under, s.long, s.high)
    for x in (s.in_, s.long - s.in_ - s.leg):
        view.path([(x, under), (x, 0), (x + s.leg, 0), (x + s.leg, under)], width=view.manner.thick)
        view.grain(x + 0.4, s.low * 0.1, x + s.leg - 0.4, s.low * 0.9, lines=2)
    left, right = s.in_ + s.leg, s.long - s.in_ - s.leg
    view.path([(left, under - s.rail), (right, under - s.rail)])
    for y in (s.low, s.low + 3.5):
        view.path([(left, y), (right, y)])
    view.rect(s.in_ - 2.5, under - 6.5, s.in_ + s.leg + 2.5, s.high)
    view.arc((s.in_ + s.leg / 2, under - 3.2), 1.3, 0, 360)
    view.within((left, s.low + 8), (right, s.low + 8))
    view.within((left + 0.82 * (right - left), s.low + 3.5),
                (left + 0.82 * (right - left), under - s.rail))  # fmt: skip
    view.size((0, s.high), (s.long, s.high), "N")
    view.chain([(s.in_, 0), (left, 0)], "S")
    view.chain([(right, 0), (right + s.leg, 0)], "S")
    view.size((0, under), (s.in_, 0), "S", tier=2)
    view.chain([(left - s.leg, 0), (0, s.high)], "W")
    view.note("3/8 BOLTS", (left + 2.0, s.low + 1.7), (9.0, -8.0))


def _bench_end(view: ShopView, s: BenchSizes, left: float) -> None:
    under, right = s.high - s.top, left + s.deep
    view.start()
    view.rect(left, under, right, s.high)
    view.grain(left + 0.5, under + 0.2, right - 0.5, s.high - 0.2, lines=2)
    legs = (left + 1.5, right - 1.5 - s.leg)
    for x in legs:
        view.path([(x, under), (x, 0), (x + s.leg, 0), (x + s.leg, under)], width=view.manner.thick)
    for y in (s.low, s.low + s.rail, under - s.rail):
        view.path([(legs[0] + s.leg, y), (legs[1], y)])
    for y in (0.0, under, s.high):
        view.project((s.long, y), (left, y))
    middle = 0.5 * (left + right)
    above = 0.4 * (s.low + s.rail) + 0.6 * (under - s.rail)
    view.within((legs[0] + s.leg, above), (legs[1], above))
    view.within((middle, s.low), (middle, s.low + s.rail))
    view.size((left, s.high), (right, s.high), "N")
    view.size((legs[0], 0), (legs[1] + s.leg, 0), "S")
    view.chain([(legs[1] + s.leg, 0), (legs[1] + s.leg, s.low)], "E")
    view.size((right, under), (right, s.high), "E")


def _vise_jaw(view: ShopView, rng: Rng) -> None:
    wide, high = near(rng, 13, 16, step=0.5), near(rng, 5.5, 7, step=0.25)
    up, apart, screw = near(rng, 2.5, 3.25), near(rng, 8, 9.5, step=0.25), near(rng, 1.125, 1.375)
    cut = near(rng, 1, 1.5)
    view.outline((cut, 0), (wide - cut, 0), (wide, cut), (wide, high), (0, high), (0, cut))
    middle = wide / 2
    for x in (middle - apart / 2, middle + apart / 2):
        view.arc((x, up), 0.3125, 0, 360)
        view.cross((x, up), 0.7)
    view.cross((middle, up), 1.4)
    view.hole(
        (middle, up), screw, "BORE", ((wide / 2) * view.per_inch + 2.0, 0.42 * high * view.per_inch)
    )
    view.chain([(middle - apart / 2, up), (middle, up), (middle + apart / 2, up)], "S")
    view.size((0, high), (wide, high), "N")
    view.chain([(0, cut), (0, high)], "W")
    view.chain([(wide - cut, 0), (middle + apart / 2, up)], "E")
    view.mark_part(6, (wide * 0.12, high * 0.75))
    view.stock("MAPLE", (wide * 0.3, high * 0.16))
    view.below("VISE JAW")


def _leg_foot(view: ShopView, s: BenchSizes, rng: Rng) -> None:
    wide, foot, tenon = s.leg, near(rng, 2.5, 3.25), near(rng, 1, 1.375)
    long, deep = near(rng, 8, 10, step=0.25), near(rng, 1.5, 2)
    at = long * 0.5
    view.outline((0, 0), (long, 0), (long, foot * 0.6), (long - 1.25, foot), (0, foot))
    view.path([(at, foot), (at, foot + 3.4)], width=view.manner.thick)
    view.path([(at + wide, foot), (at + wide, foot + 3.4)], width=view.manner.thick)
    side = (wide - tenon) / 2
    view.hidden((at + side, foot), (at + side, foot - deep), (at + side + tenon, foot - deep),
                (at + side + tenon, foot))  # fmt: skip
    view.grain(0.4, 0.3, at - 0.2, foot - 0.3, lines=5)
    view.torn((at, foot + 3.4), (at + wide, foot + 3.4))
    view.size((0, 0), (long, 0), "S")
    view.size((0, 0), (0, foot), "W")
    view.within((at, foot + 2.0), (at + wide, foot + 2.0))
    view.size((long, foot * 0.6), (long - 1.25, foot), "E")
    view.note("GLUE AND PIN", (at + side, foot - deep * 0.6), (-3.0 - side * view.per_inch, 15.0))
    view.below("FOOT OF LEG")


class Seat(NamedTuple):
    """A window seat's sizes, inches."""

    long: float
    high: float
    deep: float
    lid: float
    toe: float
    stile: float
    panel: float
    rail: float


def window_seat(build: Build, rng: Rng) -> Rows:
    """A window seat broken off in its middle, a section through it, its panel's moulding."""
    seat = Seat(
        long=near(rng, 96, 126, step=1), high=near(rng, 16, 18, step=0.5),
        deep=near(rng, 17, 21, step=0.5), lid=near(rng, 1, 1.25), toe=near(rng, 3, 4, step=0.25),
        stile=near(rng, 3, 4, step=0.25), panel=near(rng, 15, 19, step=0.5),
        rail=near(rng, 2.5, 3.25, step=0.25),
    )  # fmt: skip
    front = build(1.0)
    front.in_feet()
    _seat_front(front, seat)
    front.below("ELEVATION OF WINDOW SEAT")
    section = build(1.1)
    _seat_section(section, seat, rng)
    detail = build(float(rng.uniform(8, 9.5)))
    named = detail.at_usual() if rng.random() < 0.5 else ""
    _panel_edge(detail, rng)
    detail.below("PANEL MOULD", named)
    return [[front], [section, detail, title_strip(build, rng, "BAY, SOUTH ROOM")]]


def _seat_front(view: ShopView, s: Seat) -> None:
    first = s.stile + s.panel
    view.broken = (first + s.stile + 4.0, s.long - first - s.stile - 4.0)
    under = s.high - s.lid
    view.rect(-0.75, under, s.long + 0.75, s.high)
    view.path([(0, under), (0, 0), (s.long, 0), (s.long, under)], width=view.manner.thick)
    view.path([(0, s.toe), (s.long, s.toe)])
    low, top = s.toe + s.rail, under - s.rail
    for x in (s.stile, s.long - first):
        view.rect(x, low, x + s.panel, top)
        view.rect(x + 0.6, low + 0.6, x + s.panel - 0.6, top - 0.6, heavy=False)
    last = view.broken[1]
    edge = s.long - first - s.stile
    for x, far in ((first + s.stile, view.broken[0]), (edge, last)):
        view.path([(far, low), (x, low), (x, top), (far, top)], width=view.manner.thick)
    view.within((s.stile, 0.55 * s.high), (first, 0.55 * s.high))
    third = s.long - first + 0.62 * s.panel
    view.within((third, low), (third, top))
    view.break_across(view.broken[0], -1.0, s.high + 1.0)
    view.size((-0.75, s.high), (s.long + 0.75, s.high), "N", tier=2)
    view.chain([(0, 0), (0, s.high)], "W")
    view.chain([(0, 0), (s.stile, low), (first, low), (first + s.stile, low)], "S")
    view.chain([(s.long, 0), (s.long, s.toe)], "E")
    view.cut_line((s.long - first * 0.5, -0.4), (s.long - first * 0.5, s.high + 0.6), "C", (-1, 0))


def _seat_section(view: ShopView, s: Seat, rng: Rng) -> None:
    under, deep, wall = s.high - s.lid, s.deep, 3.0
    cleat = near(rng, 1.5, 2, step=0.25)
    view.cut_rect(0.0, s.toe, 0.875, under)
    view.cut_rect(-0.75, under, deep - 4.0, s.high, lean=135)
    view.cut_rect(deep - 4.0, under, deep, s.high, lean=45)
    view.cut_rect(deep - cleat, under - 2.5, deep, under, lean=60)
    view.cut_rect(2.5, 0, 3.375, s.toe, lean=60)
    view.path([(deep, -1.0), (deep, s.high + 5)], width=view.manner.thick)
    view.hatch_in([(deep, -1.0), (deep + wall, -1.0), (deep + wall, s.high + 5),
                   (deep, s.high + 5)], lean=70)  # fmt: skip
    view.path([(-2, 0), (deep, 0)], width=view.manner.thick)
    view.cut_rect(0.875, s.toe, deep, s.toe + 0.75, lean=120)
    view.within((0.875, s.high * 0.42), (deep, s.high * 0.42))
    view.within((deep * 0.32, s.toe + 0.75), (deep * 0.32, under))
    view.size((-0.75, s.high), (deep, s.high), "N", tier=2)
    view.size((0, s.toe), (-0.75, s.high), "W")
    view.note("2 1/2 BUTTS", (deep - 4.0, s.high), (-3.0, 6.0))
    view.below("SECTION C-C")


def _panel_edge(view: ShopView, rng: Rng) -> None:
    wide, thick = near(rng, 2, 2.5), near(rng, 0.875, 1.125)
    groove, ply = near(rng, 0.375, 0.5), 0.375
    low = thick - ply - 0.1875
    bead = low - 0.125
    around = [(0, 0), (wide - bead, 0), *bend((wide, 0), bead, 180, 90)[1:]]
    tongue = [(wide + 1.5, low), (wide - groove, low), (wide - groove, low + ply),
              (wide + 1.5, low + ply)]  # fmt: skip
    view.path([(wide, bead), (wide, low)], width=view.manner.thick)
    view.path([(wide, low + ply), (wide, thick), (0, thick), (0, 0), (wide - bead, 0)],
              width=view.manner.thick)  # fmt: skip
    view.curve(around[1:])
    view.hatch_in([*around, (wide, low), *tongue[1:3], (wide, low + ply), (wide, thick),
                   (0.0, thick)])  # fmt: skip
    view.path(tongue, width=view.manner.thick)
    view.hatch_in(tongue, lean=125)
    view.torn((wide + 1.5, low), (wide + 1.5, low + ply))
    view.size((0, 0), (0, thick), "W")
    view.size((0, thick), (wide, thick), "N")
    view.size((wide + 1.5, low), (wide + 1.5, low + ply), "E")
