"""Things for the house and the bench, the second lot of held-out parts."""

from __future__ import annotations

from collections.abc import Callable

from tests.bench.hand2_parts import (
    Bench,
    F,
    O,
    Views,
    birdhouse,
    garden_bench,
    mallet,
    shelf_bracket,
    toy_truck,
    tray,
)


def peg_rack(b: Bench) -> Views:
    """A rail with pegs at even steps on its middle, and its end."""
    n, step, rest = b.count(3, 5), b.size(4, 6, F(1, 2)), b.size(2, 3, F(1, 4))
    h, peg = b.size(3, 4, F(1, 4)), F(b.count(4, 6), 8)
    w = 2 * rest + (n - 1) * step
    d = b.begin(w, h)
    d.rectangle(O, O, w, h)
    d.centre_line((d.x(O) - 4.0, d.y(h / 2)), (d.x(w) + 4.0, d.y(h / 2)))
    stops = [rest + k * step for k in range(n)]
    for x in stops:
        d.arc(d.at(x, h / 2), float(peg) * d.per_inch / 2)
        d.line((d.x(x), d.y(h / 2) - 5.0), (d.x(x), d.y(h / 2) + 5.0))
    feet = [d.y(O), *[d.y(h / 2) + 5.0] * n, d.y(O)]
    d.chain("x", [O, *stops, w], "below", feet)
    d.chain("x", [O, w], "below", [d.y(O)] * 2)
    d.chain("y", [O, h], "right", [d.x(w)] * 2)
    d.chain("y", [O, h / 2], "left", [d.x(O), d.x(O) - 4.0])
    radius, far = float(peg) * d.per_inch / 2, 0.6 * float(h) * d.per_inch + 7.0
    d.lead(d.at(stops[-1], h / 2), radius, f"{n} PEGS {peg}", out=70.0, far=far)
    return [(d, "")]


def tenoned_rail(b: Bench) -> Views:
    """A rail with a tenon at both ends, and the same from above."""
    w, h = b.size(14, 22, F(1, 2)), b.size(3.5, 5, F(1, 4))
    a, up = b.size(1, 2, F(1, 4)), F(b.count(4, 6), 8)
    d = b.begin(w, 2 * h)
    d.outline([
        (O, up), (a, up), (a, O), (w - a, O), (w - a, up), (w, up),
        (w, h - up), (w - a, h - up), (w - a, h), (a, h), (a, h - up), (O, h - up),
    ])  # fmt: skip
    for x in (a, w - a):
        d.line(d.at(x, up), d.at(x, h - up), thick=True)
    d.chain("x", [O, a, w - a, w], "below", [d.y(up), d.y(O), d.y(O), d.y(up)])
    d.chain("x", [O, w], "below", [d.y(up)] * 2)
    d.chain("y", [up, h - up], "right", [d.x(w)] * 2)
    d.chain("y", [O, h], "left", [d.x(a)] * 2)
    thick, tenon = F(b.count(6, 9), 8), F(b.count(2, 3), 8)
    e = b.also(d)
    cheek = (thick - tenon) / 2
    e.outline([
        (O, cheek), (a, cheek), (a, O), (w - a, O), (w - a, cheek), (w, cheek), (w, thick - cheek),
        (w - a, thick - cheek), (w - a, thick), (a, thick), (a, thick - cheek), (O, thick - cheek),
    ])  # fmt: skip
    e.chain("y", [cheek, thick - cheek], "right", [e.x(w)] * 2)
    e.chain("y", [O, thick], "left", [e.x(a)] * 2)
    e.chain("x", [a, w - a], "above", [e.y(thick)] * 2)
    return [(d, ""), (e, "above")]


