"""What the later working drawings show, to keep back: wood."""

from __future__ import annotations

from tests.bench.plates_work2_board import Board
from tests.bench.plates_work2_desk import Block, Desk, Rows

# a drawer with its joint


def drawer(desk: Desk) -> Rows:
    """A drawer from above and before, its joint at a larger scale."""
    wide, deep, high = desk.some(13, 18), desk.some(10, 14), desk.some(4, 5.5)
    front, t, lip = desk.stock(0.75, 20), desk.stock(0.5, 12), desk.snap(0.5)
    top, joint = desk.board("TOP VIEW"), desk.board("DETAIL A - DOUBLE SCALE", 2.0)
    top.rect(-lip, 0, wide + lip, front)
    top.rect(0, front, t, deep)
    top.rect(wide - t, front, wide, deep)
    back = deep - desk.snap(0.75)
    top.rect(t, back - t, wide - t, back)
    top.hidden((t / 2, front), (t / 2, back), (wide - t / 2, back), (wide - t / 2, front))
    top.size((-lip, 0), (wide + lip, 0), "S")
    top.size((t, back - t), (wide - t, back - t), at=0.5 * deep)
    top.size((0, deep), (wide, deep), "N")
    top.chain("E", wide, 0, front, back, deep)
    top.arc((0.2, front + 0.15), 0.9, width=desk.ways.fine)
    top.label("A", (-1.4, front + 0.9), 1.3)
    top.size((-lip, 0), (-lip, front), "W")
    _drawer_joint(joint, front, t, lip)
    return [
        [top, joint],
        [
            _drawer_face(desk, wide, high, lip),
            desk.table(
                "LIST",
                [
                    ["1", "FRONT", "MAPLE"],
                    ["2", "SIDES", "POPLAR"],
                    ["1", "BACK", "POPLAR"],
                    ["1", "BOTTOM", "PLY"],
                ],
            ),
        ],
    ]


def _drawer_face(desk: Desk, wide: float, high: float, lip: float) -> Board:
    """Its front, the box hidden behind."""
    face = desk.board("FRONT")
    face.rect(-lip, 0, wide + lip, high)
    face.hidden_rect(0, lip, wide, high - lip)
    knob = desk.snap(high / 2)
    face.hole((wide / 2, knob), desk.snap(1.0), arm=2.5)
    face.size((wide + lip, 0), (wide + lip, high), "E")
    face.size((wide + lip, 0), (wide / 2, knob), "E", centred=(False, True))
    face.size((-lip, 0), (wide / 2, high), "N", centred=(False, True))
    face.size((0, lip), (0, high - lip), "W")
    return face


def _drawer_joint(v: Board, front: float, t: float, lip: float) -> None:
    """Where side and front meet, cut."""
    reach, deep = v.snap(2.0), v.snap(0.375, 0.125)
    v.shape((-lip, 0), (reach, 0), (reach, front), (t, front), (t, front - deep), (0, front - deep),
            (0, front), (-lip, front))  # fmt: skip
    v.hatch((-lip, 0), (reach, 0), (reach, front - deep), (-lip, front - deep))
    v.shape((0, front - deep), (t, front - deep), (t, front + 0.9), (0, front + 0.9))
    v.hatch((0, front - deep), (t, front - deep), (t, front + 0.9), (0, front + 0.9), lean=-45)
    v.size((-lip, front), (0, front), "N")
    v.size((0, front + 0.9), (t, front + 0.9), "N")
    v.size((reach, 0), (reach, front), "E")
    v.size((-lip, front - deep), (-lip, front), "W")
    v.note((0.5 * t, front + 0.4), "GLUE AND BRAD", (16, 4))


# a toy locomotive


