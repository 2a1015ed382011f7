"""Crops as the text finder cuts them on a sheet: tight, what it takes for foreign ink whitened.

What touches the text stays in part: the end of a dimension line, a piece of an outline through it.
Where a piece of the text itself would be whitened the crop is given up: it says less than its label.
"""

from __future__ import annotations

import cv2
import numpy as np

from audit.reading.find_text import MARGIN, tight_spots
from audit.training.reader import clutter, crowding, scanning
from audit.training.reader.aiming import aim_at
from audit.training.reader.layout import Page

Rng = np.random.Generator
# Around the text, in its heights: what the finder looks at, a little less or more.
ROOM = (0.35, 0.65)
CLUTTERED = 0.8
# Of full ink: from here a px belongs to the text. Of a piece of the text: so much must be kept.
OWN, KEPT = 60, 0.75
SMALLEST_PIECE = 2  # px
# How far the network's idea of where text is reaches beyond the ink, in capital heights; what
# level of a soft picture of the text that is, and how it frays.
REACH, LEVEL, FRAY = (0.12, 0.3), (0.15, 0.35), 0.05
# How often marks joined to a text are taken for it, and how far they reach out, in its heights.
MISTAKEN, NEAR = 0.3, (0.1, 0.6)
FLAT = 0.55  # of the reach aside: up and down


def draw_in_place(rng: Rng, page: Page, *, look: str, cap_px: float) -> np.ndarray | None:
    """Clutter a page, scan it and cut the text out as the finder does; `None` where that fails."""
    own = page.ink.copy()
    window = window_on_sheet(rng, page)
    if rng.random() < CLUTTERED:
        crowding.add_clutter(rng, page, window, crowding.ON_SHEETS)
    aim = aim_at(rng, page, window, cap_px=cap_px)
    picture = scanning.scan(rng, aim.take(page.ink), look=look, cap_px=cap_px)
    text = aim.take(own)
    taken = text if rng.random() > MISTAKEN else with_marks(rng, text, aim.take(page.ink))
    spots = tight_spots(picture, blot(rng, taken, cap_px=cap_px), np.eye(2, 3), angle=0.0)
    kept = [s.crop for s in spots if holds(picture, text, s.box, s.crop)]
    return kept[0] if kept else None


def window_on_sheet(rng: Rng, page: Page) -> clutter.Window:
    """Window that the finder looks at around a text."""
    x0, y0, x1, y1 = page.box
    left, top, right, bottom = rng.uniform(*ROOM, 4) * (y1 - y0)
    return x0 - left, y0 - top, x1 + right, y1 + bottom


def with_marks(rng: Rng, text: np.ndarray, ink: np.ndarray) -> np.ndarray:
    """Ink of a text with that of the marks joined to it, which a network may take for text too.

    A line that stands by itself beside a text is not taken for it: a 1 would be learnt to be one.
    """
    own = text > OWN
    reach = 2 * round(rng.uniform(*NEAR) * int(np.count_nonzero(own.any(axis=1)))) + 1
    around = cv2.dilate(own.astype(np.uint8), np.ones((1, reach), np.uint8)) > 0
    count, labels = cv2.connectedComponents((ink > OWN).astype(np.uint8), connectivity=8)
    joined = np.bincount(labels[own], minlength=count) > 0
    joined[0] = False
    return np.where(around & joined[labels], ink, text).astype(np.uint8)


def blot(rng: Rng, text: np.ndarray, *, cap_px: float) -> np.ndarray:
    """Where a network would say that text is: its ink run together, frayed at the edge."""
    ink = (text > OWN).astype(np.float32)
    reach = rng.uniform(*REACH) * cap_px
    soft = cv2.GaussianBlur(ink, (0, 0), max(reach, 1.0), sigmaY=max(FLAT * reach, 0.7))
    rough = rng.standard_normal(ink.shape, dtype=np.float32) * np.float32(FRAY * reach)
    fray = cv2.GaussianBlur(rough, (0, 0), max(0.5 * reach, 1.0))
    full = float(np.percentile(soft[ink > 0], 50)) if ink.any() else 1.0
    return soft + fray > rng.uniform(*LEVEL) * full


def holds(
    picture: np.ndarray, text: np.ndarray, box: tuple[float, float, float, float], crop: np.ndarray
) -> bool:
    """Whether a cut crop has every piece of a text's ink, none of them whitened."""
    room = max(2.0, MARGIN * (box[3] - box[1]))
    x0, y0 = max(0, int(box[0] - room)), max(0, int(box[1] - room))
    seen = np.zeros(picture.shape, bool)
    window = np.s_[y0 : y0 + crop.shape[0], x0 : x0 + crop.shape[1]]
    seen[window] = picture[window] == crop
    count, labels = cv2.connectedComponents((text > OWN).astype(np.uint8), connectivity=8)
    sizes = np.bincount(labels.ravel(), minlength=count)[1:]
    left = np.bincount(labels[seen], minlength=count)[1:]
    large = sizes >= SMALLEST_PIECE
    return bool(large.any()) and bool((left >= KEPT * sizes)[large].all())
