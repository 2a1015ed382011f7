"""What the later working drawings show, to develop on: boats, a shed, a toy, a cabinet."""

from __future__ import annotations

from itertools import pairwise

from tests.bench.plates_work2_board import Board
from tests.bench.plates_work2_desk import Block, Desk, Rows

# a club's pram dinghy


def pram(desk: Desk) -> Rows:
    """Profile, half breadth and two stations of a boat; a table of offsets that is only read."""
    long = 12.0 * round(desk.some(84, 104) / 12) if not desk.ways.metric else desk.snap(96)
    part = desk.snap(long / 4, 1.0)
    places = [0.0, part, 2 * part, 3 * part, long]
    half, deep = desk.some(19, 23, 0.5), desk.some(14, 17, 0.5)
    profile, plan = desk.board("PROFILE"), desk.board("HALF BREADTH")
    keel = [0.42 * deep, 0.1 * deep, 0.0, 0.06 * deep, 0.34 * deep]
    sheer = [1.12 * deep, 0.98 * deep, 0.94 * deep, desk.snap(0.98 * deep, 0.5), deep]
    profile.curve(*zip(places, sheer, strict=True))
    profile.curve(*zip(places, keel, strict=True))
    plan.centre((-3, 0), (long + 3, 0))
    breadth = [0.52 * half, 0.9 * half, half, 0.94 * half, desk.snap(0.7 * half, 0.5)]
    plan.curve(*zip(places, breadth, strict=True))
    plan.curve(*zip(places, [0.66 * b for b in breadth], strict=True), width=desk.ways.thin)
    for k, x in enumerate(places):
        wide = desk.ways.thick if k in (0, 4) else desk.ways.fine
        profile.line((x, keel[k]), (x, sheer[k]), width=wide)
        plan.line((x, 0), (x, breadth[k]), width=wide)
    profile.chain("S", 0.0, *places)
    profile.size((0, keel[0]), (long, keel[4]), "S")
    profile.size((long, keel[4]), (long, sheer[4]), "E")
    profile.size((2 * part, 0.0), (2 * part, sheer[2]), at=2.35 * part)
    seat = desk.snap(part + 0.4 * part, 0.5)
    profile.hidden_rect(seat, 0.6 * deep, seat + desk.snap(9, 0.5), 0.6 * deep + 0.9)
    profile.size((part, 0.6 * deep), (seat, 0.6 * deep), at=0.45 * deep, way="h")
    plan.size((2 * part, 0), (2 * part, half), at=2.35 * part)
    plan.size((long, 0), (long, breadth[4]), "E")
    for k, x in enumerate(places[1:4], start=1):
        plan.label(f"ST. {k}", (x, -3.5), 0.9)
    rows = [["STATION", "1", "2", "3"], ["SHEER", *(desk.say(sheer[k]) for k in (1, 2, 3))],
            ["CHINE", *(desk.say(0.66 * breadth[k]) for k in (1, 2, 3))],
            ["KEEL", *(desk.say(keel[k]) for k in (1, 2, 3))]]  # fmt: skip
    body = _pram_frame(desk, half, sheer[2])
    return [[profile], [plan], [body, desk.table("OFFSETS", rows)]]


def _pram_frame(desk: Desk, half: float, deep: float) -> Board:
    v = desk.board("FRAME AT STATION 2 - ENLARGED", 1.5)
    chine, rise = desk.snap(0.66 * half, 0.5), desk.snap(0.4 * deep, 0.5)
    v.shape((-half, deep), (-chine, rise), (0, 0), (chine, rise), (half, deep))
    v.centre((0, -2), (0, deep + 2))
    v.size((-chine, rise), (0, rise), at=0.62 * deep, centred=(False, False))
    v.size((0, deep), (half, deep), "N")
    v.size((half, 0), (half, rise), "E")
    v.size((half, rise), (half, deep), "E")
    v.size((-half, 0), (-half, deep), "W")
    v.note((-0.82 * half, 0.75 * deep), "SIDE 1/4 PLY" if not desk.ways.metric else "SIDE 6 PLY",
           (5, -4))  # fmt: skip
    return v


