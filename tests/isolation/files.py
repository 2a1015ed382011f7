"""Files for the tests, made with pikepdf and Pillow: honest, odd, broken and hostile ones."""

from __future__ import annotations

import io
import struct
import zlib
from pathlib import Path

import numpy as np
import pikepdf
from pikepdf import Array, Dictionary, Name
from PIL import Image

LETTER = (0, 0, 612, 792)


def drawing(width: int = 212, height: int = 275) -> np.ndarray:
    """A gray raster with lines, different in every direction, shape (height, width)."""
    pixels = np.full((height, width), 255, np.uint8)
    for y in range(12, height - 9, 37):
        pixels[y : y + 3, 10 : width - 20] = 0
    for x in range(10, width - 20, 53):
        pixels[12 : height - 30, x : x + 2] = 90
    pixels[15:30, 20:60] = 140
    return pixels


class PdfBuilder:
    """A PDF page by page, written as given."""

    def __init__(self) -> None:
        self.pdf = pikepdf.new()

    def page(self, content: bytes, *, box=LETTER, resources=None, **keys) -> PdfBuilder:
        self.pdf.add_blank_page(page_size=(612, 792))
        page = self.pdf.pages[-1]
        page.MediaBox = Array(box)
        page.Resources = resources or Dictionary()
        page.Contents = pikepdf.Stream(self.pdf, content)
        for name, value in keys.items():
            page[f"/{name}"] = Array(value) if isinstance(value, tuple) else value
        return self

    def picture(self, data: bytes, *, size: tuple[int, int], **keys) -> Dictionary:
        stream = pikepdf.Stream(self.pdf, data)
        stream.Type, stream.Subtype = Name.XObject, Name.Image
        stream.Width, stream.Height = size
        for name, value in ({"ColorSpace": Name.DeviceGray, "BitsPerComponent": 8} | keys).items():
            stream[f"/{name}"] = value
        return Dictionary(XObject=Dictionary(I=self.pdf.make_indirect(stream)))

    def form(self, content: bytes, *, resources=None) -> pikepdf.Object:
        form = self.pdf.make_indirect(pikepdf.Stream(self.pdf, content))
        form.Type, form.Subtype, form.BBox = Name.XObject, Name.Form, Array(LETTER)
        form.Resources = resources or Dictionary()
        return form

    def save(self, path: Path, **keys) -> Path:
        self.pdf.save(path, **keys)
        return path


def scan_pdf(path: Path, data: bytes, *, size: tuple[int, int], **keys) -> Path:
    """One letter page covered by one picture."""
    builder = PdfBuilder()
    resources = builder.picture(data, size=size, **keys)
    builder.page(b"q 612 0 0 792 0 0 cm /I Do Q", resources=resources)
    return builder.save(path)


def nested_forms(builder: PdfBuilder, *, depth: int = 9) -> PdfBuilder:
    """Add a page of a few hundred bytes that draws 10 ** `depth` lines."""
    form = builder.form(b"0 0 m 9 9 l S")
    for _ in range(depth):
        inside = Dictionary(XObject=Dictionary(F=form))
        form = builder.form(b"/F Do " * 10, resources=inside)
    return builder.page(b"/F Do", resources=Dictionary(XObject=Dictionary(F=form)))


def crowded_page(builder: PdfBuilder, *, lines: int) -> PdfBuilder:
    """Add a page whose content shrinks to a thousandth and unpacks to millions of lines."""
    builder.page(b"")
    packed = zlib.compress(b"0 0 m 612 792 l S\n" * lines, 9)
    stream = pikepdf.Stream(builder.pdf, packed)
    stream.Filter = Name.FlateDecode
    builder.pdf.pages[-1].Contents = stream
    return builder


def as_bytes(image: Image.Image, kind: str, **keys) -> bytes:
    stream = io.BytesIO()
    image.save(stream, kind, **keys)
    return stream.getvalue()


def _chunk(kind: bytes, data: bytes) -> bytes:
    check = struct.pack(">I", zlib.crc32(kind + data))
    return struct.pack(">I", len(data)) + kind + data + check


def huge_png(side: int) -> bytes:
    """A PNG that says it has side × side pixels of three bytes, and holds a few rows."""
    head = struct.pack(">IIBBBBB", side, side, 8, 2, 0, 0, 0)
    rows = zlib.compress(bytes(3 * side + 1))
    return (
        b"\x89PNG\r\n\x1a\n" + _chunk(b"IHDR", head) + _chunk(b"IDAT", rows) + _chunk(b"IEND", b"")
    )


def huge_bmp(side: int) -> bytes:
    head = struct.pack("<IiiHHIIiiII", 40, side, side, 1, 24, 0, 0, 0, 0, 0, 0)
    return b"BM" + struct.pack("<IHHI", 154, 0, 0, 54) + head + bytes(100)


def huge_tiff(side: int) -> bytes:
    """A G4 TIFF of a few hundred bytes whose tags say side × side."""
    data = bytearray(as_bytes(Image.new("1", (1000, 1000)), "TIFF", compression="group4"))
    (first,) = struct.unpack("<I", data[4:8])
    (count,) = struct.unpack("<H", data[first : first + 2])
    for i in range(count):
        entry = first + 2 + 12 * i
        (tag,) = struct.unpack("<H", data[entry : entry + 2])
        if tag in (256, 257, 278):  # width, length, rows in a strip
            data[entry + 2 : entry + 12] = struct.pack("<HII", 4, 1, side)
    return bytes(data)
