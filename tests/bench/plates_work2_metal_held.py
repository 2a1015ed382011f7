"""What the later working drawings show, to keep back: metal."""

from __future__ import annotations

import math

from tests.bench.plates_work2_board import Board
from tests.bench.plates_work2_desk import Desk, Rows

# a clock's plate


def clock_plate(desk: Desk) -> Rows:
    """A plate with pivots told from its centre lines, angles, radii; a pillar beside it."""
    wide, high, r = desk.some(4, 5.5), desk.some(6, 7.5), desk.snap(0.75)
    v = desk.board("PLATE - MAKE TWO")
    mid = desk.snap(wide) / 2
    v.line((r, 0), (wide - r, 0))
    v.line((wide, r), (wide, high - mid))
    v.line((0, high - mid), (0, r))
    v.arc((r, r), r, 180, 270)
    v.arc((wide - r, r), r, 270, 360)
    v.arc((mid, high - mid), mid, 0, 180)
    v.centre((mid, -0.4), (mid, high + 0.4))
    ups = [desk.snap(1.25), desk.some(2.25, 2.75), high - mid]
    side = desk.snap(0.3 * wide)
    bores = [(mid, ups[0], 0.5), (mid + side, ups[1], 0.375), (mid, ups[2], 0.625)]
    for x, y, bore in bores:
        v.hole((x, y), desk.snap(bore, 0.125))
    for x in (0.5 * r + 0.2, wide - 0.5 * r - 0.2):
        v.hole((x, 0.5 * r + 0.2), desk.stock(0.1875, 5), arm=0.8)
    v.size((0, 0), (wide, 0), "S")
    v.size((mid, ups[1]), (mid + side, ups[1]), "S", centred=(False, True))
    for y, x in ((ups[0], mid), (ups[1], mid + side), (ups[2], mid)):
        v.size((wide, 0), (x, y), "E", centred=(False, True))
    v.size((0, 0), (0, high - mid), "W")
    v.size((0, 0), (mid, high), "W")
    v.radius((mid, high - mid), mid, 130, 9)
    v.radius((r, r), r, 225, 10)
    v.diameter((mid, ups[2]), desk.snap(0.625, 0.125), 160, 12)
    v.note((mid + side, ups[1] + 0.15), desk.ways.drill.format(desk.say(desk.snap(0.375, 0.125))),
           (9, 14))  # fmt: skip
    return [
        [v, _clock_pillar(desk)],
        [
            _clock_wheel(desk),
            desk.text("BRASS PLATE", "PIVOT HOLES TO SUIT", "ALL HOLES SQUARE WITH PLATE"),
        ],
    ]


def _clock_pillar(desk: Desk) -> Board:
    """A turned pillar, shouldered at both ends."""
    v = desk.board("PILLAR - 4 OFF")
    thick, neck, end = desk.snap(0.75), desk.snap(0.5), desk.snap(0.5)
    long = desk.some(2.5, 3.25)
    v.rect(0, -thick / 2, long, thick / 2)
    v.rect(-end, -neck / 2, 0, neck / 2)
    v.rect(long, -neck / 2, long + end, neck / 2)
    v.centre((-end - 0.3, 0), (long + end + 0.3, 0))
    v.chain("S", -thick / 2, -end, 0, long, long + end)
    v.size((-end, 0), (long + end, 0), "N")
    v.size((long + end, -neck / 2), (long + end, neck / 2), "E", form=desk.ways.across)
    v.size((-end, -thick / 2), (-end, thick / 2), "W", form=desk.ways.across)
    return v


