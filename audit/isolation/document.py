"""An open foreign file, as the rest of the program sees it."""

from __future__ import annotations

import hashlib
import logging
import math
import mmap
import os
import shutil
import threading
from dataclasses import dataclass
from functools import cached_property
from itertools import count
from pathlib import Path
from types import TracebackType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from audit.errors import (
    AuditError,
    BadPlace,
    BadUsage,
    CannotWrite,
    Damaged,
    NotReadable,
    TooLarge,
    WorkerStopped,
)
from audit.geometry import Box, Transform
from audit.isolation.cache import make_work_folder
from audit.isolation.info import (
    DocumentInfo,
    Done,
    PageInfo,
    PageLook,
    PixelsWritten,
    SourceKind,
)
from audit.isolation.limits import Limits
from audit.isolation.process import ADVICE_STOPPED, WorkerProcess
from audit.isolation.requests import (
    DecodePicture,
    LookAtPage,
    MarkUp,
    OpenFile,
    ReadVectors,
    RenderPage,
    Request,
)
from audit.isolation.sniff import Source, inspect_source
from audit.records import VectorPage

log = logging.getLogger(__name__)

STOPS_ALLOWED = 2  # stopped once, it is opened again; stopped again, it stays closed
DEFAULT_DPI = 200.0
SCAN_SHARE = 0.25  # a picture on less of the page does not set the resolution of all of it
STAMP_DPI = 600.0
COMPLETE_SHARE = 0.1  # pages with this much picture are refused when a picture is cut off


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GrayImage:
    """A gray raster and where it lies on its sheet.

    Attributes
    ----------
    pixels : ndarray of uint8, shape (rows, columns)
        0 black, 255 white; read-only, usually a map of a cache file.
    to_frame : Transform
        From pixels (x right, y down, the first pixel's centre at .5, .5) to the sheet's frame.
    """

    pixels: NDArray[np.uint8]
    to_frame: Transform


def open_document(path: Path | str, *, limits: Limits | None = None) -> Document:
    """Open a PDF or picture in a worker process of its own.

    Parameters
    ----------
    path : Path or str
    limits : Limits, optional

    Returns
    -------
    Document
        A context manager; closing it ends the worker.

    Raises
    ------
    BadInput
        In one of its kinds, when the file cannot be used (`NotReadable`, `WrongKind`,
        `Encrypted`, `Damaged`, `TooLarge`).
    WorkerStopped
        If opening takes too much time or memory.
    """
    document = Document(Path(path), limits=limits or Limits())
    try:
        document.start()
    except BaseException:
        document.close()
        raise
    return document


