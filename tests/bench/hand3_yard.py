"""Parts for the yard, the workshop and the boat, as the other half of a company draws them."""

from __future__ import annotations

from fractions import Fraction

from tests.bench.hand3_home import Bench, Views

Z = Fraction(0)


def cold_frame(b: Bench) -> Views:
    """Draw a frame for seedlings: front, sloping end."""
    long, deep, low, high, t, post = b.v(42), b.v(24), b.v(9), b.v(15), b.v(1), b.v(2)
    board = b.v(5)
    f = b.view("FRONT")
    f.box(Z, Z, long, low)
    f.line((Z, board), (long, board))
    for x in (Z, (long - post) / 2, long - post):
        f.box(x, Z, post, low)
    f.shape([(Z, low), (Z, high), (long, high), (long, low)], closed=False)
    f.run("x", [Z, post, (long - post) / 2, (long + post) / 2, long - post, long], "below")
    f.run("y", [Z, board, low, high], "left")
    f.within("x", post, (long - post) / 2, board / 2)
    e = b.view("END")
    e.shape([(Z, Z), (deep, Z), (deep, high), (Z, low)])
    e.box(Z, Z, post, board)
    e.box(deep - post, Z, post, board)
    e.line((Z, board), (deep, board))
    e.grain(post, board, deep - 2 * post, low - board)
    e.line((-2 * t, low + t), (deep + 2 * t, high + t))
    e.run("x", [Z, post, deep - post, deep], "below")
    e.size("y", Z, low, "left")
    e.size("y", Z, board, "right", 0, feet=deep)
    e.size("y", Z, high, "right", 1, feet=deep)
    return [(f, ""), (e, "right")]


def tool_tote(b: Bench) -> Views:
    """Draw a carrying box: gabled end, long side."""
    wide, low, high, top, long, t, rod = (
        b.v(9),
        b.v(5),
        b.v(12),
        b.v(3),
        b.v(20),
        b.v(0.75),
        b.v(1.125),
    )
    down = b.v(1.75)
    e = b.view("END")
    e.shape(
        [
            (Z, Z),
            (wide, Z),
            (wide, low),
            ((wide + top) / 2, high),
            ((wide - top) / 2, high),
            (Z, low),
        ]
    )
    e.round((wide / 2, high - down), rod)
    e.call("diameter", (wide / 2, high - down), rod, 35)
    e.box(-t, Z, t, low)
    e.box(wide, Z, t, low)
    e.line((Z, t), (wide, t), "hidden")
    e.size("x", Z, wide, "below", across=low / 2)
    e.size("x", -t, wide + t, "below", 1)
    e.size("x", (wide - top) / 2, (wide + top) / 2, "above", feet=high)
    e.run("y", [Z, low, high], "left", feet=-t)
    e.size("y", high - down, high, "right", feet=wide / 2)
    s = b.view("SIDE")
    s.box(Z, Z, long, low)
    s.grain(t, Z, long - 2 * t, low, 5)
    s.line((t, Z), (t, low), "hidden")
    s.line((long - t, Z), (long - t, low), "hidden")
    s.shape([(Z, low), (Z, high), (t, high), (t, low)], closed=False)
    s.shape([(long - t, low), (long - t, high), (long, high), (long, low)], closed=False)
    s.box(t, high - down - rod / 2, long - 2 * t, rod)
    s.size("x", Z, long, "below", 1, across=low / 3)
    s.run("x", [Z, t, long - t, long], "below", 0, whole=False) if b.habit.chain else None
    s.within("x", t, long - t, high - 2 * down)
    s.size("y", Z, low, "left")
    s.size("y", high - down - rod / 2, high - down + rod / 2, "right", 0, feet=long)
    s.size("y", Z, high, "right", 1, feet=long)
    return [(e, ""), (s, "right")]


