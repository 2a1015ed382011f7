"""Every text of a picture, at any angle: from the page network's text mask to upright crops.

Legend: a *patch* is one connected region of the mask, a *spot* a patch made a text with its angle.
"""

from __future__ import annotations

import math
from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.geometry import Box, Point
from audit.geometry.box_index import BoxIndex
from audit.geometry.levels import level_at, value_at
from audit.networks.page import PageMaps, run_page
from audit.reading.bars import bars_of
from audit.reading.ends import cut_wider
from audit.reading.erasing import erase_lines, level_lines, upright_lines
from audit.reading.near import Gray, TextSpot, turn_upright
from audit.reading.patch_directions import (
    MIN_PATCH,
    NEAR_QUARTER_DEG,
    angle_of,
    part_by_direction,
)
from audit.reading.slants import lean_of, slant_of
from audit.reading.text_rows import TALL, rows_of
from audit.reading.wandering import wandering_uprights

TEXT_LEVEL = 128  # of 255: as likely text as not
MIN_HEIGHT_MM, MAX_HEIGHT_MM = 0.9, 25.0
REACH = 0.35  # of the height: how far around the mask its ink is looked for
INK_SHARE = 0.45  # of full ink
OWN_SHARE = 0.5  # of a blob that must lie in the mask to be part of the text
FAINTEST = 25.0  # gray levels between paper and the darkest text
MIN_BLOB = 3  # px
FULL = 0.75  # of the tallest blob: a figure that stands by itself, of no fraction
# A point before a figure, in heights of the text: how large, how far off, how far from its foot.
POINT, POINT_REACH, POINT_OFF = (0.05, 0.24), 0.5, 0.14
LINE_HEIGHTS = 1.9  # heights of the text: longer level ink is a line
THROUGH = 0.93  # of a crop, which is larger than its text: straight ink so long is a line
PARTED = 0.3  # of the height: two texts with a line between them stand so far apart
MARGIN = 0.12  # of the height, kept around the ink in the crop
LOW_SHARE = 0.04  # of a patch's px cut off at each side: the mask frays
LINES_SHOW = 1.5  # heights of the text, looked at beyond its crop to tell lines
DEFAULT_PX_PER_MM = 200 / 25.4

Mask = NDArray[np.bool_]
Floats = NDArray[np.float64]
Known = dict[tuple[int, int, float], list[TextSpot]]  # by patch, its part, and direction


def find_text(
    gray: Gray,
    px_per_mm: float | None = None,
    *,
    turn: float = 0.0,
    maps: PageMaps | None = None,
    known: Known | None = None,
) -> tuple[TextSpot, ...]:
    """Find every text of a picture.

    Parameters
    ----------
    gray : (h, w) uint8 array
    px_per_mm : float, optional
        Pixels to a millimetre of paper.
    turn : float
        Direction in which level text runs in the picture, degrees; other text is taken to be
        readable from below or from the right of that.
    maps : PageMaps, optional
        Of the same picture, when the network has looked at it already.
    known : dict, optional
        What was found on the same maps before, to be looked up and added to: seen from another
        side, many texts run as they did.

    Returns
    -------
    tuple of TextSpot
        From the top down; with centre, length and height along their own direction.
    """
    if maps is None:
        maps = run_page(gray, px_per_mm=px_per_mm)
    scale = px_per_mm or DEFAULT_PX_PER_MM
    mask = np.asarray(maps.text >= TEXT_LEVEL, np.uint8)
    count, labels, stats, _ = cv2.connectedComponentsWithStats(mask, connectivity=8)
    known = {} if known is None else known
    spots: list[TextSpot] = []
    for label in range(1, count):
        x, y, w, h, area = (int(v) for v in stats[label])
        if area < MIN_PATCH:
            continue
        own = labels[y : y + h, x : x + w] == label
        turns = maps.turn[y : y + h, x : x + w]
        for k, part in enumerate(part_by_direction(turns, own)):
            angle = readable_angle(angle_of(turns, part), level=turn)
            if (label, k, angle) not in known:
                known[label, k, angle] = _spots(gray, maps, part, corner=(x, y), angle=angle)
            spots += known[label, k, angle]
    low, high = MIN_HEIGHT_MM * scale, MAX_HEIGHT_MM * scale
    whole = [spot for spot in spots if low < spot.height < high]
    return tuple(sorted(whole, key=lambda s: (s.box.y0, s.box.x0)))