def locomotive(desk: Desk) -> Rows:
    """Side and front of a toy, its wheels, a picture of its blocks."""
    long, base = desk.some(8, 10), desk.stock(0.75, 20)
    cab, tall, boiler = desk.some(2.25, 3), desk.some(3.5, 4.5), desk.some(1.75, 2.25)
    big, small = desk.some(2, 2.5), desk.snap(1.25)
    side = desk.board("SIDE VIEW")
    y = desk.snap(big / 2) + 0.25
    side.rect(0, y, long, y + base)
    side.rect(0, y + base, cab, y + base + tall)
    roof, eave = desk.stock(0.5, 12), desk.snap(0.5)
    side.rect(-eave, y + base + tall, cab + eave, y + base + tall + roof)
    side.rect(cab, y + base, long - 0.5, y + base + boiler)
    chimney, stack = desk.snap(1.0), y + base + boiler + desk.snap(1.25)
    x = long - desk.snap(2.0)
    side.rect(x - chimney / 2, y + base + boiler, x + chimney / 2, stack)
    side.rect(0.25 * cab, y + base + 0.5 * tall, 0.75 * cab, y + base + 0.85 * tall)
    axles = [desk.snap(cab / 2), desk.snap(cab / 2) + desk.some(2.75, 3.25), long - desk.snap(1.0)]
    for at, wheel in zip(axles, (big, big, small), strict=True):
        side.hole((at, wheel / 2), wheel, arm=1.5)
    side.chain("S", 0, 0, *axles, long, centred=(1, 2, 3))
    side.size((0, y), (long, y), "S")
    side.chain("W", 0, y, y + base, y + base + tall)
    side.size((-eave, y + base + tall + roof), (cab + eave, y + base + tall + roof), "N")
    side.size((x - chimney / 2, stack), (x + chimney / 2, stack), "N")
    side.chain("E", long - 0.5, y + base, y + base + boiler, stack)
    side.radius((axles[0], big / 2), big / 2, 250, 12)
    side.radius((axles[2], small / 2), small / 2, -35, 12)
    blocks: list[Block] = [
        (0.0, 0.0, 0.0, 10.0, 1.0, 3.0), (3.0, 1.6, 0.3, 6.4, 2.0, 2.4),
        (0.0, 1.6, 0.0, 2.6, 4.4, 3.0), (-0.5, 6.6, -0.3, 3.6, 0.6, 3.6),
        (7.4, 4.2, 1.0, 1.0, 1.4, 1.0),
    ]  # fmt: skip
    blown = desk.picture("HOW IT GOES TOGETHER", blocks, 0.6)
    for k, tip in enumerate(((9, 0.5), (6, 2.6), (1.2, 4), (1.2, 6.9)), start=1):
        blown.balloon(tip, "ABCD"[k - 1], (11, 7) if k < 3 else (-11, 7))
    return [
        [side, _locomotive_front(desk, y + base, (base, boiler, roof, big))],
        [blown, desk.text("A  BASE   B  BOILER", "C  CAB   D  ROOF", "PAINT IN TWO COLORS")],
    ]


def _locomotive_front(desk: Desk, top: float, of: tuple[float, float, float, float]) -> Board:
    """Its boiler's end between wheels."""
    front, (base, boiler, roof, big) = desk.board("FRONT VIEW"), of
    wide, deep = desk.some(2.5, 3), desk.some(3, 3.5)
    front.rect((deep - wide) / 2, top - base, (deep + wide) / 2, top)
    front.arc((deep / 2, top + boiler / 2), boiler / 2)
    front.cross((deep / 2, top + boiler / 2), boiler / 2 + 0.3)
    front.rect(0, top + boiler + 0.2, deep, top + boiler + 0.2 + roof)
    for a in ((deep - wide) / 2 - 0.5, (deep + wide) / 2):
        front.rect(a, 0, a + 0.5, big)
    front.size(((deep - wide) / 2, top - base), ((deep + wide) / 2, top - base), "S")
    front.size((0, top + boiler + 0.2 + roof), (deep, top + boiler + 0.2 + roof), "N")
    front.diameter((deep / 2, top + boiler / 2), boiler, 20, 14)
    return front


# a cold frame


def cold_frame(desk: Desk) -> Rows:
    """A frame for a garden: sloping sides, sash, a plan; feet where lengths are long."""
    step = 0.5
    long, deep = desk.some(60, 76, step), desk.some(32, 40, step)
    back, low = desk.some(16, 20, step), desk.some(9, 12, step)
    t, side, front = (
        desk.stock(1.5, 40),
        desk.board("END"),
        desk.board("FRONT"),
    )
    side.shape((0, 0), (deep, 0), (deep, back), (0, low))
    split = desk.snap(low - 2, step)
    side.thin((0, split), (deep, split))
    for x in (desk.snap(2, step), deep - desk.snap(2, step) - t):
        side.hidden((x, 0), (x, low + (back - low) * x / deep))
        side.hidden((x + t, 0), (x + t, low + (back - low) * (x + t) / deep))
    side.size((0, 0), (deep, 0), "S")
    side.size((0, 0), (0, low), "W")
    side.size((deep, 0), (deep, back), "E")
    side.upright(0.6 * deep, 0, split)
    side.slope((0, low), (deep, back), 8.0)
    front.rect(0, 0, long, low)
    front.rect(-1, low, long + 1, low + t)
    front.thin((0, split), (long, split))
    mid = desk.snap(long / 2, step)
    front.line((mid, low), (mid, low + t))
    front.size((0, 0), (long, 0), "S")
    front.chain("N", low + t, -1, mid, long + 1)
    front.size((long, 0), (long, split), "E")
    front.size((long + 1, low), (long + 1, low + t), "E")
    pic = desk.picture(
        "", [(0, 0, 0, 36, 12, 24), (-1, 12, -1, 18, 1, 26), (17.5, 12, -1, 19.5, 1, 26)], 0.6
    )
    return [[front, side], [_sash(desk, mid, deep), pic]]


