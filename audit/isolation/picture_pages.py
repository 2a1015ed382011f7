"""Pictures as PDF pages: a JPEG as it is, everything else without loss; upright as seen."""

from __future__ import annotations

import zlib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from PIL import Image

from audit.errors import Damaged
from audit.isolation.limits import Limits
from audit.isolation.picture import OpenPicture
from audit.records import MarkedSheet

_JPEG_SPACES = {1: "/DeviceGray", 3: "/DeviceRGB", 4: "/DeviceCMYK"}
# Start-of-frame markers that a PDF reader must know (baseline, extended, progressive DCT).
_DCT_FRAMES = (0xC0, 0xC1, 0xC2)
_STAND_ALONE = (0x01, *range(0xD0, 0xD8))  # markers without a length
# Pillow mode -> mode to write, bits for each component, colour space.
_MODES = {
    "1": ("1", 1, "/DeviceGray"),
    "L": ("L", 8, "/DeviceGray"),
    "RGB": ("RGB", 8, "/DeviceRGB"),
}
UNSHOWN = "This picture is damaged and cannot be shown. Nothing on it was checked."
_INSET = (36, 36, -36, -36)  # pt, half an inch from the edge
_WIDE = 30  # font sizes to a page's width: two lines of text
_FASTEST = 1  # zlib level: a scan is large, and the plan is read once


@dataclass(frozen=True, slots=True, kw_only=True)
class _Raster:
    """A picture as a PDF holds it."""

    width: int
    height: int
    space: str
    bits: int
    filter: str
    data: bytes
    decode: str = ""


def add_picture_page(doc: Any, sheet: MarkedSheet, *, path: Path) -> str:
    """Append a page that shows one picture, upright, or says that it cannot be shown.

    Parameters
    ----------
    doc : pymupdf.Document
    sheet : MarkedSheet
    path : Path
        The picture file.

    Returns
    -------
    str
        What the user should know of the page; empty when the picture is on it.

    Raises
    ------
    Damaged
        If the picture is not the one that was audited.
    """
    try:
        raster = _read_raster(path, page=sheet.page)
    except Damaged:
        page = doc.new_page(width=sheet.page_width, height=sheet.page_height)
        page.insert_textbox(page.rect + _INSET, UNSHOWN, fontsize=page.rect.width / _WIDE)
        return f"{sheet.name} is damaged and cannot be shown; nothing on it was checked."
    if (raster.width, raster.height) != (round(sheet.width), round(sheet.height)):
        problem = f"{path.name} has other pixels than when it was audited"
        raise Damaged(problem, advice="audit it again")
    page = doc.new_page(width=sheet.page_width, height=sheet.page_height)
    image = _add_image(doc, raster)
    content = doc.get_new_xref()
    doc.update_object(content, "<<>>")
    doc.update_stream(content, f"q {_placement(sheet)} cm /Im0 Do Q".encode("ascii"))
    doc.xref_set_key(page.xref, "Resources", f"<</XObject<</Im0 {image} 0 R>>>>")
    doc.xref_set_key(page.xref, "Contents", f"{content} 0 R")
    return ""


def _placement(sheet: MarkedSheet) -> str:
    """Matrix from the unit square of an image (origin bottom left) to the page."""

    def place(u: float, v: float) -> tuple[float, float]:
        seen = sheet.to_seen.apply((u * sheet.width, (1 - v) * sheet.height))
        return seen.x, sheet.page_height - seen.y

    origin, right, up = place(0, 0), place(1, 0), place(0, 1)
    values = (
        right[0] - origin[0],
        right[1] - origin[1],
        up[0] - origin[0],
        up[1] - origin[1],
        *origin,
    )
    return " ".join(f"{value:.6f}" for value in values)


def _add_image(doc: Any, raster: _Raster) -> int:
    xref = int(doc.get_new_xref())
    doc.update_object(
        xref,
        f"<</Type/XObject/Subtype/Image/Width {raster.width}/Height {raster.height}"
        f"/ColorSpace {raster.space}/BitsPerComponent {raster.bits}{raster.decode}>>",
    )
    doc.update_stream(xref, raster.data, compress=0)
    doc.xref_set_key(xref, "Filter", raster.filter)
    return xref


def _read_raster(path: Path, *, page: int) -> _Raster:
    try:
        data = path.read_bytes()
        if data[:3] == b"\xff\xd8\xff":
            raster = _read_jpeg(data)
            if raster is not None:
                return raster
        return _decode(path, page=page)
    except (OSError, SyntaxError, ValueError, TypeError, KeyError, EOFError) as error:
        raise Damaged(f"{path.name} is damaged", advice="copy or scan it again") from error


def _read_jpeg(data: bytes) -> _Raster | None:
    """Read size and colours from the header; `None` for a kind PDF readers don't know."""
    at, adobe = 2, False
    while at + 9 < len(data):
        if data[at] != 0xFF:
            return None
        marker = data[at + 1]
        if marker == 0xFF:  # fill byte
            at += 1
            continue
        if marker in _STAND_ALONE:
            at += 2
            continue
        length = int.from_bytes(data[at + 2 : at + 4])
        if marker in _DCT_FRAMES:
            bits, components = data[at + 4], data[at + 9]
            if bits != 8 or components not in _JPEG_SPACES:
                return None
            return _Raster(
                width=int.from_bytes(data[at + 7 : at + 9]),
                height=int.from_bytes(data[at + 5 : at + 7]),
                space=_JPEG_SPACES[components],
                bits=8,
                filter="/DCTDecode",
                data=data,
                # Four colours with an Adobe marker are stored inverted (common practice).
                decode="/Decode[1 0 1 0 1 0 1 0]" if components == 4 and adobe else "",
            )
        if 0xC3 <= marker <= 0xCF and marker not in (0xC4, 0xC8, 0xCC):
            return None
        adobe = adobe or (marker == 0xEE and data[at + 4 : at + 9] == b"Adobe")
        at += 2 + length
    return None


def _decode(path: Path, *, page: int) -> _Raster:
    opened = OpenPicture(path, limits=Limits())
    opened.describe()
    image = opened.load_stored(page)
    if image.mode in ("LA", "PA", "La", "RGBA", "RGBa") or "transparency" in image.info:
        image = _lay_on_white(image)
    mode, bits, space = _MODES.get(image.mode, _MODES["RGB"])
    if image.mode in ("I", "F", "I;16", "I;16B", "I;16L"):
        mode, bits, space = _MODES["L"]
        image = _to_eight_bits(image)
    data = (image if image.mode == mode else image.convert(mode)).tobytes()
    return _Raster(
        width=image.width,
        height=image.height,
        space=space,
        bits=bits,
        filter="/FlateDecode",
        data=zlib.compress(data, _FASTEST),
    )


def _lay_on_white(image: Any) -> Any:
    """Colours over white paper, as a viewer shows a transparent picture."""
    image = image.convert("RGBA")
    paper = Image.new("RGB", image.size, (255, 255, 255))
    paper.paste(image, mask=image.getchannel("A"))
    return paper


def _to_eight_bits(image: Any) -> Any:
    high = max(255.0, float(image.getextrema()[1]))
    steps = (255.0, 65535.0)
    top = next((step for step in steps if high <= step), high)
    return image.convert("F").point(lambda value: value * (255.0 / top)).convert("L")
