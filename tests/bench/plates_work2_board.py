"""A view of the later working drawings in the making: its edges, and which sizes are asked for.

Dimension lines and numbers come last (`plates_work2_numbers`), when all that they must keep off is
known, as on a board.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import pairwise

import numpy as np
from scipy.interpolate import CubicSpline

from tests.bench.hand_views import Drawn
from tests.bench.plates_pen import XY, Floats, Lettered, Mark, Rng
from tests.bench.plates_real2_ink import Tint
from tests.bench.plates_work2_letters import Lettering, letter
from tests.bench.plates_work2_ways import Ways, right_of, snap, spell

HIDDEN = (2.4, 1.1)
CENTRE = (8.0, 1.2, 1.8, 1.2)
GHOST = (7.0, 1.2, 1.4, 1.0, 1.4, 1.2)
SAMPLE_MM = 0.3  # between the points that a number keeps off
HATCH_MM = 2.0
SCREEN_MM = 0.45  # between the dots of a coarse screen
LETTERS, INK = -2, -1  # whose points they are, if no size's


@dataclass(slots=True)
class Asked:
    """A size that is asked for: where its feet stand, and its ends, mm of the view."""

    feet: tuple[Floats, Floats]
    axis: str  # "h", "v" or "s", sloped
    side: str  # N, E, S, W, or "" where `line` is told
    right: Fraction
    printed: Fraction
    form: str
    line: float = 0.0  # where the dimension line stands across; sloped: how far off its feet
    group: int = -1  # members of a chain share a line
    kind: str = "distance"
    centred: tuple[bool, bool] = (False, False)

    @property
    def ends(self) -> tuple[Floats, Floats]:
        """On the dimension line."""
        a, b = self.feet
        if self.axis == "h":
            return np.array([a[0], self.line]), np.array([b[0], self.line])
        if self.axis == "v":
            return np.array([self.line, a[1]]), np.array([self.line, b[1]])
        u = (b - a) / max(math.dist(a, b), 1e-9)
        off = self.line * np.array([u[1], -u[0]])
        return a + off, b + off

    @property
    def long(self) -> float:
        """On the paper, mm."""
        return math.dist(*self.ends)


@dataclass(slots=True)
class Noted:
    """A note at a leader: its tip, where its text should stand from there, a size it tells."""

    tip: Floats
    by: XY
    text: str
    ringed: bool = False
    size: Drawn | None = None
    head: bool = True


@dataclass(slots=True)
class Board:
    """A view: `scale` mm of paper to an inch; x to the right and y up, inches."""

    ways: Ways
    letters: Lettering
    scale: float
    rng: Rng
    title: str = ""
    under: list[Mark | Lettered] = field(default_factory=list)
    marks: list[Mark | Lettered] = field(default_factory=list)
    asked: list[Asked] = field(default_factory=list)
    notes: list[Noted] = field(default_factory=list)
    drawn: list[Drawn] = field(default_factory=list)
    cloud: list[tuple[Floats, int]] = field(default_factory=list)
    strayed: dict[tuple[str, float], float] = field(default_factory=dict)
    groups: int = 0
    beside: bool = True  # whether it shares its base line with its row

    # places

    def snap(self, value: float, step: float = 0.25) -> float:
        """The nearest length that is usual here."""
        return snap(self.ways, value, step)

    def some(self, low: float, high: float, step: float = 0.25) -> float:
        """A usual length between two."""
        return snap(self.ways, float(self.rng.uniform(low, high)), step)

    def say(self, value: float) -> str:
        """A length as this sheet prints it."""
        return spell(self.ways, right_of(self.ways, value))

    def stock(self, inches: float, mm: float) -> float:
        """A bought thickness, inches."""
        return mm / 25.4 if self.ways.metric else inches

    def at(self, x: float, y: float) -> Floats:
        """Where a point lies on the paper; the same edge strays the same everywhere."""
        return np.array(
            [x * self.scale + self._stray("x", x), -y * self.scale + self._stray("y", y)]
        )

    def _stray(self, axis: str, value: float) -> float:
        key = (axis, round(value, 3))
        if key not in self.strayed:
            off = float(np.clip(self.rng.normal(0, 1), -2, 2))
            self.strayed[key] = off * self.ways.stray
        return self.strayed[key]

    # lines

    def stroke(
        self, points: Floats, width: float, dashes: Sequence[float] = (), *, body: bool = True
    ) -> None:
        """A stroke in mm of the paper; numbers keep off it."""
        self.marks.append(Mark(points=points, width=width, dashes=tuple(dashes)))
        if body:
            self.keep_off(points)

    def keep_off(self, points: Floats, owner: int = INK) -> None:
        """Tell numbers where ink stands."""
        for a, b in pairwise(points):
            count = max(2, int(math.dist(a, b) / SAMPLE_MM) + 1)
            self.cloud.append((a + np.linspace(0, 1, count)[:, None] * (b - a), owner))

    def line(self, *points: XY, width: float = 0.0, dashes: Sequence[float] = ()) -> None:
        """An edge from point to point."""
        self.stroke(np.array([self.at(*p) for p in points]), width or self.ways.thick, dashes)

    def shape(self, *points: XY, width: float = 0.0) -> None:
        """A closed outline."""
        self.line(*points, points[0], width=width)

    def rect(self, x0: float, y0: float, x1: float, y1: float) -> None:
        """A board."""
        self.shape((x0, y0), (x1, y0), (x1, y1), (x0, y1))

    def thin(self, *points: XY) -> None:
        """A lesser edge."""
        self.line(*points, width=self.ways.thin)

    def hidden(self, *points: XY) -> None:
        """A hidden edge."""
        self.line(*points, width=self.ways.thin, dashes=HIDDEN)

    def hidden_rect(self, x0: float, y0: float, x1: float, y1: float) -> None:
        """A hidden board."""
        self.hidden((x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0))

    def ghost(self, *points: XY) -> None:
        """Where something else stands."""
        self.line(*points, width=self.ways.fine, dashes=GHOST)

    def centre(self, a: XY, b: XY) -> None:
        """A centre line."""
        points = np.array([self.at(*a), self.at(*b)])
        self.stroke(points, self.ways.fine, CENTRE)

    def arc(
        self, middle: XY, r: float, start: float = 0.0, stop: float = 360.0, *,
        width: float = 0.0, dashes: Sequence[float] = (),
    ) -> None:  # fmt: skip
        """An arc, degrees anticlockwise."""
        count = max(12, int(abs(stop - start) / 5))
        t = np.radians(np.linspace(start, stop, count + 1))
        points = self.at(*middle) + r * self.scale * np.stack([np.cos(t), -np.sin(t)], axis=1)
        self.stroke(points, width or self.ways.thick, dashes)

    def hole(self, middle: XY, across: float, *, arm: float = 1.6) -> None:
        """A round hole with its centre lines."""
        self.arc(middle, across / 2)
        self.cross(middle, across / 2 + arm / self.scale)

    def cross(self, middle: XY, arm: float) -> None:
        """Short centre lines."""
        x, y = self.at(*middle)
        a = arm * self.scale
        for points in ([(x - a, y), (x + a, y)], [(x, y - a), (x, y + a)]):
            self.stroke(np.array(points), self.ways.fine, CENTRE if a > 6 else ())

    def curve(self, *points: XY, width: float = 0.0, dashes: Sequence[float] = ()) -> None:
        """A smooth line through points."""
        at = np.array([self.at(*p) for p in points])
        along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(at, axis=0).T))])
        count = max(20, int(along[-1] / 1.5))
        line = CubicSpline(along, at)(np.linspace(0.0, along[-1], count))
        self.stroke(np.asarray(line), width or self.ways.thick, dashes)

    def hatch(self, *corners: XY, lean: float = 45.0, pitch: float = HATCH_MM) -> None:
        """Hatch a cut face."""
        around = np.array([self.at(*p) for p in corners])
        c, s = math.cos(math.radians(lean)), math.sin(math.radians(lean))
        spun = around @ np.array([[c, s], [-s, c]])
        sides = list(zip(spun, np.roll(spun, -1, axis=0), strict=True))
        for y in np.arange(spun[:, 1].min() + 0.3 * pitch, spun[:, 1].max(), pitch):
            xs = sorted(float(p[0] + (q[0] - p[0]) * (y - p[1]) / (q[1] - p[1]))
                        for p, q in sides if (p[1] - y) * (q[1] - y) < 0)  # fmt: skip
            for a, b in zip(xs[::2], xs[1::2], strict=False):
                cut = np.array([(a, y), (b, y)]) @ np.array([[c, -s], [s, c]])
                self.under.append(Mark(points=cut, width=self.ways.fine))

    def tone(self, *corners: XY, level: int = 0) -> None:
        """Tone a face, where the sheet does so."""
        if self.ways.tint < 255:
            at = np.array([self.at(*p) for p in corners])
            self.under += toned(at, level or self.ways.tint, screened=self.ways.screened)

    def break_line(self, x: float, y0: float, y1: float) -> None:
        """A long break line, upright, with a zigzag."""
        m, d = (y0 + y1) / 2, 1.3 / self.scale
        self.thin((x, y0 - 1.5 * d), (x, m - d), (x - d, m - d / 2), (x + d, m + d / 2),
                  (x, m + d), (x, y1 + 1.5 * d))  # fmt: skip

    # sizes

    def size(
        self, a: XY, b: XY, side: str = "", *, at: float | None = None, form: str = "{}",
        centred: tuple[bool, bool] = (False, False), group: int = -1, right: float | None = None,
        kind: str = "distance", way: str = "",
    ) -> None:  # fmt: skip
        """Ask for a level or upright size on a side, or with its line at a place, inches.

        `way`, "h" or "v", tells which where feet differ both ways.
        """
        level = side in ("N", "S") if side else (way or _way(a, b)) == "h"
        k = 0 if level else 1
        value = abs(a[k] - b[k]) if right is None else right
        exact = right_of(self.ways, value)
        line = 0.0
        if at is not None:
            line = float(self.at(0, at)[1] if level else self.at(at, 0)[0])
        self.asked.append(Asked(
            feet=(self.at(*a), self.at(*b)), axis="h" if level else "v", side=side, right=exact,
            printed=exact, form=form, line=line, group=group, kind=kind, centred=centred,
        ))  # fmt: skip

    def upright(self, x: float, y0: float, y1: float, form: str = "{}") -> None:
        """An upright size between two level edges, its line at a place within the part."""
        self.size((x, y0), (x, y1), at=x, form=form)

    def level(self, y: float, x0: float, x1: float, form: str = "{}") -> None:
        """A level size between two upright edges, its line at a place within the part."""
        self.size((x0, y), (x1, y), at=y, form=form)

    def chain(self, side: str, level: float, *places: float, centred: Sequence[int] = ()) -> None:
        """Sizes from place to place on one line; `centred` tells which places are centres."""
        self.groups += 1
        for k in range(len(places) - 1):
            a, b = ((v, level) if side in ("N", "S") else (level, v) for v in places[k : k + 2])
            self.size(a, b, side, group=self.groups, centred=(k in centred, k + 1 in centred))

    def slope(self, a: XY, b: XY, off: float, *, right: float | None = None) -> None:
        """A size along a sloping edge, its line so many mm to the left of it."""
        value = math.dist(a, b) if right is None else right
        exact = right_of(self.ways, value)
        self.asked.append(Asked(
            feet=(self.at(*a), self.at(*b)), axis="s", side="", right=exact, printed=exact,
            form="{}", line=off,
        ))  # fmt: skip

    # notes

    def note(self, tip: XY, text: str, by: XY) -> None:
        """A note at a leader; `by` in mm, x to the right and y up."""
        self.notes.append(Noted(self.at(*tip), (by[0], -by[1]), text))

    def balloon(self, tip: XY, text: str, by: XY) -> None:
        """A part's number in a ring."""
        self.notes.append(
            Noted(self.at(*tip), (by[0], -by[1]), text, ringed=True, head=self.rng.random() < 0.3)
        )

    def radius(self, middle: XY, r: float, angle: float, out: float = 7.0) -> None:
        """Tell a radius at a leader that leaves its arc at some degrees, `out` mm."""
        value = right_of(self.ways, r)
        said = self.ways.radius.format(spell(self.ways, value))
        centre, u = self.at(*middle), _heading(angle)
        ends = _xy(centre), _xy(centre + r * self.scale * u)
        size = Drawn(kind="radius", ends=ends, text=said, printed=value, right=value)
        self.notes.append(Noted(np.array(ends[1]), _xy(out * u), said, size=size))

    def diameter(
        self, middle: XY, across: float, angle: float, out: float = 8.0, form: str = ""
    ) -> None:
        """Tell a diameter at a leader."""
        value = right_of(self.ways, across)
        said = (form or self.ways.across).format(spell(self.ways, value))
        centre, u = self.at(*middle), _heading(angle)
        arm = across / 2 * self.scale * u
        ends = _xy(centre - arm), _xy(centre + arm)
        size = Drawn(kind="diameter", ends=ends, text=said, printed=value, right=value)
        self.notes.append(Noted(np.array(ends[1]), _xy(out * u), said, size=size))

    def label(self, text: str, at: XY, tall: float = 1.0, turn: float = 0.0) -> None:
        """Letters in their place, inches."""
        self.put(
            letter(text, self.letters.sized(tall), self.rng, turn=turn).moved(_xy(self.at(*at)))
        )

    def put(self, mark: Lettered) -> None:
        """Letters, and that nothing may stand on them."""
        self.marks.append(mark)
        self.cloud.append((grid_of(mark), LETTERS))

    def cut_letter(self, name: str, a: XY, b: XY, way: XY) -> None:
        """A cutting plane from a to b, its arrows that way, its letter at both."""
        for p in (a, b):
            q = self.at(*p)
            tip = q + 4.5 * np.array([way[0], -way[1]])
            self.stroke(np.array([q, tip]), self.ways.thick)
            u = np.array([way[0], -way[1]], float)
            n = np.array([-u[1], u[0]])
            self.marks.append(Mark(points=np.array([tip + 1.5 * u, tip + 0.7 * n, tip - 0.7 * n])))
            self.put(letter(name, self.letters.sized(1.3), self.rng).moved(_xy(q - 2.6 * u)))
        self.line(a, b, width=self.ways.thick, dashes=GHOST)

    def bounds(self) -> tuple[float, float, float, float]:
        """Left, top, right, low of all that is drawn, mm."""
        marks = [*self.under, *self.marks]
        points = np.concatenate(
            [m.points if isinstance(m, Mark) else m.corners() for m in marks] or [np.zeros((1, 2))]
        )
        (a, b), (c, d) = points.min(axis=0), points.max(axis=0)
        return float(a), float(b), float(c), float(d)


