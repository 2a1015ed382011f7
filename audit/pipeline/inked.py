"""What is inked in a crop of a text, whatever its paper and its ink are like."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from audit.geometry.levels import level_at
from audit.reading.near import Gray

INK_SHARE = 0.45  # of full ink


def find_ink(crop: Gray) -> NDArray[np.bool_]:
    """Tell where a crop is inked, by its own paper and its own darkest ink.

    Parameters
    ----------
    crop : (h, w) uint8 array
        Dark on light.

    Returns
    -------
    (h, w) bool array
    """
    paper = level_at(crop, 90)
    full = paper - level_at(crop, 2)
    return np.asarray(paper - crop.astype(np.float32) > INK_SHARE * full)
