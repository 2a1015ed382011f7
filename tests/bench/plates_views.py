"""Views of a working drawing in the making, with their sizes as an old draughtsman wrote them."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

import numpy as np

from tests.bench.hand_views import Drawn
from tests.bench.plates_letters import Letters, write
from tests.bench.plates_pen import (
    HEADS,
    XY,
    Floats,
    Lettered,
    Mark,
    Rng,
    arc_points,
)

Dashes = tuple[float, ...]
SOLID: Dashes = ()
HIDDEN: Dashes = (1.7, 0.9)
CENTRE: Dashes = (5.5, 0.9, 1.1, 0.9)
WAYS = {"N": (0.0, 1.0), "S": (0.0, -1.0), "E": (1.0, 0.0), "W": (-1.0, 0.0)}
PLANT_MM = 12.0  # of paper: on a shorter size 6 % is what a pen strays
WIDE_ROW = 1.8  # between rows of upright numbers side by side, to those between rows above
TIGHT_MM = 0.9  # of a dimension line's dash that is left beside a number


@dataclass(frozen=True, slots=True, kw_only=True)
class Manner:
    """One draughtsman's ways; lengths in mm of the paper.

    Attributes
    ----------
    letters, captions : Letters
        Of sizes and notes; of the names of views.
    mark : str
        After inches: a second mark or nothing.
    feet : int
        Sizes from so many inches on are printed in feet and inches; 0: never.
    joint : str
        Between feet and inches.
    broken : bool
        Numbers stand in a break of the line, else above it.
    upright : bool
        Numbers on standing lines are not turned.
    dimension_dash, extension_dash : tuple of float
    mark_on : str
        "all", or after "fraction" only.
    zero : bool
        Whole feet have their `-0"`.
    clears : bool
        Grain and hatching are left out behind numbers.
    ringed : bool
        Letters of parts stand in rings.
    """

    letters: Letters
    captions: Letters
    mark: str
    feet: int
    joint: str
    broken: bool
    upright: bool
    dimension_dash: Dashes
    extension_dash: Dashes
    fine: float
    thin: float
    thick: float
    head: str
    head_mm: float
    first: float
    step: float
    gap: float
    beyond: float
    drafting: float
    radius: str
    mark_on: str = "all"
    zero: bool = True
    clears: bool = False
    ringed: bool = False


@dataclass(slots=True)
class View:
    """A view: `per_inch` mm of paper to an inch; x to the right and y up, inches."""

    manner: Manner
    per_inch: float
    rng: Rng
    plant: Callable[[Fraction], Fraction] = lambda right: right
    marks: list[Mark | Lettered] = field(default_factory=list)
    drawn: list[Drawn] = field(default_factory=list)
    box: list[float] = field(default_factory=lambda: [math.inf, math.inf, -math.inf, -math.inf])
    strayed: dict[tuple[str, float], float] = field(default_factory=dict)
    rows: dict[tuple[str, int], float] = field(default_factory=dict)
    broken: tuple[float, float] | None = None
    pictorial: bool = False

    # places

    def at(self, x: float, y: float) -> XY:
        """Where a point lies on the paper; the same edge strays the same everywhere."""
        dx, dy = self._stray("x", x), self._stray("y", y)
        return self.shorten(x) * self.per_inch + dx, -y * self.per_inch + dy

    def shorten(self, x: float) -> float:
        """Take out what is broken away."""
        if self.broken is None or x <= self.broken[0]:
            return x
        return max(x - self.broken[1] + self.broken[0], self.broken[0])

    def _stray(self, axis: str, value: float) -> float:
        key = (axis, round(value, 4))
        if key not in self.strayed:
            most = 2 * self.manner.drafting
            off = float(np.clip(self.rng.normal(0, self.manner.drafting), -most, most))
            self.strayed[key] = off
        return self.strayed[key]

    # lines

    def path(
        self, points: Sequence[XY], *, width: float = 0.0, dashes: Dashes = SOLID, body: bool = True
    ) -> None:
        """Draw through points; `body` marks count for how far the part reaches."""
        on_paper = np.array([self.at(*p) for p in points], float)
        self._stroke(on_paper, width=width or self.manner.thin, dashes=dashes, body=body)

    def _stroke(self, points: Floats, *, width: float, dashes: Dashes, body: bool) -> None:
        self.marks.append(Mark(points=points, width=width, dashes=dashes))
        if body:
            low, high = points.min(axis=0), points.max(axis=0)
            self.box = [
                min(self.box[0], low[0]), min(self.box[1], low[1]),
                max(self.box[2], high[0]), max(self.box[3], high[1]),
            ]  # fmt: skip

    def outline(self, *points: XY) -> None:
        """A closed heavy outline."""
        self.path([*points, points[0]], width=self.manner.thick)

    def rect(self, x0: float, y0: float, x1: float, y1: float, *, heavy: bool = True) -> None:
        """A rectangle, heavy or thin."""
        width = self.manner.thick if heavy else self.manner.thin
        self.path([(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)], width=width)

    def hidden(self, *points: XY) -> None:
        """A hidden edge."""
        self.path(points, dashes=HIDDEN)

    def centre_line(self, *points: XY) -> None:
        """A centre line; it does not count as a part of the body."""
        self.path(points, width=self.manner.fine, dashes=CENTRE, body=False)

    def arc(
        self, centre: XY, radius: float, start: float, stop: float, *, heavy: bool = True
    ) -> None:
        """An arc, degrees anticlockwise."""
        width = self.manner.thick if heavy else self.manner.thin
        points = arc_points(self.at(*centre), radius * self.per_inch, start, stop)
        self._stroke(points, width=width, dashes=SOLID, body=True)

    def grain(self, x0: float, y0: float, x1: float, y1: float, *, lines: int = 5) -> None:
        """Wood grain: wavy fine lines, some broken off."""
        for k in range(lines):
            y = y0 + (y1 - y0) * (k + float(self.rng.uniform(0.2, 0.8))) / lines
            a, b = sorted(self.rng.uniform(x0, x1, 2)) if self.rng.random() < 0.6 else (x0, x1)
            if (b - a) * self.per_inch < 3.0:
                continue
            x = np.linspace(a, b, 12)
            wave = np.cumsum(self.rng.normal(0, 0.12, 12)) * (y1 - y0) / lines
            points = np.stack([x, np.clip(y + wave, y0, y1)], axis=1)
            paper = np.stack([points[:, 0] * self.per_inch, -points[:, 1] * self.per_inch], axis=1)
            self._stroke(paper, width=self.manner.fine * 0.8, dashes=SOLID, body=False)

    def hatch(self, x0: float, y0: float, x1: float, y1: float, *, lean: float = 45.0) -> None:
        """Hatch a cut face."""
        (a, d), (c, b) = self.at(x0, y0), self.at(x1, y1)
        slope = math.tan(math.radians(lean))
        pitch = float(self.rng.uniform(0.8, 1.3))
        x = a - (d - b) / slope
        while x < c:
            low, high = max(x, a), min(x + (d - b) / slope, c)
            if high - low > 0.3:
                ends = np.array([(low, d - (low - x) * slope), (high, d - (high - x) * slope)])
                self._stroke(ends, width=self.manner.fine, dashes=SOLID, body=False)
            x += pitch * float(self.rng.uniform(0.8, 1.2))

    # words

    def spell(self, value: Fraction) -> str:
        """Print a length."""
        manner, feet = self.manner, 0
        if manner.feet and value >= manner.feet:
            feet, value = divmod(value, 12)
        whole, rest = divmod(value, 1)
        inches = f"{whole} " if whole or feet or not rest else ""
        inches += f"{rest.numerator}/{rest.denominator}" if rest else ""
        mark = '"' if feet else manner.mark
        return (f"{feet}'{manner.joint}" if feet else "") + inches.strip() + mark

    def words(
        self, text: str, at: XY, *, letters: Letters | None = None, turn: float = 0.0
    ) -> None:
        """Letters whose middle lies at a place of the paper."""
        mark = write(text, letters or self.manner.letters, self.rng, turn=turn)
        self.marks.append(mark.moved(at))

    def label(self, text: str) -> None:
        """The view's name under everything drawn so far."""
        x0, _, x1, y1 = self.bounds()
        mark = write(text, self.manner.captions, self.rng)
        self.marks.append(mark.moved(((x0 + x1) / 2, y1 + 2.2 + mark.size[1])))

    def note(self, text: str, point: XY, by: XY) -> None:
        """A note with a leader to a point of the part; `by` is where it stands from there, mm."""
        tip = np.array(self.at(*point))
        knee = tip + np.array([by[0], -by[1]])
        u = (tip - knee) / max(math.dist(tip, knee), 1e-9)
        side = 1.0 if by[0] >= 0 else -1.0
        tail = knee + np.array([side * 2.5, 0.0])
        self._stroke(np.stack([tail, knee, tip]), width=self.manner.fine, dashes=SOLID, body=False)
        self._head(tip, u)
        mark = write(text, self.manner.letters, self.rng)
        self.marks.append(mark.moved((tail[0] + side * (mark.size[0] / 2 + 0.9), tail[1])))

    # sizes

    def size(self, a: XY, b: XY, side: str, *, tier: int = 1) -> None:
        """A size outside the part, along x ("N", "S") or y ("E", "W"), in its n-th row."""
        way = np.array(WAYS[side]) * (1.0, -1.0)
        axis = 0 if side in "NS" else 1
        edge = self.box[{"N": 1, "S": 3, "W": 0, "E": 2}[side]]
        wide = WIDE_ROW if self.manner.upright and side in "EW" else 1.0
        off = self.manner.first + (tier - 1) * self.manner.step * wide
        row = self.rows.setdefault((side, tier), float(self.rng.uniform(-0.3, 0.3)))
        line = edge + float(way[1 - axis]) * (off + row)
        ends = []
        for point in (a, b):
            start = np.array(self.at(*point))
            start[axis] += float(np.clip(self.rng.normal(0, 0.3), -0.5, 0.5)) * self.manner.drafting
            end = start.copy()
            end[1 - axis] = line
            stop = end + way * self.manner.beyond
            first = start + way * self.manner.gap
            self._stroke(
                np.stack([first, stop]), width=self.manner.fine,
                dashes=self.manner.extension_dash, body=False,
            )  # fmt: skip
            ends.append(end)
        self._dimension(ends[0], ends[1], abs(b[axis] - a[axis]), self._crossed(a, b))

    def within(self, a: XY, b: XY) -> None:
        """A size between two edges, the line right across the part."""
        ends = [np.array(self.at(*p)) for p in (a, b)]
        self._dimension(*ends, math.dist(a, b), self._crossed(a, b))

    def _crossed(self, a: XY, b: XY) -> bool:
        low, high = min(a[0], b[0]), max(a[0], b[0])
        return self.broken is not None and low < self.broken[0] and high > self.broken[1]

    def _dimension(self, a: Floats, b: Floats, value: float, crossed: bool) -> None:
        right = Fraction(round(value * 32), 32)
        long_enough = math.dist(a, b) > PLANT_MM and not crossed
        printed = self.plant(right) if long_enough else right
        text = self.spell(printed)
        if a[0] > b[0] + 1e-6 or (abs(a[0] - b[0]) < 1e-6 and a[1] < b[1]):
            a, b = b, a
        self._draw_size(a, b, text)
        kind = "broken" if crossed else "distance"
        self._tell(kind, (a, b), text, printed=printed, right=right)

    def _tell(
        self, kind: str, ends: tuple[Floats, Floats], text: str, *, printed: Fraction,
        right: Fraction,
    ) -> None:  # fmt: skip
        (x0, y0), (x1, y1) = (map(float, end) for end in ends)
        self.drawn.append(
            Drawn(
                kind=kind, ends=((x0, y0), (x1, y1)), text=text, printed=printed, right=right,
                pictorial=self.pictorial,
            )
        )  # fmt: skip

    def _draw_size(self, a: Floats, b: Floats, text: str) -> None:
        manner, rng = self.manner, self.rng
        length = math.dist(a, b)
        u = (b - a) / length
        standing = abs(u[1]) > 0.7
        turned = standing and not (manner.upright and manner.broken)
        turn = math.degrees(math.atan2(-u[1], u[0])) if turned or not standing else 0.0
        mark = write(text, manner.letters, rng, turn=turn)
        along = mark.size[0] if turned or not standing else mark.size[1]
        heads = 2 * manner.head_mm
        inside = length > along + heads + 2 * TIGHT_MM + 1.2
        if not manner.broken:
            inside = length > heads + 1.5
        fits = length > along + 1.2
        middle = (a + b) / 2 + u * float(rng.uniform(-0.06, 0.06)) * max(length - along - heads, 0)
        half = along / 2 + float(rng.uniform(0.7, 1.1))
        out = 2.2 * manner.head_mm
        lines = [(a, b)] if inside else [(a - out * u, a), (b, b + out * u)]
        if manner.broken and inside:
            lines = [(a, middle - half * u), (middle + half * u, b)]
        elif manner.broken and not fits:
            middle = b + u * (out + half)
        elif not manner.broken:
            off = mark.size[1] / 2 + float(rng.uniform(0.5, 0.9))
            up = np.array([u[1], -u[0]])
            if not inside and not fits:
                middle = b + u * (0.5 * out + along / 2)
            middle = middle + up * off
        for p, q in lines:
            self._stroke(np.stack([p, q]), width=manner.fine, dashes=self._dashes(p, q), body=False)
        self._head(a, -u if inside else u)
        self._head(b, u if inside else -u)
        self.marks.append(mark.moved((float(middle[0]), float(middle[1]))))

    def _dashes(self, p: Floats, q: Floats) -> Dashes:
        return self.manner.dimension_dash if math.dist(p, q) > 6.0 else SOLID

    def _head(self, tip: Floats, u: Floats) -> None:
        size = self.manner.head_mm * float(self.rng.uniform(0.8, 1.2))
        self.marks += HEADS[self.manner.head](tip, u, size, self.rng)

    def beside(self, a: XY, b: XY, side: str) -> None:
        """A size at an edge without a line of its own."""
        p, q = (np.array(self.at(*point)) for point in (a, b))
        right = Fraction(round(math.dist(a, b) * 32), 32)
        text = self.spell(right)
        standing = side in "EW" and not self.manner.upright
        mark = write(text, self.manner.letters, self.rng, turn=90.0 if standing else 0.0)
        way = np.array(WAYS[side]) * (1.0, -1.0)
        deep = mark.size[0] if side in "EW" and not standing else mark.size[1]
        place = (p + q) / 2 + way * (deep / 2 + float(self.rng.uniform(0.9, 1.5)))
        self.marks.append(mark.moved((float(place[0]), float(place[1]))))
        self._tell("beside", (p, q), text, printed=right, right=right)

    def radius(self, centre: XY, radius: float, degrees: float, *, behind: bool = False) -> None:
        """A radius: a line from the centre with one head at the arc; or the number behind it."""
        middle = np.array(self.at(*centre))
        u = np.array([math.cos(math.radians(degrees)), -math.sin(math.radians(degrees))])
        tip = middle + u * radius * self.per_inch
        right = Fraction(round(radius * 32), 32)
        text = self.manner.radius.format(self.spell(right))
        turn = (degrees + 90) % 180 - 90
        mark = write(text, self.manner.letters, self.rng, turn=turn)
        length, along = math.dist(middle, tip), mark.size[0]
        for lean in (0.0, 90.0):
            c = arc_points((float(middle[0]), float(middle[1])), 0.8, lean, lean + 180)[[0, -1]]
            self._stroke(c, width=self.manner.fine, dashes=SOLID, body=False)
        if behind:
            at = middle - u * (along / 2 + 1.4)
            parts = [(middle, tip)]
        elif length > along + 8.0:
            half = along / 2 + 0.8
            at = (middle + tip) / 2
            parts = [(middle, at - half * u), (at + half * u, tip)]
        else:
            at = tip + u * (5.0 + along / 2)
            parts = [(tip + 4.2 * u, tip)]
            u = -u
        for p, q in parts:
            self._stroke(np.stack([p, q]), width=self.manner.fine, dashes=SOLID, body=False)
        self._head(tip, u)
        self.marks.append(mark.moved((float(at[0]), float(at[1]))))
        self._tell("radius", (middle, tip), text, printed=right, right=right)

    def hole(self, centre: XY, across: float, word: str, by: XY) -> None:
        """A round hole with a leader note."""
        right = Fraction(round(across * 32), 32)
        text = f"{self.spell(right)} {word}"
        self.arc(centre, across / 2, 0.0, 360.0)
        turn = math.atan2(by[1], by[0])
        rim = (centre[0] + across / 2 * math.cos(turn), centre[1] + across / 2 * math.sin(turn))
        self.note(text, rim, by)
        middle, u = np.array(self.at(*centre)), np.array([math.cos(turn), -math.sin(turn)])
        half = u * across / 2 * self.per_inch
        self._tell("diameter", (middle - half, middle + half), text, printed=right, right=right)

    def break_across(self, x: float, y0: float, y1: float) -> None:
        """Two wavy break lines where a part of the length is left out, and nothing between."""
        y = np.linspace(y0, y1, 9)
        middle, _ = self.at(x, y0)
        sides = [
            np.stack([middle + self.rng.normal(0, 0.3, 9) + side * 1.2, -y * self.per_inch], axis=1)
            for side in (-1, 1)
        ]
        self.marks.append(Mark(points=np.concatenate([sides[0], sides[1][::-1]]), blank=True))
        for points in sides:
            self._stroke(points, width=self.manner.fine, dashes=SOLID, body=False)

    # the whole

    def bounds(self) -> tuple[float, float, float, float]:
        """Box about everything drawn, mm."""
        corners = [m.corners() if isinstance(m, Lettered) else m.points for m in self.marks]
        every = np.concatenate(corners)
        return (*map(float, every.min(axis=0)), *map(float, every.max(axis=0)))

    def moved(self, by: XY) -> tuple[list[Mark | Lettered], list[Drawn]]:
        """Marks and sizes, moved to a place of the page."""
        drawn = [
            replace(d, ends=tuple((x + by[0], y + by[1]) for x, y in d.ends)) for d in self.drawn
        ]
        return [m.moved(by) for m in self.marks], drawn
