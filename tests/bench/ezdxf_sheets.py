"""Random sheets with known dimensions, drawn by ezdxf from DIMENSION entities.

The truth comes from the entities, the lines and arrowheads from ezdxf's drawing add-on and its
PyMuPDF back end. Texts are put in as real PDF text where ezdxf computed them, because that back
end turns all text into outlines. Development and held-out styles are kept apart.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import replace

import ezdxf
import numpy as np
import pikepdf
from ezdxf.addons.drawing import Frontend, RenderContext, config, layout
from ezdxf.addons.drawing import pymupdf as drawing_backend
from ezdxf.math import BoundingBox2d, Vec2

from tests.bench.ezdxf_drawing import (
    BenchSheet,
    Drawing,
    Slip,
    Truth,
    add_style,
    choose_factor,
    draw_line,
    draw_outline,
    print_wrong,
    write_note,
)
from tests.bench.ezdxf_styles import Style
from tests.bench.ezdxf_texts import XY, text_operators
from tests.bench.ezdxf_views import EVERY_VIEW, View


def make_sheet(
    style: Style,
    rng: np.random.Generator,
    *,
    slip: Slip = print_wrong,
    factor: float | None = None,
    views: Sequence[View] | None = None,
    most: int | None = None,
    title: View | None = None,
) -> BenchSheet:
    """Draw one sheet with several views, a border, a title block and notes.

    Parameters
    ----------
    style : Style
    rng : numpy.random.Generator
    slip : Slip
        What goes wrong with the printed numbers.
    factor : float, optional
        Real length to a length on paper of every view; drawn at random otherwise.
    views : sequence of View, optional
        What is drawn; `EVERY_VIEW` otherwise.
    most : int, optional
        So many views at most.
    title : callable, optional
        Writes what stands below a view; its name, count and scale otherwise.
    """
    sizes = [(11.0, 8.5), (12.0, 9.0), (17.0, 11.0), (22.0, 17.0)]
    width, height = sizes[int(rng.choice(4, p=[0.5, 0.2, 0.2, 0.1]))]
    doc = ezdxf.new("R2010", setup=True)
    sheet = Drawing(width, height, style, rng, doc, doc.modelspace(), slip=slip)
    add_style(sheet)
    _border(sheet)
    columns, rows = int((width - 1.2) // 4.9), int((height - 2.2) // 3.1)
    views, title = views or EVERY_VIEW, title or _title
    for place in range(rows * columns)[:most]:
        row, column = divmod(place, columns)
        x = 0.9 + column * (width - 1.2) / columns
        y = 2.2 + row * (height - 2.2) / rows
        sheet.factor = factor or choose_factor(style.unit, rng)
        views[int(rng.integers(len(views)))](sheet, x + 0.75, y + 0.85)
        title(sheet, x + 2.0, y)
    turn = int(rng.choice([0, 0, 90, 270]))
    return BenchSheet(pdf=_pdf(sheet, turn), truths=_turned(sheet, turn), style=style.name)


def _title(s: Drawing, x: float, y: float) -> None:
    factor = s.factor / (25.4 if s.style.unit == "mm" else 1)
    scale = f"1:{factor:g}" if factor >= 1 else f"{1 / factor:g}:1"
    name = str(s.rng.choice(["SIDE PLATE", "LIFT STEP", "CAM", "GUIDE", "CRANK"]))
    write_note(s, f"{name}   MAKE {int(s.rng.integers(1, 7))}", (x, y - 0.02), 0.12, 5)
    write_note(s, f"SCALE {scale}", (x, y - 0.2), 0.09, 5)


def _border(s: Drawing) -> None:
    w, h = s.width, s.height
    draw_outline(s, [(0.25, 0.25), (w - 0.25, 0.25), (w - 0.25, h - 0.25), (0.25, h - 0.25)])
    draw_outline(s, [(0.45, 0.45), (w - 0.45, 0.45), (w - 0.45, h - 0.45), (0.45, h - 0.45)])
    for i in range(1, 8):
        x = 0.45 + (w - 0.9) * i / 8
        for y0, y1 in ((0.25, 0.45), (h - 0.45, h - 0.25)):
            draw_line(s, (x, y0), (x, y1), 25)
            write_note(s, str(9 - i), (x - (w - 0.9) / 16, (y0 + y1) / 2), 0.1, 5)
    for i in range(1, 4):
        y = 0.45 + (h - 0.9) * i / 4
        for x0, x1 in ((0.25, 0.45), (w - 0.45, w - 0.25)):
            draw_line(s, (x0, y), (x1, y), 25)
            write_note(s, "ABCD"[i], ((x0 + x1) / 2, y - (h - 0.9) / 8), 0.1, 5)
    _table(s, w - 4.45, 0.45)
    for i, text in enumerate(
        ("NOTES", "1. ALL PARTS 1/4 THICK UNLESS NOTED", "2. BREAK SHARP EDGES 1/32 MAX")
    ):
        write_note(s, text, (0.7, 1.3 - 0.18 * i))


def _table(s: Drawing, x: float, y: float) -> None:
    for i in range(6):
        draw_line(s, (x, y + 0.22 * i), (x + 4.0, y + 0.22 * i), 25)
    for dx in (0, 0.5, 2.2, 2.8, 4.0):
        draw_line(s, (x + dx, y), (x + dx, y + 1.1), 25)
    rows = [
        ("ITEM", "NAME", "QTY", "SIZE"),
        ("1", "STEP", "6", "3/8 X 7/8 X 4"),
        ("2", "CAM", "4", "1 5/8 DIA"),
        ("3", "AXLE", "2", "1/4 X 2 1/2"),
        ("4", "BASE", "1", "3/4 X 6 X 9"),
    ]
    for i, row in enumerate(rows):
        for dx, text in zip((0.08, 0.58, 2.28, 2.88), row, strict=True):
            write_note(s, text, (x + dx, y + 1.1 - 0.22 * i - 0.11), 0.09)


def _pdf(s: Drawing, turn: int) -> bytes:
    back = drawing_backend.PyMuPdfBackend()
    options = config.Configuration(
        text_policy=config.TextPolicy.IGNORE,
        background_policy=config.BackgroundPolicy.OFF,
        color_policy=config.ColorPolicy.BLACK,
    )
    Frontend(RenderContext(s.doc), back, config=options).draw_layout(s.space)
    page = layout.Page(s.width, s.height, layout.Units.inch, margins=layout.Margins.all(0))
    lines = back.get_pdf_bytes(
        page,
        settings=layout.Settings(fit_page=False, scale=25.4),
        render_box=BoundingBox2d([Vec2(0, 0), Vec2(s.width, s.height)]),
    )
    return _with_text(lines, s, turn)


def _with_text(lines: bytes, s: Drawing, turn: int) -> bytes:
    pdf = pikepdf.open(io.BytesIO(lines))
    page = pdf.pages[0]
    fonts = pikepdf.Dictionary()
    for name in ("Helvetica", "Times-Roman", "Courier"):
        fonts[f"/{name}"] = pdf.make_indirect(
            pikepdf.Dictionary(
                Type=pikepdf.Name.Font,
                Subtype=pikepdf.Name.Type1,
                BaseFont=pikepdf.Name(f"/{name}"),
                Encoding=pikepdf.Name.WinAnsiEncoding,
            )
        )
    if "/Resources" not in page:
        page.Resources = pikepdf.Dictionary()
    page.Resources.Font = fonts
    content = "\n".join(text_operators(t) for t in s.texts)
    page.contents_coalesce()
    old = page.Contents.read_bytes()
    w, h = s.width * 72, s.height * 72
    before = {0: "1 0 0 1 0 0", 90: f"0 1 -1 0 {h} 0", 270: f"0 -1 1 0 0 {w}"}[turn]
    if turn:
        page.MediaBox = pikepdf.Array([0, 0, h, w])
        page.Rotate = turn
        for key in ("/CropBox", "/TrimBox", "/ArtBox", "/BleedBox"):
            if key in page:
                del page[key]
    body = f"q {before} cm\nq\n".encode() + old + b"\nQ\n" + content.encode("cp1252") + b"\nQ"
    page.Contents = pdf.make_stream(body)
    out = io.BytesIO()
    pdf.save(out)
    return out.getvalue()


def _turned(s: Drawing, turn: int) -> tuple[Truth, ...]:
    """Truth in the sheet's frame: unrotated page, y down."""
    w, h = s.width * 72, s.height * 72

    def place(p: XY) -> XY:
        x, y = p[0] * 72, p[1] * 72
        if turn == 90:  # user (x, y) -> (h - y, x), page is h wide and w high
            return h - y, w - x
        if turn == 270:
            return y, x
        return x, h - y

    return tuple(replace(t, ends=tuple(place(p) for p in t.ends)) for t in s.truths)
