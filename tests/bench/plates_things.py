"""What the development plates show: furniture and toys in views, with sizes in inches, invented."""

from __future__ import annotations

from collections.abc import Callable

from tests.bench.plates_pen import Rng
from tests.bench.plates_views import View

Build = Callable[[float], View]  # a new view, so many times as large as the plate's scale
Rows = list[list[View]]
Thing = Callable[[Build, Rng], Rows]


def near(rng: Rng, low: float, high: float, *, step: float = 0.125) -> float:
    """A length between two, in steps."""
    return round(float(rng.uniform(low, high)) / step) * step


def pictorial(view: View, wide: float, deep: float, high: float) -> View:
    """A box on legs seen from a corner, at no scale."""
    view.pictorial = True
    sx, sy = 0.5 * deep, 0.3 * deep
    top, leg = high, 0.08 * wide
    view.outline((0, top), (wide, top), (wide + sx, top + sy), (sx, top + sy))
    view.path([(0, top), (0, top - leg), (wide, top - leg), (wide, top)], width=view.manner.thick)
    view.path([(wide, top - leg), (wide + sx, top + sy - leg), (wide + sx, top + sy)])
    for x, y in ((leg, 0.0), (wide - 2 * leg, 0.0), (wide + sx - 2 * leg, sy)):
        view.path([(x, top - leg + y), (x, y), (x + leg, y), (x + leg, top - leg + y)])
    for letter, at in (("A", (0.5 * wide, top + 0.1 * high)), ("B", (1.5 * leg, 0.4 * high))):
        view.words(letter, view.at(*at))
    view.grain(sx, top + 0.1 * sy, wide, top + 0.9 * sy, lines=3)
    return view


def tabouret(build: Build, rng: Rng) -> Rows:
    """A stool-like stand: front, plan and the leg at a larger scale."""
    wide, high = near(rng, 14, 18, step=0.5), near(rng, 16, 22, step=0.5)
    top, leg, over = 0.75, near(rng, 1.5, 2.25), near(rng, 1, 2)
    rail, shelf = near(rng, 2, 3), near(rng, 4, 6, step=0.25)
    front = build(1.0)
    front.rect(0, high - top, wide, high)
    for x in (over, wide - over - leg):
        front.rect(x, 0, x + leg, high - top)
    inner = (over + leg, wide - over - leg)
    front.path([(inner[0], high - top - rail), (inner[1], high - top - rail)])
    front.rect(inner[0], shelf, inner[1], shelf + 0.75)
    front.grain(0.5, high - top, wide - 0.5, high, lines=2)
    front.size((0, high), (wide, high), "N")
    front.size((0, 0), (0, high), "W")
    front.size((wide - over, 0), (wide - over, shelf), "E")
    front.size((wide - over, shelf), (wide - over, high - top), "E")
    front.size((over, 0), (over + leg, 0), "S")
    front.size((over + leg, 0), (inner[1], 0), "S")
    front.label("FRONT VIEW")
    plan = build(1.0)
    plan.rect(0, 0, wide, wide)
    for x in (over, wide - over - leg):
        for y in (over, wide - over - leg):
            plan.hidden((x, y), (x + leg, y), (x + leg, y + leg), (x, y + leg), (x, y))
    plan.centre_line((-0.5, wide / 2), (wide + 0.5, wide / 2))
    plan.size((0, 0), (over, 0), "S")
    plan.size((over, 0), (wide - over, 0), "S")
    plan.size((wide, 0), (wide, wide), "E")
    plan.label("PLAN OF TOP")
    detail = build(3.0)
    mortise, inset = near(rng, 1, 1.5), 0.5
    detail.rect(0, 0, leg, rail + 2.0)
    detail.rect(inset, 1.2, leg - inset, 1.2 + mortise, heavy=False)
    detail.hatch(inset, 1.2, leg - inset, 1.2 + mortise)
    detail.size((0, 0), (leg, 0), "S")
    detail.size((leg, 1.2), (leg, 1.2 + mortise), "E")
    detail.size((leg, 1.2 + mortise), (leg, rail + 2.0), "E")
    detail.note("2 REQ'D", (inset, 1.6), (-9.0, 7.0))
    detail.label("DETAIL OF LEG")
    return [[front, plan], [detail, pictorial(build(0.8), wide, wide, high)]]


