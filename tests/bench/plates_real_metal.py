"""Metal parts of the development half of the bought plans: a small engine, a sheet-metal gusset."""

from __future__ import annotations

import math
from collections.abc import Callable

from tests.bench.plates_pen import Rng
from tests.bench.plates_real_views import RealView, near_mm
from tests.bench.plates_shop_views import bend
from tests.bench.plates_things import near

Build = Callable[[float], RealView]
Rows = list[list[RealView]]


def engine(build: Build, rng: Rng) -> Rows:
    """A small steam engine: cylinder half in section, its cover, rod, crank; perhaps decimals."""
    decimals = bool(rng.random() < 0.35)
    views = [build(z) for z in (1.0, 1.0, 1.0, 1.0)]
    for view in views:
        view.decimals = decimals
    bore, flange = near(rng, 0.75, 1), near(rng, 1.75, 2.125)
    _cylinder(views[0], rng, bore, flange)
    _cover(views[1], rng, bore, flange)
    _rod(views[2], rng)
    _crank(views[3], rng)
    words = build(1.0)
    words.text_block("CYL. & COVER - C.I.", "ROD - BRONZE", "ALL HOLES SHOWN", "DRILL TO SUIT 5-40")
    return [[views[0], views[1]], [views[2]], [views[3], words]]


def _cylinder(view: RealView, rng: Rng, bore: float, flange: float) -> None:
    long, lip, barrel = near(rng, 2, 2.75), near(rng, 0.1875, 0.3125, step=0.0625), bore + 0.375
    inner, wall, rim = bore / 2, barrel / 2, flange / 2
    upper = [(0, 0), (0, rim), (lip, rim), (lip, wall), (long - lip, wall), (long - lip, rim),
             (long, rim), (long, 0)]  # fmt: skip
    view.path(upper, width=view.manner.thick)
    view.cut((0, -inner), (long, -inner), (long, -rim), (long - lip, -rim), (long - lip, -wall),
             (lip, -wall), (lip, -rim), (0, -rim))  # fmt: skip
    for x in (0.0, long):
        view.path([(x, -inner), (x, 0)], width=view.manner.thick)
    view.centre_line((-0.2, 0), (long + 0.2, 0))
    port = near(rng, 0.375, 0.5)
    view.rect(long / 2 - port / 2, wall, long / 2 + port / 2, wall + 0.125)
    view.size((0, -rim), (long, -rim), "S")
    view.size((long - lip, rim), (long, rim), "N")
    view.size((0, -rim), (0, rim), "W")
    view.size((lip, wall), (long / 2, wall + 0.125), "N")
    view.hidden((0, inner), (long, inner))
    view.noted("REAM").size((long, -inner), (long, inner), "E")
    view.size((lip, -wall), (long - lip, -wall), "S", tier=2)
    view.below("CYLINDER")


def _cover(view: RealView, rng: Rng, bore: float, flange: float) -> None:
    rim, ring = flange / 2, (bore + 0.375 + flange) / 4
    view.arc((0, 0), rim, 0, 360)
    view.arc((0, 0), bore / 2, 0, 360, heavy=False)
    view.round_centres((0, 0), ring)
    view.cross((0, 0), rim + 0.15)
    for k in range(6):
        turn = math.radians(30 + 60 * k)
        view.arc((ring * math.cos(turn), ring * math.sin(turn)), 0.0625, 0, 360)
    turn = math.radians(30)
    view.drill(
        (ring * math.cos(turn), ring * math.sin(turn)), 0.125, "DRILL {} 6 HOLES", (9.0, 9.0)
    )
    view.size((-rim, 0), (rim, 0), "S")
    view.below("COVER")


def _rod(view: RealView, rng: Rng) -> None:
    long, big, small = near(rng, 3.5, 4.5), near(rng, 0.5, 0.625, step=0.0625), 0.375
    thick = near(rng, 0.25, 0.375, step=0.0625)
    view.arc((0, 0), big, 0, 360)
    view.arc((long, 0), small, 0, 360)
    for s in (-1, 1):
        view.path([(big * 0.95, s * 0.25), (long - small * 0.9, s * 0.1875)],
                  width=view.manner.thick)  # fmt: skip
    for x, r in ((0.0, 0.4), (long, 0.25)):
        view.cross((x, 0), r + 0.3)
    view.drill((0, 0), 0.5, "{} REAM", (-9.0, 10.0))
    view.drill((long, 0), 0.3125, "{} REAM", (9.0, 10.0))
    view.between((0, -big), (long, -small), "S")
    view.fillet((long, 0), small, -40, "R {}", 8.0)
    view.start()
    low = -big - 22.0 / view.per_inch - thick
    view.rect(-big, low, long + small, low + thick)
    for x, r in ((0.0, 0.25), (long, 0.15625)):
        for s in (-1, 1):
            view.hidden((x + s * r, low), (x + s * r, low + thick))
    view.size((-big, low), (long + small, low), "S")
    view.size((long + small, low), (long + small, low + thick), "E")
    view.below("CONNECTING ROD")


