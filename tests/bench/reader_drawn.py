"""Callouts among the lines of a drawing, set and drawn by MuPDF, cropped as real sheets are.

A cell holds one callout with what a drawing puts around it: dimension and extension lines,
arrowheads, boxes, leaders, section lines, filled ground, the text of a neighbour. The crop is the
text's own ink box with a margin, whatever else falls into it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pymupdf

from tests.bench import reader_sheets as sheets
from tests.bench.reader_texts import Printed, as_drawn, draw_printed, stacked

Rng = np.random.Generator
# Type sizes of plans and of plans printed at half size, pt.
SIZES_PT = (5.0, 6.0, 7.0, 8.0, 9.0, 11.0)
CAP = 0.72  # of the size
MARGINS = (0.05, 0.6)  # kept around the text's ink, in capital heights


@dataclass(frozen=True, slots=True)
class Cell:
    """Where a text stands: its page, box of its ink (pt) and capital height (pt)."""

    page: pymupdf.Page
    box: pymupdf.Rect
    cap: float


def dimension_line_under(rng: Rng, cell: Cell) -> None:
    """The line that the text stands on, arrowheads at its ends."""
    y = cell.box.y1 + cell.cap * rng.uniform(0.12, 0.5)
    over = cell.cap * rng.uniform(0.2, 4, 2)
    _line(cell, (cell.box.x0 - over[0], y), (cell.box.x1 + over[1], y))
    _arrow(cell, (cell.box.x0 - over[0], y), -1)
    _arrow(cell, (cell.box.x1 + over[1], y), 1)


def dimension_line_broken(rng: Rng, cell: Cell) -> None:
    """The line that the text breaks, arrowheads at its ends."""
    y = (cell.box.y0 + cell.box.y1) / 2
    for x, sign in ((cell.box.x0, -1), (cell.box.x1, 1)):
        near = x + sign * cell.cap * rng.uniform(0.2, 0.6)
        far = near + sign * cell.cap * rng.uniform(0.8, 4)
        _line(cell, (near, y), (far, y))
        _arrow(cell, (far, y), sign)


def arrows_inside_margin(rng: Rng, cell: Cell) -> None:
    """Arrowheads with their tips just beside the text."""
    y = cell.box.y1 - cell.cap * rng.uniform(0.2, 0.8)
    for x, sign in ((cell.box.x0, -1), (cell.box.x1, 1)):
        tip = x + sign * cell.cap * rng.uniform(0.2, 0.5)
        _arrow(cell, (tip, y), -sign)
        _line(cell, (tip, y), (tip + sign * 3 * cell.cap, y))


def extension_lines(rng: Rng, cell: Cell) -> None:
    """Upright lines close beside the text."""
    for x, sign in ((cell.box.x0, -1), (cell.box.x1, 1)):
        if rng.random() < 0.7:
            at = x + sign * cell.cap * rng.uniform(0.15, 0.6)
            _line(cell, (at, cell.box.y0 - 3 * cell.cap), (at, cell.box.y1 + 3 * cell.cap))


def line_across(rng: Rng, cell: Cell) -> None:
    """A thin upright or slanted line through the text."""
    x = rng.uniform(cell.box.x0, cell.box.x1)
    lean = rng.choice([0.0, 0.0, rng.uniform(-3, 3)]) * cell.cap
    _line(cell, (x - lean, cell.box.y0 - 2 * cell.cap), (x + lean, cell.box.y1 + 2 * cell.cap))


def centre_line(rng: Rng, cell: Cell) -> None:
    """A dashed level line close under or over the text."""
    over = rng.random() < 0.5
    y = cell.box.y0 - 0.2 * cell.cap if over else cell.box.y1 + 0.2 * cell.cap
    shape = cell.page.new_shape()
    shape.draw_line((cell.box.x0 - 9 * cell.cap, y), (cell.box.x1 + 9 * cell.cap, y))
    shape.finish(width=0.4, dashes="[6 1.5 1.5 1.5] 0")
    shape.commit()


def section_lines(rng: Rng, cell: Cell) -> None:
    """Section lines up to the text, which stands clear of them."""
    gap = cell.cap * rng.uniform(0.05, 0.3)
    clear = _grown(cell.box, gap, gap)
    low, high = cell.box.y0 - 1.5 * cell.cap, cell.box.y1 + 1.5 * cell.cap
    shape = cell.page.new_shape()
    for x in np.arange(cell.box.x0 - 6 * cell.cap, cell.box.x1 + 4 * cell.cap, 0.7 * cell.cap):
        shape.draw_line((x, high), (x + high - low, low))
    shape.finish(width=0.35)
    shape.draw_rect(clear)
    shape.finish(color=None, fill=(1, 1, 1))
    shape.commit(overlay=False)


def box_around(rng: Rng, cell: Cell) -> None:
    """A frame, as around a basic size or a table's field."""
    x, y = cell.cap * rng.uniform(0.15, 0.5, 2)
    cell.page.draw_rect(_grown(cell.box, x, y), width=0.5)


