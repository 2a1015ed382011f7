"""Where the printed text of a dimension stands on a picture.

Legend: a *blob* is one connected patch of ink; a *block* is blobs that stand like one line of
text (a stacked fraction included). Everything is done in an upright crop turned so that the text
looked for runs left to right.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.geometry import Box, Point, direction_deg
from audit.geometry.levels import level_at

Gray = NDArray[np.uint8]
Mask = NDArray[np.uint8]

# Sizes on paper, mm. Lettering is 1.8 to 7 mm high (ISO 3098), figures of a stacked fraction
# down to half of that.
MIN_FIGURE_MM = 1.0
MAX_FIGURE_MM = 8.0
MAX_WORD_MM = 70.0
LINE_MM = 6.0  # straight ink longer than this is a drawn line, no figure
ARROW_MM = 4.5  # ink on the dimension line this close to its ends is an arrowhead
SIDE_MM = 14.0  # how far from the dimension line its text may stand
BEYOND_MM = 18.0  # how far beyond the ends of a short dimension
CLEAR_MM = 9.0  # a block farther than this from the line is somebody else's text
DEFAULT_PX_PER_MM = 200 / 25.4
NOWHERE = Point(0.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class TextSpot:
    """A place where text may be.

    `box` is upright in the picture, px; `angle` the direction it would run, degrees; `distance`
    from the middle of the dimension line, mm; `crop` the upright picture of it with a margin.
    Where the whole picture was searched, `centre`, `length` (along the text) and `height` are
    given too, px, and there is no distance; `wider` is a cut with ink beyond the text's ends that
    may be text, where there is any; `lean` says by how many degrees the text may run askew in its
    crop, 0 where nothing says so.
    """

    box: Box
    angle: float
    distance: float
    crop: Gray
    centre: Point = NOWHERE
    length: float = 0.0
    height: float = 0.0
    wider: Gray | None = None
    lean: float = 0.0


def find_text_near(
    gray: Gray, a: Point, b: Point, *, px_per_mm: float | None = None, turn: int = 0
) -> tuple[TextSpot, ...]:
    """Find the text that belongs to the line from `a` to `b`, best first.

    Parameters
    ----------
    gray : (h, w) uint8 array
    a : Point
    b : Point
        Ends of the dimension, px.
    px_per_mm : float, optional
        Pixels to a millimetre of paper; 200 dpi is assumed when unknown.
    turn : int
        Degrees clockwise that bring the picture upright: level text runs at this angle in it.

    Returns
    -------
    tuple of TextSpot
        Text along the line and level text, each direction at most once; empty when there is none.
    """
    scale = px_per_mm or DEFAULT_PX_PER_MM
    spots = []
    for angle in _directions(a, b, float(turn)):
        spot = _best_block(gray, a, b, angle=angle, scale=scale)
        if spot is not None:
            spots.append(spot)
    return tuple(sorted(spots, key=lambda s: s.distance))


def _directions(a: Point, b: Point, level: float) -> tuple[float, ...]:
    """Directions a text of this line may run: along it, readable from below or right; level.

    Examples
    --------
    >>> _directions(Point(0, 0), Point(0, 9), 0.0), _directions(Point(9, 0), Point(0, 0), 0.0)
    ((90.0, 0.0), (0.0,))
    """
    along = (direction_deg(a, b) - level) % 180.0
    if along > 91.0:
        along -= 180.0
    return (along + level,) if abs(along) < 5.0 else (along + level, level)


def turn_upright(
    gray: Gray, centre: Point, *, angle: float, width: float, height: float
) -> tuple[Gray, NDArray[np.float64]]:
    """Cut an upright crop out of a picture, turned so that `angle` becomes level.

    Parameters
    ----------
    gray : (h, w) uint8 array
    centre : Point
        Middle of the crop, px.
    angle : float
        Direction in the picture that becomes left to right, degrees, counter-clockwise as seen.
    width : float
        Of the crop, px.
    height : float
        Of the crop, px.

    Returns
    -------
    crop : (height, width) uint8 array
        White outside the picture.
    back : (2, 3) array
        Maps crop px (pixel centres at .5) to picture px.
    """
    w, h = max(1, round(width)), max(1, round(height))
    turn = math.radians(angle)
    cos, sin = math.cos(turn), math.sin(turn)
    back = np.array(
        [
            [cos, sin, centre.x - cos * w / 2 - sin * h / 2],
            [-sin, cos, centre.y + sin * w / 2 - cos * h / 2],
        ]
    )
    # warpAffine counts pixel centres as whole numbers: shift by half a pixel both ways
    matrix = back.copy()
    matrix[:, 2] += back[:, :2] @ [0.5, 0.5] - 0.5
    crop = cv2.warpAffine(
        gray,
        matrix,
        (w, h),
        flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
        borderMode=cv2.BORDER_CONSTANT,
        borderValue=(255,),
    )
    return np.asarray(crop, np.uint8), back


def find_ink(gray: Gray, *, scale: float) -> Mask:
    """Mark ink as 255: darker than the paper around it, whatever the light."""
    reach = max(3, round(2.5 * scale)) | 1
    kernel = np.ones((reach, reach), np.uint8)
    quarter = (max(1, gray.shape[1] // 4), max(1, gray.shape[0] // 4))
    small = cv2.resize(gray, quarter, interpolation=cv2.INTER_AREA)
    closed = cv2.morphologyEx(small, cv2.MORPH_CLOSE, kernel[: reach // 2 | 1, : reach // 2 | 1])
    paper = cv2.resize(
        cv2.GaussianBlur(closed, (0, 0), 3.0), (gray.shape[1], gray.shape[0])
    ).astype(np.int16)
    depth = paper - gray.astype(np.int16)
    strong = level_at(depth, 99.5)
    return np.where(depth > max(28.0, 0.42 * strong), 255, 0).astype(np.uint8)


def remove_lines(ink: Mask, *, scale: float) -> Mask:
    """Take out straight level and upright lines longer than any stroke of a figure."""
    length = max(8, round(LINE_MM * scale))
    lines = np.zeros_like(ink)
    for size in ((length, 1), (1, length)):
        opened = cv2.morphologyEx(ink, cv2.MORPH_OPEN, np.ones((size[1], size[0]), np.uint8))
        lines |= np.asarray(opened, np.uint8)
    lines = np.asarray(cv2.dilate(lines, np.ones((3, 3), np.uint8)), np.uint8)
    return np.where(lines > 0, 0, ink).astype(np.uint8)


def _best_block(gray: Gray, a: Point, b: Point, *, angle: float, scale: float) -> TextSpot | None:
    middle, length = a.midpoint(b), a.distance(b)
    turn = math.radians(direction_deg(a, b) - angle)
    reach = length / 2 + BEYOND_MM * scale
    half_w = abs(math.cos(turn)) * reach + SIDE_MM * scale
    half_h = abs(math.sin(turn)) * reach + SIDE_MM * scale
    crop, back = turn_upright(gray, middle, angle=angle, width=2 * half_w, height=2 * half_h)
    ink = remove_lines(find_ink(crop, scale=scale), scale=scale)
    ends = [_into_crop(p, back) for p in (a, b)]
    blocks = group_blobs(_figures(ink, ends, scale), scale=scale)
    best: tuple[float, Box] | None = None
    for block in blocks:
        cost = _cost(block, ends[0], ends[1], scale)
        if cost is not None and (best is None or cost < best[0]):
            best = cost, block
    if best is None:
        return None
    return _spot(gray, best[1], back, angle=angle, distance=best[0])


def _into_crop(point: Point, back: NDArray[np.float64]) -> Point:
    x, y = np.linalg.solve(back[:, :2], np.array(point) - back[:, 2])
    return Point(float(x), float(y))


def _figures(ink: Mask, ends: list[Point], scale: float) -> list[Box]:
    """Boxes of the blobs that may be figures, signs or fraction bars."""
    count, _, stats, _ = cv2.connectedComponentsWithStats(ink, connectivity=8)
    boxes = []
    for x, y, w, h, area in stats[1:count].tolist():
        if area < 0.02 * scale * scale or h > MAX_FIGURE_MM * scale or w > 2 * LINE_MM * scale:
            continue
        box = Box(x, y, x + w, y + h)
        if not _is_arrowhead(box, ends, scale):
            boxes.append(box)
    return boxes


def _is_arrowhead(box: Box, ends: list[Point], scale: float) -> bool:
    """Whether a blob sits on the dimension line next to one of its ends."""
    (ax, ay), (bx, by) = ends
    length = math.hypot(bx - ax, by - ay) or 1.0
    ux, uy = (bx - ax) / length, (by - ay) / length
    cx, cy = box.centre.x - ax, box.centre.y - ay
    along, aside = cx * ux + cy * uy, abs(ux * cy - uy * cx)
    near = min(abs(along), abs(along - length))
    return aside < 0.9 * scale and near < ARROW_MM * scale and box.height < 2.6 * scale


def group_blobs(boxes: list[Box], *, scale: float) -> list[Box]:
    """Join blobs that stand like one text: side by side, or as a stacked fraction.

    Examples
    --------
    >>> group_blobs([Box(0, 0, 10, 20), Box(14, 0, 24, 20), Box(300, 0, 310, 20)], scale=8.0)
    [Box(x0=0, y0=0, x1=24, y1=20), Box(x0=300, y0=0, x1=310, y1=20)]
    """
    tall = [box for box in boxes if box.height >= MIN_FIGURE_MM * scale]
    small = [box for box in boxes if box.height < MIN_FIGURE_MM * scale]
    bars = [box for box in small if box.width > 2.0 * box.height]
    blocks = _merge(tall, bars)
    for box in sorted(small, key=lambda s: s.x0):
        host = next((i for i, block in enumerate(blocks) if _belongs(box, block)), None)
        if host is not None:
            blocks[host] = blocks[host].union(box)
    blocks = _merge(blocks, bars)
    return [block for block in blocks if block.width <= MAX_WORD_MM * scale]


def _merge(boxes: list[Box], bars: list[Box]) -> list[Box]:
    """Join boxes until no two stand together any more."""
    merged: list[Box] = []
    waiting = list(boxes)
    while waiting:
        box = waiting.pop()
        mate = next(
            (other for other in merged if _beside(box, other) or _stacked(box, other, bars)), None
        )
        if mate is None:
            merged.append(box)
        else:
            merged.remove(mate)
            waiting.append(box.union(mate))
    return sorted(merged)


def _beside(one: Box, other: Box) -> bool:
    """Whether two boxes stand in one line of text; a whole inch and its fraction stand apart."""
    low, high = sorted((one.height, other.height))
    overlap = min(one.y1, other.y1) - max(one.y0, other.y0)
    gap = max(one.x0, other.x0) - min(one.x1, other.x1)
    reach = 1.35 if overlap > 0.7 * low else 0.6
    return high < 3.4 * low and overlap > 0.35 * low and gap < reach * low


def _stacked(one: Box, other: Box, bars: list[Box]) -> bool:
    """Whether two boxes stand above each other with a fraction bar between them."""
    top, bottom = sorted((one, other), key=lambda box: box.centre.y)
    if min(top.x1, bottom.x1) - max(top.x0, bottom.x0) < 0.3 * min(top.width, bottom.width):
        return False
    low = min(top.height, bottom.height)
    if bottom.y0 - top.y1 > 0.9 * low or max(top.height, bottom.height) > 3.4 * low:
        return False
    return any(
        top.centre.y < bar.centre.y < bottom.centre.y
        and min(bar.x1, top.x1) - max(bar.x0, top.x0) > 0.5 * top.width
        for bar in bars
    )


def _belongs(small: Box, block: Box) -> bool:
    """Whether a dot, dash, prime or fraction bar stands within reach of a block."""
    reach = 0.45 * block.height
    return block.grown(reach).contains(small.centre)


def _cost(block: Box, a: Point, b: Point, scale: float) -> float | None:
    """Distance of a block from the dimension line and from its middle, mm; `None`: too far."""
    length = math.hypot(b.x - a.x, b.y - a.y) or 1.0
    ux, uy = (b.x - a.x) / length, (b.y - a.y) / length
    corners = [(c.x - a.x, c.y - a.y) for c in (*block.corners, block.centre)]
    along = [cx * ux + cy * uy for cx, cy in corners]
    aside = [ux * cy - uy * cx for cx, cy in corners]
    crosses = min(aside) < 0 < max(aside)
    away = 0.0 if crosses else min(abs(min(aside)), abs(max(aside))) / scale
    if away > CLEAR_MM or block.height < MIN_FIGURE_MM * scale:
        return None
    off_middle = abs(sum(along) / 5 - length / 2) / scale
    beyond = max(0.0, off_middle - length / 2 / scale)
    return away + 0.25 * off_middle + 0.5 * beyond


def _spot(
    gray: Gray,
    block: Box,
    back: NDArray[np.float64],
    *,
    angle: float,
    distance: float,
) -> TextSpot:
    margin = max(2.0, 0.12 * block.height)
    grown = block.grown(margin)
    corners = [back[:, :2] @ np.array(c) + back[:, 2] for c in grown.corners]
    centre = back[:, :2] @ np.array(grown.centre) + back[:, 2]
    crop, _ = turn_upright(
        gray, Point(*map(float, centre)), angle=angle, width=grown.width, height=grown.height
    )
    box = Box.around([(float(x), float(y)) for x, y in corners])
    return TextSpot(box=box, angle=angle, distance=distance, crop=crop)
