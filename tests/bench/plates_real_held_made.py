"""Made parts of the held-out half of the bought plans: a turned spindle, a gate, a model glider."""

from __future__ import annotations

import math
from collections.abc import Callable

from tests.bench.plates_pen import Rng
from tests.bench.plates_real_views import RealView, near_mm
from tests.bench.plates_things import near

Build = Callable[[float], RealView]
Rows = list[list[RealView]]
MM = 1 / 25.4  # inches
APART_MM = 30.0  # between a view and its section


def spindle(build: Build, rng: Rng) -> Rows:
    """A press spindle in mm, turned: diameters along it, a collar in section, a plate."""
    shaft, collar, plate = build(1.0), build(1.0), build(1.0)
    for view in (shaft, collar, plate):
        view.metric = True
    body = near_mm(rng, 22, 30, step=2)
    _shaft(shaft, rng, body)
    _collar(collar, rng, body)
    _plate(plate, rng)
    words = build(1.0)
    words.text_block("MM", "TOL. 0,1 UNLESS STATED", "MATL. BRIGHT MILD STEEL", "1 OFF EACH")
    return [[shaft], [collar, plate], [words]]


def _shaft(view: RealView, rng: Rng, body: float) -> None:
    steps = (
        (near_mm(rng, 18, 26), near_mm(rng, 12, 16)),
        (near_mm(rng, 6, 10), body + near_mm(rng, 8, 12, step=2)),
        (near_mm(rng, 55, 75, step=5), body),
        (near_mm(rng, 25, 35), near_mm(rng, 10, 14, step=0.5)),
    )
    x, places = 0.0, [(0.0, 0.0)]
    for long, across in steps:
        view.rect(x, -across / 2, x + long, across / 2)
        x += long
        places.append((x, -across / 2))
    view.centre_line((-6 * MM, 0), (x + 6 * MM, 0))
    end = steps[3][1] / 2
    for s in (-0.85, 0.85):
        view.path([(places[3][0], s * end), (x, s * end)], width=view.manner.fine)
    view.shade(places[2][0] + 3 * MM, places[2][0] + 4 * MM, -body * 0.45, body * 0.45)
    view.size((0, 0), (x, -end), "S", tier=2)
    view.chain([(0, -steps[0][1] / 2), *places[1:]], "S")
    for k, (long, across) in enumerate(steps[:3]):
        if k != 1:
            at = places[k][0] + 0.5 * long
            view.led("Ø").within((at, -across / 2), (at, across / 2))
    rim = steps[1][1] / 2
    view.led("Ø").size((places[1][0], -rim), (places[1][0], rim), "W")
    view.led("Ø").size((x, -end), (x, end), "E")
    view.below("SPINDLE")


def _collar(view: RealView, rng: Rng, body: float) -> None:
    across, long, bore = body + near_mm(rng, 16, 22, step=2), near_mm(rng, 18, 26), body
    rim, inner = across / 2, bore / 2
    view.cut((0, inner), (long, inner), (long, rim), (0, rim))
    view.cut((0, -inner), (long, -inner), (long, -rim), (0, -rim))
    for x in (0.0, long):
        view.path([(x, -inner), (x, inner)])
    view.centre_line((-5 * MM, 0), (long + 5 * MM, 0))
    view.size((0, -rim), (long, -rim), "S")
    view.led("Ø").size((0, -rim), (0, rim), "W")
    view.led("Ø").size((long, -inner), (long, inner), "E")
    view.below("COLLAR")


def _plate(view: RealView, rng: Rng) -> None:
    wide, high = near_mm(rng, 60, 80, step=5), near_mm(rng, 45, 60, step=5)
    apart, up = wide - near_mm(rng, 18, 26, step=2), high - near_mm(rng, 18, 26, step=2)
    hole = near_mm(rng, 5.5, 8.5, step=0.5)
    view.rounded(0, 0, wide, high, 6 * MM)
    left, low = (wide - apart) / 2, (high - up) / 2
    for x in (left, left + apart):
        for y in (low, low + up):
            view.arc((x, y), hole / 2, 0, 360)
            view.cross((x, y), hole * 0.9)
    view.between((left, low + up), (left + apart, low + up), "N")
    view.between((left + apart, low), (left + apart, low + up), "E")
    view.size((0, 0), (wide, 0), "S")
    view.size((0, 0), (0, high), "W")
    view.drill((left, low), hole, "4 HOLES Ø{}", (14.0, 11.0))
    view.fillet((wide - 6 * MM, high - 6 * MM), 6 * MM, 45, "R{} TYP", 7.0)
    view.below("PLATE 5 THICK")


