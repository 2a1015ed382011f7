"""How the held-out hands dimension: chains beside a part, sizes inside it, leaders, and the truth.

An arrow that has no room comes from outside; a text that has none is put aside, often on a bent
line of its own.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

import numpy as np

from tests.bench.hand2_drafts import Draft, Word, spell, unit
from tests.bench.hand2_heads import CROSSING, draw_head
from tests.bench.hand2_letters import write
from tests.bench.hand_pen import PX_PER_MM, XY, Ink
from tests.bench.hand_views import Box, Drawn

SPARE_MM = 1.2  # between a text and what stands beside it
MOST_TRIES = 5
LEAST_MM = 5.0  # of a leg
OUT = {"below": (0.0, 1.0), "above": (0.0, -1.0), "left": (-1.0, 0.0), "right": (1.0, 0.0)}
# what is at an end of a leg: nothing beyond, a neighbour with a head there, one without
FREE, HELD, TIGHT = "free", "held", "tight"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """A size to be dimensioned: what is right, what is printed, its text and picture."""

    right: Fraction
    printed: Fraction
    text: str
    tile: Ink


@dataclass(frozen=True, slots=True, kw_only=True)
class _Leg:
    """One leg of a chain; `takes` is its text's reach along the line and across it, mm."""

    size: _Asked
    way: str
    side: str
    ends: tuple[XY, XY]
    takes: XY

    @property
    def length(self) -> float:
        """On the paper, mm."""
        return math.dist(*self.ends)


