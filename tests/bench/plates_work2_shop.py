"""What the later working drawings show, to develop on: what shops make."""

from __future__ import annotations

import math

from tests.bench.plates_work2_board import Board
from tests.bench.plates_work2_desk import Desk, Rows

# a stool of a school's shop course


def stool(desk: Desk) -> Rows:
    """Front, end and top of a stool, a list of its parts."""
    wide, deep, high = desk.some(13, 17), desk.some(9, 11.5), desk.some(14, 19)
    board, leg = desk.stock(0.75, 18), desk.stock(1.5, 38)
    front, end, top = desk.board("FRONT"), desk.board("END"), desk.board("TOP")
    over, rail = desk.snap(1.5), desk.snap(3.0)
    _stool_side(front, wide, high, (over, leg, board, rail))
    front.chain("S", 0, over, over + leg, wide - over - leg, wide - over)
    front.size((0, high), (wide, high), "N")
    front.size((0, 0), (0, high), "W")
    front.size((wide, high - board), (wide, high), "E")
    front.size((wide - over, high - board - rail), (wide - over, high - board), "E")
    inset = desk.snap(1.0)
    _stool_side(end, deep, high, (inset, leg, board, rail))
    low = desk.some(3.5, 5)
    end.rect(inset + leg, low, deep - inset - leg, low + desk.snap(1.5))
    end.chain("E", deep - inset, 0, low, low + desk.snap(1.5))
    end.chain("S", 0, 0, inset, inset + leg)
    end.size((0, high), (deep, high), "N")
    end.note((deep / 2, low + 0.5), 'DOWEL 3/8"' if not desk.ways.metric else "DOWEL 10", (3, 12))
    _stool_top(top, wide, deep, (over, inset, leg))
    rows = [["NO.", "PART", "MATERIAL"], ["1", "TOP", "OAK"], ["4", "LEGS", "OAK"],
            ["2", "RAILS", "PINE"], ["8", "DOWELS", "BIRCH"]]  # fmt: skip
    return [[top, desk.table("BILL OF MATERIAL", rows)], [front, end]]


def _stool_side(v: Board, wide: float, high: float, of: tuple[float, float, float, float]) -> None:
    """Top board, two legs, a rail between."""
    over, leg, board, rail = of
    v.rect(0, high - board, wide, high)
    for x in (over, wide - over - leg):
        v.rect(x, 0, x + leg, high - board)
    v.thin((over + leg, high - board - rail), (wide - over - leg, high - board - rail))


def _stool_top(v: Board, wide: float, deep: float, of: tuple[float, float, float]) -> None:
    over, inset, leg = of
    v.rect(0, 0, wide, deep)
    for x in (over, wide - over - leg):
        for y in (inset, deep - inset - leg):
            v.hidden_rect(x, y, x + leg, y + leg)
    slot = v.snap(4.0)
    x, y, r = wide / 2, deep / 2, v.snap(1.25) / 2
    for side, start in ((1, -90), (-1, 90)):
        v.arc((x + side * (slot / 2 - r), y), r, start, start + 180)
    for side in (1, -1):
        v.line((x - slot / 2 + r, y + side * r), (x + slot / 2 - r, y + side * r))
    v.centre((x, y - r - 0.8), (x, y + r + 0.8))
    v.level(y + 2.2 * r, x - slot / 2, x + slot / 2)
    for side in (1, -1):
        v.thin((x + side * slot / 2, y + r), (x + side * slot / 2, y + 2.2 * r + 0.4))
    v.size((wide, 0), (wide, deep), "E")
    v.size((0, 0), (0, y), "W", centred=(False, True))


# a bracket of steel


def bracket(desk: Desk) -> Rows:
    """A plate with holes told from two edges, and its end in section."""
    wide, high, thick = desk.some(6, 8), desk.some(4, 5.5), desk.stock(0.375, 10)
    front, end = desk.board("FRONT VIEW"), desk.board("SECTION A-A")
    r, hole = desk.snap(0.75), desk.snap(0.5)
    front.line((r, 0), (wide, 0), (wide, high - r))
    front.line((wide - r, high), (0, high), (0, r))
    front.arc((r, r), r, 180, 270)
    front.arc((wide - r, high - r), r, 0, 90)
    xs = [desk.snap(1.0), desk.snap(wide / 2), wide - desk.snap(1.0)]
    ys = [desk.snap(1.0), high - desk.snap(1.25)]
    for x in (xs[0], xs[2]):
        for y in ys:
            front.hole((x, y), hole)
    big, middle = desk.snap(1.75), (xs[1], desk.snap(high / 2))
    front.hole(middle, big, arm=3.0)
    for x in xs:
        front.size((0, 0), (x, ys[0] if x != xs[1] else middle[1]), "S", centred=(False, True))
    front.size((0, 0), (wide, 0), "S")
    for y in (ys[0], middle[1], ys[1]):
        x = xs[0] if y != middle[1] else xs[1]
        front.size((0, 0), (x, y), "W", centred=(False, True))
    front.size((0, 0), (0, high), "W")
    front.diameter(middle, big, 35, 16)
    front.radius((wide - r, high - r), r, 40, 8)
    front.note((xs[2] + 0.7 * hole / 2, ys[0] - 0.7 * hole / 2),
               desk.ways.drill.format(desk.say(hole)), (9, -6))  # fmt: skip
    front.cut_letter("A", (middle[0], -0.35), (middle[0], high + 0.35), (1, 0))
    _bracket_end(end, high, thick, (middle[1], big))
    return [[front, end], [desk.text("BREAK SHARP EDGES", "FINISH ALL OVER", "MAKE TWO")]]


