"""A drawing board for invented plans: views at a scale, sizes, leaders, titles, a parts list.

Everything is drawn as any program would: lines, filled arrowheads, text. Real sizes are in the
plan's unit, places on the page in points with y down.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import pymupdf

from tests.dimensions.page_builder import XY, PageBuilder

ARROW_PT = 7.0
THIN_PT, THICK_PT = 0.5, 1.3
GAP_PT = 3.0  # between an outline and its extension line
ROOM_PT = 12.0  # text and arrows need so much more than the text is wide, to stand between
ROW_PT = 16.0  # of a parts list


def width_of(text: str, size: float) -> float:
    """How wide a text is printed, pt."""
    plain = text.replace("Ø", "O").replace("°", "*").replace("±", "+")
    return float(pymupdf.get_text_length(plain, fontname="helv", fontsize=size))


@dataclass(slots=True)
class Sheet(PageBuilder):
    """A page with views on it."""

    width: float = 1224.0
    height: float = 792.0
    size: float = 10.0

    def note(self, text: str, at: XY, size: float | None = None) -> None:
        """Text that begins at a place, on its middle line."""
        size = size or self.size
        self.text(text, (at[0] + width_of(text, size) / 2, at[1]), size)

    def table(self, at: XY, widths: Sequence[float], rows: Sequence[Sequence[str]]) -> None:
        """A ruled parts list; the first row is its heading."""
        x0, y0 = at
        right = x0 + sum(widths)
        for k, row in enumerate(rows):
            x = x0
            for cell, width in zip(row, widths, strict=True):
                if cell:
                    self.note(cell, (x + 4, y0 + (k + 0.5) * ROW_PT), 9.0)
                x += width
        for k in range(len(rows) + 1):
            self.line((x0, y0 + k * ROW_PT), (right, y0 + k * ROW_PT), THIN_PT)
        edges = [x0 + sum(widths[:k]) for k in range(len(widths) + 1)]
        for x in edges:
            self.line((x, y0), (x, y0 + len(rows) * ROW_PT), THIN_PT)


@dataclass(slots=True)
class Board:
    """One view: `origin` is its lower left corner on the page, `scale` pt to the plan's unit."""

    sheet: Sheet
    origin: XY
    scale: float
    boxes: dict[str, XY] = field(default_factory=dict)

    def at(self, x: float, y: float) -> XY:
        """Real place to page place."""
        return self.origin[0] + x * self.scale, self.origin[1] - y * self.scale

    def outline(self, width: float, height: float, *, at: XY = (0.0, 0.0)) -> None:
        """A rectangle."""
        (x0, y1), (x1, y0) = self.at(*at), self.at(at[0] + width, at[1] + height)
        self.sheet.rectangle((x0, y0, x1, y1), THICK_PT)

    def stroke(self, first: XY, second: XY, *, dash: str = "[] 0") -> None:
        """An edge, or a hidden one when dashed."""
        width = THICK_PT if dash == "[] 0" else THIN_PT
        self.sheet.line(self.at(*first), self.at(*second), width, dash)

    def hole(self, x: float, y: float, diameter: float, *, cross: bool = True) -> None:
        """A circle with its centre marks."""
        centre, radius = self.at(x, y), diameter * self.scale / 2
        self.sheet.circle(centre, radius, THICK_PT)
        reach = radius + 4
        for dx, dy in ((reach, 0.0), (0.0, reach)) if cross else ():
            a = (centre[0] - dx, centre[1] - dy)
            b = (centre[0] + dx, centre[1] + dy)
            self.sheet.line(a, b, 0.3, "[6 1.5 1.5 1.5] 0")

    def wide(self, x0: float, x1: float, text: str, *, off: float, y: float = 0.0) -> None:
        """A size along, `off` pt above (below when negative) the height `y` of the view."""
        a, b = self.at(x0, y), self.at(x1, y)
        level = a[1] - off
        sign = math.copysign(1.0, off)
        for x, foot in (a, b):
            self.sheet.line((x, foot - sign * GAP_PT), (x, level - sign * 4), THIN_PT)
        self._measure((a[0], level), (b[0], level), text, (a[0] + b[0]) / 2, level - 8)

    def tall(self, y0: float, y1: float, text: str, *, off: float, x: float = 0.0) -> None:
        """A size up, `off` pt left (right when negative) of the place `x` of the view."""
        a, b = self.at(x, y0), self.at(x, y1)
        level = a[0] - off
        sign = math.copysign(1.0, off)
        for foot, y in (a, b):
            self.sheet.line((foot - sign * GAP_PT, y), (level - sign * 4, y), THIN_PT)
        beside = level - 6 - width_of(text, self.sheet.size) / 2
        self._measure((level, a[1]), (level, b[1]), text, beside, (a[1] + b[1]) / 2)

    def _measure(self, a: XY, b: XY, text: str, x: float, y: float) -> None:
        sheet, room = self.sheet, math.dist(a, b)
        if room > 2 * ARROW_PT + ROOM_PT:
            sheet.line(a, b, THIN_PT)
            sheet.arrow(a, b, ARROW_PT)
            sheet.arrow(b, a, ARROW_PT)
        else:
            ux, uy = (b[0] - a[0]) / room, (b[1] - a[1]) / room
            for tip, way in ((a, -1), (b, 1)):
                back = (tip[0] + way * 18 * ux, tip[1] + way * 18 * uy)
                sheet.line(tip, back, THIN_PT)
                sheet.arrow(tip, back, ARROW_PT)
        sheet.text(text, (x, y), sheet.size)

    def leader(self, x: float, y: float, radius: float, text: str, *, to: XY) -> None:
        """A note with an arrow on a circle; `to`: where its text begins, from the centre, pt."""
        centre = self.at(x, y)
        elbow = (centre[0] + to[0], centre[1] + to[1])
        far = math.dist(centre, elbow)
        tip = tuple(
            c + radius * self.scale * (e - c) / far for c, e in zip(centre, elbow, strict=True)
        )
        shelf = (elbow[0] + 8, elbow[1])
        self.sheet.line((tip[0], tip[1]), elbow, THIN_PT)
        self.sheet.line(elbow, shelf, THIN_PT)
        self.sheet.arrow((tip[0], tip[1]), elbow, ARROW_PT)
        self.sheet.note(text, (shelf[0] + 3, shelf[1]))

    def title(self, text: str, width: float, *, off: float) -> None:
        """A title below the view, centred on its width."""
        x, y = self.at(width / 2, 0.0)
        self.sheet.text(text, (x, y + off), self.sheet.size + 1)
