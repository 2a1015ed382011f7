"""A view: a part drawn on a sheet, its edges, holes, centre lines and title.

Visible edges thick; everything else thin (ASME Y14.2).
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from drawing.marks import Point, angle_of, step
from drawing.sheet import Paper

CENTRE = (0.42, 0.05, 0.09, 0.05)  # long dash, gap, dot, gap
HIDDEN = (0.11, 0.045)
CROSS = 0.09  # a centre mark runs this far past its circle
DOT = 0.05  # half of the short dashes that cross in a hole
LINE_STEP = 0.075  # between the lines of a title, beside their height

Number = Fraction | int | float
Place = tuple[Number, Number]


@dataclass(frozen=True, kw_only=True)
class View:
    """A part drawn on a sheet. Part coordinates: inches of the part, y up, from `origin`.

    `origin` is where the part's (0, 0) stands on the sheet; `box` the part's own extent;
    `factor` real over drawn.
    """

    paper: Paper
    id: int
    origin: Point
    factor: Fraction
    box: tuple[float, float, float, float]

    def at(self, x: Number, y: Number) -> Point:
        """Where a place of the part stands on the sheet."""
        return self.origin[0] + self.size(x), self.origin[1] - self.size(y)

    def size(self, length: Number) -> float:
        """How long a length of the part is drawn."""
        return float(length) / float(self.factor)

    def outline(self, *points: Place, closed: bool = True) -> None:
        """Draw visible edges."""
        self.paper.line(*(self.at(*p) for p in points), thick=True, closed=closed)

    def hidden(self, a: Place, b: Place) -> None:
        """Draw a hidden edge."""
        self.paper.line(self.at(*a), self.at(*b), dash=HIDDEN)

    def centre_line(self, a: Place, b: Place, past: float = 0.2) -> None:
        """Draw a centre line that runs `past` the two places."""
        start, end = self.at(*a), self.at(*b)
        angle = angle_of(start, end)
        self.paper.line(step(start, angle, -past), step(end, angle, past), dash=CENTRE)

    def hole(self, x: Number, y: Number, diameter: Number, *, mark: bool = True) -> None:
        """Draw a hole, with its centre mark unless told otherwise."""
        self.paper.arc(self.at(x, y), self.size(diameter) / 2)
        if mark:
            self.centre_mark(x, y, diameter)

    def centre_mark(self, x: Number, y: Number, diameter: Number) -> None:
        """Draw a circle's centre lines: short dashes that cross, long ones that run past it."""
        centre, reach = self.at(x, y), self.size(diameter) / 2 + CROSS
        dot = min(DOT, reach / 4)
        for angle in (0.0, 90.0):
            self.paper.line(step(centre, angle, -dot), step(centre, angle, dot))
            for side in (angle, angle + 180.0):
                self.paper.line(step(centre, side, dot + 0.04), step(centre, side, reach))

    def title(self, below: float, name: str, *also: tuple[str, str]) -> None:
        """Write the view's name, and statements (kind, text) under it, centred under the part."""
        x = self.at((self.box[0] + self.box[2]) / 2, 0)[0]
        y = self.at(0, self.box[1])[1] + below
        paper = self.paper
        paper.write(name, (x, y), height=paper.style.title, align="centre", kind="title")
        for kind, text in also:
            y += paper.style.title + LINE_STEP
            paper.write(text, (x, y), align="centre", kind=kind)
