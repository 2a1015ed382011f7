"""What the held-out bought plans show: things for house and garden. All are invented.

A picnic table, a bookcase with shelves on pins, a planter with leaning sides, a loft bed.
"""

from __future__ import annotations

import math

from tests.bench.plates_real2_desk import Desk
from tests.bench.plates_real2_views import Sheetview

Rows = list[list[Sheetview]]
TILT = 0.5 / math.sqrt(2)  # of depth, in an oblique picture


# a picnic table


def picnic_table(desk: Desk) -> Rows:
    """A picnic table: end and side put together, half of its top."""
    top, high = desk.near(27, 31, step=0.5), desk.near(28, 30, step=0.25)
    seat, spread = desk.near(16, 17.5, step=0.25), desk.near(54, 60, step=0.5)
    long = desk.near(60, 72, step=1)
    end, side, plan = desk.view("END"), desk.view("SIDE"), desk.view("TOP - HALF")
    _table_end(end, top, high, seat, spread)
    _table_side(side, long, high, seat)
    _table_half(plan, long, top)
    rows = [("", "PART", "NO.", "LENGTH"), ("1", "Top board", "5", desk.say(long)),
            ("2", "Leg", "4", "to suit"), ("3", "Cross piece", "2", desk.say(top)),
            ("4", "Seat arm", "2", desk.say(spread)), ("5", "Brace", "2", "to suit")]  # fmt: skip
    return [[end, side], [plan, desk.table("CUTTING LIST", rows)]]


def _table_end(view: Sheetview, top: float, high: float, seat: float, spread: float) -> None:
    t, arm, board = 1.5, 3.5, view.near(9, 11, step=0.25)
    x0, x1 = spread / 2 - top / 2, spread / 2 + top / 2
    foot, lean = view.near(5, 8, step=0.5), (x0 + 3 - 6) / high
    view.rect(x0, high - t, x1, high)
    view.rect(x0 + 1, high - t - arm, x1 - 1, high - t)
    for k in range(1, 5):
        x = x0 + k * top / 5
        view.thin((x, high - t), (x, high))
    for s in (1, -1):
        low, up = spread / 2 - s * (spread / 2 - foot), spread / 2 - s * (top / 2 - 3 - 1)
        view.line((low, 0), (up, high - t - arm))
        view.line((low + s * 4, 0), (up + s * 4, high - t - arm))
        view.line((low, 0), (low + s * 4, 0))
    view.rect(0, seat - t - arm, spread, seat - t)
    view.rect(0, seat - t, board, seat)
    view.rect(spread - board, seat - t, spread, seat)
    view.size((x0, high), (x1, high), "N")
    view.size((0, seat - t - arm), (spread, seat - t - arm), "S", tier=2)
    view.size((foot, 0), (spread - foot, 0), "S")
    view.size((x0, high), (foot, 0), "W")
    view.size((spread - board, seat), (spread, seat), "N", tier=0.2)
    view.size((spread, seat), (spread - foot, 0), "E")
    view.balloon("4", (spread * 0.36, seat - t - arm / 2), (4, -9))
    view.balloon("2", (spread - foot - 2 - lean * 5, 5), (-9, 2))
    view.note("3/8 CARRIAGE BOLTS", (x1 - 3, high - t - arm / 2), (12, 5))


def _table_side(view: Sheetview, long: float, high: float, seat: float) -> None:
    t, over = 1.5, view.near(9, 12, step=0.5)
    view.rect(0, high - t, long, high)
    view.rect(0, seat - t, long, seat)
    for x in (over, long - over - t):
        view.line((x, 0), (x, seat - t))
        view.line((x + t, 0), (x + t, seat - t))
        view.line((x, 0), (x + t, 0))
        for a in (x, x + t):
            view.line((a, seat), (a, high - t))
    middle = long / 2
    for s in (1, -1):
        foot = middle - s * (middle - over - t)
        view.line((foot, seat + 2), (middle - s * 4, high - t))
        view.line((foot, seat + 6), (middle - s * 7, high - t))
    view.size((0, high), (long, high), "N", tier=2)
    view.size((0, high), (over, high), "N")
    view.size((over, 0), (long - over, 0), "S")
    view.within((middle, seat), (middle, high - t))
    view.size((long, high - t), (long, high), "E")
    view.size((long - over, 0), (long, seat - t), "E")
    view.balloon("5", (middle + 9, high - 8), (8, -7))


