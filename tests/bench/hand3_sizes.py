"""Sizes set out on a sketch: lines, heads, numbers where a person would find room for them.

A number lies on no other and crosses as few lines as it can; where there is no room, the size is
left out, as a person would leave it.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from tests.bench.hand3_heads import OVERRUN, draw_head
from tests.bench.hand3_letters import Text, compose
from tests.bench.hand3_pen import Stroke, rule
from tests.bench.hand3_sketch import Asked, Called, Habit, Sketch
from tests.bench.hand3_units import spell
from tests.bench.hand_pen import XY, Rng
from tests.bench.hand_views import Box, Drawn

Plant = Callable[[int, Fraction], Fraction]
PITCH_MM = 0.6  # of the places that tell where ink is
PAD_MM = 0.55  # about a number
CLEAR_MM = 0.9  # between a number and its own line or line's ends
MOST_COST = 2.9  # of a number's place: what it stands aside, and what it crosses
CROSSED = 2.0  # cost of a place of another line under a number
TAIL_MM = 5.0  # of a line outside its extension lines
NEVER = 1e3


class Spot(NamedTuple):
    """Where a number could stand; `outside`: its heads point in from outside."""

    at: XY
    outside: bool
    cost: float


class Span(NamedTuple):
    """A dimension line: ends in mm, which way it goes, what was asked, its extension lines."""

    a: XY
    b: XY
    asked: Asked
    feet: tuple[Stroke, ...]

    @property
    def long(self) -> float:
        """How long it is."""
        return math.dist(self.a, self.b)

    @property
    def u(self) -> XY:
        """From end to end, of unit length."""
        return (self.b[0] - self.a[0]) / self.long, (self.b[1] - self.a[1]) / self.long

    def on(self, reach: float) -> XY:
        """So many mm from its first end on."""
        return self.a[0] + reach * self.u[0], self.a[1] + reach * self.u[1]


@dataclass(slots=True)
class Laid:
    """Where ink lies already: places of lines with whose they are, boxes of texts."""

    places: list[NDArray[np.float64]] = field(default_factory=list)
    boxes: list[Box] = field(default_factory=list)
    _all: NDArray[np.float64] = field(default_factory=lambda: np.zeros((0, 3)))

    def add(self, path: NDArray[np.float64], owner: int = -1) -> None:
        """Note a line."""
        steps = np.hypot(*np.diff(path, axis=0).T)
        at = np.concatenate([[0.0], np.cumsum(steps)])
        t = np.linspace(0, at[-1], max(2, math.ceil(at[-1] / PITCH_MM)))
        x, y = (np.interp(t, at, path[:, k]) for k in (0, 1))
        self.places.append(np.stack([x, y, np.full(len(t), owner)], axis=1))

    def under(self, box: Box, owner: int = -2) -> float:
        """How much lies in a box that is not an owner's."""
        left, top, right, low = box
        if any(left < b[2] and b[0] < right and top < b[3] and b[1] < low for b in self.boxes):
            return NEVER
        if self.places:
            self._all = np.concatenate([self._all, *self.places])
            self.places.clear()
        x, y, whose = self._all.T
        return float(((x > left) & (x < right) & (y > top) & (y < low) & (whose != owner)).sum())


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """A finished view: mm from the part's lower left corner, y down."""

    strokes: tuple[Stroke, ...]
    drawn: tuple[Drawn, ...]
    asked: tuple[int, ...]
    box: Box
    body: Box


def set_out(sketch: Sketch, plant: Plant) -> View:
    """Set out what was asked of a sketch; `plant` may put another number in the n-th place."""
    return _Setting(sketch, plant).done()


def _extent(strokes: Sequence[Stroke]) -> Box:
    spread = np.concatenate([s.path for s in strokes])
    (left, top), (right, low) = spread.min(axis=0), spread.max(axis=0)
    return float(left), float(top), float(right), float(low)


