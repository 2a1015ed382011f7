"""Small honest files, made anew each time: what the mutations begin with."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pikepdf
from PIL import Image, ImageDraw

SHEET = (420, 300)
CONTENT = b"""
0.6 w 60 60 m 360 60 l 360 240 l 60 240 l h S
0.3 w 60 250 m 60 275 l S 360 250 m 360 275 l S
60 270 m 360 270 l S
60 270 m 66 272 l 66 268 l h f 360 270 m 354 272 l 354 268 l h f
370 60 m 395 60 l S 370 240 m 395 240 l S 390 60 m 390 240 l S
390 60 m 392 66 l 388 66 l h f 390 240 m 392 234 l 388 234 l h f
BT /F 9 Tf 1 0 0 1 200 274 Tm (4 1/6) Tj ET
BT /F 9 Tf 0 1 -1 0 386 140 Tm (2 1/2) Tj ET
BT /F 9 Tf 70 40 Td (SCALE 1:1  10X R 3/16  ALL 3/4 THK UNLESS NOTED) Tj ET
q 1 0 0 1 210 150 cm 30 0 m 30 16.6 16.6 30 0 30 c -16.6 30 -30 16.6 -30 0 c
-30 -16.6 -16.6 -30 0 -30 c 16.6 -30 30 -16.6 30 0 c S Q
"""


def drawn_pdf() -> bytes:
    """One vector page with two dimensions, uncompressed so that changes reach the operators."""
    pdf = pikepdf.new()
    pdf.add_blank_page(page_size=SHEET)
    page = pdf.pages[0]
    font = pikepdf.Dictionary(
        Type=pikepdf.Name.Font, Subtype=pikepdf.Name.Type1, BaseFont=pikepdf.Name.Helvetica
    )
    page.Resources = pikepdf.Dictionary(Font=pikepdf.Dictionary(F=font))
    page.Contents = pikepdf.Stream(pdf, CONTENT)
    stream = io.BytesIO()
    pdf.save(stream, compress_streams=False, object_stream_mode=pikepdf.ObjectStreamMode.disable)
    return stream.getvalue()


def picture() -> Image.Image:
    """The same sheet as a small scan."""
    image = Image.new("L", SHEET, 255)
    draw = ImageDraw.Draw(image)
    draw.rectangle((60, 60, 360, 240), outline=0, width=2)
    draw.line((60, 40, 360, 40), fill=0)
    draw.polygon([(60, 40), (68, 37), (68, 43)], fill=0)
    draw.polygon([(360, 40), (352, 37), (352, 43)], fill=0)
    draw.line((60, 30, 60, 58), fill=0)
    draw.line((360, 30, 360, 58), fill=0)
    draw.text((195, 24), "4 1/6", fill=0)
    noise = np.random.default_rng(1).integers(0, 6, (SHEET[1], SHEET[0]))
    return Image.fromarray((np.asarray(image).astype(int) * 0.96 + noise).astype(np.uint8))


def scan_pdf() -> bytes:
    """The scan on a page of a PDF."""
    stream = io.BytesIO()
    picture().save(stream, "PDF", resolution=100.0)
    return stream.getvalue()


def saved(**how: object) -> bytes:
    """The scan as a picture file."""
    stream = io.BytesIO()
    image = picture()
    if how.pop("bilevel", False):
        image = image.convert("1")
    image.save(stream, **how)
    return stream.getvalue()


def corpus() -> dict[str, bytes]:
    """All seeds by the file name they go by."""
    return {
        "drawn.pdf": drawn_pdf(),
        "scan.pdf": scan_pdf(),
        "gray.png": saved(format="PNG", dpi=(100, 100)),
        "gray.jpg": saved(format="JPEG", quality=80, dpi=(100, 100)),
        "progressive.jpg": saved(format="JPEG", progressive=True),
        "strips.tif": saved(format="TIFF", compression="tiff_lzw", dpi=(100, 100)),
        "fax.tif": saved(format="TIFF", compression="group4", bilevel=True),
        "plain.bmp": saved(format="BMP"),
        "lossless.webp": saved(format="WEBP", lossless=True),
    }


def write_corpus(folder: Path) -> None:
    """Write the seeds into a folder, to start a longer run by hand."""
    for name, data in corpus().items():
        (folder / name).write_bytes(data)