def chest(build: Build, rng: Rng) -> Rows:
    """A tool chest: front, end, and its dovetails."""
    wide, deep, high = near(rng, 26, 34, step=0.5), near(rng, 12, 16, step=0.5), near(rng, 12, 15)
    lid, base, board = near(rng, 2, 3), near(rng, 2.5, 4), near(rng, 0.75, 1)
    front = build(1.0)
    front.rect(0, 0, wide, high)
    front.rect(-0.75, 0, wide + 0.75, base)
    front.rect(-0.5, high - lid, wide + 0.5, high)
    front.arc((wide / 2, (high - lid + base) / 2 + 1), 0.8, 0, 360, heavy=False)
    front.grain(1, base + 0.5, wide - 1, high - lid - 0.5, lines=6)
    front.size((-0.75, 0), (wide + 0.75, 0), "S")
    front.size((0, high), (wide, high), "N")
    front.size((-0.5, 0), (-0.5, high), "W", tier=2)
    front.size((-0.75, 0), (-0.75, base), "W")
    front.size((-0.75, base), (-0.5, high - lid), "W")
    front.label("Fig. 1")
    end = build(1.0)
    end.rect(0, 0, deep, high)
    end.rect(-0.75, 0, deep + 0.75, base)
    end.rect(-0.5, high - lid, deep + 0.5, high)
    end.size((0, high), (deep, high), "N")
    end.size((deep + 0.5, high - lid), (deep + 0.5, high), "E")
    end.size((deep + 0.75, 0), (deep + 0.75, base), "E")
    end.label("Fig. 2")
    detail = build(4.0)
    pin, gap = near(rng, 0.5, 0.75), near(rng, 1.25, 1.75)
    detail.rect(0, 0, 2.6, gap * 2 + pin)
    for y in (0.5 * gap, 1.5 * gap):
        y0, y1 = y, y + pin
        detail.outline((0, y0), (board, y0 - 0.12), (board, y1 + 0.12), (0, y1))
    detail.hatch(0, 0.5 * gap, board * 0.8, 0.5 * gap + pin)
    detail.size((0, 0), (board, 0), "S")
    detail.size((0, 0.5 * gap), (0, 0.5 * gap + pin), "W")
    detail.size((0, 0.5 * gap + pin), (0, 1.5 * gap), "W")
    detail.label("Fig. 3. DOVETAILS")
    return [[front], [end, detail]]


def wagon(build: Build, rng: Rng) -> Rows:
    """A toy wagon: side with wheels, plan, and an axle block."""
    long, deep, box = near(rng, 16, 22, step=0.5), near(rng, 8, 10, step=0.5), near(rng, 3, 4.5)
    wheel = near(rng, 5, 6, step=0.5)
    first, base = near(rng, 3, 4, step=0.25), near(rng, 9, 11, step=0.25)
    side = build(1.0)
    low = wheel * 0.75
    side.rect(0, low, long, low + box)
    side.path([(0, low + 0.75), (long, low + 0.75)])
    side.grain(0.5, low + 1, long - 0.5, low + box - 0.3, lines=4)
    for x in (first, first + base):
        side.arc((x, wheel / 2), wheel / 2, 0, 360)
        side.arc((x, wheel / 2), 0.6, 0, 360, heavy=False)
        side.centre_line((x, -0.6), (x, wheel + 0.8))
    side.radius((first + base, wheel / 2), wheel / 2, 215.0)
    side.size((0, low + box), (long, low + box), "N")
    side.size((first, 0), (first + base, 0), "S", tier=2)
    side.size((0, low), (first, wheel / 2), "S", tier=2)
    side.size((0, low), (0, low + box), "W")
    side.size((long, 0), (long, low), "E")
    side.label("SIDE ELEVATION")
    plan = build(1.0)
    plan.rect(0, 0, long, deep)
    plan.rect(0.5, 0.5, long - 0.5, deep - 0.5, heavy=False)
    boards = 3
    for k in range(1, boards):
        y = 0.5 + (deep - 1) * k / boards
        plan.path([(0.5, y), (long - 0.5, y)])
    plan.within((0.5, 0.5 + (deep - 1) * 0.5), (long - 0.5, 0.5 + (deep - 1) * 0.5))
    plan.size((0, 0), (0, deep), "W")
    plan.beside((long, deep), (0, deep), "N")
    plan.label("PLAN")
    block = build(2.2)
    tall, across = near(rng, 2.5, 3.25), near(rng, 3, 4)
    wing = near(rng, 1.5, 2)
    block.outline(
        (0, 0), (across, 0), (across, wing), (across * 0.75, tall), (across * 0.25, tall), (0, wing)
    )
    block.hole((across / 2, tall * 0.45), 0.5, "HOLE", (across / 2 * block.per_inch + 1.0, 4.0))
    block.size((0, 0), (across, 0), "S")
    block.size((0, 0), (0, wing), "W")
    block.size((0, 0), (across * 0.25, tall), "W", tier=2)
    block.label("AXLE BLOCK, 2 REQ'D")
    return [[side], [plan], [block, pictorial(build(0.6), long, deep, 9.0)]]


