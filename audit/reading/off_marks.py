"""Arrowheads, dots and rings taken out of the crops of the texts that stand between them.

Where a number fills the room between its arrowheads, their backs stand in its crop and read as
figures or signs; the ring at the end of a broken dimension line reads as a Ø.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.geometry import Box, Point
from audit.networks.page import PageMaps, Terminator
from audit.reading.erasing import upright_lines
from audit.reading.near import Gray, TextSpot, turn_upright

SURE = 0.5  # score of a terminator
PX_PER_PT = 200 / 72  # of the raster the network was shown
TIP_PT, RIM_PT = 1.0, 3.6  # from a mark's point to its ink: an arrowhead's, a dot's or ring's
# Lengths in heights of the text, unless said.
BEYOND, WITHIN = 1.6, 1.0  # of an end of a text, to the point of a mark
IN_ROW = 0.4  # of the middle of a row, to the point of a mark
INTO = 1.2  # that a mark reaches into a text, and less than half of it
LONG_LINE = 1.6  # longer upright ink is a line
FIGURE = 0.8  # of the tallest blob: ink as tall as a figure may be one that touches its mark
STROKE = 0.6  # ink that runs on upright so far is a figure's
ALONG = 0.94  # cosine of 20 degrees, between a head outside and the row of a text
FURTHER = 0.2  # that an extension line is wide, or leans, beyond the tip at it
NARROWEST = 0.25  # of a figure: a 1 and the gap beside it
MARGIN = 0.12
INK_SHARE = 0.45
FAINTEST = 25.0  # gray levels
FRAY_PX = 2

Mask = NDArray[np.bool_]
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class _Blobs:
    """Ink around a text in a large upright crop: labels, and their boxes; the first is paper.

    `lines` are the long upright ones, which have no label; `back` brings px of the crop to the
    picture, `px` of which make a pt.
    """

    crop: Gray
    labels: NDArray[np.int32]
    boxes: NDArray[np.int32]
    lines: Mask
    back: Floats
    px: float


def clear_of_marks(gray: Gray, maps: PageMaps, spots: Sequence[TextSpot]) -> tuple[TextSpot, ...]:
    """Cut texts anew that marks stand in.

    Parameters
    ----------
    gray : (h, w) uint8 array
    maps : PageMaps
        Of the same picture: its terminators count.
    spots : sequence of TextSpot

    Returns
    -------
    tuple of TextSpot
        In the same order; a text that a mark may be part of stays as it is.
    """
    marks = [t for t in maps.terminators if t.score >= SURE]
    points = np.array([t.point for t in marks], float).reshape(-1, 2)
    cleared = []
    for spot in spots:
        own = [marks[k] for k in np.flatnonzero(_at_ends(spot, points))]
        cleared.append(_cleared(gray, spot, own, PX_PER_PT / maps.factor) if own else spot)
    return tuple(cleared)


def clear_of_extension_lines(
    gray: Gray, maps: PageMaps, spots: Sequence[TextSpot]
) -> tuple[TextSpot, ...]:
    """Cut texts anew that begin or end with a line that an arrowhead outside points at.

    Of a narrow size the number fills the room between its extension lines, and one of them beside
    it reads as a 1. What stands across the tip of a head is no figure: those touch its back.

    Parameters
    ----------
    gray : (h, w) uint8 array
    maps : PageMaps
        Of the same picture: its terminators count.
    spots : sequence of TextSpot

    Returns
    -------
    tuple of TextSpot
        In the same order; the others as they are.
    """
    heads = [t for t in maps.terminators if t.score >= SURE and t.direction is not None]
    points = np.array([t.point for t in heads], float).reshape(-1, 2)
    cleared = []
    for spot in spots:
        own = [heads[k] for k in np.flatnonzero(_at_ends(spot, points))]
        outside = [t for t in own if _points_into(t, spot)]
        px = PX_PER_PT / maps.factor
        cleared.append(_parted_from_lines(gray, spot, outside, px) if outside else spot)
    return tuple(cleared)


def _points_into(head: Terminator, spot: TextSpot) -> bool:
    """Whether a head points along the row of a text to its middle: its shaft leads away."""
    dx, dy = head.point.x - spot.centre.x, head.point.y - spot.centre.y
    turn, shaft = math.radians(spot.angle), math.radians(head.direction or 0.0)
    away = math.cos(turn) * dx - math.sin(turn) * dy
    return math.copysign(1.0, away) * math.cos(shaft - turn) > ALONG


def _parted_from_lines(
    gray: Gray, spot: TextSpot, heads: Sequence[Terminator], px: float
) -> TextSpot:
    blobs, row = _around(gray, spot, px)
    gone = {k for t in heads for k in _at_point(blobs, t) if _is_across_tip(blobs, k, t, row)}
    kept = [
        box for k, box in enumerate(blobs.boxes) if k and k not in gone and _stands_in(box, row)
    ]
    if not gone or not kept:
        return spot
    left, right = min(int(b[0]) for b in kept), max(int(b[2]) for b in kept)
    return _cut(spot, blobs, gone, left=left, right=right)


def _is_across_tip(blobs: _Blobs, label: int, head: Terminator, row: Box) -> bool:
    """Whether a blob is as tall as a figure just where a head points, and nowhere further in.

    Where a long line stands there it is what the head points at, and what is right behind a figure.
    """
    rim = _rim(blobs, head)
    x0, x1 = max(0, int(rim.x0)), max(0, math.ceil(rim.x1))
    if _tallest_run(blobs.lines[:, x0:x1]) > FIGURE * row.height:
        return False
    inwards = 1.0 if (rim.x0 + rim.x1) / 2 < (row.x0 + row.x1) / 2 else -1.0
    own = blobs.labels == label
    columns = np.flatnonzero(own.any(axis=0))
    further = inwards * columns > max(inwards * rim.x0, inwards * rim.x1)
    if further.sum() > FURTHER * row.height:
        return False
    return _tallest_run(own[:, x0:x1]) > FIGURE * row.height


def cut_shorter(before: TextSpot, after: TextSpot) -> tuple[TextSpot, ...]:
    """Return a text as it was, where what was cut off may have been a figure; nothing elsewhere.

    A figure that touches its mark may look like one: ``3/16`` is left of ``13/16``.

    Parameters
    ----------
    before : TextSpot
    after : TextSpot
        The same, cut clear of marks.

    Returns
    -------
    tuple of TextSpot
        What must say the same as it does now, for its reading to be sure.
    """
    return (before,) if before.length - after.length > NARROWEST * before.height else ()


def _at_ends(spot: TextSpot, points: Floats) -> Mask:
    """Marks in the row of a text, at its ends."""
    t, h = math.radians(spot.angle), spot.height
    x, y = points[:, 0] - spot.centre.x, points[:, 1] - spot.centre.y
    along = np.abs(x * math.cos(t) - y * math.sin(t)) - spot.length / 2
    aside = np.abs(x * math.sin(t) + y * math.cos(t))
    return np.asarray((aside < IN_ROW * h) & (along < BEYOND * h) & (along > -WITHIN * h))


def _cleared(gray: Gray, spot: TextSpot, marks: Sequence[Terminator], px: float) -> TextSpot:
    blobs, row = _around(gray, spot, px)
    touching = {label for m in marks for label in _at_point(blobs, m)}
    gone = {label for m in marks for label in _of_mark(blobs, m, row)}
    gone -= {label for label in gone if _is_denominator(blobs, label, gone, row)}
    kept = [
        _clipped(box, row)
        for label, box in enumerate(blobs.boxes)
        if label
        and label not in gone
        and (_stands_in(box, row) or (label in touching and _reaches_into(box, row)))
    ]
    if not gone or not kept:
        return spot
    return _cut(spot, blobs, gone, left=min(b.x0 for b in kept), right=max(b.x1 for b in kept))


def _around(gray: Gray, spot: TextSpot, px: float) -> tuple[_Blobs, Box]:
    """Label the ink around a text, and tell where the text stands there."""
    h = spot.height
    wide, high = spot.length + 2 * (BEYOND + 0.5) * h, 2.4 * h
    crop, back = turn_upright(gray, spot.centre, angle=spot.angle, width=wide, height=high)
    return _label(crop, back, px, height=h), _row(crop.shape, spot)


def _ink(crop: Gray) -> NDArray[np.uint8]:
    depth = float(np.percentile(crop, 90)) - crop.astype(np.float32)
    full = float(np.percentile(depth, 99))
    return np.asarray(depth > max(INK_SHARE * full, FAINTEST / 2), np.uint8)


def _label(crop: Gray, back: Floats, px: float, *, height: float) -> _Blobs:
    ink = _ink(crop)
    lines = upright_lines(ink, max(8, round(LONG_LINE * height)))
    loose = np.where(lines, 0, ink).astype(np.uint8)
    _, labels, stats, _ = cv2.connectedComponentsWithStats(loose, connectivity=8)
    corner, size = stats[:, :2], stats[:, 2:4]
    boxes = np.hstack([corner, np.add(corner, size)])
    return _Blobs(crop, np.asarray(labels, np.int32), np.asarray(boxes, np.int32), lines, back, px)


def _row(shape: tuple[int, ...], spot: TextSpot) -> Box:
    """Where a text stands in the middle of a crop."""
    x, y = shape[1] / 2, shape[0] / 2
    along, up = spot.length / 2, spot.height / 2
    return Box(x - along, y - up, x + along, y + up)


def _of_mark(blobs: _Blobs, mark: Terminator, row: Box) -> set[int]:
    """Blobs at the point of a mark that are its ink: a figure may touch it, or look like a ring."""
    rim = _rim(blobs, mark)
    on_line = mark.direction is None and bool(
        blobs.lines[:, max(0, int(rim.x0)) : max(0, int(rim.x1))].any()
    )
    return {
        label
        for label in _at_point(blobs, mark)
        if (on_line and _lies_in(blobs.boxes[label], rim)) or _is_no_figure(blobs, label, row)
    }


def _is_denominator(blobs: _Blobs, label: int, gone: set[int], row: Box) -> bool:
    """Whether a blob stands under a slash, with more of the text behind it: a filled 4.

    A mark stands at the end of its text.
    """
    x0, y0, x1, _ = (float(v) for v in blobs.boxes[label])
    others = [b for k, b in enumerate(blobs.boxes) if k and k not in gone and _stands_in(b, row)]
    slash = any(
        b[3] - b[1] >= FIGURE * row.height and b[0] < x0 < b[2] < x1 and b[1] + 1 < y0
        for b in others
    )
    return slash and any(b[0] >= x1 - 1 for b in others)


def _at_point(blobs: _Blobs, mark: Terminator) -> set[int]:
    """Blobs at the point of a mark."""
    x0, y0, x1, y1 = (max(0, int(v)) for v in _rim(blobs, mark))
    return set(np.unique(blobs.labels[y0 : y1 + 1, x0 : x1 + 1]).tolist()) - {0}


def _rim(blobs: _Blobs, mark: Terminator) -> Box:
    """Where the ink of a mark shows at its point, in a crop."""
    x, y = np.linalg.solve(blobs.back[:, :2], np.array(mark.point) - blobs.back[:, 2])
    reach = (RIM_PT if mark.direction is None else TIP_PT) * blobs.px + 1.0
    return Box(x - reach, y - reach, x + reach, y + reach)


def _lies_in(box: NDArray[np.int32], around: Box) -> bool:
    x0, y0, x1, y1 = (float(v) for v in box)
    return around.x0 <= x0 and around.y0 <= y0 and x1 <= around.x1 + 1 and y1 <= around.y1 + 1


def _is_no_figure(blobs: _Blobs, label: int, row: Box) -> bool:
    """Whether what of a mark's ink stands in a text is too low for a figure, and at one end."""
    x0, x1 = max(0, int(row.x0)), math.ceil(row.x1)
    own = blobs.labels[:, x0:x1] == label
    if not own.any():
        return True
    columns, rows = np.flatnonzero(own.any(axis=0)), np.flatnonzero(own.any(axis=1))
    most = min(INTO * row.height, row.width / 2)
    into = min(int(columns[-1]) + 1, x1 - x0 - int(columns[0]))
    low = int(rows[-1] - rows[0]) + 1 < FIGURE * row.height
    return into < most and low and _tallest_run(own) < STROKE * row.height


