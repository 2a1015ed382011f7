"""More of what the held-out bought plans show: things for the bench and of metal. All are invented.

A router template for a guitar's body, a welded hitch, a mantel clock, a lift wheel for marbles.
"""

from __future__ import annotations

import math

from tests.bench.plates_pen import XY
from tests.bench.plates_real2_desk import Desk
from tests.bench.plates_real2_views import Sheetview

Rows = list[list[Sheetview]]


# a router template for a guitar's body


def guitar(desk: Desk) -> Rows:
    """A guitar's body for the router: outline about a centre line, edge, the neck's heel."""
    body, heel = desk.view("BODY TEMPLATE"), desk.view("NECK POCKET", 2.2)
    edge = desk.view("SECTION C-C", 1.7)
    pocket, deep = desk.near(2.2, 2.3, step=0.0625), desk.near(2.9, 3.1, step=0.0625)
    _guitar_body(body, pocket, deep)
    _guitar_heel(heel, pocket, deep)
    _guitar_edge(edge, desk.stock(1.75, 45))
    words = desk.text("MAKE FROM 12 mm MDF" if desk.ways.unit == "mm" else "MAKE FROM 1/2 MDF",
                      "CENTRE LINE IS DATUM", "DO NOT SCALE")  # fmt: skip
    return [[body, heel], [edge, words]]


def _guitar_body(view: Sheetview, pocket: float, deep: float) -> None:
    long = view.near(15.5, 17.5, step=0.25)
    low, waist, up = (
        view.near(a, b, step=0.25) for a, b in ((12.5, 13.5), (8.5, 9.25), (10.5, 11))
    )
    belly = view.near(long * 0.28, long * 0.28, step=0.25)
    at = [(0.0, 0.0), (0.6, low * 0.3), (belly, low / 2), (long * 0.62, waist / 2),
          (long * 0.84, up / 2), (long * 0.98, up * 0.27), (long, pocket / 2)]  # fmt: skip
    for s in (1, -1):
        view.spline([(x, s * y) for x, y in at])
    view.line((long, pocket / 2), (long - deep, pocket / 2), (long - deep, -pocket / 2),
              (long, -pocket / 2))  # fmt: skip
    for y in (low / 2, -low / 2):
        view.centre((belly, y * 0.86), (belly, y * 1.04))
    view.centre((-1, 0), (long + 1.2, 0))
    bridge, coil = view.near(4.25, 5, step=0.125), view.near(3.4, 3.6, step=0.0625)
    view.rect(bridge + 1, -coil / 2, bridge + 2.5, coil / 2)
    stud = view.stock(1.5, 37)
    for y in (-stud, stud):
        view.circle((bridge, y), 0.4)
    jack = (long * 0.16, -low * 0.31)
    view.bore(jack, view.near(0.85, 1, step=0.0625), (-9, -11))
    view.size((0, 0), (long, -pocket / 2), "S", tier=2)
    view.size((0, 0), (bridge, -stud), "S", mid=False)
    view.size((bridge, -stud), (long - deep, -pocket / 2), "S")
    view.size((0, 0), (belly, low / 2), "N", tier=1)
    view.size((belly, -low / 2), (belly, low / 2), "W", tier=1.6)
    view.size((long * 0.62, -waist / 2), (long * 0.62, waist / 2), "E", tier=1)
    view.size((long * 0.84, -up / 2), (long * 0.84, up / 2), "E", tier=2)
    view.within((bridge + 1.75, -coil / 2), (bridge + 1.75, coil / 2))
    view.size((bridge, -stud), (bridge, stud), "W", tier=0.6, mid=True)
    view.note("C", (long * 0.5, waist * 0.55), (2, 9))