class Document:
    """A foreign file, served by a worker process. Use `open_document`."""

    def __init__(self, path: Path, *, limits: Limits) -> None:
        self.limits = limits
        self.source: Source = inspect_source(path, limits=limits)
        self.path = self.source.path
        self.name = path.name
        self._folder = make_work_folder()
        self._files = count(1)
        self._lock = threading.RLock()
        self._worker: WorkerProcess | None = None
        self._info: DocumentInfo | None = None
        self._looks: dict[int, PageLook] = {}
        self._stops: list[WorkerStopped] = []
        self._refused: dict[tuple[type, int], WorkerStopped] = {}
        self._closed = False

    def __enter__(self) -> Document:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    @property
    def info(self) -> DocumentInfo:
        """What the file is and the pages it has."""
        if self._info is None:
            self.start()
        assert self._info is not None  # start() set it or raised
        return self._info

    @cached_property
    def digest(self) -> str:
        """SHA-256 of the file, hex."""
        try:
            with self.path.open("rb") as stream:
                return hashlib.file_digest(stream, "sha256").hexdigest()
        except OSError as error:
            reason = error.strerror or str(error)
            problem = f"{self.name} cannot be read ({reason})"
            raise NotReadable(problem, advice="check that it is still there") from error

    def page(self, number: int) -> PageInfo:
        """Return size and orientation of a page (1-based).

        Raises
        ------
        BadPlace
            If there is no such page.
        Damaged
            If the page has no usable size.
        """
        pages = self.info.pages
        if not 1 <= number <= len(pages):
            has = "1 page" if len(pages) == 1 else f"{len(pages)} pages"
            raise BadPlace(f"{self.name} has no page {number}", advice=f"it has {has}")
        page = pages[number - 1]
        if page.fault:
            advice = "export or print it to PDF again"
            raise Damaged(f"{self.name}, page {number}: {page.fault}", advice=advice)
        return page

    def look(self, page: int) -> PageLook:
        """See what a PDF page is made of (`PageLook` of a picture: all picture)."""
        info = self.page(page)
        if self.info.kind is SourceKind.IMAGE:
            return PageLook(
                vector_items=0,
                picture_share=1.0,
                picture_dpi_x=info.dpi_x,
                picture_dpi_y=info.dpi_y,
                picture_box=(0.0, 0.0, info.width, info.height),
            )
        if page not in self._looks:
            request = LookAtPage(page=page)
            seconds = self.limits.open_seconds
            self._looks[page] = self._ask(request, PageLook, page=page, seconds=seconds)
        return self._looks[page]

    def vector_page(self, page: int) -> VectorPage:
        """Everything drawn on a PDF page, in the sheet's frame.

        Raises
        ------
        BadUsage
            If the file is a picture.
        TooLarge
            If more is drawn on the page than can be read in time.
        """
        self.page(page)
        if self.info.kind is SourceKind.IMAGE:
            raise BadUsage(f"{self.name} is a picture, it has no lines to read")
        drawn = self.look(page).vector_items
        if drawn > self.limits.items:
            problem = (
                f"{self.name}, page {page}: {drawn:,} things are drawn on it, more than the "
                f"{self.limits.items:,} that can be read"
            )
            raise TooLarge(problem, advice="print it in parts, or print it on paper and scan that")
        result: VectorPage = self._ask(ReadVectors(page=page), VectorPage, page=page)
        return result

    def render(self, page: int, *, dpi: float = DEFAULT_DPI, box: Box | None = None) -> GrayImage:
        """Render a PDF page to gray, in the orientation of its frame (not turned by /Rotate).

        Parameters
        ----------
        page : int
            1-based.
        dpi : float, >0
        box : Box, optional
            Part of the page, in the sheet's frame (pt).

        Returns
        -------
        GrayImage

        Raises
        ------
        BadUsage
            If the file is a picture, or `dpi` is not positive.
        BadPlace
            If `box` lies outside the page.
        """
        self.page(page)
        if self.info.kind is SourceKind.IMAGE:
            raise BadUsage(f"{self.name} is a picture; its stored raster is used")
        if not 0 < dpi < float("inf"):
            raise BadUsage(f"{dpi:g} is no resolution", advice="give a positive number of dpi")
        area = self.page(page)
        if box is not None and not box.overlaps(Box(0.0, 0.0, area.width, area.height)):
            advice = "give a place on the page"
            raise BadPlace(f"{self.name}, page {page}: nothing there to render", advice=advice)
        request = RenderPage(
            page=page,
            per_x=dpi / 72,
            per_y=dpi / 72,
            complete=self.look(page).picture_share >= COMPLETE_SHARE,
            box=None if box is None else (box.x0, box.y0, box.x1, box.y1),
            target=self._new_file(),
        )
        return self._ask_for_pixels(request, page=page)

    def raster(self, page: int) -> GrayImage:
        """Return the stored raster at its own resolution, nothing turned.

        A picture's stored pixels; for a scanned PDF page the page at the resolution of its main
        picture, pixel on pixel. A page without a picture is rendered at 200 dpi, one with a small
        picture at no more than 600.
        """
        info = self.page(page)
        if self.info.kind is SourceKind.IMAGE:
            decode = DecodePicture(page=page, target=self._new_file())
            image = self._ask_for_pixels(decode, page=page)
            if image.pixels.shape != (info.height, info.width):
                raise Damaged(f"{self.name} is damaged", advice="copy or scan it again")
            return image
        look = self.look(page)
        if look.picture_box is None or not look.picture_dpi_x or not look.picture_dpi_y:
            return self.render(page)
        finest = _finest_dpi(info, look, pixels=self.limits.pixels)
        shrunk = min(1.0, finest / max(look.picture_dpi_x, look.picture_dpi_y))
        request = RenderPage(
            page=page,
            per_x=look.picture_dpi_x * shrunk / 72,
            per_y=look.picture_dpi_y * shrunk / 72,
            anchor=look.picture_box[:2],
            complete=True,
            target=self._new_file(),
        )
        return self._ask_for_pixels(request, page=page)

    def mark_up(self, plan: Any, target: Path, *, sources: tuple[Any, ...] = ()) -> tuple[str, ...]:
        """Write a marked-up copy to `target`, whole or not at all.

        `plan` is a `MarkupPlan`; `sources` are the `SourceFile` of its sheets, when this file is
        not the only one. Returned is what the user should know of the copy.

        Raises
        ------
        CannotWrite
            If the target folder does not take it.
        """
        made = self._new_file()
        seconds = self.limits.page_seconds * max(1, len(plan.sheets))
        request = MarkUp(plan=plan, target=made, sources=sources)
        self._stops.clear()  # what stopped the reader is not done here
        done: Done = self._ask_about(request, Done, what=f"marking up {self.name}", seconds=seconds)
        try:
            move_into_place(made, target)
        except OSError as error:
            reason = error.strerror or str(error)
            advice = "choose another folder, or free some space"
            problem = f"{target.name} cannot be written ({reason})"
            raise CannotWrite(problem, advice=advice) from error
        finally:
            made.unlink(missing_ok=True)
        return done.remarks

    def start(self) -> None:
        """Start the worker and open the file in it, if that is not so already.

        Raises
        ------
        BadUsage
            If the document was closed.
        NotReadable
            If the file changed since it was first opened.
        """
        with self._lock:
            if self._closed:
                raise BadUsage(f"{self.name} was closed")
            if self._worker is not None:
                return
            self._refuse_after_stops()
            if inspect_source(self.path, limits=self.limits).stamp != self.source.stamp:
                raise NotReadable(f"{self.name} changed meanwhile", advice="start again with it")
            self._worker = WorkerProcess(limits=self.limits, folder=self._folder)
            request = OpenFile(path=self.path, kind=self.source.kind, limits=self.limits)
            info: DocumentInfo = self._send(
                request, DocumentInfo, what=self.name, seconds=self.limits.open_seconds
            )
            if self._info is None:
                remarks = self.source.remarks + info.remarks
                self._info = _with_remarks(info, remarks)

    def rest(self) -> None:
        """End the worker but keep the document: it is started again when needed."""
        with self._lock:
            if self._worker is not None:
                self._worker.close()
                self._worker = None

    def close(self) -> None:
        """End the worker and delete the document's own files."""
        with self._lock:
            self._closed = True
            if self._worker is not None:
                self._worker.close()
                self._worker = None
            shutil.rmtree(self._folder, ignore_errors=True)

    def _new_file(self) -> Path:
        return self._folder / f"{next(self._files)}.gray"

    def _refuse_after_stops(self) -> None:
        if len(self._stops) >= STOPS_ALLOWED:
            problem = f"{self.name} stopped the reader {len(self._stops)} times and stays closed"
            raise WorkerStopped(problem, advice=ADVICE_STOPPED) from self._stops[-1]

    def _ask(
        self, request: Request, answer: Any, *, page: int, seconds: float | None = None
    ) -> Any:
        several = len(self.info.pages) > 1
        what = f"page {page} of {self.name}" if several else self.name
        if seconds is None:
            seconds = self.limits.page_seconds
        key = (type(request), page)
        if key in self._refused:  # what stopped the reader once is not tried again
            raise self._refused[key]
        try:
            return self._ask_about(request, answer, what=what, seconds=seconds)
        except WorkerStopped as error:
            self._refused[key] = error
            raise

    def _ask_about(self, request: Request, answer: Any, *, what: str, seconds: float) -> Any:
        with self._lock:
            self.start()
            return self._send(request, answer, what=what, seconds=seconds)

    def _send(self, request: Request, answer: Any, *, what: str, seconds: float) -> Any:
        assert self._worker is not None  # callers started it
        try:
            return self._worker.ask(request, answer=answer, seconds=seconds, what=what)
        except WorkerStopped as error:
            self._stops.append(error)
            self._worker.kill()
            self._worker = None
            raise
        except AuditError:  # the file's fault; the worker goes on
            raise
        except BaseException:  # Ctrl-C: the worker was stopped
            self._worker = None
            raise

    def _ask_for_pixels(self, request: RenderPage | DecodePicture, *, page: int) -> GrayImage:
        try:
            written: PixelsWritten = self._ask(request, PixelsWritten, page=page)
            pixels = map_pixels(request.target, written)
        finally:
            request.target.unlink(missing_ok=True)
        to_frame = Transform(
            (
                (1 / written.per_x, 0.0, written.left),
                (0.0, 1 / written.per_y, written.top),
                (0.0, 0.0, 1.0),
            )
        )
        return GrayImage(pixels=pixels, to_frame=to_frame)