def _tallest_run(ink: Mask) -> int:
    """How far ink runs on upright, px: the stroke of a 1, which the barbs of a head have not."""
    run, tallest = np.zeros(ink.shape[1], np.int64), 0
    for line in ink:
        run = np.where(line, run + 1, 0)
        tallest = max(tallest, int(run.max()))
    return tallest


def _stands_in(box: NDArray[np.int32], row: Box) -> bool:
    x0, y0, x1, y1 = (float(v) for v in box)
    middle = (x0 + x1) / 2, (y0 + y1) / 2
    return row.x0 <= middle[0] <= row.x1 and row.y0 <= middle[1] <= row.y1


def _reaches_into(box: NDArray[np.int32], row: Box) -> bool:
    """Whether a figure that touches its mark has ink in a text; the mark itself lies beyond it."""
    x0, y0, x1, y1 = (float(v) for v in box)
    return min(x1, row.x1) > max(x0, row.x0) and y0 <= (row.y0 + row.y1) / 2 <= y1


def _clipped(box: NDArray[np.int32], row: Box) -> Box:
    """What of a blob stands between the ends of a text: a figure's mark runs on beyond them."""
    x0, y0, x1, y1 = (float(v) for v in box)
    return Box(max(x0, row.x0), y0, min(x1, row.x1), y1)


