"""How often a hole is drawn on a picture: rings of its radius, looked for all over its view.

A ring is where nearly all of a circle of that radius is inked and the paper inside it is not. What
is only partly inked may be a hole that other lines cross or that worn ink left open: it is counted
apart, and nothing is told of a number that it explains.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.geometry import Box, Point
from audit.pipeline.placing import SnapGround
from audit.pipeline.repeats import Ring, count_holes, part_by_view
from audit.records import Dimension, Repeats, View

Floats = NDArray[np.float32]

LOOKED_PX = 20.0  # radius at which holes are looked for
LEAST_PX = 11.0  # radius; centre lines and blots fill smaller rings
FAINTEST = 25.0  # grey levels that ink is darker than its paper
LIGHTEST = 0.5  # of the way from paper to usual ink: thin lines are grey
OWN = 0.75  # share of its circle that must be inked at the hole itself, else nothing is known
WEAKER = 0.15  # by which another whole one may be less inked than the hole itself
PARTLY = 0.7  # share inked from which on a ring may be a hole; corners of frames have 0.6
HOLLOW = 0.5  # share of a circle half as large that centre lines and a leader may ink
EVEN_PX = 1.5
OWN_PX = 4  # by which the hole itself may stand beside where it was measured
MOST_PX = 12e6  # of a view that is looked at


def count_drawn_repeats(
    dimensions: Sequence[Dimension], views: Iterable[View], ground: SnapGround
) -> tuple[Dimension, ...]:
    """Count the rings of each hole of a picture that is printed with a number.

    Parameters
    ----------
    dimensions : sequence of Dimension
        Of one sheet, in its views.
    views : iterable of View
        Of the sheet.
    ground : SnapGround
        The picture.

    Returns
    -------
    tuple of Dimension
        In the same order, with `repeats` where holes were counted.
    """
    return count_holes(dimensions, views, lambda d, view: _count(d, view, ground))


def _count(dimension: Dimension, view: Box, ground: SnapGround) -> Repeats | None:
    to_ground, to_frame = ground.from_frame, ground.image.to_frame
    ends = [to_ground.apply(end.point) for end in dimension.ends]
    own, radius = ends[0].midpoint(ends[1]), ends[0].distance(ends[1]) / 2
    where = Box.around([to_ground.apply(corner) for corner in view.corners])
    rings = find_rings(ground.image.pixels, own, radius, where=where)
    placed = [Ring(to_frame.apply(ring.centre), ring.whole) for ring in rings]
    seen = part_by_view(dimension.middle, placed, view)
    return replace(seen, exact=False) if seen is not None else None


def find_rings(
    gray: NDArray[np.uint8], own: Point, radius: float, *, where: Box
) -> tuple[Ring, ...]:
    """Find the rings of one radius in a part of a picture.

    Parameters
    ----------
    gray : (h, w) uint8 array
        Dark on light.
    own : Point
        Middle of one of them, px.
    radius : float
        Of all, px.
    where : Box
        In which they are looked for, px.

    Returns
    -------
    tuple of Ring
        Centres in px of `gray`; none where the one at `own` is not seen surely.
    """
    x0, y0 = max(math.floor(where.x0), 0), max(math.floor(where.y0), 0)
    part = gray[y0 : max(math.ceil(where.y1), 0), x0 : max(math.ceil(where.x1), 0)]
    if radius < LEAST_PX or not 0 < part.size * (LOOKED_PX / radius) ** 2 <= MOST_PX:
        return ()
    factor = LOOKED_PX / radius
    inked = _inked(_resized(part, factor))
    share = _share(inked, radius * factor)
    share[_share(inked, radius * factor / 2) > HOLLOW] = 0.0
    best = _peaks(share, radius * factor)
    middle = ((own.x - x0) * factor, (own.y - y0) * factor)
    mine = [s for x, y, s in best if math.dist((x, y), middle) <= OWN_PX]
    if not mine or mine[0] < OWN:
        return ()
    return tuple(
        Ring(Point(x0 + x / factor, y0 + y / factor), s >= mine[0] - WEAKER) for x, y, s in best
    )


def _resized(part: NDArray[np.uint8], factor: float) -> NDArray[np.uint8]:
    size = (max(round(part.shape[1] * factor), 1), max(round(part.shape[0] * factor), 1))
    how = cv2.INTER_AREA if factor < 1.0 else cv2.INTER_CUBIC
    return np.asarray(cv2.resize(part, size, interpolation=how), np.uint8)


def _inked(part: NDArray[np.uint8]) -> Floats:
    """Return 1 on ink and a pixel around it, for circles are drawn no truer than that."""
    paper = float(np.median(part))
    drawn = part[part < paper - FAINTEST]
    usual = float(np.median(drawn)) if drawn.size else paper
    ink = (part < paper - LIGHTEST * (paper - usual)).astype(np.float32)
    return np.asarray(cv2.dilate(ink, np.ones((3, 3), np.uint8)), np.float32)


def _share(inked: Floats, radius: float) -> Floats:
    """Return, for every pixel, the share of the circle about it that is inked."""
    half = math.ceil(radius) + 1
    turns = np.linspace(0.0, 2.0 * math.pi, math.ceil(4 * math.pi * radius), endpoint=False)
    kernel = np.zeros((2 * half + 1, 2 * half + 1), np.float32)
    columns = np.rint(half + radius * np.cos(turns)).astype(int)
    rows = np.rint(half + radius * np.sin(turns)).astype(int)
    kernel[rows, columns] = 1.0
    share = cv2.filter2D(inked, -1, kernel / kernel.sum(), borderType=cv2.BORDER_CONSTANT)
    return np.asarray(share, np.float32)


def _peaks(share: Floats, radius: float) -> list[tuple[float, float, float]]:
    """Return x, y and share of the best places, the best first, none within another."""
    size = 2 * math.ceil(radius) + 1
    middle = cv2.GaussianBlur(share, (0, 0), EVEN_PX)  # as good all over a thick line's width
    largest = cv2.dilate(middle, np.ones((size, size), np.uint8))
    rows, columns = np.nonzero((share >= PARTLY) & (middle >= largest))
    places = zip(rows.tolist(), columns.tolist(), strict=True)
    found = sorted(((float(share[r, c]), c + 0.5, r + 0.5) for r, c in places), reverse=True)
    kept: list[tuple[float, float, float]] = []
    for value, x, y in found:
        if all(math.dist((x, y), other[:2]) > radius for other in kept):
            kept.append((x, y, value))
    return kept
