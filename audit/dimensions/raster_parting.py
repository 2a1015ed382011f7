"""Texts of a picture that run into each other over a chain, parted at the lines between them.

``50 | 50`` over two narrow links stands as close as the words of one text. But between the two
an extension line passes, and on it, just below, a mark ends both dimension lines.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.dimensions.raster_page import TracedPage
from audit.geometry import Box, Point
from audit.reading import TextSpot
from audit.reading.near import turn_upright

# Lengths in usual text heights of the picture, unless said.
SHORTEST = 1.5  # a shorter text holds no two numbers
LONG_LINE = 1.6  # longer than any stroke of a letter
SQUARE = 0.12  # run over rise of a line across a text
INSIDE = 0.35  # from the ends of a text
PASSING = 3.0  # beyond its ends: lines of the links that its first and last part stand over
CENTRED = 0.35  # off the middle between two lines
# A line broken for its text: the least of it on either side, how far its halves may be out of
# line, the widest gap; how far into the text either half may reach from its middle; and between
# two such lines: grain of the wood, which is broken for a text too, runs closer.
STUB, SAME_LINE, WIDEST, BAND, APART = 0.6, 0.25, 3.2, 0.6, 2.0
MARK_ASIDE, MARK_BELOW = 0.5, 2.0  # of a line, and of the box of a text, to a mark
MARK_SCORE = 0.3
# A dot with the short lines that end in it: a wider blob is a text; and from halves of one.
MARK_WIDE, MARK_NEAR = 1.6, 0.15
DOT = 0.3  # from the middle of a dot to its rim; a figure may touch it
STRADDLES = 0.1  # a figure reaches so far over a line that parts nothing
GAP = 0.28  # between figures of two texts: those of one stand closer
DRAWN = 1.25  # longer strokes are lines
LINE_ROOM_PX = 2.0
INK_SHARE = 0.45
FAINTEST = 25.0  # gray levels
LOWEST, HIGHEST = 0.5, 1.6  # figures
SMALLEST, SIGN = 0.08, 0.6  # points and inch marks: their size, and from the figures beside them
ROW = 1.0  # between the middles of figures of one row, some of them lifted out of the way
MARGIN = 0.15
FEW, USUAL_MM = 5, 2.8  # height of lettering (ISO 3098: 2.5 and 3.5 mm), where few texts tell

Floats = NDArray[np.float64]
Gray = NDArray[np.uint8]


@dataclass(frozen=True, slots=True, eq=False)
class Parted:
    """Parts of a text, the text itself where it stays whole.

    `centred` says that each stands in the middle between two marked lines, as sizes of a chain do;
    `crossed` that the lines between them run on through the text.
    """

    spots: tuple[TextSpot, ...]
    centred: bool = False
    crossed: bool = True


@dataclass(frozen=True, slots=True)
class _Cut:
    """A marked line across a text: px along the text from its middle, and degrees off square.

    It `crosses` the text, or ends at its mark below or above.
    """

    at: float
    lean: float
    crosses: bool


@dataclass(frozen=True, slots=True, eq=False)
class _Ground:
    """A picture with its strokes and marks in px: ends (n, 4), widths (n,), marks (m, 2)."""

    gray: Gray
    ends: Floats
    widths: Floats
    marks: Floats
    height: float


def part_at_lines(gray: Gray, spots: Sequence[TextSpot], traced: TracedPage) -> tuple[Parted, ...]:
    """Part texts where a marked line passes between two of them.

    Parameters
    ----------
    gray : (h, w) uint8 array
    spots : sequence of TextSpot
        Texts of the picture.
    traced : TracedPage
        Its strokes and terminators.

    Returns
    -------
    tuple of Parted
        For each text, in the same order.
    """
    px, strokes = traced.px_per_pt, traced.page.strokes
    straight = ~strokes.curved
    marks = [t.point for t in traced.terminators if t.score >= MARK_SCORE]
    heights = [s.height for s in spots if s.length > 1.2 * s.height]
    ground = _Ground(
        gray=gray,
        ends=np.asarray(strokes.ends[straight] * px, float).reshape(-1, 4),
        widths=np.asarray(strokes.widths[straight] * px, float),
        marks=np.array(marks, float).reshape(-1, 2) * px,
        height=float(np.median(heights)) if len(heights) >= FEW else USUAL_MM * 72 / 25.4 * px,
    )
    parted = []
    for spot in spots:
        lines = _cuts(ground, spot) if spot.length > SHORTEST * ground.height else []
        inside = [c for c in lines if abs(c.at) < spot.length / 2 - INSIDE * ground.height]
        found = _parts(ground, spot, inside, lines) if inside else Parted((spot,))
        long = spot.length > SHORTEST * ground.height and len(found.spots) == 1
        parted.append(_parts_on_broken_lines(ground, spot) if long else found)
    return tuple(parted)


def _cuts(ground: _Ground, spot: TextSpot) -> list[_Cut]:
    """Marked lines that cross a text, pass or end close by it, from left to right."""
    h, band = ground.height, spot.height / 2
    a, b = _along(spot, ground.ends[:, :2]), _along(spot, ground.ends[:, 2:])
    run, rise = np.abs(a[:, 0] - b[:, 0]), np.abs(a[:, 1] - b[:, 1])
    at = (a[:, 0] + b[:, 0]) / 2
    across = (rise > LONG_LINE * h) & (run < SQUARE * rise)
    across &= np.abs(at) < spot.length / 2 + PASSING * h
    above, below = np.minimum(a[:, 1], b[:, 1]), np.maximum(a[:, 1], b[:, 1])
    apart = np.maximum(above - band, -band - below)
    across &= apart < MARK_BELOW * h
    marks = _along(spot, ground.marks)
    marks = marks[np.abs(marks[:, 1]) < band + MARK_BELOW * h]
    leans = np.degrees(np.arctan2(b[:, 0] - a[:, 0], b[:, 1] - a[:, 1]))
    leans = (leans + 90.0) % 180.0 - 90.0
    found: list[_Cut] = []
    for k in np.flatnonzero(across)[np.argsort(at[across])]:
        cut = _Cut(float(at[k]), float(leans[k]), bool(apart[k] < 0))
        again = found and cut.at - found[-1].at < INSIDE * h
        if again and cut.crosses and not found[-1].crosses:
            found[-1] = cut
        elif not again and (np.abs(marks[:, 0] - cut.at) < MARK_ASIDE * h).any():
            found.append(cut)
    return found


def _along(spot: TextSpot, points: Floats) -> Floats:
    """Places in a text's own frame, px: along it from its middle, and down from its middle."""
    t = math.radians(spot.angle)
    x, y = points[:, 0] - spot.centre.x, points[:, 1] - spot.centre.y
    return np.column_stack([x * math.cos(t) - y * math.sin(t), x * math.sin(t) + y * math.cos(t)])


