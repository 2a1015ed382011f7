"""What the development half of the working drawings shows: put together, sized across the wood."""

from __future__ import annotations

from collections.abc import Callable

from tests.bench.plates_pen import Rng
from tests.bench.plates_things import near
from tests.bench.plates_work_views import WorkView

Build = Callable[[float], WorkView]
Rows = list[list[WorkView]]
WorkThing = Callable[[Build, Rng], Rows]
Figure = Callable[[WorkView, Rng], WorkView]
ZOOMS = (0.7, 0.92, 1.22, 1.6)


def desk(build: Build, rng: Rng) -> Rows:
    """A writing desk in three views put together, with projection lines, and its bill of stock."""
    wide, deep, high = near(rng, 34, 44, step=0.5), near(rng, 20, 25, step=0.5), near(rng, 28, 30)
    leg, top, rail, over = near(rng, 1.5, 2.25), 0.875, near(rng, 4.5, 6), near(rng, 1, 2)
    gap = 0.35 * wide
    three = build(1.0)
    inner = (over + leg, wide - over - leg)
    three.rect(0, high - top, wide, high)
    for x in (over, wide - over - leg):
        three.rect(x, 0, x + leg, high - top)
    three.rect(inner[0], high - top - rail, inner[1], high - top, heavy=False)
    three.grain(inner[0] + 1, high - top - rail + 0.5, inner[1] - 1, high - top - 0.5, lines=4)
    three.within((inner[0], 0.4 * high), (inner[1], 0.4 * high))
    three.within((wide * 0.4, high - top - rail), (wide * 0.4, high - top))
    three.size((0, 0), (0, high), "W")
    three.size((over, 0), (over + leg, 0), "S")
    left = wide + gap
    three.start()
    three.rect(left, high - top, left + deep, high)
    for x in (left + over, left + deep - over - leg):
        three.rect(x, 0, x + leg, high - top)
    low = high - top - rail
    three.path([(left + over + leg, low), (left + deep - over - leg, low)])
    for y in (high, high - top, low):
        three.project((wide, y), (left, y))
    three.within((left + over + leg, 0.3 * high), (left + deep - over - leg, 0.3 * high))
    three.size((left + deep - over, 0), (left + deep - over, low), "E")
    three.size((left, 0), (left + over, 0), "S")
    base = high + gap
    three.start()
    three.rect(0, base, wide, base + deep)
    three.hidden((over, base + over), (wide - over, base + over), (wide - over, base + deep - over),
                 (over, base + deep - over), (over, base + over))  # fmt: skip
    three.grain(1, base + 1, wide - 1, base + deep - 1, lines=9)
    for x in (0.0, wide):
        three.project((x, high), (x, base))
    three.within((0, base + 0.35 * deep), (wide, base + 0.35 * deep))
    three.within((0.3 * wide, base), (0.3 * wide, base + deep))
    three.label("FIG. 1.  PLAN, FRONT AND END")
    stock = build(1.0)
    rows = (
        ("No.", "Name", "Size in inches"),
        ("1", "Top", f"{top:g} x {deep:g} x {wide:g}"),
        ("4", "Legs", f"{leg:g} x {leg:g} x {high - top:g}"),
        ("2", "Rails", f"7/8 x {rail:g} x {wide - 2 * over:g}"),
        ("6", "Screws", "1 1/2 in. No. 10"),
    )
    stock.table(rows, stock.manner.captions, ruled=bool(rng.random() < 0.5))
    return [[three], [stock]]


