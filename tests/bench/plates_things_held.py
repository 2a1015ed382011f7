"""What the held-out plates show: other things, other views, other ways to size them, invented."""

from __future__ import annotations

import math

from tests.bench.plates_pen import Rng
from tests.bench.plates_things import Build, Rows, Thing, near


def cradle(build: Build, rng: Rng) -> Rows:
    """A doll's cradle: the end with a rocker, the side, a rocker by itself."""
    wide, high, long = (
        near(rng, 9, 11, step=0.25),
        near(rng, 8, 10, step=0.25),
        near(rng, 16, 20, step=0.25),
    )
    foot, rise = near(rng, 6, 7, step=0.25), near(rng, 2, 2.5, step=0.25)
    lean = (wide - foot) / 2
    end = build(1.0)
    radius = near(rng, 9, 11, step=0.5)
    end.path([(lean, rise), (wide - lean, rise)], width=end.manner.thick)
    end.path([(lean, rise), (0, high)], width=end.manner.thick)
    end.path([(wide - lean, rise), (wide, high)], width=end.manner.thick)
    half = math.degrees(math.asin(wide / 2 / radius))
    end.arc((wide / 2, high - radius * math.cos(math.radians(half))), radius, 90 - half, 90 + half)
    swing = math.degrees(math.asin((wide / 2 + 0.5) / 12))
    end.arc((wide / 2, 12.0), 12.0, 270 - swing, 270 + swing)
    y = 12.0 - 12.0 * math.cos(math.radians(swing))
    for x in (-0.5, wide + 0.5):
        end.path([(x, y), (x + (1.0 if x < 0 else -1.0), rise)], width=end.manner.thick)
    end.size((0, high), (wide, high), "N")
    end.size((lean, rise), (wide - lean, rise), "S")
    end.size((wide - lean, rise), (wide, high), "E")
    end.label("END VIEW")
    side, hood = build(1.0), near(rng, 5, 6, step=0.25)
    side.outline(
        (0.75, rise),
        (long - 0.75, rise),
        (long, high - 2),
        (hood + 2.5, high - 2),
        (hood, high + 2),
        (0, high + 2),
    )
    side.grain(2, rise + 0.5, long - 2, high - 2.5, lines=5)
    for x in (2.0, long - 2.75):
        side.rect(x, 0.4, x + 0.75, rise)
    side.size((0, high + 2), (hood, high + 2), "N")
    side.size((0, rise), (long, rise), "S", tier=2)
    side.size((2.0, 0.4), (long - 2.75, 0.4), "S")
    side.size((long, rise), (long, high - 2), "E")
    side.size((0, rise), (0, high + 2), "W")
    side.label("SIDE VIEW")
    rocker = build(1.7)
    deep = near(rng, 1.75, 2.5)
    span = wide + 1
    rocker.arc((span / 2, 12.0), 12.0, 270 - swing, 270 + swing)
    rocker.path([(0, y), (1, deep), (span - 1, deep), (span, y)], width=rocker.manner.thick)
    rocker.size((0, y), (span, y), "S")
    rocker.size((1, deep), (span - 1, deep), "N")
    rocker.label("ROCKER, 2 WANTED")
    return [[end, side], [rocker]]


def counter(build: Build, rng: Rng) -> Rows:
    """A shop counter: front with drawers, a section, its moulding."""
    high, deep = near(rng, 33, 38, step=0.5), near(rng, 20, 26, step=0.5)
    top, base = near(rng, 1.25, 2), near(rng, 4, 6, step=0.25)
    rail = near(rng, 8, 10, step=0.25)
    bays, bay = int(rng.integers(2, 4)), near(rng, 24, 34, step=0.5)
    long = bays * bay
    front = build(1.0)
    front.rect(0, base, long, high - top)
    front.rect(-1.5, high - top, long + 1.5, high)
    front.rect(1, 0, long - 1, base)
    for k in range(bays):
        x0, x1 = k * bay + 1.5, (k + 1) * bay - 1.5
        front.rect(x0, high - top - rail, x1, high - top - 1.5, heavy=False)
        front.arc(((x0 + x1) / 2, high - top - rail / 2 - 0.8), 0.9, 0, 360, heavy=False)
        front.rect(x0, base + 1.5, x1, high - top - rail - 1.5, heavy=False)
        front.rect(x0 + 1.5, base + 3, x1 - 1.5, high - top - rail - 3, heavy=False)
    front.size((-1.5, high), (long + 1.5, high), "N")
    front.size((-1.5, 0), (-1.5, high), "W", tier=2)
    front.size((0, base), (0, high - top - rail), "W")
    front.size((1, 0), (0, base), "W")
    for k in range(bays):
        front.size((k * bay, base), ((k + 1) * bay, base), "S")
    front.label("FRONT ELEVATION")
    section = build(1.0)
    section.rect(0, base, deep, high - top, heavy=False)
    section.rect(-1.5, high - top, deep + 1.5, high)
    section.hatch(-1.5, high - top, deep + 1.5, high)
    section.rect(0, base, 0.875, high - top)
    section.hatch(0, base, 0.875, high - top, lean=60)
    shelf = near(rng, 9, 13, step=0.25)
    section.rect(0.875, base + shelf, deep - 1, base + shelf + 0.875)
    section.size((-1.5, high), (deep + 1.5, high), "N")
    section.size((deep, base), (deep, base + shelf), "E")
    section.size((deep, base + shelf + 0.875), (deep, high - top), "E")
    section.within((0.875, base + shelf * 0.5), (deep, base + shelf * 0.5))
    section.label("SECTION")
    mould = build(7.0)
    mould.outline((0, 0), (1.75, 0), (1.75, 0.5), (1.25, 0.5), (1.25, 1.25), (0.5, 2.5), (0, 2.5))
    mould.hatch(0, 0.1, 0.5, 2.4)
    mould.size((0, 0), (1.75, 0), "S")
    mould.size((0, 0), (0, 2.5), "W")
    mould.size((1.75, 0), (1.75, 0.5), "E")
    mould.label("MOULDING")
    return [[front], [section, mould]]