def cut_at(
    gray: Gray, maps: PageMaps, box: Box, *, angle: float, lines: bool = True
) -> TextSpot | None:
    """Cut the text of a box again, taken to run in a given direction.

    Parameters
    ----------
    gray : (h, w) uint8 array
    maps : PageMaps
        Of the same picture.
    box : Box
        Upright, around the text, px of the picture.
    angle : float
        Degrees, counter-clockwise as seen.
    lines : bool
        Whether drawn lines that run through the text stay.

    Returns
    -------
    TextSpot or None
        The nearest to the box's middle; `None` where the network sees no text.
    """
    px = maps.px_per_map_px
    wide = box.grown(max(box.width, box.height))
    x0, y0 = max(0, int(wide.x0 / px)), max(0, int(wide.y0 / px))
    part = maps.text[y0 : math.ceil(wide.y1 / px) + 1, x0 : math.ceil(wide.x1 / px) + 1]
    _, labels = cv2.connectedComponents(np.asarray(part >= TEXT_LEVEL, np.uint8), connectivity=8)
    r0, c0 = max(0, int(box.y0 / px) - y0), max(0, int(box.x0 / px) - x0)
    inner = np.s_[r0 : math.ceil(box.y1 / px) - y0, c0 : math.ceil(box.x1 / px) - x0]
    inside = labels[inner]
    counts = np.bincount(inside.ravel(), minlength=2)
    counts[0] = 0
    if counts.max() < MIN_PATCH / 2:
        return None
    own = labels == int(counts.argmax())
    here = maps.turn[y0 : y0 + own.shape[0], x0 : x0 + own.shape[1]]
    own = max(part_by_direction(here, own), key=lambda part: int(part[inner].sum()))
    spots = _spots(gray, maps, own, corner=(x0, y0), angle=angle, turned=True, lines=lines)
    return min(spots, key=lambda s: s.centre.distance(box.centre), default=None)


def readable_angle(angle: float, *, level: float) -> float:
    """Of the two directions of a line of text the one readable from below or from the right.

    Examples
    --------
    >>> readable_angle(0.0, level=0.0), readable_angle(178.0, level=0.0)
    (0.0, -2.0)
    >>> readable_angle(-90.0, level=0.0), readable_angle(10.0, level=180.0)
    (90.0, 190.0)
    """
    off = (angle - level) % 180.0
    return level + (off - 180.0 if off > 97.0 else off)


def _spots(
    gray: Gray,
    maps: PageMaps,
    own: Mask,
    *,
    corner: tuple[int, int],
    angle: float,
    turned: bool = False,
    lines: bool = True,
) -> list[TextSpot]:
    """Texts of one patch: one, or several that stand in rows.

    Where the ink shows that a text runs askew in its crop, it is cut again, once (`turned`).
    Without `lines`, those that run through it are taken out first.
    """
    px = maps.px_per_map_px
    rows, columns = np.nonzero(own)
    points = np.column_stack([columns + corner[0] + 0.5, rows + corner[1] + 0.5]) * px
    low, high = _extent(points, angle)
    if not turned and (settled := _settle_quarter(points, angle, low, high)) != angle:
        angle = settled
        low, high = _extent(points, angle)
    height = float(high[1] - low[1])
    room = REACH * height + 2 * px
    centre = _unturn((low + high) / 2, angle)
    width = float(high[0] - low[0]) + 2 * room
    crop, back = turn_upright(gray, centre, angle=angle, width=width, height=height + 2 * room)
    mask = _mask_in_crop(own, corner, px, back, crop.shape)
    if not lines:
        crop = _without_lines(gray, crop, centre, angle=angle, height=min(height, width - 2 * room))
    if turned:
        return tight_spots(crop, mask, back, angle=angle)
    ink = _ink_in(crop, mask)
    slant = slant_of(ink)
    if slant:
        return _spots(gray, maps, own, corner=corner, angle=angle + slant, turned=True)
    level, lean = tight_spots(crop, mask, back, angle=angle), lean_of(ink)
    if lean and len(level) > 1:  # rows of a text that is one as it leans
        askew = _spots(gray, maps, own, corner=corner, angle=angle + lean, turned=True)
        return askew if len(askew) == 1 else level
    return [replace(spot, lean=lean) for spot in level]


def _without_lines(gray: Gray, crop: Gray, centre: Point, *, angle: float, height: float) -> Gray:
    """Return the crop without its lines, which show their length in a larger one."""
    h, w = crop.shape
    more = max(4, round(LINES_SHOW * height))
    larger, _ = turn_upright(gray, centre, angle=angle, width=w + 2 * more, height=h + 2 * more)
    return erase_lines(larger, height=height)[more : more + h, more : more + w]


def _ink_in(crop: Gray, mask: Mask) -> NDArray[np.uint8]:
    paper = level_at(crop, 90)
    depth = (paper - crop.astype(np.float32)) * mask
    return np.asarray(depth > max(INK_SHARE * float(depth.max()), FAINTEST / 2), np.uint8)


