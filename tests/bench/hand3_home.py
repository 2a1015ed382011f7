"""Parts for the house, the garden and the nursery, as one half of a company draws them."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from tests.bench.hand3_sketch import Habit, Sketch
from tests.bench.hand3_units import fit
from tests.bench.hand_pen import Rng

Z = Fraction(0)
Views = list[tuple[Sketch, str]]  # the first one, and where the others stand from it


@dataclass(frozen=True, slots=True)
class Bench:
    """What a part is drawn with: somebody's habit, mm to an inch, chance."""

    habit: Habit
    scale: float
    rng: Rng

    def v(self, inches: float, spread: float = 0.12) -> Fraction:
        """About so many inches, in steps of his own unit."""
        return fit(inches * float(self.rng.uniform(1 - spread, 1 + spread)), self.habit.unit)

    def view(self, title: str = "", times: float = 1.0) -> Sketch:
        """Begin a view, so many times larger than the rest."""
        return Sketch(self.habit, self.rng, self.scale * times, titles=[title] if title else [])


def step_stool(b: Bench) -> Views:
    """Draw a stool of a board on two legs: front and end."""
    wide, top, leg, high, inset = b.v(16), b.v(0.9), b.v(0.9), b.v(9), b.v(1.5)
    deep, foot, notch, rail = b.v(9), b.v(2), b.v(3), b.v(2.25)
    f = b.view("FRONT")
    under = high - top
    f.box(Z, under, wide, top)
    f.box(inset, Z, leg, under)
    f.box(wide - inset - leg, Z, leg, under)
    f.box(inset + leg, under - rail, wide - 2 * (inset + leg), rail)
    f.grain(inset + leg, under - rail, wide - 2 * (inset + leg), rail)
    f.size("x", Z, wide, "above", feet=high)
    f.run("x", [inset, inset + leg, wide - inset - leg, wide - inset], "below", whole=False)
    f.size("x", Z, inset, "below", 1 if b.habit.chain else 3, feet=under)
    f.run("y", [Z, under, high], "left")
    f.size("y", under - rail, under, "right", feet=wide - inset)
    e = b.view("END")
    e.box(Z, under, deep, top)
    edge, side = foot / 2, deep - foot / 2
    left, right = (deep - notch) / 2, (deep + notch) / 2
    e.shape([(edge, Z), (edge + foot, Z), (left, foot), (right, foot), (side - foot, Z), (side, Z),
             (side, under), (edge, under)])  # fmt: skip
    e.line((edge, under - rail), (side, under - rail), "hidden")
    e.size("x", Z, deep, "above", feet=high)
    e.run(
        "x",
        [foot / 2, foot / 2 + foot, deep - foot / 2 - foot, deep - foot / 2],
        "below",
        whole=False,
    )
    e.size(
        "x",
        deep / 2 - notch / 2,
        deep / 2 + notch / 2,
        "below",
        1 if b.habit.chain else 2,
        feet=foot,
    )
    e.size("y", Z, foot, "right", feet=deep - foot / 2)
    return [(f, ""), (e, "right")]


def nest_box(b: Bench) -> Views:
    """Draw a box for birds: front with its hole, side with its sloping roof."""
    wide, low, high, deep, t, over = b.v(6), b.v(8), b.v(10), b.v(5.5), b.v(0.75), b.v(1.25)
    hole, up, back = b.v(1.25), b.v(5.5), b.v(13)
    f = b.view("FRONT")
    f.box(Z, Z, wide, low)
    f.box(-t, low, wide + 2 * t, t)
    f.line((t, Z), (t, low), "hidden")
    f.line((wide - t, Z), (wide - t, low), "hidden")
    f.round((wide / 2, up), hole)
    f.call("diameter", (wide / 2, up), hole, 30)
    f.size("x", Z, wide, "below", 1, across=low / 4)
    f.run("x", [Z, wide / 2, wide], "below", whole=False) if b.habit.chain else None
    f.size("x", -t, wide + t, "above", feet=low + t)
    f.size("y", Z, up, "right", feet=wide / 2)
    f.size("y", Z, low, "left", 1, across=wide / 4)
    f.size("y", low, low + t, "left", 0, feet=-t)
    s = b.view("SIDE")
    s.shape([(Z, Z), (deep, Z), (deep, high), (Z, low)])
    s.box(deep, -over, t, back + over)
    s.shape(
        [
            (-over, low - over * (high - low) / deep),
            (-over, low - over * (high - low) / deep + t),
            (deep, high + t),
            (deep, high),
        ],
        closed=False,
    )
    s.line((Z, t), (deep, t), "hidden")
    s.grain(t, t, deep - t, low - t)
    s.run("x", [Z, deep, deep + t], "below", feet=Z)
    s.size("x", -over, Z, "below", 0, feet=low - over)
    s.size("y", Z, low, "left")
    s.size("y", Z, high, "right", 0, feet=deep + t)
    s.size("y", -over, back, "right", 1, feet=deep + t)
    s.within("y", Z, t, deep / 2)
    return [(f, ""), (s, "right")]