# a gate of square tube


def gate(build: Build, rng: Rng) -> Rows:
    """A welded gate in feet and inches: elevation with a brace, its hinge, a corner large."""
    wide, high = near(rng, 42, 58, step=1), near(rng, 38, 48, step=1)
    main, hinge, corner = build(1.0), build(3.6), build(3.6)
    main.in_feet()
    _gate_front(main, rng, wide, high)
    _hinge(hinge, rng)
    _corner(corner, rng)
    return [[main], [hinge, corner]]


def _gate_front(view: RealView, rng: Rng, wide: float, high: float) -> None:
    tube, mid = near(rng, 1.5, 2, step=0.25), near(rng, 18, 22, step=0.5)
    view.rect(0, 0, wide, high)
    view.rect(tube, mid + tube, wide - tube, high - tube)
    view.rect(tube, tube, wide - tube, mid)
    count = 5
    pitch = (wide - 2 * tube) / (count + 1)
    for k in range(count):
        x = tube + pitch * (k + 1)
        view.path([(x - 0.25, mid + tube), (x - 0.25, high - tube)])
        view.path([(x + 0.25, mid + tube), (x + 0.25, high - tube)])
    view.path([(tube, tube), (wide - tube, mid)], width=view.manner.thick)
    view.path([(tube, tube + 1.6), (wide - tube - 3.0, mid)], width=view.manner.thick)
    for y in (5.0, high - 7.0):
        view.rect(-3.0, y, 0.0, y + 2.0)
    view.size((0, 0), (wide, 0), "S")
    view.size((0, high), (wide, high), "N")
    view.size((wide, 0), (wide, high), "E", tier=2)
    view.chain([(wide, 0), (wide, mid), (wide, mid + tube)], "E")
    view.chain([(-3.0, 5.0), (-3.0, high - 7.0)], "W")
    view.within((wide * 0.34, tube), (wide * 0.34, mid))
    view.note("1/2 SQ. BAR (5)", (tube + pitch * 4 + 0.25, high * 0.75), (16.0, 4.0))
    view.note("1/8 FILLET ALL ROUND", (tube, tube), (16.0, -16.0))
    view.below("GATE - ONE OFF")


def _hinge(view: RealView, rng: Rng) -> None:
    long, wide, eye = near(rng, 5, 6.5, step=0.25), near(rng, 1.25, 1.75), near(rng, 0.5, 0.75)
    first, apart = near(rng, 0.75, 1), near(rng, 1.5, 2)
    view.path([(0, 0), (long, 0)], width=view.manner.thick)
    view.path([(0, wide), (long, wide)], width=view.manner.thick)
    view.path([(0, 0), (0, wide)], width=view.manner.thick)
    view.arc((long, wide / 2), wide / 2, -90, 90)
    view.cross((long, wide / 2), wide * 0.65)
    view.drill((long, wide / 2), eye, "{} DIA.", (13.0, 8.0))
    for x in (first, first + apart):
        view.arc((x, wide / 2), 0.1875, 0, 360)
        view.cross((x, wide / 2), 0.35)
    view.size((0, 0), (long, wide / 2), "S", tier=2)
    view.chain([(0, 0), (first, wide / 2), (first + apart, wide / 2)], "S")
    view.size((0, 0), (0, wide), "W")
    view.below("HINGE STRAP, 2 PAIRS")


def _corner(view: RealView, rng: Rng) -> None:
    tube, long = near(rng, 1.5, 2, step=0.25), near(rng, 3.5, 4.5, step=0.25)
    wall = 0.125
    view.path([(0, long), (0, 0), (long, 0)], width=view.manner.thick)
    view.path([(tube, long), (tube, tube), (long, tube)], width=view.manner.thick)
    view.path([(0, 0), (tube, tube)])
    view.solid((0, long), (wall, long), (wall, long - 0.4), (0, long - 0.4))
    view.solid((tube - wall, long), (tube, long), (tube, long - 0.4), (tube - wall, long - 0.4))
    view.torn((long, 0), (long, tube))
    view.size((long, 0), (long, tube), "E")
    view.size((0, long), (tube, long), "N")
    view.along((0, 0), (tube, tube), -16.0)
    view.below("MITRED CORNER")