# an oar


def oar(desk: Desk) -> Rows:
    """An oar, its loom broken off in the middle, its blade in section; a leather and its collar."""
    v = desk.board("OAR - MAKE ONE PAIR")
    grip, thick, loom = desk.some(4.5, 5.5), desk.snap(1.25), desk.snap(1.75)
    blade, wide, told = desk.some(20, 24), desk.some(5, 6), desk.some(78, 90, 1.0)
    a, b = grip + 9.0, grip + 11.0
    neck = b + 8.0
    end = neck + blade
    for side in (1, -1):
        v.line((0, side * thick / 2), (grip, side * thick / 2), (grip, side * loom / 2),
               (a, side * loom / 2))  # fmt: skip
        v.curve((b, side * loom / 2), (neck, side * 0.8), (neck + 0.3 * blade, side * 0.3 * wide),
                (neck + 0.7 * blade, side * 0.47 * wide), (end, side * wide / 2))  # fmt: skip
    v.line((0, -thick / 2), (0, thick / 2))
    v.line((end, -wide / 2), (end, wide / 2))
    v.thin((neck, -0.8), (neck, 0.8))
    for x in (a, b):
        v.curve(*((x + (0.5 if k % 2 else -0.5), (k - 2) * loom / 3.2) for k in range(5)),
                width=desk.ways.thin)  # fmt: skip
    v.centre((-1.5, 0), (end + 1.5, 0))
    v.size((0, -thick / 2), (grip, -loom / 2), "S")
    v.size((neck, -0.8), (end, -wide / 2), "S")
    v.size((0, thick / 2), (end, wide / 2), "N", right=told, kind="broken")
    v.size((end, -wide / 2), (end, wide / 2), "E")
    v.size((0, -thick / 2), (0, thick / 2), "W", form=desk.ways.across)
    v.note((grip + 4.0, loom / 2), desk.ways.across.format(desk.say(loom)), (5, 11))
    x = neck + desk.snap(0.5 * blade)
    v.cut_letter("C", (x, -wide / 2 - 0.6), (x, wide / 2 + 0.6), (1, 0))
    v.size((neck, -0.8), (x, -wide / 2 - 0.6), "S")
    return [[v], [_oar_section(desk, 0.82 * wide), _oar_collar(desk, loom)]]


def _oar_section(desk: Desk, across: float) -> Board:
    v = desk.board("SECTION C-C - ENLARGED", 3.0)
    wide, edge, spine = desk.snap(across), desk.snap(0.25), desk.snap(1.0)
    half = [(0.0, edge / 2), (0.36 * wide, edge / 2 + 0.08), (wide / 2, spine / 2),
            (0.64 * wide, edge / 2 + 0.08), (wide, edge / 2)]  # fmt: skip
    ring = [*half, *((x, -y) for x, y in reversed(half))]
    v.shape(*ring)
    v.hatch(*ring)
    v.size((0, -edge / 2), (wide, -edge / 2), "S")
    v.size((wide, -edge / 2), (wide, edge / 2), "E")
    v.size((wide / 2, -spine / 2), (wide / 2, spine / 2), "W")
    return v


def _oar_collar(desk: Desk, loom: float) -> Board:
    v = desk.board("COLLAR - ENLARGED", 3.0)
    long, wide = desk.some(2.5, 3.5), desk.snap(loom + 0.75)
    y = (wide - loom) / 2
    for low, high in ((0.0, y), (wide - y, wide)):
        corners = [(0, low), (long, low), (long, high), (0, high)]
        v.shape(*corners)
        v.hatch(*corners)
    v.centre((-0.4, wide / 2), (long + 0.4, wide / 2))
    for x in (0.0, long):
        v.thin((x, y), (x, wide - y))
    v.size((0, wide), (long, wide), "N")
    v.size((long, 0), (long, wide), "E")
    v.size((0, y), (0, wide - y), "W")
    v.note((0.7 * long, 0.5 * y), "LEATHER, TACKED", (9, -8))
    return v


