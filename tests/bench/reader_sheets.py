"""Sheets of callouts set by programs that are not ours, as PDF: MuPDF, ezdxf, Chromium.

Every sheet is a grid; the truth of a cell is known, and a crop is the cell's ink with a little
white around it, as the reading layer cuts it. Wear is Pillow's and scikit-image's.
"""

from __future__ import annotations

import html
import io
import os
import shutil
import subprocess
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pymupdf
from numpy.typing import NDArray
from PIL import Image
from skimage import filters, transform

from tests.bench.reader_texts import Printed

Gray = NDArray[np.uint8]
COLUMNS, ROWS = 3, 16
CELL_W, CELL_H = 190.0, 46.0
PAGE_W, PAGE_H = COLUMNS * CELL_W, ROWS * CELL_H
MARGIN_PX = 4
# Installed fonts, and those in folders of the variable READER_FONTS, as `os.pathsep` parts them.
FONT_FOLDERS = (
    Path("/usr/share/fonts"),
    Path("/usr/local/share/fonts"),
    *(Path(f) for f in os.environ.get("READER_FONTS", "").split(os.pathsep) if f),
)


@dataclass(frozen=True, slots=True)
class Sheet:
    """A one-page PDF and what its cells say, row by row."""

    pdf: bytes
    printed: tuple[Printed, ...]


def find_font(name: str) -> Path | None:
    """File of an installed font."""
    for folder in FONT_FOLDERS:
        for path in sorted(folder.rglob(name)):
            return path
    return None