def _extent(points: Floats, angle: float) -> tuple[Floats, Floats]:
    """Corners of the points' box in a frame turned by `angle`, frayed edges cut off."""
    ranked = [np.sort(side) for side in _turned(points, angle).T]
    low, high = (
        np.array([value_at(side, share) for side in ranked])
        for share in (LOW_SHARE / 4, (100 - 100 * LOW_SHARE / 4) / 100)
    )
    return low, high


def _settle_quarter(points: Floats, angle: float, low: Floats, high: Floats) -> float:
    """Snap a direction to the near quarter turn unless a long text shows it is slanted."""
    near = round(angle / 90.0) * 90.0
    if abs(angle - near) < NEAR_QUARTER_DEG:
        long = float(high[0] - low[0]) > 4.0 * float(high[1] - low[1])
        return _principal(points, near) if long else near
    return angle


def _principal(points: Floats, angle: float) -> float:
    """Direction of the long axis of a patch, near a given one."""
    turned = _turned(points, angle)
    d = turned - turned.mean(axis=0)
    lean = 0.5 * math.atan2(
        2 * float(d[:, 0] @ d[:, 1]), float((d[:, 0] ** 2 - d[:, 1] ** 2).sum())
    )
    degrees = math.degrees(lean)
    return angle - degrees if abs(degrees) < 5.0 else angle


def _turned(points: Floats, angle: float) -> Floats:
    t = math.radians(angle)
    c, s = math.cos(t), math.sin(t)
    x, y = points[:, 0], points[:, 1]
    return np.column_stack([c * x - s * y, s * x + c * y])


def _unturn(p: Floats, angle: float) -> Point:
    t = math.radians(angle)
    c, s = math.cos(t), math.sin(t)
    return Point(float(c * p[0] + s * p[1]), float(-s * p[0] + c * p[1]))


def _mask_in_crop(
    own: Mask, corner: tuple[int, int], px: float, back: Floats, shape: tuple[int, ...]
) -> Mask:
    """Bring a patch of the mask into its crop, grown by a map px."""
    grown = cv2.copyMakeBorder(own.astype(np.uint8), 2, 2, 2, 2, cv2.BORDER_CONSTANT, value=(0,))
    grown = cv2.dilate(grown, np.ones((3, 3), np.uint8))
    to_map = back.copy()
    to_map[:, 2] += back[:, :2] @ [0.5, 0.5]
    to_map /= px
    to_map[:, 2] -= np.array(corner, float) - 2 + 0.5
    flags = cv2.INTER_NEAREST | cv2.WARP_INVERSE_MAP
    return np.asarray(cv2.warpAffine(grown, to_map, (shape[1], shape[0]), flags=flags) > 0)