def filled_ground(rng: Rng, cell: Cell) -> None:
    """A tinted ground."""
    tint = float(rng.uniform(0.75, 0.95))
    by = 3 * cell.cap
    fill = (tint, tint, tint)
    cell.page.draw_rect(_grown(cell.box, by, by), color=None, fill=fill, overlay=False)


def leader(rng: Rng, cell: Cell) -> None:
    """A leader that ends beside the text, its shoulder level."""
    sign = int(rng.choice([-1, 1]))
    x = (cell.box.x0 if sign < 0 else cell.box.x1) + sign * cell.cap * rng.uniform(0.2, 0.5)
    y = cell.box.y1 - cell.cap * 0.5
    bend = x + sign * cell.cap * rng.uniform(0.3, 1.2)
    _line(cell, (x, y), (bend, y))
    _line(cell, (bend, y), (bend + sign * 3 * cell.cap, y + cell.cap * rng.uniform(-5, 5)))


def neighbour(rng: Rng, cell: Cell) -> None:
    """Another text above or below, its feet or heads in the crop."""
    above = rng.random() < 0.5
    y = (
        cell.box.y0 - cell.cap * rng.uniform(0.25, 0.5)
        if above
        else cell.box.y1 + cell.cap * rng.uniform(1.25, 1.5)
    )
    cell.page.insert_text((cell.box.x0, y), "25.40 REF", fontsize=cell.cap / CAP, fontname="helv")


def _grown(box: pymupdf.Rect, x: float, y: float) -> pymupdf.Rect:
    return pymupdf.Rect(box.x0 - x, box.y0 - y, box.x1 + x, box.y1 + y)


def _line(cell: Cell, a: tuple[float, float], b: tuple[float, float]) -> None:
    cell.page.draw_line(a, b, width=0.4)


def _arrow(cell: Cell, tip: tuple[float, float], sign: int) -> None:
    """A filled head pointing right (+1) or left (-1)."""
    back, half = tip[0] - sign * 0.9 * cell.cap, 0.15 * cell.cap
    cell.page.draw_polyline(
        [tip, (back, tip[1] - half), (back, tip[1] + half)],
        width=0.1, fill=(0, 0, 0), closePath=True,
    )  # fmt: skip


Drawer = Callable[[Rng, Cell], None]
SURROUNDINGS: dict[str, tuple[Drawer, ...]] = {
    "alone": (),
    "dimension line under": (dimension_line_under,),
    "dimension line broken": (dimension_line_broken,),
    "arrowheads beside": (arrows_inside_margin,),
    "extension lines": (extension_lines,),
    "line across": (line_across,),
    "centre line": (centre_line,),
    "section lines": (section_lines,),
    "box": (box_around,),
    "filled ground": (filled_ground,),
    "leader": (leader,),
    "neighbour": (neighbour,),
    "extension and dimension line": (extension_lines, dimension_line_under),
}


