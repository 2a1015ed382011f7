"""The worker's side of a picture: read its header, then its stored pixels as gray.

Runs in the worker process only. The stored raster is what counts: EXIF and TIFF orientation are
reported, never applied. Colours become luma (ITU-R BT.601, as Pillow does it), transparency lies
on white, sixteen bits become eight.
"""

from __future__ import annotations

import math
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from PIL import Image, UnidentifiedImageError

from audit.errors import Damaged, TooLarge
from audit.isolation.info import DocumentInfo, PageInfo, PixelsWritten, SourceKind
from audit.isolation.limits import MEBIBYTE, Limits
from audit.isolation.pixels import write_pixels
from audit.isolation.requests import DecodePicture

FORMATS = ("JPEG", "PNG", "TIFF", "BMP", "WEBP")  # JPEG opens MPO too
JPEG_LIKE = ("JPEG", "MPO")
BAND_PIXELS = 8_000_000  # converted at a time, so that a large raster is never held twice
OTHER_MEMORY_BYTES = 128 * MEBIBYTE  # interpreter, libraries and one band
PROGRESSIVE_BYTES = 6  # a pixel of three components held as 16-bit coefficients
MIN_DPI, MAX_DPI = 10.0, 10_000.0  # outside, a resolution tag is rubbish
# EXIF orientation -> (mirrored left to right first, then turned clockwise by degrees);
# CIPA DC-008 (EXIF 2.32), tag 0x0112.
ORIENTATIONS = {
    1: (False, 0),
    2: (True, 0),
    3: (False, 180),
    4: (True, 180),
    5: (True, 270),
    6: (False, 90),
    7: (True, 90),
    8: (False, 270),
}
_UNDO = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_90,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_270,
}
_ORIENTATION, _EXIF_IFD = 0x0112, 0x8769
_X_RESOLUTION, _Y_RESOLUTION, _RESOLUTION_UNIT = 0x011A, 0x011B, 0x0128
_EXPOSURE_TAGS = (0x829A, 0x829D, 0x920A)  # exposure time, aperture, focal length
_SUBFILE_TYPE, _IMAGE_WIDTH, _IMAGE_LENGTH = 254, 256, 257
_BYTES_PER_PIXEL = {"1": 1, "L": 1, "P": 1, "I;16": 2, "I;16B": 2, "I;16L": 2}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Frame:
    """One picture of the file: its place in it and its TIFF or EXIF orientation."""

    index: int
    orientation: int


