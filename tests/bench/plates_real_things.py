"""What the development half of the bought plans shows: a stand, a toy, a jig, a frame, a mould.

Furniture with an exploded pictorial, a toy on squares, a jig with its hardware, a braced frame in
feet and inches, a mould of a small boat. All are invented.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from tests.bench.plates_pen import Rng
from tests.bench.plates_real_metal import engine, gusset
from tests.bench.plates_real_views import RealView
from tests.bench.plates_shop_views import bend
from tests.bench.plates_things import near

Build = Callable[[float], RealView]
Rows = list[list[RealView]]
RealThing = Callable[[Build, Rng], Rows]


def stand(build: Build, rng: Rng) -> Rows:
    """A bedside stand: front, side, what it is put together from, a list of materials."""
    wide, deep, high = near(rng, 15, 19, step=0.5), near(rng, 12, 15, step=0.5), near(rng, 23, 27)
    leg, drawer, over = near(rng, 1.25, 1.75), near(rng, 4, 5.5, step=0.25), near(rng, 0.75, 1.25)
    front, side = build(1.0), build(1.0)
    _stand_front(front, (wide, high), leg, drawer, over)
    _stand_side(side, deep, high, leg, drawer)
    apart = build(0.62)
    _stand_apart(apart, wide, deep, leg, drawer)
    stock = build(1.0)
    rows = (
        ("PART", "T", "W", "L", "QTY."),
        ("A  Top", '3/4"', f"{deep:g}", f"{wide:g}", "1"),
        ("B  Legs", f"{leg:g}", f"{leg:g}", f"{high - 0.75:g}", "4"),
        ("C  Shelf", '3/4"', f"{deep - 2:g}", f"{wide - 3:g}", "1"),
        ("D  Drawer front", '3/4"', f"{drawer:g}", "to fit", "1"),
    )
    stock.table(rows, stock.manner.captions, ruled=True)
    stock.text_block('NOTES:  1. All stock 3/4" unless noted.', "2. Ease all edges 1/16.")
    return [[front, side], [apart, stock]]


def _stand_front(
    view: RealView, size: tuple[float, float], leg: float, drawer: float, over: float
) -> None:
    wide, high = size
    top, low = high - 0.75, near(view.rng, 5, 7, step=0.25)
    view.rect(0, top, wide, high)
    for x in (over, wide - over - leg):
        view.rect(x, 0, x + leg, top)
    left, right = over + leg, wide - over - leg
    view.rect(left, top - drawer, right, top)
    view.rect(left, low, right, low + 0.75)
    view.grain(left + 0.3, top - drawer + 0.2, right - 0.3, top - 0.2, lines=4)
    view.arc(((left + right) / 2, top - drawer / 2), 0.5, 0, 360)
    view.note('1" KNOB', ((left + right) / 2 + 0.4, top - drawer / 2), (16.0, -13.0))
    view.within((left, 0.55 * high), (right, 0.55 * high))
    view.within((left + 0.22 * (right - left), low + 0.75),
                (left + 0.22 * (right - left), top - drawer))  # fmt: skip
    view.size((0, high), (wide, high), "N")
    view.chain([(0, 0), (0, top), (0, high)], "W")
    view.noted("TYP").size((over, 0), (over + leg, 0), "S")
    view.size((wide, low), (wide, 0), "E")
    view.size((wide, top - drawer), (wide, top), "E")
    view.below("FRONT VIEW")


def _stand_side(view: RealView, deep: float, high: float, leg: float, drawer: float) -> None:
    top = high - 0.75
    view.rect(0, top, deep, high)
    for x in (1.0, deep - 1.0 - leg):
        view.rect(x, 0, x + leg, top)
    view.rect(1 + leg, top - drawer, deep - 1 - leg, top)
    view.stipple(1 + leg, top - drawer, deep - 1 - leg, top, 120)
    view.hidden((1 + leg, 6), (deep - 1 - leg, 6))
    view.size((0, high), (deep, high), "N")
    view.size((1, 0), (deep - 1, 0), "S")
    view.size((deep, top), (deep, high), "E")
    view.size((deep - 1, 0), (deep - 1, top - drawer), "E")
    view.within((1 + leg, 0.4 * high), (deep - 1 - leg, 0.4 * high))
    view.below("SIDE VIEW")


def _stand_apart(view: RealView, wide: float, deep: float, leg: float, drawer: float) -> None:
    view.pictorial = True
    rise = 14.0
    far = deep - leg
    for x, y in ((wide - leg, far), (0.0, far), (wide - leg, 0.0), (0.0, 0.0)):
        view.solid_box((x, y, 0), (leg, leg, rise))
        view.explode((x + leg / 2, y + leg / 2, rise), (x + leg / 2, y + leg / 2, rise + 5))
    view.solid_box((0, 0, rise + 5), (wide, deep, 0.75), "A")
    view.iso_size((0, 0, rise + 5), (wide, 0, rise + 5), (0, -1, 0), 5.0)
    view.mark_letter("B", (leg * 0.4, 6.0))
    view.below("EXPLODED VIEW")


# a toy truck, its cab on squares


def truck(build: Build, rng: Rng) -> Rows:
    """A toy truck: side with round corners, its cab drawn on squares, a wheel."""
    long, high = near(rng, 9, 12, step=0.25), near(rng, 3.5, 4.5)
    wheel, bed = near(rng, 1.75, 2.25), near(rng, 1.25, 1.75)
    side, cab, round_ = build(1.0), build(1.25), build(1.6)
    _truck_side(side, long, high, wheel, bed)
    _truck_cab(cab, rng)
    _truck_wheel(round_, rng, wheel)
    top = build(1.0)
    _truck_top(top, rng, long)
    return [[side], [cab, round_], [top]]


def _truck_side(view: RealView, long: float, high: float, wheel: float, bed: float) -> None:
    low, cab = wheel / 2, 0.36 * long
    cab = round(cab * 8) / 8
    view.rounded(0, low, long, low + 0.75, 0.25)
    view.rounded(0, low + 0.75, cab, low + high, 0.5)
    view.rounded(cab + 0.25, low + 0.75, long, low + 0.75 + bed, 0.25)
    axles = (round(0.2 * long * 8) / 8, long - round(0.22 * long * 8) / 8)
    for x in axles:
        view.arc((x, wheel / 2), wheel / 2, 0, 360)
        view.arc((x, wheel / 2), 0.125, 0, 360, heavy=False)
        view.cross((x, wheel / 2), 0.4)
    view.rounded(0.6, low + 0.55 * high, cab - 0.6, low + high - 0.6, 0.25)
    view.between((axles[0], 0), (axles[1], 0), "S")
    view.size((0, low), (long, low), "S", tier=2)
    view.size((0, low), (axles[0], wheel / 2), "S")
    view.size((0, low + high), (cab, low + high), "N")
    view.size((long, low + 0.75), (long, low + 0.75 + bed), "E")
    view.size((0, low), (0, low + high), "W")
    view.fillet((cab - 0.5, low + high - 0.5), 0.5, 45, "R {} (TYP)", 8.0)
    view.note('1/4" DOWEL', (axles[1], wheel / 2), (10.0, 14.0))
    view.below("TRUCK - SIDE")


def _truck_cab(view: RealView, rng: Rng) -> None:
    wide, high = 4.0, 3.5
    view.squares(0, 0, wide, high, 0.5)
    dip = float(rng.uniform(0.2, 0.5))
    view.flowing([(0.5, 0), (0.5, 1.4), (0.7, 2.2), (1.0, 3.0), (1.6, 3.4)])
    view.path([(1.6, 3.4), (2.4, 3.4)], width=view.manner.thick)
    view.flowing([(2.4, 3.4), (2.8, 2.9 - dip), (3.3, 2.0), (3.5, 1.4), (3.5, 0)])
    view.path([(0.5, 0), (3.5, 0)], width=view.manner.thick)
    view.size((0.5, 0), (3.5, 0), "S")
    view.size((0, 0), (0, high), "W")
    view.size((1.6, high), (2.4, high), "N")
    view.below('CAB PATTERN   1/2" SQUARES')


def _truck_wheel(view: RealView, rng: Rng, wheel: float) -> None:
    radius, thick = wheel / 2, near(rng, 0.625, 0.875)
    view.arc((0, 0), radius, 0, 360)
    view.arc((0, 0), radius * 0.72, 0, 360, heavy=False)
    view.cross((0, 0), radius + 0.2)
    view.drill((0, 0), 0.28125, "DRILL {}", (14.0, 15.0))
    view.size((-radius, 0), (radius, 0), "S")
    view.start()
    left = radius + 26.0 / view.per_inch
    view.cut_rect(left, 0.14, left + thick, radius)
    view.cut_rect(left, -radius, left + thick, -0.14)
    view.path([(left, -0.14), (left, 0.14)])
    view.path([(left + thick, -0.14), (left + thick, 0.14)])
    view.size((left, -radius), (left + thick, -radius), "S")
    view.below("WHEEL  (4 REQ'D)")


def _truck_top(view: RealView, rng: Rng, long: float) -> None:
    wide, block = near(rng, 2.75, 3.5), near(rng, 1.25, 2)
    view.rounded(0, 0, long, wide, 0.375)
    view.rect(long * 0.4, 0.5, long - 0.5, wide - 0.5, heavy=False)
    view.grain(long * 0.42, 0.7, long - 0.7, wide - 0.7, lines=4)
    view.path([(block, 0), (block, wide)])
    view.within((long * 0.62, 0.5), (long * 0.62, wide - 0.5))
    view.size((0, 0), (0, wide), "W")
    view.size((0, wide), (block, wide), "N")
    view.size((0, 0), (long, 0), "S")
    view.below("TOP")


# a jig with its hardware


def jig(build: Build, rng: Rng) -> Rows:
    """A sled for a saw: plan from one edge, end, its stop block, call-outs of its hardware."""
    wide, deep = near(rng, 22, 28, step=0.5), near(rng, 13, 17, step=0.5)
    plan, end, block = build(1.0), build(1.0), build(2.6)
    _jig_plan(plan, rng, wide, deep)
    _jig_end(end, rng, deep)
    _jig_block(block, rng)
    block.below("STOP BLOCK", "ENLARGED")
    words = build(1.0)
    words.text_block(
        "HARDWARE", "4 - 1/4-20 x 1 1/2 hex bolts", "4 - 1/4 wing nuts",
        "8 - No. 8 x 1 1/4 screws", "1 - 3/8 x 3/4 miter bar, 18 long",
    )  # fmt: skip
    return [[plan, words], [end, block]]


def _jig_plan(view: RealView, rng: Rng, wide: float, deep: float) -> None:
    fence = near(rng, 1.5, 2)
    view.rect(0, 0, wide, deep)
    view.rect(0, deep - fence, wide, deep)
    view.rect(1, 0, wide - 1, fence, heavy=False)
    cut = round(wide * 0.6 * 2) / 2
    for x in (cut, cut + 0.125):
        view.path([(x, fence), (x, deep - fence)])
    slots = [round(wide * s * 4) / 4 for s in (0.12, 0.26, 0.42)]
    for x in slots:
        view.arc((x, deep * 0.42), 0.2, 0, 360)
        view.cross((x, deep * 0.42), 0.5)
    view.from_edge([(0, 0), *((x, deep * 0.42) for x in slots)], "S")
    view.size((0, deep), (wide, deep), "N", tier=2)
    view.size((0, deep), (cut, deep - fence), "N")
    view.size((0, 0), (0, deep), "W")
    view.size((wide, deep - fence), (wide, deep), "E")
    view.within((wide * 0.82, fence), (wide * 0.82, deep - fence))
    view.note("1/4-20 T-NUT (3)", (slots[2], deep * 0.42), (9.0, 11.0))
    view.note("SAW KERF", (cut, deep * 0.3), (12.0, -8.0))
    view.below("PLAN VIEW")


def _jig_end(view: RealView, rng: Rng, deep: float) -> None:
    base, tall, fence = 0.75, near(rng, 2.5, 3.5), near(rng, 1.5, 2)
    view.rect(0, 0, deep, base)
    view.grain(0.4, 0.1, deep - 0.4, base - 0.1, lines=2)
    view.rect(deep - fence, base, deep, base + tall)
    view.rect(0.5, base, 0.5 + fence, base + tall)
    view.solid((4, -0.375), (4.75, -0.375), (4.75, 0), (4, 0))
    view.size((deep, base), (deep, base + tall), "E")
    view.noted("PLY").size((0, 0), (0, base), "W")
    view.size((0, 0), (4, -0.375), "S")
    view.size((0.5 + fence, base), (deep - fence, base), "N")
    view.noted("BOTH ENDS").size((0.5, base + tall), (0.5 + fence, base + tall), "N")
    view.note("MITER BAR", (4.4, -0.3), (14.0, -7.0))
    view.below("END")


def _jig_block(view: RealView, rng: Rng) -> None:
    wide, high, slot = near(rng, 3, 3.75), near(rng, 2, 2.5), near(rng, 1, 1.5)
    view.outline((0, 0.375), (0.375, 0), (wide, 0), (wide, high), (0, high))
    low = high / 2 - 0.140625
    left, right = wide / 2 - slot / 2, wide / 2 + slot / 2
    view.curve(bend((left, high / 2), 0.140625, 90, 270))
    view.curve(bend((right, high / 2), 0.140625, -90, 90))
    for y in (low, high - low):
        view.path([(left, y), (right, y)], width=view.manner.thick)
    view.between((left, high / 2), (right, high / 2), "N")
    view.size((0, 0), (wide, 0), "S")
    view.size((wide, 0), (wide, high), "E")
    view.size((0, 0), (wide / 2, high / 2), "W")
    view.fillet((right, high / 2), 0.140625, -38, "{} R", 15.0)


# a braced frame in feet and inches


def frame(build: Build, rng: Rng) -> Rows:
    """A braced post and beam: elevation, the mortise and the tenon large, a timber list."""
    bay, high = near(rng, 112, 150, step=1), near(rng, 84, 102, step=1)
    post, beam = near(rng, 5.5, 8, step=0.5), near(rng, 7.5, 10, step=0.5)
    brace = near(rng, 26, 36, step=1)
    bent, joint = build(1.0), build(5.2)
    bent.in_feet()
    _bent(bent, (bay, high), post, beam, brace)
    _mortise(joint, rng, post)
    tenon = build(5.2)
    _tenon_end(tenon, rng)
    return [[bent], [joint, tenon]]


def _bent(
    view: RealView, size: tuple[float, float], post: float, beam: float, brace: float
) -> None:
    bay, high = size
    under = high - beam
    for x in (0.0, bay - post):
        view.rect(x, 0, x + post, under)
        view.grain(x + 1, 2, x + post - 1, under * 0.3, lines=2)
    view.rect(-6, under, bay + 6, high)
    wide = 4.0
    for side, x in ((1, post), (-1, bay - post)):
        low, far = (x, under - brace), (x + side * brace, under)
        step = wide * math.sqrt(2)
        view.path([low, far], width=view.manner.thick)
        view.path([(x, under - brace + step), (x + side * (brace - step), under)],
                  width=view.manner.thick)  # fmt: skip
    view.along((post, under - brace), (post + brace, under), -7.0)
    view.size((-6, high), (bay + 6, high), "N")
    view.size((0, 0), (bay, 0), "S", tier=2)
    view.chain([(0, 0), (post, 0), (bay - post, 0), (bay, 0)], "S")
    view.chain([(0, 0), (0, under), (-6, high)], "W")
    view.chain([(bay - post, under), (bay - post, under - brace)], "E")
    view.within((bay * 0.5, 0.0), (bay * 0.5, under))
    view.path([(-8, 0), (bay + 8, 0)])
    view.below("TYPICAL BENT")


def _mortise(view: RealView, rng: Rng, post: float) -> None:
    deep, wide, high = near(rng, 3, 4, step=0.25), near(rng, 1.5, 2), near(rng, 6, 8, step=0.25)
    tall = high + 5.0
    view.rect(0, 0, post, tall)
    side = (post - wide) / 2
    view.rect(side, 2, side + wide, 2 + high)
    view.grain(0.2, 2.3, side - 0.2, tall - 0.3, lines=4)
    view.torn((0, tall), (post, tall))
    view.size((side, 2), (side + wide, 2), "N")
    view.noted("DEEP").size((post, 2), (post, 2 + deep), "E")
    view.size((0, 2), (0, 2 + high), "W")
    view.size((0, 0), (post, 0), "S", tier=2)
    view.size((0, 0), (side, 2), "S")
    view.path([(0, 2 + deep), (post, 2 + deep)], dashes=(1.7, 0.9))
    view.below("MORTISE")


def _tenon_end(view: RealView, rng: Rng) -> None:
    long, wide, tenon = near(rng, 9, 11, step=0.5), near(rng, 5, 6, step=0.5), near(rng, 3, 4)
    view.outline((0, 0), (long, 0), (long, 0.5), (long + tenon, 0.5), (long + tenon, wide - 1),
                 (long, wide - 1), (long, wide), (0, wide))  # fmt: skip
    view.grain(0.5, 0.4, long - 0.5, wide - 0.4, lines=6)
    view.torn((0, 0), (0, wide))
    peg = (long + 1.5, (wide - 0.5) / 2)
    view.drill(peg, 0.75, "{} PEG", (10.0, -16.0))
    view.cross(peg, 0.7)
    view.size((long, wide), (long + tenon, wide - 1), "N", tier=2)
    view.between((long, wide), peg, "N")
    view.size((long + tenon, 0.5), (long + tenon, wide - 1), "E")
    view.within((long * 0.4, 0), (long * 0.4, wide))
    view.below("TENON")


# a mould of a small boat


def mould(build: Build, rng: Rng) -> Rows:
    """A mould of a skiff: heights and half breadths from its centre, stem bevelled, a table."""
    beam, deep = near(rng, 44, 54, step=0.5), near(rng, 15, 19, step=0.25)
    bottom, rise = near(rng, 26, 34, step=0.5), near(rng, 1, 2, step=0.25)
    body, stem = build(1.0), build(2.2)
    body.in_feet()
    _mould_body(body, beam, deep, bottom, rise)
    _stem(stem, rng)
    table = build(1.0)
    rows = (
        ("STA.", "1", "2", "3", "4"),
        ("SHEER HT.", "1-9-4", "1-7-2", "1-5-6", "1-6-1"),
        ("HALF BR.", "0-8-5", "1-3-0", "1-9-4", "1-8-3"),
        ("CHINE HT.", "0-5-2", "0-3-1", "0-2-0", "0-2-6"),
    )
    table.table(rows, table.manner.captions, ruled=True)
    table.text_block("OFFSETS IN FEET-INCHES-EIGHTHS", "TO INSIDE OF PLANK")
    return [[body], [stem, table]]


def _mould_body(view: RealView, beam: float, deep: float, bottom: float, rise: float) -> None:
    half, low = beam / 2, bottom / 2
    base = -6.0
    view.outline((-low, rise), (0, 0), (low, rise), (half, deep), (-half, deep))
    view.outline((-low + 2.5, rise + 2), (low - 2.5, rise + 2), (half - 3.5, deep - 2.5),
                 (3.5 - half, deep - 2.5))  # fmt: skip
    view.rect(-half - 3, deep, half + 3, deep + 3.5)
    view.centre_line((0, base - 1), (0, deep + 5))
    view.path([(-half - 4, base), (half + 4, base)])
    view.size((-half, deep), (0, 0), "N")
    view.size((0, 0), (half, deep), "N")
    view.size((-half - 3, deep), (half + 3, deep), "N", tier=2)
    view.size((-low, rise), (low, rise), "S")
    view.within((-low, base), (-low, rise))
    view.size((half, base), (half, deep), "E")
    view.chain([(-half, base), (-half, deep), (-half, deep + 3.5)], "W")
    view.along((low, rise), (half, deep), -6.0)
    view.within((low * 0.3, rise + 2), (low * 0.3, deep - 2.5))
    view.note("NOTCH FOR KEELSON", (0.3, 0.2), (11.0, -6.0))
    view.below("MOULD AT STATION 3")


def _stem(view: RealView, rng: Rng) -> None:
    face, deep, back = near(rng, 0.75, 1), near(rng, 3.5, 4.5, step=0.25), near(rng, 2.5, 3)
    view.outline((-face / 2, 0), (face / 2, 0), (back / 2, deep * 0.5), (back / 2, deep),
                 (-back / 2, deep), (-back / 2, deep * 0.5))  # fmt: skip
    view.rings(-back / 2, deep * 0.5, back / 2, deep)
    view.size((-face / 2, 0), (face / 2, 0), "S")
    view.size((-back / 2, deep), (back / 2, deep), "N")
    view.size((face / 2, 0), (back / 2, deep), "E")
    view.along((face / 2, 0), (back / 2, deep * 0.5), -5.0)
    view.size((-back / 2, deep * 0.5), (-back / 2, deep), "W")
    view.below("SECTION OF STEM", "ENLARGED")


THINGS: tuple[RealThing, ...] = (stand, engine, truck, gusset, frame, jig, mould)
