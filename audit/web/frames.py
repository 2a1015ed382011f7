"""The map of a sheet: the upright raster that the page pans and zooms over.

*Map px* are pixels of that raster at zoom 0: the stored pixels of a picture, a drawn page at
`DRAWN_DPI`. Origin top left as read, x right, y down.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audit.geometry import Transform
from audit.isolation import GrayImage
from audit.records import Sheet

DRAWN_DPI = 200.0  # a drawn page at zoom 0: lettering of 2.5 mm is 20 px high

Gray = NDArray[np.uint8]


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetMap:
    """Size of a sheet's map, and the way there from the sheet's frame."""

    width: int
    height: int
    from_frame: Transform


def turn_upright(pixels: Gray, sheet: Sheet) -> Gray:
    """Turn a raster in the sheet's orientation so that it is read upright; a view, no copy."""
    flipped = pixels[:, ::-1] if sheet.mirrored else pixels
    return np.rot90(flipped, -(sheet.turn // 90))


def upright_transform(width: float, height: float, sheet: Sheet) -> Transform:
    """Way from a raster's pixels to those of the upright one.

    Parameters
    ----------
    width : float
        Of the raster before turning.
    height : float
    sheet : Sheet
        Says how it is turned and mirrored.

    Returns
    -------
    Transform
    """
    mirror = Transform(((-1, 0, width), (0, 1, 0), (0, 0, 1))) if sheet.mirrored else Transform()
    turns = {
        0: Transform(),
        90: Transform(((0, -1, height), (1, 0, 0), (0, 0, 1))),
        180: Transform(((-1, 0, width), (0, -1, height), (0, 0, 1))),
        270: Transform(((0, 1, 0), (-1, 0, width), (0, 0, 1))),
    }
    return mirror.then(turns[sheet.turn % 360])


def map_of(image: GrayImage, sheet: Sheet) -> SheetMap:
    """Work out the map of a sheet from its raster."""
    rows, columns = image.pixels.shape
    wide, high = (rows, columns) if sheet.turn % 180 == 90 else (columns, rows)
    way = image.to_frame.inverse().then(upright_transform(columns, rows, sheet))
    return SheetMap(width=wide, height=high, from_frame=way)
