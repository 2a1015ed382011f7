"""Drawn lines taken out of a crop of text, the figures that they cross left whole.

Where a dimension stands in a crowded place, an outline or an extension line runs through its text.
"""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.geometry.levels import level_at

Gray = NDArray[np.uint8]
Mask = NDArray[np.uint8]

INK_SHARE = 0.45  # of full ink
LONG = 1.9  # heights of the text: longer level or upright ink is a line, no bar and no figure
THICKER = 1.5  # px: ink across a line this much thicker than the line is a figure it crosses
FRAY_PX = 2  # the soft edge of a line goes with it
FAINTEST = 12.0  # gray levels


def erase_lines(crop: Gray, *, height: float) -> Gray:
    """Whiten the level and upright lines of a crop.

    Parameters
    ----------
    crop : (h, w) uint8 array
        Dark on light, with so much around the text that lines show their length.
    height : float
        Of the text, px.

    Returns
    -------
    (h, w) uint8 array
    """
    paper = level_at(crop, 90)
    depth = paper - crop.astype(np.float32)
    full = float(np.percentile(depth, 99.5))
    ink = np.asarray(depth > max(INK_SHARE * full, FAINTEST), np.uint8)
    length = max(8, round(LONG * height))
    gone = level_lines(ink, length) | upright_lines(ink, length)
    return np.where(gone, np.uint8(round(paper)), crop).astype(np.uint8)


def upright_lines(ink: Mask, length: int) -> NDArray[np.bool_]:
    """Mark upright lines as `level_lines` does level ones."""
    return np.asarray(level_lines(np.ascontiguousarray(ink.T), length).T)


def level_lines(ink: Mask, length: int) -> NDArray[np.bool_]:
    """Mark level lines at least `length` px long, their fray too, but not what crosses them.

    Examples
    --------
    >>> ink = np.zeros((9, 30), np.uint8)
    >>> ink[4] = 1  # a line
    >>> ink[:, 10] = 1  # and the stem of a figure through it
    >>> gone = level_lines(ink, 20)
    >>> bool(gone[4, 5]), bool(gone[4, 10]), bool(gone[0, 10])
    (True, False, False)
    """
    if ink.shape[1] < length:
        return np.zeros(ink.shape, np.bool_)
    kernel = np.ones((1, length), np.uint8)
    # a bridge of a px or two mends a line that grain has broken
    bridged = cv2.morphologyEx(ink, cv2.MORPH_CLOSE, np.ones((1, 3), np.uint8))
    # soon told, and most crops have no line; half of one at an edge goes on beyond it
    if bytes([1]) * ((length + 1) // 2) not in bridged.tobytes():
        return np.zeros(ink.shape, np.bool_)
    line = np.asarray(cv2.morphologyEx(bridged, cv2.MORPH_OPEN, kernel), np.uint8)
    if not line.any():
        return np.zeros(ink.shape, np.bool_)
    count, labels, stats, _ = cv2.connectedComponentsWithStats(line, connectivity=8)
    gone = np.zeros(ink.shape, np.bool_)
    run = _runs(ink)
    for label in range(1, count):
        x, y, w, h = stats[label, :4].tolist()
        window = np.s_[y : y + h, x : x + w]  # a crop may be large, and cross many lines
        own = labels[window] == label
        thick = float(np.median(own.sum(axis=0)))
        gone[window] |= own & (run[window] <= thick + THICKER)
    grown = cv2.dilate(gone.astype(np.uint8), np.ones((2 * FRAY_PX + 1, 1), np.uint8)) > 0
    kept = (ink > 0) & ~gone
    return np.asarray(grown & ~kept, np.bool_)


def _runs(ink: Mask) -> NDArray[np.int32]:
    """Length of the upright run of ink each px belongs to; 0 on paper."""
    height, filled = len(ink), ink > 0
    rows = np.arange(height, dtype=np.int32)[:, None]
    above = np.maximum.accumulate(np.where(filled, np.int32(-1), rows), axis=0)
    below = np.where(filled, np.int32(height), rows)
    below = np.minimum.accumulate(below[::-1], axis=0)[::-1]
    return np.where(filled, below - above - 1, np.int32(0))
