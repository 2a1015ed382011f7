"""Thin lines of black-and-white scans that a threshold broke into dots: drawn whole again.

A line thinner than a pixel is about as dark as the threshold, and comes out as a row of specks. An
eye sees the line; edges and networks see specks. Lines are mended along the rows and columns of the
picture, as nearly all dimension and extension lines run; nothing else is touched.
"""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

Gray = NDArray[np.uint8]
Mask = NDArray[np.uint8]

GREYS = 0.002  # share of other values in a picture of two: none, but for a stamp put on
FULL, DARK = np.uint8(255), 128
GAP_PX = 7  # between specks of a line are fewer
LONG_PX = 61  # shorter rows of specks are letters, or dots of a screen
THICK_PX = 5  # rows of specks two px high, seen in a band three px wide
USUAL_GAP_PX = 3  # between specks; dashes of a thin line stand further apart
STRIP_PX = 512  # rows looked at together: what is in work fits the processor's cache
RIM_PX = 32  # rows of the next strips seen as well: a line at an edge is whole in one of them
FILLED = (0.35, 0.97)  # share of a line's length that is inked: less is no line, more is whole


def mend_broken_lines(gray: Gray) -> Gray:
    """Draw thin lines whole that a threshold broke, on a picture of black and white alone.

    Parameters
    ----------
    gray : (h, w) uint8 array

    Returns
    -------
    (h, w) uint8 array
        The same one where there is nothing to mend.
    """
    if not is_bilevel(gray):
        return gray
    ink = (gray < DARK).astype(np.uint8)
    upright = cv2.transpose(_missing(np.asarray(cv2.transpose(ink), np.uint8)))
    added = np.maximum(_missing(ink), np.asarray(upright, np.uint8))
    return np.minimum(gray, FULL - added) if added.any() else gray


def is_bilevel(gray: Gray) -> bool:
    """Whether a picture has two values and no others."""
    counts = cv2.calcHist([gray], [0], None, [256], [0, 256]).ravel()
    two = np.sort(counts)[-2:]
    return bool(two[0] > 0 and counts.sum() - two.sum() <= GREYS * counts.sum())


def _missing(ink: Mask) -> Gray:
    """Ink, 0 to 255, between the specks of level lines; strip by strip, as large scans are."""
    strips = []
    for y in range(0, len(ink), STRIP_PX):
        low = max(y - RIM_PX, 0)
        seen = _missing_in(ink[low : y + STRIP_PX + RIM_PX])
        strips.append(seen[y - low : y - low + STRIP_PX])
    return np.concatenate(strips)


def _missing_in(ink: Mask) -> Gray:
    band = cv2.dilate(ink, np.ones((3, 1), np.uint8))
    close, long = np.ones((1, GAP_PX), np.uint8), np.ones((1, LONG_PX), np.uint8)
    runs = cv2.morphologyEx(cv2.morphologyEx(band, cv2.MORPH_CLOSE, close), cv2.MORPH_OPEN, long)
    added = np.zeros_like(ink)
    count, labels, stats, _ = cv2.connectedComponentsWithStats(runs, connectivity=8)
    for k in range(1, count):
        x, y, w, h, _ = stats[k].tolist()
        if h <= THICK_PX + w // LONG_PX:
            part = np.s_[y : y + h, x : x + w]
            added[part] = np.maximum(added[part], _between(ink[part] & (labels[part] == k)))
    return added


def _between(specks: Mask) -> Gray:
    """Ink of the line through specks, in the columns that have none: shared by two rows."""
    rows, columns = np.nonzero(specks)
    height, width = specks.shape
    inked = np.bincount(columns, minlength=width) > 0
    line = np.zeros((height + 1, width), np.uint8)
    if not FILLED[0] < inked.mean() < FILLED[1] or _usual_gap(inked) > USUAL_GAP_PX:
        return line[:-1]
    slope, start = np.polyfit(columns, rows, 1)
    bare = np.flatnonzero(~inked)
    at = np.clip(start + slope * bare, 0, height - 1)
    above = at.astype(int)
    line[above, bare] = 255 * (1 - (at - above))
    line[above + 1, bare] = 255 * (at - above)
    return line[:-1]


def _usual_gap(inked: NDArray[np.bool_]) -> float:
    """Median length of what is bare between ink, px."""
    steps = np.diff(np.flatnonzero(inked))
    return float(np.median(steps[steps > 1] - 1)) if np.any(steps > 1) else 0.0
