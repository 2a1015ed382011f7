"""Slanted texts of a picture cut anew along the leader or the arc they are written at.

The network's idea of a slanted direction is rough: a short text is cut level, or its sign is cut
off. Leaders and angles are found without any text, and their direction is exact; beside a leader,
beyond its end or on an arc, what is left of the ink when the drawn lines are taken out is its text.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.dimensions.candidates import Candidate
from audit.dimensions.ink import Ink
from audit.dimensions.raster_leaders import find_leaders
from audit.dimensions.raster_page import DEFAULT_PX_PER_MM, TracedPage, trace_page
from audit.dimensions.raster_sectors import find_sectors, without_angle_arcs
from audit.geometry import Box, Point
from audit.networks.page import PageMaps
from audit.reading import TextSpot
from audit.reading.find_text import readable_angle
from audit.reading.near import turn_upright

SLANT_DEG = 5.0  # text nearer to a quarter turn is cut well as it is
USUAL_MM = 2.8  # height of lettering, where too few texts tell
FEW = 5
SURE = 0.8  # strength of a leader or angle that may claim text
LEADER_ROOM, BESIDE = 9.0, 3.2  # text heights looked at beyond a leader's end, and to its sides
ARC_ROOM = 3.5  # text heights looked at to all sides of a text on an arc
NEAR_LEADER = 1.3  # text heights between a leader and its text
HEAD_HEIGHTS = 1.4  # around the tip: arrowheads, dots
SMALLEST, LARGEST = 0.12, 3.0  # text heights: blobs of text
TALL = 0.45  # of a text height: figures, the rest are bars and points
WORD_GAP = 1.25  # text heights; a space of a typewriter face
SHORTEST = 1.1  # text heights: two letters
TALLEST = 2.5  # text heights: a stacked fraction
ROW = 0.3  # share of height in common
INK_SHARE = 0.45
MARGIN = 0.12  # of the height, kept around the ink in the crop
FAINTEST = 25.0  # gray levels
LONG_STROKE, LARGE_ARC = 2.2, 1.4  # text heights: longer strokes and larger arcs are no letters
STROKE_ROOM_PX = 2.0  # around a drawn line
MASKED = 110  # of 255: text, says the network
LOWER = 0.93  # a text's height in its own direction against that in another one
SLENDER, FLATTER = 2.0, 0.75  # a text so long and so much lower than a new cut lies as it was cut
SAME_DEG, SAME_LENGTH = 4.0, 0.15  # a cut that is as good already
LONGER = 1.5

Gray = NDArray[np.uint8]
Mask = NDArray[np.bool_]
Floats = NDArray[np.float64]
_Cuts = tuple[TextSpot, tuple[TextSpot, ...]]  # a text's cut, and other cuts of it


@dataclass(frozen=True, slots=True, eq=False)
class Recut:
    """Texts of a picture, and for each (in the same order) other cuts that may read better."""

    spots: tuple[TextSpot, ...]
    others: tuple[tuple[TextSpot, ...], ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Ground:
    """What is looked at: the raster, drawn lines in its px, the network's text."""

    gray: Gray
    ink: Ink
    maps: PageMaps
    px_per_pt: float
    height: float
    level: float


def recut_texts(
    gray: Gray,
    maps: PageMaps,
    spots: Sequence[TextSpot],
    *,
    px_per_mm: float | None,
    level: float,
    traced: TracedPage | None = None,
) -> Recut:
    """Cut slanted texts at leaders and angles again, in their exact direction.

    Lines that run through them are taken out; cuts with the lines, and the texts as they were,
    are the other cuts.

    Parameters
    ----------
    gray : (h, w) uint8 array
    maps : PageMaps
        Of the same picture.
    spots : sequence of TextSpot
        Its texts as they were found.
    px_per_mm : float or None
        Pixels to a millimetre of paper.
    level : float
        Direction in which level text runs, degrees.
    traced : TracedPage, optional
        Its strokes and arcs, when they were traced already.

    Returns
    -------
    Recut
        From the top down, as `find_text` gives them.
    """
    scale = px_per_mm or DEFAULT_PX_PER_MM
    px = scale * 25.4 / 72
    traced = traced or trace_page(gray, maps, px_per_mm=px_per_mm)
    ink = Ink(traced.page)
    sectors = find_sectors(ink, traced.terminators, maps, px_per_pt=px)
    rounds = without_angle_arcs(ink.arcs, sectors)
    leaders = find_leaders(ink, rounds, traced.terminators)
    ground = _Ground(gray, ink, maps, px, _usual_height(spots, scale), level)
    kept: list[_Cuts] = [(s, ()) for s in spots]
    for leader in leaders:
        if leader.strength >= SURE and not leader.strict:
            _claim(kept, _text_of_leader(ground, leader))
    for sector in sectors:
        if sector.strength >= SURE:
            for spot in _on_arc(sector, [s for s, _ in kept], px, ground.height):
                _claim(kept, _text_on_arc(ground, sector, spot))
    kept.sort(key=lambda cuts: (cuts[0].box.y0, cuts[0].box.x0))
    return Recut(tuple(s for s, _ in kept), tuple(others for _, others in kept))


