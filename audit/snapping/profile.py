"""Darkness sampled across a stroke, and where its middle is."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Gray = NDArray[np.uint8]
Floats = NDArray[np.float64]

STEP_PX = 0.25  # between samples of a profile; bilinear sampling gains nothing below it
SMOOTH_PX = 0.8  # evens out the pixel grid: a crisp edge would be known to its nearest pixel only
HALF_LEVEL = 0.5  # of the peak: where a blurred edge crosses, whatever the blur
MIN_CONTRAST = 24.0  # grey levels; a stroke fainter than this is lost in scanner noise
NOISE_LEVELS = 4.0  # a peak must stand this many noise deviations above the paper


@dataclass(frozen=True, slots=True)
class Profiles:
    """Where the stroke lies in each of many profiles.

    Attributes
    ----------
    along : (n,) array
        Position of each profile along the line, px.
    middle, width, peak : (n,) arrays
        Offset of the stroke's middle, its width at half height (both px), its darkness (levels);
        NaN where the profile shows no stroke.
    """

    along: Floats
    middle: Floats
    width: Floats
    peak: Floats


def darkness(gray: Gray) -> NDArray[np.float32]:
    """Darkness below the local paper, in grey levels, about 0 for paper.

    The paper is taken as the 80th percentile: in the small windows used here ink covers less than
    a fifth, and light changes little over them.
    """
    if gray.size == 0:
        return np.zeros(gray.shape, np.float32)
    paper = float(np.percentile(gray, 80))
    dark = np.float32(paper) - gray.astype(np.float32)
    return np.asarray(cv2.GaussianBlur(dark, (0, 0), SMOOTH_PX), np.float32)


def noise_of(dark: NDArray[np.float32]) -> float:
    """Noise of a picture, grey levels: from second differences, which smooth strokes hardly move.

    References
    ----------
    J. Immerkær, "Fast noise variance estimation", 1996 (idea; from memory).
    """
    if dark.shape[1] < 3:
        return 0.0
    bends = dark[:, 2:] - 2 * dark[:, 1:-1] + dark[:, :-2]
    return float(1.4826 * np.median(np.abs(bends)) / np.sqrt(6.0))


def sample_profiles(
    dark: NDArray[np.float32],
    origin: tuple[float, float],
    direction: tuple[float, float],
    *,
    along: Floats,
    reach: float,
) -> Profiles:
    """Sample profiles across a line and find the stroke in each.

    Parameters
    ----------
    dark : (h, w) array
        From `darkness`.
    origin : float pair
        A point of the line, px.
    direction : float pair
        Its unit direction.
    along : (n,) array
        Where to sample, px from `origin` along the line.
    reach : float
        Half length of a profile, px.

    Returns
    -------
    Profiles
        Offsets are positive on the clockwise side of `direction` (y down).
    """
    offsets = np.arange(-reach, reach + STEP_PX / 2, STEP_PX)
    ux, uy = direction
    x = origin[0] + along[:, None] * ux - offsets[None, :] * uy
    y = origin[1] + along[:, None] * uy + offsets[None, :] * ux
    values = cv2.remap(
        dark,
        (x - 0.5).astype(np.float32),
        (y - 0.5).astype(np.float32),
        cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_CONSTANT,
        borderValue=0,
    )
    middle, width, peak = find_middles(
        np.asarray(values, np.float32), offsets, noise=noise_of(dark)
    )
    return Profiles(along, middle, width, peak)


def find_middles(
    values: NDArray[np.float32], offsets: Floats, *, noise: float
) -> tuple[Floats, Floats, Floats]:
    """Find the stroke in each row of sampled darkness.

    Parameters
    ----------
    values : (n, m) array
        Darkness, a row a profile.
    offsets : (m,) array
        Where the columns lie, px, symmetric about 0.
    noise : float
        Standard deviation of the picture's noise, grey levels.

    Returns
    -------
    middle, width, peak : (n,) arrays
        NaN in rows that show no stroke. The middle lies half way between the two half-height
        crossings, which blur does not shift.
    """
    n = len(values)
    middle, width, peak = (np.full(n, np.nan) for _ in range(3))
    floor = max(MIN_CONTRAST, NOISE_LEVELS * noise)
    for i in range(n):
        found = _middle_of(values[i], offsets, floor)
        if found is not None:
            middle[i], width[i], peak[i] = found
    return middle, width, peak


def _middle_of(
    row: NDArray[np.float32], offsets: Floats, floor: float
) -> tuple[float, float, float] | None:
    nearness = 1.0 - 0.5 * np.abs(offsets) / offsets[-1]
    top = int(np.argmax(row * nearness))
    height = float(row[top])
    if height < floor:
        return None
    level = height * HALF_LEVEL
    left, right = top, top
    while left > 0 and row[left - 1] >= level:
        left -= 1
    while right < len(row) - 1 and row[right + 1] >= level:
        right += 1
    if left == 0 or right == len(row) - 1:
        return None
    low = _crossing(offsets, row, left - 1, level)
    high = _crossing(offsets, row, right, level)
    return (low + high) / 2, high - low, height


def _crossing(offsets: Floats, row: NDArray[np.float32], i: int, level: float) -> float:
    """Where the profile passes `level` between samples i and i + 1."""
    a, b = float(row[i]), float(row[i + 1])
    return float(offsets[i]) + STEP_PX * ((level - a) / (b - a) if a != b else 0.5)
