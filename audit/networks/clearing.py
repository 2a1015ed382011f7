"""What a drawing leaves at the edges of a crop, taken out: line ends, arrowheads, arcs, neighbours.

Letters stand free of a crop's edge where it was cut with room around them. So ink that comes in
over the edge is no letter of the text, nor is what hangs on a line that comes in; both are turned
to paper. Nothing is taken from a crop that was cut through its letters.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from audit.networks.crops import Box, Boxes, Gray, Labels, Mask, cover_with_paper, settle_ink

SMALLEST_PX = 12
# In heights of the text: straight ink so long is a line, so thin at most; what hangs on a line and
# is lower than that is an arrowhead, a tick or a dot.
LINE_LONG, LINE_THIN, REMNANT = 1.5, 0.22, 0.62
# In heights of the text: the short sides of a frame; ink along a slanted line, gaps left out.
SIDE_LONG, VOTES = 1.15, 1.2
# Share of the rows with ink that is taken for the text's height where lines join all of it.
JOINED = 0.6
# Slanted lines that are taken out at most, and px by which their ends may miss the edge.
MOST_SLANTED, SLACK_PX = 32, 3
# A run of ink so many px thicker than the line is a stroke across it; the fray goes with the line.
THICKER_PX, FRAY_PX = 1.6, 1
# Of free blobs, by their width, so many are no higher than the text; flatter ones are bars. In
# heights of the text: what is higher belongs to its body.
TELLING_SHARE, FLAT, TELLING = 0.6, 0.33, 0.5
# In heights of the text: blobs at the edge whose larger part is beside the text's rows, or that
# stand farther off than that, are no text.
BESIDE, FAR = 0.5, 1.3
# In heights of the text: lines and arcs at the edge reach so far over or under it, parentheses do
# not; lines so close to it may be strokes of it.
BEYOND, CLOSE = 0.3, 0.1
# In heights of the text: what is so high in other rows is a line of text of its own.
WHOLE = 0.8
# In heights of the text: what was taken out so near to it, within its rows and no speck, may have
# been a mark.
NEAR, SPECK = 1.5, 0.06
# Share of rows, or columns, in which a line or an arc is one run of ink; share of the square of
# its length that it covers at most; in heights of the text, its least length.
SINGLE, LINE_AREA, LONGER = 0.85, 0.3, 1.25
# Ink within so many px of the edge comes in over it.
EDGE_PX = 1


@dataclass(frozen=True, slots=True, eq=False)
class Cleared:
    """A crop, dark on light, without what comes in over its edges.

    `safe` says that what was taken out is surely none of the text; `crossed` that a line ran
    through the text or its marks, so that characters may have gone with it.
    """

    picture: Gray
    safe: bool
    crossed: bool


def clear_edges(gray: Gray) -> Cleared | None:
    """Return a crop, dark on light, without what comes in over its edges.

    Parameters
    ----------
    gray : (h, w) uint8 array

    Returns
    -------
    Cleared or None
        `None` where nothing comes in, or nothing else is there.
    """
    found = settle_ink(gray, least=SMALLEST_PX)
    if found is None:
        return None
    settled, ink = found
    height = text_height(ink)
    if height is None:
        height = text_height(ink & ~np.any(_lines(ink, JOINED * ink.any(1).sum()), axis=0))
    if height is None:
        return None
    level, others = _lines(ink, height)
    lines = level | others
    gone, body, (crossed, cut) = _foreign(ink & ~lines, level, others, height)
    if body is None or not (gone | lines).any():
        return None
    grown = cv2.dilate((gone | lines).astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
    kept = ink & ~(gone | lines)
    near = cv2.dilate(kept.astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
    cleared = cover_with_paper(settled, grown & ~near | gone | lines)
    room = round(CLOSE * height)
    x0, y0, x1, y1 = body
    around = lines[max(y0 - room, 0) : y1 + room, max(x0 - room, 0) : x1 + room]
    joined = cv2.dilate(lines.astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
    crossed = crossed or bool(around.any()) or bool((joined & kept).any())
    return Cleared(cleared, safe=not crossed and not cut, crossed=crossed)


def text_height(ink: Mask) -> float | None:
    """Height of the text, px, by the blobs that stand free of the crop's edge; `None` without.

    Wide blobs count more: they are letters that touch, where narrow ones may be points, pieces of
    letters or the small figures of fractions. What is drawn around others is a frame.
    """
    boxes, free = _blobs(ink)[1:]
    wide, tall = boxes[:, 2] - boxes[:, 0], boxes[:, 3] - boxes[:, 1]
    told = free & (tall > SMALLEST_PX // 3) & (tall > FLAT * wide)
    for k in np.flatnonzero(told):
        inside = (boxes[:, :2] > boxes[k, :2]).all(1) & (boxes[:, 2:] < boxes[k, 2:]).all(1)
        told[k] = not inside.any()
    if not told.any():
        return None
    order = np.argsort(tall[told])
    share = np.cumsum(wide[told][order]) / wide[told].sum()
    return float(tall[told][order][int(np.searchsorted(share, TELLING_SHARE))])


def _blobs(ink: Mask) -> tuple[Labels, Boxes, Mask]:
    """Labels of the blobs, their boxes, and which of them stand free of the edge."""
    _, labels, stats, _ = cv2.connectedComponentsWithStats(ink.astype(np.uint8), connectivity=8)
    boxes = np.asarray(stats[1:, :4], np.int32)
    boxes[:, 2:] += boxes[:, :2]
    height, width = ink.shape
    free = (
        (boxes[:, :2] > EDGE_PX).all(1)
        & (boxes[:, 2] < width - EDGE_PX)
        & (boxes[:, 3] < height - EDGE_PX)
    )
    return np.asarray(labels, np.int32), boxes, np.asarray(free, np.bool_)


def _lines(ink: Mask, height: float) -> tuple[Mask, Mask]:
    """Ink of straight lines that come in over an edge and of frames: level ones, others.

    Strokes across them are left.
    """
    flat = np.asarray(_level(ink, height), np.bool_)
    steep = np.asarray(_level(np.ascontiguousarray(ink.T), height).T, np.bool_)
    level, upright = _joined_or_cut(flat, steep, height)
    return level, upright | _slanted(ink & ~level & ~upright, height)


def _level(ink: Mask, height: float) -> Mask:
    """Ink of level lines, free or not."""
    gone = np.zeros_like(ink)
    length = max(8, round(SIDE_LONG * height))
    if length > ink.shape[1]:
        return gone
    closed = cv2.morphologyEx(ink.astype(np.uint8), cv2.MORPH_CLOSE, np.ones((1, 3), np.uint8))
    runs = cv2.morphologyEx(closed, cv2.MORPH_OPEN, np.ones((1, length), np.uint8))
    count, labels, stats, _ = cv2.connectedComponentsWithStats(runs, connectivity=8)
    tall = _run_heights(ink) if count > 1 else labels
    for k in range(1, count):
        window = _window(stats[k], aside=FRAY_PX)
        own, high = labels[window] == k, tall[window]
        counts = own.sum(0)
        thick = float(np.median(counts[counts > 0]))
        if thick <= max(LINE_THIN * height, 3):
            bare = own & (high <= thick + THICKER_PX)
            fray = cv2.dilate(bare.astype(np.uint8), np.ones((2 * FRAY_PX + 1, 1), np.uint8)) > 0
            gone[window] |= fray & ink[window] & (high <= thick + THICKER_PX)
    return gone


def _window(stats: npt.NDArray[np.int32], *, aside: int = 0) -> tuple[slice, slice]:
    """Rows and columns of a blob, and so many beside it: a crop may have many blobs."""
    x, y, w, h = (int(v) for v in stats[:4])
    return np.s_[max(y - aside, 0) : y + h + aside, max(x - aside, 0) : x + w + aside]


def _joined_or_cut(level: Mask, upright: Mask, height: float) -> tuple[Mask, Mask]:
    """Those lines that come in over an edge, or make a frame: no bars, no dashes, no letters."""
    both = level | upright
    near = cv2.dilate(both.astype(np.uint8), np.ones((3, 3), np.uint8))
    _, labels, stats, _ = cv2.connectedComponentsWithStats(near, connectivity=8)
    gone, gone_upright = np.zeros_like(both), np.zeros_like(both)
    # what reaches less far is neither a line nor a frame
    for k in np.flatnonzero(stats[1:, 2:4].max(axis=1) >= LINE_LONG * height) + 1:
        flat, steep = (labels == k) & level, (labels == k) & upright
        wide, tall = _reach(flat)[0], _reach(steep)[1]
        frame = min(wide, tall) >= SIDE_LONG * height and max(wide, tall) >= LINE_LONG * height
        if frame or (max(wide, tall) >= LINE_LONG * height and _comes_in(flat | steep)):
            gone |= _long_or_side(flat, steep, height)
            gone_upright |= _long_or_side(steep.T, flat.T, height).T
    return gone, gone_upright


def _long_or_side(flat: Mask, steep: Mask, height: float) -> Mask:
    """Those level lines of a group that are long, or end at upright ones both ways: no letters."""
    count, labels, stats, _ = cv2.connectedComponentsWithStats(flat.astype(np.uint8))
    gone = np.zeros_like(flat)
    for k in range(1, count):
        x, y, w, h = (int(v) for v in stats[k, :4])
        rows = steep[max(y - 2, 0) : y + h + 2]
        ends = rows[:, max(x - 2, 0) : x + 3], rows[:, max(x + w - 3, 0) : x + w + 2]
        side = all(end.any() for end in ends)
        if w >= LINE_LONG * height or side:
            gone |= labels == k
    return gone


def _reach(mask: Mask) -> tuple[int, int]:
    """Columns and rows that ink spans."""
    columns, rows = np.flatnonzero(mask.any(0)), np.flatnonzero(mask.any(1))
    if not len(rows):
        return 0, 0
    return int(np.ptp(columns)) + 1, int(np.ptp(rows)) + 1


def _comes_in(mask: Mask) -> bool:
    e = EDGE_PX + 1
    return bool(mask[:e].any() or mask[-e:].any() or mask[:, :e].any() or mask[:, -e:].any())


def _slanted(ink: Mask, height: float) -> Mask:
    """Ink of other straight lines that come in over an edge."""
    gone = np.zeros_like(ink)
    found = cv2.HoughLinesP(
        ink.astype(np.uint8) * 255, 1, np.pi / 180, max(8, round(VOTES * height)),
        minLineLength=LINE_LONG * height, maxLineGap=2,
    )  # fmt: skip
    if found is None:
        return gone
    high, wide = ink.shape
    for x0, y0, x1, y1 in found.reshape(-1, 4)[:MOST_SLANTED].tolist():
        xs, ys = (x0, x1), (y0, y1)
        inside = min(xs) > SLACK_PX and max(xs) < wide - 1 - SLACK_PX
        inside &= min(ys) > SLACK_PX and max(ys) < high - 1 - SLACK_PX
        if not inside:
            gone |= _along(ink, np.array((x0, y0), float), np.array((x1, y1), float), height)
    return gone


def _along(
    ink: Mask, start: npt.NDArray[np.float64], end: npt.NDArray[np.float64], height: float
) -> Mask:
    """Ink along a line where nothing is joined to it."""
    long = float(np.hypot(*(end - start)))
    ahead = (end - start) / long
    reach = max(3, round(0.5 * height))
    t = np.arange(-2.0, long + 2.0, 0.5)[None, :]
    off = np.arange(-reach, reach + 0.5, 0.5)[:, None]
    x = np.rint(start[0] + ahead[0] * t - ahead[1] * off).astype(np.int64)
    y = np.rint(start[1] + ahead[1] * t + ahead[0] * off).astype(np.int64)
    within = (x >= 0) & (y >= 0) & (x < ink.shape[1]) & (y < ink.shape[0])
    x, y = np.clip(x, 0, ink.shape[1] - 1), np.clip(y, 0, ink.shape[0] - 1)
    strip = ink[y, x] & within
    tall = _run_heights(strip)
    middle = tall[len(tall) // 2]
    gone = np.zeros_like(ink)
    if not (middle > 0).any():
        return gone
    thick = float(np.median(middle[middle > 0])) / 2
    if thick > max(LINE_THIN * height, 3):
        return gone
    bare = strip & (tall <= 2 * (thick + THICKER_PX)) & (np.abs(off) <= thick / 2 + 2)
    gone[y[bare], x[bare]] = True
    return gone


def _run_heights(ink: Mask) -> npt.NDArray[np.int32]:
    """Height of the upright run of ink that each px belongs to; 0 on paper."""
    height = len(ink)
    rows = np.arange(height, dtype=np.int32)[:, None]
    above = np.maximum.accumulate(np.where(ink, np.int32(-1), rows), axis=0)
    below = np.minimum.accumulate(np.where(ink, np.int32(height), rows)[::-1], axis=0)[::-1]
    return np.where(ink, below - above - 1, 0).astype(np.int32)


def _foreign(
    rest: Mask, level: Mask, others: Mask, height: float
) -> tuple[Mask, Box | None, tuple[bool, bool]]:
    """Ink, lines left out, that is none of the text's, and the box of what is.

    Also whether there may be marks of the text in it, that a line crossed or the edge cut.
    """
    labels, boxes, free = _blobs(rest)
    nothing = np.zeros_like(rest)
    if not len(boxes):
        return nothing, None, (False, False)
    tall = boxes[:, 3] - boxes[:, 1]
    small = tall < REMNANT * height
    crossed = _beside(labels, others, len(boxes)) & small
    hangs = crossed | (_beside(labels, level, len(boxes)) & small)
    line = (boxes[:, 2:] - boxes[:, :2]).max(1) >= LONGER * height
    for k in np.flatnonzero(line).tolist():
        line[k] = _is_line_at(labels, boxes, k, height)
    own = (tall > WHOLE * height) & ~line & (tall < 2 * height)
    body = boxes[((free & (tall > TELLING * height)) | own) & ~hangs]
    if not len(body):
        return nothing, None, (False, False)
    x0, y0 = (int(v) for v in body[:, :2].min(0))
    x1, y1 = (int(v) for v in body[:, 2:].max(0))
    inside = np.minimum(boxes[:, 3], y1) - np.maximum(boxes[:, 1], y0)
    apart = np.maximum(x0 - boxes[:, 2], boxes[:, 0] - x1)
    rowed = inside > BESIDE * np.minimum(tall, height)
    beyond = np.maximum(y0 - boxes[:, 1], boxes[:, 3] - y1) > BEYOND * height  # no parenthesis is
    low = tall < np.where(rowed, REMNANT, WHOLE) * height
    drop = hangs & ((apart > 0) | ~rowed)
    drop |= ~free & (low | (apart > FAR * height) | (((apart > 0) | ~rowed) & line & beyond))
    seen = (boxes[:, 2:] - boxes[:, :2]).max(1) > SPECK * height
    doubt = drop & rowed & seen & (apart < NEAR * height)
    gone = np.concatenate([[False], drop])[labels]
    why = (bool((doubt & crossed).any()), bool((doubt & ~free).any()))
    return np.asarray(gone & rest, np.bool_), (x0, y0, x1, y1), why


def _beside(labels: Labels, lines: Mask, count: int) -> Mask:
    """Which blobs touch lines."""
    near = cv2.dilate(lines.astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
    return np.isin(np.arange(1, count + 1), np.unique(labels[near]))


def _is_line_at(labels: Labels, boxes: Boxes, k: int, height: float) -> bool:
    x0, y0, x1, y1 = boxes[k]
    return is_line(labels[y0:y1, x0:x1] == k + 1, height)


def is_line(own: Mask, height: float) -> bool:
    """Whether a blob is one line or arc: longer than text is high, a single run of ink across.

    Examples
    --------
    >>> is_line(np.eye(30, dtype=np.bool_), 15.0), is_line(np.ones((30, 20), np.bool_), 15.0)
    (True, False)
    """
    long = max(own.shape)
    if long < LONGER * height or np.count_nonzero(own) > LINE_AREA * long * long:
        return False
    starts = [part[:, 0] + (part[:, 1:] & ~part[:, :-1]).sum(1) for part in (own, own.T)]
    return bool(max(np.mean(one == 1) for one in starts) > SINGLE)