def _usual_height(spots: Sequence[TextSpot], scale: float) -> float:
    heights = [s.height for s in spots if s.length > 1.5 * s.height]
    return float(np.median(heights)) if len(heights) >= FEW else USUAL_MM * scale


def _claim(kept: list[_Cuts], found: _Cuts | None) -> None:
    """Put a new cut in the place of those it covers, unless one of those is as good."""
    if found is None:
        return
    new = found[0]
    covered = [cuts for cuts in kept if _covers(new, cuts[0])]
    if any(_is_a_row(old, new) for old, _ in covered):
        return
    for old, _ in covered:
        off = abs((old.angle - new.angle + 90.0) % 180.0 - 90.0)
        ratio = old.length / max(new.length, 1.0)
        if off < SAME_DEG and (abs(ratio - 1.0) < SAME_LENGTH or ratio > LONGER):
            return
    for cuts in covered:
        kept.remove(cuts)
    kept.append((new, (*found[1], *(old for old, _ in covered if _is_most(old, new)))))


def _is_a_row(old: TextSpot, new: TextSpot) -> bool:
    """Whether a text lies along its own row: in another direction it would be lower, not higher.

    A slash with a line that ends at it looks like a leader.
    """
    return old.length > SLENDER * old.height and old.height < FLATTER * new.height


def _is_most(old: TextSpot, new: TextSpot) -> bool:
    """Whether an old cut is most of the text, not a letter of it."""
    return old.length > 0.6 * new.length


def _covers(new: TextSpot, old: TextSpot) -> bool:
    """Whether a text's middle lies in another one, or most of that one in it."""
    t = math.radians(new.angle)
    dx, dy = old.centre.x - new.centre.x, old.centre.y - new.centre.y
    along, aside = dx * math.cos(t) - dy * math.sin(t), dx * math.sin(t) + dy * math.cos(t)
    inside = abs(along) < 0.55 * new.length and abs(aside) < 0.6 * new.height
    return inside or old.box.contains(new.centre)


def _text_of_leader(ground: _Ground, leader: Candidate) -> _Cuts | None:
    """Find the text written along a slanted leader, beside it or beyond its end."""
    px, h = ground.px_per_pt, ground.height
    tip, tail = (Point(p.x * px, p.y * px) for p in (leader.line[0], leader.line[1]))
    far = tip.distance(tail)
    angle = math.degrees(math.atan2(tip.y - tail.y, tail.x - tip.x))
    if abs((angle - ground.level + 45.0) % 90.0 - 45.0) < SLANT_DEG or far < 1.0:
        return None
    ux, uy = (tail.x - tip.x) / far, (tail.y - tip.y) / far
    reach = LEADER_ROOM * h if len(leader.line) == 2 else 0.5 * h
    middle = tip.moved(ux * (far + reach) / 2, uy * (far + reach) / 2)
    angle = readable_angle(angle, level=ground.level)
    crop, back = turn_upright(
        ground.gray, middle, angle=angle, width=far + reach, height=2 * BESIDE * h
    )
    row = crop.shape[0] / 2

    def belongs(group: Box) -> bool:
        return bool(max(group.y0 - row, row - group.y1, 0.0) < NEAR_LEADER * h)

    return _cut(ground, crop, back, angle, around=_into(tip, back), belongs=belongs)


def _text_on_arc(ground: _Ground, sector: Candidate, spot: TextSpot) -> _Cuts | None:
    """Cut a text on an arc the way the arc runs there, if it is lower that way."""
    px, h = ground.px_per_pt, ground.height
    centre = sector.arcs[0].centre
    turn = math.degrees(math.atan2(centre.y * px - spot.centre.y, spot.centre.x - centre.x * px))
    angle = readable_angle(turn - 90.0, level=ground.level)
    if abs((angle - spot.angle + 90.0) % 180.0 - 90.0) < SLANT_DEG:
        return None
    size = 2 * ARC_ROOM * h
    crop, back = turn_upright(ground.gray, spot.centre, angle=angle, width=size, height=size)
    middle = (size / 2, size / 2)
    return _cut(
        ground, crop, back, angle, around=None, belongs=lambda g: g.grown(0.3 * h).contains(middle)
    )