def _parts(ground: _Ground, spot: TextSpot, cuts: Sequence[_Cut], lines: Sequence[_Cut]) -> Parted:
    """Part a text at those of some lines that no figure reaches over."""
    h = ground.height
    crop, back = turn_upright(
        ground.gray, spot.centre, angle=spot.angle, width=spot.length + h, height=spot.height + h
    )
    middle = crop.shape[1] / 2
    marks = _along(spot, ground.marks) + np.array([middle, crop.shape[0] / 2])
    on = _on_lines(marks, [middle + cut.at for cut in cuts], h)
    blobs = _without_marks(_blobs(ground, crop, back), on, h)
    touched = [m for m in on if any(b.contains(m) for b in blobs)]
    if touched:
        blobs = _without_marks(_blobs(ground, crop, back, dots=touched), on, h)
    figures = _row(blobs, h)
    edges = [middle + cut.at for cut in cuts if _has_room(figures, middle + cut.at, h)]
    bounds = [-math.inf, *edges, math.inf]
    groups = [[f for f in figures if low < f.centre.x <= high] for low, high in pairwise(bounds)]
    boxes = [
        _with_signs(_around(group), blobs, (low, high), h)
        for group, (low, high) in zip(groups, pairwise(bounds), strict=True)
        if group
    ]
    if len(boxes) < 2:
        return Parted((spot,))
    # texts that stand higher and lower pass for one that runs askew: the lines show the way
    lean = float(np.median([cut.lean for cut in cuts]))
    return Parted(
        tuple(_part(ground, replace(spot, angle=spot.angle + lean), back, own) for own in boxes),
        centred=all(_is_centred(own, [middle + line.at for line in lines], h) for own in boxes),
        crossed=all(cut.crosses for cut in cuts),
    )


