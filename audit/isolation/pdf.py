"""The worker's side of a PDF: open it, look at its pages, render them.

Runs in the worker process only. Page space is PyMuPDF's own (points after /Rotate, UserUnit
applied, origin top left); the sheet's frame is the same before /Rotate.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pymupdf as _pymupdf

from audit.errors import BadPlace, Damaged, Encrypted, TooLarge
from audit.isolation.info import DocumentInfo, PageInfo, PageLook, PixelsWritten, SourceKind
from audit.isolation.limits import Limits
from audit.isolation.page_frame import read_page_frame
from audit.isolation.pixels import write_pixels
from audit.isolation.requests import LookAtPage, RenderPage

MAX_SIDE_PT = 1e6  # 350 m: no sheet of paper; MuPDF clamps infinite boxes to larger numbers
BOX_SLACK_PT = 0.5  # between two ways to work out a page's size
BACKGROUND_SHARE = 0.95  # a path covering this much of a page is its background, not drawing
PARENT_STEPS = 64  # deepest page tree followed for an inherited box
PICTURES = ("fill-image", "fill-imgmask")  # as the library's log of a page calls them
HAIRLINE_PT = 0.35  # thinner strokes are drawn as wide as a fine pen's, as printers draw them
UPRIGHT_SLOPE = 1e-3  # a picture turned by less is upright: 1 px in 1000
# What MuPDF and its decoders say when a picture ends too early; it then draws the rest blank. (A
# Flate stream may lack its checksum only; missing pixels are padded, and that is said as well.)
_CUT_OFF = re.compile(
    r"premature end (?!of data in flate)|truncated|unexpected eof|end of (file|stream)|ran out of|"
    r"short read|failed to decode|library error|cannot decode|jbig2dec error|bad code|corrupt|lzw|"
    r"zlib error: (?!incorrect data check)",
    re.IGNORECASE,
)
_BOX_NUMBER = re.compile(r"[-+]?(\d+\.?\d*|\.\d+)$")

pymupdf: Any = _pymupdf  # ships without types


class OpenPdf:
    """One PDF held open in the worker."""

    def __init__(self, path: Path, *, limits: Limits) -> None:
        pymupdf.TOOLS.mupdf_display_errors(False)
        pymupdf.TOOLS.mupdf_display_warnings(False)
        self.path = path
        self.limits = limits
        self.document = _open(path)
        self._drawn: tuple[int, Any] | None = None

    def describe(self) -> DocumentInfo:
        """Sizes and orientation of all pages."""
        with _translated(self.path.name):
            count = self.document.page_count
            if count < 1:
                advice = "export or print it to PDF again"
                raise Damaged(f"{self.path.name} has no pages", advice=advice)
            if count > self.limits.pages:
                most = self.limits.pages
                problem = f"{self.path.name} has {count} pages, more than the {most} allowed"
                raise TooLarge(problem, advice="split it into smaller files")
            pages = tuple(self._describe_page(i) for i in range(count))
        if all(p.fault for p in pages):
            advice = "export or print it to PDF again"
            raise Damaged(f"{self.path.name}: {pages[0].fault}", advice=advice)
        repaired = bool(self.document.is_repaired)
        remarks = []
        if repaired:
            remarks.append("the file was damaged and was repaired while opening")
        return DocumentInfo(
            kind=SourceKind.PDF, pages=pages, repaired=repaired, remarks=tuple(remarks)
        )

    def _describe_page(self, index: int) -> PageInfo:
        number = index + 1
        try:
            page = self.document.load_page(index)
            _settle_rotation(self.document, page)
            fault = _find_box_fault(self.document, page.xref)
            width, height = page.rect.width, page.rect.height
            turn = int(page.rotation)
            unit = _read_user_unit(self.document, page.xref)
            fault = fault or _find_crop_fault(self.document, page)
        except (RuntimeError, ValueError, pymupdf.mupdf.FzErrorBase):
            return PageInfo(number=number, width=0.0, height=0.0, fault="the page is damaged")
        if turn % 180:
            width, height = height, width
        if not fault and not (0 < width < MAX_SIDE_PT and 0 < height < MAX_SIDE_PT):
            fault = f"the page has no usable size ({width:g} × {height:g} pt)"
        return PageInfo(
            number=number, width=width, height=height, turn=turn, user_unit=unit, fault=fault
        )

    def look(self, request: LookAtPage) -> PageLook:
        """See what a page is made of."""
        page = self.load(request.page)
        with _translated(self.path.name, page=request.page):
            log = page.get_bboxlog()
            area = _unturned_area(page)
            pictures = [pymupdf.Rect(box) for kind, box in log if kind in PICTURES]
            items = sum(_counts_as_drawing(kind, box, area=area) for kind, box in log)
            share = _covered_share(pictures, area)
            main = _find_main_picture(page, area=area) if share > 0 else None
        if main is None:
            return PageLook(vector_items=items, picture_share=share)
        box, dpi_x, dpi_y = main
        return PageLook(
            vector_items=items,
            picture_share=share,
            picture_dpi_x=dpi_x,
            picture_dpi_y=dpi_y,
            picture_box=(box.x0, box.y0, box.x1, box.y1),
        )

    def load(self, number: int) -> Any:
        """Load a page, refusing pictures over the pixel limit before anything decodes them."""
        with _translated(self.path.name, page=number):
            page = self.document.load_page(number - 1)
            for picture in page.get_images():
                width, height = picture[2], picture[3]
                if width * height > self.limits.pixels:
                    problem = (
                        f"{self.path.name}, page {number}: a picture of {width} × {height} "
                        f"pixels is more than the {self.limits.pixels // 10**6} million allowed"
                    )
                    raise TooLarge(problem, advice="scan it again at a lower resolution")
            return page

    def render(self, request: RenderPage) -> PixelsWritten:
        """Render a page, or a box of it, to gray in the orientation of the sheet's frame."""
        page = self.load(request.page)
        to_frame = _page_to_frame(page)
        area = _unturned_area(page)
        box = area if request.box is None else pymupdf.Rect(request.box) & area
        if box.is_empty:
            advice = "give a place on the page"
            raise BadPlace("the place to render lies outside the page", advice=advice)
        self._check_pixels(box, request)
        x, y = request.anchor
        to_px = pymupdf.Matrix(
            request.per_x, 0, 0, request.per_y, -x * request.per_x, -y * request.per_y
        )
        clip = box * ~to_frame
        with _translated(self.path.name, page=request.page):
            drawn = self._display_list(request.page, page)
            if request.complete:
                self._refuse_cut_off_jpegs(page)
                pymupdf.TOOLS.store_shrink(100)  # a picture decoded before would not warn again
            pymupdf.TOOLS.reset_mupdf_warnings()
            pymupdf.TOOLS.set_graphics_min_line_width(
                HAIRLINE_PT * min(request.per_x, request.per_y)
            )
            pixmap = drawn.get_pixmap(
                matrix=to_frame * to_px, colorspace=pymupdf.csGRAY, alpha=0, clip=clip
            )
            if request.complete and _CUT_OFF.search(pymupdf.TOOLS.mupdf_warnings()):
                raise self._cut_off(request.page)
        write_pixels(request.target, (pixmap.samples_mv,))
        return PixelsWritten(
            columns=pixmap.width,
            rows=pixmap.height,
            left=x + pixmap.x / request.per_x,
            top=y + pixmap.y / request.per_y,
            per_x=request.per_x,
            per_y=request.per_y,
        )

    def _check_pixels(self, box: Any, request: RenderPage) -> None:
        pixels = box.width * request.per_x * box.height * request.per_y
        if pixels > self.limits.pixels:
            problem = (
                f"{self.path.name}, page {request.page}: {pixels / 1e6:.0f} million pixels at "
                f"{request.per_x * 72:.0f} dpi, more than the {self.limits.pixels // 10**6} allowed"
            )
            raise TooLarge(problem, advice="use a lower resolution or a smaller part of the page")

    def _refuse_cut_off_jpegs(self, page: Any) -> None:
        from audit.isolation.jpeg import is_cut_off  # noqa: PLC0415  # only scans pay for OpenCV

        for picture in page.get_images():
            xref, decoder = picture[0], picture[8]
            if decoder == "DCTDecode" and is_cut_off(self.document.xref_stream_raw(xref)):
                raise self._cut_off(page.number + 1)

    def _cut_off(self, number: int) -> Damaged:
        problem = f"{self.path.name}, page {number}: a picture on it is cut off or damaged"
        return Damaged(problem, advice="copy or scan it again")

    def _display_list(self, number: int, page: Any) -> Any:
        if self._drawn is None or self._drawn[0] != number:
            self._drawn = None
            self._drawn = (number, page.get_displaylist())
        return self._drawn[1]


