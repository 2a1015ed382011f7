"""Upright cut-outs of a gray raster, for reading text that runs at any angle."""

from __future__ import annotations

import math

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.geometry import Box, Point

QUARTER_WITHIN_DEG = 0.05  # a text this near a quarter turn is cut without resampling
FOLDED_COS = 0.35  # near 45° the sides of a turned rectangle do not follow from its upright box
SHRINK_BELOW = 0.75  # smaller than this, pixels are averaged before turning
PAPER = 255

Gray = NDArray[np.uint8]


def measure_turned(box: Box, *, angle: float) -> tuple[float, float]:
    """Sides of the rectangle, turned by `angle`, that `box` was drawn around.

    Parameters
    ----------
    box : Box
        Upright box around the turned rectangle.
    angle : float
        Degrees.

    Returns
    -------
    tuple of float
        `(along, across)`, in the unit of `box`. Near 45°, where they do not follow from the box,
        a rectangle that surely covers the text.

    Examples
    --------
    >>> [round(side, 6) for side in measure_turned(Box(0, 0, 10, 40), angle=90.0)]
    [40.0, 10.0]
    """
    c, s = abs(math.cos(math.radians(angle))), abs(math.sin(math.radians(angle)))
    folded = c * c - s * s
    if abs(folded) > FOLDED_COS:
        along = (box.width * c - box.height * s) / folded
        across = (box.height * c - box.width * s) / folded
        if along > 0 and across > 0:
            return along, across
    return box.width * c + box.height * s, box.width * s + box.height * c


def cut_upright(
    pixels: Gray,
    box: Box,
    *,
    angle: float,
    scale: float = 1.0,
    mirrored: bool = False,
) -> Gray:
    """Cut out a piece and turn it so that its text runs from left to right.

    Parameters
    ----------
    pixels : ndarray of uint8, shape (rows, columns)
    box : Box
        Upright box around the text, px (the first pixel's centre at .5, .5); may reach outside,
        which counts as paper.
    angle : float
        Direction the text runs, degrees, counter-clockwise as seen.
    scale : float, >0
        Pixels of the result for each pixel of the source.
    mirrored : bool
        The source is mirrored: the result is turned over.

    Returns
    -------
    ndarray of uint8, shape (rows, columns)
        At least 1 × 1; a copy.
    """
    quarter = round(angle / 90)
    if abs(angle - 90 * quarter) <= QUARTER_WITHIN_DEG:
        result = np.rot90(_cut(pixels, box), -quarter)
        result = _resize(result, scale)
    else:
        result = _cut_turned(pixels, box, angle=angle, scale=scale)
    return np.ascontiguousarray(result[::-1] if mirrored else result)


def _cut(pixels: Gray, box: Box) -> Gray:
    """Whole pixels that a box touches, with paper where it leaves the raster."""
    rows, columns = pixels.shape
    x0, y0 = math.floor(box.x0 + 1e-6), math.floor(box.y0 + 1e-6)
    x1 = max(x0 + 1, math.ceil(box.x1 - 1e-6))
    y1 = max(y0 + 1, math.ceil(box.y1 - 1e-6))
    result = np.full((y1 - y0, x1 - x0), PAPER, np.uint8)
    left, top = min(max(x0, 0), columns), min(max(y0, 0), rows)
    right, bottom = min(max(x1, 0), columns), min(max(y1, 0), rows)
    if left < right and top < bottom:
        part = pixels[top:bottom, left:right]
        result[top - y0 : bottom - y0, left - x0 : right - x0] = part
    return result


def _resize(pixels: Gray, scale: float) -> Gray:
    if abs(scale - 1) < 1e-3:
        return pixels
    rows, columns = pixels.shape
    size = (max(1, round(columns * scale)), max(1, round(rows * scale)))
    how = cv2.INTER_AREA if scale < 1 else cv2.INTER_CUBIC
    resized = cv2.resize(np.ascontiguousarray(pixels), size, interpolation=how)
    return np.asarray(resized, np.uint8)


def _cut_turned(pixels: Gray, box: Box, *, angle: float, scale: float) -> Gray:
    along, across = measure_turned(box, angle=angle)
    reach = math.hypot(along, across) / 2 + 2
    centre = box.centre
    around = Box(centre.x - reach, centre.y - reach, centre.x + reach, centre.y + reach)
    part = _cut(pixels, around)
    middle = Point(centre.x - math.floor(around.x0 + 1e-6), centre.y - math.floor(around.y0 + 1e-6))
    shrunk = scale if scale < SHRINK_BELOW else 1.0
    part, scale = _resize(part, shrunk), scale / shrunk
    middle = Point(middle.x * shrunk, middle.y * shrunk)
    along, across = along * shrunk, across * shrunk
    return _turn(part, middle, angle=angle, scale=scale, size=(along * scale, across * scale))


def _turn(
    part: Gray, middle: Point, *, angle: float, scale: float, size: tuple[float, float]
) -> Gray:
    columns, rows = (max(1, math.ceil(v - 1e-3)) for v in size)
    c, s = math.cos(math.radians(angle)) / scale, math.sin(math.radians(angle)) / scale
    # From pixels of the result to pixels of the part, both with centres on whole numbers: along
    # the text is (c, -s), across it downwards is (s, c).
    u, v = columns / 2 - 0.5, rows / 2 - 0.5
    back = np.array(
        [
            [c, s, middle.x - 0.5 - c * u - s * v],
            [-s, c, middle.y - 0.5 + s * u - c * v],
        ]
    )
    turned = cv2.warpAffine(
        part,
        back,
        (columns, rows),
        flags=cv2.INTER_CUBIC | cv2.WARP_INVERSE_MAP,
        borderMode=cv2.BORDER_CONSTANT,
        borderValue=PAPER,
    )
    return np.asarray(turned, np.uint8)