def toy_lorry(b: Bench) -> Views:
    """Draw a lorry: from the side and from above."""
    long, deck, t, cab, roof, hood = b.v(11), b.v(1.25), b.v(0.75), b.v(2.5), b.v(2.75), b.v(1.5)
    axle, back, wheel, wide, pin = b.v(2), b.v(2.25), b.v(1.5), b.v(3.5), b.v(0.375)
    step = b.v(1.25)
    s = b.view("SIDE")
    s.box(Z, deck, long, t)
    base = deck + t
    s.shape(
        [
            (Z, base),
            (Z, base + hood),
            (step, base + hood),
            (step, base + roof),
            (step + cab, base + roof),
            (step + cab, base),
        ],
        closed=False,
    )
    s.box(step + cab + t, base, long - step - cab - t, hood)
    s.round((axle, deck), wheel)
    s.round((long - back, deck), wheel)
    s.round((axle, deck), pin, crossed=False)
    s.call("diameter", (long - back, deck), wheel, -35)
    s.call("diameter", (axle, deck), pin, -140)
    s.run("x", [Z, axle, long - back, long], "below", feet=deck)
    s.run("x", [Z, step, step + cab, step + cab + t, long], "above", feet=base + hood, whole=False)
    s.run("y", [deck, base, base + hood, base + roof], "left")
    s.within("y", base, base + hood, long - back)
    p = b.view("PLAN")
    p.box(Z, Z, long, wide)
    p.line((step, Z), (step, wide))
    p.line((step + cab, Z), (step + cab, wide))
    p.line((step + cab + t, Z), (step + cab + t, wide))
    p.line((Z, wide / 2), (long, wide / 2), "centre")
    p.box(axle - pin / 2, -t, pin, wide + 2 * t, "hidden")
    p.size("y", Z, wide, "left")
    p.size("y", -t, wide + t, "left", 1, feet=axle)
    p.within("x", step + cab + t, long, wide / 4)
    p.within("y", Z, wide, long - back)
    return [(s, ""), (p, "below")]


def dinghy_rudder(b: Bench) -> Views:
    """Draw a rudder's blade and its edge view: stations across, gudgeons along."""
    high, head, foot, neck, drop, belly = b.v(36), b.v(7), b.v(9), b.v(11), b.v(14), b.v(1)
    t, low, gap = b.v(1), b.v(5), b.v(12)
    f = b.view("BLADE")
    f.shape([(head, high), (Z, high), (Z, Z), (foot, Z)], closed=False)
    f.line((head, high), (head, high - neck))
    f.line((head, high - neck), (foot + belly, drop))
    f.bow((foot + belly, drop), (foot, Z), -belly / 3)
    for y in (low, low + gap):
        f.box(Z, y, head, t)
        f.round((head / 2, y + t / 2), t / 2, crossed=False)
    f.size("x", Z, head, "above", feet=high)
    f.size("x", Z, foot, "below")
    f.within("x", Z, foot + belly, drop)
    f.run("y", [Z, low, low + gap, high], "left")
    f.run("y", [Z, drop, high - neck, high], "right", feet=head, whole=False)
    e = b.view("EDGE")
    e.box(Z, Z, t, high)
    e.grain(Z, Z, t, high, 4)
    e.box(-t / 2, low, 2 * t, t)
    e.box(-t / 2, low + gap, 2 * t, t)
    e.size("x", Z, t, "above", feet=high)
    e.size("x", -t / 2, t + t / 2, "below", 0, feet=low)
    e.size("y", low, low + t, "right", feet=t + t / 2)
    e.size("y", low + gap, low + gap + t, "right", feet=t + t / 2)
    return [(f, ""), (e, "right")]


