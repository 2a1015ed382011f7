"""Draw a `PrintPlan`: pages true to size, lines as vectors, to 0.00001 pt.

Runs in the worker process only.
"""

from __future__ import annotations

import math
import zlib
from typing import Any

import numpy as np
import pymupdf as _pymupdf
from numpy.typing import NDArray

from audit.isolation.typesetting import Piece, Typesetter
from audit.records import PrintGroup, PrintPath, PrintPicture, PrintPlan, PrintText, Rgb

pymupdf: Any = _pymupdf  # ships without types

PT_PER_MM = 72 / 25.4
GROUND_ROOM = 0.42  # around a text on a ground, type sizes
RIM_PT = 1.1
CAP_HEIGHT = 0.72  # of the type size: height of capitals and figures (Helvetica)
SMALLEST_PT = 4.0  # a text is not set smaller than this to fit its room


class PageSetter(Typesetter):
    """A typesetter whose pages have sizes of their own and carry pictures."""

    def __init__(self) -> None:
        super().__init__(width=0.0, height=0.0)
        self.sizes: list[tuple[float, float]] = []
        self.pictures: list[list[NDArray[np.uint8]]] = []

    def begin_page(self, width: float, height: float) -> None:
        """Begin a page of this size, pt."""
        self.width, self.height = width, height
        self.sizes.append((width, height))
        self.pictures.append([])
        self.add_page()

    def open_clip(self, x0: float, y0: float, x1: float, y1: float) -> None:
        """Show what follows inside a rectangle only, until `close`."""
        self._put(f"q {x0:.5f} {self.height - y1:.5f} {x1 - x0:.5f} {y1 - y0:.5f} re W n")

    def close(self) -> None:
        """End a clip."""
        self._put("Q")

    def draw_path(self, path: PrintPath) -> None:
        """Draw one path."""
        if len(path.points) < (4 if path.curved else 2):
            return
        points = np.asarray(path.points, float) * PT_PER_MM
        points[:, 1] = self.height - points[:, 1]
        parts = [_colours(path)]
        if path.width > 0:
            parts.append(f"{path.width * PT_PER_MM:.4f} w 1 J 1 j")
        if path.dashes:
            parts.append(f"[{' '.join(f'{d * PT_PER_MM:.3f}' for d in path.dashes)}] 0 d")
        parts.append(f"{points[0][0]:.5f} {points[0][1]:.5f} m")
        if path.curved:
            for first, second, end in points[1:].reshape(-1, 3, 2):
                numbers = " ".join(f"{v:.5f}" for v in (*first, *second, *end))
                parts.append(f"{numbers} c")
        else:
            parts += [f"{x:.5f} {y:.5f} l" for x, y in points[1:]]
        if path.closed:
            parts.append("h")
        self._put(f"q {' '.join(parts)} {_painter(path)} Q")

    def draw_text(self, text: PrintText) -> None:
        """Set one line of text, turned, on a ground when it has one."""
        size, words = self._fit(text)
        wide = sum(w.width for w in words) + sum(w.space for w in words[1:])
        x, y = text.at.x * PT_PER_MM, self.height - text.at.y * PT_PER_MM
        turn = math.radians(text.angle)
        c, s = math.cos(turn), math.sin(turn)
        self._put(f"q {c:.6f} {s:.6f} {-s:.6f} {c:.6f} {x:.4f} {y:.4f} cm")
        left = -text.align * wide
        if text.ground is not None:
            room = GROUND_ROOM * size
            box = (left - room, -room, wide + 2 * room, CAP_HEIGHT * size + 2 * room)
            self._put(_box(box, ground=text.ground, rim=text.rim))
        self.show_line(left, self.height, words)
        self._put("Q")

    def _fit(self, text: PrintText) -> tuple[float, Any]:
        size = text.size
        while True:
            style = Piece(
                text=text.text, size=size, bold=text.bold, colour=text.colour, plain=text.plain
            )
            words = self.break_lines([style], 1e6)[0]
            wide = sum(w.width for w in words) + sum(w.space for w in words[1:])
            room = None if text.room is None else text.room * PT_PER_MM
            if room is None or wide <= room or size <= SMALLEST_PT:
                return size, words
            size = max(SMALLEST_PT, min(size * room / wide, size - 0.05))

    def draw_picture(self, picture: PrintPicture) -> None:
        """Lay a picture into its box, mm."""
        box = picture.box
        corners = (box.x0 * PT_PER_MM, box.y0 * PT_PER_MM, box.x1 * PT_PER_MM, box.y1 * PT_PER_MM)
        self.lay_picture(picture.pixels, *corners)

    def lay_picture(
        self, pixels: NDArray[np.uint8], x0: float, y0: float, x1: float, y1: float
    ) -> None:
        """Lay a picture into a box, pt."""
        name = f"Im{len(self.pictures[-1])}"
        self.pictures[-1].append(pixels)
        self._put(
            f"q {x1 - x0:.5f} 0 0 {y1 - y0:.5f} {x0:.5f} {self.height - y1:.5f} cm /{name} Do Q"
        )

    def to_pdf(self, *, title: str = "") -> bytes:
        """Write the pages as a PDF that asks to be printed at its actual size."""
        doc = pymupdf.open()
        for number, operators in enumerate(self.pages):
            width, height = self.sizes[number]
            page = doc.new_page(width=width, height=height)
            for name, font in self._fonts.items():
                page.insert_font(fontname=name, fontbuffer=font.buffer)
            images = [f"/Im{k} {_image(doc, p)} 0 R" for k, p in enumerate(self.pictures[number])]
            if images:
                _set_resource(doc, page.xref, f"<<{''.join(images)}>>")
            xref = doc.get_new_xref()
            doc.update_object(xref, "<<>>")
            doc.update_stream(xref, "\n".join(operators).encode("ascii"))
            doc.xref_set_key(page.xref, "Contents", f"{xref} 0 R")
        # ISO 32000-1, table 150: the print dialogue then opens at "actual size".
        doc.xref_set_key(doc.pdf_catalog(), "ViewerPreferences", "<</PrintScaling/None>>")
        doc.set_metadata({"title": title, "producer": "plan-audit"})
        if "Ff" in self._fonts:
            doc.subset_fonts()
        data = doc.tobytes(garbage=3, deflate=True)
        doc.close()
        return bytes(data)