def flanged_collar(b: Bench) -> Views:
    """A collar from the front and cut through: hatched by hand, diameters across."""
    big, hub = b.size(4, 6, F(1, 4)), b.size(2, 2.75, F(1, 8))
    bore, rim, long = b.size(0.75, 1.25, F(1, 8)), F(b.count(4, 6), 8), b.size(2, 3, F(1, 8))
    d = b.begin(2 * big, big)
    at = d.at(big / 2, big / 2)
    for size in (big, hub, bore):
        d.arc(at, float(size) * d.per_inch / 2)
    d.cross(at, float(big) * d.per_inch / 2 + 3.0)
    radius = float(bore) * d.per_inch / 2
    d.round_size(
        "diameter", at, radius, bore, out=50.0, far=float(big) * d.per_inch / 2 - radius + 5.0
    )
    e = b.also(d)
    low, top = (big - hub) / 2, (big + hub) / 2
    under, over = (big - bore) / 2, (big + bore) / 2
    e.outline(
        [(O, O), (rim, O), (rim, low), (long, low), (long, top), (rim, top), (rim, big), (O, big)]
    )
    for y in (under, over):
        e.line(e.at(O, y), e.at(long, y), thick=True)
    for one, two, x in ((O, under, rim), (over, big, rim), (low, under, long), (over, top, long)):
        start = e.x(O) if x == rim else e.x(rim)
        e.hatch(start, e.y(two), e.x(x), e.y(one), float(b.rng.uniform(1.6, 2.6)))
    e.centre_line((e.x(O) - 1.2, e.y(big / 2)), (e.x(long) + 5.0, e.y(big / 2)))
    e.chain("x", [O, rim, long], "below", [e.y(O), e.y(O), e.y(low)])
    e.chain("x", [O, long], "below", [e.y(O), e.y(low)])
    e.chain("y", [low, top], "right", [e.x(long)] * 2)
    e.chain("y", [under, over], "left", [e.x(O)] * 2, "{} BORE")
    e.chain("y", [O, big], "left", [e.x(O)] * 2, "{} DIA")
    return [(d, ""), (e, "right")]


def picture_frame(b: Bench) -> Views:
    """A frame with mitred corners."""
    w, h, m = b.size(12, 18, F(1, 2)), b.size(9, 14, F(1, 2)), b.size(1.5, 2.5, F(1, 8))
    d = b.begin(w, h)
    d.rectangle(O, O, w, h)
    d.rectangle(m, m, w - m, h - m)
    for x, y, i, k in ((O, O, m, m), (w, O, w - m, m), (w, h, w - m, h - m), (O, h, m, h - m)):
        d.line(d.at(x, y), d.at(i, k))
    d.chain("x", [O, w], "below", [d.y(O)] * 2)
    d.inner("x", m, w - m, d.y(m + (h - 2 * m) / 5))
    d.chain("x", [O, m], "above", [d.y(h), d.y(h - m)])
    d.chain("y", [O, h], "right", [d.x(w)] * 2)
    d.inner("y", m, h - m, d.x(m + (w - 2 * m) / 7))
    return [(d, "")]


def slotted_plate(b: Bench) -> Views:
    """A plate with two corners cut off, a slot and a hole."""
    w, h, c = b.size(5, 7, F(1, 4)), b.size(3.5, 4.5, F(1, 4)), b.size(0.75, 1.25, F(1, 8))
    x1, apart, y1 = b.size(1.25, 1.75, F(1, 8)), b.size(1.5, 2, F(1, 8)), b.size(1, 1.5, F(1, 8))
    r = F(b.count(2, 3), 8)
    d = b.begin(w, h)
    d.outline([(O, O), (w, O), (w, h - c), (w - c, h), (c, h), (O, h - c)])
    radius = float(r) * d.per_inch
    one, two = d.at(x1, y1), d.at(x1 + apart, y1)
    d.arc(one, radius, 90.0, 180.0)
    d.arc(two, radius, -90.0, 180.0)
    for s in (1, -1):
        d.line((one[0], one[1] + s * radius), (two[0], two[1] + s * radius), thick=True, over=0.15)
    for at in (one, two):
        d.cross(at, radius + 1.6)
    foot = one[1] + radius + 1.6
    d.chain("x", [O, x1, x1 + apart], "below", [d.y(O), foot, foot])
    d.chain("x", [O, w], "below", [d.y(O)] * 2)
    d.chain("x", [O, c, w - c, w], "above", [d.y(h - c), d.y(h), d.y(h), d.y(h - c)])
    d.chain("y", [O, y1], "left", [d.x(O), one[0] - radius - 1.6])
    d.chain("y", [O, h - c, h], "right", [d.x(w), d.x(w), d.x(w - c)])
    d.round_size("radius", two, radius, r, out=62.0, far=0.13 * float(w) * d.per_inch)
    return [(d, "")]


