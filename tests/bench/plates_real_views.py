"""Views of plans as makers buy or download them, in inches, feet or millimetres.

More than `plates_shop_views` has: notes after numbers, framed numbers, sizes along slopes, rows of
sizes from one edge, sizes between centres drawn along centre lines, squared grids, exploded
pictorials, cut faces filled black or crossed, stippling, blocks of text.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np
from scipy.interpolate import CubicSpline

from tests.bench.plates_letters import write
from tests.bench.plates_pen import XY, Floats, Lettered, Mark, Rng, arc_points
from tests.bench.plates_real_pen import ENDS, LEADERS, RealManner, run_leader
from tests.bench.plates_shop_views import (
    OUTSIDE,
    ROOM_MM,
    ShopView,
    bend,
    number_places,
)
from tests.bench.plates_things import near
from tests.bench.plates_views import CENTRE, PLANT_MM, SOLID

MM = Fraction(10, 254)  # inches
XYZ = tuple[float, float, float]
ASIDE_MM = 5.0  # from a size without room to its number beside it
COS30, SIN30 = math.cos(math.pi / 6), 0.5
LEADING = (1.0, 1.3, 1.7, 0.75, 2.2)  # of a leader's usual length
TEXT_LINE = 1.9  # heights of a letter from line to line


def near_mm(rng: Rng, low: float, high: float, *, step: float = 1.0) -> float:
    """A metric length between two mm, in steps; inches."""
    return near(rng, low, high, step=step) / 25.4


def iso(point: XYZ) -> XY:
    """Where a point stands that is seen from a corner, x to the right and y to the left."""
    x, y, z = point
    return (x - y) * COS30, (x + y) * SIN30 + z


@dataclass(slots=True)
class RealView(ShopView):
    """A view of a plan that is sold.

    `metric`: sizes are printed in mm; `before`, `after`: what is noted with the next number.
    """

    manner: RealManner
    metric: bool = False
    after: str = ""
    before: str = ""

    # lines

    def flowing(self, points: Sequence[XY]) -> None:
        """A smooth line through a few points."""
        legs = np.hypot(*np.diff(np.array(points), axis=0).T)
        along = np.concatenate([[0.0], np.cumsum(legs)])
        line = CubicSpline(along, np.array(points))(np.linspace(0.0, along[-1], 60))
        self.curve([(float(x), float(y)) for x, y in line])

    def solid(self, *points: XY) -> None:
        """A thin cut face filled black."""
        self.path([*points, points[0]], width=self.manner.thin)
        self.marks.append(Mark(points=np.array([self.at(*p) for p in points], float)))

    def crossed(self, x0: float, y0: float, x1: float, y1: float) -> None:
        """A timber cut across: two diagonals."""
        self.rect(x0, y0, x1, y1)
        for ends in ([(x0, y0), (x1, y1)], [(x0, y1), (x1, y0)]):
            self.path(ends, width=self.manner.fine)

    def rounded(self, x0: float, y0: float, x1: float, y1: float, r: float) -> None:
        """A rectangle with round corners."""
        for ends in ([(x0 + r, y0), (x1 - r, y0)], [(x0 + r, y1), (x1 - r, y1)],
                     [(x0, y0 + r), (x0, y1 - r)], [(x1, y0 + r), (x1, y1 - r)]):  # fmt: skip
            self.path(ends, width=self.manner.thick)
        corners = ((x1 - r, y1 - r, 0), (x0 + r, y1 - r, 90), (x0 + r, y0 + r, 180),
                   (x1 - r, y0 + r, 270))  # fmt: skip
        for x, y, start in corners:
            self.curve(bend((x, y), r, start, start + 90))

    def squares(self, x0: float, y0: float, x1: float, y1: float, step: float) -> None:
        """A grid of squares that a curve is drawn on."""
        for k in range(round((x1 - x0) / step) + 1):
            self.path([(x0 + k * step, y0), (x0 + k * step, y1)], width=self.manner.fine * 0.8)
        for k in range(round((y1 - y0) / step) + 1):
            self.path([(x0, y0 + k * step), (x1, y0 + k * step)], width=self.manner.fine * 0.8)

    def stipple(self, x0: float, y0: float, x1: float, y1: float, dots: int) -> None:
        """Dots that shade a face, thicker towards its lower edge."""
        for t, s in self.rng.uniform(0, 1, (dots, 2)):
            at = self.at(x0 + float(t) * (x1 - x0), y0 + float(s**1.8) * (y1 - y0))
            around = arc_points(at, float(self.rng.uniform(0.09, 0.16)), 0.0, 360.0)
            self.marks.append(Mark(points=around))

    def solid_box(self, at: XYZ, size: XYZ, letter: str = "") -> None:
        """A block seen from a corner, its left face shaded, perhaps with its part's letter."""
        (x, y, z), (a, b, c) = at, size
        rim = [(x, y, z), (x + a, y, z), (x + a, y, z + c), (x + a, y + b, z + c),
               (x, y + b, z + c), (x, y + b, z)]  # fmt: skip
        around = np.array([self.at(*iso(p)) for p in rim], float)
        self.marks.append(Mark(points=around, blank=True))
        top = [(x, y, z + c), (x + a, y, z + c), (x + a, y + b, z + c), (x, y + b, z + c)]
        self.outline(*map(iso, top))
        low = [(x + a, y, z), (x, y, z), (x, y + b, z)]
        for foot in low:
            self.path([iso(foot), iso((foot[0], foot[1], z + c))], width=self.manner.thick)
        self.path([iso(p) for p in low], width=self.manner.thick)
        for k in range(1, max(3, int(b * self.per_inch / 1.6))):
            v = y + b * (k / max(3, int(b * self.per_inch / 1.6))) ** 1.4
            self.path([iso((x, v, z)), iso((x, v, z + c))], width=self.manner.fine * 0.8)
        if letter:
            self.mark_letter(letter, iso((x + a / 2, y + b / 2, z + c)))

    def mark_letter(self, letter: str, at: XY) -> None:
        """A part's letter in a ring, with a short line to the part."""
        was = self.manner
        self.manner = replace(was, ringed=True)
        self.ring(letter, at, by=(float(self.rng.uniform(6, 9)), float(self.rng.uniform(5, 8))))
        self.manner = was

    def explode(self, a: XYZ, b: XYZ) -> None:
        """The dashed way on which a part goes to its place."""
        self.path([iso(a), iso(b)], width=self.manner.fine, dashes=(2.2, 1.2), body=False)

    # words

    def text_block(self, *lines: str) -> None:
        """Lines of text, flush left, under everything that this view has."""
        letters = self.manner.captions
        top = self.bounds()[3] + 3.0 if self.marks else 0.0
        left = self.bounds()[0] if self.marks else 0.0
        for k, line in enumerate(lines):
            mark = write(line, letters, self.rng)
            y = top + (k + 0.5) * TEXT_LINE * letters.height
            self.marks.append(mark.moved((left + mark.size[0] / 2, y)))

    def note(self, text: str, point: XY, by: XY) -> None:
        """A note with a leader, straight, with an elbow or in a bow."""
        tip = np.array(self.at(*point))
        side = 1.0 if by[0] >= 0 else -1.0
        mark = write(text, self.manner.letters, self.rng)
        reach = np.array([side * (mark.size[0] / 2 + 3.4), 0.0])
        knees = [tip + np.array([by[0], -by[1]]) * times for times in LEADING]
        knee = self._clearest(mark, [k + reach for k in knees]) - reach
        line, tail = run_leader(tip, knee, self.manner.hook, side)
        self._stroke(line, width=self.manner.fine, dashes=SOLID, body=False)
        last = line[-1] - line[-2]
        self._head(tip, last / math.hypot(*last))
        self.marks.append(mark.moved((tail[0] + side * (mark.size[0] / 2 + 0.9), tail[1])))

    def drill(self, centre: XY, across: float, form: str, by: XY) -> None:
        """A hole with its note: `form` holds the number, `DRILL {}`."""
        right = self._right(across)
        text = form.format(self.spell(right))
        self.arc(centre, across / 2, 0.0, 360.0)
        turn = math.atan2(by[1], by[0])
        u = np.array([math.cos(turn), math.sin(turn)])
        self.note(text, (centre[0] + u[0] * across / 2, centre[1] + u[1] * across / 2), by)
        middle, half = np.array(self.at(*centre)), u * (1, -1) * across / 2 * self.per_inch
        self._tell("diameter", (middle - half, middle + half), text, printed=right, right=right)

    def fillet(self, centre: XY, radius: float, degrees: float, form: str, far: float) -> None:
        """A round corner with its radius at a leader from outside: `R {}`, `{} RAD TYP`."""
        right = self._right(radius)
        text = form.format(self.spell(right))
        turn = math.radians(degrees)
        rim = (centre[0] + radius * math.cos(turn), centre[1] + radius * math.sin(turn))
        self.note(text, rim, (far * math.cos(turn), far * math.sin(turn)))
        ends = np.array(self.at(*centre)), np.array(self.at(*rim))
        self._tell("radius", ends, text, printed=right, right=right)

    # sizes

    def spell(self, value: Fraction) -> str:
        """Print a length: mm, decimals, or inches and their fraction, which may be joined."""
        if self.metric:
            text = f"{float(value / MM):.1f}".removesuffix(".0")
            return text.replace(".", ",") if self.manner.comma else text
        text = ShopView.spell(self, value)
        whole, blank, rest = text.rpartition(" ")
        joined = self.manner.hyphen and blank and "/" in rest and whole[-1:].isdigit()
        return f"{whole}-{rest}" if joined else text

    def noted(self, after: str) -> RealView:
        """Note something after the next number: `TYP`, `(2 REQ'D)`."""
        self.after = after
        return self

    def led(self, before: str) -> RealView:
        """Note something before the next number: a sign of a diameter."""
        self.before = before
        return self

    def between(self, a: XY, b: XY, side: str, *, tier: int = 1) -> None:
        """A size between two centres, its extension lines drawn as centre lines."""
        was = self.manner
        self.manner = replace(was, extension_dash=CENTRE, gap=-1.2)
        self.size(a, b, side, tier=tier)
        self.manner = was

    def from_edge(self, points: Sequence[XY], side: str, *, tier: int = 1) -> None:
        """Rows of sizes that all begin at the first point."""
        for k, point in enumerate(points[1:]):
            self.size(points[0], point, side, tier=tier + k)

    def along(self, a: XY, b: XY, off: float) -> None:
        """A size along a slope, its line `off` mm to the left of the way from `a` to `b`."""
        p, q = (np.array(self.at(*point)) for point in (a, b))
        u = (q - p) / math.dist(p, q)
        way = np.array([u[1], -u[0]]) * math.copysign(1.0, off)
        ends = [end + way * abs(off) for end in (p, q)]
        for start, end in zip((p, q), ends, strict=True):
            self._extend(start, end + way * self.manner.beyond, way)
        self._dimension(ends[0], ends[1], math.dist(a, b), crossed=False)

    def iso_size(self, a: XYZ, b: XYZ, way: XYZ, off: float) -> None:
        """A size along an edge of a pictorial; `way` leads out of the part, `off` mm."""
        p, q = (np.array(self.at(*iso(point))) for point in (a, b))
        out = np.array(iso(way)) * (1, -1)
        out /= math.hypot(*out)
        ends = [end + off * out for end in (p, q)]
        for start, end in zip((p, q), ends, strict=True):
            self._extend(start, end + self.manner.beyond * out, out)
        right = self._right(math.dist(a, b))
        text = self.spell(right)
        if ends[0][0] > ends[1][0]:
            ends.reverse()
        self._draw_size(ends[0], ends[1], text)
        self._tell("isometric", (ends[0], ends[1]), text, printed=right, right=right)

    def _right(self, value: float) -> Fraction:
        """What should be printed for a length."""
        if self.metric:
            return Fraction(round(value * 254), 10) * MM
        part = 1000 if self.decimals else self.nearest
        return Fraction(round(value * part), part)

    def _printed(self, right: Fraction) -> Fraction:
        """What is printed where an error is planted: in steps that the sheet prints."""
        wrong = self.plant(right)
        if wrong == right:
            return right
        if self.metric:
            return round(wrong / MM) * MM
        return Fraction(round(wrong * 1000), 1000) if self.decimals else wrong

    def _dimension(self, a: Floats, b: Floats, value: float, crossed: bool) -> None:
        right = self._right(value)
        free = math.dist(a, b) > PLANT_MM and not crossed
        printed = self._printed(right) if free else right
        if a[0] > b[0] + 1e-6 or (abs(a[0] - b[0]) < 1e-6 and a[1] < b[1]):
            a, b = b, a
        text, after = self.before + self.spell(printed), self.after
        self.before = self.after = ""
        whole = text if not after or self.manner.under else f"{text} {after}"
        place = self._draw_numbered(a, b, whole)
        if after and self.manner.under:
            self._letter_under(after, place, b - a)
        kind = "broken" if crossed else "distance"
        self._tell(kind, (a, b), whole, printed=printed, right=right)

    def _letter_under(self, after: str, place: Lettered, along: Floats) -> None:
        """Letter a note in a line of its own under a number."""
        mark = write(after, self.manner.letters, self.rng, turn=place.turn)
        turn = math.radians(place.turn)
        down = np.array([math.sin(turn), math.cos(turn)])
        lower = np.array(place.at) + down * (place.size[1] / 2 + mark.size[1] / 2 + 1.3)
        self.marks.append(mark.moved((float(lower[0]), float(lower[1]))))

    def _head(self, tip: Floats, u: Floats) -> None:
        name = self.manner.head
        name = name if self.sizing else LEADERS.get(name, name)
        size = self.manner.head_mm * float(self.rng.uniform(0.85, 1.2))
        self.marks += ENDS[name](tip, u, size, self.rng)

    def _turn(self, u: Floats) -> float:
        """How a number is turned, degrees."""
        standing = abs(u[1]) > 0.97
        if standing and self.manner.upright and self.manner.broken:
            return 0.0
        turn = math.degrees(math.atan2(-u[1], u[0]))
        return turn - 180.0 if standing and self.manner.flip else turn

    def _draw_size(self, a: Floats, b: Floats, text: str) -> None:
        self._draw_numbered(a, b, text)

    def _draw_numbered(self, a: Floats, b: Floats, text: str) -> Lettered:
        """Draw a size and return its number, which keeps clear of what is drawn already."""
        manner, length = self.manner, math.dist(a, b)
        u, turn = (b - a) / length, self._turn((b - a) / length)
        mark = write(text, manner.letters, self.rng, turn=turn)
        level = turn == 0.0 and abs(u[1]) > 0.97
        along, tall = (mark.size[1], mark.size[0]) if level else mark.size
        boxed = self.rng.random() < manner.boxes
        half = along / 2 + (1.3 if boxed else float(self.rng.uniform(0.7, 1.2)))
        out, heads = OUTSIDE * manner.head_mm, 2 * manner.head_mm
        fits = length > 2 * half + 0.4
        inside = length > (2 * half if manner.broken else 0.0) + heads + ROOM_MM
        middle = self._place(a, b, mark, half=half, tall=tall, fits=fits)
        self._lines(a, b, middle, half=half, inside=inside, out=out)
        self.sizing = True
        self._head(a, -u if inside else u)
        self._head(b, u if inside else -u)
        self.sizing = False
        placed = mark.moved((float(middle[0]), float(middle[1])))
        if boxed:
            self._frame(placed)
        self.marks.append(placed)
        return placed

    def _place(
        self, a: Floats, b: Floats, mark: Lettered, *, half: float, tall: float, fits: bool
    ) -> Floats:
        """Where a number stands: on its line, over it, beyond an end, or to one side."""
        manner, u = self.manner, (b - a) / math.dist(a, b)
        up = np.array([u[1], -u[0]]) * (-1.0 if self._turn(u) < -89.0 else 1.0)
        if not fits and manner.aside:
            off = ASIDE_MM + tall / 2
            places = [(a + b) / 2 + s * off * up + t * u for s in (1, -1) for t in (5.0, -5.0)]
            middle = self._clearest(mark, places)
            self._bow(middle, (a + b) / 2, tall)
            return middle
        places = number_places(a, b, half, OUTSIDE * manner.head_mm, fits=fits)
        if not manner.broken:
            lift = tall / 2 + float(self.rng.uniform(0.5, 1.0))
            places = [place + up * lift for place in places]
        return self._clearest(mark, places)

    def _bow(self, start: Floats, stop: Floats, tall: float) -> None:
        """A bow from a number to its line, without a head."""
        u = (stop - start) / math.dist(start, stop)
        first = start + u * (tall / 2 + 0.8)
        t = np.linspace(0.0, 1.0, 9)[:, None]
        line = first + t * (stop - first) + 4 * t * (1 - t) * 0.6 * np.array([-u[1], u[0]])
        self._stroke(line, width=self.manner.fine, dashes=SOLID, body=False)

    def _lines(
        self, a: Floats, b: Floats, middle: Floats, *, half: float, inside: bool, out: float
    ) -> None:
        """Draw the dimension line, or its two ends outside."""
        u = (b - a) / math.dist(a, b)
        lines = [(a, b)]
        if inside and self.manner.broken:
            lines = [(a, middle - half * u), (middle + half * u, b)]
        elif not inside:
            lines = [(a - out * u, a), (b, b + out * u)]
            over = not self.manner.broken or float((middle - a) @ u) > math.dist(a, b)
            if self.manner.through and over:
                lines.append((a, b))
        for p, q in lines:
            dashes = self._dashes(p, q)
            self._stroke(np.stack([p, q]), width=self.manner.fine, dashes=dashes, body=False)

    def _frame(self, mark: Lettered) -> None:
        """Frame a number."""
        w, h = mark.size[0] / 2 + 0.7, mark.size[1] / 2 + 0.7
        corners = [(-w, -h), (w, -h), (w, h), (-w, h), (-w, -h)]
        if self.manner.ringed_numbers:
            right = bend((w - 0.4, 0.0), h, -90, 90)
            left = bend((0.4 - w, 0.0), h, 90, 270)
            corners = [*right, *left, right[0]]
        c, s = math.cos(math.radians(mark.turn)), math.sin(math.radians(mark.turn))
        around = np.array(corners) @ np.array([[c, -s], [s, c]]) + np.array(mark.at)
        self._stroke(around, width=self.manner.fine, dashes=SOLID, body=False)