# a model glider


def glider(build: Build, rng: Rng) -> Rows:
    """A model glider: fuselage side with its stations, half a wing, a rib, a former."""
    long, span, chord = near(rng, 26, 32, step=0.5), near(rng, 20, 25, step=0.5), near(rng, 4, 5)
    body, wing, rib = build(1.0), build(1.0), build(2.6)
    _fuselage(body, rng, long)
    _wing(wing, span, chord)
    _rib(rib, rng, chord)
    words = build(1.0)
    words.text_block("LONGERONS 1/8 SQ.", "RIBS 1/16 SHEET", "COVER WITH TISSUE", "C.G. 1/3 CHORD")
    return [[body, words], [wing, rib]]


def _fuselage(view: RealView, rng: Rng, long: float) -> None:
    view.nearest = 16
    deep, tail = near(rng, 2.5, 3.25), near(rng, 0.75, 1)
    xs = [0.0, 2.5, 6.0, 10.0, round(long * 0.55 * 2) / 2, round(long * 0.75 * 2) / 2, long]
    top = [0.4, 0.75, 1.0, 1.0, 0.85, 0.6, tail / deep]
    ys = [deep * s for s in top]
    view.path(list(zip(xs, ys, strict=True)), width=view.manner.thick)
    view.path([(0, ys[0]), (0, 0), (long, 0), (long, ys[-1])], width=view.manner.thick)
    view.path([(0.1, 0.15), (long - 0.1, 0.15)])
    for x, y in zip(xs[1:-1], ys[1:-1], strict=True):
        view.path([(x - 0.0625, 0), (x - 0.0625, y)])
        view.path([(x + 0.0625, 0), (x + 0.0625, y)])
    for k in range(1, 4):
        view.path([(xs[k], 0), (xs[k + 1], ys[k + 1])])
    view.size((0, 0), (long, 0), "S", tier=2)
    view.chain([(x, 0.0) for x in (xs[0], xs[3], xs[4], xs[-1])], "S")
    view.within((0.5 * (xs[2] + xs[3]), 0), (0.5 * (xs[2] + xs[3]), deep))
    view.size((long, 0), (long, ys[-1]), "E")
    view.size((0, 0), (0, ys[0]), "W")
    view.size((xs[2], ys[2]), (xs[3], ys[3]), "N")
    view.mark_part(1, (xs[4], ys[4]), by=(5.0, 9.0))
    view.below("FUSELAGE SIDE")


def _wing(view: RealView, span: float, chord: float) -> None:
    view.nearest = 16
    straight = round(span * 0.7 * 4) / 4
    view.path([(straight, chord), (0, chord), (0, 0), (straight, 0)], width=view.manner.thick)
    turn = [math.radians(90 - 10 * k) for k in range(19)]
    view.curve([(straight + (span - straight) * math.cos(t), chord / 2 * (1 + math.sin(t)))
                for t in turn])  # fmt: skip
    pitch = straight / 7
    for k in range(1, 8):
        view.path([(k * pitch, 0), (k * pitch, chord)])
    for s in (0.28, 0.3):
        view.path([(0, chord * (1 - s)), (straight, chord * (1 - s))])
    view.centre_line((0, -0.6), (0, chord + 0.6))
    view.size((0, chord), (straight, chord), "N")
    view.size((0, 0), (span, chord / 2), "S", tier=2)
    view.noted("TYP.").size((pitch * 2, 0), (pitch * 3, 0), "S")
    view.size((0, 0), (0, chord), "W")
    view.below("WING - RIGHT HALF SHOWN")


def _rib(view: RealView, rng: Rng, chord: float) -> None:
    thick = chord * 0.11
    xs = [chord * (k / 20) ** 1.5 for k in range(21)]
    view.curve([(x, 4 * thick * (x / chord) ** 0.5 * (1 - x / chord) ** 1.1 * 0.72) for x in xs])
    view.path([(0, 0), (chord, 0)], width=view.manner.thick)
    spar = near(rng, 1.125, 1.5)
    view.rect(spar, 0, spar + 0.125, 0.25)
    view.size((0, 0), (chord, 0), "S", tier=2)
    view.size((0, 0), (spar, 0), "S")
    view.note("1/8 x 1/4 SPAR", (spar + 0.06, 0.25), (11.0, 14.0))
    view.below("RIB, 14 REQ.", "ENLARGED")