def door(build: Build, rng: Rng) -> Rows:
    """A panelled door: sizes across stiles and panels, a section, its moulding full size."""
    wide, high = near(rng, 28, 34, step=0.5), near(rng, 60, 78, step=1)
    stile, top, lock, low = near(rng, 4, 5), near(rng, 4, 5), near(rng, 6, 8), near(rng, 8, 10)
    thick, middle = near(rng, 1.25, 1.75), near(rng, 32, 36, step=0.5)
    front = build(1.0)
    front.rect(0, 0, wide, high)
    for y0, y1 in ((low, middle), (middle + lock, high - top)):
        front.rect(stile, y0, wide - stile, y1)
        front.rect(stile + 1, y0 + 1, wide - stile - 1, y1 - 1, heavy=False)
        front.grain(stile + 2, y0 + 2, wide - stile - 2, y1 - 2, lines=7)
    at = low + 0.3 * (middle - low)
    front.within((0, at), (stile, at))
    front.within((stile, at - 3), (wide - stile, at - 3))
    above = middle + lock + 0.3 * (high - top - middle - lock)
    front.within((wide - stile, above), (wide, above))
    third = wide * 0.4
    front.within((third, 0), (third, low))
    front.within((third, middle), (third, middle + lock))
    front.within((third, high - top), (third, high))
    front.size((0, 0), (wide, 0), "S")
    front.size((0, 0), (0, high), "W")
    front.size((wide, low), (wide, middle), "E")
    front.ring("A", (wide * 0.7, middle + lock / 2))
    front.label("Fig. 1.  Elevation")
    edge = build(1.0)
    edge.rect(0, 0, thick, high)
    for y0, y1 in ((0, low), (middle, middle + lock), (high - top, high)):
        edge.hatch(0, y0, thick, y1)
        edge.rect(0, y0, thick, y1)
    edge.size((0, 0), (thick, 0), "S")
    edge.size((thick, middle + lock), (thick, high - top), "E")
    edge.label("Fig. 2.")
    mould = build(float(rng.uniform(9, 11)))
    mould.rect(0, 0, 2.5, thick)
    mould.rect(2.5, 0.3 * thick, 4, 0.3 * thick + 0.5)
    mould.rings(0, 0, 2.5, thick)
    mould.hatch(2.5, 0.3 * thick, 4, 0.3 * thick + 0.5, lean=60)
    mould.within((1.1, 0), (1.1, thick))
    mould.size((0, 0), (2.5, 0), "S")
    mould.size((4, 0.3 * thick), (4, 0.3 * thick + 0.5), "E")
    mould.ring("B", (1.8, thick * 0.6), by=(3.0, 12.0))
    mould.label("Fig. 3.  Section on A")
    return [[front, edge], [mould]]


def _lap(view: WorkView, rng: Rng) -> WorkView:
    wide, thick, long = near(rng, 2, 3), near(rng, 0.75, 1.25), near(rng, 6, 8, step=0.25)
    view.rect(0, 0, long, thick)
    view.path([(long - wide, thick), (long - wide, thick / 2), (long, thick / 2)])
    view.rect(long - wide, thick / 2, long, thick * 1.5)
    view.grain(0.2, 0.1, long - wide - 0.2, thick - 0.1, lines=3)
    view.size((long - wide, thick * 1.5), (long, thick * 1.5), "N")
    view.size((0, 0), (long, 0), "S")
    view.size((0, 0), (0, thick), "W")
    return view


def _tenon(view: WorkView, rng: Rng) -> WorkView:
    wide, cheek, long = near(rng, 3, 4), near(rng, 1.5, 2.5), near(rng, 5, 7, step=0.25)
    view.outline((0, 0), (long, 0), (long, 0.5), (long + cheek, 0.5), (long + cheek, wide - 0.5),
                 (long, wide - 0.5), (long, wide), (0, wide))  # fmt: skip
    view.grain(0.3, 0.2, long - 0.3, wide - 0.2, lines=5)
    view.within((long * 0.4, 0), (long * 0.4, wide))
    view.size((long, wide), (long + cheek, wide - 0.5), "N")
    view.within((0, wide * 0.3), (long, wide * 0.3))
    view.size((long + cheek, 0.5), (long + cheek, wide - 0.5), "E")
    return view


def _housing(view: WorkView, rng: Rng) -> WorkView:
    thick, deep, up = near(rng, 1, 1.5), near(rng, 0.375, 0.5), near(rng, 1.5, 2.5)
    view.outline((0, 0), (thick, 0), (thick, up), (thick - deep, up), (thick - deep, up + 0.875),
                 (thick, up + 0.875), (thick, up + 3), (0, up + 3))  # fmt: skip
    view.rings(0, 0, thick, up + 3)
    view.size((0, 0), (thick, 0), "S")
    view.size((thick, 0), (thick, up), "E")
    view.size((thick, up), (thick, up + 0.875), "E")
    view.size((0, 0), (0, up + 3), "W")
    return view


