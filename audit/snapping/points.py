"""One place on a sheet: corner, crossing, stroke, or nothing."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from audit.geometry import Point, angle_between, intersect_lines
from audit.snapping.profile import Gray
from audit.snapping.strokes import SnappedStroke, find_strokes

MIN_CROSSING_DEG = 12.0  # two strokes closer in direction do not fix a point
STOPS_PX = 4.0  # a stroke that ends within this of the crossing stops there (plus its width)
FREE_SIGMA_PX = (
    1.5  # a click by hand at 1:1 without anything to snap to; common practice, no source
)


class SnapKind(StrEnum):
    """What a place was snapped to."""

    STROKE = "stroke"
    CORNER = "corner"
    CROSSING = "crossing"
    CENTRE = "centre"
    TIP = "tip"
    NONE = "nothing"


@dataclass(frozen=True, slots=True)
class Snap:
    """A snapped place.

    `sigma` is the standard uncertainty in the least certain direction that counts, px; `width`
    that of the stroke it lies on, px, 0 for none.
    """

    point: Point
    kind: SnapKind
    sigma: float
    width: float
    strokes: tuple[SnappedStroke, ...] = ()


def snap_point(gray: Gray, near: Point, *, radius: float = 8.0) -> Snap:
    """Snap a click to the nearest corner or crossing, else to the nearest stroke.

    Parameters
    ----------
    gray : (h, w) uint8 array
    near : Point
        Pixel frame.
    radius : float
        How far the click may be off, px.

    Returns
    -------
    Snap
        Kind NONE, with the click itself, where there is nothing within `radius`.
    """
    strokes = find_strokes(gray, near, radius=radius)
    crossing = _best_crossing(strokes, near, radius)
    if crossing is not None:
        return crossing
    if strokes:
        first = strokes[0]
        return Snap(first.point, SnapKind.STROKE, first.sigma, first.width, (first,))
    return Snap(near, SnapKind.NONE, FREE_SIGMA_PX, 0.0)


def _best_crossing(strokes: tuple[SnappedStroke, ...], near: Point, radius: float) -> Snap | None:
    best: tuple[float, Snap] | None = None
    for i, first in enumerate(strokes):
        for second in strokes[i + 1 :]:
            snap = _crossing_of(first, second)
            if snap is None:
                continue
            distance = snap.point.distance(near)
            if distance <= radius and (best is None or distance < best[0]):
                best = distance, snap
    return best[1] if best else None


def _crossing_of(first: SnappedStroke, second: SnappedStroke) -> Snap | None:
    turn = angle_between(first.angle, second.angle)
    if turn < MIN_CROSSING_DEG:
        return None
    point = intersect_lines(
        first.point,
        first.point.moved(*first.direction),
        second.point,
        second.point.moved(*second.direction),
    )
    if point is None:
        return None
    sigma = math.hypot(first.sigma, second.sigma) / math.sin(math.radians(turn))
    ends = _stops_at(first, point, second.width) and _stops_at(second, point, first.width)
    kind = SnapKind.CORNER if ends else SnapKind.CROSSING
    return Snap(point, kind, sigma, max(first.width, second.width), (first, second))


def _stops_at(stroke: SnappedStroke, point: Point, other_width: float) -> bool:
    """Whether the stroke is seen on one side of a point only."""
    along = (point.x - stroke.point.x) * stroke.direction.x
    along += (point.y - stroke.point.y) * stroke.direction.y
    reach = STOPS_PX + other_width
    return stroke.reach[1] - along <= reach or along - stroke.reach[0] <= reach
