"""Light lines on dark paper, as on a blueprint or a negative, brought to dark on light.

Everything after it looks for dark ink: this is the one place that knows of the other kind.
"""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.geometry.levels import level_of
from audit.isolation import GrayImage

Gray = NDArray[np.uint8]

REACH_PX = 41  # around a px: what is lighter or darker than this neighbourhood is drawn
FEW = 0.4  # percent of a sheet that drawn lines cover at least
CLEARLY = 1.25  # times as far from the paper as the other side
LEAST_CONTRAST = 20.0  # gray levels
SAMPLE_PX = 2400  # a larger picture is sampled by bands
WHITE = 255


def lay_dark_on_light(image: GrayImage) -> GrayImage:
    """Return a picture with its lines dark; the same one where they are."""
    if not is_light_on_dark(image.pixels):
        return image
    return replace(image, pixels=np.asarray(255 - image.pixels, np.uint8))


def is_light_on_dark(gray: Gray) -> bool:
    """Tell whether what is drawn is lighter than the paper around it.

    Parameters
    ----------
    gray : (h, w) uint8 array

    Examples
    --------
    >>> paper = np.full((300, 300), 230, np.uint8)
    >>> paper[::40] = 30
    >>> is_light_on_dark(paper), is_light_on_dark(255 - paper)
    (False, True)
    >>> is_light_on_dark(np.full((300, 300), 90, np.uint8))
    False
    """
    counts = count_off(gray)
    dark, light = (level_of(counts, share, least=-WHITE) for share in (FEW, 100.0 - FEW))
    return bool(light > LEAST_CONTRAST and light > CLEARLY * -dark)


def count_off(gray: Gray) -> NDArray[np.intp]:
    """Count how many px of a sample are off their neighbourhood by so many levels.

    Parameters
    ----------
    gray : (h, w) uint8 array

    Returns
    -------
    (511,) int array
        From `-WHITE`, much darker, to `WHITE`.
    """
    counts = np.zeros(2 * WHITE + 1, np.intp)
    step = max(1, gray.shape[0] // SAMPLE_PX)
    for y in range(0, gray.shape[0], REACH_PX * step):
        band = gray[y : y + REACH_PX]
        around = cv2.blur(band, (REACH_PX, REACH_PX))[::2]
        off = np.asarray(cv2.subtract(band[::2], around, dtype=cv2.CV_16S))
        counts += np.bincount(off.ravel() + WHITE, minlength=len(counts))
    return counts
