"""Frames ruled about figures: what stands in one is apart from what stands outside it.

Plates of books and magazines have a frame about all their drawings, or one about every figure; a
detail is often boxed into the corner of another view. Such a frame is no outline: sizes stand in
it, and none is measured on it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.dimensions.ink import Ink
from audit.dimensions.shown import Shown
from audit.geometry import Box
from audit.records import Dimension

Floats = NDArray[np.float64]
LEAST_PT = 45.0  # a frame's shorter side: smaller ones are about letters
RIM_PT = 3.0  # from the side of the box about a frame to its ink
RIM_SHARE = 0.01  # and this share of the side more: pages are bent, and lie askew
BIN_PT = 8.0
LEAST_SEEN = 2  # sides of a frame that are not hidden beyond the picture's rim
OUT_PT = 12.0  # from the picture's rim to the ink of a side that it cuts
COVERED = 0.9  # of a side or of a rule from side to side
SQUARE_SIN = 0.05  # of the slope of a ruled line
SQUARE_SHARE = 0.97  # of a frame's length: the rest are corners that were traced round
ON_PT = 2.5  # from a side to the end of a size that is measured there
NEAR_PT = 72.0  # sizes stand no further off from what they measure


@dataclass(frozen=True, slots=True, kw_only=True)
class Samples:
    """Places along the strokes of a page: where they lie, whose they are, what hangs together."""

    x: Floats
    y: Floats
    owner: NDArray[np.intp]
    part: NDArray[np.int32]


def find_frames(
    ink: Ink, samples: Samples, dimensions: Sequence[Dimension], shown: Shown
) -> set[int]:
    """Find ruled frames among what hangs together on a page.

    Parameters
    ----------
    ink : Ink
        Level and upright but for what the page is bent.
    samples : Samples
    dimensions : sequence of Dimension
        In the frame of the ink.
    shown : Shown
        What a picture shows of the page: sides beyond its rim may be there.

    Returns
    -------
    set of int
        Values of `samples.part`.
    """
    inside = [Box.around([*(e.point for e in d.ends), *d.line]) for d in dimensions]
    found: set[int] = set()
    if not inside or not len(samples.x):
        return found
    order = np.argsort(samples.part, kind="stable")
    labels, first = np.unique(samples.part[order], return_index=True)
    square = np.abs(ink.units).min(axis=1) < SQUARE_SIN
    for label, which in zip(map(int, labels), np.split(order, first[1:]), strict=True):
        x, y = samples.x[which], samples.y[which]
        box = Box(float(x.min()), float(y.min()), float(x.max()), float(y.max()))
        if min(box.width, box.height) < LEAST_PT:
            continue
        if square[samples.owner[which]].mean() < SQUARE_SHARE:
            continue
        frame = _ruled_box(box, x, y, shown)
        if frame is None or not any(holds(frame, b) for b in inside):
            continue
        if not any(is_measured(frame, d) for d in dimensions):
            found.add(label)
    return found


def part_fields(frames: NDArray[np.uint8]) -> NDArray[np.int32]:
    """Number the fields that frames part a page into.

    Parameters
    ----------
    frames : (h, w) uint8 array
        1 where a frame is drawn.

    Returns
    -------
    (h, w) int32 array
        0 on the frames and right beside them.

    Examples
    --------
    >>> grid = np.zeros((5, 9), np.uint8)
    >>> grid[:, 4] = 1
    >>> part_fields(grid)[2].tolist()
    [1, 1, 1, 0, 0, 0, 2, 2, 2]
    """
    thick = cv2.dilate(frames, np.ones((3, 3), np.uint8))  # closes gaps of a cell
    _, fields = cv2.connectedComponents(1 - thick, connectivity=4, ltype=cv2.CV_32S)
    return np.asarray(fields, np.int32)


def holds(box: Box, other: Box) -> bool:
    """Tell whether a box lies well inside another.

    Parameters
    ----------
    box : Box
        The outer one.
    other : Box

    Returns
    -------
    bool
    """
    return (
        box.x0 + ON_PT < other.x0
        and box.y0 + ON_PT < other.y0
        and other.x1 < box.x1 - ON_PT
        and other.y1 < box.y1 - ON_PT
    )


def _ruled_box(box: Box, x: Floats, y: Floats, shown: Shown) -> Box | None:
    """Box of the frame that ink is, up to the picture's rim where that hides sides of it."""
    covered = [_covers(side, x, y, shown) for side in _sides(box)]
    if not all(covered):
        numbers = zip(covered, box, shown.box, strict=True)
        box = Box(*(own if seen else rim for seen, own, rim in numbers))
    sides = _sides(box)
    if not all(covered) and not all(
        _covers(side, x, y, shown) and _runs_out(side, x, y, shown) for side in sides
    ):
        return None
    near = [side.has(x, y) for side in sides]
    lengths = [_bins(side.along(x, y)[on]) * BIN_PT for side, on in zip(sides, near, strict=True)]
    if sum(length > LEAST_PT for length in lengths) < LEAST_SEEN:
        return None
    within = ~np.logical_or.reduce(near)
    ruled = not within.any() or _all_across(x[within], y[within], box, shown)
    return box if ruled else None


