"""Working drawings that a shop, a school or a magazine issued as sheets of their own.

More than `plates_work_views` has: free curves, cut faces of any shape, lines that say where a
section is taken, chains of sizes, decimals, sizes printed to a sixteenth, views at a scale of
their own that is lettered under them, title strips.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

import numpy as np

from tests.bench.plates_letters import write
from tests.bench.plates_pen import XY, Floats, Head, Lettered, Mark, Rng, arc_points
from tests.bench.plates_views import CENTRE, PLANT_MM, SOLID
from tests.bench.plates_work_views import WorkView

ROW = 2.1  # heights of a letter from the part to its first row of sizes
UPRIGHT_ROW = 2.9  # the same where numbers on standing lines are not turned
BETWEEN_ROWS = 2.5
ROOM_MM = 3.0  # of a dimension line that is left beside a number, with its heads inside
OUTSIDE = 2.2  # lengths of a head that a line reaches beyond a size too short for it
RING = 1.25  # heights of a letter: the radius of a ring about it
DASHED_MM = 18.0  # from so long a line on it is dashed
TICK_MM = 1.2  # that ticks reach into a size
CLEAR_MM = 0.5  # about a number
NEARBY = 400  # marks drawn last that a number is kept clear of
CUT_REACH_MM = 3.0  # of a section's arrows
CUTTING = (7.0, 0.9, 1.0, 0.9, 1.0, 0.9)  # how the line of a section is drawn
USUAL = (
    (25.4, "FULL SIZE"),
    (25.4 / 2, "HALF SIZE"),
    (25.4 / 4, "Scale 3 in. = 1 ft."),
    (25.4 / 8, "Scale 1 1/2 in. = 1 ft."),
    (25.4 / 12, "Scale 1 in. = 1 ft."),
    (25.4 / 16, "Scale 3/4 in. = 1 ft."),
    (25.4 / 24, "Scale 1/2 in. = 1 ft."),
)


def dart(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """A filled triangle three times as long as it is wide, as text books ask for."""
    n, w = np.array([-u[1], u[0]]), size * float(rng.uniform(0.14, 0.19))
    back = tip - size * u
    return [Mark(points=np.stack([tip, back + w * n, back - w * n]))]


def fork(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """Two strokes that bow outwards from the tip and end nearly along the line."""
    n, w = np.array([-u[1], u[0]]), size * float(rng.uniform(0.2, 0.27))
    t = np.linspace(0, 1, 7)[:, None]
    width = float(rng.uniform(0.15, 0.2))
    return [
        Mark(points=tip - size * t * u + side * w * t**0.65 * n, width=width) for side in (-1, 1)
    ]


def tick(tip: Floats, u: Floats, size: float, rng: Rng) -> list[Mark]:
    """A short stroke aslant over the end of the line."""
    turn = math.radians(float(rng.uniform(38, 55)))
    along = np.array([1.0, 0.0]) if abs(u[0]) > abs(u[1]) else np.array([0.0, 1.0])
    across = np.array([along[1], -along[0]])
    way = (math.cos(turn) * along + math.sin(turn) * across) * 0.62 * size
    return [Mark(points=np.stack([tip - way, tip + way]), width=float(rng.uniform(0.24, 0.32)))]


ENDS: dict[str, Head] = {"dart": dart, "fork": fork, "tick": tick}


def bend(centre: XY, radius: float, start: float, stop: float, count: int = 13) -> list[XY]:
    """Points along an arc, inches, degrees anticlockwise."""
    turn = np.radians(np.linspace(start, stop, count))
    x, y = centre[0] + radius * np.cos(turn), centre[1] + radius * np.sin(turn)
    return list(zip(map(float, x), map(float, y), strict=True))


@dataclass(slots=True)
class ShopView(WorkView):
    """A view of a sheet as shops issued it.

    `decimals`: sizes are printed in decimals of an inch; `nearest`: else to such a part of it;
    `sizing`: a size is being drawn.
    """

    decimals: bool = False
    nearest: int = 32
    sizing: bool = False

    def __post_init__(self) -> None:
        """Rows of sizes keep clear of each other, whatever the letters' height."""
        tall = self.manner.letters.height
        first = (UPRIGHT_ROW if self.manner.upright and self.manner.broken else ROW) * tall
        self.manner = replace(
            self.manner,
            first=max(self.manner.first, first),
            step=max(self.manner.step, BETWEEN_ROWS * tall),
            clears=True,
        )

    def in_feet(self) -> None:
        """Print long sizes in feet and inches."""
        self.manner = replace(self.manner, feet=self.manner.feet or 24)

    def at_usual(self) -> str:
        """Take the usual scale next below; return what is lettered about it."""
        fitting = [(s, name) for s, name in USUAL if s <= self.per_inch]
        self.per_inch, name = fitting[0] if fitting else (self.per_inch, "")
        return name

    # lines

    def curve(self, points: Sequence[XY], *, heavy: bool = True) -> None:
        """A smooth line through points: only its two ends stray."""
        plain = np.array([(self.shorten(x), -y) for x, y in points]) * self.per_inch
        off = [np.array(self.at(*points[k])) - plain[k] for k in (0, -1)]
        t = np.linspace(0.0, 1.0, len(plain))[:, None]
        line = plain + (1 - t) * off[0] + t * off[1]
        width = self.manner.thick if heavy else self.manner.thin
        self._stroke(line, width=width, dashes=SOLID, body=True)

    def hatch_in(self, points: Sequence[XY], *, lean: float = 45.0) -> None:
        """Hatch a cut face of any shape."""
        corners = np.array([(self.shorten(x), -y) for x, y in points]) * self.per_inch
        turn = math.radians(lean)
        u, n = (
            np.array([math.cos(turn), -math.sin(turn)]),
            np.array([math.sin(turn), math.cos(turn)]),
        )
        level, along = corners @ n, corners @ u
        pitch = float(self.rng.uniform(0.9, 1.3))
        at = float(level.min()) + 0.4 * pitch
        while at < level.max():
            crossed = sorted(_crossings(level, along, at))
            for a, b in zip(crossed[::2], crossed[1::2], strict=False):
                if b - a > 0.3:
                    ends = np.stack([at * n + a * u, at * n + b * u])
                    self._stroke(ends, width=self.manner.fine, dashes=SOLID, body=False)
            at += pitch * float(self.rng.uniform(0.85, 1.15))

    def cut(self, *points: XY, lean: float = 45.0) -> None:
        """A part cut through: outline and hatching."""
        self.outline(*points)
        self.hatch_in(points, lean=lean)

    def cut_rect(self, x0: float, y0: float, x1: float, y1: float, *, lean: float = 45.0) -> None:
        """A board cut across."""
        self.cut((x0, y0), (x1, y0), (x1, y1), (x0, y1), lean=lean)

    def torn(self, a: XY, b: XY) -> None:
        """Where a piece is broken off: a wavy line from edge to edge."""
        ends = [np.array(self.at(*p)) for p in (a, b)]
        u = (ends[1] - ends[0]) / math.dist(*ends)
        t = np.linspace(0.0, 1.0, 15)
        wave = 0.7 * np.sin(t * math.tau * float(self.rng.uniform(0.8, 1.3)))
        line = ends[0] + t[:, None] * (ends[1] - ends[0])
        line += (wave * np.sin(math.pi * t))[:, None] * np.array([-u[1], u[0]])
        self._stroke(line, width=self.manner.fine, dashes=SOLID, body=False)

    def cut_line(self, a: XY, b: XY, letter: str, way: XY) -> None:
        """Where a section is taken; `way` is where one looks, of paper."""
        ends = [np.array(self.at(*p)) for p in (a, b)]
        u = (ends[1] - ends[0]) / math.dist(*ends)
        look = np.array([way[0], -way[1]])
        for end, out in ((ends[0], -u), (ends[1], u)):
            far = end + out * CUT_REACH_MM
            near = end - out * 0.5
            tip = far + look * CUT_REACH_MM
            line = np.stack([near, far, tip])
            self._stroke(line, width=self.manner.thin * 1.4, dashes=SOLID, body=False)
            self._head(tip, look)
            mark = write(letter, self.manner.captions, self.rng)
            place = far + out * (mark.size[1] / 2 + 0.8) if abs(out[1]) > 0.5 else tip + look * 2.2
            self.marks.append(mark.moved((float(place[0]), float(place[1]))))

    def cross(self, centre: XY, reach: float) -> None:
        """Centre lines of something round, `reach` inches each way."""
        x, y = centre
        self.centre_line((x - reach, y), (x + reach, y))
        self.centre_line((x, y - reach), (x, y + reach))

    def round_centres(self, centre: XY, radius: float) -> None:
        """A ring that centres of holes lie on."""
        points = arc_points(self.at(*centre), radius * self.per_inch, 0.0, 360.0)
        self._stroke(points, width=self.manner.fine, dashes=CENTRE, body=False)

    def grain(self, x0: float, y0: float, x1: float, y1: float, *, lines: int = 5) -> None:
        """Wood grain: long easy waves, many of them broken off."""
        pitch = (y1 - y0) / lines
        for k in range(lines):
            a, b = x0, x1
            if self.rng.random() < 0.7:
                a, b = sorted(map(float, self.rng.uniform(x0, x1, 2)))
            if (b - a) * self.per_inch < 8.0:
                continue
            x = np.linspace(a, b, 40)
            turn, wave = self.rng.uniform(0, math.tau, 2), self.rng.uniform(1.5, 4.0, 2)
            t = (x - x0) / (x1 - x0) * math.tau
            y = y0 + (k + 0.5 + 0.22 * np.sin(wave[0] * t / 2 + turn[0])) * pitch
            y += 0.12 * pitch * np.sin(wave[1] * t + turn[1])
            paper = np.stack([x * self.per_inch, -y * self.per_inch], axis=1)
            self._stroke(paper, width=self.manner.fine * 0.8, dashes=SOLID, body=False)

    # words

    def named(self, *names: tuple[str, float]) -> None:
        """Names of the parts of an assembled view, under it, each about a place along it."""
        low = self.bounds()[3]
        for text, x in names:
            mark = write(text, self.manner.captions, self.rng)
            self.marks.append(mark.moved((self.at(x, 0.0)[0], low + 2.2 + mark.size[1])))

    def stock(self, text: str, at: XY, *, turn: float = 0.0, by: XY = (0.0, 0.0)) -> None:
        """What a part is got out of, lettered at a place of it; `by` in mm from there."""
        x, y = self.at(*at)
        self.words(text, (x + by[0], y - by[1]), turn=turn)

    def mark_part(self, number: int, at: XY, *, by: XY | None = None) -> None:
        """A part's number, in a ring that no grain runs through."""
        was = self.manner
        if by is None:
            around = arc_points(self.at(*at), RING * was.letters.height, 0.0, 360.0)
            self.marks.append(Mark(points=around, blank=True))
        self.manner = replace(was, ringed=True)
        self.ring(str(number), at, by=by)
        self.manner = was

    def below(self, *lines: str) -> None:
        """The view's name and what else stands under it."""
        was = self.manner
        self.manner = replace(was, captions=replace(was.captions, fraction="line"))
        for line in filter(None, lines):
            self.label(line)
        self.manner = was

    # sizes

    def _head(self, tip: Floats, u: Floats) -> None:
        """What ends a size; leaders have heads on every sheet."""
        name = "dart" if self.manner.head == "tick" and not self.sizing else self.manner.head
        size = self.manner.head_mm * float(self.rng.uniform(0.9, 1.15))
        self.marks += ENDS[name](tip, u, size, self.rng)

    def _dashes(self, p: Floats, q: Floats) -> tuple[float, ...]:
        """Dashes for long lines only: a short end beside a number would read as a sign."""
        return self.manner.dimension_dash if math.dist(p, q) > DASHED_MM else SOLID

    def _draw_size(self, a: Floats, b: Floats, text: str) -> None:
        """Draw a size; its number keeps clear of what is drawn already where it can."""
        manner, length = self.manner, math.dist(a, b)
        u = (b - a) / length
        standing = abs(u[1]) > 0.7
        level = manner.upright and manner.broken and standing
        turn = 0.0 if level else math.degrees(math.atan2(-u[1], u[0]))
        mark = write(text, manner.letters, self.rng, turn=turn)
        along, tall = (mark.size[1], mark.size[0]) if level else mark.size
        inside = length > (along if manner.broken else 0.0) + 2 * manner.head_mm + ROOM_MM
        half, out = along / 2 + float(self.rng.uniform(0.7, 1.1)), OUTSIDE * manner.head_mm
        spare = 1.2 + (TICK_MM if manner.head == "tick" else 0.0)
        places = number_places(a, b, half, out, fits=length > along + spare)
        if not manner.broken:
            up = np.array([u[1], -u[0]]) * (tall / 2 + float(self.rng.uniform(0.5, 0.9)))
            places = [place + up for place in places]
        middle = self._clearest(mark, places)
        lines = [(a, b)] if inside else [(a - out * u, a), (b, b + out * u)]
        if manner.broken and inside:
            lines = [(a, middle - half * u), (middle + half * u, b)]
        for p, q in lines:
            self._stroke(np.stack([p, q]), width=manner.fine, dashes=self._dashes(p, q), body=False)
        self.sizing = True
        self._head(a, -u if inside else u)
        self._head(b, u if inside else -u)
        self.sizing = False
        self.marks.append(mark.moved((float(middle[0]), float(middle[1]))))

    def _clearest(self, mark: Lettered, places: list[Floats]) -> Floats:
        """The first place where letters lie on nothing, or on least."""
        ink = np.concatenate([_dots(m) for m in self.marks[-NEARBY:] if not _is_grain(m, self)])
        w, h = mark.size
        turn = math.radians(mark.turn)
        c, s = math.cos(turn), math.sin(turn)
        hits = []
        for place in places:
            x, y = (ink - place).T
            inside = (abs(c * x - s * y) < w / 2 + CLEAR_MM) & (
                abs(s * x + c * y) < h / 2 + CLEAR_MM
            )
            hits.append(int(inside.sum()))
        return places[int(np.argmin(hits))]

    def spell(self, value: Fraction) -> str:
        """Print a length, in decimals where the sheet does so."""
        if not self.decimals:
            return WorkView.spell(self, value)
        text = f"{float(value):.3f}"
        return text.removeprefix("0")

    def chain(self, points: Sequence[XY], side: str, *, tier: int = 1) -> None:
        """Sizes from point to point in one row, short ones last: they find what room is left."""
        axis = 0 if side in "NS" else 1
        for a, b in sorted(pairwise(points), key=lambda ab: -abs(ab[1][axis] - ab[0][axis])):
            self.size(a, b, side, tier=tier)

    def _dimension(self, a: Floats, b: Floats, value: float, crossed: bool) -> None:
        part = 1000 if self.decimals else self.nearest
        right = Fraction(round(value * part), part)
        free = math.dist(a, b) > PLANT_MM and not crossed
        printed = self.plant(right) if free else right
        if self.decimals:
            printed = Fraction(round(printed * part), part)
        if a[0] > b[0] + 1e-6 or (abs(a[0] - b[0]) < 1e-6 and a[1] < b[1]):
            a, b = b, a
        text = self.spell(printed)
        self._draw_size(a, b, text)
        kind = "broken" if crossed else "distance"
        self._tell(kind, (a, b), text, printed=printed, right=right)

    def across(self, centre: XY, diameter: float, degrees: float, word: str = "") -> None:
        """A diameter whose line runs through the middle."""
        middle, reach = np.array(self.at(*centre)), diameter / 2 * self.per_inch
        turn = math.radians(degrees)
        u = np.array([math.cos(turn), -math.sin(turn)])
        right = Fraction(round(diameter * 32), 32)
        text = f"{self.spell(right)} {word}".strip()
        a, b = middle - u * reach, middle + u * reach
        self._draw_size(a, b, text)
        self._tell("diameter", (a, b), text, printed=right, right=right)


