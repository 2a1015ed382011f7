"""What somebody draws of one view, by hand: outlines, arcs, hatching, words, and bent lines.

A part is given in real inches, y up; everything on the paper is mm, y down, from the part's corner.
A draft keeps marks and words apart until it is laid on a page, so that views can be moved.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

import numpy as np

from tests.bench.hand2_letters import Script, write
from tests.bench.hand2_pen import Mark, Tool, draw_dashes, draw_line, draw_path
from tests.bench.hand_pen import PX_PER_MM, XY, Ink, Rng
from tests.bench.hand_views import Box, Drawn

FARTHEST = 2.2  # of drafting, that an edge stands from where it should
FOOT = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Habit:
    """How somebody dimensions: lengths in mm.

    `place` of a text: "in" its line, "above" it or "beside" it; `along`: texts of upright lines
    are turned; `first` is how far the nearest line stands from the part, `row` the next ones;
    `gap`, `beyond` are of extension lines, `touch` the share that begins on the outline;
    `drafting` how far edges stand from where they should; `spell` is "inch", "foot" or "decimal";
    `mark` stands after inches; `curly`: leaders are bent.
    """

    tool: Tool
    script: Script
    place: str
    along: bool
    head: str
    head_mm: float
    first: float
    row: float
    gap: float
    beyond: float
    touch: float
    drafting: float
    spell: str
    mark: str
    radius: str
    hole: str
    curly: bool


def spell(size: Fraction, habit: Habit) -> str:
    """Spell a size as a person does."""
    if habit.spell == "decimal":
        return f"{float(size):.3f}".removeprefix("0") + habit.mark
    feet, inches = divmod(size, FOOT)
    if habit.spell == "foot" and feet:
        short = f"0 {inches}" if 0 < inches < 1 else _mixed(inches)
        return f"{feet}'-{short}\""
    return _mixed(size) + habit.mark


def _mixed(size: Fraction) -> str:
    whole, rest = divmod(size, 1)
    return f"{whole} {rest}" if whole and rest else str(rest or whole)


@dataclass(frozen=True, slots=True, kw_only=True)
class Word:
    """A text on the paper: its picture, its middle in mm, its turn in degrees."""

    tile: Ink
    centre: XY
    turn: float = 0.0
    size: bool = False  # what `Drawn.lettered` tells the place of

    @property
    def box(self) -> Box:
        """Left, top, right, bottom, mm."""
        high, wide = (v / PX_PER_MM for v in self.tile.shape)
        c, s = (abs(f(math.radians(self.turn))) for f in (math.cos, math.sin))
        x, y = (c * wide + s * high) / 2, (s * wide + c * high) / 2
        return self.centre[0] - x, self.centre[1] - y, self.centre[0] + x, self.centre[1] + y

    def moved(self, by: XY) -> Word:
        """Return the same elsewhere."""
        return replace(self, centre=(self.centre[0] + by[0], self.centre[1] + by[1]))


@dataclass(slots=True)
class Draft:
    """One view: mm to an inch, and what was drawn so far."""

    habit: Habit
    rng: Rng
    per_inch: float
    plant: Callable[[Fraction], Fraction] = lambda right: right
    marks: list[Mark] = field(default_factory=list)
    words: list[Word] = field(default_factory=list)
    drawn: list[Drawn] = field(default_factory=list)
    _set: dict[tuple[str, Fraction], float] = field(default_factory=dict)
    _part: list[XY] = field(default_factory=list)  # places of the outline
    _reach: dict[str, float] = field(default_factory=dict)

    def x(self, v: Fraction) -> float:
        """Where an upright edge stands, mm: not quite where it should."""
        return self._place("x", v)

    def y(self, v: Fraction) -> float:
        """Where a level edge stands, mm down."""
        return -self._place("y", v)

    def at(self, x: Fraction, y: Fraction) -> XY:
        """Where a corner stands."""
        return self.x(x), self.y(y)

    def _place(self, way: str, v: Fraction) -> float:
        if (way, v) not in self._set:
            by = self.habit.drafting
            off = float(np.clip(self.rng.normal(0, by), -FARTHEST * by, FARTHEST * by))
            self._set[way, v] = float(v) * self.per_inch + off
        return self._set[way, v]

    def line(self, a: XY, b: XY, *, thick: bool = False, over: float | None = None) -> None:
        """Draw a line between two places of the paper."""
        tool = self.habit.tool
        far = tool.over if over is None else over
        width = tool.thick if thick else tool.thin
        self._part += [a, b] if thick else []
        self.marks += draw_line(a, b, tool, self.rng, width=width, over=far)

    def outline(self, corners: Sequence[tuple[Fraction, Fraction]], *, closed: bool = True) -> None:
        """Draw an outline from corner to corner."""
        chain = [*corners, corners[0]] if closed else list(corners)
        for one, two in itertools.pairwise(chain):
            self.line(self.at(*one), self.at(*two), thick=True)

    def rectangle(self, x0: Fraction, y0: Fraction, x1: Fraction, y1: Fraction) -> None:
        """Draw an upright rectangle."""
        self.outline([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])

    def dashes(self, a: XY, b: XY, pattern: Sequence[float]) -> None:
        """Draw a hidden edge or a centre line."""
        tool = self.habit.tool
        self.marks += draw_dashes(a, b, pattern, tool, self.rng, width=tool.thin)

    def hidden(self, a: XY, b: XY) -> None:
        """Draw a hidden edge."""
        self.dashes(a, b, (2.6, 1.1))

    def centre_line(self, a: XY, b: XY) -> None:
        """Draw a centre line."""
        self.dashes(a, b, (8.0, 1.3, 1.6, 1.3))

    def cross(self, centre: XY, reach: float) -> None:
        """Draw the centre lines of a hole."""
        for dx, dy in ((reach, 0.0), (0.0, reach)):
            a, b = (centre[0] - dx, centre[1] - dy), (centre[0] + dx, centre[1] + dy)
            self.dashes(a, b, (max(2.0, reach - 1.0), 1.0, 1.5, 1.0))

    def arc(self, centre: XY, radius: float, first: float = 0.0, sweep: float = 360.0) -> None:
        """Draw an arc by compass, counter-clockwise as seen, degrees; a circle overlaps itself."""
        more = float(self.rng.uniform(0, 9)) if sweep >= 360 else 0.0
        start = first + (float(self.rng.uniform(0, 360)) if sweep >= 360 else 0.0)
        turn = np.radians(np.linspace(start, start + sweep + more, max(8, round(sweep / 5))))
        path = np.array(centre) + radius * np.stack([np.cos(turn), -np.sin(turn)], axis=1)
        tool = self.habit.tool
        self._part += [(float(x), float(y)) for x, y in path]
        self.marks.append(draw_path(path, tool, self.rng, width=tool.thick))

    def hatch(self, left: float, top: float, right: float, bottom: float, pitch: float) -> None:
        """Hatch an upright rectangle of the paper by eye, strokes leant at about 45 degrees."""
        at = left - (bottom - top) + pitch
        while at < right - 0.5:
            lean = float(self.rng.normal(0, 0.25))
            a, b = max(at, left), min(at + (bottom - top), right)
            if b - a > 0.6:
                start, end = (a, bottom - (a - at)), (b + lean, bottom - (b - at))
                self.line(start, end, over=0.15)
            at += pitch * float(self.rng.uniform(0.75, 1.3))

    def curl(self, a: XY, b: XY) -> XY:
        """Draw a bent line by hand; returns the unit vector it arrives along."""
        p, q = np.array(a), np.array(b)
        side = np.array([-(q - p)[1], (q - p)[0]]) * float(self.rng.uniform(0.15, 0.3))
        side = side * float(self.rng.choice([-1, 1]))
        t = np.linspace(0, 1, 14)[:, None]
        knee = (p + q) / 2 + side
        path = (1 - t) ** 2 * p + 2 * t * (1 - t) * knee + t**2 * q
        tool = self.habit.tool
        self.marks.append(draw_path(path, tool, self.rng, width=tool.thin))
        return unit((float(knee[0]), float(knee[1])), b)

    def note(self, text: str, centre: XY) -> None:
        """Write a note."""
        self.words.append(Word(tile=write(text, self.habit.script, self.rng), centre=centre))

    @property
    def box(self) -> Box:
        """What the view takes of the paper."""
        corners = [np.reshape(w.box, (2, 2)) for w in self.words]
        points = np.concatenate([*corners, *(m.points for m in self.marks)])
        (left, top), (right, low) = points.min(axis=0), points.max(axis=0)
        return float(left), float(top), float(right), float(low)

    @property
    def wide(self) -> float:
        """Of the outline, mm."""
        across = [x for x, _ in self._part]
        return max(across) - min(across)

    def caption(self, text: str) -> None:
        """Write what the view shows under it."""
        left, _, right, low = self.box
        self.note(text, ((left + right) / 2, low + self.habit.script.height + 2.0))


def unit(a: XY, b: XY) -> XY:
    """Direction from one place to another."""
    length = max(math.dist(a, b), 1e-6)
    return (b[0] - a[0]) / length, (b[1] - a[1]) / length
