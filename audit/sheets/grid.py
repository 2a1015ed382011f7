"""A printed squared grid, found as two combs of evenly spaced lines."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.geometry import Point
from audit.sheets.sides import MOST_PX

Array = NDArray[np.float64]

LINE_SHARE = 0.04  # of the picture: a grid line is longer than this without a break
BANDS = 7  # strips across which the lines are looked for; a sheet may lie a little askew
LEAST_LINES = 7
LEAST_FILLED = 0.85  # of the places between the first and the last line hold one
FITS = 0.08  # of a square, by which a line may stand off its place
LEAST_SQUARE_PX = 8.0
INK = 24  # gray levels darker than the paper around
BACKGROUND_PX = 31


@dataclass(frozen=True, slots=True, kw_only=True)
class Comb:
    """Evenly spaced parallel lines, met across.

    Attributes
    ----------
    first, last : Point
        On the first and the last line, px (the first pixel's centre at .5).
    squares : int
        Between the two.
    rms : float
        Scatter of the lines about even spacing, px.
    """

    first: Point
    last: Point
    squares: int
    rms: float

    @property
    def square_px(self) -> float:
        """Side of a square."""
        return self.first.distance(self.last) / self.squares


def find_grid(gray: NDArray[np.uint8]) -> tuple[Comb, Comb] | None:
    """Find a printed squared grid.

    Parameters
    ----------
    gray : ndarray of uint8, shape (rows, columns)
        Upright to within about a degree.

    Returns
    -------
    tuple of Comb or None
        Squares across and down; `None` where there is no grid, or its squares are not square.
    """
    if max(gray.shape) > MOST_PX or min(gray.shape) < 4 * LEAST_SQUARE_PX:
        return None
    ink = _find_ink(gray)
    across = _find_comb(ink)
    down = _find_comb(np.ascontiguousarray(ink.T))
    if across is None or down is None:
        return None
    turned = Comb(
        first=Point(down.first.y, down.first.x),
        last=Point(down.last.y, down.last.x),
        squares=down.squares,
        rms=down.rms,
    )
    ratio = across.square_px / turned.square_px
    return (across, turned) if 0.9 < ratio < 1.1 else None


def _find_ink(gray: NDArray[np.uint8]) -> NDArray[np.uint8]:
    kernel = np.ones((BACKGROUND_PX, BACKGROUND_PX), np.uint8)
    paper = cv2.morphologyEx(gray, cv2.MORPH_CLOSE, kernel)
    dark = cv2.subtract(paper, gray)
    return np.asarray(np.where(dark > INK, dark, 0), np.uint8)


def _find_comb(ink: NDArray[np.uint8]) -> Comb | None:
    """Find evenly spaced upright lines; of all strips the one that shows most of them."""
    rows = ink.shape[0]
    long = max(15, round(LINE_SHARE * rows))
    upright = cv2.morphologyEx(ink, cv2.MORPH_OPEN, np.ones((long, 1), np.uint8))
    found = []
    for k in range(BANDS):
        top, end = round(k * rows / BANDS), round((k + 1) * rows / BANDS)
        comb = _fit_comb(_line_places(np.asarray(upright[top:end], np.uint8)))
        if comb is not None:
            first, last, squares, rms = comb
            y = (top + end) / 2
            found.append(Comb(first=Point(first, y), last=Point(last, y), squares=squares, rms=rms))
    return max(found, key=lambda c: c.squares, default=None)


def _line_places(strip: NDArray[np.uint8]) -> Array:
    """Centres of the lines that run through a strip, px."""
    profile = strip.astype(float).mean(axis=0)
    if profile.max() <= 0:
        return np.empty(0)
    on = profile > 0.3 * np.percentile(profile[profile > 0], 90)
    edges = np.flatnonzero(np.diff(np.concatenate([[0], on.astype(np.int8), [0]])))
    places = []
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        weight = profile[start:end]
        places.append(float(weight @ (np.arange(start, end) + 0.5) / weight.sum()))
    return np.array(places)


def _fit_comb(places: Array) -> tuple[float, float, int, float] | None:
    """Fit even spacing to line places: first, last, squares between, scatter."""
    if len(places) < LEAST_LINES:
        return None
    square = float(np.median(np.diff(places)))
    if square < LEAST_SQUARE_PX:
        return None
    best: tuple[float, float, int, float] | None = None
    for start in places:
        line = _follow_comb(places, float(start), square)
        if line is not None and (best is None or line[2] > best[2]):
            best = line
    return best


def _follow_comb(
    places: Array, start: float, square: float
) -> tuple[float, float, int, float] | None:
    number, at = 0, start
    numbers, used = [], []
    origin = start
    while True:
        nearest = int(np.argmin(np.abs(places - at)))
        if abs(places[nearest] - at) <= FITS * square:
            numbers.append(number)
            used.append(float(places[nearest]))
            if len(used) >= 3:
                square, origin = (float(v) for v in np.polyfit(numbers, used, 1))
        if number - (numbers[-1] if numbers else 0) > 2:
            break
        number += 1
        at = origin + number * square
    if len(used) < LEAST_LINES or len(used) < LEAST_FILLED * (numbers[-1] + 1):
        return None
    left = np.array(used) - origin - square * np.array(numbers)
    rms = float(np.sqrt(np.mean(left**2)))
    return origin, origin + square * numbers[-1], numbers[-1], rms