def tight_spots(crop: Gray, mask: Mask, back: Floats, *, angle: float) -> list[TextSpot]:
    """Keep the blobs of ink that are text, whiten the others, cut row by row.

    Parameters
    ----------
    crop : (h, w) uint8 array
        Around one patch of text, which runs level in it.
    mask : (h, w) bool array
        Where the text is, roughly.
    back : (2, 3) array
        From px of the crop to px of the picture.
    angle : float
        Direction of the text in the picture, degrees.

    Returns
    -------
    list of TextSpot
        One for every row of text.
    """
    paper = level_at(crop, 90)
    depth = paper - crop.astype(np.float32)
    if not mask.any() or float(depth[mask].max()) < FAINTEST:
        return []
    full = float(np.percentile(depth[mask], 97))
    ink = np.asarray(depth > max(INK_SHARE * full, FAINTEST / 2), np.uint8)
    far = min(LINE_HEIGHTS * float(mask.any(axis=1).sum()), THROUGH * crop.shape[1])
    level = level_lines(ink, max(8, round(far)))
    upright = upright_lines(ink, max(8, round(THROUGH * len(crop))))
    by_hand = wandering_uprights(ink)
    loose = np.where(level | upright | by_hand, 0, ink).astype(np.uint8)
    count, labels, stats, _ = cv2.connectedComponentsWithStats(loose, connectivity=8)
    inside = np.bincount(labels[mask], minlength=count)
    share = inside / np.maximum(stats[:, cv2.CC_STAT_AREA], 1)
    keep = share >= OWN_SHARE
    keep[0] = False
    through = (share > 0) & ~keep
    through[0] = False
    boxes = [
        Box(x, y, x + w, y + h) for x, y, w, h, area in stats[keep].tolist() if area >= MIN_BLOB
    ]
    outside = through[labels] & mask if through.any() else np.zeros_like(mask)
    boxes += _touching(outside, boxes)
    tallest = max((box.height for box in boxes), default=0.0)
    joined, bars = bars_of(ink, [box for box in boxes if box.height >= TALL * tallest])
    points = _points_before(rows_of(boxes, bars), np.asarray(stats, np.intp), ~keep)
    keep[points] = True
    boxes += [Box(x, y, x + w, y + h) for x, y, w, h, _ in stats[points].tolist()]
    part = keep[labels] | outside | (joined & mask)
    near = cv2.dilate(part.astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
    # the seam of its own ink stays: where a picture is blurred that is ink, too
    strange = np.where(part, 0, ink).astype(np.uint8)
    foreign = (cv2.dilate(strange, np.ones((5, 5), np.uint8)) > 0) & ~near
    index, spots = BoxIndex(boxes), []
    for row in [part for whole in rows_of(boxes, bars) for part in _parted(whole, upright)]:
        box, mine = _around(row), set(row)
        beside = [boxes[k] for k in index.meeting(box, aside=_room(box) + 2, above=_room(box) + 2)]
        others = [other for other in beside if other not in mine]
        white = np.uint8(round(paper))
        cut = _alone(crop, foreign, box, others, paper=white)
        spot = _spot_of(cut, box, back, angle=angle)
        wider = None if others else cut_wider(crop, loose, box, room=_room(box))
        spots.append(replace(spot, wider=wider))
    return spots


def _points_before(rows: list[list[Box]], stats: NDArray[np.intp], free: Mask) -> list[int]:
    """Numbers of blobs outside the mask that are points before a row's first figure: `.320`.

    The mask frays where a text begins with as little ink as that.
    """
    found: list[int] = []
    for row in rows:
        high = max(box.height for box in row)
        first = min((b for b in row if b.height >= TALL * high), key=lambda b: b.x0)
        if first.height < FULL * high:
            continue  # a fraction, which has no point before it
        gap = first.x0 - (stats[:, 0] + stats[:, 2])
        off = np.abs(stats[:, 1] + stats[:, 3] - first.y1)
        small = stats[:, 2:4].min(axis=1) >= max(2.0, POINT[0] * high)
        small &= stats[:, 2:4].max(axis=1) <= POINT[1] * high
        beside = (gap > 0) & (gap <= POINT_REACH * high) & (off <= POINT_OFF * high)
        found += np.flatnonzero(free & small & beside).tolist()
    return found


def _room(box: Box) -> float:
    """White kept around a text's ink."""
    return max(2.0, MARGIN * box.height)


def _alone(crop: Gray, foreign: Mask, box: Box, others: list[Box], *, paper: np.uint8) -> Gray:
    """Cut a row of text out of a crop, with foreign ink and other texts whitened."""
    cut = box.grown(_room(box))
    x0, y0 = max(0, int(cut.x0)), max(0, int(cut.y0))
    window = np.s_[y0 : math.ceil(cut.y1), x0 : math.ceil(cut.x1)]
    hidden = foreign[window].copy()
    for other in others:
        left, top, right, bottom = (int(v) for v in other.grown(1))
        hidden[max(0, top - y0) : max(0, bottom - y0), max(0, left - x0) : max(0, right - x0)] = (
            True
        )
    return np.where(hidden, paper, crop[window]).astype(np.uint8)


def _touching(ink: Mask, boxes: list[Box]) -> list[Box]:
    """Boxes of figures that touch ink which runs out of the text: an arrowhead, a slanted line."""
    if not ink.any():
        return []
    count, _, stats, _ = cv2.connectedComponentsWithStats(ink.astype(np.uint8), connectivity=8)
    least = TALL * max((box.height for box in boxes), default=float(len(ink)) / 2)
    return [Box(x, y, x + w, y + h) for x, y, w, h, _ in stats[1:count].tolist() if h >= least]


def _parted(row: list[Box], upright: Mask) -> list[list[Box]]:
    """Parts of a row between which an upright line stands: two texts that came close."""
    row = sorted(row, key=lambda box: box.x0)
    apart = PARTED * max(box.height for box in row)
    parts, end = [[row[0]]], row[0].x1
    for box in row[1:]:
        between = upright[:, int(end) : math.ceil(box.x0)]
        if box.x0 - end > apart and between.any():
            parts.append([])
        parts[-1].append(box)
        end = max(end, box.x1)
    return parts


def _around(boxes: list[Box]) -> Box:
    return Box.around([p for box in boxes for p in (box[:2], box[2:])])


def _spot_of(cut: Gray, box: Box, back: Floats, *, angle: float) -> TextSpot:
    corners = [back[:, :2] @ np.array(c) + back[:, 2] for c in box.corners]
    middle = back[:, :2] @ np.array(box.centre) + back[:, 2]
    return TextSpot(
        box=Box.around([(float(x), float(y)) for x, y in corners]),
        angle=angle,
        distance=0.0,
        crop=cut,
        centre=Point(float(middle[0]), float(middle[1])),
        length=box.width,
        height=box.height,
    )
