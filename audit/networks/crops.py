"""From a gray crop of the sheet to what the reader network sees: tight, dark on light, 48 px."""

from __future__ import annotations

import cv2
import numpy as np
import numpy.typing as npt

Gray = npt.NDArray[np.uint8]
Mask = npt.NDArray[np.bool_]
Boxes = npt.NDArray[np.int32]

# Height of the network's input.
HEIGHT_PX = 48
# The network halves widths twice.
WIDTH_STEP_PX = 4
# Widths beyond this are squeezed: about sixty characters at full height.
MAX_WIDTH_PX = 1408
MIN_WIDTH_PX = 16
# Short crops are widened up to this width, by at most that factor: a stacked fraction alone would
# otherwise have hardly more columns than characters.
EASY_WIDTH_PX = 160
MOST_WIDENING = 1.5
# Paper is the brightest level within about a third of the crop's height.
PAPER_REACH = 0.35
PAPER_LEVEL = 250.0
# Ink fainter than this share of the paper's level is not stretched to full black: an empty crop
# must stay empty instead of becoming noise.
FAINTEST_INK = 200.0
# Share of dark pixels above which the crop is light text on dark.
DARK_MAJORITY = 0.6
# In crop heights: smaller blobs are specks. Beside text at least so high as `BODY`, low blobs at
# the edge belong to a neighbouring line; the figures of a stacked fraction are never so low.
SPECK, SLIVER, BODY = 0.035, 0.15, 0.5
# In crop heights: how thin a line is, how far an upright one reaches.
LINE_THIN, UPRIGHT = 0.14, 0.85
# In crop widths: how far a level line or a frame reaches.
LEVEL_REACH, FRAME_REACH = 0.8, 0.75
# In heights of the text: white kept around it.
MARGIN = 0.08
SMALLEST_PX = 8


def fit_height(gray: Gray) -> Gray:
    """Scale a crop to the network's height; short ones are widened a little.

    Parameters
    ----------
    gray : uint8 array, shape (h, w)

    Returns
    -------
    uint8 array, shape (48, n), n a multiple of 4
    """
    height, width = gray.shape
    natural = width * HEIGHT_PX / height
    natural *= min(max(EASY_WIDTH_PX / natural, 1.0), MOST_WIDENING)
    clipped = min(max(natural, MIN_WIDTH_PX), MAX_WIDTH_PX)
    size = (max(1, round(clipped / WIDTH_STEP_PX)) * WIDTH_STEP_PX, HEIGHT_PX)
    how = cv2.INTER_AREA if height > HEIGHT_PX else cv2.INTER_CUBIC
    return np.asarray(cv2.resize(gray, size, interpolation=how), np.uint8)


def settle_polarity(gray: Gray) -> Gray:
    """Return the crop as dark on light, inverted when most of it is dark."""
    low, high = float(gray.min()), float(gray.max())
    dark = np.count_nonzero(gray < (low + high) / 2) / gray.size
    return np.asarray(255 - gray, np.uint8) if dark > DARK_MAJORITY else gray


def flatten_paper(gray: Gray) -> npt.NDArray[np.float32]:
    """Divide by the paper's local level, so that paper is `PAPER_LEVEL` everywhere."""
    side = max(3, round(PAPER_REACH * gray.shape[0]) | 1)
    reach = cv2.getStructuringElement(cv2.MORPH_RECT, (side, side))
    paper = cv2.blur(cv2.dilate(cv2.blur(gray, (3, 3)), reach), (side, side))
    ratio = gray.astype(np.float32) * PAPER_LEVEL / np.maximum(paper, 1)
    return np.asarray(ratio, np.float32)


def level_contrast(gray: Gray) -> Gray:
    """Flatten the paper and stretch, so that ink is 0 and paper 255."""
    ratio = flatten_paper(gray)
    counts = np.bincount(np.clip(ratio, 0, 255).astype(np.uint8).ravel(), minlength=256)
    darkest = float(np.searchsorted(np.cumsum(counts), 0.015 * gray.size))
    low = min(darkest, FAINTEST_INK)
    stretched = np.clip((ratio - low) * (255.0 / (PAPER_LEVEL - low)), 0, 255)
    return np.asarray(stretched, np.uint8)


