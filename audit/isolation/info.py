"""What the worker tells about a foreign file: plain records without numpy.

The worker starts with this module alone, so that opening a file does not wait for numpy.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class SourceKind(StrEnum):
    """What a file is, by its content, whatever its name says."""

    PDF = "pdf"
    IMAGE = "image"


@dataclass(frozen=True, slots=True, kw_only=True)
class PageInfo:
    """Size and orientation of one page, known without reading what is drawn on it.

    Attributes
    ----------
    number : int
        1-based.
    width, height : float
        In the sheet's frame: pt for a PDF page (unrotated CropBox, UserUnit applied), stored
        pixels for an image.
    turn : int
        Quarter turns clockwise, in degrees, that bring the frame upright, after `mirrored`.
    mirrored : bool
        The stored raster must be mirrored left to right before it is turned (EXIF 2, 4, 5, 7).
    user_unit : float
        A PDF page's UserUnit, already contained in `width` and `height`; 1 otherwise.
    dpi_x, dpi_y : float or None
        Resolution that an image states along its stored x and y; `None` when it states none.
    camera : bool
        The file says that a camera took it: then a stated resolution means nothing on paper.
    fault : str
        Why this page cannot be used; empty when it can.
    """

    number: int
    width: float
    height: float
    turn: int = 0
    mirrored: bool = False
    user_unit: float = 1.0
    dpi_x: float | None = None
    dpi_y: float | None = None
    camera: bool = False
    fault: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class DocumentInfo:
    """What a file is and the pages it has.

    `repaired` says that the file was damaged and rebuilt while opening; `remarks` are one-line
    notes for the user.
    """

    kind: SourceKind
    pages: tuple[PageInfo, ...]
    repaired: bool = False
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PageLook:
    """What a page is made of, from a first quick pass over it.

    Attributes
    ----------
    vector_items : int
        Paths and visible texts drawn (backgrounds of the page's size left out).
    picture_share : float
        Share of the page covered by pictures, 0 to 1.
    picture_dpi_x, picture_dpi_y : float or None
        Resolution of the main picture along the frame's x and y.
    picture_box : four floats or None
        Its upright box in the sheet's frame.
    """

    vector_items: int
    picture_share: float
    picture_dpi_x: float | None = None
    picture_dpi_y: float | None = None
    picture_box: tuple[float, float, float, float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PixelsWritten:
    """Gray pixels that the worker left in a file: one byte each, row by row.

    A place (x, y) in pixels lies at (`left` + x / `per_x`, `top` + y / `per_y`) in the sheet's
    frame, the first pixel's centre at (.5, .5).
    """

    columns: int
    rows: int
    left: float
    top: float
    per_x: float
    per_y: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """An operation without a result is done."""

    remarks: tuple[str, ...] = ()