def _guitar_heel(view: Sheetview, pocket: float, deep: float) -> None:
    r = view.stock(0.25, 6)
    view.line((-1.5, 0), (0, 0), (0, deep - r))
    view.line((r, deep), (pocket - r, deep))
    view.line((pocket, deep - r), (pocket, 0), (pocket + 1.5, 0))
    view.arc((r, deep - r), r, 90, 180)
    view.arc((pocket - r, deep - r), r, 0, 90)
    view.centre((pocket / 2, -0.5), (pocket / 2, deep + 0.8))
    x, y0, y1 = view.stock(0.5, 12), view.stock(0.5, 12), deep - view.stock(0.625, 15)
    for a in (x, pocket - x):
        for y in (y0, y1):
            view.circle((a, y), 0.19)
    view.zigzag(-1.5, -0.2, deep + 0.6)
    view.zigzag(pocket + 1.5, -0.2, deep + 0.6)
    view.size((0, 0), (pocket, 0), "S", tier=2)
    view.size((x, y0), (pocket - x, y0), "S", mid=True)
    view.size((pocket, 0), (pocket - r, deep), "E")
    view.size((x, y0), (x, y1), "W", mid=True)
    view.round((pocket - r, deep - r), r, 50, 11, form="{} 2X")
    view.note("5 mm, 4 HOLES" if view.metric else "#8 SCREW, 4 HOLES", (x, y1), (-12, 15))


def _guitar_edge(view: Sheetview, thick: float) -> None:
    long, deep, back = 6.0, view.near(0.65, 0.8, step=0.0625), view.near(1.75, 2.25, step=0.125)
    r, hollow = view.stock(0.125, 3), view.near(3.25, 3.5, step=0.0625)
    corners: list[XY] = [(0, 0), (long, 0), (long, thick), (back + hollow, thick),
               (back + hollow, thick - deep), (back, thick - deep), (back, thick),
               (0, thick)]  # fmt: skip
    view.shape(*corners, face=False)
    view.hatch(*corners, lean=60, pitch=2.2)
    view.zigzag(long, 0, thick)
    view.size((0, 0), (back, 0), "S")
    view.size((back, thick), (back + hollow, thick), "N")
    view.size((0, 0), (0, thick), "W")
    view.size((long, thick - deep), (long, thick), "E")
    view.note("ROUND " + view.spell_value(r), (0, thick), (-7, 10))


# a welded hitch


def hitch(desk: Desk) -> Rows:
    """A hitch for a garden tractor: plate, tube cut across, the parts welded together."""
    plate, tube, whole = desk.view("PLATE"), desk.view("TUBE", 1.4), desk.view("WELDMENT")
    wide, high = desk.near(8, 9.5, step=0.25), desk.near(5.5, 6.5, step=0.25)
    out, t = desk.near(2, 2.5, step=0.25), desk.stock(0.375, 10)
    _hitch_plate(plate, wide, high)
    _hitch_tube(tube, out)
    _hitch_whole(whole, high, out, t)
    rows = [("ITEM", "QTY", "STOCK"), ("1", "1", f"PL {desk.say(t)} x {desk.say(high)}"),
            ("2", "1", f"TUBE {desk.say(out)} SQ"),
            ("3", "2", f"GUSSET {desk.say(t)}")]  # fmt: skip
    words = desk.text("BREAK ALL EDGES", "WELD ALL ROUND", "PAINT BLACK")
    return [[plate, tube], [whole, words, desk.table("MATERIAL", rows)]]


