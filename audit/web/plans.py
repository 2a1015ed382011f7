"""The plan files of an open audit: written out of it once, opened in workers, cached by sheet."""

from __future__ import annotations

import tempfile
import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import replace
from pathlib import Path
from typing import Generic, TypeVar

import numpy as np
from numpy.typing import NDArray

from audit.errors import AuditError, BadPlace
from audit.geometry import Box
from audit.isolation import GrayImage
from audit.pipeline.marking import see_ink
from audit.pipeline.placing import SnapGround, prepare_ground
from audit.pipeline.unpacking import harmless_name
from audit.records import Frame, PageKind, Sheet
from audit.report import Ink
from audit.sheets import LoadedPlan, Pyramid, load_plan, open_pyramid
from audit.store import AuditFile
from audit.web.frames import DRAWN_DPI, SheetMap, map_of, turn_upright
from audit.web.tiles import box_of_tile, cut_tile, fit_tile

GROUNDS_KEPT = 3  # rasters to snap on; a 36 × 24 in sheet at 600 dpi maps 311 MB
TILES_KEPT = 600  # of drawn pages, some 10 kB each
DRAWN = (PageKind.VECTOR, PageKind.BOTH, PageKind.EMPTY)

Key = TypeVar("Key", bound=Hashable)
Value = TypeVar("Value")


class Cache(Generic[Key, Value]):
    """The last few values that were made, by key. Making one holds up only who wants it."""

    def __init__(self, kept: int) -> None:
        self._kept = kept
        self._values: OrderedDict[Key, Value] = OrderedDict()
        self._locks: dict[Key, threading.Lock] = {}
        self._lock = threading.Lock()

    def get(self, key: Key, make: Callable[[], Value]) -> Value:
        """Return the value of a key, made now if it is not there."""
        with self._lock:
            if key in self._values:
                self._values.move_to_end(key)
                return self._values[key]
            making = self._locks.setdefault(key, threading.Lock())
        with making:
            with self._lock:
                if key in self._values:
                    return self._values[key]
            value = make()
            with self._lock:
                self._values[key] = value
                self._locks.pop(key, None)
                while len(self._values) > self._kept:
                    self._values.popitem(last=False)
            return value

    def clear(self) -> None:
        """Forget everything."""
        with self._lock:
            self._values.clear()


