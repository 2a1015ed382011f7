"""Directions of patches of text: which way each runs, and patches of two ways parted.

Legend: a *patch* is one connected region of the page network's text mask.
"""

from __future__ import annotations

import math

import cv2
import numpy as np
from numpy.typing import NDArray

MIN_PATCH = 16  # map px; smaller patches are specks
AT_ONE = 0.85  # length of the mean of directions that are nearly one
NEAR_QUARTER_DEG = 8.0
CLEARLY_DEG = 25.0  # of level or upright: so far the network's direction may be off
ROW_FILLED = 0.65  # of its box: a row of text among others of its patch that run another way
LONG = 1.4  # times as long as high: the shape of a patch tells its direction

Mask = NDArray[np.bool_]
Floats = NDArray[np.float64]


def part_by_direction(turns: NDArray[np.uint8], own: Mask) -> list[Mask]:
    """Part a patch in which a level text and an upright one ran into each other.

    Parameters
    ----------
    turns : (h, w) uint8 array
        Direction of text, as `PageMaps` has it.
    own : (h, w) bool array
        The patch.

    Returns
    -------
    list of (h, w) bool array
        The patch itself, or what of it runs each way.
    """
    off = (turns.astype(float) * 2.0 + 45.0) % 180.0 - 45.0
    parts = [own & (np.abs(off - way) < CLEARLY_DEG) for way in (0.0, 90.0)]
    if sum(int(part.sum()) for part in parts) < AT_ONE * float(own.sum()):
        return [own]
    return parts if _is_row(parts[0]) and _is_row(parts[1].T) else [own]


def _is_row(part: Mask) -> bool:
    """Whether a part is a row of text, and no bits of a slanted one, which reads both ways."""
    rows, columns = np.nonzero(part)
    if len(rows) < MIN_PATCH:
        return False
    wide, high = float(np.ptp(columns)) + 1.0, float(np.ptp(rows)) + 1.0
    return wide > LONG * high and len(rows) > ROW_FILLED * wide * high


def angle_of(turns: NDArray[np.uint8], own: Mask) -> float:
    """Direction of a patch, degrees, 0 to 180.

    What the network says holds where it says one thing, near a quarter turn; its idea of slanted
    text is rough, and the shape of the patch tells better.

    Parameters
    ----------
    turns : (h, w) uint8 array
        Direction of text, as `PageMaps` has it.
    own : (h, w) bool array
        The patch.
    """
    doubled = np.radians(turns[own].astype(float) * 4.0)
    x, y = float(np.cos(doubled).mean()), float(np.sin(doubled).mean())
    angle = math.degrees(math.atan2(y, x)) / 2 % 180.0
    off = abs((angle + 45.0) % 90.0 - 45.0)
    if math.hypot(x, y) > AT_ONE and off < NEAR_QUARTER_DEG:
        return angle
    shape = shape_of(outline_of(own))
    return angle if shape is None else shape[0]


def outline_of(ink: Mask | NDArray[np.uint8]) -> NDArray[np.intp]:
    """First and last px of each row of ink: all that its smallest rectangle lies at.

    Parameters
    ----------
    ink : (h, w) array
        0 on paper; not empty.

    Returns
    -------
    (n, 2) int array
        x and y.

    Examples
    --------
    >>> outline_of(np.array([[0, 1, 1, 1], [0, 0, 0, 0], [0, 0, 1, 0]], np.uint8)).tolist()
    [[1, 0], [2, 2], [3, 0], [2, 2]]
    """
    rows = np.flatnonzero(ink.any(axis=1))
    inked = ink[rows] > 0
    first, last = inked.argmax(axis=1), ink.shape[1] - 1 - inked[:, ::-1].argmax(axis=1)
    return np.column_stack([np.concatenate([first, last]), np.concatenate([rows, rows])])


def shape_of(points: Floats | NDArray[np.intp]) -> tuple[float, float, float] | None:
    """Direction of the long side of the smallest rectangle around points, its short and long side.

    `None` where it is hardly longer than high.

    Parameters
    ----------
    points : (n, 2) array
    """
    _, (wide, high), turned = cv2.minAreaRect(points.astype(np.float32))
    long, low = max(wide, high), max(min(wide, high), 1.0)
    if long < LONG * low:
        return None
    # the library counts clockwise as seen, from the side called wide
    return float(-turned if wide >= high else 90.0 - turned) % 180.0, low, long
