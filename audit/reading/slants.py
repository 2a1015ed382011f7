"""Whether the ink of a text that was cut level runs askew: its own shape tells, if it is long."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.geometry import angle_between
from audit.reading.patch_directions import LONG, MIN_PATCH, outline_of, shape_of

LEAST_DEG, MOST_DEG = 5.0, 40.0  # off the direction of the crop
SLIMMER = 0.85  # of the height in the crop: so much lower a slanted text's own shape must be
# Times as long as high: so long ink must be to show a slant. Of shorter texts it is mostly that of
# a mark behind a figure, or of a fraction across its bar.
SLENDER = 1.8
TALL = 0.45  # of the tallest blob: lower ones are points, bars and marks
SAME_DEG = 8.0  # between all ink and the figures alone

Ink = NDArray[np.uint8]


def slant_of(ink: Ink) -> float:
    """Degrees by which a text lies off level; 0 where its shape does not say so.

    Parameters
    ----------
    ink : (h, w) uint8 array
        Of one text.
    """
    slant = _lean(ink, slender=SLENDER)
    if slant and angle_between(slant, _lean(_without_marks(ink), slender=LONG)) > SAME_DEG:
        return 0.0
    return slant


def lean_of(ink: Ink) -> float:
    """Degrees by which a text may lie off level, short as it is; 0 where its shape says nothing.

    Parameters
    ----------
    ink : (h, w) uint8 array
        Of one text.
    """
    return _lean(ink, slender=LONG)


def _lean(ink: Ink, *, slender: float) -> float:
    """Degrees by which ink lies off level; 0 where it is not so slender."""
    if np.count_nonzero(ink) < MIN_PATCH:
        return 0.0
    outline = outline_of(ink)
    shape = shape_of(outline)
    if shape is None:
        return 0.0
    slant = (shape[0] + 90.0) % 180.0 - 90.0
    height = float(np.ptp(outline[:, 1])) + 1.0
    slanted = LEAST_DEG < abs(slant) < MOST_DEG and shape[2] > slender * shape[1]
    return slant if slanted and shape[1] < SLIMMER * height else 0.0


def _without_marks(ink: Ink) -> Ink:
    """Ink without its lower blobs: a mark behind a figure makes it look slanted."""
    _, labels, stats, _ = cv2.connectedComponentsWithStats(ink, connectivity=8)
    tall = stats[:, cv2.CC_STAT_HEIGHT]
    keep = tall >= TALL * tall[1:].max(initial=0)
    keep[0] = False
    return np.asarray(keep[labels], np.uint8)