class OpenPicture:
    """One picture file held open in the worker."""

    def __init__(self, path: Path, *, limits: Limits) -> None:
        Image.MAX_IMAGE_PIXELS = None  # our own limit is checked on the header, below
        warnings.simplefilter("ignore")
        self.path = path
        self.limits = limits
        with self._translated():
            self.image: Any = self._open()
        self._frames: list[_Frame] = []

    def describe(self) -> DocumentInfo:
        """Sizes, orientation and stated resolution of all pages."""
        pages: list[PageInfo] = []
        remarks: tuple[str, ...] = ()
        with self._translated():
            if self.image.format == "TIFF":
                for index in self._full_frames():
                    pages.append(self._describe_frame(index, number=len(pages) + 1))
            else:
                if getattr(self.image, "n_frames", 1) > 1:
                    remarks = ("several pictures in one file; only the first is used",)
                pages.append(self._describe_frame(0, number=1))
        return DocumentInfo(kind=SourceKind.IMAGE, pages=tuple(pages), remarks=remarks)

    def _full_frames(self) -> Iterator[int]:
        """TIFF pages, without the reduced copies that some programs put beside them."""
        kept, index = 0, 0
        while True:
            try:
                self.image.seek(index)
            except EOFError:
                break
            if index >= 2 * self.limits.pages or kept >= self.limits.pages:
                problem = f"{self.path.name} has more than the {self.limits.pages} pages allowed"
                raise TooLarge(problem, advice="split it into smaller files")
            if index == 0 or not int(self.image.tag_v2.get(_SUBFILE_TYPE, 0) or 0) & 1:
                kept += 1
                yield index
            index += 1

    def _describe_frame(self, index: int, *, number: int) -> PageInfo:
        width, height = self._stored_size()
        if width * height > self.limits.pixels:
            problem = (
                f"{self.path.name} has {width} × {height} pixels, more than the "
                f"{self.limits.pixels // 10**6} million allowed"
            )
            raise TooLarge(problem, advice="scan it again at a lower resolution")
        exif = self.image.getexif()
        orientation = exif.get(_ORIENTATION, 1)
        if orientation not in ORIENTATIONS:
            orientation = 1
        mirrored, turn = ORIENTATIONS[orientation]
        self._frames.append(_Frame(index=index, orientation=orientation))
        dpi_x, dpi_y = self._read_dpi(exif)
        details = exif.get_ifd(_EXIF_IFD)
        return PageInfo(
            number=number,
            width=width,
            height=height,
            turn=turn,
            mirrored=mirrored,
            dpi_x=dpi_x,
            dpi_y=dpi_y,
            camera=any(tag in details for tag in _EXPOSURE_TAGS),
        )

    def _stored_size(self) -> tuple[int, int]:
        if self.image.format == "TIFF":  # Pillow reports the size after turning
            tags = self.image.tag_v2
            return int(tags[_IMAGE_WIDTH]), int(tags[_IMAGE_LENGTH])
        return int(self.image.width), int(self.image.height)

    def _read_dpi(self, exif: Any) -> tuple[float | None, float | None]:
        stated = self.image.info.get("dpi")
        if stated is None and self.image.format == "WEBP" and _X_RESOLUTION in exif:
            factor = 2.54 if exif.get(_RESOLUTION_UNIT, 2) == 3 else 1.0
            stated = [factor * float(exif.get(t, 0)) for t in (_X_RESOLUTION, _Y_RESOLUTION)]
        if stated is None:
            return None, None
        x, y = (float(v) if math.isfinite(float(v)) else 0.0 for v in stated)
        if not (MIN_DPI <= x <= MAX_DPI and MIN_DPI <= y <= MAX_DPI):
            return None, None
        return x, y

    def decode(self, request: DecodePicture) -> PixelsWritten:
        """Write the stored raster as gray bytes."""
        frame = self._frames[request.page - 1]
        self._refuse_cut_off()
        with self._translated():
            image = self._load(frame)
            high = _brightest(image)
            bands = (_to_gray(band, high=high) for band in _cut_bands(image))
            write_pixels(request.target, bands)
        columns, rows = image.size
        self._reopen()  # the decoded pixels are not kept
        return PixelsWritten(columns=columns, rows=rows, left=0.0, top=0.0, per_x=1.0, per_y=1.0)

    def load_stored(self, page: int) -> Any:
        """Decode the stored raster of a page (1-based) as a Pillow image, in its own colours.

        `describe` must have been called before.
        """
        with self._translated():
            return self._load(self._frames[page - 1])

    def _refuse_cut_off(self) -> None:
        if self.image.format not in JPEG_LIKE:
            return
        from audit.isolation.jpeg import is_cut_off  # noqa: PLC0415  # only JPEGs pay for OpenCV

        if is_cut_off(self.path.read_bytes()):
            problem = f"{self.path.name} is cut off, part of the picture is missing"
            raise Damaged(problem, advice="copy or scan it again")

    def _load(self, frame: _Frame) -> Any:
        if self.image.format == "TIFF":
            self.image.seek(frame.index)
        self._check_memory()
        if self.image.format in JPEG_LIKE:
            self.image.draft("L", None)  # luma straight from the file, a quarter of the memory
        self.image.load()
        turned = self.image.format == "TIFF" and _ORIENTATION not in self.image.tag_v2
        if turned and frame.orientation in _UNDO:  # Pillow turns TIFFs by itself
            return self.image.transpose(_UNDO[frame.orientation])
        return self.image

    def _check_memory(self) -> None:
        width, height = self._stored_size()
        each = _BYTES_PER_PIXEL.get(self.image.mode, 4)
        if self.image.format in JPEG_LIKE and self.image.mode == "RGB":
            each = 1
        if self.image.info.get("progressive"):
            each += PROGRESSIVE_BYTES
        if width * height * each + OTHER_MEMORY_BYTES > self.limits.memory_bytes:
            problem = f"{self.path.name} needs {width * height * each // MEBIBYTE} MB to decode"
            advice = "save it in gray or black and white, or at a lower resolution"
            raise TooLarge(problem, advice=advice)

    def _open(self) -> Any:
        # From a stream, not by name: Pillow maps a named raw file into memory, and scrambles a
        # TIFF that is stored sideways when it does so (seen with 13.0).
        self._stream = self.path.open("rb")
        return Image.open(self._stream, formats=FORMATS)

    def close(self) -> None:
        """Let go of the file."""
        self.image.close()
        self._stream.close()

    def _reopen(self) -> None:
        self.close()
        self.image = self._open()

    @contextmanager
    def _translated(self) -> Iterator[None]:
        """Turn Pillow's errors into ours, one line each."""
        name = self.path.name
        try:
            yield
        except MemoryError as error:
            advice = "save it in gray or black and white, or at a lower resolution"
            raise TooLarge(f"{name} needs more memory than allowed", advice=advice) from error
        except UnidentifiedImageError as error:
            advice = "copy or export it again"
            raise Damaged(f"{name} is damaged at its very start", advice=advice) from error
        except (OSError, SyntaxError, ValueError, TypeError, KeyError, EOFError) as error:
            cut = "truncated" in str(error) or "Truncated" in str(error)
            state = "cut off, part of the picture is missing" if cut else "damaged"
            raise Damaged(f"{name} is {state}", advice="copy or scan it again") from error


def _cut_bands(image: Any) -> Iterator[Any]:
    width, height = image.size
    rows = max(1, BAND_PIXELS // width)
    if rows >= height:
        yield image
        return
    for top in range(0, height, rows):
        yield image.crop((0, top, width, min(height, top + rows)))


def _brightest(image: Any) -> float:
    """Value that stands for white in pictures of more than eight bits."""
    if image.mode not in ("I", "F"):
        return 255.0
    largest = float(image.getextrema()[1])
    steps = (1.0, 255.0, 65535.0) if image.mode == "F" else (255.0, 65535.0)
    return next((s for s in steps if largest <= s), largest)


def _to_gray(band: Any, *, high: float) -> bytes:
    mode = band.mode
    if mode in ("I;16", "I;16L"):
        return bytes(band.tobytes()[1::2])
    if mode == "I;16B":
        return bytes(band.tobytes()[0::2])
    if mode in ("I", "F"):
        return bytes(band.convert("F").point(lambda v: v * (255.0 / high)).convert("L").tobytes())
    if mode in ("LA", "PA", "La", "RGBA", "RGBa") or "transparency" in band.info:
        return _over_white(band)
    if mode not in ("1", "L", "RGB"):
        band = band.convert("RGB")
    return bytes(band.convert("L").tobytes())


def _over_white(band: Any) -> bytes:
    if band.mode in ("La", "RGBa"):
        band = band.convert({"La": "LA", "RGBa": "RGBA"}[band.mode])
    band = band.convert("RGBA")
    paper = Image.new("L", band.size, 255)
    paper.paste(band.convert("RGB").convert("L"), mask=band.getchannel("A"))
    return bytes(paper.tobytes())
