"""Files made to do harm: bombs, loops, lies about sizes, things that would run."""

from __future__ import annotations

import io
import math
import struct
import zlib
from collections.abc import Callable, Sequence

from PIL import Image

from tests.fuzz.corpus import CONTENT

SIDE = 60_000  # px: 3.6 thousand million
BOX = "[0 0 420 300]"
FONT = "/Font<</F 5 0 R>>"


def object_of(data: bytes, keys: str = "") -> bytes:
    """A stream object."""
    return f"<</Length {len(data)}{keys}>>\nstream\n".encode() + data + b"\nendstream"


def pdf_of(objects: Sequence[str | bytes]) -> bytes:
    """A PDF of these objects, numbered from 1, the first of them its catalog."""
    out, places = bytearray(b"%PDF-1.7\n"), []
    for number, body in enumerate(objects, start=1):
        places.append(len(out))
        out += b"%d 0 obj\n" % number + (body.encode() if isinstance(body, str) else body)
        out += b"\nendobj\n"
    start = len(out)
    out += b"xref\n0 %d\n0000000000 65535 f \n" % (len(objects) + 1)
    out += b"".join(b"%010d 00000 n \n" % place for place in places)
    out += b"trailer\n<</Size %d/Root 1 0 R>>\nstartxref\n%d\n%%%%EOF\n" % (
        len(objects) + 1,
        start,
    )
    return bytes(out)


def page(
    *,
    content: bytes = CONTENT,
    box: str = BOX,
    keys: str = "",
    resources: str = FONT,
    stream_keys: str = "",
    catalog: str = "",
    more: Sequence[str | bytes] = (),
) -> bytes:
    """A PDF of one page; `more` are objects 6, 7 and so on."""
    return pdf_of(
        [
            f"<</Type/Catalog/Pages 2 0 R{catalog}>>",
            "<</Type/Pages/Kids[3 0 R]/Count 1>>",
            f"<</Type/Page/Parent 2 0 R/MediaBox {box}/Resources<<{resources}>>"
            f"/Contents 4 0 R{keys}>>",
            object_of(content, stream_keys),
            "<</Type/Font/Subtype/Type1/BaseFont/Helvetica>>",
            *more,
        ]
    )


def squeeze(part: bytes, times: int) -> bytes:
    """The same bytes over and over, deflated without ever lying in memory."""
    pump = zlib.compressobj(9)
    return b"".join(pump.compress(part) for _ in range(times)) + pump.flush()


def picture_page(data: bytes, *, filters: str = "/FlateDecode", side: int = SIDE) -> bytes:
    """A page that shows one bilevel picture."""
    keys = (
        f"/Type/XObject/Subtype/Image/Width {side}/Height {side}/ColorSpace/DeviceGray"
        f"/BitsPerComponent 1/Filter{filters}"
    )
    shown = b"q 420 0 0 300 0 0 cm /I Do Q"
    return page(content=shown, resources="/XObject<</I 6 0 R>>", more=[object_of(data, keys)])


