"""Darkness sampled across a stroke, and where its middle is."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.geometry.levels import level_at

Gray = NDArray[np.uint8]
Floats = NDArray[np.float64]

STEP_PX = 0.25  # between samples of a profile; bilinear sampling gains nothing below it
SMOOTH_PX = 0.8  # evens out the pixel grid: a crisp edge would be known to its nearest pixel only
HALF_LEVEL = 0.5  # of the peak: where a blurred edge crosses, whatever the blur
MIN_CONTRAST = 24.0  # grey levels; a stroke fainter than this is lost in scanner noise
NOISE_LEVELS = 4.0  # a peak must stand this many noise deviations above the paper
TO_SIGMA = 1.4826  # from the median of deviations, normal ones
# Second differences, grey levels: a median below hides no stroke of the least contrast.
HARMLESS_BEND = 0.999 * MIN_CONTRAST / NOISE_LEVELS * 6.0**0.5 / TO_SIGMA


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
    paper = level_at(gray, 80)
    dark = np.float32(paper) - gray.astype(np.float32)
    return np.asarray(cv2.GaussianBlur(dark, (0, 0), SMOOTH_PX), np.float32)


def noise_of(dark: NDArray[np.float32]) -> float:
    """Noise of a picture, grey levels: from second differences, which smooth strokes hardly move.

    0 where it is so low that no stroke is lost in it: it takes longer to tell how low.

    References
    ----------
    J. Immerkær, "Fast noise variance estimation", 1996 (idea; from memory).
    """
    if dark.shape[1] < 3:
        return 0.0
    bends = np.abs(dark[:, 2:] - 2 * dark[:, 1:-1] + dark[:, :-2])
    if 2 * np.count_nonzero(bends > HARMLESS_BEND) < bends.size:
        return 0.0
    return float(TO_SIGMA * np.median(bends) / np.sqrt(6.0))


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
    middle, width, peak = (np.full(len(values), np.nan) for _ in range(3))
    nearness = 1.0 - 0.5 * np.abs(offsets) / offsets[-1]
    top = np.argmax(values * nearness, axis=1) if len(values) else np.zeros(0, np.intp)
    height = values[np.arange(len(values)), top].astype(np.float64)
    tall = np.flatnonzero(~(height < max(MIN_CONTRAST, NOISE_LEVELS * noise)))
    rows, peaks, level = values[tall], top[tall, None], height[tall] * HALF_LEVEL
    # the first sample under half height to either side; a stroke that runs out of the row is none
    places = np.arange(len(offsets))
    under = ~(rows >= level[:, None])
    before = np.where(under & (places < peaks), places, -1).max(axis=1, initial=-1)
    after = np.where(under & (places > peaks), places, len(places)).min(axis=1, initial=len(places))
    whole = (before >= 0) & (after < len(places))
    found, rows, level = tall[whole], rows[whole], level[whole]
    low = _crossings(offsets, rows, before[whole], level)
    high = _crossings(offsets, rows, after[whole] - 1, level)
    middle[found], width[found], peak[found] = (low + high) / 2, high - low, height[found]
    return middle, width, peak


def _crossings(
    offsets: Floats, rows: NDArray[np.float32], before: NDArray[np.intp], level: Floats
) -> Floats:
    """Where each row passes its level between the sample `before` and the next one."""
    which = np.arange(len(rows))
    a, b = (rows[which, before + k].astype(np.float64) for k in (0, 1))
    rise = np.where(a == b, 1.0, b - a)
    return np.asarray(
        offsets[before] + STEP_PX * np.where(a == b, 0.5, (level - a) / rise), np.float64
    )