def _open(path: Path) -> Any:
    with _translated(path.name):
        document = pymupdf.open(str(path), filetype="pdf")
        if document.needs_pass:
            advice = "open it with its password and print it to a new PDF without one"
            raise Encrypted(f"{path.name} needs a password", advice=advice)
        if not document.is_pdf:
            raise Damaged(f"{path.name} is not a proper PDF", advice="export it again")
        return document


@contextmanager
def _translated(name: str, *, page: int | None = None) -> Iterator[None]:
    """Turn the library's errors into ours, one line each."""
    where = name if page is None else f"{name}, page {page}"
    try:
        yield
    except pymupdf.mupdf.FzErrorLimit as error:
        raise TooLarge(f"{where}: too deep or too large to read", advice=_PRINT) from error
    except MemoryError as error:
        raise TooLarge(f"{where}: needs more memory than allowed", advice=_PRINT) from error
    except (RuntimeError, ValueError, IndexError, pymupdf.mupdf.FzErrorBase) as error:
        if "malloc" in str(error) or "calloc" in str(error):
            raise TooLarge(f"{where}: needs more memory than allowed", advice=_PRINT) from error
        advice = "export or print it to PDF again"
        raise Damaged(f"{where}: damaged, cannot be read", advice=advice) from error


_PRINT = "print it to a new PDF, or scan it"


