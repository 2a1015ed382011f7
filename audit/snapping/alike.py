"""Everything on a picture that looks like one picked feature: COUNT ALIKE.

What is found is what is drawn and seen; hidden, mirrored and other-hand copies are not.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np

from audit.errors import BadPlace
from audit.geometry import Box, Point
from audit.snapping.alike_pattern import Gray, Mask, Pattern, find_ink, take_pattern
from audit.snapping.alike_search import (
    LARGEST,
    SCALE_SLACK,
    SMALLEST,
    Fitter,
    Ground,
    Pose,
    find_peaks,
)

LEAST_SIDE_PX = 8.0
MOST_SIDE_PX = 96.0  # larger features are looked at shrunk to this
LEAST_SCORE = 0.82
TILE_PX = 3000  # of what is searched at once
ROUNDS = 3  # of searching, each with a pattern corrected by the finds
SURE_SCORE = 0.55  # from which on a find may tell what the pattern is
AS_GOOD = 0.9  # of the third best score
HOPEFUL = 0.35  # worth another look with a better pattern
MOST_TOLD = 12  # finds, the best, that tell it
ENOUGH_FINDS = 3
SHARED = 0.4  # of the finds: ink of the example that fewer have was not its own
COMMON = 0.7  # of the finds: ink that so many have under a line of the example is its own
MOST_LONE = 0.5  # of the example's ink; where more is its own only, the finds are others
SAME_PLACE = 0.45  # of the feature's sides: two finds so near are one
SEED = 7  # of the points that stand for a pattern


@dataclass(frozen=True, slots=True)
class Alike:
    """A feature that looks like the example.

    Attributes
    ----------
    centre : Point
        Where the middle of the example's box comes to lie, px.
    angle : float
        Degrees it is turned against the example, clockwise as seen, above -180 to 180.
    scale : float
        Its size against the example's.
    score : float
        How well the ink agrees, 0 to 1.
    """

    centre: Point
    angle: float
    scale: float
    score: float


def find_alike(
    gray: Gray,
    example: Box,
    *,
    where: Box | None = None,
    turned: bool = True,
    least: float = LEAST_SCORE,
) -> tuple[Alike, ...]:
    """Find everything that looks like one picked feature, itself among it.

    Parameters
    ----------
    gray : (h, w) uint8 array
    example : Box
        Around the picked feature, loosely, px.
    where : Box or None
        Where to look, px; `None`: everywhere.
    turned : bool
        Whether those that are turned against the example count.
    least : float
        Score from which on a find counts, 0 to 1.

    Returns
    -------
    tuple of Alike
        From 0.9 to 1.1 times the example's size, the best first.

    Raises
    ------
    BadPlace
        If the example lies outside the picture, is too small, or shows nothing.
    """
    h, w = gray.shape
    box = _whole_pixels(example, w, h)
    factor = min(MOST_SIDE_PX / max(box[2] - box[0], box[3] - box[1]), 1.0)
    area = _area(where, box, w, h)
    # a little more than the example, so that the light of its paper is known
    ink = find_ink(_shrunk(gray[area[1] : area[3], area[0] : area[2]], factor))
    own = tuple(
        (v - o) * factor for v, o in zip(box, (area[0], area[1], area[0], area[1]), strict=True)
    )
    x0, y0, x1, y1 = (round(v) for v in own)
    pattern = take_pattern(ink[y0:y1, x0:x1])
    if pattern is None:
        raise BadPlace(
            "the example shows nothing", advice="draw the box around one feature on the sheet"
        )
    middle = Pose((x0 + x1) / 2, (y0 + y1) / 2, 0.0, 1.0)
    finds = _search(ink, pattern, own=middle, turned=turned, least=least)
    offset = Point(area[0], area[1])
    found = [_in_picture(f, factor, offset) for f in finds]
    if where is not None:
        found = [f for f in found if where.contains(f.centre)]
    return tuple(found)


def _in_picture(find: Alike, factor: float, offset: Point) -> Alike:
    """Bring a find from the searched picture to the whole one."""
    centre = Point(find.centre.x / factor + offset.x, find.centre.y / factor + offset.y)
    return replace(find, centre=centre)


def _whole_pixels(example: Box, w: int, h: int) -> tuple[int, int, int, int]:
    x0, y0 = max(math.floor(example.x0), 0), max(math.floor(example.y0), 0)
    x1, y1 = min(math.ceil(example.x1), w), min(math.ceil(example.y1), h)
    if x1 <= x0 or y1 <= y0:
        raise BadPlace("the example lies outside the picture", advice="draw its box on the sheet")
    if min(x1 - x0, y1 - y0) < LEAST_SIDE_PX:
        raise BadPlace(
            f"the example is smaller than {LEAST_SIDE_PX:.0f} pixels",
            advice="draw the box around the whole feature",
        )
    return x0, y0, x1, y1


def _area(
    where: Box | None, box: tuple[int, int, int, int], w: int, h: int
) -> tuple[int, int, int, int]:
    """What is looked at: where to search, and the example."""
    if where is None:
        return 0, 0, w, h
    room = max(box[2] - box[0], box[3] - box[1])
    x0, y0 = min(where.x0 - room, box[0] - room), min(where.y0 - room, box[1] - room)
    x1, y1 = max(where.x1 + room, box[2] + room), max(where.y1 + room, box[3] + room)
    return max(int(x0), 0), max(int(y0), 0), min(math.ceil(x1), w), min(math.ceil(y1), h)


def _shrunk(gray: Gray, factor: float) -> Gray:
    if factor >= 1.0:
        return gray
    h, w = gray.shape
    size = (max(round(w * factor), 1), max(round(h * factor), 1))
    return np.asarray(cv2.resize(gray, size, interpolation=cv2.INTER_AREA), np.uint8)


def _search(ink: Mask, pattern: Pattern, *, own: Pose, turned: bool, least: float) -> list[Alike]:
    ground = Ground(ink)
    poses = [own, *_peaks(ground, pattern, turned=turned)]
    finds: list[Alike] = []
    for _ in range(ROUNDS):
        fitter = Fitter(ground, pattern, np.random.default_rng(SEED))
        fitted = [fitter.fit(p, turned=turned) for p in poses]
        scored = [(fitter.score(p), p) for p in fitted]
        finds = _keep(scored, pattern, least=min(least, SURE_SCORE))
        better = _shared(fitter, _tellers(finds), pattern)
        if better is None:
            break
        pattern = better
        poses = [p for score, p in scored if score >= HOPEFUL]
    return [f for f in finds if f.score >= least]


def _peaks(ground: Ground, pattern: Pattern, *, turned: bool) -> list[Pose]:
    """Find peaks piece by piece, so that a large sheet needs little memory."""
    h, w = ground.ink.shape
    if max(h, w) <= TILE_PX:
        return find_peaks(ground, pattern, turned=turned)
    found = []
    room = math.ceil(math.hypot(*pattern.own.shape))
    for x, y in _tiles(w, h):
        x0, y0 = max(x - room, 0), max(y - room, 0)
        part = ground.ink[y0 : y + TILE_PX + room, x0 : x + TILE_PX + room]
        if not part.any():
            continue
        peaks = find_peaks(Ground(part), pattern, turned=turned)
        found += [replace(p, x=p.x + x0, y=p.y + y0) for p in peaks]
    return found


def _tiles(w: int, h: int) -> Iterator[tuple[int, int]]:
    for y in range(0, h, TILE_PX):
        for x in range(0, w, TILE_PX):
            yield x, y


def _keep(scored: Sequence[tuple[float, Pose]], pattern: Pattern, *, least: float) -> list[Alike]:
    """Keep what is alike, each once."""
    sized = [
        (score, pose)
        for score, pose in scored
        if score >= least and SMALLEST - SCALE_SLACK <= pose.scale <= LARGEST + SCALE_SLACK
    ]
    scored = sorted(sized, key=lambda s: -s[0])
    rows, columns = np.nonzero(pattern.own)
    half = (SAME_PLACE * float(np.ptp(columns) + 1), SAME_PLACE * float(np.ptp(rows) + 1))
    kept: list[Alike] = []
    for score, pose in scored:
        centre = Point(pose.x, pose.y)
        if any(_is_same_place(centre, k, half) for k in kept):
            continue
        angle = (pose.angle + 180.0) % 360.0 - 180.0
        kept.append(Alike(centre, angle if angle > -180.0 else 180.0, pose.scale, score))
    return kept


def _is_same_place(centre: Point, find: Alike, half: tuple[float, float]) -> bool:
    dx, dy = centre.x - find.centre.x, centre.y - find.centre.y
    c, s = math.cos(math.radians(find.angle)), math.sin(math.radians(find.angle))
    return abs(c * dx + s * dy) < half[0] and abs(c * dy - s * dx) < half[1]


def _tellers(finds: Sequence[Alike]) -> Sequence[Alike]:
    """Return the finds that tell what the pattern is: the best, and those about as good."""
    if len(finds) < ENOUGH_FINDS:
        return ()
    least = AS_GOOD * finds[ENOUGH_FINDS - 1].score
    return [f for f in finds if f.score >= least][:MOST_TOLD]


def _shared(fitter: Fitter, finds: Sequence[Alike], pattern: Pattern) -> Pattern | None:
    """Correct the pattern by what its finds have in common; `None` when nothing changes.

    A crumb of a crossing line is left out when few others have it; what a line hid is taken in
    again when most have it.
    """
    if len(finds) < ENOUGH_FINDS:
        return None
    poses = [Pose(f.centre.x, f.centre.y, f.angle, f.scale) for f in finds]
    lone = np.mean([fitter.covered(p, pattern.own) for p in poses], axis=0) < SHARED
    hidden = np.mean([fitter.covered(p, pattern.free, within=0.6) for p in poses[1:]], axis=0)
    common = hidden > COMMON
    if not (lone.any() or common.any()) or lone.mean() > MOST_LONE:
        return None
    own, free = pattern.own.copy(), pattern.free.copy()
    rows, columns = np.nonzero(pattern.own)
    own[rows[lone], columns[lone]], free[rows[lone], columns[lone]] = False, True
    rows, columns = np.nonzero(pattern.free)
    own[rows[common], columns[common]], free[rows[common], columns[common]] = True, False
    return Pattern(own, free)
