"""A sheet's paper fixed by the four corners of a rectangle that a person gave."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from audit.geometry import Point
from audit.lengths import Length
from audit.records import Frame, Sheet
from audit.sheets.photo import flatten_by_corners, tell_flatness
from audit.sheets.rectify import rectify
from audit.store import SetPaper

CORNER_SIGMA_PX = 1.5  # a corner clicked by hand at 1:1; common practice, no source
CORNER_SIGMA_PT = 0.3
BY_RECTANGLE = "the sides of the given rectangle"


def lay_by_corners(
    sheet: Sheet,
    pixels: Callable[[], NDArray[np.uint8]],
    corners: Sequence[Point],
    size: tuple[Length, Length],
) -> Sheet:
    """Lay a sheet flat by a rectangle of known size.

    Parameters
    ----------
    sheet : Sheet
    pixels : callable
        Gives the whole picture, gray; asked for photos only.
    corners : sequence of 4 Point
        Sheet frame, clockwise from the top left as seen.
    size : tuple of Length
        First corner to second, second to third.

    Returns
    -------
    Sheet
        Through the lens, and with its `flatness`, where the sides of the rectangle are seen.

    Raises
    ------
    BadPlace
        If the corners or sizes cannot be those of a rectangle.
    """
    if sheet.frame is Frame.PT:
        return rectify(sheet, corners, *size, sigma=CORNER_SIGMA_PT)
    done = flatten_by_corners(sheet, pixels(), corners, size, sigma=CORNER_SIGMA_PX)
    flatness = tell_flatness(done, by=BY_RECTANGLE) if done.seen else None
    return replace(done.sheet, flatness=flatness)


def flatten_by(
    sheet: Sheet,
    pixels: Callable[[], NDArray[np.uint8]],
    corners: Sequence[Point],
    *,
    width: Length,
    height: Length,
) -> SetPaper:
    """Fix how a sheet lies on its paper by a rectangle of known size, as `lay_by_corners`.

    Parameters
    ----------
    sheet : Sheet
    pixels : callable
    corners : sequence of 4 Point
    width : Length
        First corner to second.
    height : Length

    Returns
    -------
    SetPaper
        To be recorded.

    Raises
    ------
    BadPlace
        If the corners or sizes cannot be those of a rectangle.
    """
    flat = lay_by_corners(sheet, pixels, corners, (width, height))
    return SetPaper(
        sheet=sheet.id,
        to_paper=flat.to_paper,
        paper_known=flat.paper_known,
        u_paper=flat.u_paper,
        scatter=flat.scatter,
        paper_box=flat.paper_box,
        flatness=flat.flatness,
    )