def number_places(a: Floats, b: Floats, half: float, out: float, *, fits: bool) -> list[Floats]:
    """Where a number may stand, best first: along its line, or beyond either of its ends."""
    length = math.dist(a, b)
    u, middle = (b - a) / length, (a + b) / 2
    if not fits:
        return [b + u * (out + half), a - u * (out + half)]
    slack = max(length / 2 - half - out, 0.0)
    return [middle + share * slack * u for share in (0.0, 0.12, -0.12, 0.35, -0.35, 0.7, -0.7)]


def _dots(mark: Mark | Lettered) -> Floats:
    """Points all over a mark, mm."""
    if isinstance(mark, Lettered):
        p, q, _, s = mark.corners()
        grid = np.stack(np.meshgrid(np.linspace(0, 1, 12), np.linspace(0, 1, 6)), -1).reshape(-1, 2)
        return np.asarray(p + grid[:, :1] * (q - p) + grid[:, 1:] * (s - p))
    legs = np.hypot(*np.diff(mark.points, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(legs)])
    at = np.linspace(0.0, along[-1], max(2, int(along[-1] / 0.4)))
    return np.stack([np.interp(at, along, mark.points[:, k]) for k in (0, 1)], axis=1)


def _is_grain(mark: Mark | Lettered, view: ShopView) -> bool:
    """Whether a mark is left out behind a number anyway."""
    return isinstance(mark, Mark) and (mark.blank or 0 < mark.width < 0.85 * view.manner.fine)


def _crossings(level: Floats, along: Floats, at: float) -> list[float]:
    """Where a closed line crosses a level."""
    found = []
    for k in range(len(level)):
        p, q = float(level[k - 1]), float(level[k])
        if (p < at) != (q < at):
            t = (at - p) / (q - p)
            found.append(float(along[k - 1] + t * (along[k] - along[k - 1])))
    return found
