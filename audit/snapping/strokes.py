"""Straight strokes near a place: found coarsely by line sums, then fitted to a few hundredths.

Legend: a *stroke* is a drawn line with two edges; its *middle* is what is fitted; *along* runs
with it, *aside* across it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.geometry import Point, angle_between, direction_deg, project_onto
from audit.snapping.profile import Floats, Gray, Profiles, darkness, sample_profiles

WINDOW_PX = 20  # half size of the searched window: a pen width or two at 150 to 400 dpi
TURN_STEP_DEG = 3.0  # line sums tell directions this far apart over the window
TWIN_DEG = 20.0  # one thick stroke answers to directions this far apart over the window
TWIN_PX = 4.0
MIN_FILL = 0.45  # share of the window's chord that must be inked to call it a stroke
FIT_REACHES_PX = (7.0, 15.0)  # half lengths of a profile: thin strokes, then outlines at 600 dpi
FIT_HALF_LENGTH_PX = 14.0  # first fit, before the stroke is followed
FOLLOW_PX = 60.0  # how far a stroke is followed for the final fit
MAX_GAP_PX = 9.0  # dashes and crossings interrupt a stroke by less than this
MIN_PROFILES = 6  # fewer say too little about a direction
SIGMA_FLOOR_PX = 0.03  # what resampling and printing leave, measured on clean renders
TUKEY = 4.685  # 95 % efficiency on normal noise


@dataclass(frozen=True, slots=True)
class SnappedStroke:
    """A straight stroke near a place.

    Attributes
    ----------
    point : Point
        Foot on the stroke's middle of the place asked for, px.
    direction : Point
        Unit direction.
    sigma : float
        Standard uncertainty of `point` across the stroke, px.
    width : float
        Width at half height, px.
    reach : (float, float)
        How far the stroke was followed from `point`, against and with `direction`, px (<= 0, >= 0).
    fill : float
        Share of the followed length that is inked, 0 to 1.
    """

    point: Point
    direction: Point
    sigma: float
    width: float
    reach: tuple[float, float]
    fill: float

    @property
    def angle(self) -> float:
        """Direction in degrees, counter-clockwise as seen."""
        return direction_deg((0.0, 0.0), self.direction)


def find_strokes(gray: Gray, near: Point, *, radius: float = 6.0) -> tuple[SnappedStroke, ...]:
    """Find the straight strokes that pass within `radius` of a place.

    Parameters
    ----------
    gray : (h, w) uint8 array
    near : Point
        Pixel frame.
    radius : float
        Largest distance from `near` to the stroke's middle, px.

    Returns
    -------
    tuple of SnappedStroke
        Nearest first; empty where there is no stroke or `near` lies outside the picture.
    """
    window, corner = _window(gray, near)
    if window is None:
        return ()
    dark = darkness(window)
    inside = Point(near.x - corner.x, near.y - corner.y)
    found: list[SnappedStroke] = []
    for direction, foot in _coarse_lines(dark, inside, radius):
        start = SnappedStroke(foot.moved(*corner), direction, 1.0, 1.0, (0.0, 0.0), 0.0)
        stroke = refine_stroke(gray, start)
        if stroke is None:
            continue
        stroke = _at_foot(stroke, near)
        if near.distance(stroke.point) <= radius and not _is_known(stroke, found):
            found.append(stroke)
    return tuple(sorted(found, key=lambda s: near.distance(s.point)))


def _window(gray: Gray, near: Point) -> tuple[Gray | None, Point]:
    if not (math.isfinite(near.x) and math.isfinite(near.y)):
        return None, near
    h, w = gray.shape
    reach = WINDOW_PX + 12
    x0, y0 = max(0, int(near.x) - reach), max(0, int(near.y) - reach)
    x1, y1 = min(w, int(near.x) + reach + 1), min(h, int(near.y) + reach + 1)
    inside = x1 - x0 > 8 and y1 - y0 > 8
    return (gray[y0:y1, x0:x1] if inside else None), Point(float(x0), float(y0))


def _coarse_lines(
    dark: NDArray[np.float32], near: Point, radius: float
) -> list[tuple[Point, Point]]:
    """Directions and feet of dark lines near a place, by sums over turned windows."""
    size = 2 * WINDOW_PX + 1
    binary = _inked(dark)
    scored = []
    for turn in np.arange(0.0, 180.0, TURN_STEP_DEG):
        rad = math.radians(float(turn))
        u = Point(math.cos(rad), math.sin(rad))
        m = np.array(
            [
                [u.x, u.y, WINDOW_PX - u.x * (near.x - 0.5) - u.y * (near.y - 0.5)],
                [-u.y, u.x, WINDOW_PX + u.y * (near.x - 0.5) - u.x * (near.y - 0.5)],
            ]
        )
        turned = cv2.warpAffine(binary, m, (size, size), flags=cv2.INTER_LINEAR)
        rows = turned.mean(axis=1)
        reach = round(radius) + 2
        part = rows[WINDOW_PX - reach : WINDOW_PX + reach + 1]
        for i in _peaks(part):
            if part[i] >= MIN_FILL * 0.6:
                aside = float(i - reach)
                scored.append((float(part[i]), u, near.moved(-u.y * aside, u.x * aside)))
    scored.sort(key=lambda s: -s[0])
    return _distinct(scored)


def _inked(dark: NDArray[np.float32]) -> NDArray[np.float32]:
    """Soft ink mask: 0 paper, 1 as dark as the window's strokes."""
    strong = float(np.percentile(dark, 98))
    mask: NDArray[np.float32] = np.clip(dark / max(strong * 0.6, 12.0), 0.0, 1.0).astype(np.float32)
    return mask