def _bracket_end(v: Board, high: float, thick: float, hole: tuple[float, float]) -> None:
    """The plate's end with a foot, cut through its big hole."""
    y, big = hole
    foot = v.snap(2.25)
    for low, top in ((0.0, y - big / 2), (y + big / 2, high)):
        corners = [(0, low), (thick, low), (thick, top), (0, top)]
        v.hatch(*corners)
    v.rect(0, 0, thick, high)
    v.line((0, y - big / 2), (thick, y - big / 2))
    v.line((0, y + big / 2), (thick, y + big / 2))
    v.shape((thick, 0), (foot, 0), (foot, thick), (thick, thick))
    v.hatch((thick, 0), (foot, 0), (foot, thick), (thick, thick))
    v.centre((-0.4, y), (thick + 0.5, y))
    v.size((0, 0), (foot, 0), "S")
    v.size((0, high), (thick, high), "N")
    v.size((foot, 0), (foot, thick), "E")
    v.size((thick, y - big / 2), (thick, y + big / 2), "E")


# a turned candlestick


def candlestick(desk: Desk) -> Rows:
    """A turned profile: diameters across its axis, lengths along it."""
    v = desk.board("CANDLESTICK")
    across = [desk.some(4, 5), desk.some(4, 5) * 0.6, desk.snap(1.25), desk.some(1.75, 2.25),
              desk.snap(1.25), desk.some(2.25, 3)]  # fmt: skip
    across[1] = desk.snap(across[1])
    ups = [desk.snap(0.75), desk.snap(0.75), desk.some(2, 3), desk.snap(1.0), desk.some(2, 3),
           desk.snap(0.75)]  # fmt: skip
    y = [0.0]
    for up in ups:
        y.append(y[-1] + up)
    for side in (1, -1):
        for k, (a, b) in enumerate(zip(across, [*across[1:], across[-1]], strict=True)):
            x, z = side * a / 2, side * b / 2
            if k in (0, 3, 5):
                v.line((x, y[k]), (x, y[k + 1]))
            else:
                bow = 0.5 * (x + z) - side * 0.12
                v.curve((x, y[k]), (bow, (y[k] + y[k + 1]) / 2), (z, y[k + 1]))
            if k in (0, 3):
                v.line((x, y[k + 1]), (side * across[k + 1] / 2, y[k + 1]))
            if k == 2:
                v.line((side * across[3] / 2, y[3]), (side * across[4] / 2, y[3]))
    for k, wide in ((0, across[0]), (1, across[0]), (3, across[3]), (4, across[3]), (5, across[5]),
                    (6, across[5])):  # fmt: skip
        v.line((-wide / 2, y[k]), (wide / 2, y[k]))
    past = 3.0 / v.scale
    v.centre((0, -past), (0, y[-1] + past))
    bore, deep = desk.snap(0.875, 0.125), desk.snap(1.25)
    v.hidden((-bore / 2, y[-1]), (-bore / 2, y[-1] - deep), (bore / 2, y[-1] - deep),
             (bore / 2, y[-1]))  # fmt: skip
    v.chain("W", -across[0] / 2, *y)
    v.size((-across[0] / 2, 0), (-across[5] / 2, y[-1]), "W")
    dia = desk.ways.across
    v.size((-across[0] / 2, 0), (across[0] / 2, 0), "S", form=dia)
    v.size((-across[5] / 2, y[-1]), (across[5] / 2, y[-1]), "N", form=dia)
    v.size((-bore / 2, y[-1]), (bore / 2, y[-1]), "N", form=dia)
    v.size((across[3] / 2, y[-1] - deep), (across[5] / 2, y[-1]), "E", right=deep)
    v.level((y[3] + y[4]) / 2, -across[3] / 2, across[3] / 2, dia)
    other = desk.text("TURN FROM WALNUT", "SAND TO 220", "WAX FINISH")
    return [[v, _candle_base(desk, across[0])], [other]]