@dataclass(frozen=True, slots=True)
class _Side:
    """A line level or upright: where it lies across, from where to where, how far ink may stray."""

    at: float
    low: float
    high: float
    stray: float
    is_upright: bool

    def along(self, x: Floats, y: Floats) -> Floats:
        return y if self.is_upright else x

    def has(self, x: Floats, y: Floats) -> NDArray[np.bool_]:
        across = x if self.is_upright else y
        return np.asarray(np.abs(across - self.at) < self.stray)


def _sides(box: Box) -> tuple[_Side, _Side, _Side, _Side]:
    """Left, top, right, bottom: in the order of a box's numbers."""
    rim_x, rim_y = (RIM_PT + RIM_SHARE * side for side in (box.height, box.width))
    return (
        _Side(box.x0, box.y0, box.y1, rim_x, is_upright=True),
        _Side(box.y0, box.x0, box.x1, rim_y, is_upright=False),
        _Side(box.x1, box.y0, box.y1, rim_x, is_upright=True),
        _Side(box.y1, box.x0, box.x1, rim_y, is_upright=False),
    )


def _bins(places: Floats) -> int:
    return len(np.unique((places / BIN_PT).astype(int)))


def _covers(side: _Side, x: Floats, y: Floats, shown: Shown) -> bool:
    """Whether ink lies all along a line, but for where the picture's rim hides it."""
    along = side.along(x, y)[side.has(x, y)]
    enough = COVERED * (side.high - side.low) / BIN_PT
    if _bins(along) >= enough:
        return True
    places, hidden = _places(side, shown)
    return _bins(np.concatenate([along, places[hidden]])) >= enough


def _runs_out(side: _Side, x: Floats, y: Floats, shown: Shown) -> bool:
    """Whether ink on a line begins and ends with what the picture shows of it."""
    places, hidden = _places(side, shown)
    if hidden.all():
        return True
    along = side.along(x, y)[side.has(x, y)]
    seen = places[~hidden]
    return bool(
        len(along) and along.min() < seen.min() + OUT_PT and along.max() > seen.max() - OUT_PT
    )


def _places(side: _Side, shown: Shown) -> tuple[Floats, NDArray[np.bool_]]:
    """Places along a line, and which of them are hidden."""
    places = np.arange(side.low, side.high, BIN_PT)
    level = np.full(len(places), side.at)
    hidden = shown.hides(level, places) if side.is_upright else shown.hides(places, level)
    return places, hidden


def _all_across(x: Floats, y: Floats, box: Box, shown: Shown) -> bool:
    """Whether all places lie on lines from side to side."""
    on = np.zeros(len(x), np.bool_)
    for across, is_upright, low, high in (
        (y, False, box.x0, box.x1),
        (x, True, box.y0, box.y1),
    ):
        bins = (across / BIN_PT).astype(int)
        for k in np.unique(bins):
            near = np.abs(bins - k) <= 1
            at = (float(k) + 0.5) * BIN_PT
            rule = _Side(at, low, high, 2 * BIN_PT, is_upright=is_upright)
            if _covers(rule, x[near], y[near], shown):
                on |= bins == k
    return bool(on.mean() > SQUARE_SHARE)


def is_measured(box: Box, dimension: Dimension) -> bool:
    """Tell whether a size ends on a side of a frame, or on its line not far beside it.

    Parameters
    ----------
    box : Box
        The frame.
    dimension : Dimension
        With its ends.

    Returns
    -------
    bool
    """
    for end in dimension.ends:
        p = end.point
        beside = min(abs(p.x - box.x0), abs(p.x - box.x1)) < ON_PT
        level = min(abs(p.y - box.y0), abs(p.y - box.y1)) < ON_PT
        upright = box.y0 - NEAR_PT < p.y < box.y1 + NEAR_PT
        across = box.x0 - NEAR_PT < p.x < box.x1 + NEAR_PT
        slope_x, slope_y = _way(dimension)
        if (beside and upright and slope_x > SQUARE_SIN) or (
            level and across and slope_y > SQUARE_SIN
        ):
            return True
    return False


def _way(dimension: Dimension) -> tuple[float, float]:
    """How much of a size runs across and down."""
    a, b = dimension.ends[0].point, dimension.ends[-1].point
    length = max(a.distance(b), 1e-9)
    return abs(b.x - a.x) / length, abs(b.y - a.y) / length