def _table_half(view: Sheetview, long: float, top: float) -> None:
    half, board = long / 2, top / 5
    for k in range(5):
        view.rect(0, k * board, half, (k + 1) * board - 0.25)
        view.grain(1, k * board + 0.3, half - 1, (k + 1) * board - 0.6, 2)
    view.centre((half, -2), (half, top + 2))
    for x in (6.0, half - 0.75):
        view.hidden((x, 0), (x, top - 0.25))
        view.hidden((x + 1.5, 0), (x + 1.5, top - 0.25))
    view.size((0, 0), (6, 0), "S")
    view.size((0, 0), (half, 0), "S", tier=2)
    view.size((0, 0), (0, board - 0.25), "W", form="{} TYP")
    view.balloon("1", (half * 0.7, board * 4.5), (5, 9))
    view.note("ROUND ALL EDGES", (half * 0.35, top - 0.25), (-6, 8))


# a bookcase


def bookcase(desk: Desk) -> Rows:
    """A bookcase: front and section put together, the holes of its shelf pins larger."""
    wide, high = desk.near(30, 36, step=0.5), desk.near(44, 56, step=0.5)
    deep, kick = desk.near(10, 12, step=0.25), desk.near(3, 4, step=0.25)
    t = desk.stock(0.75, 19)
    front, cut, pins = desk.view("FRONT"), desk.view("SECTION B-B"), desk.view("DETAIL A", 3.4)
    first, pitch = desk.near(6, 8, step=0.5), desk.stock(2.0, 50)
    _case_front(front, wide, high, kick, t)
    edge = desk.near(1.5, 2)
    _case_cut(cut, (deep, high, kick), t, (first, pitch, edge))
    _case_pins(pins, pitch, edge)
    say = desk.say
    rows = [("KEY", "PART", "QTY", "T", "W", "L"), ("A", "Side", "2", say(t), say(deep), say(high)),
            ("B", "Shelf", "3", say(t), say(deep - desk.stock(1, 25)), say(wide - 2 * t)),
            ("C", "Top", "1", say(t), say(deep), say(wide - 2 * t)),
            ("D", "Kick board", "1", say(t), say(kick), say(wide - 2 * t))]  # fmt: skip
    words = desk.text("1. All stock birch plywood.", "2. Glue and screw fixed parts.",
                      "3. Shelves lie loose on pins.")  # fmt: skip
    return [[front, cut], [pins, desk.table("CUT LIST", rows)], [words]]


def _case_front(view: Sheetview, wide: float, high: float, kick: float, t: float) -> None:
    view.rect(0, 0, t, high)
    view.rect(wide - t, 0, wide, high)
    view.rect(t, high - t, wide - t, high)
    view.rect(t, kick, wide - t, kick + t)
    view.line((t, 0), (wide - t, 0))
    levels = [kick + t]
    for k in (1, 2, 3):
        wish = kick + (high - kick) * (k / 4 + 0.03 * (2 - k))
        y = view.near(wish, wish, step=0.5)
        view.rect(t, y, wide - t, y + t)
        view.phantom((t + 1, y + 3), (wide - t - 1, y + 3))
        levels.append(y + t)
    view.size((0, 0), (wide, 0), "S")
    view.size((0, 0), (0, high), "W", tier=2)
    view.size((0, 0), (0, kick), "W")
    view.size((0, high - t), (0, high), "W")
    middle = (levels[1] + levels[2] - t) / 2
    view.within((t, middle), (wide - t, middle))
    view.size((wide, levels[3]), (wide, high - t), "E")
    view.size((wide, kick + t), (wide, levels[1] - t), "E")
    view.balloon("B", (wide * 0.7, levels[2] - t / 2), (6, 8))
    view.balloon("D", (wide * 0.3, kick / 2), (-7, -9))