@dataclass(slots=True)
class View(Draft):
    """A draft with its dimensions."""

    def chain(
        self,
        way: str,
        stations: Sequence[Fraction],
        side: str,
        feet: Sequence[float],
        form: str = "{}",
    ) -> None:
        """Dimension from station to station on one line beside the part.

        Parameters
        ----------
        way : str
            "x" or "y".
        stations : sequence of Fraction
            In order, real inches.
        side : str
            "below", "above", "left" or "right".
        feet : sequence of float
            Where the feature of every station ends, mm of the draft across `way`.
        form : str
            What stands about every size.
        """
        if any(float(b - a) * self.per_inch < LEAST_MM for a, b in pairwise(stations)):
            return  # too small to be drawn to scale: nobody would dimension it here
        asked = [self._ask(a, b, form) for a, b in pairwise(stations)]
        level = self._level(way, side, feet, [size.tile for size in asked])
        places = [self.x(v) if way == "x" else self.y(v) for v in stations]
        for place, foot in zip(places, feet, strict=True):
            self._extend(way, place, foot, level)
        legs = [
            self._leg(size, way, side, (places[k], places[k + 1]), level)
            for k, size in enumerate(asked)
        ]
        roomy = [self._is_roomy(leg) for leg in legs]
        held = [FREE, *(HELD if r else TIGHT for r in roomy), FREE]
        for k, leg in enumerate(legs):
            self._dimension(leg, beyond=(held[k], held[k + 2]))

    def inner(self, way: str, first: Fraction, last: Fraction, level: float) -> None:
        """Dimension inside the part, from edge to edge, without extension lines."""
        places = [self.x(v) if way == "x" else self.y(v) for v in (first, last)]
        size, side = self._ask(first, last, "{}"), "above" if way == "x" else "right"
        leg = self._leg(size, way, side, (places[0], places[1]), level)
        self._dimension(leg, beyond=(TIGHT, TIGHT))

    def _ask(self, a: Fraction, b: Fraction, form: str) -> _Asked:
        right = b - a
        printed = self.plant(right)
        text = form.format(spell(printed, self.habit))
        tile = write(text, self.habit.script, self.rng)
        return _Asked(right=right, printed=printed, text=text, tile=tile)

    def _leg(self, size: _Asked, way: str, side: str, places: XY, level: float) -> _Leg:
        """Measure a leg: how much of its line and how much across it its text takes, mm."""
        a, b = ((p, level) if way == "x" else (level, p) for p in places)
        high, wide = (v / PX_PER_MM for v in size.tile.shape)
        level_text = way == "x" or self._is_turned(way)
        takes = (wide, high) if level_text else (high, wide)
        return _Leg(size=size, way=way, side=side, ends=(a, b), takes=takes)

    def _is_roomy(self, leg: _Leg) -> bool:
        """Whether heads find room between a leg's ends, and its text with them."""
        if self.habit.place != "in":
            return leg.length > self._heads + 3.0
        return leg.length > leg.takes[0] + self._heads + 2.0

    @property
    def _heads(self) -> float:
        """What two heads take of a line, mm."""
        return 0.6 if self.habit.head in (*CROSSING, "none") else 2 * self.habit.head_mm

    def _is_turned(self, way: str) -> bool:
        return way == "y" and self.habit.along

    def _level(self, way: str, side: str, feet: Sequence[float], tiles: Sequence[Ink]) -> float:
        """Pick where a dimension line lies, clear of the part and of earlier ones."""
        out = 1.0 if side in ("below", "right") else -1.0
        axis = 1 if way == "x" else 0
        part = max(out * v for v in (*feet, *(place[axis] for place in self._part)))
        known = self._reach.get(side)
        step = self.habit.first if known is None else self.habit.row - SPARE_MM
        start = part if known is None else max(known, part)
        need = max(self._across(way, tile) for tile in tiles)
        near, far = need / 2, need / 2
        if self.habit.place != "in":
            towards_part = (side in ("below", "right")) == (way == "x" or self._is_turned(way))
            near, far = (need + 1.0, 0.5) if towards_part else (0.5, need + 1.0)
        level: float = out * (start + max(step, near + SPARE_MM + 0.6)) + float(
            self.rng.uniform(-0.6, 0.6)
        )
        self._reach[side] = out * level + max(far, 1.0)
        return level

    def _across(self, way: str, tile: Ink) -> float:
        high, wide = (v / PX_PER_MM for v in tile.shape)
        return wide if way == "y" and not self.habit.along else high

    def _extend(self, way: str, place: float, foot: float, level: float) -> None:
        """Draw an extension line from a feature past the dimension line."""
        if abs(level - foot) < 1.0:
            return
        rng, out = self.rng, math.copysign(1.0, level - foot)
        gap = (
            0.0 if rng.random() < self.habit.touch else abs(float(rng.normal(self.habit.gap, 0.4)))
        )
        beyond = max(0.2, float(rng.normal(self.habit.beyond, 0.6)))
        off = rng.normal(0, 0.07, 2)
        ends = [(place + off[0], foot + out * gap), (place + off[1], level + out * beyond)]
        a, b = ends if way == "x" else [(q, p) for p, q in ends]
        self.line(a, b, over=0.1)

    def _dimension(self, leg: _Leg, *, beyond: tuple[str, str]) -> None:
        """Draw a dimension line, its heads and its text, and keep the truth of it."""
        word, size = self._lay(leg, beyond), leg.size
        self.words.append(word)
        self.drawn.append(
            Drawn(
                kind="distance", ends=leg.ends, text=size.text, printed=size.printed,
                right=size.right, lettered=word.box,
            )
        )  # fmt: skip

    def _lay(self, leg: _Leg, beyond: tuple[str, str]) -> Word:
        """Draw a leg's line and heads; returns its text in its place."""
        turn = (90.0 if self._is_turned(leg.way) else 0.0) + float(self.rng.normal(0, 1.3))
        (along, across), u, roomy = leg.takes, unit(*leg.ends), self._is_roomy(leg)
        if leg.length < along + 1.6:
            crossed = self.habit.head in (*CROSSING, "none")
            if crossed:
                self._whole(leg.ends, u)
            else:
                self._arrows_outside(leg.ends, u, beyond)
            return self._put_aside(leg, turn, beyond)
        centre = self._middle(leg, u, along + self._heads + 2.0)
        if not roomy:
            self._arrows_outside(leg.ends, u, beyond)
        elif self.habit.place == "in":
            self._broken(leg.ends, u, centre, along)
        else:
            self._whole(leg.ends, u)
        if self.habit.place != "in":
            n, lift = (
                _up(leg.way, turned=self.habit.along),
                across / 2 + float(self.rng.uniform(0.5, 1.2)),
            )
            centre = (centre[0] + lift * n[0], centre[1] + lift * n[1])
        return Word(tile=leg.size.tile, centre=centre, turn=turn, size=True)

    def _middle(self, leg: _Leg, u: XY, need: float) -> XY:
        """Pick where along its line a text stands: about the middle, off other texts if it can."""
        (ax, ay), (bx, by) = leg.ends
        spare = max(0.0, leg.length - need)
        wide, high = leg.takes if leg.way == "x" else leg.takes[::-1]
        places = []
        for spread in (0.12, 0.2, 0.3, 0.45, 0.45):
            slide = float(np.clip(self.rng.normal(0, spread), -0.45, 0.45)) * spare
            places.append(((ax + bx) / 2 + slide * u[0], (ay + by) / 2 + slide * u[1]))
        boxes = [(x - wide / 2, y - high / 2, x + wide / 2, y + high / 2) for x, y in places]
        free = (p for p, box in zip(places, boxes, strict=True) if self._is_free(box))
        return next(free, places[0])

    def _head(self, tip: XY, towards: XY) -> None:
        h = self.habit
        self.marks += draw_head(h.head, tip, towards, size=h.head_mm, tool=h.tool, rng=self.rng)

    def _broken(self, ends: tuple[XY, XY], u: XY, at: XY, along: float) -> None:
        """Draw a line that its text breaks."""
        for tip, s in ((ends[0], 1.0), (ends[1], -1.0)):
            stop = along / 2 + float(self.rng.uniform(0.3, 1.3))
            to = (at[0] - s * stop * u[0], at[1] - s * stop * u[1])
            self._shaft(tip, to, (-s * u[0], -s * u[1]))

    def _shaft(self, tip: XY, to: XY, out: XY) -> None:
        """Draw half a line from its tip inwards; ticked lines run on past their tips."""
        on = (
            self.habit.beyond * float(self.rng.uniform(0.3, 1.0))
            if self.habit.head in CROSSING
            else 0.0
        )
        start = (tip[0] + on * out[0], tip[1] + on * out[1])
        self.line(start, to, over=0.1)
        self._head(tip, out)

    def _whole(self, ends: tuple[XY, XY], u: XY) -> None:
        """Draw a line from tip to tip."""
        middle = ((ends[0][0] + ends[1][0]) / 2, (ends[0][1] + ends[1][1]) / 2)
        on = (
            self.habit.beyond * float(self.rng.uniform(0.3, 1.0))
            if self.habit.head in CROSSING
            else 0.0
        )
        a = (ends[0][0] - on * u[0], ends[0][1] - on * u[1])
        b = (ends[1][0] + on * u[0], ends[1][1] + on * u[1])
        self.line(a, b if math.dist(a, b) > 1 else middle, over=0.1)
        self._head(ends[0], (-u[0], -u[1]))
        self._head(ends[1], u)

    def _arrows_outside(self, ends: tuple[XY, XY], u: XY, beyond: tuple[str, str]) -> None:
        """Draw arrows that point inwards from outside; where a neighbour is in the way, a spot."""
        if self.habit.head in (*CROSSING, "none"):
            self._head(ends[0], (-u[0], -u[1]))
            self._head(ends[1], u)
            return
        for tip, s, what in ((ends[0], -1.0, beyond[0]), (ends[1], 1.0, beyond[1])):
            if what == FREE:
                tail = self.habit.head_mm + float(self.rng.uniform(1.0, 3.0))
                self.line(tip, (tip[0] + s * tail * u[0], tip[1] + s * tail * u[1]), over=0.1)
                self._head(tip, (-s * u[0], -s * u[1]))
            elif what == TIGHT:
                self.marks += draw_head(
                    "spot", tip, u, size=2.0, tool=self.habit.tool, rng=self.rng
                )

    def _put_aside(self, leg: _Leg, turn: float, beyond: tuple[str, str]) -> Word:
        """Find a place for a text that has no room between its ends."""
        u, out, (a, b), (along, across) = unit(*leg.ends), OUT[leg.side], leg.ends, leg.takes
        tail = 3.2 + self.habit.head_mm + along / 2
        middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        places = [(b[0] + tail * u[0], b[1] + tail * u[1])] * (beyond[1] == FREE)
        places += [(a[0] - tail * u[0], a[1] - tail * u[1])] * (beyond[0] == FREE)
        lifts = [self.habit.beyond + across / 2 + 1.4 + 2.5 * k for k in range(MOST_TRIES)]
        aside = [(middle[0] + lift * out[0], middle[1] + lift * out[1]) for lift in lifts]
        tile = leg.size.tile
        words = [Word(tile=tile, centre=p, turn=turn, size=True) for p in [*places, *aside]]
        word = next((w for w in words if self._is_free(w.box)), words[-1])
        self._keep_off(leg.side, word.box)
        if self.habit.curly and word.centre not in places:
            near = across / 2 + 0.4
            start = (word.centre[0] - near * out[0], word.centre[1] - near * out[1])
            self.curl(start, middle)
        return word

    def _keep_off(self, side: str, box: Box) -> None:
        """Let the next line on a side keep off a text."""
        far = {"below": box[3], "above": -box[1], "left": -box[0], "right": box[2]}[side]
        self._reach[side] = max(self._reach.get(side, far), far)

    def _is_free(self, box: Box) -> bool:
        return not any(
            box[0] - SPARE_MM < w.box[2]
            and w.box[0] < box[2] + SPARE_MM
            and box[1] - SPARE_MM < w.box[3]
            and w.box[1] < box[3] + SPARE_MM
            for w in self.words
        )

    def round_size(
        self, kind: str, centre: XY, radius: float, size: Fraction, *, out: float, far: float
    ) -> None:
        """Lead to a radius or a hole at an angle, degrees, and keep its truth; mm."""
        printed = size
        form = self.habit.radius if kind == "radius" else self.habit.hole
        text = form.format(spell(printed, self.habit))
        rim = self.lead(centre, radius, text, out=out, far=far)
        other = (2 * centre[0] - rim[0], 2 * centre[1] - rim[1])
        ends = (centre, rim) if kind == "radius" else (rim, other)
        box = self.words[-1].box
        self.drawn.append(
            Drawn(kind=kind, ends=ends, text=text, printed=printed, right=size, lettered=box)
        )

    def lead(self, centre: XY, radius: float, text: str, *, out: float, far: float) -> XY:
        """Lead from a text to a rim; returns the point of the rim."""
        u = (math.cos(math.radians(out)), -math.sin(math.radians(out)))
        rim = (centre[0] + radius * u[0], centre[1] + radius * u[1])
        side = 1.0 if (u[0] >= 0) == (far >= 0) else -1.0
        shelf = 0.0 if self.habit.curly else side * float(self.rng.uniform(2.0, 4.0))
        tile = write(text, self.habit.script, self.rng)
        words = []
        for reach in (far * (1 + 0.25 * k) for k in range(MOST_TRIES)):
            knee = (rim[0] + reach * u[0], rim[1] + reach * u[1])
            away = shelf + side * (tile.shape[1] / PX_PER_MM / 2 + 0.9)
            words.append((Word(tile=tile, centre=(knee[0] + away, knee[1]), size=True), knee))
        word, knee = next((w for w in words if self._is_free(w[0].box)), words[0])
        self.words.append(word)
        self._lead_line(rim, knee, (knee[0] + shelf, knee[1]))
        return rim

    def _lead_line(self, rim: XY, knee: XY, foot: XY) -> None:
        """Draw a leader from its text's foot over its knee to a rim; ticks have no place on it."""
        h = self.habit
        if h.curly:
            come = self.curl(knee, rim)
        else:
            self.line(foot, knee, over=0.1)
            self.line(knee, rim, over=0.1)
            come = unit(knee, rim)
        head = h.head if h.head not in ("slash", "none") else "vee"
        self.marks += draw_head(head, rim, come, size=h.head_mm, tool=h.tool, rng=self.rng)

    def edge_size(self, a: XY, b: XY, size: Fraction, out: XY) -> None:
        """Write a size at an edge, without a line; `out` points away from the part."""
        printed = self.plant(size)
        text = spell(printed, self.habit)
        tile = write(text, self.habit.script, self.rng)
        high, wide = (v / PX_PER_MM for v in tile.shape)
        far = abs(out[0]) * wide / 2 + abs(out[1]) * high / 2 + float(self.rng.uniform(1.0, 1.8))
        centre = ((a[0] + b[0]) / 2 + far * out[0], (a[1] + b[1]) / 2 + far * out[1])
        word = Word(tile=tile, centre=centre, turn=float(self.rng.normal(0, 2.0)), size=True)
        self.words.append(word)
        self.drawn.append(
            Drawn(
                kind="beside",
                ends=(a, b),
                text=text,
                printed=printed,
                right=size,
                lettered=word.box,
            )
        )


def _up(way: str, *, turned: bool) -> XY:
    """Where a text stands that does not break its line."""
    if way == "x":
        return 0.0, -1.0
    return (-1.0, 0.0) if turned else (1.0, 0.0)