def _sash(desk: Desk, mid: float, deep: float) -> Board:
    """Its bars on centres."""
    plan, step = desk.board("PLAN OF SASH"), 0.5
    stile, wide, high = desk.some(2, 3, step), desk.snap(mid, step), desk.snap(deep, step)
    plan.rect(0, 0, wide, high)
    plan.rect(stile, stile, wide - stile, high - 1.5 * stile)
    bar = desk.stock(1.0, 25)
    xs = [desk.snap(stile + (wide - 2 * stile) * k / 3, step) for k in (1, 2)]
    for x in xs:
        plan.rect(x - bar / 2, stile, x + bar / 2, high - 1.5 * stile)
    plan.chain("S", 0, 0, stile, xs[0], xs[1], wide - stile, wide, centred=(2, 3))
    plan.size((0, high), (wide, high), "N")
    plan.chain("W", 0, 0, stile, high - 1.5 * stile, high)
    plan.note((xs[0], 0.6 * high), "BARS " + desk.say(bar), (-8, 8))
    return plan


# a wall shelf


def wall_shelf(desk: Desk) -> Rows:
    """A shelf with shaped ends: a squared pattern, chains up its side, holes to hang it by."""
    high, deep, wide = desk.some(20, 26), desk.some(6, 7.5), desk.some(16, 22)
    t = desk.stock(0.5, 12)
    end = desk.board("END PATTERN")
    ups = [desk.some(4, 5), desk.some(11, 13), desk.some(16.5, 18)]
    end.curve(
        (deep, ups[0]), (0.92 * deep, 0.55 * ups[0]), (0.55 * deep, 0.3 * ups[0]), (0.4 * deep, 0)
    )
    end.curve((deep, ups[0] + t), (0.72 * deep, 0.5 * (ups[0] + ups[1])), (0.8 * deep, ups[1]),
              (0.72 * deep, ups[2]), (0.5 * deep, high))  # fmt: skip
    end.line((0.4 * deep, 0), (0, 0), (0, high), (0.5 * deep, high))
    end.line((deep, ups[0]), (deep, ups[0] + t))
    for y in ups:
        end.hidden((0, y), (0.66 * deep, y))
        end.hidden((0, y + t), (0.66 * deep, y + t))
    for k in range(1, int((high - 0.1) / 2) + 1):
        end.line((0, 2.0 * k), (0.36 * deep, 2.0 * k), width=0.1)
    end.size((0, 0), (deep, ups[0]), "S")
    end.size((0, high), (0.5 * deep, high), "N")
    end.chain("W", 0, 0, ups[0], ups[1], ups[2], high)
    end.size((0, 0), (0, high), "W")
    return [
        [end, _shelf_front(desk, wide, high, ups)],
        [
            desk.text(
                "LINES ON PATTERN ARE " + desk.say(2.0) + " APART",
                "MAKE TWO ENDS, ONE LEFT, ONE RIGHT",
            )
        ],
    ]


def _shelf_front(desk: Desk, wide: float, high: float, ups: list[float]) -> Board:
    """Its shelves between the ends."""
    front, t = desk.board("FRONT"), desk.stock(0.5, 12)
    front.rect(0, 0, t, high)
    front.rect(wide - t, 0, wide, high)
    for y in ups:
        front.rect(t, y, wide - t, y + t)
    front.thin((t, high - 1.5), (wide - t, high - 1.5))
    x = desk.snap(3.0)
    for a in (x, wide - x):
        front.hole((a, high - 0.7), desk.stock(0.25, 6), arm=1.2)
    front.thin((t, high), (wide - t, high))
    front.size((0, 0), (wide, 0), "S")
    front.chain("N", high, 0, x, wide - x, wide, centred=(1, 2))
    front.level(0.5 * (ups[0] + ups[1]), t, wide - t)
    front.upright(0.3 * wide, ups[1] + t, ups[2])
    front.size((wide, ups[0]), (wide, ups[0] + t), "E")
    front.size((wide, ups[1] + t), (wide, high), "E")
    front.note((0.7 * wide, ups[1] + t / 2), "SHELVES HOUSED " + desk.say(0.25), (8, -9))
    return front


