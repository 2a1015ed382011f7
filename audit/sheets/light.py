"""Uneven light taken off a photo, so that paper is equally bright everywhere."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

SHRUNK = 8  # the light is looked at in a picture so much smaller
STROKE_PX = 7  # px of the small picture: what is darker over less than this is drawn, not shade
MEDIAN_PX = 9  # keeps the edge of a shadow where it is; wider smoothing leaves a dark rim beside it
SMOOTH_PX = 1.0  # so that the light is no staircase between px of the small picture
PAPER = 240.0  # gray level that paper is brought to
MOST_GAIN = 4.0  # deeper shade is left dark: noise would be drawn as strokes
STRIP = 512  # rows at a time


def even_light(pixels: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Bring paper to one brightness.

    Parameters
    ----------
    pixels : ndarray of uint8, shape (rows, columns)
        Dark strokes on paper.

    Returns
    -------
    ndarray of uint8, shape (rows, columns)
        Strokes keep their darkness relative to the paper around them.
    """
    rows, columns = pixels.shape
    if min(rows, columns) < 4 * SHRUNK:
        return pixels
    light = _find_light(pixels)
    result = np.empty_like(pixels)
    for top in range(0, rows, STRIP):
        strip = pixels[top : top + STRIP]
        here = _light_of_rows(light, top, strip.shape, whole=(rows, columns))
        gain = np.minimum(PAPER / np.maximum(here, 1.0), MOST_GAIN)
        result[top : top + STRIP] = np.clip(strip * gain + 0.5, 0, 255).astype(np.uint8)
    return result


def _find_light(pixels: NDArray[np.uint8]) -> NDArray[np.float32]:
    """Brightness of the paper in a small picture: strokes filled, then smoothed."""
    rows, columns = pixels.shape
    size = (columns // SHRUNK, rows // SHRUNK)
    small = np.asarray(cv2.resize(pixels, size, interpolation=cv2.INTER_AREA), np.uint8)
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (STROKE_PX, STROKE_PX))
    filled = cv2.medianBlur(cv2.morphologyEx(small, cv2.MORPH_CLOSE, kernel), MEDIAN_PX)
    return np.asarray(cv2.GaussianBlur(filled.astype(np.float32), (0, 0), SMOOTH_PX), np.float32)


def _light_of_rows(
    light: NDArray[np.float32], top: int, shape: tuple[int, ...], *, whole: tuple[int, int]
) -> NDArray[np.float32]:
    down = (np.arange(top, top + shape[0], dtype=np.float32) + 0.5) * light.shape[0] / whole[0]
    across = (np.arange(shape[1], dtype=np.float32) + 0.5) * light.shape[1] / whole[1]
    x, y = np.meshgrid(across - 0.5, down - 0.5)
    seen = cv2.remap(light, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(seen, np.float32)