def set_print_pages(plan: PrintPlan) -> bytes:
    """Draw every page of a plan as a PDF."""
    setter = PageSetter()
    for page in plan.pages:
        setter.begin_page(page.width * PT_PER_MM, page.height * PT_PER_MM)
        for group in page.groups:
            _draw_group(setter, group)
    return setter.to_pdf(title=plan.title)


def _draw_group(setter: PageSetter, group: PrintGroup) -> None:
    if group.clip is not None:
        setter.open_clip(*(side * PT_PER_MM for side in group.clip))
    for item in group.items:
        match item:
            case PrintPath():
                setter.draw_path(item)
            case PrintText():
                setter.draw_text(item)
            case PrintPicture():
                setter.draw_picture(item)
    if group.clip is not None:
        setter.close()


def _colours(path: PrintPath) -> str:
    colours = f"{_rgb(path.colour)} RG"
    return colours if path.fill is None else f"{colours} {_rgb(path.fill)} rg"


def _painter(path: PrintPath) -> str:
    if path.fill is None:
        return "S"
    return "B" if path.width > 0 else "f"


def _box(box: tuple[float, float, float, float], *, ground: Rgb, rim: Rgb | None) -> str:
    area = " ".join(f"{v:.3f}" for v in box)
    if rim is None:
        return f"q {_rgb(ground)} rg {area} re f Q"
    return f"q {_rgb(ground)} rg {_rgb(rim)} RG {RIM_PT} w {area} re B Q"


def _set_resource(doc: Any, page: int, images: str) -> None:
    """Name the pictures of a page; its resources stand in the page or in an object of their own."""
    kind, value = doc.xref_get_key(page, "Resources")
    if kind == "xref":
        doc.xref_set_key(int(value.split()[0]), "XObject", images)
    else:
        doc.xref_set_key(page, "Resources/XObject", images)


def _image(doc: Any, pixels: NDArray[np.uint8]) -> int:
    rows, columns = pixels.shape
    xref = int(doc.get_new_xref())
    doc.update_object(
        xref,
        f"<</Type/XObject/Subtype/Image/Width {columns}/Height {rows}"
        "/ColorSpace/DeviceGray/BitsPerComponent 8>>",
    )
    doc.update_stream(xref, zlib.compress(np.ascontiguousarray(pixels).tobytes(), 6), compress=0)
    doc.xref_set_key(xref, "Filter", "/FlateDecode")
    return xref


def _rgb(colour: Rgb) -> str:
    return " ".join(f"{value:.3f}" for value in colour)
