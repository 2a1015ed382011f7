"""A level line through the text taken out: a dimension line that was drawn over its own size.

Letters end inside their crop, so ink that runs level from edge to edge is none of theirs. It is
wiped column by column: where the ink is no thicker than the line there is only the line; where it
is thicker, a stroke crosses it and stays.
"""

from __future__ import annotations

import cv2
import numpy as np

from audit.networks.crops import Gray, Mask, cover_with_paper, find_level_rules, settle_ink

# The line may fade so many px before the crop's edge, and its fray is so wide.
EDGE_PX, FRAY_PX = 2, 1
# In heights of the text: nearer to its top or bottom the line is none through it.
INSIDE = 0.12
# A run of ink this much thicker than the line, and a px more, is a stroke across it.
THICKER = 1.4
SMALLEST_PX = 12


def wipe_level_lines(gray: Gray) -> Gray | None:
    """Return the crop, dark on light, without the level lines through its text.

    Parameters
    ----------
    gray : (h, w) uint8 array

    Returns
    -------
    (h, w) uint8 array or None
        `None` where no line runs through the text.
    """
    found = settle_ink(gray, least=SMALLEST_PX)
    if found is None:
        return None
    settled, ink = found
    rules = find_level_rules(ink)
    gone = np.zeros_like(ink)
    count, labels, stats, _ = cv2.connectedComponentsWithStats(rules.astype(np.uint8))
    rows = np.flatnonzero((ink & ~rules).any(1))
    for k in range(1, count):
        x, y, w, h = (int(v) for v in stats[k, :4])
        reaches = x <= EDGE_PX and x + w >= ink.shape[1] - EDGE_PX
        if reaches and len(rows) and _is_inside(y + h / 2, int(rows[0]), int(rows[-1])):
            gone |= _bare_columns(ink, labels == k)
    if not gone.any():
        return None
    frayed = cv2.dilate(gone.astype(np.uint8), np.ones((2 * FRAY_PX + 1, 1), np.uint8)) > 0
    return cover_with_paper(settled, frayed & ~(ink & ~gone))


def _is_inside(level: float, top: int, bottom: int) -> bool:
    slack = INSIDE * (bottom - top)
    return top + slack < level < bottom - slack


def _bare_columns(ink: Mask, line: Mask) -> Mask:
    """Ink of a line in those columns where nothing else is joined to it."""
    thick = float(np.median(line.sum(0)[line.any(0)]))
    gone = np.zeros_like(ink)
    for x in np.flatnonzero(line.any(0)):
        own = np.flatnonzero(line[:, x])
        top, bottom = int(own[0]), int(own[-1]) + 1
        while top > 0 and ink[top - 1, x]:
            top -= 1
        while bottom < len(ink) and ink[bottom, x]:
            bottom += 1
        if bottom - top <= THICKER * thick + 1:
            gone[top:bottom, x] = True
    return gone