def _parts_on_broken_lines(ground: _Ground, spot: TextSpot) -> Parted:
    """Part a text of which each half stands at the middle of a line that is broken for it.

    Texts on lines side by side are set higher and lower by turns, for want of room.
    """
    h = ground.height
    straight = replace(spot, angle=90.0 * round(spot.angle / 90.0))
    breaks = _breaks(ground, straight)
    if len(breaks) != 2 or breaks[1] - breaks[0] < APART * h:
        return Parted((spot,))
    wide, high = spot.box.width, spot.box.height
    wide, high = (wide, high) if round(straight.angle) % 180 == 0 else (high, wide)
    crop, back = turn_upright(
        ground.gray, spot.centre, angle=straight.angle, width=wide + h, height=high + h
    )
    blobs = [
        b for b in _blobs(ground, crop, back) if abs(b.centre.x - crop.shape[1] / 2) < wide / 2
    ]
    figures = sorted(
        (b for b in blobs if LOWEST * h < b.height < HIGHEST * h), key=lambda b: b.centre.x
    )
    places = [crop.shape[1] / 2 + at for at in breaks]
    offs = [_off_middles(figures, k, places) for k in range(1, len(figures))]
    if min(offs, default=math.inf) > CENTRED * h:
        return Parted((spot,))
    k = 1 + int(np.argmin(offs))
    halves = _around(figures[:k]), _around(figures[k:])
    middle = (halves[0].x1 + halves[1].x0) / 2
    bounds = (-math.inf, middle), (middle, math.inf)
    own = [
        _with_signs(half, blobs, between, h) for half, between in zip(halves, bounds, strict=True)
    ]
    return Parted(tuple(_part(ground, straight, back, box) for box in own), centred=True)


def _off_middles(figures: Sequence[Box], k: int, places: Sequence[float]) -> float:
    """How far the first k figures, or the others, stand off the middles they belong to."""
    halves = _around(figures[:k]), _around(figures[k:])
    return max(abs(half.centre.x - at) for half, at in zip(halves, places, strict=True))


def _breaks(ground: _Ground, spot: TextSpot) -> list[float]:
    """Places along a straight text of lines across it that are broken where it stands, px."""
    h, ends = ground.height, (ground.ends[:, :2], ground.ends[:, 2:])
    a, b = (_along(spot, p) for p in ends)
    run, rise = np.abs(a[:, 0] - b[:, 0]), np.abs(a[:, 1] - b[:, 1])
    at, top, foot = (a + b)[:, 0] / 2, np.minimum(a, b)[:, 1], np.maximum(a, b)[:, 1]
    near = (rise > STUB * h) & (run < SQUARE * rise) & (np.abs(at) < spot.length / 2)
    above = np.flatnonzero(near & (foot < BAND * h) & (foot > -WIDEST * h))
    below = np.flatnonzero(near & (top > -BAND * h) & (top < WIDEST * h))
    found: list[float] = []
    for i in above[np.argsort(at[above])].tolist():
        gaps = top[below] - foot[i]
        same = (np.abs(at[below] - at[i]) < SAME_LINE * h) & (gaps > h) & (gaps < WIDEST * h)
        if same.any() and not any(abs(at[i] - other) < INSIDE * h for other in found):
            found.append(float(at[i]))
    return found


def _is_centred(own: Box, lines: Sequence[float], h: float) -> bool:
    """Whether figures stand in the middle between the lines nearest to them."""
    before = [at for at in lines if at < own.centre.x]
    after = [at for at in lines if at > own.centre.x]
    if not before or not after:
        return False
    off = own.centre.x - (max(before) + min(after)) / 2
    return abs(off) < CENTRED * h and own.width < min(after) - max(before)


def _has_room(figures: Sequence[Box], at: float, h: float) -> bool:
    """Whether no figure reaches over a line, and those beside it stand further apart than usual."""
    reach = STRADDLES * h
    if any(f.x0 < at - reach and f.x1 > at + reach for f in figures):
        return False
    before = [f.x1 for f in figures if f.centre.x <= at]
    after = [f.x0 for f in figures if f.centre.x > at]
    return bool(before and after) and min(after) - max(before) > GAP * h


