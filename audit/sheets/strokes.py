"""Long straight strokes of a picture, for what most of them have in common."""

from __future__ import annotations

import math
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Gray = NDArray[np.uint8]

WORK_PX = 2000  # long side of the picture in which strokes are looked for
INK_PX = 9  # wider dark things are shade and table
FILLED_PX, SMOOTH_PX = 15, 2.0  # strokes as wide are filled, and grain of the camera smoothed
ROUGH_PX = 31  # about a stroke, where its ground is looked at
# Scatter of the ground's brightness about a stroke, of its brightness: on photographs made through
# the camera model of the tests paper shows .002 to .014, planks from .016 on, mostly .04 and more.
PLAIN, TIMES_PLAINEST = 0.012, 3.0
PLAINEST = 3.0  # per cent of the strokes that surely lie on paper, coarse as it may be
LEAST = 0.015  # of the picture's diagonal: shorter strokes are letters
MOST = 300  # strokes, the longest; more say nothing new


def find_strokes(gray: Gray) -> Array:
    """Find long straight strokes on paper: dark lines thinner than `INK_PX` of the small picture.

    The grain of a table is left out: its ground is rough.

    Parameters
    ----------
    gray : ndarray of uint8, shape (rows, columns)

    Returns
    -------
    array of shape (n, 2, 2)
        Both ends of each side of a stroke, px of `gray`, the longest first.
    """
    small, times = shrink(gray)
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (INK_PX, INK_PX))
    ink = cv2.morphologyEx(small, cv2.MORPH_BLACKHAT, kernel)
    found: Any = cv2.createLineSegmentDetector().detect(ink)[0]
    if found is None:
        return np.empty((0, 2, 2))
    ends = np.asarray(found, float).reshape(-1, 2, 2) + 0.5
    length = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
    order = np.argsort(-length)
    ends = ends[order[length[order] >= LEAST * math.hypot(*small.shape)]]
    return np.asarray(_on_paper(ends, small)[:MOST] * times, float)


def _on_paper(ends: Array, small: Gray) -> Array:
    """Keep the strokes whose ground is plain."""
    if len(ends) == 0:
        return ends
    x, y = np.clip(ends.mean(axis=1).astype(int), 0, np.array(small.shape[::-1]) - 1).T
    rough = measure_roughness(small)[y, x]
    most = max(PLAIN, TIMES_PLAINEST * float(np.percentile(rough, PLAINEST)))
    return np.asarray(ends[rough <= most], float)


def measure_roughness(small: Gray) -> NDArray[np.float32]:
    """Scatter of the ground's brightness about each place of a small picture, of its brightness."""
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (FILLED_PX, FILLED_PX))
    filled = cv2.morphologyEx(small, cv2.MORPH_CLOSE, kernel).astype(np.float32)
    ground = cv2.GaussianBlur(filled, (0, 0), SMOOTH_PX)
    around = (ROUGH_PX, ROUGH_PX)
    light = cv2.blur(ground, around)
    spread = np.maximum(cv2.blur(ground * ground, around) - light * light, 0.0)
    return np.asarray(np.sqrt(spread) / np.maximum(light, 1.0), np.float32)


def shrink(gray: Gray) -> tuple[Gray, float]:
    """Return the small picture, and how many px of the whole one px of it is."""
    factor = min(1.0, WORK_PX / max(gray.shape))
    if factor == 1.0:
        return gray, 1.0
    rows, columns = (max(1, round(v * factor)) for v in gray.shape)
    small = cv2.resize(gray, (columns, rows), interpolation=cv2.INTER_AREA)
    return np.asarray(small, np.uint8), 1 / factor