def _clock_wheel(desk: Desk) -> Board:
    """A blank with crossings at equal angles."""
    v = desk.board("WHEEL BLANK")
    across, hub, rim = desk.some(3, 4), desk.snap(0.75), desk.snap(0.25)
    r = across / 2
    v.arc((r, r), r)
    v.arc((r, r), r - rim, width=desk.ways.thin)
    v.arc((r, r), hub / 2)
    v.cross((r, r), r + 0.25)
    for k in range(5):
        t = math.radians(90 + 72 * k)
        for d in (-0.07, 0.07):
            x, y = r - d * math.sin(t), r + d * math.cos(t)
            a, b = hub / 2, r - rim
            v.thin(
                (x + a * math.cos(t), y + a * math.sin(t)),
                (x + b * math.cos(t), y + b * math.sin(t)),
            )
    v.size((0, r), (across, r), "S", form=desk.ways.across)
    v.diameter((r, r), hub, -25, 15)
    v.label(
        "72°",
        (r + 0.42 * r * math.cos(math.radians(54)), r + 0.42 * r * math.sin(math.radians(54))),
        0.8,
    )
    v.note((r, across - rim / 2), "RIM " + desk.say(rim), (12, 5))
    return v


# a cast pulley


def pulley(desk: Desk) -> Rows:
    """A pulley, the upper half of its side in section; diameters across, lengths along."""
    across, face = desk.some(5, 6.5), desk.some(2, 2.75)
    rim, bore, hub = desk.snap(0.5), desk.snap(1.0), desk.some(2, 2.5)
    web, long = desk.snap(0.5), desk.snap(face + 0.75)
    v, end = desk.board("HALF SECTION"), desk.board("END VIEW")
    r, a, b = across / 2, (long - face) / 2, long - (long - face) / 2
    m, w = long / 2, web / 2
    upper = [(0.0, bore / 2), (long, bore / 2), (long, hub / 2), (m + w, hub / 2), (m + w, r - rim),
             (b, r - rim), (b, r), (a, r), (a, r - rim), (m - w, r - rim), (m - w, hub / 2),
             (0.0, hub / 2)]  # fmt: skip
    v.shape(*upper)
    v.hatch(*upper)
    v.line((0, bore / 2), (0, -hub / 2), (long, -hub / 2), (long, bore / 2))
    v.line((a, -hub / 2), (a, -r), (b, -r), (b, -hub / 2))
    v.centre((-0.5, 0), (long + 0.5, 0))
    v.size((0, -hub / 2), (long, -hub / 2), "S")
    v.size((0, -hub / 2), (a, -r), "S")
    v.size((m + w, hub / 2), (long, hub / 2), at=hub / 2 + 0.5)
    v.size((a, r), (b, r), "N")
    v.size((m - w, r - rim), (m + w, r - rim), at=r + 1.1)
    v.size((a, -r), (a, r), "W", form=desk.ways.across)
    v.size((0, -hub / 2), (0, hub / 2), "W", form=desk.ways.across)
    v.size((long, -bore / 2), (long, bore / 2), "E", form=desk.ways.across)
    v.hidden((0, -bore / 2), (long, -bore / 2))
    v.size((b, r - rim), (b, r), "E")
    _pulley_end(end, across, (rim, hub, bore))
    return [
        [v, end],
        [
            desk.table(
                "DATA", [["MATERIAL", "CAST IRON"], ["KEYWAY", desk.say(0.25)], ["BALANCE", "YES"]]
            ),
            desk.text("ROUND ALL FILLETS", "TURN FACE WITH CROWN"),
        ],
    ]


