"""A sheet's raster in halves, quarters, eighths …, kept in the cache, handed out as tiles.

Level 0 is the raster itself; each further level has half the pixels each way, averaged over 2 × 2,
down to one tile. The files lie in a folder named after the source's digest, written whole or not
at all, and may be deleted at any time: open maps stay good, and the next opening builds them again.
"""

from __future__ import annotations

import contextlib
import json
import logging
import mmap
import os
import re
import shutil
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.errors import BadPlace
from audit.isolation import find_cache_folder

log = logging.getLogger(__name__)

TILE = 256  # px
STRIP_ROWS = 1024  # even; averaged at a time, so that a large sheet is never held twice
KEPT_BYTES = 4 << 30  # all pyramids together; a 36 × 24 in sheet at 600 dpi takes 415 MB
VERSION = 1  # of the files' layout
FOLDER = "pyramids"
INDEX = "index.json"
_SAFE = re.compile(r"[^A-Za-z0-9.-]")

Gray = NDArray[np.uint8]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pyramid:
    """All levels of one raster, finest first; uint8 arrays of shape (rows, columns)."""

    levels: tuple[Gray, ...]

    def tile(self, level: int, column: int, row: int, *, size: int = TILE) -> bytes:
        """Encode one tile as PNG.

        Parameters
        ----------
        level : int
            0 is full resolution, each next one half of it.
        column : int
            Of the tile, from the left.
        row : int
            From the top.
        size : int
            Pixels of a side.

        Returns
        -------
        bytes
            A PNG of `size` × `size`; gray, transparent where it reaches over the sheet's edge.

        Raises
        ------
        BadPlace
            If there is no such tile.
        """
        if not (0 <= level < len(self.levels) and column >= 0 and row >= 0 and size > 0):
            raise BadPlace(
                "there is no such tile", advice=f"levels are 0 to {len(self.levels) - 1}"
            )
        pixels = self.levels[level]
        part = pixels[row * size : (row + 1) * size, column * size : (column + 1) * size]
        if part.size == 0:
            raise BadPlace("there is no such tile", advice="it lies outside the sheet")
        return _encode(part, size=size)


def open_pyramid(pixels: Gray, *, digest: str, page: int, variant: str = "raster") -> Pyramid:
    """Find a raster's pyramid in the cache, or build it there.

    Parameters
    ----------
    pixels : ndarray of uint8, shape (rows, columns)
        The full raster; mapped or in memory.
    digest : str
        SHA-256 of the source file.
    page : int
    variant : str
        What tells this raster of the page from others ("200dpi").

    Returns
    -------
    Pyramid
        When the cache cannot be written, the levels are held in memory instead.
    """
    name = _SAFE.sub("_", f"{digest}-{page}-{variant}-v{VERSION}")
    folder = find_cache_folder() / FOLDER / name[:2] / name
    shape = (int(pixels.shape[0]), int(pixels.shape[1]))
    try:
        return _map_levels(folder, shape=shape)
    except (OSError, ValueError, KeyError, TypeError) as reason:
        log.debug("building the pyramid %s: %s", name, reason)
    try:
        _build(folder, pixels)
        return _map_levels(folder, shape=shape)
    except (OSError, ValueError, KeyError, TypeError) as reason:
        log.warning("the cache cannot be used (%s); keeping the sheet in memory", reason)
        return Pyramid(levels=tuple(_halvings(pixels)))


def _halvings(pixels: Gray) -> Iterator[Gray]:
    yield pixels
    while max(pixels.shape) > TILE:
        pixels = np.concatenate(list(_halve_strips(pixels)))
        yield pixels


def _halve_strips(pixels: Gray) -> Iterator[Gray]:
    for top in range(0, pixels.shape[0], STRIP_ROWS):
        yield _halve(pixels[top : top + STRIP_ROWS])


