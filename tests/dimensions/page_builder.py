"""Draws small PDF pages operator by operator, the way different programs do.

Coordinates are points with y down from the top left, as in the sheet's frame, so that a test says
what it draws and expects in the same numbers.
"""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import pikepdf
import pymupdf

from audit.dimensions import FoundPage, find_dimensions
from audit.isolation.vector import extract_page
from audit.lengths import Unit
from audit.reading.pdf_text import join_texts
from audit.records import Dimension, VectorPage

XY = tuple[float, float]
PLATE = (100.0, 240.0, 300.0, 340.0)


@dataclass(slots=True)
class PageBuilder:
    """Collects PDF operators for one page."""

    width: float = 612.0
    height: float = 792.0
    turn: int = 0
    crop: tuple[float, float, float, float] | None = None
    user_unit: float = 1.0
    matrix: str = "1 0 0 1 0 0"
    parts: list[str] = field(default_factory=list)

    def raw(self, operators: str) -> None:
        """Add operators as they are (y up)."""
        self.parts.append(operators)

    def _p(self, p: XY) -> str:
        return f"{p[0]:.4f} {self.height - p[1]:.4f}"

    def line(self, a: XY, b: XY, width: float = 0.5, dash: str = "[] 0") -> None:
        """One stroked line."""
        self.raw(f"{width} w {dash} d {self._p(a)} m {self._p(b)} l S")

    def path(
        self, points: Sequence[XY], *, width: float = 0.5, close: bool = False, paint: str = "S"
    ) -> None:
        """One path through some points."""
        first, *rest = points
        steps = " ".join(f"{self._p(p)} l" for p in rest)
        self.raw(f"{width} w [] 0 d {self._p(first)} m {steps} {'h' if close else ''} {paint}")

    def rectangle(self, box: tuple[float, float, float, float], width: float = 1.2) -> None:
        """A rectangle with the re operator, from x0, y0, x1, y1."""
        x0, y0, x1, y1 = box
        self.raw(f"{width} w [] 0 d {x0} {self.height - y1} {x1 - x0} {y1 - y0} re S")

    def circle(self, c: XY, r: float, width: float = 1.2, paint: str = "S") -> None:
        """A circle of four Béziers."""
        k = 0.5522847498 * r
        x, y = c[0], self.height - c[1]
        self.raw(
            f"{width} w [] 0 d {x + r} {y} m "
            f"{x + r} {y + k} {x + k} {y + r} {x} {y + r} c "
            f"{x - k} {y + r} {x - r} {y + k} {x - r} {y} c "
            f"{x - r} {y - k} {x - k} {y - r} {x} {y - r} c "
            f"{x + k} {y - r} {x + r} {y - k} {x + r} {y} c {paint}"
        )

    def arrow(self, tip: XY, back: XY, length: float = 8.0, how: str = "filled") -> None:
        """An arrowhead at `tip` whose body lies towards `back`."""
        far = math.dist(tip, back)
        ux, uy = (back[0] - tip[0]) / far, (back[1] - tip[1]) / far
        half = length / 6
        a = (tip[0] + length * ux - half * uy, tip[1] + length * uy + half * ux)
        b = (tip[0] + length * ux + half * uy, tip[1] + length * uy - half * ux)
        if how == "filled":
            self.path([tip, a, b], close=True, paint="f")
        elif how == "filled and stroked":
            self.path([tip, a, b], close=True, paint="b", width=0.3)
        elif how == "open":
            self.path([a, tip, b])
        elif how == "blank":
            self.path([tip, a, b], close=True)
        elif how == "halves":
            m = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
            self.path([tip, a, m], close=True, paint="f")
            self.path([tip, m, b], close=True, paint="f")
        elif how == "notched":
            m = (tip[0] + 0.75 * length * ux, tip[1] + 0.75 * length * uy)
            self.path([tip, a, m, b], close=True, paint="f")
        elif how == "fan":
            for k in range(9):
                t = k / 8
                self.line(tip, (a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])), 0.3)
        elif how == "strips":
            for k in range(12):
                t = (k + 0.5) / 12
                p = (tip[0] + t * (a[0] - tip[0]), tip[1] + t * (a[1] - tip[1]))
                q = (tip[0] + t * (b[0] - tip[0]), tip[1] + t * (b[1] - tip[1]))
                self.line(p, q, length / 12)
            self.path([tip, a, b], close=True, width=0.2)
        else:
            raise ValueError(how)

    def text(
        self, text: str, centre: XY, size: float = 9.0, angle: float = 0.0, mode: int = 0
    ) -> None:
        """Text centred on a point, running at `angle` (counter-clockwise as seen)."""
        plain = text.replace("Ø", "O").replace("°", "*")
        wide = pymupdf.get_text_length(plain, fontname="helv", fontsize=size)
        c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
        x, y = centre[0], self.height - centre[1]
        x, y = x - wide / 2 * c + 0.36 * size * s, y - wide / 2 * s - 0.36 * size * c
        safe = text.replace("\\", "\\\\").replace("(", "\\(").replace(")", "\\)")
        self.raw(
            f"BT /F {size} Tf {mode} Tr {c:.5f} {s:.5f} {-s:.5f} {c:.5f} {x:.4f} {y:.4f} Tm"
            f" ({safe}) Tj ET"
        )

    def dimension(
        self,
        a: float,
        b: float,
        y: float,
        text: str,
        *,
        how: str = "filled",
        foot: float = 40.0,
        above: float = 7.0,
    ) -> None:
        """A plain horizontal dimension with extension lines reaching down by `foot`."""
        for x in (a, b):
            self.line((x, y - 4), (x, y + foot))
        self.line((a, y), (b, y))
        self.arrow((a, y), (b, y), how=how)
        self.arrow((b, y), (a, y), how=how)
        self.text(text, ((a + b) / 2, y - above))

    def pdf(self) -> bytes:
        """The finished file."""
        pdf = pikepdf.new()
        pdf.add_blank_page(page_size=(self.width, self.height))
        page = pdf.pages[0]
        font = pikepdf.Dictionary(
            Type=pikepdf.Name.Font,
            Subtype=pikepdf.Name.Type1,
            BaseFont=pikepdf.Name.Helvetica,
            Encoding=pikepdf.Name.WinAnsiEncoding,
        )
        page.Resources = pikepdf.Dictionary(Font=pikepdf.Dictionary(F=pdf.make_indirect(font)))
        content = "\n".join(["q", f"{self.matrix} cm", *self.parts, "Q"])
        page.Contents = pdf.make_stream(content.encode("cp1252"))
        if self.turn:
            page.Rotate = self.turn
        if self.crop:
            page.CropBox = pikepdf.Array(list(self.crop))
        if self.user_unit != 1.0:
            page.UserUnit = self.user_unit
        out = io.BytesIO()
        pdf.save(out)
        return out.getvalue()

    def document(self) -> pymupdf.Document:
        """The file, opened."""
        return pymupdf.open(stream=self.pdf(), filetype="pdf")

    def page(self) -> VectorPage:
        """The page as extracted."""
        return extract_page(self.document(), 0)

    def find(self, unit: Unit | None = Unit.IN) -> FoundPage:
        """What is found on the page."""
        page = self.page()
        return find_dimensions(page, join_texts(page), sheet=1, unit=unit)


def shown(dimension: Dimension) -> tuple[str, str | None, float]:
    """Kind, text, and distance between the outer ends rounded to 0.01 pt."""
    a, b = dimension.ends[0].point, dimension.ends[-1].point
    text = None if dimension.reading is None else dimension.reading.text
    return dimension.kind.value, text, round(a.distance(b), 2)


def found(builder: PageBuilder) -> list[tuple[str, str | None, float]]:
    """What is shown of all dimensions that are found on a page."""
    return sorted((shown(d) for d in builder.find().dimensions), key=str)


def plate() -> PageBuilder:
    """Draw a rectangular plate."""
    builder = PageBuilder()
    builder.rectangle(PLATE)
    return builder


def extension_lines(builder: PageBuilder, *xs: float) -> None:
    """Draw upright extension lines above the plate."""
    for x in xs:
        builder.line((x, 196), (x, 236))
