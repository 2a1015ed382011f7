"""Texts cut in the direction of a slanted line that is drawn beside them.

The shape of a short text, a lone stacked fraction above all, does not tell the way it runs; but it
is written along a dimension line or a leader, and that line does.
"""

from __future__ import annotations

import math

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.geometry import angle_between
from audit.networks.page import STRIDE, PageMaps
from audit.reading.find_text import TEXT_LEVEL, cut_at, readable_angle
from audit.reading.near import TextSpot

Gray = NDArray[np.uint8]

AROUND = 3.0  # of a text's longer side: where lines are looked for
LEAST_LENGTH = 1.5  # of its height: shorter lines tell no direction
SLANTED_DEG = 6.0  # off level and upright
SAME_DEG = 6.0
MOST_LINES = 2
ROUND = 1.3  # times as long as high: such a patch shows no direction
MOST_HEIGHTS = 3.5  # longer texts show their direction themselves


def cut_along_lines(
    gray: Gray, maps: PageMaps, spot: TextSpot, *, level: float
) -> tuple[TextSpot, ...]:
    """Cut a short text in the directions of slanted lines beside it; one cut askew straight too.

    Its highest figure at one end, an inch mark at the other, make level text look slanted; so one
    that was cut straight though its ink leans is also cut as that leans.

    Parameters
    ----------
    gray : (h, w) uint8 array
    maps : PageMaps
        Of the same picture.
    spot : TextSpot
    level : float
        Direction in which level text runs, degrees.
    """
    if spot.length > MOST_HEIGHTS * spot.height:
        return ()
    ways = slanted_lines(maps, spot, level=level)
    if spot.lean:
        ways.append(spot.angle + spot.lean)
    if _off_straight(spot.angle, level) > SLANTED_DEG:
        ways += (
            [level, level + 90.0]
            if spot.length < ROUND * spot.height
            else [_straight(spot.angle, level)]
        )
    found = [cut_at(gray, maps, spot.box, angle=readable_angle(w, level=level)) for w in ways]
    return tuple(cut for cut in found if cut is not None and min(cut.crop.shape) > 0)


def slanted_lines(maps: PageMaps, spot: TextSpot, *, level: float) -> list[float]:
    """Directions of the longest slanted lines around a text, degrees, each once."""
    box, k = spot.box, maps.factor
    wide = box.grown(AROUND * max(box.width, box.height))
    x0, y0 = max(0, int(wide.x0 * k)), max(0, int(wide.y0 * k))
    dark = maps.dark[y0 : int(wide.y1 * k), x0 : int(wide.x1 * k)]
    if min(dark.shape) < 2 * STRIDE:
        return []
    rows = np.minimum(np.arange(y0, y0 + dark.shape[0]) // STRIDE, maps.text.shape[0] - 1)
    columns = np.minimum(np.arange(x0, x0 + dark.shape[1]) // STRIDE, maps.text.shape[1] - 1)
    ink = np.where((dark > 110) & (maps.text[np.ix_(rows, columns)] < TEXT_LEVEL), 255, 0)
    least = max(8.0, LEAST_LENGTH * spot.height * k)
    lines = cv2.HoughLinesP(
        ink.astype(np.uint8), 1.0, math.radians(1.0), 18, minLineLength=least, maxLineGap=2
    )
    ends = np.zeros((0, 4)) if lines is None else np.asarray(lines, float).reshape(-1, 4)
    length = np.hypot(ends[:, 2] - ends[:, 0], ends[:, 3] - ends[:, 1])
    ways: list[float] = []
    for x1, y1, x2, y2 in ends[np.argsort(-length)]:
        way = math.degrees(math.atan2(-(y2 - y1), x2 - x1))
        straight = _off_straight(way, level)
        known = any(angle_between(way, other) < SAME_DEG for other in (*ways, spot.angle))
        if straight > SLANTED_DEG and not known:
            ways.append(way)
    return ways[:MOST_LINES]


def _straight(angle: float, level: float) -> float:
    """Return level or upright, whichever is nearer."""
    return level + 90.0 * round((angle - level) / 90.0)


def _off_straight(angle: float, level: float) -> float:
    """Degrees off level and upright, whichever is nearer."""
    return min(angle_between(angle, level), angle_between(angle, level + 90.0))
