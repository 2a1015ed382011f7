"""Lone stacked fractions: a crop that is one pile of figures, parted at its bar.

Readers know fractions behind a whole number; of one that stands alone, much higher than long, they
see the numerator. Above and below the bar stand plain numbers, which they read well.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from audit.reading.near import Gray

INK_SHARE = 0.45  # of full ink
FAINTEST = 25.0  # gray levels between paper and ink
MIDDLE = (0.3, 0.7)  # of the height: where the bar or the gap is
BAR_WIDTH, BAR_HEIGHT = 0.8, 0.16  # of the length, of the height
BETWEEN = 0.3  # of the height, between the two figures
LEAST_PX = 5  # of a figure's height
ROOM = 0.2  # of a part's height, of paper around it


@dataclass(frozen=True, slots=True, eq=False)
class Pile:
    """What stands above and below the middle of a crop; `barred` says that a bar is between."""

    above: Gray
    below: Gray
    barred: bool


def split_pile(crop: Gray) -> Pile | None:
    """Part a crop into what stands above and below a level bar, or a gap, in its middle.

    Parameters
    ----------
    crop : (h, w) uint8 array
        Dark on light.

    Returns
    -------
    Pile or None
        `None` where there is no such bar or gap.
    """
    if min(crop.shape, default=0) < LEAST_PX:
        return None
    paper = float(np.percentile(crop, 90))
    depth = paper - crop.astype(np.float32)
    full = float(np.percentile(depth, 98))
    if full < FAINTEST:
        return None
    ink = depth > max(INK_SHARE * full, FAINTEST / 2)
    rows, columns = np.flatnonzero(ink.any(axis=1)), np.flatnonzero(ink.any(axis=0))
    y0, y1 = int(rows[0]), int(rows[-1]) + 1
    wide = int(columns[-1] - columns[0]) + 1
    filled = ink.sum(axis=1)
    middle = range(
        y0 + round(MIDDLE[0] * (y1 - y0)), max(y0 + round(MIDDLE[1] * (y1 - y0)), y0 + 1)
    )
    # paper above and below the bar, or the bar where the figures touch it
    gap = [y for y in middle if filled[y] == 0]
    bar = [y for y in middle if filled[y] >= BAR_WIDTH * wide]
    cut, most, edge = (gap, BETWEEN, 0) if gap else (bar, BAR_HEIGHT, 1)
    if not cut or cut[-1] - cut[0] + 1 > max(most * (y1 - y0), 2):
        return None
    above, below = crop[y0 : cut[0] - edge], crop[cut[-1] + 1 + edge : y1]
    if min(len(above), len(below)) < LEAST_PX:
        return None
    barred = any(cut[0] <= y <= cut[-1] for y in bar)
    return Pile(_framed(above, paper), _framed(below, paper), barred)


def _framed(part: Gray, paper: float) -> Gray:
    room = max(2, round(ROOM * len(part)))
    framed = cv2.copyMakeBorder(
        part, room, room, room, room, cv2.BORDER_CONSTANT, value=(round(paper),)
    )
    return np.asarray(framed, np.uint8)