def toned(corners: Floats, level: int, *, screened: bool) -> list[Mark]:
    """A face in some gray, or in the dots of a press's screen."""
    if not screened:
        return [Tint(points=corners, level=level)]
    low, high = corners.min(axis=0), corners.max(axis=0)
    x, y = np.meshgrid(*(np.arange(a, b, SCREEN_MM) for a, b in zip(low, high, strict=True)))
    x = x + (np.arange(len(y)) % 2)[:, None] * SCREEN_MM / 2
    middles = np.stack([x.ravel(), y.ravel()], axis=1)
    inside = np.zeros(len(middles), bool)
    for p, q in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        over = (p[1] > middles[:, 1]) != (q[1] > middles[:, 1])
        rise = q[1] - p[1] if q[1] != p[1] else 1.0
        inside ^= over & (middles[:, 0] < p[0] + (q[0] - p[0]) * (middles[:, 1] - p[1]) / rise)
    r = SCREEN_MM * math.sqrt((1 - level / 255) / math.pi)
    t = np.radians(np.arange(0, 360, 60))
    ring = r * np.stack([np.cos(t), np.sin(t)], axis=1)
    return [Mark(points=m + ring) for m in middles[inside]]


def grid_of(mark: Lettered, pad: float = 0.3) -> Floats:
    """Points all over the box of some letters."""
    p, q, _, s = mark.corners()
    w, h = math.dist(p, q), math.dist(p, s)
    across = np.linspace(-pad / max(w, 1e-6), 1 + pad / max(w, 1e-6), max(3, int(w / 0.4)))
    down = np.linspace(-pad / max(h, 1e-6), 1 + pad / max(h, 1e-6), max(3, int(h / 0.4)))
    i, j = np.meshgrid(across, down)
    return np.asarray(p + i.reshape(-1, 1) * (q - p) + j.reshape(-1, 1) * (s - p))


def _heading(degrees: float) -> Floats:
    """A way on the paper, anticlockwise from the right."""
    t = math.radians(degrees)
    return np.array([math.cos(t), -math.sin(t)])


def _way(a: XY, b: XY) -> str:
    """Level or upright: the way in which two points lie further apart."""
    return "h" if abs(a[0] - b[0]) > abs(a[1] - b[1]) else "v"


def _xy(v: Floats) -> XY:
    return float(v[0]), float(v[1])