class _Setting:
    """One sketch's sizes being set out."""

    def __init__(self, sketch: Sketch, plant: Plant) -> None:
        self.sketch, self.plant = sketch, plant
        self.habit: Habit = sketch.habit
        self.rng: Rng = sketch.rng
        self.body = _extent(sketch.strokes)
        self.strokes = list(sketch.strokes)
        self.drawn: list[Drawn] = []
        self.kept: list[int] = []
        self.ink = Laid()

    def done(self) -> View:
        """Set out everything: lines first, then numbers, those with least room before others."""
        for s in self.strokes:
            self.ink.add(s.path)
        spans = [self._span(asked) for asked in self.sketch.asked]
        for k, span in enumerate(spans):
            self.ink.add(np.array([span.a, span.b]), k)
        for k in sorted(range(len(spans)), key=lambda k: spans[k].long):
            self._place(k, spans[k])
        for k, called in enumerate(self.sketch.called):
            self._call(len(spans) + k, called)
        for title in self.sketch.titles:
            self._name(title)
        return View(
            strokes=tuple(self.strokes), drawn=tuple(self.drawn), asked=tuple(self.kept),
            box=_extent(self.strokes), body=self.body,
        )  # fmt: skip

    def _span(self, asked: Asked) -> Span:
        """Where a size's line and its extension lines run."""
        habit, rng = self.habit, self.rng
        other = "y" if asked.way == "x" else "x"
        out = habit.away + asked.row * habit.pitch
        left, top, right, low = self.body
        level = {
            "below": low + out, "above": top - out, "left": left - out, "right": right + out,
            "at": self.sketch.along(other, asked.level),
        }[asked.side]  # fmt: skip
        level += float(rng.normal(0, 0.25)) if asked.side != "at" else 0.0
        ends: list[XY] = []
        lines: list[Stroke] = []
        for v, foot in zip((asked.first, asked.last), asked.feet, strict=True):
            at, tilt = (
                self.sketch.along(asked.way, v),
                float(rng.normal(0, 0.8 * habit.tool.steady)),
            )
            if asked.side == "at":
                ends.append((at, level) if asked.way == "x" else (level, at))
            else:
                line, end = self._extension(
                    asked.way, at, self.sketch.along(other, foot), level + tilt
                )
                lines.append(line)
                ends.append(end)
        a, b = sorted(ends)
        return Span(a, b, asked, tuple(lines))

    def _extension(self, way: str, at: float, foot: float, level: float) -> tuple[Stroke, XY]:
        """An extension line, and where the dimension line meets it."""
        habit, rng = self.habit, self.rng
        out = math.copysign(1.0, level - foot)
        start = foot + out * habit.gap * float(rng.uniform(0.3, 1.5))
        end = level + out * habit.beyond * float(rng.uniform(0.5, 1.5))
        drift = float(rng.normal(0, 0.08))
        pair = ((at, start), (at + drift, end))
        a, b = pair if way == "x" else ((pair[0][1], pair[0][0]), (pair[1][1], pair[1][0]))
        line = rule(a, b, habit.tool, rng, over=0.1)
        self.ink.add(line.path)
        k, m = (1, 0) if way == "x" else (0, 1)
        order = np.argsort(line.path[:, k])
        met = float(np.interp(level, line.path[order, k], line.path[order, m]))
        return line, ((met, level) if way == "x" else (level, met))

    def _place(self, number: int, span: Span) -> None:
        """Find room for a size's number; draw the size, or nothing."""
        right = span.asked.last - span.asked.first
        printed = self.plant(number, right)
        words = spell(printed, self.habit.unit, self.habit.mark)
        text = compose(words, self.habit.script, self.habit.tool, self.rng, size=True)
        turned = span.asked.way == "y" and self.habit.turned
        wide, high = (text.high, text.wide) if turned else (text.wide, text.high)
        spots = [
            s._replace(
                cost=s.cost + CROSSED * self.ink.under(_about(s.at, wide, high, PAD_MM), number)
            )
            for s in self._spots(span, wide, high)
        ]
        best = min(spots, key=lambda s: s.cost)
        if best.cost > MOST_COST:
            return
        box = _about(best.at, wide, high, 0.0)
        self.ink.boxes.append(_about(best.at, wide, high, PAD_MM))
        self.strokes += span.feet
        self._line(span, best, box)
        wobble = float(self.rng.normal(0, 1.2))
        self.strokes += text.set_down(best.at, wobble - (90.0 if turned else 0.0))
        self.kept.append(number)
        self.drawn.append(
            Drawn(
                kind="distance", ends=(span.a, span.b), text=words, printed=printed, right=right,
                lettered=box,
            )
        )  # fmt: skip

    def _spots(self, span: Span, wide: float, high: float) -> Iterator[Spot]:
        """Where a number of an extent could stand, the best first."""
        habit = self.habit
        level = span.asked.way == "x"
        along, aside = (wide, high) if level else (high, wide)
        lift = self._lift(span, aside)
        heads = 0.0 if habit.head in OVERRUN else 2 * habit.head_size
        fits = along + 2 * CLEAR_MM + (heads if lift == 0 else 0) < span.long
        squeezed = along + 2 * CLEAR_MM < span.long
        tight = not fits or heads + 1.0 > span.long
        n = (0.0, 1.0) if level else (1.0, 0.0)
        if squeezed:
            for share, cost in (
                (0.5, 0.0),
                (0.43, 0.1),
                (0.57, 0.1),
                (0.34, 0.3),
                (0.66, 0.3),
                (0.25, 0.6),
                (0.75, 0.6),
            ):
                t = share * span.long
                if min(t, span.long - t) > along / 2 + CLEAR_MM + (
                    heads / 2 if fits and not lift else 0
                ):
                    x, y = span.on(t)
                    yield Spot((x + n[0] * lift, y + n[1] * lift), tight, cost)
        for sign, cost in ((1, 1.0), (-1, 1.2)):
            t = (span.long if sign > 0 else 0.0) + sign * (TAIL_MM + along / 2 + CLEAR_MM)
            yield Spot(span.on(t), outside=True, cost=cost)
            x, y = span.on(t - sign * (TAIL_MM - 1.0))
            far = math.copysign(aside / 2 + CLEAR_MM, lift or -1.0)
            yield Spot((x + n[0] * far, y + n[1] * far), outside=True, cost=cost + 0.2)
        for sign in (-1, 1):
            x, y = span.on(span.long / 2)
            far = sign * (aside / 2 + CLEAR_MM + 0.5)
            yield Spot((x + n[0] * far, y + n[1] * far), tight, 1.5 + (sign > 0) * 0.2)

    def _lift(self, span: Span, aside: float) -> float:
        """How far from its line a number stands: level ones up, upright ones to the left."""
        free = span.asked.way == "y" and not self.habit.turned
        if self.habit.number == "gap" or free:
            return 0.0
        up = aside / 2 + CLEAR_MM * float(self.rng.uniform(0.6, 1.3))
        return up if self.habit.number == "below" else -up

    def _line(self, span: Span, spot: Spot, box: Box) -> None:
        """Draw a dimension line, broken where its number stands, and its heads."""
        habit, rng = self.habit, self.rng
        past = float(rng.uniform(0.8, 2.2)) if habit.head in OVERRUN else 0.0
        stops = [-past, span.long + past]
        gap = _covered(span, box)
        held = bool(gap) and gap[0] > -1.0 and gap[1] < span.long + 1.0  # between its ends
        if spot.outside and habit.head not in OVERRUN:
            reach = habit.head_size + float(rng.uniform(1.0, 2.5))
            stops = [-reach, *((0.0, span.long) if held else ()), span.long + reach]
        for t, v in itertools.pairwise(sorted([*stops, *gap])):
            middle = (t + v) / 2
            hidden = gap and gap[0] <= middle <= gap[1]
            bare = len(stops) == 4 and held and 0 < middle < span.long
            if not hidden and not bare and v - t > 0.3:
                near = 0.15 if t < 0.1 or v > span.long - 0.1 else habit.tool.miss
                self._keep(rule(span.on(t), span.on(v), habit.tool, rng, over=min(0.3, near)))
        turn = -1.0 if spot.outside and habit.head not in OVERRUN else 1.0
        for tip, s in ((span.a, turn), (span.b, -turn)):
            way = (s * span.u[0], s * span.u[1])
            self.strokes += draw_head(
                habit.head, tip, way, size=habit.head_size, tool=habit.tool, rng=rng
            )

    def _keep(self, stroke: Stroke) -> None:
        self.strokes.append(stroke)
        self.ink.add(stroke.path)

    def _call(self, number: int, called: Called) -> None:
        """Call a hole or an arc by a leader."""
        habit, rng = self.habit, self.rng
        form = habit.bore if called.kind == "diameter" else habit.radius
        words = form.format(spell(called.size, habit.unit, habit.mark))
        text = compose(words, habit.script, habit.tool, rng, size=True)
        best, far, turn = (NEVER, 0.0, 0.0)
        for aside, reach in itertools.product((0, 12, -12, 25, -25, 40, -40), (8, 12, 17, 23)):
            angle = math.radians(called.angle + aside)
            at, _ = _leader(called, angle, reach, text)
            cost = CROSSED * self.ink.under(_about(at, text.wide, text.high, PAD_MM)) + 0.02 * reach
            if cost < best:
                best, far, turn = cost, float(reach), angle
        if best > MOST_COST:
            return
        at, path = _leader(called, turn, far, text)
        for a, b in itertools.pairwise(path):
            self._keep(rule(a, b, habit.tool, rng, over=0.1))
        way = (math.cos(turn), -math.sin(turn))
        head = "vee" if habit.head in OVERRUN else habit.head
        self.strokes += draw_head(
            head, path[0], way, size=habit.head_size, tool=habit.tool, rng=rng
        )
        self.strokes += text.set_down(at, float(rng.normal(0, 1)))
        self.ink.boxes.append(_about(at, text.wide, text.high, PAD_MM))
        (x, y), (cx, cy) = path[0], called.centre
        ends = ((cx, cy), (x, y)) if called.kind == "radius" else ((2 * cx - x, 2 * cy - y), (x, y))
        self.kept.append(number)
        self.drawn.append(
            Drawn(
                kind=called.kind, ends=ends, text=words, printed=called.size, right=called.size,
                lettered=_about(at, text.wide, text.high, 0.0),
            )
        )  # fmt: skip

    def _name(self, title: str) -> None:
        """Name the view, under everything."""
        habit = self.habit
        text = compose(title, habit.script, habit.tool, self.rng, size=False, larger=1.15)
        box = _extent(self.strokes)
        at = ((self.body[0] + self.body[2]) / 2, box[3] + text.high / 2 + 3.0)
        self.strokes += text.set_down(at, float(self.rng.normal(0, 0.8)))