def _crank(view: RealView, rng: Rng) -> None:
    disc, throw = near(rng, 0.875, 1.125), near(rng, 0.4375, 0.625, step=0.0625)
    thick, hub = near(rng, 0.25, 0.375, step=0.0625), near(rng, 0.25, 0.375, step=0.0625)
    view.arc((0, 0), disc, 0, 360)
    view.arc((0, 0), 0.375, 0, 360)
    view.arc((0, 0), 0.1875, 0, 360)
    view.cross((0, 0), disc + 0.2)
    view.drill((throw, 0), 0.1875, "TAP {}-32", (13.0, 13.0))
    view.between((0, 0), (throw, 0), "N")
    view.size((-disc, 0), (disc, 0), "S")
    left = disc + 34.0 / view.per_inch
    view.start()
    view.cut((left, 0.1875), (left, disc), (left + thick, disc), (left + thick, 0.375),
             (left + thick + hub, 0.375), (left + thick + hub, 0.1875))  # fmt: skip
    view.cut((left, -0.1875), (left, -disc), (left + thick, -disc), (left + thick, -0.375),
             (left + thick + hub, -0.375), (left + thick + hub, -0.1875))  # fmt: skip
    for x in (left, left + thick + hub):
        view.path([(x, -0.1875), (x, 0.1875)])
    view.size((left, disc), (left + thick, disc), "N")
    view.size((left, -disc), (left + thick + hub, -0.375), "S")
    view.size((left + thick + hub, -0.375), (left + thick + hub, 0.375), "E")
    view.below("CRANK DISC")


# a gusset of sheet metal, in mm


def gusset(build: Build, rng: Rng) -> Rows:
    """A bent gusset in mm: flat pattern with sizes from two edges, folded, its slot large."""
    flat, side, slot = build(1.0), build(1.0), build(2.0)
    for view in (flat, side, slot):
        view.metric = True
    wide, high = near_mm(rng, 130, 170, step=5), near_mm(rng, 95, 125, step=5)
    fold = near_mm(rng, 28, 40)
    _flat(flat, rng, wide, high, fold)
    _folded(side, rng, high, fold)
    _slot(slot, rng)
    words = build(1.0)
    words.text_block("ALL DIMENSIONS IN MM", "MATERIAL  STEEL 3 mm", "BREAK SHARP EDGES", "QTY  2")
    return [[flat, side], [slot, words]]


def _flat(view: RealView, rng: Rng, wide: float, high: float, fold: float) -> None:
    cut, hole = near_mm(rng, 18, 26), near_mm(rng, 6.5, 8.5, step=0.5)
    total = high + fold
    view.outline(
        (0, 0), (wide, 0), (wide, fold), (wide, total - cut), (wide - cut, total), (0, total)
    )
    view.path([(0, fold), (wide, fold)], width=view.manner.fine, dashes=(6.0, 1.0, 1.0, 1.0))
    xs = [near_mm(rng, 20, 26), near_mm(rng, 62, 74), near_mm(rng, 100, 112)]
    ys = [near_mm(rng, 10, 14), fold + near_mm(rng, 22, 34)]
    for x in xs:
        view.arc((x, ys[0]), hole / 2, 0, 360)
        view.cross((x, ys[0]), hole)
    for x in xs[1:]:
        view.arc((x, ys[1]), hole / 2, 0, 360)
        view.cross((x, ys[1]), hole)
    view.from_edge([(0, 0), *((x, ys[0]) for x in xs), (wide, 0)], "S")
    view.from_edge([(0, 0), (0, fold), (xs[1], ys[1]), (0, total)], "W")
    view.size((wide - cut, total), (wide, total - cut), "N")
    view.size((wide, total - cut), (wide - cut, total), "E")
    view.drill((xs[2], ys[1]), hole, "Ø{} (5x)", (12.0, 14.0))
    view.note("BEND UP 90", (wide * 0.12, fold), (6.0, 12.0))
    view.below("FLAT PATTERN")


def _folded(view: RealView, rng: Rng, high: float, fold: float) -> None:
    t, r = 3 / 25.4, 6 / 25.4
    outer = bend((r, r), r, 180, 270)
    inner = bend((r, r), r - t, 270, 180)
    view.curve(outer)
    view.curve(inner)
    view.path([(0, r), (0, high), (t, high), (t, r)], width=view.manner.thick)
    view.path([(r, 0), (fold, 0), (fold, t), (r, t)], width=view.manner.thick)
    view.size((0, high), (t, high), "N")
    view.size((0, 0), (fold, 0), "S")
    view.size((fold, 0), (0, high), "E")
    view.fillet((r, r), r, 225, "R{}", 9.0)
    view.below("FOLDED")


def _slot(view: RealView, rng: Rng) -> None:
    long, wide, edge = near_mm(rng, 22, 30), near_mm(rng, 7, 9, step=0.5), near_mm(rng, 9, 13)
    r, x0 = wide / 2, edge + wide / 2
    x1, y, tall = x0 + long, near_mm(rng, 14, 18), near_mm(rng, 30, 36)
    view.path([(x1 + 0.7, 0), (0, 0), (0, tall), (x1 + 0.7, tall)], width=view.manner.thick)
    view.torn((x1 + 0.7, 0), (x1 + 0.7, tall))
    view.curve(bend((x0, y), r, 90, 270))
    view.curve(bend((x1, y), r, -90, 90))
    for s in (-r, r):
        view.path([(x0, y + s), (x1, y + s)], width=view.manner.thick)
    view.cross((x0, y), 0.3)
    view.cross((x1, y), 0.3)
    view.between((x0, y), (x1, y), "N")
    view.size((0, 0), (x0, y), "S")
    view.size((0, 0), (0, y), "W")
    view.size((x1, y - r), (x1, y + r), "E")
    view.below("SLOT, ENLARGED")