class Plans:
    """The plan files of an audit, open."""

    def __init__(self, file: AuditFile) -> None:
        self._file = file
        self._folder = tempfile.TemporaryDirectory(prefix="plan-audit-")
        self._lock = threading.RLock()
        self._open: dict[str, LoadedPlan] = {}
        self._maps: Cache[tuple[str, int], SheetMap] = Cache(1000)
        self._pyramids: Cache[tuple[str, int], Pyramid] = Cache(24)
        self._grounds: Cache[tuple[str, int, object], SnapGround] = Cache(GROUNDS_KEPT)
        self._inks: Cache[tuple[str, int], Ink] = Cache(200)
        self._tiles: Cache[tuple[str, int, int, int, int], bytes] = Cache(TILES_KEPT)

    def close(self) -> None:
        """End the workers and delete the copies."""
        with self._lock:
            for plan in self._open.values():
                plan.close()
            self._open.clear()
        self._folder.cleanup()

    def path_of(self, digest: str) -> Path:
        """Write a plan file out of the audit, once, and return where it is."""
        with self._lock:
            name = next(s.name for s in self._file.list_sources() if s.digest == digest)
            place = Path(self._folder.name) / digest / harmless_name(name, 0)
            place.parent.mkdir(exist_ok=True)
            return place if place.exists() else self._file.read_source(digest, place)

    def tile(self, sheet: Sheet, *, zoom: int, column: int, row: int) -> bytes:
        """Return one tile of a sheet's map as PNG.

        Parameters
        ----------
        sheet : Sheet
        zoom : int
            0: map px on screen px; negative: coarser; positive: finer, drawn pages only.
        column : int
        row : int

        Returns
        -------
        bytes

        Raises
        ------
        BadPlace
            If there is no such tile.
        """
        if zoom <= 0:
            return cut_tile(self.pyramid(sheet), zoom=zoom, column=column, row=row)
        if not is_drawn(sheet):
            raise BadPlace("there is no such tile", advice="a picture has no finer tiles")
        key = (sheet.digest, sheet.page, zoom, column, row)
        return self._tiles.get(key, lambda: self._render(sheet, zoom, column, row))

    def _render(self, sheet: Sheet, zoom: int, column: int, row: int) -> bytes:
        sheet_map = self.map_of(sheet)
        box = box_of_tile(sheet_map, zoom=zoom, column=column, row=row)
        plan, opened = self.open(sheet)
        document = plan.document(opened)
        image = document.render(opened.page, dpi=DRAWN_DPI * 2**zoom, box=box)
        return fit_tile(image, opened, sheet_map, zoom=zoom, column=column, row=row)

    def map_of(self, sheet: Sheet) -> SheetMap:
        """Return the map of a sheet."""

        def make() -> SheetMap:
            plan, opened = self.open(sheet)
            with self._lock:
                return map_of(_base_image(plan, opened), opened)

        return self._maps.get((sheet.digest, sheet.page), make)

    def pyramid(self, sheet: Sheet) -> Pyramid:
        """Return the pyramid of a sheet's map, built now if it is not in the cache."""

        def make() -> Pyramid:
            plan, opened = self.open(sheet)
            with self._lock:
                pixels = turn_upright(_base_image(plan, opened).pixels, opened)
            variant = f"map-{opened.turn}-{int(opened.mirrored)}"
            return open_pyramid(pixels, digest=sheet.digest, page=sheet.page, variant=variant)

        return self._pyramids.get((sheet.digest, sheet.page), make)

    def ground(self, sheet: Sheet) -> SnapGround:
        """Return the raster on which points of a sheet are snapped."""

        def make() -> SnapGround:
            plan, opened = self.open(sheet)
            with self._lock:
                return prepare_ground(plan, replace(sheet, id=opened.id))

        return self._grounds.get((sheet.digest, sheet.page, sheet.to_paper), make)

    def pixels(self, sheet: Sheet) -> NDArray[np.uint8]:
        """Return the whole picture of a sheet, gray, as it is stored."""
        plan, opened = self.open(sheet)
        with self._lock:
            return plan.gray(opened).pixels

    def ink(self, sheet: Sheet) -> Ink | None:
        """Map what is drawn where, so that marks keep off it; `None` where it cannot be seen."""

        def make() -> Ink:
            plan, opened = self.open(sheet)
            with self._lock:
                return see_ink(plan, opened, sheet)

        try:
            return self._inks.get((sheet.digest, sheet.page), make)
        except AuditError:
            return None

    def crop(self, sheet: Sheet, box: Box, *, angle: float) -> NDArray[np.uint8]:
        """Cut out a piece of a sheet, turned so that its text runs from left to right."""
        plan, opened = self.open(sheet)
        with self._lock:
            return plan.crop(opened, box, angle=angle)

    def open(self, sheet: Sheet) -> tuple[LoadedPlan, Sheet]:
        """Open the file of a sheet, and find the sheet in it.

        Raises
        ------
        BadPlace
            If its page cannot be opened any more.
        """
        with self._lock:
            if sheet.digest not in self._open:
                self._open[sheet.digest] = load_plan([self.path_of(sheet.digest)])
            plan = self._open[sheet.digest]
        for opened in plan.sheets:
            if opened.page == sheet.page:
                return plan, opened
        raise BadPlace(f"{sheet.name} cannot be opened", advice="add the plan again")


def is_drawn(sheet: Sheet) -> bool:
    """Whether a sheet is sharp at any zoom."""
    return sheet.frame is Frame.PT and sheet.kind in DRAWN


def _base_image(plan: LoadedPlan, opened: Sheet) -> GrayImage:
    return plan.gray(opened, dpi=DRAWN_DPI) if is_drawn(opened) else plan.gray(opened)