# a garden gate


def gate(desk: Desk) -> Rows:
    """A gate of pales with a brace, its post in the ground, its joint enlarged."""
    step = 0.5
    wide, high = desk.some(36, 44, step), desk.some(38, 46, step)
    stile, pale = desk.stock(3.5, 90), desk.stock(2.5, 65)
    low, rail = desk.some(6, 8, step), desk.stock(3.5, 90)
    v = desk.board("GATE FROM OUTSIDE")
    upper = high - desk.some(9, 11, step)
    for x in (0.0, wide - stile):
        v.shape((x, 0), (x + stile, 0), (x + stile, high), (x, high))
    for y in (low, upper):
        v.rect(stile, y, wide - stile, y + rail)
    gap = (wide - 2 * stile - 4 * pale) / 5
    for k in range(4):
        x = stile + gap + k * (gap + pale)
        v.line((x, upper + rail), (x, high - 2), (x + pale / 2, high), (x + pale, high - 2),
               (x + pale, upper + rail))  # fmt: skip
        v.line((x, low + rail), (x, upper))
        v.line((x + pale, low + rail), (x + pale, upper))
    v.hidden((stile, low + rail), (wide - stile, upper))
    v.hidden((stile + 3, low + rail), (wide - stile, upper - 3))
    v.size((0, 0), (wide, 0), "S")
    v.size((0, 0), (stile, 0), "S")
    v.size((stile, 0), (wide - stile, 0), "S")
    v.chain("W", 0, 0, low, low + rail, upper, upper + rail, high)
    v.size((wide, 0), (wide, high), "E")
    v.size((stile + gap, high - 2), (stile + gap + pale, high - 2), "N")
    return [[v, _gate_post(desk)], [_gate_joint(desk, stile, rail), desk.picture("", [
        (0, 0, 0, 4, 40, 4), (6, 4, 1, 36, 4, 2), (6, 26, 1, 36, 4, 2), (8, 2, 0.5, 5, 34, 1),
        (18, 2, 0.5, 5, 34, 1), (28, 2, 0.5, 5, 34, 1), (44, 0, 0, 4, 40, 4)], 0.5)]]  # fmt: skip


def _gate_post(desk: Desk) -> Board:
    """In the ground, with a hole for its hinge."""
    post, step = desk.board("POST"), 0.5
    ground, deep, square = desk.some(48, 54, step), desk.some(20, 26, step), desk.stock(5.0, 125)
    post.shape((0, -deep), (square, -deep), (square, ground), (square / 2, ground + 2), (0, ground))
    post.line((-9, 0), (0, 0), width=desk.ways.thin)
    post.line((square, 0), (square + 9, 0), width=desk.ways.thin)
    post.hatch((-9, -2), (0, -2), (0, 0), (-9, 0), pitch=1.5)
    post.hatch((square, -2), (square + 9, -2), (square + 9, 0), (square, 0), pitch=1.5)
    hinge = desk.some(8, 10, step)
    post.hole((square / 2, hinge), desk.stock(0.75, 18), arm=1.2)
    post.size((0, ground), (square, ground), "N")
    post.chain("E", square, -deep, 0, ground)
    post.size((square / 2, hinge), (0, 0), "W", centred=(True, False))
    post.note((square / 2, -0.6 * deep), "TARRED", (14, -5))
    return post


def _gate_joint(desk: Desk, stile: float, rail: float) -> Board:
    v = desk.board("TENON - ENLARGED", 3.0)
    t, thick = desk.stock(0.5, 12), desk.stock(1.5, 38)
    long, y = desk.snap(0.6 * stile, 0.5), (thick - t) / 2
    v.line((2 * rail, thick), (0, thick), (0, y + t), (-long, y + t), (-long, y), (0, y), (0, 0),
           (2 * rail, 0))  # fmt: skip
    v.break_line(2 * rail, 0, thick)
    v.thin((0, y), (0, y + t))
    v.size((-long, y), (0, 0), "S")
    v.upright(1.1 * rail, 0, thick)
    v.size((-long, y), (-long, y + t), "W")
    v.note((-0.4 * long, y + t), "DRAW BORE AND PIN", (9, 8))
    return v
