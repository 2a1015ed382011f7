"""Many small pictures, one after the other, through one worker.

A worker a file costs a third of a second, which hundreds of crops would feel. A picture that stops
the worker costs the worker; the next one starts another.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from audit.errors import AuditError, Damaged, WorkerStopped
from audit.isolation.cache import make_work_folder
from audit.isolation.document import map_pixels, open_document
from audit.isolation.info import DocumentInfo, PixelsWritten, SourceKind
from audit.isolation.limits import Limits
from audit.isolation.process import WorkerProcess
from audit.isolation.requests import DecodePicture, OpenFile
from audit.isolation.sniff import inspect_source


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DecodedPicture:
    """The first page of a file as a gray raster, upright as the file says; or why not.

    `pixels` is (rows, columns) uint8; `None` when `error` says why there are none. `dpi` as
    stated in the file, if at all.
    """

    path: Path
    pixels: NDArray[np.uint8] | None = None
    dpi: float | None = None
    error: AuditError | None = None


def decode_series(
    paths: Sequence[Path], *, limits: Limits | None = None
) -> Iterator[DecodedPicture]:
    """Decode pictures one by one.

    Parameters
    ----------
    paths : sequence of Path
        Pictures; a PDF gives its first page as a raster.
    limits : Limits, optional

    Yields
    ------
    DecodedPicture
        In the order of `paths`; a file that cannot be used has its error instead of pixels.
    """
    limits = limits or Limits()
    folder = make_work_folder()
    worker: WorkerProcess | None = None
    try:
        for path in paths:
            try:
                source = inspect_source(path, limits=limits)
                if source.kind is SourceKind.PDF:
                    yield _first_page(path, limits)
                    continue
                worker = worker or WorkerProcess(limits=limits, folder=folder)
                yield _decode(worker, path, folder / "picture.gray", limits)
            except WorkerStopped as error:
                worker = None
                yield DecodedPicture(path=path, error=error)
            except AuditError as error:
                yield DecodedPicture(path=path, error=error)
    finally:
        if worker is not None:
            worker.close()
        shutil.rmtree(folder, ignore_errors=True)


def _first_page(path: Path, limits: Limits) -> DecodedPicture:
    with open_document(path, limits=limits) as document:
        page, image = document.page(1), document.raster(1)
        return DecodedPicture(path=path, pixels=_upright(image.pixels, page.turn, mirrored=False))


def _decode(worker: WorkerProcess, path: Path, target: Path, limits: Limits) -> DecodedPicture:
    opening = OpenFile(path=path.resolve(), kind=SourceKind.IMAGE, limits=limits)
    info: DocumentInfo = worker.ask(
        opening, answer=DocumentInfo, seconds=limits.open_seconds, what=path.name
    )
    page = info.pages[0]
    if page.fault:
        raise Damaged(f"{path.name}: {page.fault}", advice="save it again")
    written: PixelsWritten = worker.ask(
        DecodePicture(page=1, target=target),
        answer=PixelsWritten,
        seconds=limits.page_seconds,
        what=path.name,
    )
    try:
        pixels = np.array(map_pixels(target, written))
    finally:
        target.unlink(missing_ok=True)
    return DecodedPicture(
        path=path, pixels=_upright(pixels, page.turn, mirrored=page.mirrored), dpi=page.dpi_x
    )


def _upright(pixels: NDArray[np.uint8], turn: int, *, mirrored: bool) -> NDArray[np.uint8]:
    turned = np.rot90(pixels[:, ::-1] if mirrored else pixels, -(turn // 90))
    return np.ascontiguousarray(turned)