def _peaks(rows: NDArray[np.float32]) -> list[int]:
    return [i for i in range(1, len(rows) - 1) if rows[i] >= rows[i - 1] and rows[i] > rows[i + 1]]


def _distinct(scored: list[tuple[float, Point, Point]]) -> list[tuple[Point, Point]]:
    kept: list[tuple[float, Point, Point]] = []
    for score, u, foot in scored:
        angle = direction_deg((0, 0), u)
        twin = any(
            angle_between(angle, direction_deg((0, 0), v)) < TWIN_DEG
            and abs(project_onto(foot, other, other.moved(*v))[1]) < TWIN_PX
            for _, v, other in kept
        )
        if not twin:
            kept.append((score, u, foot))
        if len(kept) == 6:
            break
    return [(u, foot) for _, u, foot in kept]


def refine_stroke(gray: Gray, start: SnappedStroke) -> SnappedStroke | None:
    """Fit a stroke's middle line, starting from a rough one.

    Parameters
    ----------
    gray : (h, w) uint8 array
    start : SnappedStroke
        Good to about 2 px and 4°.

    Returns
    -------
    SnappedStroke or None
        `None` where there is no straight stroke of a single pen width.
    """
    for across in FIT_REACHES_PX:
        stroke: SnappedStroke | None = start
        for half in (FIT_HALF_LENGTH_PX, FIT_HALF_LENGTH_PX, FOLLOW_PX):
            stroke = _fit_once(gray, stroke, half, across) if stroke else None
        if stroke is not None:
            return stroke
    return None


def _fit_once(gray: Gray, start: SnappedStroke, half: float, across: float) -> SnappedStroke | None:
    profiles = _profiles_around(gray, start, half, across)
    if profiles is None:
        return None
    use = _connected(profiles)
    if int(use.sum()) < MIN_PROFILES:
        return None
    t, s = profiles.along[use], profiles.middle[use]
    slope, offset, sigma = _robust_line(t, s)
    if not math.isfinite(sigma):
        return None
    u = start.direction
    turn = math.hypot(1.0, slope)
    direction = Point((u.x - slope * u.y) / turn, (u.y + slope * u.x) / turn)
    foot = start.point.moved(-u.y * offset, u.x * offset)
    span = float(t.max() - t.min()) + 1.0
    return SnappedStroke(
        foot,
        direction,
        sigma,
        middle_of(profiles.width[use]),
        (min(float(t.min()), 0.0), max(float(t.max()), 0.0)),
        min(1.0, len(t) / span),
    )


def _profiles_around(
    gray: Gray, start: SnappedStroke, half: float, across: float
) -> Profiles | None:
    reach = int(half + across + 3)
    h, w = gray.shape
    x0, y0 = max(0, int(start.point.x) - reach), max(0, int(start.point.y) - reach)
    x1, y1 = min(w, int(start.point.x) + reach + 1), min(h, int(start.point.y) + reach + 1)
    if x1 - x0 < 4 or y1 - y0 < 4:
        return None
    dark = darkness(gray[y0:y1, x0:x1])
    along = np.arange(-half, half + 0.5, 1.0)
    origin = (start.point.x - x0, start.point.y - y0)
    return sample_profiles(dark, origin, start.direction, along=along, reach=across)


