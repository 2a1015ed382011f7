"""Bars of stacked fractions that a dimension line runs into, or that touch a figure.

Such a bar is no blob of its own, and without one a numerator and its denominator look like two rows
of text.
"""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.geometry import Box

# In heights of the figures: a bar's least length, how far beyond the figures it may end, how far it
# is from those above and below.
LONG, BEYOND, APART = 0.4, 0.3, 0.6
STROKE = 0.75  # in heights of the figures: a level stroke of one is no longer
FLAT = 2.0  # times as long as high, at least
COVERED = 0.6  # of a figure's width, by the bar

Mask = NDArray[np.bool_]


def bars_of(ink: NDArray[np.uint8], figures: Sequence[Box]) -> tuple[Mask, list[Box]]:
    """Find bars between figures, joined to a line or to one of them or free: their ink and boxes.

    A line that runs past the figures on both sides is none.

    Parameters
    ----------
    ink : (h, w) uint8 array
    figures : sequence of Box
        Of the ink, each of one figure or of some that touch; no points and marks.

    Returns
    -------
    (h, w) bool array
    list of Box
    """
    nothing = np.zeros(ink.shape, np.bool_)
    if len(figures) < 2:
        return nothing, []
    around = np.array([tuple(box) for box in figures], np.float64)
    high = float((around[:, 3] - around[:, 1]).max())
    kernel = np.ones((1, max(4, round(LONG * high))), np.uint8)
    flat = np.asarray(cv2.morphologyEx(ink, cv2.MORPH_OPEN, kernel), np.uint8)
    _, labels, stats, _ = cv2.connectedComponentsWithStats(flat, connectivity=8)
    boxes = np.asarray(stats[:, :4], np.float64)
    boxes[:, 2:] += boxes[:, :2]
    left, right = around[:, 0].min() - BEYOND * high, around[:, 2].max() + BEYOND * high
    fits = (boxes[:, 0] >= left) | (boxes[:, 2] <= right)
    fits &= stats[:, 2] > FLAT * stats[:, 3]
    free = np.bincount(labels[~_covered(ink.shape, figures)], minlength=len(stats))
    own_stroke = (free <= stats[:, cv2.CC_STAT_AREA] / 2) & (stats[:, 2] < STROKE * high)
    fits &= ~own_stroke
    own = [k for k in np.flatnonzero(fits).tolist() if k and _parts(boxes[k], around)]
    if not own:
        return nothing, []
    return np.isin(labels, own), [Box(*boxes[k].tolist()) for k in own]


def _covered(shape: tuple[int, ...], figures: Sequence[Box]) -> Mask:
    """Mark where figures stand."""
    covered = np.zeros(shape, np.bool_)
    for x0, y0, x1, y1 in figures:
        covered[int(y0) : int(y1), int(x0) : int(x1)] = True
    return covered


def _parts(bar: NDArray[np.float64], figures: NDArray[np.float64]) -> bool:
    """Whether there is a figure over a bar and one under it."""
    x0, y0, x1, y1 = figures.T
    covered = np.minimum(x1, bar[2]) - np.maximum(x0, bar[0]) > COVERED * (x1 - x0)
    reach, middle = APART * (y1 - y0), (bar[1] + bar[3]) / 2
    over = covered & (y1 <= middle + 1) & (middle - y1 < reach)
    under = covered & (y0 >= middle - 1) & (y0 - middle < reach)
    return bool(over.any() and under.any())
