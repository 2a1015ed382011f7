"""Rounded corners: arcs that run tangentially into two straight lines.

Such an arc is short and its ends are hidden in the lines, so that a free fit takes part of the
lines for arc. The lines fix everything but the radius, and the ink between them fixes that.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from scipy.spatial import cKDTree

from audit.dimensions.raster_arcs import DrawnArc
from audit.dimensions.raster_lines import Dark, Floats, Pieces
from audit.geometry import Point
from audit.geometry.round_index import RoundIndex

MAX_APART_PX = 160.0  # between the ends of the two lines, at the network's scale
MIN_SIDE_PX = 20.0  # of the lines themselves
MIN_SHORT_PX = 3.0  # how far before their crossing both lines stop
UNEVEN = 0.45  # relative difference of those two distances
MIN_CORNER_DEG, MAX_CORNER_DEG = 25.0, 155.0
MIN_RADIUS_PX = 3.0
RADIUS_STEP_PX = 0.5
RAYS = 25
ARC_SHARE = 0.8  # of the arc that is looked at: its ends are hard to tell from the lines
INKED = 0.85  # share of rays that must meet ink
INK = 0.3  # darkness
REACH_PX = 3.0
SAME_WIDTH = 0.5  # relative
SAME_PX, SAME_SHARE = 3.0, 0.35


@dataclass(frozen=True, slots=True)
class _Corner:
    """Two lines' crossing, the direction from it to the arc's centre, half the angle between.

    `side` is the length of its shorter line.
    """

    vertex: Floats
    inward: Floats
    half: float
    reach: float
    width: float
    side: float

    def centre(self, radius: float) -> Floats:
        """Centre of the arc of a given radius."""
        return np.asarray(self.vertex + self.inward * (radius / math.sin(self.half)))


def find_fillets(dark: Dark, strokes: Pieces) -> list[DrawnArc]:
    """Find rounded corners between straight strokes; all in px of `dark`."""
    found: list[DrawnArc] = []
    index = RoundIndex()
    # a chord of the arc looks like a short side with a gentler corner: long sides first
    for corner in sorted(_corners(strokes), key=lambda c: -c.side):
        radius = _radius(dark, corner)
        if radius is not None:
            arc = _as_arc(corner, radius)
            # what is the same is larger by its own play at most
            play = SAME_PX + SAME_SHARE * (radius + SAME_PX) / (1.0 - SAME_SHARE)
            near = index.alike(arc.centre, radius, 1.001 * play)
            if not any(_same(arc, found[k]) for k in near):
                found.append(arc)
                index.add(arc.centre, radius)
    return found


def _corners(strokes: Pieces) -> list[_Corner]:
    long = strokes.take(strokes.lengths >= MIN_SIDE_PX)
    n = len(long)
    if n < 2:
        return []
    e = long.ends
    ends = np.vstack([e[:, :2], e[:, 2:]])
    others = np.vstack([e[:, 2:], e[:, :2]])
    outward = ends - others
    outward /= np.maximum(np.hypot(outward[:, 0], outward[:, 1]), 1e-9)[:, None]
    pairs = cKDTree(ends).query_pairs(MAX_APART_PX, output_type="ndarray")
    a, b = pairs[:, 0], pairs[:, 1]
    gap = ends[b] - ends[a]
    cross = outward[a, 0] * outward[b, 1] - outward[a, 1] * outward[b, 0]
    safe = np.where(np.abs(cross) > 1e-6, cross, np.inf)
    # how far beyond its end each line reaches the crossing
    ta = (gap[:, 0] * outward[b, 1] - gap[:, 1] * outward[b, 0]) / safe
    tb = (gap[:, 0] * outward[a, 1] - gap[:, 1] * outward[a, 0]) / safe
    # the sides run away from the crossing: the angle between them is that of the corner
    cosine = (outward[a] * outward[b]).sum(axis=1)
    between = np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0)))
    widths = np.concatenate([long.widths, long.widths])
    lengths = np.concatenate([long.lengths, long.lengths])
    good = (a % n != b % n) & (np.minimum(ta, tb) > MIN_SHORT_PX)
    good &= np.abs(ta - tb) < UNEVEN * np.maximum(ta, tb) + 2.0
    good &= (between > MIN_CORNER_DEG) & (between < MAX_CORNER_DEG)
    good &= np.abs(widths[a] - widths[b]) < SAME_WIDTH * np.maximum(widths[a], widths[b])
    corners = []
    for i, j, t, s in zip(a[good], b[good], ta[good], tb[good], strict=True):
        inward = -(outward[i] + outward[j])
        corners.append(
            _Corner(
                vertex=ends[i] + outward[i] * t,
                inward=inward / np.hypot(*inward),
                half=math.acos(float(np.clip(outward[i] @ outward[j], -1.0, 1.0))) / 2,
                reach=float(max(t, s)),
                width=float(widths[i] + widths[j]) / 2,
                side=float(min(lengths[i], lengths[j])),
            )
        )
    return corners


def _radius(dark: Dark, corner: _Corner) -> float | None:
    """Radius at which the ink between the two lines is an arc that touches both."""
    # the lines seem to run on into the arc, so it may be larger than they leave room for
    most = 2.2 * corner.reach * math.tan(corner.half)
    radii = np.arange(MIN_RADIUS_PX, max(most, MIN_RADIUS_PX + 1.0), RADIUS_STEP_PX)
    values = _along(dark, corner, radii)
    inked = (values > INK).mean(axis=1)
    clear = radii * (1 / math.sin(corner.half) - 1) > corner.width  # else it is a square corner
    score = np.where(clear, inked + 0.2 * values.mean(axis=1), 0.0)
    k = int(np.argmax(score))
    if inked[k] < INKED or not clear[k]:
        return None
    radius = float(radii[k])
    for _ in range(3):
        radius = _refined(dark, corner, radius)
        if radius < MIN_RADIUS_PX:
            return None
    if float((_along(dark, corner, np.array([radius])) > INK).mean()) < INKED:
        return None
    return radius


def _turns(corner: _Corner) -> Floats:
    """Directions from the centre to the arc."""
    middle = math.atan2(-corner.inward[1], -corner.inward[0])
    half = (math.pi / 2 - corner.half) * ARC_SHARE
    return np.asarray(middle + np.linspace(-half, half, RAYS))


def _along(dark: Dark, corner: _Corner, radii: Floats) -> Floats:
    """Darkness along the arcs of some radii: (radii, rays)."""
    turns = _turns(corner)
    centres = corner.vertex + corner.inward * (radii[:, None] / math.sin(corner.half))
    x = centres[:, :1] + radii[:, None] * np.cos(turns)
    y = centres[:, 1:] + radii[:, None] * np.sin(turns)
    return _sample(dark, x, y)


def _sample(dark: Dark, x: Floats, y: Floats) -> Floats:
    values = cv2.remap(
        dark,
        (x - 0.5).astype(np.float32),
        (y - 0.5).astype(np.float32),
        cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_CONSTANT,
        borderValue=0,
    )
    return np.asarray(values, np.float64)


def _refined(dark: Dark, corner: _Corner, radius: float) -> float:
    """Move the radius so that the arc runs through the middle of the ink, as most rays say."""
    turns = _turns(corner)
    offsets = np.arange(-REACH_PX - corner.width / 2, REACH_PX + corner.width / 2 + 0.25, 0.25)
    centre = corner.centre(radius)
    r = radius + offsets[None, :]
    x = centre[0] + np.cos(turns)[:, None] * r
    y = centre[1] + np.sin(turns)[:, None] * r
    values = np.clip(_sample(dark, x, y) - INK / 2, 0.0, None)
    total = values.sum(axis=1)
    off = (values * offsets).sum(axis=1) / np.maximum(total, 1e-9)
    # a leader's arrowhead fattens the rays it touches
    usual = float(np.median(total))
    good = (total > 0.5 * usual) & (total < 1.4 * usual)
    if int(good.sum()) < RAYS // 3:
        return radius
    away = turns - math.atan2(-corner.inward[1], -corner.inward[0])
    # with the radius the centre moves along the bisector: a ray sees only the difference
    gain = 1.0 - np.cos(away) / math.sin(corner.half)
    change = float((off[good] * gain[good]).sum() / (gain[good] ** 2).sum())
    return radius + float(np.clip(change, -6.0, 6.0))


def _as_arc(corner: _Corner, radius: float) -> DrawnArc:
    centre = corner.centre(radius)
    middle = math.degrees(math.atan2(corner.inward[1], -corner.inward[0])) % 360.0
    sweep = 180.0 - 2 * math.degrees(corner.half)
    return DrawnArc(
        Point(float(centre[0]), float(centre[1])),
        radius,
        (middle - sweep / 2) % 360.0,
        sweep,
        corner.width,
    )


def _same(one: DrawnArc, other: DrawnArc) -> bool:
    play = SAME_PX + SAME_SHARE * max(one.radius, other.radius)
    return one.centre.distance(other.centre) < play and abs(one.radius - other.radius) < play
