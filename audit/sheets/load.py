"""From files to sheets: what each page is, its frame, and its paper."""

from __future__ import annotations

import logging
import threading
from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.errors import AuditError, BadPlace, BadUsage, NotReadable
from audit.geometry import Box, Transform
from audit.isolation import (
    Document,
    GrayImage,
    Limits,
    PageInfo,
    PageLook,
    SourceKind,
    open_document,
)
from audit.records import Frame, PageKind, Sheet, VectorPage
from audit.sheets.crop import cut_upright
from audit.sheets.resolution import GUESSED_DPI, MM_PER_PT, Resolution, judge_resolution

log = logging.getLogger(__name__)

VECTOR_DPI = 200.0  # a vector page as a raster, when nobody says otherwise
CROP_DPI = 300.0  # text of a vector page: capitals of 2.5 mm are 30 px high
WORKERS_AWAKE = 4  # documents whose worker is kept running; each takes about 60 MB
GRAYS_KEPT = 4  # rasters kept mapped
LOGO_SHARE = 0.02  # of the page: pictures smaller than this together are decoration


@dataclass(frozen=True, slots=True, kw_only=True)
class Unopened:
    """A file or page that could not be made a sheet, and why. `page` is 0 for a whole file."""

    source: str
    page: int
    error: AuditError


def load_plan(
    paths: Sequence[Path | str], *, first_id: int = 1, limits: Limits | None = None
) -> LoadedPlan:
    """Open files as the sheets of one audit.

    Parameters
    ----------
    paths : sequence of Path or str
        PDFs and pictures, in the order of the sheets.
    first_id : int
        Number of the first sheet.
    limits : Limits, optional

    Returns
    -------
    LoadedPlan
        A context manager that holds the documents open. A page or file that cannot be used, beside
        others that can, is in its `unopened`.

    Raises
    ------
    BadUsage
        If no files are given.
    NotReadable
        If a file is missing, empty, a folder, or may not be read.
    AuditError
        If nothing at all could be opened: what was wrong with the first.
    """
    if not paths:
        raise BadUsage("no plan is given", advice="name one or more PDF or picture files")
    plan = LoadedPlan(limits=limits or Limits())
    try:
        for path in paths:
            plan._add(Path(path), first_id=first_id)
        if not plan.sheets:
            raise plan.unopened[0].error
    except BaseException:
        plan.close()
        raise
    return plan


class LoadedPlan:
    """The sheets of one audit with their documents open. Use `load_plan`.

    Attributes
    ----------
    sheets : tuple of Sheet
    unopened : tuple of Unopened
    """

    def __init__(self, *, limits: Limits) -> None:
        self.sheets: tuple[Sheet, ...] = ()
        self.unopened: tuple[Unopened, ...] = ()
        self._limits = limits
        self._lock = threading.Lock()
        self._documents: dict[int, Document] = {}
        self._open: list[Document] = []
        self._awake: OrderedDict[int, Document] = OrderedDict()
        self._grays: OrderedDict[tuple[int, float | None], GrayImage] = OrderedDict()

    def __enter__(self) -> LoadedPlan:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """End all workers; rasters already handed out stay valid."""
        self._grays.clear()
        self._awake.clear()
        while self._open:
            self._open.pop().close()

    def sheet(self, number: int) -> Sheet:
        """Return a sheet by its number.

        Raises
        ------
        BadPlace
            If there is no such sheet.
        """
        for sheet in self.sheets:
            if sheet.id == number:
                return sheet
        numbers = f"{self.sheets[0].id} to {self.sheets[-1].id}" if self.sheets else "none"
        raise BadPlace(f"there is no sheet {number}", advice=f"the sheets are numbered {numbers}")

    def document(self, sheet: Sheet) -> Document:
        """Return the document a sheet is a page of."""
        document = self._documents[sheet.id]
        self._keep_awake(document)
        return document

    @property
    def documents(self) -> tuple[Document, ...]:
        """The files that are open."""
        return tuple(self._open)

    def vector_page(self, sheet: Sheet) -> VectorPage:
        """Return everything drawn on a PDF sheet, in its frame."""
        return self.document(sheet).vector_page(sheet.page)

    def gray(self, sheet: Sheet, *, dpi: float | None = None) -> GrayImage:
        """Return a sheet as a gray raster.

        Parameters
        ----------
        sheet : Sheet
        dpi : float, optional
            For a page that is drawn, the resolution (default 200). A picture or scanned page
            comes as stored when it is left out, else resampled to it.

        Returns
        -------
        GrayImage
            In the orientation of the frame, never turned or mirrored.
        """
        key = (sheet.id, dpi)
        with self._lock:  # the page's routes run in several threads
            image = self._grays.pop(key, None)
        image = image or self._make_gray(sheet, dpi=dpi)
        with self._lock:
            self._grays[key] = image  # the newest last
            while len(self._grays) > GRAYS_KEPT:
                self._grays.popitem(last=False)
        return image

    def crop(
        self, sheet: Sheet, box: Box, *, angle: float = 0.0, dpi: float | None = None
    ) -> NDArray[np.uint8]:
        """Cut out a piece of a sheet, turned so that its text runs from left to right.

        Parameters
        ----------
        sheet : Sheet
        box : Box
            Upright box around the text, in the sheet's frame.
        angle : float
            Direction the text runs in the frame, degrees, counter-clockwise as seen.
        dpi : float, optional
            Default: 300 for a page that is drawn, the stored resolution for a picture.

        Returns
        -------
        ndarray of uint8, shape (rows, columns)

        Raises
        ------
        BadPlace
            If the box lies outside the sheet.
        """
        if not box.overlaps(sheet.box):
            raise BadPlace(f"the box lies outside {sheet.name}", advice="give a place on the sheet")
        if sheet.kind in (PageKind.VECTOR, PageKind.BOTH, PageKind.EMPTY):
            dpi = dpi or CROP_DPI
            # A turned text is cut out of a larger upright piece.
            reach = 0.0 if angle % 90 == 0 else max(box.width, box.height)
            image = self.document(sheet).render(sheet.page, dpi=dpi, box=box.grown(reach))
            scale = 1.0
        else:
            image = self.gray(sheet)
            scale = 1.0 if dpi is None else dpi / self._native_dpi(sheet)
        box_px = Box.around(image.to_frame.inverse().apply(corner) for corner in box.corners)
        return cut_upright(image.pixels, box_px, angle=angle, scale=scale, mirrored=sheet.mirrored)

    def _make_gray(self, sheet: Sheet, *, dpi: float | None) -> GrayImage:
        document = self.document(sheet)
        if sheet.kind in (PageKind.VECTOR, PageKind.BOTH, PageKind.EMPTY):
            return document.render(sheet.page, dpi=dpi or VECTOR_DPI)
        image = document.raster(sheet.page)
        return image if dpi is None else resample(image, factor=dpi / self._native_dpi(sheet))

    def _native_dpi(self, sheet: Sheet) -> float:
        if sheet.frame is Frame.PX:
            return sheet.stated_dpi if sheet.paper_known and sheet.stated_dpi else GUESSED_DPI
        return self.document(sheet).look(sheet.page).picture_dpi_x or VECTOR_DPI

    def _add(self, path: Path, *, first_id: int) -> None:
        try:
            document = open_document(path, limits=self._limits)
        except NotReadable:
            raise
        except AuditError as error:
            self._leave_out(path, error=error)
            return
        self._open.append(document)
        self._keep_awake(document)
        for info in document.info.pages:
            try:
                look = document.look(info.number)
            except AuditError as error:
                self._leave_out(path, page=info.number, error=error)
                continue
            number = first_id + len(self.sheets)
            self._documents[number] = document
            self.sheets += (_make_sheet(number, document, info=info, look=look),)

    def _leave_out(self, path: Path, *, page: int = 0, error: AuditError) -> None:
        log.warning("%s", error)
        self.unopened += (Unopened(source=path.name, page=page, error=error),)

    def _keep_awake(self, document: Document) -> None:
        resting = []
        with self._lock:
            self._awake[id(document)] = document
            self._awake.move_to_end(id(document))
            while len(self._awake) > WORKERS_AWAKE:
                resting.append(self._awake.popitem(last=False)[1])
        for oldest in resting:  # waits until what it is at is done
            oldest.rest()