def _about(at: XY, wide: float, high: float, pad: float) -> Box:
    return (
        at[0] - wide / 2 - pad,
        at[1] - high / 2 - pad,
        at[0] + wide / 2 + pad,
        at[1] + high / 2 + pad,
    )


def _covered(span: Span, box: Box) -> list[float]:
    """From where to where a number stands on its line, mm; nothing where it stands beside."""
    k = 0 if span.asked.way == "x" else 1
    across = (span.a[1 - k] + span.b[1 - k]) / 2
    if not box[1 - k] - 0.2 < across < box[3 - k] + 0.2:
        return []
    sign = 1 if span.b[k] > span.a[k] else -1
    pair = sorted(sign * (v - span.a[k]) for v in (box[k], box[2 + k]))
    return [pair[0] - CLEAR_MM, pair[1] + CLEAR_MM]


def _leader(called: Called, angle: float, reach: float, text: Text) -> tuple[XY, list[XY]]:
    """Where a called size stands, and its leader from the rim on."""
    c, s = math.cos(angle), -math.sin(angle)
    cx, cy = called.centre
    tip = (cx + called.radius * c, cy + called.radius * s)
    knee = (tip[0] + reach * c, tip[1] + reach * s)
    side = 1.0 if c >= 0 else -1.0
    end = (knee[0] + side * 2.0, knee[1])
    return (end[0] + side * (text.wide / 2 + CLEAR_MM), end[1]), [tip, knee, end]