def sawhorse(b: Bench) -> Views:
    """A sawhorse from its end: legs that spread, a brace between them."""
    h, wide, top = b.size(22, 28, F(1, 2)), b.size(14, 20, F(1, 2)), b.size(3.5, 5.5, F(1, 2))
    beam, leg, up = b.size(3.5, 5.5, F(1, 2)), b.size(2.5, 3.5, F(1, 2)), b.size(7, 10, F(1, 2))
    d = b.begin(wide, h)
    mid = wide / 2
    left, right = mid - top / 2, mid + top / 2
    d.rectangle(left, h - beam, right, h)
    d.outline([(left, h), (O, O), (leg, O), (left, h - beam)], closed=False)
    d.outline([(right, h), (wide, O), (wide - leg, O), (right, h - beam)], closed=False)
    inner = float(leg) + float(left - leg) * float(up / (h - beam))
    for y in (up, up + 2):
        d.line(
            (inner * d.per_inch, d.y(y)), ((float(wide) - inner) * d.per_inch, d.y(y)), thick=True
        )
    d.chain("x", [O, wide], "below", [d.y(O)] * 2)
    d.chain("x", [left, right], "above", [d.y(h)] * 2)
    d.chain("y", [O, h], "right", [d.x(wide), d.x(right)])
    d.chain("y", [O, up], "left", [d.x(O), inner * d.per_inch - 1.0])
    d.chain("y", [h - beam, h], "left", [d.x(left)] * 2)
    d.caption("END")
    return [(d, "")]


def corbel(b: Bench) -> Views:
    """A stepped block under a shelf, some sizes written at its edges without lines."""
    w, h = b.size(6, 8, F(1, 4)), b.size(4, 6, F(1, 4))
    step, low = b.size(2, 3, F(1, 4)), b.size(1.25, 2, F(1, 4))
    d = b.begin(w, h)
    d.outline([(O, O), (step, O), (step, low), (w, h - low), (w, h), (O, h)])
    d.edge_size(d.at(O, h), d.at(w, h), w, (0.0, -1.0))
    d.edge_size(d.at(O, O), d.at(step, O), step, (0.0, 1.0))
    d.edge_size(d.at(step, O), d.at(step, low), low, (1.0, 0.0))
    d.chain("y", [h - low, h], "right", [d.x(w)] * 2)
    d.chain("y", [O, h], "left", [d.x(O)] * 2)
    return [(d, "")]


def lamp_foot(b: Bench) -> Views:
    """A turned foot with a hollow and a bead, about a centre line."""
    base, neck, h = b.size(5, 6.5, F(1, 4)), b.size(1.25, 2, F(1, 8)), b.size(5, 7, F(1, 4))
    disc, bead = b.size(0.75, 1.25, F(1, 8)), b.size(0.5, 0.75, F(1, 8))
    d = b.begin(base, h)
    mid, top = base / 2, h - bead
    d.outline([(O, disc), (O, O), (base, O), (base, disc)], closed=False)
    d.line(d.at(O, disc), d.at(base, disc), thick=True)
    left, right = mid - neck / 2, mid + neck / 2
    hollow = max(F(1, 8), min(left, top - disc) * F(3, 4) // F(1, 8) * F(1, 8))
    radius = float(hollow) * d.per_inch
    for x, start, s in ((left, 270.0, -1), (right, 180.0, 1)):
        centre = (d.x(x) + s * radius, d.y(disc) - radius)
        d.arc(centre, radius, start, 90.0)
        d.line((d.x(x), d.y(disc) - radius), d.at(x, top), thick=True)
    d.rectangle(left - bead, top, right + bead, h)
    d.centre_line((d.x(mid), d.y(h) - 1.5), (d.x(mid), d.y(O) + 1.5))
    d.chain("x", [O, base], "below", [d.y(O)] * 2, "{} DIA")
    d.chain("x", [left - bead, right + bead], "above", [d.y(h)] * 2)
    d.chain("y", [O, disc], "right", [d.x(base)] * 2)
    d.chain("y", [top, h], "right", [d.x(right + bead)] * 2)
    d.chain("y", [O, h], "left", [d.x(O), d.x(left - bead)])
    centre = (d.x(right) + radius, d.y(disc) - radius)
    d.round_size("radius", centre, radius, hollow, out=225.0, far=-1.7 * radius)
    return [(d, "")]


Part = Callable[[Bench], Views]
THINGS: tuple[Part, ...] = (
    garden_bench,
    shelf_bracket,
    birdhouse,
    toy_truck,
    mallet,
    tray,
    peg_rack,
    tenoned_rail,
    flanged_collar,
    picture_frame,
    slotted_plate,
    sawhorse,
    corbel,
    lamp_foot,
)