def _pulley_end(v: Board, across: float, of: tuple[float, float, float]) -> None:
    rim, hub, bore = of
    r = across / 2
    for wide, thick in ((across, 0.0), (across - 2 * rim, v.ways.thin), (hub, 0.0), (bore, 0.0)):
        v.arc((0, 0), wide / 2, width=thick)
    v.cross((0, 0), r + 0.35)
    at, hole = v.snap(0.5 * (r - rim + hub / 2)), v.snap(0.75)
    v.arc((0, 0), at, width=v.ways.fine, dashes=(6.0, 1.2, 1.6, 1.2))
    for k in range(4):
        t = math.radians(45 + 90 * k)
        v.arc((at * math.cos(t), at * math.sin(t)), hole / 2)
    key = v.stock(0.25, 6)
    top = bore / 2 + key / 2
    v.line((-key / 2, 0.46 * bore), (-key / 2, top), (key / 2, top), (key / 2, 0.46 * bore))
    v.size((-key / 2, top), (key / 2, top), "N")
    v.radius((0, 0), at, 15, 26)
    t = math.radians(-45)
    v.note((at * math.cos(t) + 0.35 * hole, at * math.sin(t) - 0.35 * hole),
           v.ways.drill.format(v.say(hole)), (10, -12))  # fmt: skip
    v.size((0, -r), (at * math.sqrt(0.5), -at * math.sqrt(0.5)), "S", centred=(True, True))


# a tool rest


def tool_rest(desk: Desk) -> Rows:
    """A lathe's tool rest: its long shank broken, a tapered blade, a plan of both."""
    v = desk.board("FRONT")
    long, drop, low = desk.some(7, 9), desk.some(1.5, 2), desk.some(0.75, 1.0)
    post, neck, told = desk.snap(1.0), desk.snap(1.25), desk.some(5, 7)
    shown = 3.0
    mid = desk.snap(long / 2)
    top = shown + drop
    v.line((mid - post / 2, shown), (0, top - low), (0, top), (long, top), (long, top - low),
           (mid + post / 2, shown))  # fmt: skip
    for x in (mid - post / 2, mid + post / 2):
        v.line((x, 0), (x, 0.42 * shown))
        v.line((x, 0.56 * shown), (x, shown))
    v.line((mid - post / 2, 0), (mid + post / 2, 0))
    v.centre((mid, -0.4), (mid, top + 0.4))
    for y in (0.42, 0.56):
        v.curve(
            (mid - post / 2 - 0.15, y * shown),
            (mid - post / 5, y * shown + 0.1),
            (mid, y * shown),
            (mid + post / 5, y * shown - 0.1),
            (mid + post / 2 + 0.15, y * shown),
            width=desk.ways.thin,
        )
    v.size((0, top), (long, top), "N")
    v.size((0, top), (mid, top), "N", centred=(False, True))
    v.size((mid - post / 2, 0), (mid + post / 2, 0), "S", form=desk.ways.across)
    v.size((0, top - low), (0, top), "W")
    v.chain("E", long, shown, top)
    v.size((mid + post / 2, 0), (mid + post / 2, shown), "E", right=told, kind="broken")
    return [
        [_rest_plan(desk, long, mid, post)],
        [v],
        [_rest_end(desk, top - shown, neck), desk.text("FILE TOP EDGE STRAIGHT", "STEEL")],
    ]


def _rest_plan(desk: Desk, long: float, mid: float, post: float) -> Board:
    """From above, its post hidden."""
    plan = desk.board("PLAN")
    wide, lip = desk.snap(1.25), desk.snap(0.5)
    plan.rect(0, 0, long, wide)
    plan.thin((0, lip), (long, lip))
    plan.arc((mid, wide / 2 + lip / 4), post / 2, dashes=(2.4, 1.1), width=desk.ways.thin)
    plan.cross((mid, wide / 2 + lip / 4), post / 2 + 0.25)
    plan.size((long, 0), (long, wide), "E")
    plan.size((long, 0), (long, lip), "E")
    plan.hole((desk.snap(0.75), wide - 0.4), desk.stock(0.25, 6), arm=0.8)
    plan.size((0, wide), (desk.snap(0.75), wide - 0.4), "N", centred=(False, True))
    return plan