def bookrack(build: Build, rng: Rng) -> Rows:
    """A hanging rack: an end with curves, the front broken, a keyed tenon."""
    high, deep = near(rng, 24, 30, step=0.5), near(rng, 7, 9, step=0.25)
    long = near(rng, 34, 44, step=0.5)
    low, middle = near(rng, 4, 6, step=0.25), near(rng, 13, 16, step=0.25)
    round_ = near(rng, 3, 4, step=0.25)
    end = build(1.0)
    end.path([(0, 0), (deep - round_, 0)], width=end.manner.thick)
    end.arc((deep - round_, round_), round_, -90, 0)
    end.path([(deep, round_), (deep, high - round_)], width=end.manner.thick)
    end.arc((deep - round_, high - round_), round_, 0, 90)
    end.path([(deep - round_, high), (0, high), (0, 0)], width=end.manner.thick)
    end.radius((deep - round_, high - round_), round_, 40.0)
    for y in (low, middle):
        end.rect(1, y, deep - 1, y + 0.75, heavy=False)
        end.hatch(1, y, deep - 1, y + 0.75, lean=60)
    end.size((0, 0), (0, high), "W", tier=2)
    end.size((0, 0), (1, low), "W")
    end.size((1, low), (1, middle), "W")
    end.size((0, 0), (deep, round_), "S")
    end.label("END")
    front = build(1.0)
    front.broken = (long * 0.38, long * 0.62)
    for x in (0.0, long - 0.875):
        front.rect(x, 0, x + 0.875, high)
    for y in (low, middle):
        front.path([(0.875, y), (long - 0.875, y)], width=front.manner.thick)
        front.path([(0.875, y + 0.75), (long - 0.875, y + 0.75)], width=front.manner.thick)
        front.break_across(long * 0.38, y - 0.6, y + 1.35)
    front.size((0, 0), (long, 0), "S")
    front.size((long, middle + 0.75), (long, high), "E")
    front.size((long - 0.875, high), (long, high), "N")
    front.label("FRONT, SHELVES BROKEN")
    tenon = build(2.5)
    wide, out = near(rng, 3, 4), near(rng, 1.75, 2.5)
    tenon.outline(
        (0, 0),
        (3, 0),
        (3, 0.75),
        (3 + out, 0.75),
        (3 + out, wide - 0.75),
        (3, wide - 0.75),
        (3, wide),
        (0, wide),
    )
    tenon.rect(3 + 0.5, wide / 2 - 0.5, 3 + 1.0, wide / 2 + 0.5, heavy=False)
    tenon.size((3, 0.75), (3 + out, 0.75), "S")
    tenon.size((3 + out, 0.75), (3 + out, wide - 0.75), "E")
    tenon.size((0, 0), (0, wide), "W")
    tenon.size((3, wide), (3.5, wide / 2 + 0.5), "N")
    tenon.note("KEY 1/2 SQ.", (3.75, wide / 2), (4.0, 12.0))
    tenon.label("TENON")
    return [[end, front], [tenon]]


THINGS: tuple[Thing, ...] = (tabouret, chest, wagon, bookrack)