def _make_sheet(number: int, document: Document, *, info: PageInfo, look: PageLook) -> Sheet:
    is_pdf = document.info.kind is SourceKind.PDF
    kind = _judge_kind(look)
    remarks = document.info.remarks
    to_paper, known, dpi = Transform.scaling(MM_PER_PT), True, None
    if not is_pdf or (kind is PageKind.SCAN and look.picture_box is not None):
        found = _judge_paper(info, look, is_pdf=is_pdf)
        known, dpi = found.known, found.dpi_x
        to_paper = to_paper if is_pdf else found.to_paper
        remarks += (found.remark,) if found.remark else ()
    if kind is PageKind.EMPTY:
        remarks += ("nothing is drawn on this page",)
    several = len(document.info.pages) > 1
    return Sheet(
        id=number,
        name=f"{document.name}, page {info.number}" if several else document.name,
        source=document.name,
        digest=document.digest,
        page=info.number,
        frame=Frame.PT if is_pdf else Frame.PX,
        kind=kind,
        width=info.width,
        height=info.height,
        turn=info.turn,
        mirrored=info.mirrored,
        to_paper=to_paper,
        paper_known=known,
        stated_dpi=dpi,
        remarks=remarks,
    )


def _judge_paper(info: PageInfo, look: PageLook, *, is_pdf: bool) -> Resolution:
    if not is_pdf:
        return judge_resolution(
            info.dpi_x, info.dpi_y, width=info.width, height=info.height, camera=info.camera
        )
    dpi_x, dpi_y = look.picture_dpi_x or 0.0, look.picture_dpi_y or 0.0
    width, height = info.width * dpi_x / 72, info.height * dpi_y / 72
    return judge_resolution(dpi_x or None, dpi_y or None, width=width, height=height)


def _judge_kind(look: PageLook) -> PageKind:
    if look.vector_items == 0:
        return PageKind.SCAN if look.picture_share > 0 else PageKind.EMPTY
    return PageKind.BOTH if look.picture_share >= LOGO_SHARE else PageKind.VECTOR


def resample(image: GrayImage, *, factor: float) -> GrayImage:
    """Make a raster finer or coarser.

    Parameters
    ----------
    image : GrayImage
    factor : float
        New pixels to an old one, > 0.

    Returns
    -------
    GrayImage
        Where it lay before.
    """
    rows, columns = image.pixels.shape
    size = (max(1, round(columns * factor)), max(1, round(rows * factor)))
    how = cv2.INTER_AREA if factor < 1 else cv2.INTER_CUBIC
    pixels = np.asarray(cv2.resize(image.pixels, size, interpolation=how), np.uint8)
    # Edges stay where they are, so the factor is the true one of each direction.
    back = Transform.scaling(columns / size[0], rows / size[1])
    return GrayImage(pixels=pixels, to_frame=back.then(image.to_frame))
