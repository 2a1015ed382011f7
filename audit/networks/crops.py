"""From a gray crop of the sheet to what the reader network sees: tight, dark on light, 48 px."""

from __future__ import annotations

import math

import cv2
import numpy as np
import numpy.typing as npt

from audit.geometry.levels import level_at

Gray = npt.NDArray[np.uint8]
Mask = npt.NDArray[np.bool_]
Boxes = npt.NDArray[np.int32]
Labels = npt.NDArray[np.int32]
Box = tuple[int, int, int, int]

# Height of the network's input.
HEIGHT_PX = 48
# Larger crops are first made so large: each px is compared with others up to a third of the height
# away, and what a file calls a text may be as large as its page.
LARGEST_PX = (10 * HEIGHT_PX, 8448)
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
# Share of dark pixels above which the crop is light text on dark; from the lower one on it may be,
# and both ways are tried: a shadow makes half of a sheet dark as well.
DARK_MAJORITY, DARK_MANY = 0.6, 0.42
# Share of dark pixels along the edge of a dark ground; how much more ink than paper speaks for
# light text there, how much less elsewhere.
DARK_EDGE, DARK_EDGE_LIKELY, DARK_SOME_LIKELY = 0.75, 1.5, 0.7
# In crop heights: smaller blobs are specks. Beside text at least so high as `BODY`, low blobs at
# the edge belong to a neighbouring line; the figures of a stacked fraction are never so low.
SPECK, SLIVER, BODY = 0.035, 0.15, 0.5
# In crop heights: how thin a line is, how far an upright one reaches.
LINE_THIN, UPRIGHT = 0.14, 0.85
# In crop widths: how far a level line or a frame reaches.
LEVEL_REACH, FRAME_REACH = 0.8, 0.75
# Straight runs that make up a line which lies a little askew: in crop widths, in crop heights.
LEVEL_RUN, UPRIGHT_RUN = 0.25, 0.5
# In crop heights: what hangs on a line and is lower is no figure, unless it is nearly as high as
# the highest figure. In sides of its own box: the middle of a frame or a balloon is free of its
# ink.
REMNANT, NO_REMNANT, HOLLOW = 0.3, 0.55, 0.3
# In heights of the text: where a point or prime may stand, over heads and under feet and beside;
# how large it may be. More blobs than that there are dust.
POINT_OVER, POINT_REACH, POINT_SIZE, MOST_POINTS = 0.1, 0.9, 0.2, 3
# Paler ink: the share of the way from ink's level to paper's; the room beside the text where it is
# looked for, its heights and how far it may stand off, in heights of the text.
PALER, FAINT_ROOM, FAINT_TALL, FAINT_REACH = 0.5, 0.35, (0.35, 1.3), 0.9
# In crop heights: pieces that stand so close to more ink over or under them are no slivers.
BROKEN_GAP = 0.1
# In heights of the text: white kept around it.
MARGIN = 0.08
SMALLEST_PX = 8
# A crop this many times as high as its ink is first cut down to it, so much of the ink's height
# kept around; blobs under this share of the highest one are dust.
ROOMY, KEPT_AROUND, DUST = 2.5, 0.5, 0.12


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
    """Return the crop as dark on light, inverted when its ink is the lighter."""
    low, high = float(gray.min()), float(gray.max())
    dark = np.count_nonzero(gray < math.ceil((low + high) / 2)) / gray.size
    if dark < DARK_MANY:
        return gray
    inverted = np.asarray(255 - gray, np.uint8)
    # What is written covers less than what it is written on, light or shadow taken out; bold text
    # in a tight crop may not, but then the ground runs along the edge.
    edge = np.concatenate([gray[0], gray[-1], gray[:, 0], gray[:, -1]]) < (low + high) / 2
    likely = DARK_EDGE_LIKELY if edge.mean() > DARK_EDGE else 1.0
    likely = likely if dark > DARK_MAJORITY or likely > 1.0 else DARK_SOME_LIKELY
    return inverted if _ink_share(inverted) < likely * _ink_share(gray) else gray


def _ink_share(gray: Gray) -> float:
    """Share of a crop that stands out dark from the paper around it."""
    flat = np.clip(flatten_paper(gray), 0, 255).astype(np.uint8)
    level, _ = cv2.threshold(flat, 0, 255, cv2.THRESH_OTSU)
    return float(np.count_nonzero(flat <= level)) / gray.size


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


