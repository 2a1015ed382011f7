"""What the held-out half of the bought plans shows: a nest box, a horse, a chair, a plane.

A nest box with a sloped roof cut from one board, a rocking horse on squares, a chair with a raked
back, the wooden body of a plane. All are invented.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from tests.bench.plates_pen import Rng
from tests.bench.plates_real_held_made import gate, glider, spindle
from tests.bench.plates_real_views import RealView
from tests.bench.plates_things import near

Build = Callable[[float], RealView]
Rows = list[list[RealView]]
RealThing = Callable[[Build, Rng], Rows]


def nest_box(build: Build, rng: Rng) -> Rows:
    """A nest box: side and front put together, its parts laid out along one board."""
    deep, wide = near(rng, 5, 6.5, step=0.25), near(rng, 5, 6, step=0.25)
    back, fore = near(rng, 11, 13, step=0.25), near(rng, 8, 9.5, step=0.25)
    side, front, board = build(1.0), build(1.0), build(0.62)
    _box_side(side, deep, back, fore)
    _box_front(front, rng, wide, fore)
    _box_board(board, wide, deep, back, fore)
    words = build(1.0)
    words.text_block("1 BOARD  1 x 6 x 5 FT.", "GALV. NAILS 1 1/2", "DO NOT PAINT INSIDE")
    return [[side, front], [board], [words]]


def _box_side(view: RealView, deep: float, back: float, fore: float) -> None:
    t = 0.75
    view.outline((0, 0), (deep, 0), (deep, fore), (0, back))
    view.grain(0.4, 0.4, deep - 0.4, fore - 0.4, lines=6)
    view.rect(-t, -1.5, 0, back + 1.5)
    slope = (back - fore) / deep
    out = deep + 1.5
    view.outline((0, back), (out, back - slope * out), (out, back - slope * out + t), (0, back + t))
    view.hidden((0, t), (deep, t))
    view.size((-t, -1.5), (-t, back + 1.5), "W")
    view.size((0, 0), (deep, 0), "S")
    view.size((out, 0), (deep, fore), "E")
    view.along((0, back + t), (out, back - slope * out + t), 6.0)
    view.noted("SAW KERF").size((-t, back + 1.5), (0, back + t), "N")
    view.within((deep * 0.3, t), (deep * 0.3, back - slope * deep * 0.3))
    view.below("SIDE")


def _box_front(view: RealView, rng: Rng, wide: float, fore: float) -> None:
    up, hole = fore - near(rng, 1.75, 2.5), near(rng, 1.125, 1.5)
    view.rect(0, 0, wide, fore)
    view.rect(0.75, 0.375, wide - 0.75, 1.125, heavy=False)
    view.cross((wide / 2, up), hole * 0.9)
    view.drill((wide / 2, up), hole, "{} HOLE", (14.0, 9.0))
    view.size((0, 0), (wide / 2, up), "W")
    view.size((0, 0), (wide, 0), "S", tier=2)
    view.size((0, 0), (0.75, 0.375), "S")
    view.size((wide, 0), (wide, fore), "E")
    view.below("FRONT")


def _box_board(view: RealView, wide: float, deep: float, back: float, fore: float) -> None:
    view.nearest = 16
    lengths = (back + 3, back, fore, deep + 2)
    at = [0.0]
    for long in lengths:
        at.append(at[-1] + long)
    view.rect(0, 0, at[-1], wide)
    for x in at[1:-1]:
        view.path([(x, 0), (x, wide)], width=view.manner.thick)
    view.path([(at[1], wide), (at[2], wide * 0.1)])
    view.chain([(x, 0.0) for x in at], "S")
    view.size((0, 0), (0, wide), "W")
    for name, x in zip(("BACK", "SIDES", "FRONT", "ROOF"), at, strict=False):
        view.stock(name, (x, wide / 2), by=(9.0, 0.0))
    view.below("LAYOUT OF BOARD")


# a rocking horse


def horse(build: Build, rng: Rng) -> Rows:
    """A rocking horse: its head on squares, the rocker, a leg aslant, the seat."""
    long, wide = near(rng, 20, 26, step=0.5), near(rng, 7, 9, step=0.25)
    head, rocker, seat, leg = build(1.0), build(1.0), build(1.0), build(1.0)
    _horse_head(head, rng)
    _horse_rocker(rocker, rng, near(rng, 28, 34, step=0.5))
    _horse_seat(seat, long, wide)
    _horse_leg(leg, rng)
    return [[head, leg], [seat], [rocker]]


def _horse_head(view: RealView, rng: Rng) -> None:
    view.squares(0, 0, 9, 11, 1)
    nose = float(rng.uniform(-0.3, 0.4))
    view.flowing([(2, 0), (2.3, 3), (3, 6), (4, 9), (4.6, 10.6)])
    view.flowing([(4.6, 10.6), (5.2, 9.6), (6.8, 8.6 + nose), (8.6, 7.2 + nose), (8.3, 6.2),
                  (6.6, 6.4), (5.8, 4.6), (6.8, 2), (7, 0)])  # fmt: skip
    view.path([(2, 0), (7, 0)], width=view.manner.thick)
    view.arc((5.5, 8.4), 0.2, 0, 360)
    view.size((2, 0), (7, 0), "S")
    view.size((0, 0), (0, 11), "W")
    view.size((0, 11), (9, 11), "N")
    view.below("HEAD   1 IN. SQUARES")


def _horse_rocker(view: RealView, rng: Rng, long: float) -> None:
    deep, rise, flat = near(rng, 2, 2.75), near(rng, 2.5, 3.5), near(rng, 14, 17, step=0.5)
    xs = [long * k / 24 for k in range(25)]
    sag = [rise * (2 * x / long - 1) ** 2 for x in xs]
    view.curve(list(zip(xs, sag, strict=True)))
    view.curve([(x, s + deep) for x, s in zip(xs, sag, strict=True)])
    for x in (0.0, long):
        view.path([(x, rise), (x, rise + deep)], width=view.manner.thick)
    for x in ((long - flat) / 2, (long + flat) / 2):
        low = rise * (2 * x / long - 1) ** 2 + deep / 2
        view.arc((x, low), 0.25, 0, 360)
        view.cross((x, low), 0.7)
    level = rise * (flat / long) ** 2 + deep / 2
    view.between(((long - flat) / 2, level), ((long + flat) / 2, level), "N")
    view.size((0, rise), (long, rise), "S")
    view.within((long / 2, 0), (long / 2, deep))
    view.size((0, rise), (0, rise + deep), "W")
    view.noted("RISE").size((long / 2, 0), (long, rise), "E")
    view.below("ROCKER - 2 WANTED")


def _horse_seat(view: RealView, long: float, wide: float) -> None:
    view.rounded(0, 0, long, wide, 1.0)
    slot = near(view.rng, 4.5, 5.5, step=0.25)
    middle = wide / 2
    view.rect(long - 1.5 - slot, middle - 0.375, long - 1.5, middle + 0.375)
    view.grain(1, 0.6, long - slot - 2.5, wide - 0.6, lines=6)
    view.size((0, 0), (long, 0), "S")
    view.size((long - 1.5 - slot, middle), (long - 1.5, middle), "N")
    view.size((long - 1.5, middle), (long, 0), "N")
    view.size((0, 0), (0, wide), "W")
    view.fillet((1, wide - 1), 1.0, 135, "{} RAD. 4 CORNERS", 8.0)
    view.size((long, middle - 0.375), (long, middle + 0.375), "E")
    view.below("SEAT")


def _horse_leg(view: RealView, rng: Rng) -> None:
    high, out, wide = near(rng, 9, 11, step=0.25), near(rng, 2, 3, step=0.25), near(rng, 2, 2.5)
    view.outline((0, 0), (wide, 0), (wide + out, high), (out, high))
    view.grain(out * 0.6, high * 0.45, wide + out * 0.4, high * 0.55, lines=2)
    view.along((0, 0), (out, high), 6.0)
    view.size((0, 0), (wide, 0), "S")
    view.size((out, high), (wide + out, high), "N")
    view.size((wide, 0), (wide + out, high), "E")
    view.size((0, 0), (out, high), "N", tier=2)
    view.below("LEG - 4")


# a chair


def chair(build: Build, rng: Rng) -> Rows:
    """A chair: side with a raked back, front, the back leg laid out, a slat."""
    high, seat, deep = near(rng, 36, 41, step=0.5), near(rng, 16, 17.5), near(rng, 15, 17, step=0.5)
    side, front, slat = build(1.0), build(1.0), build(1.4)
    _chair_side(side, rng, high, seat, deep)
    _chair_front(front, rng, high, seat)
    _chair_slat(slat, rng)
    words = build(1.0)
    words.text_block("WOOD: ASH OR MAPLE", "TENONS 7/8 LONG", "SEAT WOVEN - SEE TEXT")
    return [[side, front], [slat, words]]


def _chair_side(view: RealView, rng: Rng, high: float, seat: float, deep: float) -> None:
    rake, leg, rail = near(rng, 3, 4.5, step=0.25), near(rng, 1.25, 1.625), near(rng, 2.5, 3.25)
    view.outline((0, 0), (leg, 0), (leg, seat), (leg - rake, high), (-rake, high), (0, seat))
    view.rect(deep - leg, 0, deep, seat)
    for y0, y1 in ((seat - rail, seat), (6.0, 7.0)):
        view.path([(leg, y0), (deep - leg, y0)], width=view.manner.thick)
        view.path([(leg, y1), (deep - leg, y1)], width=view.manner.thick)
    view.grain(leg + 0.4, seat - rail + 0.2, deep - leg - 0.4, seat - 0.2, lines=2)
    view.size((0, 0), (-rake, high), "W")
    view.size((0, 0), (deep, 0), "S", tier=2)
    view.noted("SQ.").size((0, 0), (leg, 0), "S")
    view.size((deep, 0), (deep, seat), "E")
    view.size((-rake, high), (0, seat), "N")
    view.along((leg, seat), (leg - rake, high), -6.0)
    view.within((leg, 11.0), (deep - leg, 11.0))
    view.within((deep * 0.65, 7.0), (deep * 0.65, seat - rail))
    view.below("SIDE ELEVATION")


def _chair_front(view: RealView, rng: Rng, high: float, seat: float) -> None:
    wide, leg, rail = near(rng, 17, 19, step=0.5), 1.5, near(rng, 2.5, 3.25)
    for x in (0.0, wide - leg):
        view.rect(x, 0, x + leg, seat)
        view.path([(x, seat), (x, high)])
        view.path([(x + leg, seat), (x + leg, high)])
    view.rect(leg, seat - rail, wide - leg, seat)
    tops = [high - 1.0, high - 7.5]
    for y in tops:
        view.rect(leg, y - 3.0, wide - leg, y)
        view.stipple(leg, y - 3.0, wide - leg, y, 60)
    view.size((0, 0), (wide, 0), "S")
    view.within((leg, seat * 0.5), (wide - leg, seat * 0.5))
    view.chain([(wide, seat - rail), (wide, seat)], "E")
    view.chain([(wide, tops[0] - 3.0), (wide, tops[0])], "E")
    view.within((wide * 0.5, seat), (wide * 0.5, tops[1] - 3.0))
    view.mark_part(3, (wide * 0.4, tops[0]), by=(-6.0, 9.0))
    view.below("FRONT ELEVATION")


def _chair_slat(view: RealView, rng: Rng) -> None:
    long, wide, crown = near(rng, 13, 15.5, step=0.25), 3.0, near(rng, 0.75, 1.125)
    xs = [long * k / 16 for k in range(17)]
    view.curve([(x, wide + crown * (1 - (2 * x / long - 1) ** 2)) for x in xs])
    view.path([(0, wide), (0, 0), (long, 0), (long, wide)], width=view.manner.thick)
    view.centre_line((long / 2, -0.3), (long / 2, wide + crown + 0.3))
    view.size((0, 0), (long, 0), "S")
    view.size((0, 0), (0, wide), "W")
    view.size((long, 0), (long / 2, wide + crown), "E")
    view.size((0, wide), (long / 2, wide + crown), "N")
    view.below("SLAT - 2 REQUIRED")


# the body of a wooden plane


def plane(build: Build, rng: Rng) -> Rows:
    """A wooden plane: side cut open, top, its end, the wedge."""
    long, high, wide = near(rng, 8, 10, step=0.25), near(rng, 2.25, 2.75), near(rng, 2.25, 2.75)
    side, top, end, wedge = build(1.0), build(1.0), build(1.0), build(1.3)
    mouth = near(rng, 2.75, 3.5)
    _plane_side(side, long, high, mouth)
    _plane_top(top, rng, long, wide, mouth)
    _plane_end(end, high, wide)
    _plane_wedge(wedge, rng, wide)
    return [[side], [top, end], [wedge]]


def _plane_side(view: RealView, long: float, high: float, mouth: float) -> None:
    bed = high  # at 45 degrees
    view.outline((0, 0), (long, 0), (long, high), (0, high))
    view.cut((0, 0), (mouth, 0), (mouth - 0.5, high), (0, high))
    view.cut((mouth + 0.25, 0), (long, 0), (long, high), (mouth + 0.25 + bed, high), lean=135)
    view.size((0, 0), (mouth, 0), "S")
    view.size((0, 0), (long, 0), "S", tier=2)
    view.size((0, 0), (0, high), "W")
    view.size((mouth + 0.25 + bed, high), (long, high), "N")
    view.size((mouth - 0.5, high), (mouth + 0.25 + bed, high), "N")
    view.along((mouth + 0.25, 0), (mouth + 0.25 + bed, high), 4.0)
    view.below("SECTION ALONG THE MIDDLE")


def _plane_top(view: RealView, rng: Rng, long: float, wide: float, mouth: float) -> None:
    throat = near(rng, 1.5, 1.75)
    low = (wide - throat) / 2
    view.rect(0, 0, long, wide)
    view.rect(mouth - 0.5, low, mouth + 2.5, low + throat)
    view.path([(mouth, low), (mouth, low + throat)])
    view.grain(mouth + 2.9, 0.3, long - 0.3, wide - 0.3, lines=5)
    view.size((0, 0), (0, wide), "W")
    view.within((mouth + 1.2, low), (mouth + 1.2, low + throat))
    view.size((mouth - 0.5, low), (mouth + 2.5, low), "S")
    view.size((mouth, wide), (long, wide), "N")
    view.below("TOP")


def _plane_end(view: RealView, high: float, wide: float) -> None:
    view.rect(0, 0, wide, high)
    view.rings(0, 0, wide, high)
    view.size((0, 0), (wide, 0), "S")
    view.noted("2 CHEEKS").size((0, high), (0.375, high), "N")
    view.path([(0.375, 0), (0.375, high)])
    view.path([(wide - 0.375, 0), (wide - 0.375, high)])
    view.size((wide, 0), (wide, high), "E")
    view.below("END")


def _plane_wedge(view: RealView, rng: Rng, wide: float) -> None:
    long, thick = near(rng, 4.5, 5.5), near(rng, 0.5, 0.75)
    view.outline((0, 0), (long, 0), (long, thick), (long - 1, thick), (0, 0.125))
    view.size((0, 0), (long, 0), "S")
    view.size((long - 1, thick), (long, thick), "N")
    view.size((long, 0), (long, thick), "E")
    view.along((0, 0.125), (long - 1, thick), 5.0)
    view.start()
    low = -26.0 / view.per_inch - wide
    view.outline((0, low), (long, low), (long, low + wide), (0, low + wide))
    view.path([(0, low + wide / 2 - 0.3), (2, low + wide / 2 - 0.3)])
    view.path([(0, low + wide / 2 + 0.3), (2, low + wide / 2 + 0.3)])
    turn = [math.radians(90 - 18 * k) for k in range(11)]
    middle = low + wide / 2
    view.curve([(2 + 0.3 * math.cos(t), middle + 0.3 * math.sin(t)) for t in turn])
    view.size((0, low + wide), (2, middle + 0.3), "N")
    view.size((0, middle - 0.3), (0, middle + 0.3), "W")
    view.size((long, low), (long, low + wide), "E")
    view.below("WEDGE")


THINGS: tuple[RealThing, ...] = (nest_box, spindle, horse, gate, chair, glider, plane)
