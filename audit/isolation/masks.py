"""What white fills hide, and filled bars that stand for lines."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from audit.geometry import Box, Point
from audit.records import Strokes

Floats = NDArray[np.float64]

MAX_BAR_PT = 3.0  # 1 mm: the widest filled bar that is taken for a line
MIN_BAR_RATIO = 4.0  # length over width of a bar
BAR_FILLED = 0.85  # area over length × width; an arrowhead has 0.5, a bar with round ends 0.95
MAX_BAR_CORNERS = 40
MIN_MASK_PT2 = 4.0
MASK_SLACK_PT = 0.02


@dataclass(frozen=True, slots=True, kw_only=True)
class Mask:
    """A convex white fill, with the number of the path that painted it."""

    points: Floats
    box: Box
    path: int


def is_convex(points: Floats) -> bool:
    """Whether a closed outline (k, 2) is convex and large enough to hide anything."""
    d = np.roll(points, -1, axis=0) - points
    d = d[np.hypot(d[:, 0], d[:, 1]) > 1e-6]
    if len(d) < 3:
        return False
    e = np.roll(d, -1, axis=0)
    cross = d[:, 0] * e[:, 1] - d[:, 1] * e[:, 0]
    x, y = points.T
    area = abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2
    return area > MIN_MASK_PT2 and bool((cross >= -1e-6).all() or (cross <= 1e-6).all())


def thin_bar(
    outline: list[tuple[float, float]],
) -> tuple[tuple[float, float, float, float], float] | None:
    """Centre line and width of a filled bar; `None` when the outline is something else."""
    if not 4 <= len(outline) <= MAX_BAR_CORNERS:
        return None
    longest, ux, uy = 0.0, 0.0, 0.0
    area = 0.0
    for (xa, ya), (xb, yb) in zip(outline, [*outline[1:], outline[0]], strict=True):
        area += xa * yb - ya * xb
        side = math.hypot(xb - xa, yb - ya)
        if side > longest:
            longest, ux, uy = side, (xb - xa) / side, (yb - ya) / side
    if longest == 0:
        return None
    along = [x * ux + y * uy for x, y in outline]
    across = [y * ux - x * uy for x, y in outline]
    length, width = max(along) - min(along), max(across) - min(across)
    if width > MAX_BAR_PT or length < MIN_BAR_RATIO * width:
        return None
    if width > 1e-6 and abs(area) / 2 < BAR_FILLED * length * width:
        return None
    m = (max(across) + min(across)) / 2
    a, b = min(along), max(along)
    return (a * ux - m * uy, a * uy + m * ux, b * ux - m * uy, b * uy + m * ux), width


def is_hidden(point: Point, path: int, masks: list[Mask]) -> bool:
    """Whether a white fill painted after `path` covers the point."""
    for mask in masks:
        if mask.path > path and mask.box.contains(point) and _inside(point, mask.points):
            return True
    return False


def _inside(point: Point, corners: Floats) -> bool:
    d = np.roll(corners, -1, axis=0) - corners
    cross = d[:, 0] * (point.y - corners[:, 1]) - d[:, 1] * (point.x - corners[:, 0])
    return bool((cross >= 0).all() or (cross <= 0).all())


def hide_strokes(strokes: Strokes, masks: list[Mask]) -> Strokes:
    """Cut out the parts of strokes that later white fills cover."""
    for mask in masks:
        e = strokes.ends
        box = mask.box
        touched = (
            (strokes.paths < mask.path)
            & (np.maximum(e[:, 0], e[:, 2]) > box.x0)
            & (np.minimum(e[:, 0], e[:, 2]) < box.x1)
            & (np.maximum(e[:, 1], e[:, 3]) > box.y0)
            & (np.minimum(e[:, 1], e[:, 3]) < box.y1)
        )
        if touched.any():
            strokes = _cut_out(strokes, np.flatnonzero(touched), mask.points)
    return strokes


def _cut_out(strokes: Strokes, which: NDArray[np.intp], corners: Floats) -> Strokes:
    """Replace strokes by what sticks out of a convex outline (Cyrus-Beck)."""
    a = strokes.ends[which, :2]
    d = strokes.ends[which, 2:] - a
    low, high = np.zeros(len(which)), np.ones(len(which))
    side = np.roll(corners, -1, axis=0) - corners
    x, y = corners.T
    clockwise = float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) < 0
    normals = np.column_stack([-side[:, 1], side[:, 0]]) * (-1 if clockwise else 1)
    for corner, normal in zip(corners, normals, strict=True):
        size = math.hypot(*normal)
        if size < 1e-9:
            continue
        n = normal / size
        room = (a - corner) @ n + MASK_SLACK_PT  # inside is positive
        speed = d @ n
        with np.errstate(divide="ignore", invalid="ignore"):
            t = -room / speed
        low = np.where(speed > 1e-12, np.maximum(low, t), low)
        high = np.where(speed < -1e-12, np.minimum(high, t), high)
        gone = (np.abs(speed) <= 1e-12) & (room < 0)
        high = np.where(gone, -1.0, high)
    hit = high > low
    if not hit.any():
        return strokes
    keep = np.ones(len(strokes), np.bool_)
    keep[which[hit]] = False
    first = np.hstack([a, a + d * low[:, None]])[hit & (low > 1e-6)]
    second = np.hstack([a + d * high[:, None], a + d])[hit & (high < 1 - 1e-6)]
    rows = np.concatenate(
        [np.flatnonzero(keep), which[hit & (low > 1e-6)], which[hit & (high < 1 - 1e-6)]]
    )
    ends = np.vstack([strokes.ends[keep], first, second])
    order = np.argsort(rows, kind="stable")
    rows = rows[order]
    return replace(strokes.chosen(rows), ends=ends[order])