@dataclass(frozen=True, slots=True)
class DrawnCrop:
    """A crop with its truth and what it was drawn with."""

    crop: sheets.Gray
    printed: Printed
    around: str
    size_pt: float
    font: str


def draw_crops(
    rng: Rng,
    printed: list[Printed],
    fonts: dict[str, str],
    dpi: int,
    names: tuple[str, ...] = tuple(SURROUNDINGS),
    *,
    margins: tuple[float, float] = MARGINS,
) -> list[DrawnCrop]:
    """One crop a callout; surroundings, fonts and sizes take turns."""
    out = []
    paths = [(name, path) for name in fonts if (path := sheets.find_font(name)) is not None]
    for k, one in enumerate(printed):
        font_name, path = paths[k % len(paths)]
        around, size = names[k % len(names)], float(rng.choice(SIZES_PT))
        drawn = _draw(rng, one, path=str(path), size=size, around=around, dpi=dpi, margins=margins)
        if drawn is not None:
            out.append(DrawnCrop(drawn, one, around, size, font_name))
    return out


def _draw(
    rng: Rng,
    one: Printed,
    *,
    path: str,
    size: float,
    around: str,
    dpi: int,
    margins: tuple[float, float],
) -> sheets.Gray | None:
    font = pymupdf.Font(fontfile=path)
    if any(not font.has_glyph(ord(c)) for c in one.text if c != " "):
        return None
    cap = font.glyph_bbox(ord("H")).y1
    type_size = size * CAP / cap if 0.3 < cap < 1.2 else size
    page = pymupdf.open().new_page(width=60 * size, height=12 * size)
    sheets.set_printed(page, font, one, at=(20 * size, 6 * size), size=type_size)
    scale = dpi / 72
    ink = np.argwhere(_render(page, scale) < 160)
    if not len(ink):
        return None
    (y0, x0), (y1, x1) = ink.min(0) / scale, (ink.max(0) + 1) / scale
    cell = Cell(page, pymupdf.Rect(x0, y0, x1, y1), CAP * size)
    for draw in SURROUNDINGS[around]:
        draw(rng, cell)
    room = rng.uniform(*margins, 4) * cell.cap
    left, top = max(0, round((x0 - room[0]) * scale)), max(0, round((y0 - room[1]) * scale))
    right, bottom = round((x1 + room[2]) * scale) + 1, round((y1 + room[3]) * scale) + 1
    return _render(page, scale)[top:bottom, left:right].copy()


def _render(page: pymupdf.Page, scale: float) -> sheets.Gray:
    pixels = page.get_pixmap(matrix=pymupdf.Matrix(scale, scale), colorspace="gray")
    return np.frombuffer(pixels.samples, np.uint8).reshape(pixels.height, pixels.stride)


LARGE_PT = (34 * 72, 22 * 72)
FILLED = 0.55  # share of the large sheet's places that hold a text


def draw_large(rng: Rng) -> tuple[sheets.Gray, int]:
    """A 34 x 22 in sheet at 300 dpi, grainy, and how many texts stand on it."""
    page = pymupdf.open().new_page(width=LARGE_PT[0], height=LARGE_PT[1])
    font, count = pymupdf.Font("helv"), 0
    for y in range(60, LARGE_PT[1] - 60, 44):
        for x in range(50, LARGE_PT[0] - 180, 190):
            page.draw_line((x, y + 6), (x + 150, y + 6), width=0.5)
            page.draw_line((x, y - 20), (x, y + 12), width=0.35)
            if rng.random() < FILLED:
                (one,) = draw_printed(rng, (as_drawn if rng.random() < 0.7 else stacked,), 1)
                sheets.set_printed(page, font, one, at=(x + 30, y), size=9.0)
                count += 1
    gray = _render(page, 300 / 72)
    grain = rng.integers(-9, 10, gray.shape, dtype=np.int16)
    return np.clip(gray * 0.9 + 10 + grain, 0, 255).astype(np.uint8), count