def doll_cradle(b: Bench) -> Views:
    """Draw a cradle on rockers: end and side."""
    base, top, low, head, t, rock = b.v(8), b.v(11), b.v(7), b.v(4), b.v(0.5), b.v(15)
    long, thick, up = b.v(18), b.v(2), b.v(2.5)
    out = (top - base) / 2
    e = b.view("END")
    e.shape([(Z, up), (base, up), (base + out, up + low), (-out, up + low)])
    e.bow((-out, up + low), (base + out, up + low), head / 2)
    edge = (rock - base) / 2
    e.bow((-edge, up), (base + edge, up), -thick)
    e.shape([(-edge, up), (-edge, up - t), (base + edge, up - t), (base + edge, up)], closed=True)
    e.size("x", -edge, base + edge, "below", 1, feet=up - t)
    e.size("x", Z, base, "below", 0, feet=up)
    e.size("x", -out, base + out, "above", feet=up + low)
    e.size("y", up, up + low, "left", 0, feet=-out)
    s = b.view("SIDE")
    s.box(Z, up, long, low)
    s.grain(Z, up, long, low, 4)
    s.box(-t, up, t, low + head / 2)
    s.box(long, up, t, low)
    for x in (thick, long - 2 * thick):
        s.box(x, up - thick, thick, thick)
    s.size("x", -t, long + t, "above", feet=up + low)
    s.run(
        "x", [Z, thick, 2 * thick, long - 2 * thick, long - thick, long], "below", feet=up - thick
    )
    s.run("y", [up - thick, up, up + low], "right", feet=long + t)
    s.size("y", up, up + low + head / 2, "left", 0, feet=-t)
    return [(e, ""), (s, "right")]


def mooring_cleat(b: Bench) -> Views:
    """Draw a cleat: side and plan, bolts called."""
    long, high, base, neck, thick, wide = b.v(10), b.v(2.5), b.v(4.5), b.v(1.25), b.v(1), b.v(1.75)
    bolt, pitch = b.v(0.375), b.v(2.75)
    a, c = (long - base) / 2, (long + base) / 2
    s = b.view("SIDE")
    s.shape(
        [
            (a, Z),
            (c, Z),
            (c, neck),
            (long, high - thick / 2),
            (long, high),
            (Z, high),
            (Z, high - thick / 2),
            (a, neck),
        ]
    )
    for k in (-1, 1):
        x = long / 2 + k * pitch / 2
        s.line((x - bolt / 2, Z), (x - bolt / 2, high), "hidden")
        s.line((x + bolt / 2, Z), (x + bolt / 2, high), "hidden")
    s.grain(a, neck, base, high - neck)
    s.size("x", Z, long, "above", feet=high)
    s.run("x", [Z, a, c, long], "below", whole=False)
    s.run("y", [Z, neck, high], "left", feet=a)
    s.size("y", high - thick / 2, high, "right", feet=long)
    p = b.view("PLAN")
    p.shape(
        [
            (Z, wide / 4),
            (a, Z),
            (c, Z),
            (long, wide / 4),
            (long, 3 * wide / 4),
            (c, wide),
            (a, wide),
            (Z, 3 * wide / 4),
        ]
    )
    p.line((-bolt, wide / 2), (long + bolt, wide / 2), "centre")
    for k in (-1, 1):
        p.round((long / 2 + k * pitch / 2, wide / 2), bolt)
    p.call("diameter", (long / 2 + pitch / 2, wide / 2), bolt, 40)
    p.size("x", (long - pitch) / 2, (long + pitch) / 2, "below", 0, feet=wide / 2)
    p.size("x", a, c, "below", 1)
    p.size("y", Z, wide, "left", 1, feet=a)
    p.size("y", wide / 4, 3 * wide / 4, "left", 0)
    return [(s, ""), (p, "below")]