def _blobs(ground: _Ground, crop: Gray, back: Floats, *, dots: Sequence[Point] = ()) -> list[Box]:
    """Boxes of the blobs of ink in a crop; drawn lines and dots that ink touches are taken out."""
    depth = float(np.percentile(crop, 90)) - crop.astype(np.float32)
    full = float(np.percentile(depth, 99))
    if full < FAINTEST:
        return []
    left = np.asarray(depth > max(INK_SHARE * full, FAINTEST / 2), np.uint8)
    left[_drawn_lines(ground, crop.shape, back)] = 0
    for x, y in dots:
        cv2.circle(left, (round(x), round(y)), round(DOT * ground.height), (0,), -1)
    count, _, stats, _ = cv2.connectedComponentsWithStats(left, connectivity=8)
    return [Box(x, y, x + w, y + t) for x, y, w, t, _ in stats[1:count].tolist()]


def _on_lines(marks: Floats, cuts: Sequence[float], h: float) -> list[Point]:
    """Marks on the lines between two texts."""
    return [
        Point(x, y) for x, y in marks.tolist() if any(abs(x - at) < MARK_ASIDE * h for at in cuts)
    ]


def _without_marks(blobs: Sequence[Box], marks: Sequence[Point], h: float) -> list[Box]:
    """Leave out dots on the lines between two texts, with what is drawn of the dimension lines."""
    return [
        b
        for b in blobs
        if max(b.width / MARK_WIDE, b.height) > h
        or not any(b.grown(MARK_NEAR * h).contains(m) for m in marks)
    ]


def _row(blobs: Sequence[Box], h: float) -> list[Box]:
    """Those of some blobs that are the figures of one row."""
    tall = [b for b in blobs if LOWEST * h < b.height < HIGHEST * h]
    if not tall:
        return []
    row = float(np.median([b.centre.y for b in tall]))
    return [b for b in tall if abs(b.centre.y - row) < ROW * h]


def _with_signs(own: Box, blobs: Sequence[Box], between: tuple[float, float], h: float) -> Box:
    """Grow the box around figures over the points and inch marks beside them."""
    near = own.grown(SIGN * h)
    signs = [
        b
        for b in blobs
        if SMALLEST * h < max(b.width, b.height) < LOWEST * h
        and between[0] < b.centre.x <= between[1]
        and near.x0 < b.centre.x < near.x1
        and own.y0 < b.centre.y < own.y1
    ]
    return _around([own, *signs])


def _drawn_lines(ground: _Ground, shape: tuple[int, ...], back: Floats) -> NDArray[np.bool_]:
    """Draw the long strokes near a crop into it, as wide as they are."""
    canvas = np.zeros(shape, np.uint8)
    to_crop = np.linalg.inv(back[:, :2])
    a, b = ((ground.ends[:, k : k + 2] - back[:, 2]) @ to_crop.T for k in (0, 2))
    far = np.hypot(*(b - a).T) > DRAWN * ground.height
    here = (np.maximum(a, b) > 0).all(axis=1) & (np.minimum(a, b) < shape[::-1]).all(axis=1)
    for i in np.flatnonzero(far & here):
        path = np.clip(np.round(np.stack([a[i], b[i]]) * 8.0), -1e6, 1e6).astype(np.int32)
        thick = max(1, round(float(ground.widths[i]) + 2 * LINE_ROOM_PX))
        cv2.polylines(canvas, [path], False, (255,), thick, cv2.LINE_8, 3)
    return np.asarray(canvas > 0)


def _around(boxes: Sequence[Box]) -> Box:
    return Box.around([p for b in boxes for p in (b[:2], b[2:])])


def _part(ground: _Ground, spot: TextSpot, back: Floats, own: Box) -> TextSpot:
    """Cut one part of a text anew; `own` is in px of a crop that `back` brings to the picture."""
    x, y = (float(v) for v in back[:, :2] @ np.array(own.centre) + back[:, 2])
    centre, room = Point(x, y), MARGIN * own.height
    crop, to_picture = turn_upright(
        ground.gray,
        centre,
        angle=spot.angle,
        width=own.width + 2 * room,
        height=own.height + 2 * room,
    )
    tall, wide = crop.shape
    corners = [(0.0, 0.0), (wide, 0.0), (wide, tall), (0.0, tall)]
    places = [to_picture[:, :2] @ np.array(c) + to_picture[:, 2] for c in corners]
    return TextSpot(
        box=Box.around([(float(p[0]), float(p[1])) for p in places]),
        angle=spot.angle,
        distance=spot.distance,
        crop=crop,
        centre=centre,
        length=own.width,
        height=own.height,
    )