def find_ink(gray: Gray, *, faint: float = 0.0) -> Mask | None:
    """Ink of a dark-on-light crop; `None` where nothing stands out from the paper.

    `faint` raises the level that parts ink from paper, as a share of the way to the paper.
    """
    flat = np.clip(flatten_paper(np.asarray(cv2.blur(gray, (2, 2)), np.uint8)), 0, 255)
    level, _ = cv2.threshold(flat.astype(np.uint8), 0, 255, cv2.THRESH_OTSU)
    level = min(level, FAINTEST_INK + 15)
    ink = np.asarray(flat < level + faint * (PAPER_LEVEL - level), np.bool_)
    if not ink.any() or float(flat[ink].mean()) > FAINTEST_INK:
        return None
    return ink


def settle_ink(gray: Gray, *, least: int) -> tuple[Gray, Mask] | None:
    """A crop as dark on light with its ink; `None` below `least` px a side, or without any."""
    if min(gray.shape, default=0) < least:
        return None
    settled = settle_polarity(gray)
    ink = find_ink(settled)
    return None if ink is None else (settled, ink)


def cover_with_paper(settled: Gray, where: Mask) -> Gray:
    """A dark-on-light crop whose px `where` are as light as its paper."""
    paper = np.uint8(level_at(settled, 90))
    return np.where(where, paper, settled).astype(np.uint8)


def box_text(ink: Mask) -> Box | None:
    """Box (x0, y0, x1, y1) of the text in a crop's ink, lines and slivers at its edges left out."""
    level = find_level_rules(ink)
    rules = find_rules(ink, level)
    _, numbers, table, _ = cv2.connectedComponentsWithStats(
        (ink & ~rules).astype(np.uint8), connectivity=8
    )
    labels, stats = np.asarray(numbers, np.int32), np.asarray(table, np.int32)
    height, width = ink.shape
    boxes = stats[:, :4].copy()
    boxes[:, 2:] += boxes[:, :2]
    seen = np.flatnonzero((stats[:, 2:4] > SPECK * height).any(1))
    seen = seen[(seen > 0) & ~np.isin(seen, _remnants(labels, stats, level))]
    wide, tall = stats[seen, 2] > FRAME_REACH * width, stats[seen, 3] > FRAME_REACH * height
    frames = [k for k in seen[wide & tall].tolist() if _is_frame(labels, k, boxes[k], boxes[seen])]
    kept = boxes[[k for k in seen.tolist() if k not in frames]]
    if not len(kept):
        return None
    kept = kept[~_is_sliver(kept, height)]
    x0, y0, x1, y1 = _hull(kept)
    return _with_points((x0, y0, x1, y1), boxes[1:])


def _hull(boxes: Boxes) -> Box:
    x0, y0 = (int(v) for v in boxes[:, :2].min(0))
    x1, y1 = (int(v) for v in boxes[:, 2:].max(0))
    return x0, y0, x1, y1


def _with_points(box: Box, blobs: Boxes) -> Box:
    """Add to a text's box the points and primes beside it, small as they may be."""
    x0, y0, x1, y1 = box
    high = y1 - y0
    level = (blobs[:, 1] > y0 - POINT_OVER * high) & (blobs[:, 3] <= y1 + POINT_OVER * high)
    small = (blobs[:, 2:] - blobs[:, :2] < POINT_SIZE * high).all(1)
    near = (blobs[:, 2] > x0 - POINT_REACH * high) & (blobs[:, 0] < x1 + POINT_REACH * high)
    beside = (blobs[:, 2] <= x0) | (blobs[:, 0] >= x1)
    points = blobs[level & small & near & beside]
    if not 0 < len(points) <= MOST_POINTS:
        return box
    return min(x0, int(points[:, 0].min())), y0, max(x1, int(points[:, 2].max())), y1


