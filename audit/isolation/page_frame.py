"""From the page as seen to the coordinates of the PDF, whatever its boxes, turn and UserUnit."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from audit.geometry import Box, Point

DEFAULT_BOX = (0.0, 0.0, 612.0, 792.0)  # ISO 32000 gives none; what PDF readers fall back to
LEAST_SIDE = 1e-3  # user units; a smaller box is no box
_NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)")
_REFERENCE = re.compile(r"(\d+) \d+ R")
_DEEPEST_TREE = 64  # levels of the page tree; a loop in a broken file must end


@dataclass(frozen=True, slots=True, kw_only=True)
class PageFrame:
    """How one PDF page shows its user space.

    Attributes
    ----------
    box : Box
        CropBox within MediaBox, user units, y *up*: y0 is the bottom.
    turn : int
        /Rotate: 0, 90, 180 or 270 clockwise.
    unit : float
        /UserUnit: pt for each user unit.
    """

    box: Box
    turn: int
    unit: float

    @property
    def seen_size(self) -> tuple[float, float]:
        """Width and height of the page as seen, pt."""
        size = (self.box.width * self.unit, self.box.height * self.unit)
        return size if self.turn % 180 == 0 else (size[1], size[0])

    def to_user(self, seen: tuple[float, float]) -> Point:
        """Map a place of the seen page (pt, y down) to user space."""
        x, y = seen[0] / self.unit, seen[1] / self.unit
        w, h = self.box.width, self.box.height
        right, down = {
            0: (x, y),
            90: (y, h - x),
            180: (w - x, h - y),
            270: (w - y, x),
        }[self.turn]
        return Point(self.box.x0 + right, self.box.y1 - down)

    def to_user_box(self, seen: Box) -> Box:
        """Map an upright box; it stays upright."""
        return Box.around(self.to_user(corner) for corner in seen.corners)

    @property
    def upright_matrix(self) -> tuple[float, float, float, float]:
        """Turn that makes an appearance upright as seen, in pt (ISO 32000-1, 8.3.3)."""
        k = 1 / self.unit
        return {
            0: (k, 0.0, 0.0, k),
            90: (0.0, k, -k, 0.0),
            180: (-k, 0.0, 0.0, -k),
            270: (0.0, -k, k, 0.0),
        }[self.turn]


def read_page_frame(doc: Any, xref: int) -> PageFrame:
    """Read boxes, turn and UserUnit of a page, inherited ones too.

    Parameters
    ----------
    doc : pymupdf.Document
    xref : int
        Of the page object.

    Returns
    -------
    PageFrame
    """
    media = _box(_resolved(doc, inherited(doc, xref, "MediaBox"))) or Box(*DEFAULT_BOX)
    crop = _box(_resolved(doc, inherited(doc, xref, "CropBox"))) or media
    both = Box(
        max(media.x0, crop.x0),
        max(media.y0, crop.y0),
        min(media.x1, crop.x1),
        min(media.y1, crop.y1),
    )
    if both.width <= LEAST_SIDE or both.height <= LEAST_SIDE:
        both = media
    turn = _number(inherited(doc, xref, "Rotate"), 0.0)
    unit = _number(doc.xref_get_key(xref, "UserUnit")[1], 1.0)
    return PageFrame(box=both, turn=round(turn / 90) * 90 % 360, unit=unit if unit > 0 else 1.0)


def inherited(doc: Any, xref: int, key: str) -> str:
    """Value of a page attribute, looked up through the page tree; empty when there is none."""
    for _ in range(_DEEPEST_TREE):
        kind, value = doc.xref_get_key(xref, key)
        if kind == "xref":
            return str(doc.xref_object(int(value.split()[0]), compressed=True))
        if kind != "null":
            return str(value)
        kind, value = doc.xref_get_key(xref, "Parent")
        if kind != "xref":
            break
        xref = int(value.split()[0])
    return ""


def _resolved(doc: Any, text: str) -> str:
    """An array with the numbers in place of references to numbers."""
    return _REFERENCE.sub(lambda found: str(doc.xref_object(int(found[1]), compressed=True)), text)


def _box(text: str) -> Box | None:
    values = [float(number) for number in _NUMBER.findall(text)]
    if len(values) != 4 or "R" in text:
        return None
    box = Box.around([(values[0], values[1]), (values[2], values[3])])
    return box if box.width > LEAST_SIDE and box.height > LEAST_SIDE else None


def _number(text: str, default: float) -> float:
    found = _NUMBER.search(text)
    return float(found.group()) if found else default