def _hitch_plate(view: Sheetview, wide: float, high: float) -> None:
    r, edge, low = view.near(0.75, 1, step=0.125), view.near(0.9, 1.2, step=0.125), 1.25
    for ends in (((r, 0), (wide - r, 0)), ((0, r), (0, high)), ((wide, r), (wide, high)),
                 ((0, high), (wide, high))):  # fmt: skip
        view.line(*ends)
    view.arc((r, r), r, 180, 270)
    view.arc((wide - r, r), r, 270, 360)
    up = high - low
    for x in (edge, wide - edge):
        view.circle((x, up), 0.5)
    view.circle((wide - edge, low), 0.5)
    view.bore((edge, low), 0.5, (-11, -9), form="4X {}")
    slot, middle = view.near(1.5, 2, step=0.25), (wide / 2, high * 0.5)
    for s in (1, -1):
        view.line(
            (middle[0] - slot / 2, middle[1] + s * 0.31),
            (middle[0] + slot / 2, middle[1] + s * 0.31),
        )
    view.arc((middle[0] - slot / 2, middle[1]), 0.31, 90, 270)
    view.arc((middle[0] + slot / 2, middle[1]), 0.31, -90, 90)
    view.plus((middle[0] - slot / 2, middle[1]), 0.5)
    view.plus((middle[0] + slot / 2, middle[1]), 0.5)
    view.from_edge([(0, high), (edge, up), (middle[0] - slot / 2, middle[1]),
                    (wide - edge, up), (wide, high)], "N")  # fmt: skip
    view.from_edge([(wide, 0), (wide - edge, low), (wide - edge, up), (wide, high)], "E")
    near = "{} ±.010" if view.ways.unit == "decimal" else "{}"
    first, last = (middle[0] - slot / 2, middle[1]), (middle[0] + slot / 2, middle[1])
    view.size(first, last, "S", mid=True, form=near)
    view.size((0, 0), (middle[0], middle[1] - 0.31), "W", tier=0.7)
    view.round((wide - r, r), r, -45, 9, form="{} TYP")


def _hitch_tube(view: Sheetview, out: float) -> None:
    wall = 0.1875
    for a, b in ((0.0, 0.3), (wall, 0.15)):
        view.line((a + b, a), (out - a - b, a))
        view.line((a + b, out - a), (out - a - b, out - a))
        view.line((a, a + b), (a, out - a - b))
        view.line((out - a, a + b), (out - a, out - a - b))
        far = out - a - b
        for x, y, start in (
            (far, far, 0),
            (a + b, far, 90),
            (a + b, a + b, 180),
            (far, a + b, 270),
        ):
            view.arc((x, y), b, start, start + 90)
    inner = out - wall
    view.hatch((0.1, 0.1), (out - 0.1, 0.1), (out - 0.1, wall), (0.1, wall), pitch=1.1)
    view.hatch(
        (0.1, inner), (out - 0.1, inner), (out - 0.1, out - 0.1), (0.1, out - 0.1), pitch=1.1
    )
    view.hatch((0.05, wall), (wall, wall), (wall, inner), (0.05, inner), pitch=1.1)
    view.hatch((inner, wall), (out - 0.05, wall), (out - 0.05, inner), (inner, inner), pitch=1.1)
    view.centre((out / 2, -0.4), (out / 2, out + 0.4))
    view.size((0, 0.3), (out, 0.3), "S")
    view.size((out, 0), (out, out), "E")
    view.within((wall, out * 0.42), (out - wall, out * 0.42))
    view.note("WALL " + view.spell_value(wall), (0.1, out * 0.7), (-9, 8))


def _hitch_whole(view: Sheetview, high: float, out: float, t: float) -> None:
    long, low = view.near(9, 12, step=0.5), (high - out) / 2
    view.rect(0, 0, t, high)
    view.rect(t, low, t + long, low + out)
    for s, y in ((1, low + out), (-1, low)):
        rise, run = (high - out) / 2 - 0.375, 2.5
        view.line((t, y + s * rise), (t + 0.5, y + s * rise), (t + run, y + s * 0.25), (t + run, y))
        for k in range(5):
            x = t + 0.3 + 0.4 * k
            view.arc((x, y), 0.12, 0 if s > 0 else 180, 180 if s > 0 else 360, width=view.ways.fine)
    view.hidden((t, low + 0.1875), (t + long, low + 0.1875))
    view.hidden((t, low + out - 0.1875), (t + long, low + out - 0.1875))
    pin = t + long - view.near(1.5, 2, step=0.25)
    view.bore((pin, low + out / 2), 0.625, (8, 14))
    view.centre((-0.6, high / 2), (t + long + 0.8, high / 2))
    view.size((0, 0), (t + long, low), "S", tier=2)
    view.size((0, 0), (t, 0), "S")
    view.size((t, low), (pin, low + out / 2), "S", mid=False)
    view.size((t + long, low), (t + long, low + out), "E", form="({})")
    view.size((0, 0), (0, high), "W")
    view.size((t, high), (t + 2.5, low + out), "N", tier=0.8)
    view.balloon("3", (t + 1.2, low + 0.0 - 0.5), (7, -8))
    view.balloon("2", (t + long * 0.6, low + out), (6, 9))