def _finest_dpi(info: PageInfo, look: PageLook, *, pixels: int) -> float:
    """Resolution up to which a page is worth rendering for the sake of its picture."""
    fits = 72 * math.sqrt(pixels / (info.width * info.height)) * (1 - 1e-6)
    return fits if look.picture_share >= SCAN_SHARE else min(fits, STAMP_DPI)


def _with_remarks(info: DocumentInfo, remarks: tuple[str, ...]) -> DocumentInfo:
    return DocumentInfo(kind=info.kind, pages=info.pages, repaired=info.repaired, remarks=remarks)


def map_pixels(path: Path, written: PixelsWritten) -> NDArray[np.uint8]:
    """Map the pixels a worker wrote, read-only.

    Raises
    ------
    WorkerStopped
        If the file does not hold what the worker said.
    """
    size = written.columns * written.rows
    if min(written.columns, written.rows) < 1 or path.stat().st_size != size:
        raise WorkerStopped("the reader left a wrong number of pixels", advice=ADVICE_STOPPED)
    with path.open("rb") as stream:
        mapped = mmap.mmap(stream.fileno(), size, access=mmap.ACCESS_READ)
    return np.frombuffer(mapped, np.uint8).reshape(written.rows, written.columns)


def move_into_place(made: Path, target: Path) -> None:
    """Put a finished file where it belongs, in one step even across file systems."""
    beside = target.with_name(f".{target.name}.{os.getpid()}.part")
    try:
        shutil.copyfile(made, beside)
        with beside.open("rb+") as stream:
            os.fsync(stream.fileno())
        beside.replace(target)
    finally:
        beside.unlink(missing_ok=True)
