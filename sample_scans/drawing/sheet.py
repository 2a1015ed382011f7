"""A sheet under the pen: marks, and what is true about them, gathered while drawing.

Places are inches of the drawing here; `drawing.records` turns them into a sheet's own frame.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from fractions import Fraction

from drawing.lettering import Label, lay_out, width_of
from drawing.marks import Arc, Fill, Mark, Point, Run, Stroke, box_around, points_of_arc, step

Box = tuple[float, float, float, float]
TEXT_MARGIN = 0.012  # inches added round a text's box: pen width and an unsteady hand


@dataclass(frozen=True, kw_only=True)
class Style:
    """How a sheet is drawn. Thick : thin lines 2 : 1 (ASME Y14.2-2008 2.1)."""

    hand: bool
    stacked: bool
    break_line: bool  # the size stands in a gap of its line; otherwise above it
    thick: float = 0.024
    thin: float = 0.012
    text: float = 0.115
    title: float = 0.15


@dataclass(frozen=True, kw_only=True)
class Drawn:
    """A dimension as drawn."""

    id: int
    view: int
    kind: str
    points: tuple[Point, ...]
    text: str
    printed: Fraction
    true: Fraction
    stacked: bool
    text_corners: tuple[Point, ...]
    text_angle: float
    across_break: bool


@dataclass(frozen=True, kw_only=True)
class Said:
    """Text that is no dimension."""

    kind: str
    text: str
    corners: tuple[Point, ...]
    view: int | None
    about: str


@dataclass(frozen=True, kw_only=True)
class Seen:
    """A view: its number, part, kind, scale, and the boxes of outline and whole."""

    id: int
    part: str
    kind: str
    factor: Fraction
    stated: Fraction
    outline: Box
    box: Box


@dataclass(frozen=True, kw_only=True)
class Row:
    """A row of the parts list with its corners."""

    cells: tuple[str, ...]
    corners: tuple[Point, ...]


@dataclass(kw_only=True)
class Paper:
    """One sheet being drawn."""

    number: int
    width: float
    height: float
    style: Style
    marks: list[Mark] = field(default_factory=list)
    drawn: list[Drawn] = field(default_factory=list)
    said: list[Said] = field(default_factory=list)
    seen: list[Seen] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)
    known: list[tuple[Fraction, Point, Point]] = field(default_factory=list)
    view: int | None = None

    def line(
        self,
        *points: Point,
        thick: bool = False,
        dash: tuple[float, ...] = (),
        closed: bool = False,
    ) -> None:
        """Draw a pen line."""
        width = self.style.thick if thick else self.style.thin
        self.marks.append(Stroke(points=points, width=width, dash=dash, closed=closed))

    def arc(
        self,
        centre: Point,
        radius: float,
        start: float = 0.0,
        sweep: float = 360.0,
        *,
        thick: bool = True,
        dash: tuple[float, ...] = (),
    ) -> None:
        """Draw a circle or an arc."""
        width = self.style.thick if thick else self.style.thin
        self.marks.append(
            Arc(centre=centre, radius=radius, width=width, start=start, sweep=sweep, dash=dash)
        )

    def fill(self, a: Point, b: Point, c: Point) -> None:
        """Fill a triangle."""
        self.marks.append(Fill(points=(a, b, c)))

    def label(
        self, text: str, height: float | None = None, *, stacked: bool | None = None
    ) -> Label:
        """Lay a text out in this sheet's lettering."""
        use = self.style.stacked if stacked is None else stacked
        return lay_out(text, height or self.style.text, hand=self.style.hand, stacked=use)

    def place(self, label: Label, at: Point, angle: float = 0.0) -> tuple[Point, ...]:
        """Write a label; `at` is the middle of its left end. Returns its four corners."""
        for piece in label.pieces:
            start = step(at, angle, piece.x, piece.y)
            if piece.text:
                run = Run(text=piece.text, origin=start, angle=angle, height=piece.height)
                self.marks.append(run)
            else:
                self.line(start, step(start, angle, piece.width))
        reach = (
            (-TEXT_MARGIN, label.above + TEXT_MARGIN),
            (label.width + TEXT_MARGIN, label.above + TEXT_MARGIN),
            (label.width + TEXT_MARGIN, -label.below - TEXT_MARGIN),
            (-TEXT_MARGIN, -label.below - TEXT_MARGIN),
        )
        return tuple(step(at, angle, x, y) for x, y in reach)

    def write(
        self,
        text: str,
        at: Point,
        *,
        height: float | None = None,
        align: str = "left",
        kind: str = "",
        stacked: bool = False,
    ) -> tuple[Point, ...]:
        """Write a line of text that is no dimension; a `kind` makes it a statement."""
        label = self.label(text, height, stacked=stacked)
        shift = {"left": 0.0, "centre": label.width / 2, "right": label.width}[align]
        corners = self.place(label, (at[0] - shift, at[1]))
        if kind:
            self.say(kind, text, corners)
        return corners

    def say(self, kind: str, text: str, corners: tuple[Point, ...]) -> None:
        """Note a statement."""
        self.said.append(
            Said(kind=kind, text=text, corners=corners, view=self.view, about="statement")
        )

    @contextmanager
    def viewing(self, *, part: str, kind: str, factor: Fraction, outline: Box) -> Iterator[int]:
        """Draw a view: what is drawn inside belongs to it."""
        number, first = len(self.seen) + 1, len(self.marks)
        self.view = number
        yield number
        box = box_around(p for mark in self.marks[first:] for p in corners_of(mark, self.style))
        self.seen.append(
            Seen(
                id=number,
                part=part,
                kind=kind,
                factor=factor,
                stated=Fraction(1),
                outline=outline,
                box=box,
            )
        )
        self.view = None


def corners_of(mark: Mark, style: Style) -> list[Point]:
    """Points whose box is the mark's box."""
    if isinstance(mark, Run):
        width = width_of(mark.text, mark.height, hand=style.hand)
        reach = ((0.0, 0.0), (width, 0.0), (width, mark.height), (0.0, mark.height))
        return [step(mark.origin, mark.angle, x, y) for x, y in reach]
    if isinstance(mark, Arc):
        return points_of_arc(mark, mark.radius / 8)
    return list(mark.points)