def bilevel_pdf() -> bytes:
    """60,000 × 60,000 black pixels, deflated twice to some kB."""
    once = squeeze(bytes(SIDE // 8 * 1000), SIDE // 1000)
    return picture_page(zlib.compress(once, 9), filters="[/FlateDecode/FlateDecode]")


def huge_png(side: int = SIDE, *, data: bytes | None = None) -> bytes:
    """A bilevel PNG of so many pixels a side."""
    if data is None:
        data = squeeze(bytes((side // 8 + 1) * 1000), side // 1000)
    header = struct.pack(">IIBBBBB", side, side, 1, 0, 0, 0, 0)
    out = b"\x89PNG\r\n\x1a\n"
    for kind, body in ((b"IHDR", header), (b"IDAT", data), (b"IEND", b"")):
        out += struct.pack(">I", len(body)) + kind + body
        out += struct.pack(">I", zlib.crc32(kind + body))
    return out


def tiff(side: int, data: bytes, *, compression: int = 1, stated: int | None = None) -> bytes:
    """A bilevel TIFF of one strip; `stated` is how long it says that the strip is."""
    tags = [
        (256, 4, side), (257, 4, side), (258, 3, 1), (259, 3, compression), (262, 3, 0),
        (273, 4, 8), (277, 3, 1), (278, 4, side), (279, 4, len(data) if stated is None else stated),
    ]  # fmt: skip
    data += b"\0" * (len(data) % 2)
    out = b"II*\0" + struct.pack("<I", 8 + len(data)) + data + struct.pack("<H", len(tags))
    for tag, kind, value in tags:
        out += struct.pack("<HHII", tag, kind, 1, value)
    return out + struct.pack("<I", 0)


def lying_jpeg(side: int) -> bytes:
    """A JPEG of 420 × 300 whose frame says otherwise."""
    stream = io.BytesIO()
    Image.new("L", (420, 300), 255).save(stream, "JPEG")
    data = bytearray(stream.getvalue())
    at = data.index(b"\xff\xc0")
    data[at + 5 : at + 9] = struct.pack(">HH", side, side)
    return bytes(data)


def form(content: bytes, keys: str = "") -> bytes:
    """A form of 9 × 9 units."""
    return object_of(content, f"/Type/XObject/Subtype/Form/BBox[0 0 9 9]{keys}")


def forms_within_forms(depth: int) -> bytes:
    """Each form draws the next one ten times."""
    inner = [
        form(b"/X Do " * 10, f"/Resources<</XObject<</X {7 + level} 0 R>>>>")
        for level in range(depth)
    ]
    return page(
        content=b"/X Do " + CONTENT,
        resources=f"/XObject<</X 6 0 R>>{FONT}",
        more=[*inner, form(b"0 0 m 9 9 l S")],
    )


def letter_in_a_letter() -> bytes:
    """A font whose letters are written in that font."""
    font = (
        "<</Type/Font/Subtype/Type3/FontBBox[0 0 1 1]/FontMatrix[1 0 0 1 0 0]/CharProcs<</a 7 0 R>>"
        "/Encoding<</Differences[49/a 52/a]>>/FirstChar 49/LastChar 52/Widths[1 1 1 1]"
        "/Resources<</Font<</F 6 0 R>>>>>>"
    )
    more = [font, object_of(b"BT /F 9 Tf (4) Tj ET")]
    return page(resources="/Font<</F 6 0 R>>", more=more)


def many_pages(count: int) -> bytes:
    """One page, listed so many times."""
    kids = "3 0 R " * count
    return pdf_of(
        [
            "<</Type/Catalog/Pages 2 0 R>>",
            f"<</Type/Pages/Kids[{kids}]/Count {count}>>",
            f"<</Type/Page/Parent 2 0 R/MediaBox {BOX}/Resources<<{FONT}>>/Contents 4 0 R>>",
            object_of(CONTENT),
            "<</Type/Font/Subtype/Type1/BaseFont/Helvetica>>",
        ]
    )


def scripted() -> bytes:
    """A page that would start programs when it is opened, looked at or clicked."""
    launch = "<</S/Launch/Win<</F(cmd.exe)/P(/c calc)>>/F(xcalc)>>"
    script = "<</S/JavaScript/JS(app.alert\\(1\\))>>"
    return page(
        catalog=f"/OpenAction{script}/Names<</JavaScript<</Names[(a){script}]>>>>",
        keys=f"/AA<</O{launch}>>/Annots[<</Type/Annot/Subtype/Link/Rect[0 0 400 300]/A{launch}>>]",
    )


def loop_in_xref() -> bytes:
    """A table of objects that names itself as the one before."""
    data = page()
    return data.replace(b"/Root 1 0 R", b"/Root 1 0 R/Prev %d" % data.rindex(b"xref\n0"))


def in_itself(what: str) -> bytes:
    """Something drawn with itself: a form, a tiling, a mask."""
    keys = {
        "form": "/Resources<</XObject<</X 6 0 R>>>>",
        "mask": "/Group<</S/Transparency>>/Resources<</ExtGState<</X<</SMask<</S/Luminosity"
        "/G 6 0 R>>>>>>>>",
    }[what]
    drawn = {"form": b"/X Do ", "mask": b"/X gs "}[what]
    outer = {
        "form": "/XObject<</X 6 0 R>>",
        "mask": "/ExtGState<</X<</SMask<</S/Luminosity/G 6 0 R>>>>>>",
    }[what]
    more = [form(drawn + b"0 0 9 9 re f", keys)]
    return page(content=drawn + CONTENT, resources=outer + FONT, more=more)


def scribble(points: int) -> bytes:
    """One line to and fro across the page, with so many corners."""
    steps = b"".join(b"%d %d l " % (k * 7919 % 420, k * 104_729 % 300) for k in range(points))
    content = b"0 0 m " + steps + b"S " + CONTENT
    return page(content=zlib.compress(content, 6), stream_keys="/Filter/FlateDecode")


def many_dimensions(count: int, *, side: float = 2400.0) -> bytes:
    """So many small dimensions in rows, each with its lines, arrowheads and number."""
    columns = math.ceil(math.sqrt(count))
    cell = side / columns
    long, half = 0.8 * cell, 0.05 * cell
    parts = []
    for k in range(count):
        x, y = (k % columns + 0.1) * cell, side - (k // columns + 0.8) * cell
        right = x + long
        parts.append(
            f"{x:.2f} {y:.2f} m {right:.2f} {y:.2f} l S "
            + "".join(
                f"{e:.2f} {y - 2 * half:.2f} m {e:.2f} {y + 2 * half:.2f} l S " for e in (x, right)
            )
            + "".join(
                f"{e:.2f} {y:.2f} m {e + way:.2f} {y + half / 2:.2f} l "
                f"{e + way:.2f} {y - half / 2:.2f} l h f "
                for e, way in ((x, 2 * half), (right, -2 * half))
            )
            + f"BT /F {cell / 6:.2f} Tf {x + long / 3:.2f} {y + half:.2f} Td ({long:.2f}) Tj ET "
        )
    content = zlib.compress("".join(parts).encode(), 6)
    return page(content=content, box=f"[0 0 {side} {side}]", stream_keys="/Filter/FlateDecode")


# What a file is called, how it is made, the exit code (0: read and judged; 4: read, but with no
# scale), and words of the one line that is said.
QUICK: dict[str, tuple[Callable[[], bytes], int, str]] = {
    "boxes.pdf": (lambda: page(box="[nan nan nan nan]"), 2, "no usable size"),
    "crop.pdf": (
        lambda: page(keys="/CropBox[5000 5000 6000 6000]"),
        2,
        "CropBox lies off its MediaBox",
    ),
    "references.pdf": (  # honest, and rare: the box's numbers are objects of their own
        lambda: page(box="[0 0 6 0 R 7 0 R]", more=["420", "300"]),
        0,
        "",
    ),
    "tree.pdf": (
        lambda: pdf_of(["<</Type/Catalog/Pages 2 0 R>>", "<</Type/Pages/Kids[2 0 R]/Count 1>>"]),
        2,
        "damaged",
    ),
    "deep.pdf": (lambda: page(keys="/X " + "[" * 200_000 + "]" * 200_000), 2, "damaged"),
    "false.jpg": (lambda: lying_jpeg(65_535), 2, "more than the 500 million allowed"),
    "bilevel.png": (lambda: huge_png(data=b""), 2, "more than the 500 million allowed"),
}
SLOW: dict[str, tuple[Callable[[], bytes], int | tuple[int, ...], str]] = {
    "bilevel.pdf": (bilevel_pdf, 2, "more than the 500 million allowed"),
    "whole.png": (huge_png, 2, "more than the 500 million allowed"),
    "bilevel.tif": (
        lambda: tiff(SIDE, b"\xff" * (SIDE // 8) + b"\x00\x10\x01", compression=4),
        2,
        "more than the 500 million allowed",
    ),
    "strip.tif": (lambda: tiff(420, bytes(53 * 420), stated=4_000_000_000), 4, ""),
    "short.tif": (lambda: tiff(20_000, bytes(1000)), 2, "damaged|cut off"),
    "short.png": (lambda: huge_png(20_000, data=zlib.compress(bytes(1000))), 2, "damaged|cut off"),
    "pages.pdf": (lambda: many_pages(10_000), 2, "pages"),
    "unit.pdf": (lambda: page(keys="/UserUnit 1000000000"), 2, "no usable size"),
    "digits.pdf": (lambda: page(box=f"[0 0 {'9' * 400} 300]"), 4, ""),  # MuPDF reads -1
    "negative.pdf": (lambda: page(box="[420 300 0 0]"), 0, ""),
    "thin.pdf": (lambda: page(box="[0 0 14400 0.01]"), 2, "no usable size"),
    "nested.pdf": (lambda: page(content=b"q " * 500_000 + CONTENT), 2, "too deep or too large"),
    "arrays.pdf": (
        lambda: page(content=b"[" * 300_000 + b"1 " + b"]" * 300_000 + b" 0 d " + CONTENT),
        2,
        "too deep or too large",
    ),
    "forms.pdf": (lambda: forms_within_forms(9), 2, "took longer|made the reader stop|too large"),
    "scribble.pdf": (lambda: scribble(400_000), 2, "took longer"),
    "lines.pdf": (
        lambda: page(
            content=squeeze(b"0 0 m 9 9 l S ", 450_000), stream_keys="/Filter/FlateDecode"
        ),
        2,
        "more than the 400,000 that can be read",
    ),
    "form.pdf": (lambda: in_itself("form"), 0, ""),
    "mask.pdf": (lambda: in_itself("mask"), 0, ""),
    "font.pdf": (letter_in_a_letter, 4, ""),
    "xref.pdf": (loop_in_xref, 0, ""),
    "scripts.pdf": (scripted, 0, ""),
    "dashes.pdf": (
        lambda: page(content=b"[0.0001 0.0001] 0 d 0 0 m 400 300 l S " + CONTENT),
        0,
        "",
    ),
    "spaces.pdf": (
        lambda: page(content=squeeze(b" " * 1_000_000, 2000), stream_keys="/Filter/FlateDecode"),
        (2, 0),  # a fast machine is through in time
        "too large|memory|took longer|stop",
    ),
}