def _candle_base(desk: Desk, across: float) -> Board:
    v = desk.board("BASE FROM BELOW")
    r, ring = across / 2, desk.snap(0.6 * across)
    v.arc((r, r), r)
    v.arc((r, r), ring / 2, width=desk.ways.thin)
    v.cross((r, r), r + 0.4)
    for k in range(3):
        t = math.radians(90 + 120 * k)
        v.hole((r + ring / 2 * math.cos(t), r + ring / 2 * math.sin(t)), desk.snap(0.25), arm=0.8)
    v.size((0, r), (across, r), "S", form=desk.ways.across)
    v.diameter((r, r), ring, -35, 14, "{} BOLT CIRCLE" if not desk.ways.metric else "LK Ø{}")
    v.note((r, r + ring / 2), "3 FELT PADS", (12, 9))
    return v


# a cutting diagram


def panels(desk: Desk) -> Rows:
    """A sheet of plywood cut into parts, and two parts by themselves."""
    wide, high = (2440 / 25.4, 1220 / 25.4) if desk.ways.metric else (96.0, 48.0)
    v = desk.board("CUTTING DIAGRAM")
    v.rect(0, 0, wide, high)
    xs = [0.0, desk.some(22, 26, 0.5), 0.0, 0.0, wide]
    xs[2] = xs[1] + desk.some(22, 28, 0.5)
    xs[3] = xs[2] + desk.some(16, 20, 0.5)
    ys = [desk.some(22, 28, 0.5), desk.some(14, 20, 0.5), desk.some(30, 36, 0.5)]
    for x in xs[1:4]:
        v.line((x, 0), (x, high))
    for k, y in enumerate(ys):
        v.line((xs[k], y), (xs[k + 1], y))
    for k, (name, y) in enumerate(zip("ABCDEFG", (ys[0], ys[1], ys[2], 0, 0, 0, 0), strict=True)):
        j = k % 4
        top = ys[j] if j < 3 else high
        middle = top * 0.3 if k < 4 else (ys[j] + 0.72 * (high - ys[j]) if j < 3 else y)
        if k < 7:
            v.label(name, (0.25 * xs[j] + 0.75 * xs[j + 1], middle), 1.7)
    v.chain("N", high, *xs)
    v.size((0, high), (wide, high), "N")
    v.size((wide, 0), (wide, high), "E")
    v.chain("W", 0, 0, ys[0], high)
    for k, low, top in ((1, 0.0, ys[1]), (1, ys[1], high), (2, 0.0, ys[2])):
        v.upright(xs[k] + 0.36 * (xs[k + 1] - xs[k]), low, top)
    v.tone((xs[3], 0), (wide, 0), (wide, high), (xs[3], high))
    return [[v], [_panel_part(desk, xs[1], ys[0]), _panel_side(desk, xs[2] - xs[1], ys[1]),
                  desk.text("A SIDES  B SHELVES  C DOOR", "SAW KERF " + desk.say(0.125),
                            "GRAIN RUNS THE LONG WAY")]]  # fmt: skip


def _panel_part(desk: Desk, wide: float, high: float) -> Board:
    v = desk.board("PART A")
    notch, kick = desk.some(3, 4, 0.5), desk.some(3, 4.5, 0.5)
    v.shape((notch, 0), (wide, 0), (wide, high), (0, high), (0, kick), (notch, kick))
    dado = desk.some(10, 13, 0.5)
    t = desk.stock(0.75, 18)
    v.thin((0, dado), (wide, dado))
    v.thin((0, dado + t), (wide, dado + t))
    v.size((0, 0), (notch, 0), "S")
    v.size((notch, 0), (wide, 0), "S")
    v.size((0, 0), (0, kick), "W")
    v.size((0, kick), (0, high), "W")
    v.chain("E", wide, 0, dado, dado + t)
    return v


def _panel_side(desk: Desk, wide: float, high: float) -> Board:
    v = desk.board("PART B")
    r = desk.some(3, 4.5, 0.5)
    v.line((wide - r, high), (0, high), (0, 0), (wide, 0), (wide, high - r))
    v.arc((wide - r, high - r), r, 0, 90)
    v.hole((wide / 2, high / 2), desk.snap(3.0, 0.5))
    v.diameter((wide / 2, high / 2), desk.snap(3.0, 0.5), 205, 12)
    v.radius((wide - r, high - r), r, 45, 9)
    v.size((0, 0), (wide, 0), "S")
    v.size((0, 0), (wide / 2, high / 2), "N", centred=(False, True))
    v.size((wide, 0), (wide / 2, high / 2), "E", centred=(False, True))
    v.size((0, 0), (0, high), "W")
    return v