# a mantel clock


def clock(desk: Desk) -> Rows:
    """A mantel clock: front with its dial, side cut open, the moulding of its foot on squares."""
    wide, high, deep = desk.near(9, 11, step=0.25), desk.near(12, 15, step=0.25), desk.near(4, 5.5)
    foot = desk.near(1.5, 2, step=0.125)
    front, side, mould = desk.view("FRONT"), desk.view("SECTION"), desk.view("BASE MOULDING", 3.2)
    over = desk.near(0.5, 0.875, step=0.125)
    _clock_front(front, wide, high, foot, over)
    _clock_side(side, deep, high, foot, over)
    _clock_mould(mould, foot, over)
    rows = [("Case sides", "2", desk.say(deep)), ("Dial board", "1", desk.say(wide - 1.5)),
            ("Base", "1", desk.say(wide + 2 * over))]  # fmt: skip
    return [[front, side], [mould, desk.table("BILL OF STOCK", rows, ruled=False)]]


def _clock_front(view: Sheetview, wide: float, high: float, foot: float, over: float) -> None:
    rise = high - wide / 2
    view.rect(-over, 0, wide + over, foot)
    view.thin((-over, foot * 0.6), (wide + over, foot * 0.6))
    view.line((0, foot), (0, rise))
    view.line((wide, foot), (wide, rise))
    view.arc((wide / 2, rise), wide / 2, 0, 180)
    dial = view.near(5.5, 6.5, step=0.25)
    view.arc((wide / 2, rise), dial / 2, 0, 360)
    view.arc((wide / 2, rise), dial / 2 - 0.25, 0, 360, width=view.ways.thin)
    for k in range(12):
        c, s = math.cos(math.pi * k / 6), math.sin(math.pi * k / 6)
        r0, r1 = dial / 2 - 0.9, dial / 2 - 0.45
        view.thin((wide / 2 + r0 * c, rise + r0 * s), (wide / 2 + r1 * c, rise + r1 * s))
    view.centre((wide / 2, -0.6), (wide / 2, high + 0.8))
    view.centre((-0.8, rise), (wide + 0.8, rise))
    door, top = 1.25, rise - dial / 2 - 0.5
    view.rect(door, foot + 0.75, wide - door, top)
    view.grain(door + 0.3, foot + 1, wide - door - 0.3, top - 0.2, 4)
    view.size((-over, 0), (wide + over, 0), "S", tier=2)
    view.size((0, foot), (wide, foot), "S")
    view.size((-over, 0), (0, rise), "W")
    view.size((-over, 0), (wide / 2, high), "W", tier=2)
    view.size((wide, foot), (wide, rise), "E")
    view.size((wide + over, 0), (wide, foot), "E")
    view.within((door, foot + 1.1), (wide - door, foot + 1.1))
    view.round((wide / 2, rise), wide / 2, 50, 9)
    c, s = math.cos(2.4), math.sin(2.4)
    view.note("BEZEL", (wide / 2 + dial / 2 * c, rise + dial / 2 * s), (-13, 12))