def _block(view: WorkView, rng: Rng) -> WorkView:
    view.oblique(near(rng, 3, 5), near(rng, 2, 3), near(rng, 4, 6))
    return view


def at_scales(build: Build, rng: Rng, figures: tuple[Figure, ...]) -> list[WorkView]:
    """Draw figures, each at a scale of its own."""
    zooms = rng.permutation(ZOOMS)[: len(figures)] * rng.uniform(0.95, 1.05, len(figures))
    return [figure(build(float(z)), rng) for figure, z in zip(figures, zooms, strict=True)]


def joints(build: Build, rng: Rng) -> Rows:
    """Figures on one page, each at a scale of its own."""
    made = at_scales(build, rng, (_lap, _tenon, _housing, _block))
    first = int(rng.integers(3, 40))
    for k, view in enumerate(made):
        view.label(f"Fig. {first + k}")
    return [[made[0], made[2]], [made[1], made[3]]]


def leg(build: Build, rng: Rng) -> Rows:
    """A turned leg beside its photograph: stations along it, thicknesses across it."""
    high, square = near(rng, 26, 30, step=0.5), near(rng, 2, 2.75)
    block, ball, neck, foot = (near(rng, *v) for v in ((5, 7), (1.5, 2), (0.9, 1.4), (1.5, 1.9)))
    y1, y2, y3 = high - block, high - block - near(rng, 2, 3), near(rng, 5, 7)
    turned = build(1.0)
    turned.rect(-square / 2, y1, square / 2, high)
    turned.grain(-square / 2 + 0.2, y1 + 0.3, square / 2 - 0.2, high - 0.3, lines=4)
    profile = [(neck / 2, y1), (ball / 2, (y1 + y2) / 2), (neck / 2, y2),
               (square / 2 - 0.1, y3 + 5), (neck / 2, y3),
               (foot / 2, y3 * 0.5), (neck / 2, 0)]  # fmt: skip
    for side in (-1, 1):
        turned.path([(side * x, y) for x, y in profile], width=turned.manner.thick)
    turned.path([(-neck / 2, 0), (neck / 2, 0)], width=turned.manner.thick)
    for x, y in (profile[2], profile[4]):
        turned.path([(-x, y), (x, y)])
    turned.shade(-neck / 2, neck / 2, y3 + 0.3, y2 - 0.3)
    turned.centre_line((0, -0.8), (0, high + 0.8))
    turned.size((square / 2, y1), (square / 2, high), "E")
    turned.size((neck / 2, y2), (square / 2, y1), "E", tier=2)
    turned.size((neck / 2, y3), (neck / 2, y2), "E")
    turned.size((neck / 2, 0), (neck / 2, y3), "E")
    turned.size((-neck / 2, 0), (-square / 2, high), "W")
    turned.size((-square / 2, high), (square / 2, high), "N")
    turned.size((-neck / 2, 0), (neck / 2, 0), "S")
    turned.ring("C", (-ball / 2, (y1 + y2) / 2), by=(-7.0, 5.0))
    turned.label("DETAIL OF LEG")
    seen = build(1.0)
    seen.photograph(float(rng.uniform(38, 55)), float(rng.uniform(45, 65)))
    seen.label("The Table Completed")
    plan = build(1.3)
    side = near(rng, 14, 18, step=0.5)
    plan.rect(0, 0, side, side)
    plan.grain(0.5, 0.5, side - 0.5, side - 0.5, lines=8)
    plan.knot(side * 0.75, side * 0.7)
    plan.within((0, side * 0.55), (side, side * 0.55))
    plan.within((side * 0.3, 0), (side * 0.3, side))
    plan.label("TOP")
    return [[turned, seen], [plan]]


THINGS: tuple[WorkThing, ...] = (desk, door, joints, leg)