def bench_hook(b: Bench) -> Views:
    """Draw a sawing board with its stops and kerfs: plan and edge."""
    long, wide, t, stop, back, cut = b.v(11), b.v(7), b.v(0.75), b.v(1.5), b.v(1.25), b.v(2)
    peg, edge = b.v(0.375), b.v(1.125)
    short = wide - edge
    p = b.view("PLAN")
    p.box(Z, Z, long, wide)
    p.box(Z, edge, stop, short)
    p.line((long - stop, Z), (long - stop, wide), "hidden")
    for y in (edge + cut, edge + 2 * cut):
        p.line((Z, y), (stop, y))
        p.round((stop / 2, y - cut / 2), peg, crossed=False)
    p.call("diameter", (stop / 2, edge + cut / 2), peg, 15)
    p.grain(stop, edge, long - 2 * stop, short, 4)
    p.size("x", Z, long, "below", 1, across=edge / 2)
    p.size("x", Z, stop, "above", feet=wide)
    p.size("x", long - stop, long, "above", feet=wide)
    p.run("y", [Z, edge, edge + cut, edge + 2 * cut, wide], "left")
    p.within("x", stop, long - stop, wide - edge / 2)
    p.size("y", Z, wide, "right", 0, feet=long) if not b.habit.chain else None
    e = b.view("EDGE")
    e.box(Z, Z, long, t)
    e.box(Z, t, stop, back)
    e.box(long - stop, -back, stop, back)
    e.hatch(Z, Z, long, t)
    e.run("y", [Z, t, t + back], "left")
    e.size("y", -back, Z, "right", 0, feet=long)
    e.size("y", -back, t, "right", 1, feet=long)
    e.size("x", Z, long - stop, "below", 0, feet=Z)
    return [(p, ""), (e, "below")]


def marble_wheel(b: Bench) -> Views:
    """Draw the wheel of a marble lift with its post: face and side."""
    size, hub, axle, rim, base, t = b.v(7), b.v(2.25), b.v(0.5), b.v(5.5), b.v(8), b.v(0.75)
    up, post, wide = b.v(6.5), b.v(2), b.v(3.5)
    f = b.view("FACE")
    f.box(Z, Z, base, t)
    mid = base / 2
    f.round((mid, up), size)
    f.round((mid, up), hub, crossed=False)
    f.round((mid, up), axle, crossed=False)
    f.call("diameter", (mid, up), size, 45)
    f.call("diameter", (mid, up), axle, 200)
    f.box(mid - post / 2, t, post, up - t - size / 2)
    f.size("x", Z, base, "below", 1)
    f.run(
        "x", [Z, mid - post / 2, mid + post / 2, base], "below", 0, whole=False
    ) if b.habit.chain else None
    f.size("x", mid - size / 2, mid + size / 2, "above", feet=up)
    f.run("y", [Z, t, up], "left", feet=Z)
    f.size("y", Z, up + size / 2, "right", 0, feet=base)
    s = b.view("SIDE")
    s.box(Z, Z, wide, t)
    s.box(wide - t, t, t, up)
    s.box(t / 2, up - size / 2, t, size)
    s.box(-t / 2, up - axle / 2, wide, axle)
    s.box(t, up - rim / 2, t / 4, rim, "hidden")
    s.hatch(wide - t, t, t, up - axle)
    s.size("x", Z, wide, "below", 1)
    s.size("x", wide - t, wide, "below", 0)
    s.size("x", t / 2, t / 2 + t, "above", feet=up + size / 2)
    s.size("y", t, up + t, "right", 0, feet=wide)
    s.size("y", up - size / 2, up + size / 2, "left", 0, feet=t / 2)
    return [(f, ""), (s, "right")]