def _with_faint(box: Box, gray: Gray) -> Box:
    """Add to a text's box what stands beside it in paler ink and is as high."""
    x0, y0, x1, y1 = box
    high, width = y1 - y0, gray.shape[1]
    ink = find_ink(gray, faint=PALER) if max(x0, width - x1) > FAINT_ROOM * high else None
    if ink is None:
        return box
    _, _, table, _ = cv2.connectedComponentsWithStats(ink.astype(np.uint8), connectivity=8)
    blobs = np.asarray(table[1:, :4], np.int32)
    blobs[:, 2:] += blobs[:, :2]
    tall = blobs[:, 3] - blobs[:, 1]
    middle = (blobs[:, 1] + blobs[:, 3]) / 2
    alike = (tall > FAINT_TALL[0] * high) & (tall < FAINT_TALL[1] * high)
    alike &= (blobs[:, 2] - blobs[:, 0] < FAINT_TALL[1] * high) & (middle > y0) & (middle < y1)
    for left, _, right, _ in sorted(
        blobs[alike].tolist(), key=lambda b: abs(b[0] + b[2] - x0 - x1)
    ):
        if right > x0 - FAINT_REACH * high and left < x1 + FAINT_REACH * high:
            x0, x1 = min(x0, left), max(x1, right)
    return x0, y0, x1, y1


def find_rules(ink: Mask, level: Mask) -> Mask:
    """Ink of straight lines that run along or across the whole crop, with the `level` ones.

    Found by their pixels, not by connected blobs: a figure that touches its dimension line stays.
    """
    height = len(ink)
    upright = _straight(ink.T, max(round(UPRIGHT_RUN * height), 3)).T
    upright = _kept(upright, wide=0.0, tall=UPRIGHT * height, thin=LINE_THIN * height)
    # In a tight crop a 1 reaches from edge to edge as well, but so do its neighbours.
    rows = np.flatnonzero((ink & ~level & ~upright)[1:-1].any(1))
    if not len(rows) or rows[-1] - rows[0] + 1 > UPRIGHT * height:
        upright[:] = False
    return np.asarray(level | upright, np.bool_)


def find_level_rules(ink: Mask) -> Mask:
    """Ink of level lines that run along the whole crop."""
    height, width = ink.shape
    level = _straight(ink, max(round(LEVEL_RUN * width), height))
    return _kept(level, wide=LEVEL_REACH * width, tall=0.0, thin=2 * LINE_THIN * height)


def _straight(ink: Mask, length: int) -> Mask:
    """Runs of ink along the rows, at least so long, with the pixels beside them."""
    if length > ink.shape[1]:
        return np.zeros_like(ink)
    runs = cv2.morphologyEx(ink.astype(np.uint8), cv2.MORPH_OPEN, np.ones((1, length), np.uint8))
    return np.asarray((cv2.dilate(runs, np.ones((3, 3), np.uint8)) > 0) & ink, np.bool_)


def _kept(lines: Mask, *, wide: float, tall: float, thin: float) -> Mask:
    """Those of the lines that are long enough, thin enough, and no lump."""
    if not lines.any():
        return lines
    _, labels, stats, _ = cv2.connectedComponentsWithStats(lines.astype(np.uint8), connectivity=8)
    w, h = stats[:, 2], stats[:, 3]
    keep = (
        (w > wide)
        & (h > tall)
        & (np.minimum(w, h) < thin)
        & (np.maximum(w, h) > 4 * np.minimum(w, h))
    )
    keep[0] = False
    return np.asarray(keep[labels], np.bool_)