def settle(build: Build, rng: Rng) -> Rows:
    """A hall settle: front broken, end with a curved arm, the seat rail's joint."""
    long, high, seat = (
        near(rng, 48, 60, step=1),
        near(rng, 30, 36, step=0.5),
        near(rng, 16, 18, step=0.25),
    )
    deep, post = near(rng, 18, 22, step=0.5), near(rng, 2, 2.75)
    front = build(1.0)
    front.broken = (long * 0.4, long * 0.6)
    for x in (0.0, long - post):
        front.rect(x, 0, x + post, high)
    for y, t in ((seat - 3.5, 3.5), (seat, 1.0), (high - 5, 4.0)):
        front.path([(post, y), (long - post, y)], width=front.manner.thick)
        front.path([(post, y + t), (long - post, y + t)], width=front.manner.thick)
    front.break_across(long * 0.4, seat - 4.5, high)
    slat = near(rng, 3, 4, step=0.25)
    for x in (post + 3, post + 3 + 1.6 * slat):
        front.rect(x, seat + 1, x + slat, high - 5, heavy=False)
    front.size((0, 0), (long, 0), "S")
    front.size((0, 0), (0, high), "W")
    front.size((long, 0), (long, seat - 3.5), "E")
    front.size((long, seat + 1.0), (long, high), "E")
    front.size((long - post, high), (long, high), "N")
    front.size((post + 3, high - 5), (post + 3 + slat, high - 5), "N")
    front.label("Front")
    end = build(1.0)
    for x in (0.0, deep - post):
        end.rect(x, 0, x + post, seat + 8 if x else high)
    end.rect(post, seat - 3.5, deep - post, seat)
    arm = near(rng, 3.5, 4.5, step=0.25)
    end.path([(post, seat + 9), (deep - 1, seat + 9)], width=end.manner.thick)
    end.path([(post, seat + 8), (deep - 1, seat + 8)], width=end.manner.thick)
    end.arc((deep - 1, seat + 8.5), 0.5, -90, 90)
    end.arc((deep - post - arm, seat + 8 - arm), arm, 0, 90)
    end.radius((deep - post - arm, seat + 8 - arm), arm, 45.0, behind=True)
    end.size((0, 0), (deep, 0), "S")
    end.within((post, seat * 0.4), (deep - post, seat * 0.4))
    end.size((deep, 0), (deep, seat + 8), "E", tier=1)
    end.label("End")
    joint = build(3.2)
    rail, cheek = near(rng, 3.5, 4.25), near(rng, 1.25, 2)
    joint.outline(
        (0, 0),
        (2.5, 0),
        (2.5, 0.5),
        (2.5 + cheek, 0.5),
        (2.5 + cheek, rail - 0.5),
        (2.5, rail - 0.5),
        (2.5, rail),
        (0, rail),
    )
    joint.grain(0.2, 0.3, 2.4, rail - 0.3, lines=5)
    joint.size((2.5, rail), (2.5 + cheek, rail - 0.5), "N")
    joint.size((0, 0), (0, rail), "W")
    joint.size((2.5 + cheek, 0.5), (2.5 + cheek, rail - 0.5), "E")
    joint.size((0, 0), (2.5, 0), "S")
    joint.label("Joint of Rail")
    return [[front, end], [joint]]