# a garden shed


def shed(desk: Desk) -> Rows:
    """Front and side of a shed's frame, its floor plan, a picture."""
    step = 2.0 if not desk.ways.metric else 0.5
    wide, deep, wall = desk.some(84, 108, step), desk.some(66, 84, step), desk.some(70, 78, step)
    rise = desk.some(18, 26, step)
    front, side, plan = (desk.board(t) for t in ("FRONT ELEVATION", "SIDE FRAMING", "FLOOR PLAN"))
    door, left = desk.some(30, 36, step), desk.some(12, 18, step)
    head, eave = desk.some(62, 66, step), desk.snap(8, step)
    front.line((0, wall), (0, 0), (wide, 0), (wide, wall))
    front.line((-eave, wall - eave * rise / (wide / 2)), (wide / 2, wall + rise),
               (wide + eave, wall - eave * rise / (wide / 2)))  # fmt: skip
    front.rect(left, 0, left + door, head)
    front.thin((left, 0), (left + door, head))
    sill = desk.some(34, 38, step)
    light, tall = desk.some(20, 24, step), desk.snap(22, step)
    x = left + door + desk.snap(10, step)
    front.rect(x, sill, x + light, sill + tall)
    front.thin((x + light / 2, sill), (x + light / 2, sill + tall))
    front.chain("S", 0, 0, left, left + door, x, x + light, wide)
    front.size((0, 0), (wide, 0), "S")
    front.slope((0, wall), (wide / 2, wall + rise), 7.0)
    front.chain("E", wide, 0, wall, wall + rise)
    front.upright(left + 0.72 * door, 0, head)
    front.upright(x + 0.25 * light, 0, sill)
    front.upright(x + 0.25 * light, sill, sill + tall)
    _shed_frame(side, deep, wall, step)
    _shed_floor(plan, wide, deep, (left, door))
    house = desk.picture("", [(0, 0, 0, 60, 45, 50), (8, 0, 0, 20, 34, 1), (-4, 45, -3, 68, 4, 56)],
                         0.7)  # fmt: skip
    return [[front, side], [plan, house]]


def _shed_frame(v: Board, deep: float, wall: float, step: float) -> None:
    """Studs between plates, on centres."""
    stud = v.stock(1.5, 38)
    v.rect(0, 0, deep, stud)
    v.rect(0, wall - stud, deep, wall)
    apart = v.snap(16, step)
    xs = [0.0]
    while xs[-1] + apart < deep - 4 * stud:
        xs.append(xs[-1] + apart)
    for x in [*xs, deep - stud]:
        v.line((x, stud), (x, wall - stud))
        v.line((x + stud, stud), (x + stud, wall - stud))
    v.chain("N", wall, *xs)
    v.size((0, 0), (deep, 0), "S")
    v.size((deep, 0), (deep, wall), "E")
    v.note((xs[1] + stud, 0.55 * wall), "2 X 4 STUDS" if not v.ways.metric else "38 X 89", (12, 5))


def _shed_floor(v: Board, wide: float, deep: float, door: tuple[float, float]) -> None:
    wall = v.stock(4.0, 100)
    left, gap = door
    v.rect(0, 0, wide, deep)
    v.rect(wall, wall, wide - wall, deep - wall)
    v.hatch((0, deep - wall), (wide, deep - wall), (wide, deep), (0, deep), pitch=1.6)
    for x in (left, left + gap):
        v.line((x, 0), (x, wall))
    v.arc((left, 0), gap, -90, 0, width=v.ways.fine)
    v.line((left, 0), (left, -gap), width=v.ways.thin)
    v.size((wide, 0), (wide, deep), "E")
    v.size((0, deep), (wide, deep), "N")
    v.level(deep * 0.6, wall, wide - wall)
    v.upright(wide * 0.68, wall, deep - wall)
    v.size((wide, deep - wall), (wide, deep), "E")


