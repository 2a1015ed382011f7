"""From a gray crop of the sheet to what the reader network sees: level, dark on light, 48 px."""

from __future__ import annotations

import cv2
import numpy as np
import numpy.typing as npt

Gray = npt.NDArray[np.uint8]

# Height of the network's input.
HEIGHT_PX = 48
# The network halves widths twice.
WIDTH_STEP_PX = 4
# Widths beyond this are squeezed: about sixty characters at full height.
MAX_WIDTH_PX = 1408
MIN_WIDTH_PX = 16
# Paper is the brightest level within about a third of the crop's height.
PAPER_REACH_PX = 17
# Ink fainter than this share of the paper's level is not stretched to full black: an empty crop
# must stay empty instead of becoming noise.
FAINTEST_INK = 200.0
# Share of dark pixels above which the crop is light text on dark.
DARK_MAJORITY = 0.6


def fit_height(gray: Gray) -> Gray:
    """Scale a crop to the network's height, keeping its proportions.

    Parameters
    ----------
    gray : uint8 array, shape (h, w)

    Returns
    -------
    uint8 array, shape (48, n), n a multiple of 4
    """
    height, width = gray.shape
    natural = width * HEIGHT_PX / height
    clipped = min(max(natural, MIN_WIDTH_PX), MAX_WIDTH_PX)
    steps = max(1, round(clipped / WIDTH_STEP_PX))
    size = (steps * WIDTH_STEP_PX, HEIGHT_PX)
    how = cv2.INTER_AREA if height > HEIGHT_PX else cv2.INTER_CUBIC
    return np.asarray(cv2.resize(gray, size, interpolation=how), np.uint8)


def settle_polarity(gray: Gray) -> Gray:
    """Return the crop as dark on light, inverted when most of it is dark."""
    low, high = float(gray.min()), float(gray.max())
    dark = np.count_nonzero(gray < (low + high) / 2) / gray.size
    return np.asarray(255 - gray, np.uint8) if dark > DARK_MAJORITY else gray


def level_contrast(gray: Gray) -> Gray:
    """Divide by the paper's local level and stretch, so that ink is 0 and paper 255."""
    reach = cv2.getStructuringElement(cv2.MORPH_RECT, (PAPER_REACH_PX, PAPER_REACH_PX))
    soft = cv2.blur(gray, (3, 3))
    paper = cv2.blur(cv2.dilate(soft, reach), (PAPER_REACH_PX, PAPER_REACH_PX))
    ratio = gray.astype(np.float32) * 250.0 / np.maximum(paper, 1)
    counts = np.bincount(np.clip(ratio, 0, 255).astype(np.uint8).ravel(), minlength=256)
    darkest = float(np.searchsorted(np.cumsum(counts), 0.015 * gray.size))
    low = min(darkest, FAINTEST_INK)
    return np.clip((ratio - low) * (255.0 / (250.0 - low)), 0, 255).astype(np.uint8)


def prepare(gray: Gray) -> Gray:
    """All of it: height, polarity, contrast.

    Examples
    --------
    >>> prepare(np.full((30, 100), 200, np.uint8)).shape
    (48, 160)
    >>> bool(prepare(np.full((30, 100), 200, np.uint8)).min() == 255)
    True
    """
    return level_contrast(settle_polarity(fit_height(gray)))