def _case_cut(view: Sheetview, case: tuple[float, ...], t: float, pins: tuple[float, ...]) -> None:
    deep, high, kick = case
    first, pitch, inset = pins
    view.rect(0, 0, deep, high)
    view.thin((deep - 0.25, kick), (deep - 0.25, high))
    for y in (kick, high - t):
        view.line((0, y), (deep - 0.25, y), (deep - 0.25, y + t), (0, y + t))
        view.hatch((0, y), (deep - 0.25, y), (deep - 0.25, y + t), (0, y + t))
    view.hatch((deep - 0.25, kick), (deep, kick), (deep, high), (deep - 0.25, high), lean=135)
    x1 = deep - 2
    holes = [first + kick + k * pitch for k in range(int((high - kick - first - 6) / pitch))]
    for y in holes:
        for x in (inset, x1):
            view.circle((x, y), 0.3, marked=False)
    view.size((0, holes[0]), (inset, holes[0]), "S", form="{}")
    view.size((0, 0), (deep, 0), "S", tier=2)
    view.size((deep, 0), (x1, holes[0]), "E")
    view.size((x1, holes[0]), (x1, holes[-1]), "E", mid=True)
    view.size((0, high - t), (0, kick + t), "W")
    view.note("SEE DETAIL A", (inset, holes[2]), (-14, 5))


def _case_pins(view: Sheetview, pitch: float, edge: float) -> None:
    r, radius = view.stock(0.125, 3), pitch * 1.15
    middle = edge * 0.6
    view.arc((middle, 0), radius, 0, 360, width=view.ways.fine, dashes=(7, 1.2, 1.6, 1.2))
    half = math.sqrt(radius**2 - middle**2)
    view.line((0, -half), (0, half))
    for y in (-pitch / 2, pitch / 2):
        view.circle((edge, y), 2 * r)
    view.size((0, -pitch / 2), (edge, -pitch / 2), "S", mid=False)
    view.size((edge, -pitch / 2), (edge, pitch / 2), "E", mid=True, form="{} TYP")
    view.bore((edge, pitch / 2), 2 * r, (-9, 7), form="{}" if view.metric else "{}, 3/8 DEEP")


# a planter


def planter(desk: Desk) -> Rows:
    """A planter whose sides lean: front, section, half of its plan, the corner larger."""
    wide, foot = desk.near(18, 24, step=0.5), desk.near(12, 15, step=0.5)
    high, cap = desk.near(16, 21, step=0.5), desk.near(2, 3, step=0.25)
    front, cut = desk.view("FRONT"), desk.view("SECTION A-A")
    plan, corner = desk.view("PLAN"), desk.view("CORNER", 4.0)
    _planter_front(front, wide, foot, high, cap)
    _planter_cut(cut, wide, foot, high, cap)
    _planter_plan(plan, wide, cap)
    _planter_corner(corner, desk.stock(0.875, 22), desk.stock(1.5, 40))
    words = desk.text("STOCK: CEDAR OR LARCH", "GALVANIZED SCREWS", "LINE WITH FELT")
    return [[front, cut], [plan, corner, words]]


def _planter_front(view: Sheetview, wide: float, foot: float, high: float, cap: float) -> None:
    lean, t = (wide - foot) / 2, 0.75
    view.shape((lean, 0), (wide - lean, 0), (wide, high), (0, high))
    view.rect(-cap / 2, high, wide + cap / 2, high + t)
    post = view.near(1.5, 2.25, step=0.25)
    for s in (1, -1):
        at = wide / 2 - s * wide / 2
        view.line((at + s * (lean + post), 0), (at + s * post, high))
        view.line((at + s * (lean + 0.3), -1.5), (at + s * lean, 0))
        view.line((at + s * (lean + post - 0.2), -1.5), (at + s * (lean + post), 0))
        view.line((at + s * (lean + 0.3), -1.5), (at + s * (lean + post - 0.2), -1.5))
    for k in (1, 2, 3):
        y = high * k / 4
        x = lean * (1 - k / 4) + post
        view.thin((x, y), (wide - x, y))
        view.grain(x + 1, y - high / 4 + 0.4, wide - x - 1, y - 0.4, 2)
    view.size((-cap / 2, high + t), (wide + cap / 2, high + t), "N")
    view.size((lean, 0), (wide - lean, 0), "S")
    view.size((-cap / 2, -1.5), (-cap / 2, high + t), "W")
    view.along((wide - lean, 0), (wide, high), -13.0)
    view.angle((lean, 0), 9.0, 0, math.degrees(math.atan2(high, -lean)))
    view.note("BEVEL ENDS", (wide * 0.4, high * 0.75), (-5, 24))