def _remnants(labels: Labels, stats: Labels, rules: Mask) -> Labels:
    """Numbers of low blobs that hang on a level line: arrowheads, ticks.

    What an upright line parts are halves of figures: they count.
    """
    if not rules.any():
        return np.zeros(0, np.int32)
    beside = cv2.dilate(rules.astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
    touching = np.unique(labels[beside])
    highest = int(stats[1:, 3].max(initial=0))
    low = min(REMNANT * rules.shape[0], NO_REMNANT * highest)
    return np.asarray(touching[stats[touching, 3] < low], np.int32)


def _is_sliver(boxes: Boxes, height: int) -> Mask:
    """Which blobs are the feet or heads of a line above or below."""
    tall = boxes[:, 3] - boxes[:, 1]
    body = boxes[tall >= BODY * height]
    if not len(body):
        return np.zeros(len(boxes), np.bool_)
    above, below = boxes[:, 3] <= body[:, 1].min(), boxes[:, 1] >= body[:, 3].max()
    at_edge = (boxes[:, 1] <= 0) | (boxes[:, 3] >= height)
    slivers = (above | below) & at_edge & (tall < SLIVER * height)
    for side in (above, below):
        # Figures of a stack, broken by a bad scan, go on from the edge; a neighbour's feet don't.
        rest = boxes[side & ~at_edge]
        for k in np.flatnonzero(slivers & side) if len(rest) else ():
            x0, y0, x1, y1 = boxes[k]
            over = (rest[:, 0] < x1) & (rest[:, 2] > x0)
            gap = np.maximum(rest[:, 1] - y1, y0 - rest[:, 3])
            slivers[k] = not np.any(over & (gap < BROKEN_GAP * height))
    return np.asarray(slivers, np.bool_)


def _is_frame(labels: Labels, k: int, box: npt.NDArray[np.int32], others: Boxes) -> bool:
    """Whether a blob that reaches far is drawn around others: holds one inside, is hollow."""
    x0, y0, x1, y1 = (int(v) for v in box)
    if not ((others[:, :2] > box[:2]).all(1) & (others[:, 2:] < box[2:]).all(1)).any():
        return False
    dx, dy = round(HOLLOW * (x1 - x0)), round(HOLLOW * (y1 - y0))
    return not bool((labels[y0 + dy : y1 - dy, x0 + dx : x1 - dx] == k).any())


def cut_room(gray: Gray, ink: Mask) -> Gray:
    """Cut a crop with far too much paper around its ink down to the ink's surroundings."""
    height, width = ink.shape
    if height < ROOMY * np.count_nonzero(ink.any(1)):
        return gray
    _, _, table, _ = cv2.connectedComponentsWithStats(ink.astype(np.uint8), connectivity=8)
    blobs = np.asarray(table[1:], np.int32)
    kept = blobs[blobs[:, 2:4].max(1) > DUST * blobs[:, 3].max()]
    x0, y0 = (int(v) for v in kept[:, :2].min(0))
    x1, y1 = (int(v) for v in (kept[:, :2] + kept[:, 2:4]).max(0))
    pad = 1 + round(KEPT_AROUND * (y1 - y0))
    rows = slice(max(y0 - pad, 0), min(y1 + pad, height))
    return gray[rows, max(x0 - pad, 0) : min(x1 + pad, width)]


def tighten(gray: Gray) -> Gray:
    """Cut a dark-on-light crop down to its text, a little white around it.

    Lines that run along the edges, frames and slivers of neighbouring lines do not count as text;
    nothing inside is wiped out. Returned unchanged where no text can be told.
    """
    if min(gray.shape) < SMALLEST_PX:
        return gray
    ink = find_ink(gray)
    near = gray if ink is None else cut_room(gray, ink)
    if near is not gray:
        gray, ink = near, find_ink(near)
    height, width = gray.shape
    box = box_text(ink) if ink is not None else None
    if box is None or box[3] - box[1] < SMALLEST_PX // 2:
        return gray
    box = _with_faint(box, gray)
    pad = 1 + round(MARGIN * (box[3] - box[1]))
    x0, y0 = max(box[0] - 2 * pad, 0), max(box[1] - pad, 0)
    return gray[y0 : min(box[3] + pad, height), x0 : min(box[2] + 2 * pad, width)]


def shrink_huge(gray: Gray) -> Gray:
    """Make a crop smaller that is many times as large as what the network sees.

    Examples
    --------
    >>> shrink_huge(np.zeros((4800, 9600), np.uint8)).shape
    (480, 960)
    >>> shrink_huge(np.zeros((480, 900), np.uint8)).shape
    (480, 900)
    """
    factor = min(
        1.0, *(most / max(side, 1) for most, side in zip(LARGEST_PX, gray.shape, strict=True))
    )
    if factor == 1.0:
        return gray
    height, width = (max(1, round(side * factor)) for side in gray.shape)
    return np.asarray(cv2.resize(gray, (width, height), interpolation=cv2.INTER_AREA), np.uint8)


def prepare(gray: Gray) -> Gray:
    """All of it: polarity, tight cut, height, contrast.

    Examples
    --------
    >>> prepare(np.full((30, 100), 200, np.uint8)).shape
    (48, 160)
    >>> bool(prepare(np.full((30, 100), 200, np.uint8)).min() == 255)
    True
    """
    return level_contrast(fit_height(tighten(settle_polarity(shrink_huge(gray)))))
