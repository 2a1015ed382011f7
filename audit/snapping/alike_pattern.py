"""What one picked feature looks like: its own ink, without the lines that only cross its box.

Pixel frame of the pattern: origin at the box's top left, the first pixel's centre at (.5, .5).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Gray = NDArray[np.uint8]
Mask = NDArray[np.bool_]
Floats = NDArray[np.float64]

PAPER_CELL = 8  # px; the paper's light is found at an eighth of the fineness
PAPER_REACH = 15  # cells of it, odd; wider than any stroke, narrower than a shadow
LEAST_LEVEL = 14.0  # grey levels below the paper; scanner grain stays under it
OTSU_SHARE = 0.8  # of the level that parts ink from paper best: faint strokes count too
SPECK_PX = 4  # fewer connected pixels are dirt
OWN_SHARE = 0.35  # of the box's ink; if less is left, the lines that cross were the feature
LEAST_OWN_PX = 12
RAY_STEP_DEG = 1.5
ALONG_BORDER_DEG = 20.0  # a stroke so nearly along the border is the feature touching its box
RAY_GAP = 0.14  # of the box's side: gap of a dashed line
RAY_INK = 0.55  # share of a ray that must be ink
RAY_REACH = 0.16  # of the box's side: shorter ones are no lines
THICKER = 1.5  # times a crossing line's width: ink so much thicker is the feature's
NEAR_PX = (2.5, 5.5)  # how far beside the ink the paper must be white


@dataclass(frozen=True, slots=True, eq=False)
class Pattern:
    """A feature as it looks.

    Attributes
    ----------
    own : (h, w) bool array
        Its ink.
    free : (h, w) bool array
        Where lines cross the box: ink there says nothing.
    """

    own: Mask
    free: Mask

    @property
    def middle(self) -> tuple[float, float]:
        """Middle of the box."""
        h, w = self.own.shape
        return w / 2, h / 2

    @property
    def beside(self) -> Mask:
        """Paper close to the ink, which must be white."""
        away = cv2.distanceTransform((~self.own).astype(np.uint8), cv2.DIST_L2, 3)
        near = (away > NEAR_PX[0]) & (away < NEAR_PX[1])
        return np.asarray(near & ~self.free, np.bool_)


def find_ink(gray: Gray) -> Mask:
    """Tell ink from paper, whatever the light.

    Parameters
    ----------
    gray : (h, w) uint8 array

    Returns
    -------
    (h, w) bool array
        Specks left out.
    """
    dark = cv2.GaussianBlur(_paper_of(gray) - gray.astype(np.float32), (0, 0), 0.6)
    scaled = np.clip(dark, 0, 255).astype(np.uint8)
    otsu, _ = cv2.threshold(scaled, 0, 255, cv2.THRESH_OTSU)
    ink = scaled > max(OTSU_SHARE * otsu, LEAST_LEVEL)
    _, labels, stats, _ = cv2.connectedComponentsWithStats(ink.astype(np.uint8), connectivity=8)
    speck = stats[:, cv2.CC_STAT_AREA] < SPECK_PX
    speck[0] = True
    return np.asarray(~speck[labels], np.bool_)


def _paper_of(gray: Gray) -> NDArray[np.float32]:
    h, w = gray.shape
    small = cv2.resize(
        gray, (max(w // PAPER_CELL, 1), max(h // PAPER_CELL, 1)), interpolation=cv2.INTER_AREA
    )
    light = cv2.dilate(small, np.ones((5, 5), np.uint8))
    light = cv2.medianBlur(light, PAPER_REACH) if min(light.shape) > PAPER_REACH else light
    return np.asarray(
        cv2.resize(light, (w, h), interpolation=cv2.INTER_LINEAR).astype(np.float32), np.float32
    )


def take_pattern(ink: Mask) -> Pattern | None:
    """Take a feature out of the ink in its box.

    Parameters
    ----------
    ink : (h, w) bool array
        Of the box.

    Returns
    -------
    Pattern or None
        `None` where the box is empty.
    """
    if int(ink.sum()) < LEAST_OWN_PX:
        return None
    lines = np.zeros(ink.shape, np.uint8)
    wide = cv2.dilate(ink.astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
    for start, normal, width in _border_runs(ink):
        found = _find_line(wide, start, normal=normal)
        if found is not None:
            lines |= _draw_line(ink, start, found, normal=normal, width=width)
    crossed = lines > 0
    own = ink & ~crossed
    if own.sum() < max(OWN_SHARE * ink.sum(), LEAST_OWN_PX):
        return Pattern(ink, np.zeros(ink.shape, np.bool_))
    own = _without_specks(own)
    free = cv2.dilate(lines, np.ones((3, 3), np.uint8)) > 0
    return Pattern(np.asarray(own, np.bool_), np.asarray(free & ~own, np.bool_))


def _without_specks(own: Mask) -> Mask:
    """Leave out crumbs of lines that were taken away."""
    _, labels, stats, _ = cv2.connectedComponentsWithStats(own.astype(np.uint8), connectivity=8)
    least = max(SPECK_PX, 0.02 * int(own.sum()))
    keep = stats[:, cv2.CC_STAT_AREA] >= least
    keep[0] = False
    kept = keep[labels]
    return np.asarray(kept if kept.any() else own, np.bool_)


def _border_runs(ink: Mask) -> list[tuple[tuple[float, float], float, float]]:
    """Where ink leaves the box: the middle of each run, the direction inward in degrees, width."""
    h, w = ink.shape
    sides = (
        (ink[0, :], 90.0, lambda t: (t, 0.5)),
        (ink[-1, :], -90.0, lambda t: (t, h - 0.5)),
        (ink[:, 0], 0.0, lambda t: (0.5, t)),
        (ink[:, -1], 180.0, lambda t: (w - 0.5, t)),
    )
    runs = []
    for row, normal, place in sides:
        edges = np.flatnonzero(np.diff(np.concatenate([[0], row.astype(np.int8), [0]])))
        for start, stop in zip(edges[::2], edges[1::2], strict=True):
            runs.append((place((start + stop) / 2), normal, float(stop - start)))
    return runs


def _find_line(
    wide: Mask, start: tuple[float, float], *, normal: float
) -> tuple[float, float] | None:
    """Find how far a straight line runs into the box, px, and its direction in degrees."""
    side = min(wide.shape)
    most = 90.0 - ALONG_BORDER_DEG
    best = (0.0, 0.0, 0.0)
    for off in np.arange(0.0, most, RAY_STEP_DEG):
        for turn in {normal + float(off), normal - float(off)}:
            reach = _ray_reach(wide, start, turn, gap=RAY_GAP * side)
            best = max(best, (reach, -float(off), turn))
    return (best[0], best[2]) if best[0] >= RAY_REACH * side else None


def _draw_line(
    ink: Mask,
    start: tuple[float, float],
    found: tuple[float, float],
    *,
    normal: float,
    width: float,
) -> Gray:
    """Mark a line, but for what is clearly thicker: the feature's, though the line runs over it."""
    reach, turn = found
    ux, uy = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    true_width = max(width * abs(math.cos(math.radians(turn - normal))), 1.0)
    end = (start[0] + reach * ux, start[1] + reach * uy)
    line = np.zeros(ink.shape, np.uint8)
    cv2.line(
        line,
        (math.floor(start[0]), math.floor(start[1])),
        (math.floor(end[0]), math.floor(end[1])),
        255,
        min(max(round(true_width) + 2, 3), max(min(ink.shape) // 3, 1)),
    )
    side = round(THICKER * true_width) + 1
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (side, side))
    thick = cv2.morphologyEx(ink.astype(np.uint8), cv2.MORPH_OPEN, disc) > 0
    line[thick] = 0
    return np.asarray(line, np.uint8)


def _ray_reach(ink: Mask, start: tuple[float, float], turn: float, *, gap: float) -> float:
    """How far a ray stays on ink, dashes allowed, px."""
    h, w = ink.shape
    along = np.arange(0.0, math.hypot(h, w), 0.5)
    x = np.floor(start[0] + along * math.cos(math.radians(turn))).astype(int)
    y = np.floor(start[1] + along * math.sin(math.radians(turn))).astype(int)
    inside = (x >= 0) & (x < w) & (y >= 0) & (y < h)
    on = along[inside][ink[y[inside], x[inside]]]
    if len(on) < 2:
        return 0.0
    gaps = np.flatnonzero(np.diff(on) > gap)
    last = int(gaps[0]) if len(gaps) else len(on) - 1
    while last > 0:
        if 0.5 * (last + 1) >= RAY_INK * (on[last] + 0.5):
            return float(on[last])
        jumps = np.flatnonzero(np.diff(on[: last + 1]) > 1.0)
        last = int(jumps[-1]) if len(jumps) else 0
    return 0.0