def _clock_side(view: Sheetview, deep: float, high: float, foot: float, over: float) -> None:
    t, back = 0.5, 0.25
    view.rect(0, 0, deep + over, foot)
    view.hatch((0, 0), (deep + over, 0), (deep + over, foot), (0, foot), pitch=2.0)
    view.line((0, foot), (0, high), (deep, high), (deep, foot))
    view.shape((0, high - t), (deep, high - t), (deep, high), (0, high))
    view.hatch((0, high - t), (deep, high - t), (deep, high), (0, high), lean=135, pitch=1.4)
    board = deep - view.near(0.75, 1.25, step=0.125)
    view.line((board, foot), (board, high - t))
    view.line((board - t, foot), (board - t, high - t))
    view.hatch(
        (board - t, foot), (board, foot), (board, high - t), (board - t, high - t), pitch=2.4
    )
    view.hidden((back, foot), (back, high - t))
    arbor = foot + (high - foot) * 0.55
    view.centre((-0.5, arbor), (deep + over + 0.3, arbor))
    view.size((0, 0), (deep + over, 0), "S", tier=2)
    view.size((0, high), (deep, high), "N")
    view.size((deep + over, 0), (deep, high), "E", tier=2)
    view.size((deep + over, foot), (board, arbor), "E")
    view.within((back, foot + (high - foot) * 0.3), (board - t, foot + (high - foot) * 0.3))
    view.note("BACK SCREWED ON", (0, high * 0.8), (-7, 5))


def _clock_mould(view: Sheetview, foot: float, over: float) -> None:
    step = 0.25
    wide = over + 1.0
    for k in range(round((wide + 0.5) / step) + 1):
        x = -0.25 + k * step
        line = (x, -0.25), (x, foot + 0.25)
        view.line(*line, width=view.ways.fine * 0.7)
    for k in range(round((foot + 0.5) / step) + 1):
        y = -0.25 + k * step
        view.line((-0.25, y), (wide + 0.25, y), width=view.ways.fine * 0.7)
    low, r = view.near(foot * 0.6, foot * 0.6), over * 0.9
    view.line((0, foot), (0, 0), (wide, 0), (wide, low))
    view.line((wide, low), (wide - over * 0.1, low))
    turn = [math.radians(270 - 10 * k) for k in range(10)]
    at = (wide - over * 0.1, low + r)
    view.spline([(at[0] + r * math.cos(t), at[1] + r * math.sin(t)) for t in turn])
    view.line((wide - over, low + r), (wide - over, foot), (0, foot))
    view.size((0, -0.25), (wide, 0), "S")
    view.size((wide - over, foot), (wide, low), "N")
    view.size((wide, 0), (wide, low), "E")
    view.size((0, 0), (0, foot), "W")


# a lift wheel for marbles


def marble_wheel(desk: Desk) -> Rows:
    """A wheel that lifts marbles: its face, its rim cut, the stand, the crank."""
    across, bolts = desk.near(8, 9.5, step=0.25), desk.near(4.25, 5, step=0.25)
    wheel, rim = desk.view("WHEEL"), desk.view("RIM A-A", 3.0)
    stand, crank = desk.view("STAND"), desk.view("CRANK", 1.5)
    _wheel_face(wheel, across, bolts)
    _wheel_rim(rim, desk.stock(0.75, 18))
    _wheel_stand(stand, across)
    _wheel_crank(crank)
    return [[wheel, rim], [stand, crank]]


