"""Tiles of a sheet's map.

A tile covers 256 × 256 px of its zoom level but carries one more row and column: at zoom levels
between whole ones neighbours overlap by that pixel and no seam shows.
"""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.errors import BadPlace
from audit.geometry import Box, Transform
from audit.isolation import GrayImage
from audit.records import Sheet
from audit.sheets import Pyramid
from audit.web.frames import SheetMap, turn_upright, upright_transform

TILE = 256
OVERLAP = 1
FINEST = 4  # zoom at which one map px is 16 screen px

Gray = NDArray[np.uint8]


def cut_tile(pyramid: Pyramid, *, zoom: int, column: int, row: int) -> bytes:
    """Cut one tile out of a pyramid.

    Parameters
    ----------
    pyramid : Pyramid
        Of the upright raster.
    zoom : int
        0: pixel on pixel; -1, -2 …: half, a quarter …
    column : int
    row : int

    Returns
    -------
    bytes
        A PNG, transparent where it reaches over the sheet's edge.

    Raises
    ------
    BadPlace
        If there is no such tile.
    """
    level = -zoom
    if not (0 <= level < len(pyramid.levels) and column >= 0 and row >= 0):
        raise no_such_tile()
    y, x = row * TILE, column * TILE
    part = pyramid.levels[level][y : y + TILE + OVERLAP, x : x + TILE + OVERLAP]
    if part.size == 0:
        raise no_such_tile()
    return encode_png(part)


def no_such_tile() -> BadPlace:
    """Make the error for a tile that lies outside the sheet."""
    return BadPlace("there is no such tile", advice="it lies outside the sheet")


def box_of_tile(sheet_map: SheetMap, *, zoom: int, column: int, row: int) -> Box:
    """Return the box of a tile in the sheet's frame.

    Parameters
    ----------
    sheet_map : SheetMap
    zoom : int
        Above 0 for tiles finer than the map.
    column : int
    row : int

    Returns
    -------
    Box

    Raises
    ------
    BadPlace
        If it lies outside the sheet, or is finer than any.
    """
    if not 0 < zoom <= FINEST or column < 0 or row < 0:
        raise no_such_tile()
    side = TILE / 2**zoom
    x0, y0 = column * side, row * side
    if x0 >= sheet_map.width or y0 >= sheet_map.height:
        raise no_such_tile()
    more = OVERLAP / 2**zoom
    box = Box(x0, y0, x0 + side + more, y0 + side + more)
    to_frame = sheet_map.from_frame.inverse()
    return Box.around([to_frame.apply(corner) for corner in box.corners])


def fit_tile(
    image: GrayImage, sheet: Sheet, sheet_map: SheetMap, *, zoom: int, column: int, row: int
) -> bytes:
    """Make a tile of a freshly rendered piece of a page.

    Parameters
    ----------
    image : GrayImage
        Rendered around the tile's box.
    sheet : Sheet
    sheet_map : SheetMap
    zoom : int
    column : int
    row : int

    Returns
    -------
    bytes
        A PNG.
    """
    rows, columns = image.pixels.shape
    piece = turn_upright(image.pixels, sheet)
    to_piece = upright_transform(columns, rows, sheet)
    fine = Transform.scaling(2.0**zoom)
    to_level = to_piece.inverse().then(image.to_frame).then(sheet_map.from_frame).then(fine)
    left, top = to_level.apply((0.0, 0.0))
    size = TILE + OVERLAP
    tile = np.full((size, size), 255, np.uint8)
    x, y = round(left - column * TILE), round(top - row * TILE)
    x0, y0 = max(x, 0), max(y, 0)
    part = piece[max(-y, 0) : size - y, max(-x, 0) : size - x][: size - y0, : size - x0]
    tile[y0 : y0 + part.shape[0], x0 : x0 + part.shape[1]] = part
    wide = min(size, max(1, round(sheet_map.width * 2**zoom - column * TILE)))
    high = min(size, max(1, round(sheet_map.height * 2**zoom - row * TILE)))
    return encode_png(tile[:high, :wide])


def encode_png(part: Gray) -> bytes:
    """Encode a tile; transparent where it is smaller than a whole one."""
    rows, columns = part.shape
    size = TILE + OVERLAP
    picture: Gray = np.ascontiguousarray(part)
    if (rows, columns) != (size, size):
        picture = np.zeros((size, size, 4), np.uint8)
        picture[:rows, :columns, :3] = part[:, :, None]
        picture[:rows, :columns, 3] = 255
    _, data = cv2.imencode(".png", picture, [cv2.IMWRITE_PNG_COMPRESSION, 1])
    return data.tobytes()