def _rest_end(desk: Desk, drop: float, neck: float) -> Board:
    """Its blade from the end, cut, with a slope told along it."""
    v = desk.board("SECTION, TWICE AS LARGE", 2.0)
    foot, t = desk.snap(0.5), desk.stock(0.375, 10)
    corners = [(0, 0), (foot, 0), (foot, drop - t), (neck, drop - t), (neck, drop), (0, drop)]
    v.shape(*corners)
    v.hatch(*corners, pitch=1.7)
    v.size((0, 0), (foot, 0), "S")
    v.size((0, drop), (neck, drop), "N")
    v.size((0, 0), (0, drop), "W")
    v.size((neck, drop - t), (neck, drop), "E")
    return v


# a sheet metal tray


def tray(desk: Desk) -> Rows:
    """A tray bent from sheet: its development with fold lines, its end, its corner."""
    long, wide, up = desk.some(7, 9), desk.some(4.5, 6), desk.some(1, 1.5)
    hem = desk.snap(0.25)
    flat = desk.board("DEVELOPMENT")
    a, b = up + hem, up + hem
    xs = [0.0, hem, a, a + long, a + long + up, 2 * a + long]
    ys = [0.0, hem, b, b + wide, b + wide + up, 2 * b + wide]
    flat.shape(
        (a, 0),
        (xs[3], 0),
        (xs[3], b),
        (xs[5], b),
        (xs[5], ys[3]),
        (xs[3], ys[3]),
        (xs[3], ys[5]),
        (a, ys[5]),
        (a, ys[3]),
        (0, ys[3]),
        (0, b),
        (a, b),
    )
    for x in (xs[1], xs[2], xs[3], xs[4]):
        flat.hidden((x, b), (x, ys[3]))
    for y in (ys[1], ys[2], ys[3], ys[4]):
        flat.hidden((a, y), (xs[3], y))
    flat.chain("S", 0, *xs)
    flat.size((0, b), (xs[5], b), "S")
    flat.size((0, b), (0, ys[3]), "W")
    flat.chain("E", xs[5], ys[0], ys[2], ys[3], ys[5])
    flat.size((xs[5], 0), (xs[5], ys[5]), "E")
    hole = (desk.snap(a + 1.5), desk.snap(b + 1.5))
    flat.hole(hole, desk.snap(0.5))
    flat.size((a, b), hole, at=hole[1] + 0.9, way="h")
    flat.size((hole[0], b), hole, at=hole[0] + 0.9, way="v")
    flat.diameter(hole, desk.snap(0.5), 55, 14)
    flat.note((xs[3] - 0.4, b), "FOLD UP ON DASHED LINES", (-16, 12))
    return [
        [flat],
        [
            _tray_end(desk, wide, up, hem),
            _tray_lug(desk),
            desk.text("GALVANIZED SHEET", "HEM ALL EDGES", "SOLDER CORNERS"),
        ],
    ]


def _tray_end(desk: Desk, wide: float, up: float, hem: float) -> Board:
    """Bent up, its hems turned in."""
    end = desk.board("END")
    end.line(
        (hem, up),
        (0, up),
        (0, 0),
        (wide, 0),
        (wide, up),
        (wide - hem, up),
        width=1.6 * desk.ways.thick,
    )
    end.size((0, 0), (wide, 0), "S")
    end.size((wide, 0), (wide, up), "E")
    end.size((0, up), (hem, up), "N")
    end.size((hem, up), (wide - hem, up), "N", right=wide - 2 * hem)
    return end


def _tray_lug(desk: Desk) -> Board:
    """A lug to hang it by."""
    v = desk.board("LUG - DRAWN DOUBLE", 2.0)
    r, tall = desk.snap(0.5), desk.some(1.25, 1.75)
    v.line((-r, tall), (-r, 0), (r, 0), (r, tall))
    v.arc((0, tall), r, 0, 180)
    v.hole((0, tall), desk.stock(0.25, 6), arm=1.2)
    v.size((r, 0), (0, tall), "E", centred=(False, True))
    v.size((-r, 0), (r, 0), "S")
    v.radius((0, tall), r, 55, 8)
    return v