def _read_inherited(document: Any, xref: int, key: str) -> tuple[str, str]:
    for _ in range(PARENT_STEPS):
        kind, value = document.xref_get_key(xref, key)
        if kind == "xref":
            return "array", document.xref_object(int(value.split()[0]), compressed=True)
        if kind != "null":
            return kind, value
        kind, value = document.xref_get_key(xref, "Parent")
        if kind != "xref":
            break
        xref = int(value.split()[0])
    return "null", ""


def _find_box_fault(document: Any, xref: int) -> str:
    """Say what is wrong with a MediaBox; MuPDF would silently make it US letter."""
    kind, value = _read_inherited(document, xref, "MediaBox")
    if kind == "array" and " R" in value:
        return ""  # numbers held as objects of their own: rare, and PyMuPDF resolves them
    words = value.strip("[] ").split()
    if kind != "array" or len(words) != 4 or not all(map(_BOX_NUMBER.match, words)):
        return f"the page has no usable size (MediaBox {value or 'missing'})"
    x0, y0, x1, y1 = map(float, words)
    if not all(0 < abs(side) < MAX_SIDE_PT for side in (x1 - x0, y1 - y0)):
        return f"the page has no usable size (MediaBox {value})"
    return ""


def _find_crop_fault(document: Any, page: Any) -> str:
    """Say that MuPDF shows another page than its boxes describe: marks would lie elsewhere."""
    boxes = (_read_inherited(document, page.xref, name)[1] for name in ("MediaBox", "CropBox"))
    if any(" R" in box for box in boxes):
        return ""
    width, height = read_page_frame(document, page.xref).seen_size
    if max(abs(page.rect.width - width), abs(page.rect.height - height)) <= BOX_SLACK_PT:
        return ""
    return "the page has no usable size (its CropBox lies off its MediaBox, or it is too thin)"