def _halve(strip: Gray) -> Gray:
    rows, columns = strip.shape
    if rows % 2 or columns % 2:  # the last row or column counts twice: edges stay in place
        strip = np.pad(strip, ((0, rows % 2), (0, columns % 2)), mode="edge")
    size = (strip.shape[1] // 2, strip.shape[0] // 2)
    return np.asarray(cv2.resize(strip, size, interpolation=cv2.INTER_AREA), np.uint8)


def _build(folder: Path, pixels: Gray) -> None:
    """Write all levels beside their place, then put them there in one step."""
    folder.parent.mkdir(parents=True, exist_ok=True)
    _prune(folder.parent.parent)
    making = Path(tempfile.mkdtemp(prefix=".making-", dir=folder.parent))
    try:
        shapes = _write_levels(making, pixels)
        (making / INDEX).write_text(json.dumps({"version": VERSION, "levels": shapes}))
        if folder.exists():  # unusable, or the caller would have taken it
            shutil.rmtree(folder, ignore_errors=True)
        making.replace(folder)
    except OSError:
        if not (folder / INDEX).exists():  # else another process was faster, and its files serve
            raise
    finally:
        shutil.rmtree(making, ignore_errors=True)


def _prune(root: Path) -> None:
    """Delete the oldest pyramids, and what killed runs left, while they take too much room."""
    found = []
    for folder in root.glob("*/*"):
        with contextlib.suppress(OSError):
            size = sum(f.stat().st_size for f in folder.iterdir())
            found.append((folder.stat().st_mtime, size, folder))
    total = sum(size for _, size, _ in found)
    for _, size, folder in sorted(found):
        if total <= KEPT_BYTES:
            return
        shutil.rmtree(folder, ignore_errors=True)
        total -= size


def _write_levels(folder: Path, pixels: Gray) -> list[list[int]]:
    shapes: list[list[int]] = []
    level = pixels
    while True:
        path = folder / f"{len(shapes)}.gray"
        strips = _strips(level) if not shapes else _halve_strips(level)
        rows = 0
        with path.open("wb") as stream:
            for strip in strips:
                rows += strip.shape[0]
                columns = int(strip.shape[1])
                stream.write(np.ascontiguousarray(strip).data)
        shapes.append([rows, columns])
        if max(rows, columns) <= TILE:
            return shapes
        level = _map(path, shape=(rows, columns))


def _strips(pixels: Gray) -> Iterator[Gray]:
    for top in range(0, pixels.shape[0], STRIP_ROWS):
        yield pixels[top : top + STRIP_ROWS]


def _map_levels(folder: Path, *, shape: tuple[int, int]) -> Pyramid:
    index = json.loads((folder / INDEX).read_text())
    shapes = [(int(rows), int(columns)) for rows, columns in index["levels"]]
    if index["version"] != VERSION or not shapes or shapes[0] != shape:
        raise ValueError("made from another raster")
    levels = tuple(_map(folder / f"{i}.gray", shape=s) for i, s in enumerate(shapes))
    return Pyramid(levels=levels)


def _map(path: Path, *, shape: tuple[int, int]) -> Gray:
    size = shape[0] * shape[1]
    with path.open("rb") as stream:
        if os.fstat(stream.fileno()).st_size != size or size == 0:
            raise ValueError(f"{path.name} has the wrong size")
        mapped = mmap.mmap(stream.fileno(), size, access=mmap.ACCESS_READ)
    return np.frombuffer(mapped, np.uint8).reshape(shape)


def _encode(part: Gray, *, size: int) -> bytes:
    rows, columns = part.shape
    picture = part
    if (rows, columns) != (size, size):
        picture = np.zeros((size, size, 4), np.uint8)
        picture[:rows, :columns, :3] = part[:, :, None]
        picture[:rows, :columns, 3] = 255
    _, data = cv2.imencode(".png", picture, [cv2.IMWRITE_PNG_COMPRESSION, 1])
    return data.tobytes()