def _cut(spot: TextSpot, blobs: _Blobs, gone: set[int], *, left: float, right: float) -> TextSpot:
    """Cut a text between two columns out of its crop, without some blobs."""
    foreign = np.isin(blobs.labels, list(gone)).astype(np.uint8)
    others = ((blobs.labels > 0) & (foreign == 0)).astype(np.uint8)
    hidden = cv2.dilate(foreign, np.ones((2 * FRAY_PX + 1,) * 2, np.uint8)) > 0
    hidden &= cv2.dilate(others, np.ones((3, 3), np.uint8)) == 0
    rows, columns = spot.crop.shape
    if rows > len(hidden) or columns > hidden.shape[1]:
        return spot
    # the text is cut from somewhere in the larger crop, foreign ink whitened
    _, _, (aside, up), _ = cv2.minMaxLoc(cv2.matchTemplate(blobs.crop, spot.crop, cv2.TM_SQDIFF))
    paper = np.uint8(np.percentile(spot.crop, 90))
    white = np.where(hidden[up : up + rows, aside : aside + columns], paper, spot.crop)
    room = max(2.0, MARGIN * spot.height)
    x0, x1 = max(0, int(left - room) - aside), math.ceil(right + room) - aside
    middle, half = len(hidden) / 2, spot.height / 2
    corners = [(x, middle + way * half) for x in (left, right) for way in (-1, 1)]
    places = [blobs.back[:, :2] @ np.array(c) + blobs.back[:, 2] for c in corners]
    centre = np.mean(places, axis=0)
    return replace(
        spot,
        box=Box.around([(float(p[0]), float(p[1])) for p in places]),
        crop=np.ascontiguousarray(white[:, x0:x1].astype(np.uint8)),
        centre=Point(float(centre[0]), float(centre[1])),
        length=right - left,
    )