# a toy truck


def truck(desk: Desk) -> Rows:
    """Side, top and wheel of a toy, an exploded picture with balloons."""
    long, high = desk.some(9, 12), desk.some(3.5, 4.5)
    wheel, bed = desk.some(1.75, 2.25), desk.some(1.25, 1.75)
    side, top, disc = desk.board("SIDE"), desk.board("TOP"), desk.board("WHEEL - DOUBLE SIZE", 2.0)
    cab, t, r = desk.some(2.75, 3.5), desk.stock(0.75, 20), wheel / 2
    gap = desk.stock(0.25, 6)
    axle = [desk.snap(1.5), long - desk.snap(1.75)]
    base = r + desk.snap(0.25)
    side.shape((0, base), (long, base), (long, base + t), (cab, base + t), (cab, base + high),
               (0.25 * cab, base + high), (0, base + 0.5 * high))  # fmt: skip
    side.rect(cab + gap, base + t, long, base + t + bed)
    for x in axle:
        side.hole((x, r), wheel, arm=2.0)
        side.arc((x, r), 0.18 * wheel, width=desk.ways.thin)
    side.chain("S", 0, 0, *axle, long, centred=(1, 2))
    side.size((0, base), (long, base), "S")
    side.size((long, base + t), (long, base + t + bed), "E")
    side.size((long, base), (long, base + t), "E")
    side.size((0, base), (0, base + high), "W", centred=(False, False))
    side.size((0, base + 0.5 * high), (cab, base + high), "N")
    wide = desk.some(3, 4)
    top.rect(0, 0, long, wide)
    top.rect(cab + gap, 0, long, wide)
    top.thin((cab, 0), (cab, wide))
    top.rect(cab + gap + t / 2, t / 2, long - t / 2, wide - t / 2)
    top.size((long, 0), (long, wide), "E")
    top.size((cab + gap, wide), (long, wide), "N")
    top.size((0, wide), (cab, wide), "N")
    top.upright(cab + gap + 2 * t, t / 2, wide - t / 2)
    _truck_wheel(disc, wheel)
    blocks: list[Block] = [
        (0.0, 0.0, 0.0, 10.0, 1.0, 4.0), (0.0, 2.2, 0.0, 3.0, 3.0, 4.0),
        (4.0, 2.6, 0.0, 6.0, 1.6, 4.0), (1.0, -2.2, 0.0, 1.4, 1.4, 0.6),
        (7.0, -2.2, 0.0, 1.4, 1.4, 0.6),
    ]  # fmt: skip
    blown = desk.picture("ASSEMBLY", blocks, 0.6)
    for k, tip in enumerate(((9, 0.5), (1.5, 3.6), (8, 3.4), (1.6, -1.5)), start=1):
        blown.balloon(tip, str(k), (9 if k % 2 else -12, -6 if k in (1, 4) else 9))
    return [[side, disc], [top, blown]]


def _truck_wheel(v: Board, across: float) -> None:
    """A wheel's face with its section beside it."""
    r, axle, thick = across / 2, v.stock(0.375, 10), v.stock(0.75, 20)
    v.hole((r, r), across, arm=2.5)
    v.arc((r, r), axle / 2)
    v.diameter((r, r), across, 125, 9)
    v.note((r + 0.35 * axle, r - 0.35 * axle), v.ways.drill.format(v.say(axle)), (7, -17))
    x = across + 0.7 * across
    for low, high in ((0.0, r - axle / 2), (r + axle / 2, across)):
        corners = [(x, low), (x + thick, low), (x + thick, high), (x, high)]
        v.shape(*corners)
        v.hatch(*corners, pitch=1.5)
    v.line((x, r - axle / 2), (x, r + axle / 2), width=v.ways.thin)
    v.centre((x - 0.2, r), (x + thick + 0.2, r))
    v.size((x, 0), (x + thick, 0), "S")
    v.size((x + thick, 0), (x + thick, across), "E")