def carvers_mallet(b: Bench) -> Views:
    """Draw a mallet: head with slanting faces, end with its mortise, handle."""
    long, low, high, hole = b.v(6), b.v(5), b.v(4), b.v(1.125)
    cheek = b.v(0.75)
    thick = 2 * cheek + hole
    handle, grip, swell = b.v(11), b.v(1.25), b.v(1.5)
    mid, edge = long / 2, (long - low) / 2
    f = b.view("HEAD")
    f.shape([(edge, Z), (long - edge, Z), (long, high), (Z, high)])
    f.line((mid, Z - hole / 2), (mid, high + hole / 2), "centre")
    f.line((mid - hole / 2, Z), (mid - hole / 2, high), "hidden")
    f.line((mid + hole / 2, Z), (mid + hole / 2, high), "hidden")
    f.size("x", Z, long, "above", 1, feet=high)
    f.size("x", mid - hole / 2, mid + hole / 2, "above", 0, feet=high)
    f.size("x", edge, long - edge, "below")
    f.size("y", Z, high, "left", across=long / 4)
    e = b.view("END")
    e.box(Z, Z, thick, high)
    e.hatch(cheek, Z, hole, high)
    e.line((cheek, Z), (cheek, high))
    e.line((thick - cheek, Z), (thick - cheek, high))
    e.run("x", [Z, cheek, thick - cheek, thick], "below")
    e.size("y", Z, high, "right", feet=thick)
    h = b.view("HANDLE")
    h.shape(
        [
            (Z, (swell - grip) / 2),
            (handle - high, Z),
            (handle, Z),
            (handle, swell),
            (handle - high, swell),
            (Z, swell - (swell - grip) / 2),
        ]
    )
    h.line((-grip / 2, swell / 2), (handle + grip / 2, swell / 2), "centre")
    h.run("x", [Z, handle - high, handle], "below")
    h.size("y", (swell - grip) / 2, swell - (swell - grip) / 2, "left")
    h.size("y", Z, swell, "right", feet=handle)
    return [(f, ""), (e, "right"), (h, "below")]


def marble_tower(b: Bench) -> Views:
    """Draw a post with holes for the rails of a marble run, its base, a rail's end."""
    high, wide, first, bore = b.v(12), b.v(1.5), b.v(2), b.v(0.625)
    gaps = [b.v(2.25), b.v(2.25), b.v(2)]
    side, t = b.v(5), b.v(0.75)
    f = b.view("POST")
    f.box(Z, Z, wide, high)
    f.line((wide / 2, Z), (wide / 2, high), "centre")
    stops = [Z, first]
    for gap in gaps:
        f.round((wide / 2, stops[-1]), bore, crossed=False)
        stops.append(stops[-1] + gap)
    f.round((wide / 2, stops[-1]), bore, crossed=False)
    f.call("diameter", (wide / 2, stops[-1]), bore, 40)
    f.run("y", [*stops, high], "left", feet=wide / 2)
    f.size("x", Z, wide, "below", 1)
    f.run("x", [Z, wide / 2, wide], "below", 0, whole=False) if b.habit.chain else None
    p = b.view("BASE")
    p.box(Z, Z, side, side)
    p.box((side - wide) / 2, (side - wide) / 2, wide, wide, "hidden")
    for x, y in ((t, t), (side - t, t), (t, side - t), (side - t, side - t)):
        p.round((x, y), bore / 2)
    p.call("diameter", (side - t, side - t), bore / 2, 50)
    p.run("x", [Z, t, side - t, side], "below")
    p.run("x", [Z, (side - wide) / 2, (side + wide) / 2], "above", feet=side, whole=False)
    p.run("y", [Z, t, side - t, side], "right", feet=side)
    e = b.view("EDGE")
    e.box(Z, Z, side, t)
    e.hatch(Z, Z, (side - wide) / 2, t)
    e.hatch((side + wide) / 2, Z, (side - wide) / 2, t)
    e.size("y", Z, t, "left")
    e.size("x", Z, side, "below")
    return [(f, ""), (p, "right"), (e, "next")]