def _planter_cut(view: Sheetview, wide: float, foot: float, high: float, cap: float) -> None:
    lean, t = (wide - foot) / 2, 0.75
    for s in (1, -1):
        at = wide / 2 - s * wide / 2
        board = [(at + s * lean, 0), (at + s * (lean + t), 0), (at + s * t, high), (at, high)]
        view.shape(*board)
        view.hatch(*board, lean=45 * s)
        rim = [(at - s * cap / 2, high), (at + s * (cap / 2 + t), high),
               (at + s * (cap / 2 + t), high + t), (at - s * cap / 2, high + t)]  # fmt: skip
        view.shape(*rim)
        view.hatch(*rim, lean=-45 * s)
    floor = [(lean + t, 0), (wide - lean - t, 0), (wide - lean - t - 0.1, 1), (lean + t + 0.1, 1)]
    view.shape((lean + t, 0), (wide - lean - t, 0), (wide - lean - t, 1), (lean + t, 1))
    view.hatch(*floor, pitch=2.4)
    for x in (wide * 0.4, wide * 0.6):
        view.thin((x - 0.25, 0), (x - 0.25, 1))
        view.thin((x + 0.25, 0), (x + 0.25, 1))
    view.size((0, high), (wide, high), "N", form="{} OUTSIDE")
    view.within((t * 1.0 + lean * 0.4, high * 0.6), (wide - t - lean * 0.4, high * 0.6))
    view.size((wide - lean, 0), (wide + cap / 2, high), "E")
    view.size((lean + t, 0), (wide * 0.4, 0), "S", mid=False)
    view.size((wide * 0.4, 0), (wide * 0.6, 0), "S")
    view.size((lean, 0), (lean, 1), "W", tier=0.4)
    view.note("DRAIN", (wide * 0.6, 0.5), (9, 16))


def _planter_plan(view: Sheetview, wide: float, cap: float) -> None:
    out, inner = wide + cap, wide - cap - 1.5
    low = (out - inner) / 2
    view.rect(0, 0, out, out / 2)
    view.line((low, 0), (low, out / 2 - low), (out - low, out / 2 - low), (out - low, 0))
    view.thin((0, out / 2), (low, out / 2 - low))
    view.thin((out, out / 2), (out - low, out / 2 - low))
    view.centre((-1.5, 0), (out + 1.5, 0))
    view.size((0, out / 2), (out, out / 2), "N")
    view.within((low, out * 0.2), (out - low, out * 0.2))
    view.size((0, out / 2), (0, out / 2 - low), "W")
    view.note("MITER", (out - low / 2, out / 2 - low / 2), (9, -8))


def _planter_corner(view: Sheetview, t: float, leg: float) -> None:
    view.rect(0, 0, leg, leg)
    view.shape((leg, leg - t), (leg + 1.5, leg - t), (leg + 1.5, leg), (leg, leg))
    view.shape((0, 0), (t, 0), (t, -1.5), (0, -1.5))
    view.hatch((0, 0), (leg, 0), (leg, leg), (0, leg))
    view.hatch((leg, leg - t), (leg + 1.5, leg - t), (leg + 1.5, leg), (leg, leg), lean=135)
    view.zigzag(leg + 1.5, leg - t, leg)
    view.size((0, leg), (leg, leg), "N")
    view.size((0, 0), (0, leg), "W")
    view.size((leg + 1.5, leg - t), (leg + 1.5, leg), "E")
    view.size((0, -1.5), (t, -1.5), "S")


# a loft bed


def loft_bed(desk: Desk) -> Rows:
    """A loft bed: front with its ladder, end, a rail broken short, a joint pulled apart."""
    long, high = desk.near(78, 82, step=0.5), desk.near(62, 70, step=0.5)
    wide, post = desk.near(41, 45, step=0.5), desk.stock(3.5, 90)
    front, end = desk.view("FRONT"), desk.view("END")
    rail, joint = desk.view("SIDE RAIL - 2 REQ'D", 1.6), desk.view("POST AND RAIL", 2.2)
    deck = desk.near(46, 52, step=0.5)
    _bed_front(front, long, high, deck, post)
    _bed_end(end, wide, high, deck, post)
    _bed_rail(rail, long - 2 * post)
    _bed_joint(joint, post)
    return [[front, end], [rail], [joint, desk.text("BOLTS 3/8, 16 PLACES", "SAND AND OIL")]]