# a kitchen cabinet


def cabinet(desk: Desk) -> Rows:
    """A base cabinet: chains and overalls both ways, a section through it."""
    step = 0.5
    high, deep, toe = desk.snap(34.5, step), desk.some(22, 24, step), desk.snap(4, step)
    parts = [desk.some(14, 20, step) for _ in range(3)]
    front, cut = desk.board("ELEVATION"), desk.board("SECTION B-B")
    xs = [0.0, parts[0], parts[0] + parts[1], sum(parts)]
    wide, drawer, rail = xs[-1], desk.some(5, 7, step), desk.stock(1.5, 38)
    front.rect(0, toe, wide, high)
    front.rect(desk.snap(2, step), 0, wide - desk.snap(2, step), toe)
    for x in xs[1:3]:
        front.line((x, toe), (x, high))
    for a, b in pairwise(xs):
        m = 0.75
        front.rect(a + m, high - rail - drawer, b - m, high - rail)
        front.rect(a + m, toe + rail, b - m, high - 2 * rail - drawer)
        front.arc(((a + b) / 2, high - rail - drawer / 2), 0.6, width=desk.ways.thin)
        front.arc((b - 2.2, high - 2 * rail - drawer - 3), 0.6, width=desk.ways.thin)
    front.chain("N", high, *xs)
    front.size((0, high), (wide, high), "N")
    ups = [0.0, toe, toe + rail, high - 2 * rail - drawer, high - rail - drawer, high - rail, high]
    front.chain("W", 0, *ups)
    front.size((0, 0), (0, high), "W")
    front.size((0, 0), (desk.snap(2, step), 0), "S")
    front.cut_letter("B", (xs[1] / 2, -2.5), (xs[1] / 2, high + 2), (1, 0))
    _cabinet_cut(cut, high, deep, (toe, rail, drawer))
    picture = desk.picture("", [(0, 4, 0, 52, 31, 24), (-1, 35, -1, 54, 1.5, 26)], 0.55)
    return [[front, cut], [picture, desk.table("CUTTING LIST", [
        ["PART", "QTY", "SIZE"], ["SIDE", "2", f"{desk.say(deep)} X {desk.say(high)}"],
        ["SHELF", "3", f"{desk.say(deep - 1)} X {desk.say(parts[0])}"]])]]  # fmt: skip


def _cabinet_cut(v: Board, high: float, deep: float, of: tuple[float, float, float]) -> None:
    toe, rail, drawer = of
    t, over = v.stock(0.75, 18), v.snap(1.0, 0.5)
    v.rect(0, toe, deep, high)
    v.hatch((0, toe), (deep, toe), (deep, toe + t), (0, toe + t))
    v.line((0, toe + t), (deep, toe + t))
    back = v.snap(3.0, 0.5)
    v.line((back, 0), (back, toe))
    v.line((deep, 0), (deep, toe))
    top = v.stock(1.5, 40)
    v.rect(-over, high, deep, high + top)
    v.hatch((-over, high), (deep, high), (deep, high + top), (-over, high + top), lean=-45)
    shelf = v.snap(0.45 * high, 0.5)
    v.rect(over, shelf, deep - over, shelf + t)
    v.hatch((over, shelf), (deep - over, shelf), (deep - over, shelf + t), (over, shelf + t))
    v.thin(
        (0, high - rail - drawer),
        (deep - 2 * over, high - rail - drawer),
        (deep - 2 * over, high - rail),
    )
    v.size((0, 0), (back, 0), "S")
    v.size((back, 0), (deep, 0), "S")
    v.size((-over, high + top), (deep, high + top), "N")
    v.chain("E", deep, 0, toe, shelf, high, high + top)
    v.upright(0.35 * deep, toe + t, shelf)