def _on_arc(sector: Candidate, spots: Sequence[TextSpot], px: float, h: float) -> list[TextSpot]:
    arc = sector.arcs[0]
    found = []
    for spot in spots:
        x, y = spot.centre.x - arc.centre.x * px, arc.centre.y * px - spot.centre.y
        turn = math.degrees(math.atan2(y, x))
        on = abs(math.hypot(x, y) - arc.radius * px) < 2.2 * h
        if on and (turn - arc.start) % 360.0 < arc.sweep and spot.length < 5.0 * h:
            found.append(spot)
    return found


def _into(p: Point, back: Floats) -> tuple[float, float]:
    x, y = np.linalg.solve(back[:, :2], np.array(p) - back[:, 2])
    return float(x), float(y)


def _cut(
    ground: _Ground,
    crop: Gray,
    back: Floats,
    angle: float,
    *,
    around: tuple[float, float] | None,
    belongs: Callable[[Box], bool],
) -> _Cuts | None:
    """Find the group of blobs in a crop that is the text, and cut it."""
    h = ground.height
    paper = float(np.percentile(crop, 90))
    depth = paper - crop.astype(np.float32)
    full = float(np.percentile(depth, 99))
    if full < FAINTEST:
        return None
    inked = depth > max(INK_SHARE * full, FAINTEST / 2)
    drawn = _drawn_lines(ground, crop.shape, back)
    masked = _masked(ground.maps, crop.shape, back)
    left = np.asarray(inked & ~drawn, np.uint8)
    count, labels, stats, _ = cv2.connectedComponentsWithStats(left, connectivity=8)
    blobs: list[tuple[Box, bool]] = []
    for k in range(1, count):
        x, y, w, high, area = (int(v) for v in stats[k])
        box = Box(x, y, x + w, y + high)
        if area < 3 or max(w, high) > LARGEST * h or max(w, high) < SMALLEST * h:
            continue
        if around is not None and math.dist(box.centre, around) < HEAD_HEIGHTS * h:
            continue
        part = labels[y : y + high, x : x + w] == k
        blobs.append((box, bool(masked[y : y + high, x : x + w][part].mean() > 0.4)))
    group = _best_group(blobs, h, belongs)
    if group is None or not _is_lower(left, group, angle, ground.level):
        return None
    keep = np.zeros(crop.shape, np.bool_)
    keep[int(group.y0) : math.ceil(group.y1), int(group.x0) : math.ceil(group.x1)] = True
    cuts = [
        _spot(_cleaned(crop, own & keep, inked, paper), group, back, angle)
        for own in (left > 0, (left > 0) | (masked & inked))
    ]
    return cuts[0], tuple(cuts[1:]) if (masked & inked & keep & (left == 0)).any() else ()