def _bed_front(view: Sheetview, long: float, high: float, deck: float, post: float) -> None:
    rail = 7.25
    for x in (0.0, long - post):
        view.rect(x, 0, x + post, high)
    view.rect(post, deck - rail, long - post, deck)
    guard = [high - 3.5, (high + deck) / 2 - 1.75]
    for y in guard:
        view.rect(post, y, long - post, y + 3.5)
    run, out = view.near(14, 18, step=0.5), long * 0.62
    for k in (0.0, 3.0):
        view.line((out + k, 0), (out - run + k, high - 5))
    for k in range(1, 6):
        y = deck * k / 6
        x = out - run * y / (high - 5)
        view.line((x, y), (x + 3, y))
        view.line((x, y + 1), (x + 3, y + 1))
    view.size((0, high), (long, high), "N", tier=2)
    view.size((post, high), (long - post, high), "N")
    view.size((0, 0), (0, high), "W", tier=2)
    view.size((0, 0), (0, deck - rail), "W")
    view.size((long, deck), (long, high), "E")
    view.size((long, deck - rail), (long, deck), "E")
    view.size((0, 0), (post, 0), "S")
    view.size((out, 0), (long, 0), "S")
    view.angle((out + 3, 0), 8.0, 180 - math.degrees(math.atan2(high - 5, run)), 180)
    view.within((post, deck * 0.45), (out - run * 0.45 * deck / (high - 5), deck * 0.45))
    view.note("LADDER", (out - run * 0.5, (high - 5) * 0.5), (-12, -6))


def _bed_end(view: Sheetview, wide: float, high: float, deck: float, post: float) -> None:
    for x in (0.0, wide - post):
        view.rect(x, 0, x + post, high)
    view.rect(post, deck - 7.25, wide - post, deck)
    low = view.near(10, 14, step=0.5)
    view.rect(post, low, wide - post, low + 5.5)
    view.rect(post, high - 3.5, wide - post, high)
    view.thin((post, low + 5.5), (wide - post, deck - 7.25))
    view.thin((post, deck - 7.25), (wide - post, low + 5.5))
    view.size((0, high), (wide, high), "N")
    view.chain([(wide, 0), (wide, low), (wide, low + 5.5), (wide, deck - 7.25)], "E")
    view.size((wide, 0), (wide, high), "E", tier=2)
    view.size((post, 0), (wide - post, 0), "S")


def _bed_rail(view: Sheetview, true: float) -> None:
    shown, wide = 40.0, 7.25
    for a, b in ((0.0, shown / 2 - 1), (shown / 2 + 1, shown)):
        view.line((a, 0), (b, 0))
        view.line((a, wide), (b, wide))
    for x in (0.0, shown):
        view.line((x, 0), (x, wide))
    for x in (shown / 2 - 1, shown / 2 + 1):
        view.zigzag(x, 0, wide)
    edge, hole = view.near(2, 3, step=0.25), 0.375
    for x in (edge, shown - edge):
        view.circle((x, wide / 2 + 1.75), hole)
    view.bore((edge, wide / 2 - 1.75), hole, (12, -7), form="{} 4X")
    view.circle((shown - edge, wide / 2 - 1.75), hole)
    view.hidden((0, 1.5), (shown / 2 - 1, 1.5))
    view.size((0, 0), (shown, 0), "S", tier=1.4, kind="broken", true=true)
    view.size((0, wide), (edge, wide / 2 + 1.75), "N")
    view.size((0, 0), (0, wide), "W")
    view.size((shown - edge, wide / 2 - 1.75), (shown - edge, wide / 2 + 1.75), "E", mid=True)
    view.note("CLEAT BEHIND", (shown / 4, 1.5), (10, 16))


def _bed_joint(view: Sheetview, post: float) -> None:
    """Post and rail in an oblique picture, pulled apart."""
    _block(view, (0, 0), (post, 12, post))
    _block(view, (post + 5, 3), (9, 6, 1.5))
    view.phantom((post + 0.5, 6.5), (post + 5, 6.5))
    view.phantom((post + 0.5, 4.5), (post + 5, 4.5))
    view.zigzag(post + 14, 3, 9)
    for y in (4.5, 6.5):
        view.circle((post / 2, y), 0.5, marked=False)
    view.size((0, 0), (post, 0), "S")
    view.note("BOLT", (post + 2, 6.5), (3, 16))


def _block(view: Sheetview, at: tuple[float, float], size: tuple[float, float, float]) -> None:
    """A block seen from in front, its depth half as long and aslant."""
    (x, y), (w, h, d) = at, size
    s = d * TILT
    view.rect(x, y, x + w, y + h)
    view.shape((x, y + h), (x + w, y + h), (x + w + s, y + h + s), (x + s, y + h + s))
    view.shape((x + w, y), (x + w + s, y + s), (x + w + s, y + h + s), (x + w, y + h))