def find_ink(gray: Gray) -> Mask | None:
    """Ink of a dark-on-light crop; `None` where nothing stands out from the paper."""
    flat = np.clip(flatten_paper(np.asarray(cv2.blur(gray, (2, 2)), np.uint8)), 0, 255)
    level, _ = cv2.threshold(flat.astype(np.uint8), 0, 255, cv2.THRESH_OTSU)
    ink = np.asarray(flat < min(level, FAINTEST_INK + 15), np.bool_)
    if not ink.any() or float(flat[ink].mean()) > FAINTEST_INK:
        return None
    return ink


def box_text(ink: Mask) -> tuple[int, int, int, int] | None:
    """Box (x0, y0, x1, y1) of the text in a crop's ink, lines and slivers at its edges left out."""
    count, _, stats, _ = cv2.connectedComponentsWithStats(ink.astype(np.uint8), connectivity=8)
    height, width = ink.shape
    boxes = stats[1:count, :4].astype(np.int32)
    boxes[:, 2:] += boxes[:, :2]
    sizes = boxes[:, 2:] - boxes[:, :2]
    boxes = boxes[(sizes > SPECK * height).any(1)]
    kept = boxes[~_is_line(boxes, height, width)]
    if not len(kept):
        return None
    kept = kept[~_is_sliver(kept, height)]
    x0, y0 = (int(v) for v in kept[:, :2].min(0))
    x1, y1 = (int(v) for v in kept[:, 2:].max(0))
    return x0, y0, x1, y1


def _is_sliver(boxes: Boxes, height: int) -> Mask:
    """Which blobs are the feet or heads of a line above or below."""
    tall = boxes[:, 3] - boxes[:, 1]
    body = boxes[tall >= BODY * height]
    if not len(body):
        return np.zeros(len(boxes), np.bool_)
    apart = (boxes[:, 3] <= body[:, 1].min()) | (boxes[:, 1] >= body[:, 3].max())
    at_edge = (boxes[:, 1] <= 0) | (boxes[:, 3] >= height)
    return np.asarray(apart & at_edge & (tall < SLIVER * height), np.bool_)


def _is_line(boxes: Boxes, height: int, width: int) -> Mask:
    """Which blobs are lines along the crop's edges, or frames around the rest."""
    wide, tall = (boxes[:, 2] - boxes[:, 0]), (boxes[:, 3] - boxes[:, 1])
    level = (wide > LEVEL_REACH * width) & (tall < 2 * LINE_THIN * height) & (wide > 4 * tall)
    ends = (boxes[:, 1] <= 0) | (boxes[:, 3] >= height)
    upright = (tall > UPRIGHT * height) & (wide < LINE_THIN * height) & ends
    others = boxes[~upright & ~level]
    inside = others[(others[:, 1] > 0) & (others[:, 3] < height)]
    # In a tight crop a 1 reaches from edge to edge as well, but so do its neighbours.
    if not len(inside) or (inside[:, 3].max() - inside[:, 1].min()) > UPRIGHT * height:
        upright[:] = False
    frame = (wide > FRAME_REACH * width) & (tall > FRAME_REACH * height)
    frame &= np.array([_encloses(box, boxes) for box in boxes], np.bool_)
    return np.asarray(level | upright | frame, np.bool_)


def _encloses(box: npt.NDArray[np.int32], others: Boxes) -> bool:
    """Whether another blob lies wholly inside the box."""
    inside = (others[:, :2] > box[:2]).all(1) & (others[:, 2:] < box[2:]).all(1)
    return bool(inside.any())


def tighten(gray: Gray) -> Gray:
    """Cut a dark-on-light crop down to its text, a little white around it.

    Lines that run along the edges, frames and slivers of neighbouring lines do not count as text;
    nothing inside is wiped out. Returned unchanged where no text can be told.
    """
    height, width = gray.shape
    if min(height, width) < SMALLEST_PX:
        return gray
    ink = find_ink(gray)
    box = box_text(ink) if ink is not None else None
    if box is None or box[3] - box[1] < SMALLEST_PX // 2:
        return gray
    pad = 1 + round(MARGIN * (box[3] - box[1]))
    x0, y0 = max(box[0] - 2 * pad, 0), max(box[1] - pad, 0)
    return gray[y0 : min(box[3] + pad, height), x0 : min(box[2] + 2 * pad, width)]


def prepare(gray: Gray) -> Gray:
    """All of it: polarity, tight cut, height, contrast.

    Examples
    --------
    >>> prepare(np.full((30, 100), 200, np.uint8)).shape
    (48, 160)
    >>> bool(prepare(np.full((30, 100), 200, np.uint8)).min() == 255)
    True
    """
    return level_contrast(fit_height(tighten(settle_polarity(gray))))