def _settle_rotation(document: Any, page: Any) -> None:
    """Make a /Rotate that is no quarter turn none; MuPDF and PyMuPDF disagree about those."""
    kind, value = _read_inherited(document, page.xref, "Rotate")
    is_number = kind in ("int", "float", "real")
    if kind != "null" and not (is_number and float(value) % 90 == 0):
        page.set_rotation(0)


def _read_user_unit(document: Any, xref: int) -> float:
    kind, value = document.xref_get_key(xref, "UserUnit")
    unit = float(value) if kind in ("int", "float", "real") else 1.0
    return unit if unit > 0 and math.isfinite(unit) else 1.0


def _unturned_area(page: Any) -> Any:
    width, height = page.rect.width, page.rect.height
    if page.rotation % 180:
        width, height = height, width
    return pymupdf.Rect(0, 0, width, height)


def _page_to_frame(page: Any) -> Any:
    """Map page space (after /Rotate) to the sheet's frame (before it)."""
    width, height = page.rect.width, page.rect.height
    turns: dict[int, Callable[[], Any]] = {
        0: lambda: pymupdf.Matrix(1, 0, 0, 1, 0, 0),
        90: lambda: pymupdf.Matrix(0, -1, 1, 0, 0, width),
        180: lambda: pymupdf.Matrix(-1, 0, 0, -1, width, height),
        270: lambda: pymupdf.Matrix(0, 1, -1, 0, height, 0),
    }
    return turns[page.rotation]()


def _counts_as_drawing(
    kind: str, box: tuple[float, float, float, float], *, area: tuple[float, float, float, float]
) -> bool:
    """Whether something is drawn on the page, no picture and no background; quick: called often."""
    if kind in PICTURES or kind.startswith(("ignore", "clip")):
        return False
    wide = min(box[2], area[2]) - max(box[0], area[0])
    high = min(box[3], area[3]) - max(box[1], area[1])
    if wide < 0 or high < 0:
        return kind.startswith("fill") and "text" not in kind
    if kind.startswith("fill") and "text" not in kind:
        return wide * high < BACKGROUND_SHARE * (area[2] - area[0]) * (area[3] - area[1])
    return True


def _covered_share(pictures: list[Any], area: Any) -> float:
    """Share of the page under pictures; overlaps are counted twice, then capped."""
    covered = sum(abs(p & area) for p in pictures if not (p & area).is_empty)
    return min(1.0, float(covered / abs(area)))


def _find_main_picture(page: Any, *, area: Any) -> tuple[Any, float, float] | None:
    """Box in the frame and resolution of the largest picture, of equals the finest."""
    best: tuple[float, float] | None = None
    result = None
    for info in page.get_image_info():
        box = pymupdf.Rect(info["bbox"])
        a, b, c, d = info["transform"][:4]
        if (box & area).is_empty or not (math.hypot(a, b) and math.hypot(c, d)):
            continue
        dpi_x, dpi_y = _picture_dpi(info["width"], info["height"], (a, b, c, d))
        rank = (round(abs(box & area)), dpi_x * dpi_y)
        if best is None or rank > best:
            best, result = rank, (box, dpi_x, dpi_y)
    return result


def _picture_dpi(
    width: int, height: int, matrix: tuple[float, float, float, float]
) -> tuple[float, float]:
    a, b, c, d = matrix
    across, down = 72 * width / math.hypot(a, b), 72 * height / math.hypot(c, d)
    turned = abs(a) < UPRIGHT_SLOPE * abs(b) and abs(d) < UPRIGHT_SLOPE * abs(c)
    return (down, across) if turned else (across, down)