def cell_origin(k: int) -> tuple[float, float]:
    """Top left of a cell, pt."""
    return (k % COLUMNS) * CELL_W, (k // COLUMNS) * CELL_H


def by_mupdf(printed: Sequence[Printed], font_file: Path, size: float = 11.0) -> Sheet:
    """Set by MuPDF in a font file; fractions stacked over a drawn bar."""
    page = pymupdf.open().new_page(width=PAGE_W, height=PAGE_H)
    font = pymupdf.Font(fontfile=str(font_file))
    # As a CAD program does: the size is that of the capitals.
    cap = font.glyph_bbox(ord("H")).y1
    size = size * 0.72 / cap if 0.3 < cap < 1.2 else size
    for k, one in enumerate(printed):
        x, y = cell_origin(k)
        set_printed(page, font, one, at=(x + 14, y + 28), size=size)
    return Sheet(page.parent.tobytes(), tuple(printed))


def set_printed(page, font, one: Printed, *, at: tuple[float, float], size: float) -> None:
    """Set one callout on a page by MuPDF, its base line starting at `at`."""
    writer = pymupdf.TextWriter(page.rect)
    x, y = at
    x = _write(writer, font, one.before, (x, y), size)
    if one.top:
        gap = 0.23 * size if one.before else 0.0
        x = _stack(page, writer, font, one, at=(x + gap, y), size=size)
    _write(writer, font, one.after, (x, y), size)
    writer.write_text(page)


def _write(writer, font, text: str, at: tuple[float, float], size: float) -> float:
    if text:
        writer.append(at, text, font=font, fontsize=size)
    return at[0] + font.text_length(text, size)


def _stack(page, writer, font, one, *, at: tuple[float, float], size: float) -> float:
    small, middle, gap = size * 0.72, at[1] - size * 0.36, 0.145 * size
    widths = [font.text_length(t, small) for t in (one.top, one.bottom)]
    widest = max(widths)
    _write(writer, font, one.top, (at[0] + (widest - widths[0]) / 2, middle - gap), small)
    low = middle + gap + small * 0.72
    _write(writer, font, one.bottom, (at[0] + (widest - widths[1]) / 2, low), small)
    over = 0.055 * size
    page.draw_line((at[0] - over, middle), (at[0] + widest + over, middle), width=over)
    return at[0] + widest + 0.14 * size


def by_ezdxf(printed: Sequence[Printed], font: str, sign: str = "/") -> Sheet:
    r"""Set by ezdxf as MTEXT; fractions stacked by ``\S``: ``/`` over a bar, ``#`` diagonal."""
    import ezdxf
    from ezdxf.addons.drawing import Frontend, RenderContext, layout
    from ezdxf.addons.drawing import pymupdf as backends
    from ezdxf.addons.drawing.config import BackgroundPolicy, ColorPolicy, Configuration

    document = ezdxf.new(setup=True)
    document.styles.add("OURS", font=font)
    space = document.modelspace()
    for k, one in enumerate(printed):
        x, y = cell_origin(k)
        stack = rf"\S{one.top}{sign}{one.bottom};" if one.top else ""
        gap = " " if one.before and one.top else ""
        space.add_mtext(
            f"{one.before}{gap}{stack}{one.after}",
            dxfattribs={
                "style": "OURS", "char_height": 7.5, "attachment_point": 4,
                "insert": (x + 14, PAGE_H - (y + CELL_H / 2)), "width": 0,
            },
        )  # fmt: skip
    for x, y in ((0.0, 0.0), (PAGE_W, PAGE_H)):  # pins the drawing's extents to the page
        space.add_point((x, y))
    backend = backends.PyMuPdfBackend()
    config = Configuration(
        background_policy=BackgroundPolicy.WHITE, color_policy=ColorPolicy.BLACK, pdsize=0.01
    )
    Frontend(RenderContext(document), backend, config=config).draw_layout(space)
    mm = 25.4 / 72
    sheet = layout.Page(PAGE_W * mm, PAGE_H * mm, layout.Units.mm, layout.Margins.all(0))
    return Sheet(backend.get_pdf_bytes(sheet, settings=layout.Settings(scale=mm)), tuple(printed))


_CSS = """@page{size:%gpt %gpt;margin:0}body{margin:0}
div{position:absolute;width:%gpt;height:%gpt;font:11pt '%s';white-space:pre;padding:12pt 14pt;
box-sizing:border-box}
span{display:inline-block;vertical-align:middle;text-align:center;font-size:%d%%;line-height:1.05;
margin:0 1pt 0 2pt}i{display:block;font-style:normal}i+i{border-top:.6pt solid #000}"""


def by_chromium(printed: Sequence[Printed], family: str, share: int = 72) -> Sheet | None:
    """Set by Chromium as HTML, fractions stacked by a border; `None` when it is not installed."""
    program = shutil.which("chromium") or shutil.which("chromium-browser")
    if program is None:
        return None
    cells = []
    for k, one in enumerate(printed):
        x, y = cell_origin(k)
        before, top, bottom, after = map(html.escape, (one.before, one.top, one.bottom, one.after))
        stack = f"<span><i>{top}</i><i>{bottom}</i></span>" if top else ""
        cells.append(f'<div style="left:{x}pt;top:{y}pt">{before}{stack}{after}</div>')
    style = _CSS % (PAGE_W, PAGE_H, CELL_W, CELL_H, family, share)
    with tempfile.TemporaryDirectory() as folder:
        page, out = Path(folder, "page.html"), Path(folder, "page.pdf")
        page.write_text(
            f"<!doctype html><meta charset=utf-8><style>{style}</style>{''.join(cells)}",
            encoding="utf-8",
        )
        command = [
            program, "--headless", "--no-sandbox", "--disable-gpu",
            "--disable-background-networking", "--no-pdf-header-footer",
            f"--user-data-dir={folder}/profile", f"--print-to-pdf={out}", page.as_uri(),
        ]  # fmt: skip
        subprocess.run(command, check=True, capture_output=True, timeout=120)
        return Sheet(out.read_bytes(), tuple(printed))


def cut_cells(sheet: Sheet, dpi: int) -> list[Gray]:
    """Crop of every cell at a resolution: its ink with a little white around it."""
    page = pymupdf.open(stream=sheet.pdf, filetype="pdf")[0]
    scale = dpi / 72 * PAGE_W / page.rect.width
    pixels = page.get_pixmap(matrix=pymupdf.Matrix(scale, scale), colorspace="gray")
    rows = np.frombuffer(pixels.samples, np.uint8).reshape(pixels.height, pixels.stride)
    crops = []
    for k in range(len(sheet.printed)):
        x, y = (v * dpi / 72 for v in cell_origin(k))
        cell = rows[
            round(y) : round(y + CELL_H * dpi / 72), round(x) : round(x + CELL_W * dpi / 72)
        ]
        ys, xs = np.nonzero(cell < 140)
        if not len(ys):
            raise ValueError(f"cell {k} is empty: {sheet.printed[k].text}")
        top, left = max(ys.min() - MARGIN_PX, 0), max(xs.min() - MARGIN_PX, 0)
        crops.append(cell[top : ys.max() + MARGIN_PX + 1, left : xs.max() + MARGIN_PX + 1].copy())
    return crops


def wear(crop: Gray, how: str, rng: np.random.Generator) -> Gray:
    """Wear a crop: ``clean``, ``scan`` (soft, grainy, JPEG), ``fax`` (two levels), ``photo``."""
    picture = crop / 255.0
    if how == "scan":
        picture = 0.16 + 0.78 * filters.gaussian(picture, 0.6) + rng.normal(0, 0.02, crop.shape)
        return _jpeg(picture, 70)
    if how == "fax":
        soft = filters.gaussian(picture, 0.7) + rng.normal(0, 0.05, crop.shape)
        return np.where(soft < 0.6, 0, 255).astype(np.uint8)
    if how == "photo":
        return _photo(picture, rng)
    return crop


def _photo(picture: NDArray[np.float64], rng: np.random.Generator) -> Gray:
    """Seen at a slant by a phone: perspective, soft focus, a slope of light, noise, JPEG."""
    height, width = picture.shape
    corners = np.array([[0, 0], [width, 0], [width, height], [0, height]], float)
    moved = corners + rng.normal(0, 0.035 * height, (4, 2))
    warp = transform.ProjectiveTransform.from_estimate(moved, corners)
    seen = transform.warp(picture, warp, cval=1.0, order=1)
    light = 0.75 + rng.uniform(-0.2, 0.2) * np.linspace(-1, 1, width)
    seen = filters.gaussian(seen, 0.9) * 0.72 + 0.2
    return _jpeg(seen * light + rng.normal(0, 0.015, seen.shape), 75)


def _jpeg(picture: NDArray[np.float64], quality: int) -> Gray:
    image = Image.fromarray(np.clip(picture * 255, 0, 255).astype(np.uint8))
    buffer = io.BytesIO()
    image.save(buffer, "JPEG", quality=quality)
    return np.asarray(Image.open(buffer).convert("L"), np.uint8)