def _connected(profiles: Profiles) -> NDArray[np.bool_]:
    """Profiles that show the same stroke as the middle ones, without a long gap.

    A crossing line, a letter or an arrowhead makes the stroke wider or shifts it; those profiles
    are left out.
    """
    good = np.isfinite(profiles.middle)
    if not good.any():
        return good
    central = good & (np.abs(profiles.along) <= FIT_HALF_LENGTH_PX)
    if not central.any():
        return central
    width = middle_of(profiles.width[central])
    good &= np.abs(profiles.width - width) <= max(0.8, 0.4 * width)
    if not good.any():
        return good
    nearest = int(np.argmin(np.where(good, np.abs(profiles.along), np.inf)))
    keep = np.zeros_like(good)
    for step in (1, -1):
        last, i = nearest, nearest
        while 0 <= i < len(good) and abs(i - last) <= MAX_GAP_PX:
            if good[i]:
                keep[i] = True
                last = i
            i += step
    return keep


def _robust_line(t: Floats, s: Floats) -> tuple[float, float, float]:
    """Slope, offset at t = 0 and its standard uncertainty, by Tukey's biweight."""
    slope, offset = _theil_start(t, s)
    weights = np.ones_like(t)
    spread = 0.0
    for _ in range(8):
        residual = s - offset - slope * t
        spread = max(1.4826 * middle_of(np.abs(residual)), 0.02)
        weights = np.maximum(1 - (residual / (TUKEY * spread)) ** 2, 0.0) ** 2
        total = float(weights.sum())
        if total < 3:
            return slope, offset, math.inf
        mean_t, mean_s = float(weights @ t) / total, float(weights @ s) / total
        tt = float(weights @ (t - mean_t) ** 2)
        slope = float(weights @ ((t - mean_t) * (s - mean_s))) / tt if tt > 0 else 0.0
        offset = mean_s - slope * mean_t
    total = float(weights.sum())
    mean_t = float(weights @ t) / total
    tt = max(float(weights @ (t - mean_t) ** 2), 1e-9)
    # neighbouring profiles share pixels: two profiles a px are about one independent sample
    variance = 2.0 * spread**2 * (1 / total + mean_t**2 / tt)
    return slope, offset, math.sqrt(variance + SIGMA_FLOOR_PX**2)


def _theil_start(t: Floats, s: Floats) -> tuple[float, float]:
    """Slope and offset from the medians of the two halves: a third of outliers does no harm."""
    half = len(t) // 2
    run = middle_of(t[half:]) - middle_of(t[:half]) if half else 0.0
    slope = (middle_of(s[half:]) - middle_of(s[:half])) / run if run > 1.0 else 0.0
    return slope, middle_of(s - slope * t)


def middle_of(values: Floats) -> float:
    """Median of finite values, as numpy tells it; many short rows are asked about here.

    Examples
    --------
    >>> middle_of(np.array([3.0, 1.0, 2.0])), middle_of(np.array([4.0, 1.0, 2.0, 3.0]))
    (2.0, 2.5)
    """
    ranked, half = np.sort(values), len(values) // 2
    if len(values) % 2:
        return float(ranked[half])
    return (float(ranked[half - 1]) + float(ranked[half])) / 2


def _at_foot(stroke: SnappedStroke, near: Point) -> SnappedStroke:
    """Return the same stroke seen from the foot of another place on it."""
    along, _ = project_onto(near, stroke.point, stroke.point.moved(*stroke.direction))
    foot = stroke.point.moved(stroke.direction.x * along, stroke.direction.y * along)
    return replace(stroke, point=foot, reach=(stroke.reach[0] - along, stroke.reach[1] - along))


def _is_known(stroke: SnappedStroke, found: list[SnappedStroke]) -> bool:
    return any(
        angle_between(stroke.angle, other.angle) < 6.0
        and abs(project_onto(stroke.point, other.point, other.point.moved(*other.direction))[1])
        < max(1.5, 0.6 * other.width)
        for other in found
    )