def _cleaned(crop: Gray, own: Mask, inked: Mask, paper: float) -> Gray:
    """Whiten all ink that is not a text's own."""
    near = cv2.dilate(own.astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
    strange = np.asarray(inked & ~own, np.uint8)
    foreign = (cv2.dilate(strange, np.ones((5, 5), np.uint8)) > 0) & ~near
    return np.where(foreign, np.uint8(round(paper)), crop).astype(np.uint8)


def _spot(clean: Gray, group: Box, back: Floats, angle: float) -> TextSpot:
    cut = group.grown(max(2.0, MARGIN * group.height))
    corners = [back[:, :2] @ np.array(c) + back[:, 2] for c in group.corners]
    middle = back[:, :2] @ np.array(group.centre) + back[:, 2]
    return TextSpot(
        box=Box.around([(float(x), float(y)) for x, y in corners]),
        angle=angle,
        distance=0.0,
        crop=clean[
            max(0, int(cut.y0)) : math.ceil(cut.y1), max(0, int(cut.x0)) : math.ceil(cut.x1)
        ],
        centre=Point(float(middle[0]), float(middle[1])),
        length=group.width,
        height=group.height,
    )


def _best_group(
    blobs: Sequence[tuple[Box, bool]], h: float, belongs: Callable[[Box], bool]
) -> Box | None:
    """Grow rows of blobs, and take the one with the most text in it that belongs here."""
    best: tuple[float, Box] | None = None
    seeds = [b for b, text in blobs if text and b.height > TALL * h]
    seeds = seeds or [b for b, _ in blobs if 0.6 * h < b.height < 1.6 * h]
    for seed in seeds:
        group, weight = _grown(seed, blobs, h)
        fits = 0.5 * h < group.height < TALLEST * h and group.width > SHORTEST * h
        if fits and belongs(group) and (best is None or weight > best[0]):
            best = (weight, group)
    return None if best is None else best[1]


def _grown(seed: Box, blobs: Sequence[tuple[Box, bool]], h: float) -> tuple[Box, float]:
    group, left = seed, [row for row in blobs if row[0] is not seed]
    weight = seed.width
    while True:
        more = [row for row in left if _joins(group, row[0], h)]
        if not more:
            return group, weight
        for row in more:
            grown = Box.around([p for b in (group, row[0]) for p in (b[:2], b[2:])])
            if grown.height < TALLEST * h:
                group = grown
                weight += row[0].width * (1.0 if row[1] else 0.3)
            left.remove(row)


def _joins(group: Box, blob: Box, h: float) -> bool:
    gap = max(blob.x0 - group.x1, group.x0 - blob.x1)
    common = min(group.y1, blob.y1) - max(group.y0, blob.y0)
    over = -gap > 0.5 * min(group.width, blob.width)  # above or below: a numerator, a bar
    level = common > ROW * min(group.height, blob.height)
    return (gap < WORD_GAP * h and level) or (over and common > -0.35 * h)


def _is_lower(left: NDArray[np.uint8], group: Box, angle: float, level: float) -> bool:
    """Whether a text is lower in its crop than seen level and upright."""
    rows, columns = np.nonzero(
        left[int(group.y0) : math.ceil(group.y1), int(group.x0) : math.ceil(group.x1)]
    )
    if len(rows) < 4:
        return False
    own = float(np.ptp(rows)) + 1.0
    if group.width > 3.0 * group.height:
        return True
    t = math.radians(angle - level)
    across = rows * math.cos(t) - columns * math.sin(t)
    return own < LOWER * (float(np.ptp(across)) + 1.0)


def _drawn_lines(ground: _Ground, shape: tuple[int, ...], back: Floats) -> Mask:
    """Draw long strokes and large arcs into a crop, as wide as they are."""
    canvas = np.zeros(shape, np.uint8)
    px, h, ink = ground.px_per_pt, ground.height, ground.ink
    to_crop = np.linalg.inv(back[:, :2])

    def place(x: Floats, y: Floats) -> Floats:
        return np.asarray((np.column_stack([x, y]) * px - back[:, 2]) @ to_crop.T)

    corners = back[:, :2] @ np.array([[0, shape[1], shape[1], 0], [0, 0, shape[0], shape[0]]])
    corners = (corners + back[:, 2:]) / px
    low, high = corners.min(axis=1), corners.max(axis=1)
    e = ink.ends
    here = (np.maximum(e[:, 0], e[:, 2]) > low[0]) & (np.minimum(e[:, 0], e[:, 2]) < high[0])
    here &= (np.maximum(e[:, 1], e[:, 3]) > low[1]) & (np.minimum(e[:, 1], e[:, 3]) < high[1])
    here &= ink.lengths * px > LONG_STROKE * h
    for i in np.flatnonzero(here):
        path = place(e[i, [0, 2]], e[i, [1, 3]])
        _draw(canvas, path, float(ink.widths[i]) * px)
    for arc in ink.arcs:
        if arc.radius * px < LARGE_ARC * h:
            continue
        turns = np.radians(arc.start + np.linspace(0.0, arc.sweep, 180))
        path = place(
            arc.centre.x + arc.radius * np.cos(turns), arc.centre.y - arc.radius * np.sin(turns)
        )
        _draw(canvas, path, arc.width * px)
    return canvas > 0


def _draw(canvas: NDArray[np.uint8], path: Floats, width: float) -> None:
    points = np.clip(np.round(path * 8.0), -1e6, 1e6).astype(np.int32)
    thick = max(1, round(width + 2 * STROKE_ROOM_PX))
    cv2.polylines(canvas, [points], False, (255,), thick, cv2.LINE_8, 3)


def _masked(maps: PageMaps, shape: tuple[int, ...], back: Floats) -> Mask:
    """Bring the network's text into a crop."""
    to_map = back.copy()
    to_map[:, 2] += back[:, :2] @ [0.5, 0.5]
    to_map /= maps.px_per_map_px
    to_map[:, 2] -= 0.5
    values = cv2.warpAffine(
        maps.text, to_map, (shape[1], shape[0]), flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    )
    return np.asarray(values >= MASKED)