def dovecot(build: Build, rng: Rng) -> Rows:
    """A house for birds: front with a door, side with a sloping roof, the plan of the floor."""
    wide, wall, ridge = (
        near(rng, 8, 10, step=0.25),
        near(rng, 8, 10, step=0.25),
        near(rng, 12.5, 14.5, step=0.25),
    )
    deep, hole = near(rng, 7, 9, step=0.25), near(rng, 1.25, 2)
    front = build(1.0)
    front.outline((0, 0), (wide, 0), (wide, wall), (wide / 2, ridge), (0, wall))
    front.path([(-1.2, wall - 0.9), (wide / 2, ridge + 0.5), (wide + 1.2, wall - 0.9)])
    door = near(rng, 5.5, 7, step=0.25)
    front.hole((wide / 2, door), hole, "DIA.", ((wide / 2) * front.per_inch + 3.0, 9.0))
    front.centre_line((wide / 2, -0.3), (wide / 2, ridge + 1))
    front.size((0, 0), (wide, 0), "S")
    front.size((0, 0), (0, wall), "W")
    front.size((0, 0), (wide / 2, ridge), "W", tier=2)
    front.size((wide, 0), (wide / 2, door), "E")
    front.label("FRONT")
    side = build(1.0)
    side.rect(0, 0, deep, wall)
    side.outline(
        (-1, wall - 0.75), (deep + 1, wall - 0.75), (deep + 1, ridge + 0.5), (-1, ridge + 0.5)
    )
    for k in range(1, 4):
        y = wall - 0.75 + (ridge + 1.25 - wall) * k / 4
        side.path([(-1, y), (deep + 1, y)])
    side.grain(0.4, 0.4, deep - 0.4, wall - 1.2, lines=6)
    side.size((-1, ridge + 0.5), (deep + 1, ridge + 0.5), "N")
    side.size((0, 0), (deep, 0), "S")
    side.label("SIDE")
    floor = build(1.3)
    floor.rect(0, 0, wide - 1, deep - 1)
    floor.beside((0, 0), (wide - 1, 0), "S")
    floor.beside((wide - 1, 0), (wide - 1, deep - 1), "E")
    floor.grain(0.3, 0.3, wide - 1.3, deep - 1.3, lines=5)
    floor.label("BOTTOM")
    perch = build(2.4)
    out, block = near(rng, 2.5, 3.5), near(rng, 1, 1.5)
    perch.rect(0, 0, 0.75, block)
    perch.hatch(0, 0, 0.75, block)
    perch.rect(0.75, block / 2 - 0.25, 0.75 + out, block / 2 + 0.25)
    perch.size((0.75, block / 2 - 0.25), (0.75 + out, block / 2 - 0.25), "S")
    perch.size((0, 0), (0, block), "W")
    perch.note("1/2 ROUND", (0.75 + out * 0.6, block / 2 + 0.25), (5.0, 8.0))
    perch.label("PERCH")
    return [[front, side], [floor, perch]]


def steps(build: Build, rng: Rng) -> Rows:
    """Library steps: side with treads, front, a tread's housing."""
    rise, run, treads = near(rng, 8, 9, step=0.25), near(rng, 7, 8.5, step=0.25), 3
    wide, board = near(rng, 16, 20, step=0.5), near(rng, 0.875, 1.125)
    high, deep = rise * treads, run * treads + 1
    side = build(1.0)
    points = [(0.0, 0.0)]
    for k in range(treads):
        points += [(k * run, (k + 1) * rise - board), ((k + 1) * run, (k + 1) * rise - board)]
    side.outline(*points, (deep, high - board), (deep, 0), (deep - 5, 0), (deep / 2, 5), (5, 0))
    for k in range(treads):
        side.rect(k * run - 0.75, (k + 1) * rise - board, (k + 1) * run + 0.3, (k + 1) * rise)
    for k in range(treads):
        side.size((k * run, k * rise), (k * run, (k + 1) * rise), "W")
    side.size((deep, 0), (deep, high), "E")
    side.size((0, 0), (5, 0), "S")
    side.size((5, 0), (deep - 5, 0), "S")
    side.label("SIDE")
    front = build(1.0)
    front.rect(0, 0, board, high - board)
    front.rect(wide - board, 0, wide, high - board)
    for k in range(treads):
        front.rect(-1, (k + 1) * rise - board, wide + 1, (k + 1) * rise)
        front.grain(0, (k + 1) * rise - board, wide, (k + 1) * rise, lines=2)
    front.size((0, 0), (wide, 0), "S")
    front.size((-1, high), (wide + 1, high), "N")
    front.within((board, rise * 0.4), (wide - board, rise * 0.4))
    front.size((wide, rise), (wide, 2 * rise - board), "E")
    front.label("FRONT")
    housing = build(3.0)
    depth = 0.375
    housing.outline(
        (0, 0),
        (board * 1.5, 0),
        (board * 1.5, 1.2),
        (board * 1.5 - depth, 1.2),
        (board * 1.5 - depth, 1.2 + board),
        (board * 1.5, 1.2 + board),
        (board * 1.5, 3.6),
        (0, 3.6),
    )
    housing.hatch(0, 0, board * 1.5 - depth, 3.6)
    housing.size((board * 1.5, 1.2), (board * 1.5, 1.2 + board), "E")
    housing.size((0, 0), (board * 1.5, 0), "S")
    housing.note("3/8 DEEP", (board * 1.5 - depth, 1.5 + board / 2), (16.0, 13.0))
    housing.label("HOUSING")
    return [[side, front], [housing]]


THINGS: tuple[Thing, ...] = (cradle, counter, settle, dovecot, steps)