def night_table(b: Bench) -> Views:
    """Draw a table with a drawer: front, side, a knob at twice the scale."""
    wide, deep, high, top, leg, apron = b.v(18), b.v(14), b.v(25), b.v(0.875), b.v(1.5), b.v(5)
    over, shelf, drawer = b.v(1), b.v(6), b.v(3.5)
    knob, neck, reach = b.v(1.25), b.v(0.625), b.v(1)
    under = high - top
    f = b.view("FRONT")
    f.box(Z, under, wide, top)
    f.box(over, Z, leg, under)
    f.box(wide - over - leg, Z, leg, under)
    f.box(over + leg, under - apron, wide - 2 * (over + leg), apron)
    gap = (apron - drawer) / 2
    f.box(over + 2 * leg, under - apron + gap, wide - 2 * over - 4 * leg, drawer)
    f.round((wide / 2, under - apron / 2), knob, crossed=False)
    f.box(over + leg, shelf, wide - 2 * (over + leg), top)
    f.size("x", Z, wide, "above", feet=high)
    f.run("x", [over, over + leg, wide - over - leg, wide - over], "below", whole=False)
    f.run("y", [Z, shelf, shelf + top, under, high], "left", feet=over)
    f.size("y", under - apron, under, "right", 0, feet=wide - over)
    f.within("x", over + leg, wide - over - leg, (shelf + under - apron) / 2)
    s = b.view("SIDE")
    s.box(Z, under, deep, top)
    s.box(over, Z, leg, under)
    s.box(deep - over - leg, Z, leg, under)
    s.box(over + leg, under - apron, deep - 2 * (over + leg), apron)
    s.grain(over + leg, under - apron, deep - 2 * (over + leg), apron, 4)
    s.size("x", Z, deep, "above", feet=high)
    s.run("x", [over, over + leg, deep - over - leg, deep - over], "below", whole=False)
    s.size("y", Z, high, "right", 0, feet=deep)
    k = b.view("KNOB", 4.0)
    low, up, mid = (knob - neck) / 2, (knob + neck) / 2, reach / 2
    k.shape([(Z, low), (mid, low), (mid, Z), (reach, Z), (reach, knob), (mid, knob), (mid, up),
             (Z, up)])  # fmt: skip
    k.run("x", [Z, reach / 2, reach], "below")
    k.size("y", Z, knob, "right", 0, feet=reach)
    k.size("y", (knob - neck) / 2, (knob + neck) / 2, "left", 0)
    return [(f, ""), (s, "right"), (k, "next")]


def letter_rack(b: Bench) -> Views:
    """Draw a rack in steps: side with its slots, front with a rounded back."""
    deep, high, mid, low, t, slot = b.v(5), b.v(9), b.v(6), b.v(3.5), b.v(0.5), b.v(1.25)
    wide, r, base = b.v(10), b.v(2), b.v(0.625)
    s = b.view("SIDE")
    stops = [Z, t, t + slot, 2 * t + slot, 2 * (t + slot), 3 * t + 2 * slot]
    s.box(-t, -base, stops[-1] + 2 * t, base)
    for x, h in ((stops[0], low), (stops[2], mid), (stops[4], high)):
        s.box(x, Z, t, h)
        s.hatch(x, Z, t, h, 1.6)
    s.run("x", stops, "below", feet=-base)
    s.size("y", Z, low, "left")
    s.size("y", Z, mid, "left", 1, feet=t + slot)
    s.size("y", Z, high, "right", 0, feet=stops[-1])
    s.size("y", -base, Z, "right", 1, feet=stops[-1] + t)
    f = b.view("FRONT")
    f.box(Z, -base, wide, base)
    f.box(Z, Z, wide, low)
    f.line((Z, low), (Z, high - r))
    f.line((wide, low), (wide, high - r))
    f.line((r, high), (wide - r, high))
    f.arc((r, high - r), r, (90, 180))
    f.arc((wide - r, high - r), r, (0, 90))
    f.call("radius", (wide - r, high - r), r, 45)
    f.shape([(Z, low), (Z, mid), (wide, mid), (wide, low)], closed=False)
    f.grain(Z, Z, wide, low, 4)
    f.size("x", Z, wide, "below", across=low / 2)
    f.size("x", r, wide - r, "above", feet=high)
    f.run("y", [Z, low, mid, high], "right", feet=wide)
    f.within("x", Z, wide, deep / 4)
    f.size("y", high - r, high, "left", 0, feet=r)
    return [(s, ""), (f, "right")]


THINGS = (
    cold_frame, tool_tote, doll_cradle, mooring_cleat, bench_hook, marble_wheel, night_table,
    letter_rack,
)  # fmt: skip