def _wheel_face(view: Sheetview, across: float, bolts: float) -> None:
    r, hub = across / 2, view.near(1.5, 2, step=0.125)
    view.arc((0, 0), r, 0, 360)
    view.arc((0, 0), r - 1.0, 0, 360)
    view.arc((0, 0), hub / 2, 0, 360)
    view.arc((0, 0), bolts / 2, 0, 360, width=view.ways.fine, dashes=(7, 1.2, 1.6, 1.2))
    view.centre((-r - 0.5, 0), (r + 0.5, 0))
    view.centre((0, -r - 0.5), (0, r + 0.5))
    for k in range(8):
        turn = math.radians(45 * k + 22.5)
        at = ((r - 0.5) * math.cos(turn), (r - 0.5) * math.sin(turn))
        view.arc(at, 0.34, math.degrees(turn) - 100, math.degrees(turn) + 150)
    for turn in (45, 135, 225):
        c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
        view.circle((bolts / 2 * c, bolts / 2 * s), 0.3, marked=False)
    half = bolts / 2 / math.sqrt(2)
    view.bore((half, -half), 0.3, (14, -20), form="4X {}")
    view.bore((0, 0), 0.375, (-10, 15))
    view.size((-r, 0), (r, 0), "N")
    view.size((-hub / 2, 0), (hub / 2, 0), "S", tier=1)
    view.size((-half, -half), (half, -half), "S", tier=2, mid=True)
    view.size((-r, 0), (-(r - 1.0), 0), "S", tier=1)
    view.size((half, -half), (half, half), "E", mid=True)
    view.size((0, -r), (0, r), "W")


def _wheel_rim(view: Sheetview, t: float) -> None:
    lip, deep, tall = 0.25, view.near(0.5, 0.625, step=0.0625), view.near(1.25, 1.5, step=0.125)
    wide = t + 2 * lip
    corners: list[XY] = [(0, 0), (wide, 0), (wide, tall), (wide - lip, tall),
               (wide - lip, tall - deep),
               (lip, tall - deep), (lip, tall), (0, tall)]  # fmt: skip
    view.shape(*corners, face=False)
    view.hatch(*corners, pitch=1.5)
    view.phantom((lip, tall - deep), (lip, tall + 0.2))
    view.arc((wide / 2, tall - deep + 0.3), 0.3, 0, 360, width=view.ways.fine, dashes=(3, 1))
    view.size((0, 0), (wide, 0), "S")
    view.size((lip, tall), (wide - lip, tall), "N")
    view.size((wide, tall - deep), (wide, tall), "E")
    view.size((0, 0), (0, tall), "W")


def _wheel_stand(view: Sheetview, across: float) -> None:
    high, wide = across / 2 + view.near(1.5, 2, step=0.25), view.near(6, 7, step=0.25)
    top, base = view.near(1.5, 2, step=0.25), 0.75
    left, right = (wide - top) / 2, (wide + top) / 2
    view.rect(0, 0, wide, base)
    view.line((0.5, base), (left, high))
    view.line((wide - 0.5, base), (right, high))
    view.arc((wide / 2, high), top / 2, 0, 180)
    view.circle((wide / 2, high), 0.375)
    view.grain(wide * 0.35, base + 0.5, wide * 0.65, high - 1, 3)
    view.size((0, 0), (wide, 0), "S", tier=2)
    view.size((0.5, base), (wide - 0.5, base), "S")
    view.size((0, base), (wide / 2, high), "W")
    view.size((wide, 0), (wide, base), "E", tier=0.6)
    view.round((wide / 2, high), top / 2, 40, 9)
    view.note("BUSHING", (wide / 2 - 0.18, high), (-13, 9))


def _wheel_crank(view: Sheetview) -> None:
    throw, end = view.near(2.5, 3.25, step=0.125), view.near(0.75, 1, step=0.125)
    for x in (0.0, throw):
        view.arc((x, 0), end / 2, 90 if x == 0 else -90, 270 if x == 0 else 90)
        view.plus((x, 0), end / 2 + 0.2)
    view.line((0, end / 2), (throw, end / 2))
    view.line((0, -end / 2), (throw, -end / 2))
    view.bore((0, 0), 0.25, (-7, -10))
    view.bore((throw, 0), 0.1875, (7, -10))
    view.size((0, 0), (throw, 0), "N", mid=True)
    view.size((-end / 2, 0), (throw + end / 2, 0), "N", tier=2)
    view.size((throw, -end / 2), (throw, end / 2), "E")
