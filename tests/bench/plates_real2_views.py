"""Views of the held-out bought plans: what is drawn, and which sizes are asked for.

Sizes and notes are only kept here, with their extension lines; their numbers are placed when the
whole view is known (`plates_real2_numbers`), as a draughtsman does who sees where room is.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import pairwise

import numpy as np
from scipy.interpolate import PchipInterpolator

from tests.bench.hand_views import Drawn
from tests.bench.plates_letters import Letters
from tests.bench.plates_letters import write as write_on
from tests.bench.plates_pen import XY, Floats, Lettered, Mark, Rng
from tests.bench.plates_real2_ends import ENDS, rim_points
from tests.bench.plates_real2_ink import Tint
from tests.bench.plates_real2_ways import Ways, near, right_of, spell

WAYS = {"N": (0.0, -1.0), "S": (0.0, 1.0), "E": (1.0, 0.0), "W": (-1.0, 0.0)}
SOLID: tuple[float, ...] = ()
HIDDEN = (2.2, 1.0)
CENTRE = (7.0, 1.2, 1.6, 1.2)
PHANTOM = (7.0, 1.1, 1.5, 1.1, 1.5, 1.1)
STUB_MM = 3.0  # of a short extension line, on either side of the dimension line
OVER_CENTRE_MM = 2.0  # that an extension line begins before the centre it leads from
WIDE_ROW = 1.6  # rows of level numbers side by side, to rows one over the other
APART = re.compile(r"(?<=[A-Za-z.]) (?=\d+/\d)")  # a word and a fraction: the space is kept


def write(text: str, letters: Letters, rng: Rng, *, turn: float = 0.0) -> Lettered:
    """Letters about the origin, a fraction kept apart from a word before it."""
    kept = APART.sub("\u00a0", text) if letters.face else text
    return write_on(kept, letters, rng, turn=turn)


@dataclass(slots=True)
class Asked:
    """A size that is asked for: its ends on the dimension line, mm of the view."""

    ends: tuple[Floats, Floats]
    right: Fraction
    printed: Fraction
    form: str
    kind: str = "distance"

    @property
    def long(self) -> float:
        """On the paper, mm."""
        return math.dist(*self.ends)


@dataclass(slots=True)
class Noted:
    """A note at a leader: its tip, where it should stand from there, and a size that it tells."""

    tip: Floats
    by: XY
    text: str
    ringed: bool = False
    size: Drawn | None = None


@dataclass(slots=True)
class Sheetview:
    """A view in the making: `scale` mm of paper to an inch; x to the right and y up, inches."""

    ways: Ways
    letters: Letters
    scale: float
    rng: Rng
    marks: list[Mark | Lettered] = field(default_factory=list)
    asked: list[Asked] = field(default_factory=list)
    notes: list[Noted] = field(default_factory=list)
    drawn: list[Drawn] = field(default_factory=list)
    reach: list[float] = field(default_factory=lambda: [0.0, 0.0, 0.0, 0.0])
    strayed: dict[tuple[str, float], float] = field(default_factory=dict)
    title: str = ""

    # places

    def near(self, low: float, high: float, *, step: float = 0.125) -> float:
        """A length in steps of this sheet."""
        return near(self.ways, self.rng, low, high, step=step)

    def at(self, x: float, y: float) -> Floats:
        """Where a point lies on the paper; the same edge strays the same everywhere."""
        return np.array(
            [x * self.scale + self._stray("x", x), -y * self.scale + self._stray("y", y)]
        )

    def _stray(self, axis: str, value: float) -> float:
        key = (axis, round(value, 4))
        if key not in self.strayed:
            off = self.rng.normal(0, 1) * self.ways.stray
            self.strayed[key] = float(np.clip(off, -2 * self.ways.stray, 2 * self.ways.stray))
        return self.strayed[key]

    # lines

    def stroke(
        self, points: Floats, width: float, dashes: Sequence[float] = SOLID, *,
        level: int | None = None, body: bool = True,
    ) -> None:  # fmt: skip
        """A stroke in mm of the paper; `body` strokes count for how far the part reaches."""
        level = self.ways.body if level is None else level
        self.marks.append(Tint(points=points, width=width, dashes=tuple(dashes), level=level))
        if body:
            (a, b), (c, d) = points.min(axis=0), points.max(axis=0)
            old = self.reach if any(self.reach) else [a, b, c, d]
            self.reach = [min(old[0], a), min(old[1], b), max(old[2], c), max(old[3], d)]

    def line(self, *points: XY, width: float = 0.0, dashes: Sequence[float] = SOLID) -> None:
        """An edge from point to point."""
        self.stroke(np.array([self.at(*p) for p in points]), width or self.ways.thick, dashes)

    def thin(self, *points: XY) -> None:
        """A lesser edge."""
        self.line(*points, width=self.ways.thin)

    def hidden(self, *points: XY) -> None:
        """A hidden edge."""
        self.line(*points, width=self.ways.thin, dashes=HIDDEN)

    def phantom(self, *points: XY) -> None:
        """Where something else stands or moves to."""
        self.line(*points, width=self.ways.fine, dashes=PHANTOM)

    def centre(self, a: XY, b: XY) -> None:
        """A centre line; it does not count as a part of the body."""
        points = np.array([self.at(*a), self.at(*b)])
        self.stroke(points, self.ways.fine, CENTRE, level=self.ways.lines, body=False)

    def plus(self, at: XY, arm: float) -> None:
        """A centre mark."""
        x, y = at
        self.centre((x - arm, y), (x + arm, y))
        self.centre((x, y - arm), (x, y + arm))

    def shape(self, *points: XY, face: bool = True) -> None:
        """A closed outline, its face toned where the sheet does so."""
        if face and self.ways.face_tone < 255:
            corners = np.array([self.at(*p) for p in points])
            self.marks.append(Tint(points=corners, level=self.ways.face_tone))
        self.line(*points, points[0])

    @property
    def metric(self) -> bool:
        """Whether sizes are printed in mm."""
        return self.ways.unit == "mm"

    def stock(self, inches: float, mm: float) -> float:
        """A usual length: inches, or mm on metric sheets; in inches."""
        return mm / 25.4 if self.metric else inches

    def rect(self, x0: float, y0: float, x1: float, y1: float) -> None:
        """A board."""
        self.shape((x0, y0), (x1, y0), (x1, y1), (x0, y1))

    def arc(
        self, centre: XY, r: float, start: float, stop: float, *, width: float = 0.0,
        dashes: Sequence[float] = SOLID,
    ) -> None:  # fmt: skip
        """An arc, degrees anticlockwise."""
        x, y = map(float, self.at(*centre))
        points = rim_points((x, y), r * self.scale, start, stop)
        self.stroke(points, width or self.ways.thick, dashes)

    def circle(self, centre: XY, across: float, *, marked: bool = True) -> None:
        """A round hole, perhaps with its centre mark."""
        self.arc(centre, across / 2, 0.0, 360.0)
        if marked:
            self.plus(centre, across / 2 + 1.5 / self.scale)

    def spline(self, points: Sequence[XY], *, width: float = 0.0) -> None:
        """A smooth line through points; where it turns back, it does so at one of them."""
        at = np.array([self.at(*p) for p in points])
        along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(at, axis=0).T))])
        line = PchipInterpolator(along, at)(np.linspace(0.0, along[-1], 80))
        self.stroke(np.asarray(line), width or self.ways.thick)

    def grain(self, x0: float, y0: float, x1: float, y1: float, lines: int) -> None:
        """Some wood grain, along x."""
        for _ in range(lines):
            y, (a, b) = float(self.rng.uniform(y0, y1)), np.sort(self.rng.uniform(x0, x1, 2))
            if (b - a) * self.scale > 6.0:
                x = np.linspace(a, b, 10)
                wave = np.clip(y + np.cumsum(self.rng.normal(0, 0.02, 10)) * (y1 - y0), y0, y1)
                points = np.stack([x, -wave], axis=1) * self.scale
                self.stroke(points, 0.7 * self.ways.fine, body=False, level=self.ways.lines)

    def hatch(self, *corners: XY, lean: float = 45.0, pitch: float = 1.6) -> None:
        """Hatch a cut face, `pitch` mm."""
        around = np.array([self.at(*p) for p in corners])
        c, s = math.cos(math.radians(lean)), math.sin(math.radians(lean))
        turned = around @ np.array([[c, s], [-s, c]])  # so that hatching runs along x
        ends = np.stack([turned, np.roll(turned, -1, axis=0)], axis=1)
        for y in np.arange(turned[:, 1].min() + 0.4 * pitch, turned[:, 1].max(), pitch):
            hit = [p + (q - p) * (y - p[1]) / (q[1] - p[1]) for p, q in ends
                   if (p[1] - y) * (q[1] - y) < 0]  # fmt: skip
            xs = sorted(float(h[0]) for h in hit)
            for a, b in zip(xs[::2], xs[1::2], strict=False):
                cut = np.array([(a, y), (b, y)]) @ np.array([[c, -s], [s, c]])
                self.stroke(cut, self.ways.fine, level=self.ways.lines, body=False)

    def zigzag(self, x: float, y0: float, y1: float) -> None:
        """A long break line."""
        middle, d = (y0 + y1) / 2, 1.2 / self.scale
        self.line((x, y0 - d), (x, middle - d), (x - d, middle - d / 2), (x + d, middle + d / 2),
                  (x, middle + d), (x, y1 + d), width=self.ways.thin)  # fmt: skip

    # sizes

    def size(
        self, a: XY, b: XY, side: str, *, tier: float = 1.0, form: str = "{}",
        kind: str = "distance", true: float | None = None, mid: bool = False,
    ) -> None:  # fmt: skip
        """A size outside the part, along x ("N", "S") or y ("E", "W"), in its n-th row.

        `form` holds the number; `true` is its value where the drawing is broken; `mid`: between
        centres.
        """
        way, axis = np.array(WAYS[side]), 0 if side in "NS" else 1
        wide = WIDE_ROW if self.ways.level and side in "EW" else 1.0
        off = self.ways.first * wide**0.5 + (tier - 1) * self.ways.step * wide
        edge = self.reach[{"N": 1, "S": 3, "W": 0, "E": 2}[side]]
        at = edge + float(way[1 - axis]) * off
        ends = []
        for point in (a, b):
            start = self.at(*point)
            end = start.copy()
            end[1 - axis] = at
            self._extend(start, end, mid=mid)
            ends.append(end)
        value = abs(b[axis] - a[axis]) if true is None else true
        self._ask(ends[0], ends[1], value, form, kind)

    def within(self, a: XY, b: XY, *, form: str = "{}") -> None:
        """A size between two edges, its line right across the part."""
        self._ask(self.at(*a), self.at(*b), math.dist(a, b), form, "distance")

    def along(self, a: XY, b: XY, off: float, *, form: str = "{}") -> None:
        """A size along a slope, its line `off` mm to the left of the way from `a` to `b`."""
        p, q = self.at(*a), self.at(*b)
        u = (q - p) / math.dist(p, q)
        out = np.array([u[1], -u[0]]) * off
        for start in (p, q):
            self._extend(start, start + out, mid=False)
        self._ask(p + out, q + out, math.dist(a, b), form, "distance")

    def chain(
        self, points: Sequence[XY], side: str, *, tier: float = 1.0, mid: bool = False
    ) -> None:
        """Sizes one behind the other."""
        for a, b in pairwise(points):
            self.size(a, b, side, tier=tier, mid=mid)

    def from_edge(self, points: Sequence[XY], side: str, *, mid: bool = False) -> None:
        """Sizes that all begin at the first point, a row each."""
        for k, point in enumerate(points[1:]):
            self.size(points[0], point, side, tier=1.0 + k, mid=mid)

    def _extend(self, start: Floats, end: Floats, *, mid: bool) -> None:
        """An extension line; those between centres begin at the centre, as centre lines."""
        far, ways = math.dist(start, end), self.ways
        if far < 0.3:
            return
        u = (end - start) / far
        first = start + ways.gap * u
        dashes: Sequence[float] = SOLID
        if mid:
            first, dashes = start - OVER_CENTRE_MM * u, CENTRE
        elif ways.stub and far > 2 * STUB_MM:
            first = end - STUB_MM * u
        if float((end - first) @ u) < 0:
            first = end
        points = np.stack([first, end + ways.beyond * u])
        self.stroke(points, ways.fine, dashes, level=ways.lines, body=False)

    def _ask(self, a: Floats, b: Floats, value: float, form: str, kind: str) -> None:
        """Keep a size, its ends from left to right, or upwards."""
        if a[0] > b[0] + 0.3 or (abs(a[0] - b[0]) <= 0.3 and a[1] < b[1]):
            a, b = b, a
        right = right_of(self.ways, value)
        self.asked.append(Asked((a, b), right, right, form, kind))

    def angle(self, centre: XY, r: float, start: float, stop: float) -> None:
        """An angle between two edges: an arc with heads, its number outside."""
        x, y = map(float, self.at(*centre))
        arc = rim_points((x, y), r, start, stop)
        self.stroke(arc, self.ways.fine, level=self.ways.lines, body=False)
        for tip, back in ((arc[0], arc[3]), (arc[-1], arc[-4])):
            u = (tip - back) / math.dist(tip, back)
            for m in ENDS[self.ways.tip](tip, u, 0.8 * self.ways.head_mm, self.rng):
                self.marks.append(Tint(points=m.points, width=m.width, level=self.ways.lines))
        mark = write(f"{abs(stop - start):.0f}°", self.letters, self.rng)
        turn, far = math.radians((start + stop) / 2), r + 1.0 + max(mark.size) / 2
        self.marks.append(mark.moved((x + far * math.cos(turn), y - far * math.sin(turn))))

    # notes

    def note(self, text: str, point: XY, by: XY) -> None:
        """A note with a leader to a point; `by` is where it stands from there, mm, y up."""
        self.notes.append(Noted(self.at(*point), by, text))

    def balloon(self, text: str, point: XY, by: XY) -> None:
        """A part's number in a ring."""
        self.notes.append(Noted(self.at(*point), by, text, ringed=True))

    def bore(self, centre: XY, across: float, by: XY, *, form: str = "{}") -> None:
        """A round hole with its diameter at a leader; `form` holds the diameter's text."""
        self.circle(centre, across)
        turn = math.atan2(by[1], by[0])
        u = np.array([math.cos(turn), -math.sin(turn)])
        middle, half = self.at(*centre), u * across / 2 * self.scale
        self._round(
            "diameter", (middle + half, middle - half), across, by, (self.ways.across, form)
        )

    def round(self, centre: XY, r: float, degrees: float, far: float, *, form: str = "{}") -> None:
        """A radius at a leader from outside (`far` > 0) or inside the arc; the arc is drawn."""
        turn = math.radians(degrees)
        u = np.array([math.cos(turn), -math.sin(turn)])
        middle = self.at(*centre)
        by = (far * math.cos(turn), far * math.sin(turn))
        rim = middle + u * r * self.scale
        self._round("radius", (rim, middle), r, by, (self.ways.radius, form))

    def _round(
        self, kind: str, ends: tuple[Floats, Floats], value: float, by: XY, forms: tuple[str, str]
    ) -> None:
        """Keep a note that tells a radius or a diameter; its first end is the leader's tip."""
        right = right_of(self.ways, value)
        text = forms[1].format(forms[0].format(self.spell(right)))
        tip, other = ((float(e[0]), float(e[1])) for e in ends)
        both = (other, tip) if kind == "radius" else (tip, other)
        told = Drawn(kind=kind, ends=both, text=text, printed=right, right=right)
        self.notes.append(Noted(ends[0], by, text, size=told))

    def spell(self, right: Fraction) -> str:
        """As this sheet prints it."""
        return spell(self.ways, right)

    def spell_value(self, value: float) -> str:
        """A length as this sheet prints it."""
        return self.spell(right_of(self.ways, value))

    def words(self, text: str, at: XY, *, turn: float = 0.0, tall: float = 1.0) -> None:
        """Letters whose middle lies at a place of the view, inches."""
        mark = write(text, self.sized(tall), self.rng, turn=turn)
        x, y = self.at(*at)
        self.marks.append(mark.moved((float(x), float(y))))

    def sized(self, tall: float) -> Letters:
        """The letters so many times as high."""
        return replace(self.letters, height=self.letters.height * tall)

    # the whole

    def bounds(self) -> tuple[float, float, float, float]:
        """Box about everything drawn, mm."""
        every = np.concatenate(
            [m.corners() if isinstance(m, Lettered) else m.points for m in self.marks]
        )
        (x0, y0), (x1, y1) = every.min(axis=0), every.max(axis=0)
        return float(x0), float(y0), float(x1), float(y1)
