"""Dimensions on a view, after ASME Y14.2 and Y14.5 practice.

Arrowheads 1/8 in long, 3 : 1. Extension lines leave a gap of 1/16 in at the part and run about
1/8 in past the dimension line. Sizes read from the bottom or from the right of the sheet.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from fractions import Fraction

from drawing.lettering import Label, spell
from drawing.marks import Point, angle_of, distance, step
from drawing.sheet import Drawn, Paper
from drawing.views import Number, View

ARROW = 0.125
ARROW_SLIM = 3.0
INTO_ARROW = ARROW * 0.7  # a line ends inside its arrowhead, so that the tip stays sharp
GAP = 0.0625
PAST = 0.11
STUB = 0.17  # outer piece of a dimension line whose arrows point inwards, past the arrow
CLEAR = 0.05  # air between a size and its line
SHOULDER = 0.16
SHORTEST = 0.03  # pieces of line under this are not worth drawing
FINEST = 64


@dataclass(frozen=True, kw_only=True)
class How:
    """How a dimension is written.

    Attributes
    ----------
    printed : Fraction or None
        Another size than the true one: a planted mistake.
    before, after : str
        What stands before and after the size.
    kind : str
    true : Fraction or None
        The true size of a dimension across a break.
    outside : bool
        Arrows point inwards from outside.
    text_past : float or None
        The size stands this far beyond the second arrow's stub, or the first's when negative.
    """

    printed: Fraction | None = None
    before: str = ""
    after: str = ""
    kind: str = "distance"
    true: Fraction | None = None
    outside: bool = False
    text_past: float | None = None


PLAIN = How()


@dataclass(frozen=True, kw_only=True)
class DimensionedView(View):
    """A view that takes dimensions."""

    def across(
        self,
        x1: Number,
        x2: Number,
        *,
        above: float | None = None,
        below: float = 0.0,
        y1: Number | None = None,
        y2: Number | None = None,
        how: How = PLAIN,
    ) -> None:
        """Dimension a horizontal distance, on a line so far above or below the part."""
        edge = self.box[1] if above is None else self.box[3]
        line = self.at(0, edge)[1] + (below if above is None else -above)
        a = self.at(x1, edge if y1 is None else y1)
        b = self.at(x2, edge if y2 is None else y2)
        self._distance((a, b), 0.0, (0.0, line), how)

    def up(
        self,
        y1: Number,
        y2: Number,
        *,
        left: float | None = None,
        right: float = 0.0,
        x1: Number | None = None,
        x2: Number | None = None,
        how: How = PLAIN,
    ) -> None:
        """Dimension a vertical distance, on a line so far left or right of the part."""
        edge = self.box[2] if left is None else self.box[0]
        line = self.at(edge, 0)[0] + (right if left is None else -left)
        a = self.at(edge if x1 is None else x1, y1)
        b = self.at(edge if x2 is None else x2, y2)
        self._distance((a, b), 90.0, (line, 0.0), how)

    def _distance(self, ends: tuple[Point, Point], angle: float, line: Point, how: How) -> None:
        tips = tuple((e[0], line[1]) if angle == 0.0 else (line[0], e[1]) for e in ends)
        for place, tip in zip(ends, tips, strict=True):
            if distance(place, tip) > GAP + 0.01:
                way = angle_of(place, tip)
                self.paper.line(step(place, way, GAP), step(tip, way, PAST))
        size = self._measured(distance(*tips)) if how.true is None else how.true
        text = how.before + spell(how.printed or size) + how.after
        label = self.paper.label(text)
        corners = self._dimension_line(tips, angle, label, how)
        self._note(
            how, kind=how.kind, points=tips, size=size, label=label, corners=corners, angle=angle
        )

    def _dimension_line(
        self, tips: tuple[Point, ...], angle: float, label: Label, how: How
    ) -> tuple[Point, ...]:
        paper, (a, b) = self.paper, tips
        if how.outside:
            for tip, way in ((a, angle + 180.0), (b, angle)):
                arrow(paper, tip, way + 180.0)
                paper.line(step(tip, way, INTO_ARROW), step(tip, way, ARROW + STUB))
        else:
            self._inner_line(a, b, angle, label)
        if how.text_past is not None:
            return self._text_past(tips, angle, label, how.text_past)
        lift = 0.0 if paper.style.break_line else label.below + CLEAR
        start = step(a, angle, (distance(a, b) - label.width) / 2, lift)
        return paper.place(label, start, angle)

    def _inner_line(self, a: Point, b: Point, angle: float, label: Label) -> None:
        paper, length = self.paper, distance(a, b)
        arrow(paper, a, angle + 180.0)
        arrow(paper, b, angle)
        start, end = step(a, angle, INTO_ARROW), step(b, angle, -INTO_ARROW)
        if not paper.style.break_line:
            paper.line(start, end)
            return
        half = label.width / 2 + CLEAR
        for near, far in ((start, length / 2 - half), (end, length / 2 + half)):
            stop = step(a, angle, far)
            if distance(near, stop) > SHORTEST:
                paper.line(near, stop)

    def _text_past(
        self, tips: tuple[Point, ...], angle: float, label: Label, past: float
    ) -> tuple[Point, ...]:
        end, way = (tips[1], angle) if past > 0 else (tips[0], angle + 180.0)
        stub = ARROW + STUB
        self.paper.line(step(end, way, stub), step(end, way, stub + abs(past)))
        reach = stub + abs(past) + CLEAR + (label.width if past < 0 else 0.0)
        return self.paper.place(label, step(end, way, reach), angle)

    def leader(
        self,
        tip: Point,
        elbow: Point,
        *,
        kind: str,
        points: tuple[Point, ...],
        size: Fraction,
        how: How = PLAIN,
    ) -> None:
        """Draw a leader from `tip` over `elbow` to the size beside it."""
        paper = self.paper
        label = paper.label(how.before + spell(how.printed or size) + how.after)
        to_right = elbow[0] >= tip[0]
        way = 0.0 if to_right else 180.0
        arrow(paper, tip, angle_of(elbow, tip))
        start = step(tip, angle_of(tip, elbow), INTO_ARROW)
        paper.line(start, elbow, step(elbow, way, SHOULDER))
        left = step(elbow, way, SHOULDER + CLEAR + (0.0 if to_right else label.width))
        corners = paper.place(label, left)
        self._note(how, kind=kind, points=points, size=size, label=label, corners=corners)

    def diameter(
        self,
        x: Number,
        y: Number,
        size: Fraction,
        *,
        angle: float,
        reach: float,
        before: str = "",
        after: str = "",
    ) -> None:
        """Call a circle's diameter out; the leader meets it at `angle`, pointing at its centre."""
        centre, radius = self.at(x, y), self.size(size) / 2
        tip, far = step(centre, angle, radius), step(centre, angle + 180.0, radius)
        elbow, how = step(centre, angle, radius + reach), How(before=f"{before}Ø ", after=after)
        self.leader(tip, elbow, kind="diameter", points=(tip, far), size=size, how=how)

    def radius(
        self, x: Number, y: Number, size: Fraction, *, angle: float, reach: float, after: str = ""
    ) -> None:
        """Call an arc's radius out, from outside, or from inside when `reach` is negative."""
        centre, radius = self.at(x, y), self.size(size)
        tip, elbow = step(centre, angle, radius), step(centre, angle, radius + reach)
        how = How(before="R ", after=after)
        self.leader(tip, elbow, kind="radius", points=(centre, tip), size=size, how=how)

    def angle(self, vertex: Point, first: float, second: float, radius: float) -> None:
        """Dimension an angle between two directions with an arc, its size in the arc's gap."""
        paper, size = self.paper, Fraction(round(second - first))
        label = paper.label(f"{size}°")
        half = math.degrees((label.width / 2 + CLEAR) / radius)
        lean = math.degrees(INTO_ARROW / radius)
        middle = (first + second) / 2
        for start, end in ((first + lean, middle - half), (middle + half, second - lean)):
            if end > start:
                paper.arc(vertex, radius, start, end - start, thick=False)
        chord = math.degrees(ARROW / radius) / 2
        arrow(paper, step(vertex, first, radius), first - 90.0 + chord)
        arrow(paper, step(vertex, second, radius), second + 90.0 - chord)
        at = step(vertex, middle, radius)
        corners = paper.place(label, (at[0] - label.width / 2, at[1]))
        points = (vertex, step(vertex, first, radius), step(vertex, second, radius))
        self._note(PLAIN, kind="angle", points=points, size=size, label=label, corners=corners)

    def _note(
        self,
        how: How,
        *,
        kind: str,
        points: tuple[Point, ...],
        size: Fraction,
        label: Label,
        corners: tuple[Point, ...],
        angle: float = 0.0,
    ) -> None:
        """Keep what was drawn; its number is unique in the plan."""
        self.paper.drawn.append(
            Drawn(
                id=self.paper.number * 100 + len(self.paper.drawn) + 1,
                view=self.id,
                kind=kind,
                points=points,
                text=label.text,
                printed=how.printed or size,
                true=size,
                stacked=any(not piece.text for piece in label.pieces),
                text_corners=corners,
                text_angle=angle,
                across_break=how.true is not None,
            )
        )

    def _measured(self, drawn: float) -> Fraction:
        """Size behind a drawn length: a multiple of 1/64, or the drawing is wrong."""
        real = drawn * float(self.factor)
        size = Fraction(round(real * FINEST), FINEST)
        if abs(float(size) - real) > 1e-9:
            raise ValueError(f"{real} in is no 64th")
        return size


@contextmanager
def view_of(
    paper: Paper,
    *,
    part: str,
    origin: Point,
    box: tuple[Number, Number, Number, Number],
    kind: str = "true",
    factor: Fraction = Fraction(1),
) -> Iterator[DimensionedView]:
    """Draw a view of a part whose own extent is `box` (x0, y0, x1, y1; y up)."""
    x0, y0, x1, y1 = (float(v) for v in box)
    plain = View(paper=paper, id=0, origin=origin, factor=factor, box=(x0, y0, x1, y1))
    outline = (*plain.at(x0, y1), *plain.at(x1, y0))
    with paper.viewing(part=part, kind=kind, factor=factor, outline=outline) as number:
        yield DimensionedView(
            paper=paper, id=number, origin=origin, factor=factor, box=(x0, y0, x1, y1)
        )


def arrow(paper: Paper, tip: Point, way: float) -> None:
    """Draw a filled arrowhead that points along `way`."""
    half = ARROW / ARROW_SLIM / 2
    paper.fill(tip, step(tip, way, -ARROW, half), step(tip, way, -ARROW, -half))