def shelf_bracket(b: Bench) -> Views:
    """Draw a bracket with a hollow: face and edge."""
    high, wide, top, foot, r, t = b.v(9), b.v(7), b.v(1), b.v(1.5), b.v(4.5), b.v(0.875)
    bore, back = b.v(0.25), b.v(1.125)
    f = b.view("BRACKET")
    f.shape([(Z, Z), (foot, Z)], closed=False)
    f.shape([(Z, Z), (Z, high), (wide, high), (wide, high - top)], closed=False)
    f.line((foot, Z), (foot, high - top - r))
    f.arc((foot + r, high - top - r), r, (90, 180))
    f.line((foot + r, high - top), (wide, high - top)) if foot + r < wide else None
    f.call("radius", (foot + r, high - top - r), r, -45 + 180)
    for y in (back, high - 2 * back):
        f.round((foot / 2, y), bore, crossed=False)
    f.call("diameter", (foot / 2, back), bore, 20)
    f.size("x", Z, wide, "above", 1, feet=high)
    f.size("x", Z, foot, "below", 1)
    f.size("x", Z, foot / 2, "below", 0, feet=back)
    f.run("y", [Z, back, high - 2 * back, high], "left", feet=Z)
    f.size("y", high - top, high, "right", 0, feet=wide)
    f.size("y", high - top - r, high - top, "right", 1, feet=(foot, foot + r))
    e = b.view("EDGE")
    e.box(Z, Z, t, high)
    e.grain(Z, Z, t, high)
    e.line((Z, high - top), (t, high - top))
    e.size("x", Z, t, "below")
    e.size("y", Z, high - top, "right", 0, feet=t)
    e.size("y", Z, high, "right", 1, feet=t)
    return [(f, ""), (e, "right")]


def saw_horse(b: Bench) -> Views:
    """Draw a sawing horse: side and end, legs set out."""
    long, deep, high, inset, leg, out = b.v(36), b.v(4), b.v(24), b.v(5), b.v(3.5), b.v(4)
    t, tie = b.v(2), b.v(9)
    s = b.view("SIDE")
    s.box(Z, high - deep, long, deep)
    s.grain(Z, high - deep, long, deep)
    s.box(inset, Z, leg, high - deep)
    s.box(long - inset - leg, Z, leg, high - deep)
    s.box(inset + leg, tie, long - 2 * (inset + leg), t)
    s.size("x", Z, long, "above", feet=high)
    s.run("x", [inset, inset + leg, long - inset - leg, long - inset], "below", whole=False)
    s.size("x", Z, inset, "below", 1 if b.habit.chain else 3, feet=high - deep)
    s.run("y", [Z, tie, tie + t, high], "left", feet=inset)
    s.size("y", high - deep, high, "right", feet=long)
    e = b.view("END")
    e.box(-t / 2, high - deep, t, deep)
    for k in (-1, 1):
        e.shape(
            [
                (k * t / 2, high - deep),
                (k * (t / 2 + t), high - deep),
                (k * (out + t), Z),
                (k * out, Z),
            ]
        )
    e.line((Z, -t), (Z, high + t), "centre")
    e.size("x", -t / 2, t / 2, "above", feet=high)
    e.size("x", -out - t, out + t, "below", 1)
    e.size("x", -out, out, "below", 0)
    e.size("y", Z, high, "right", 1, feet=t)
    e.size("y", high - deep, high, "right", 0, feet=t / 2)
    return [(s, ""), (e, "right")]


THINGS = (
    step_stool, nest_box, toy_lorry, dinghy_rudder, carvers_mallet, marble_tower, shelf_bracket,
    saw_horse,
)  # fmt: skip
