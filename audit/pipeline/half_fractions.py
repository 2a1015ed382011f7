"""Figures of a picture with ink as large as a figure right over or under them.

Where the network took the 1 of a stacked ½ for a bit of a line, its 2 alone is read, and surely.
What stands there need not be read to say that the number may be half of a fraction.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.geometry import Box
from audit.pipeline.doubting import doubt_size, unconfirmed
from audit.reading.near import Gray, turn_upright
from audit.records import Dimension, Reading

QUARTER_DEG = 4.0  # from level or upright; slanted boxes tell nothing
# Lengths in heights of the text's box, which may hold the bar of the fraction.
REACH = 1.6  # that is looked at over and under it: a line runs on further, a figure does not
FIGURE = (0.45, 1.2)  # height of what may be a figure
WIDEST = 1.2  # of it
APART, INTO = 0.45, 0.15  # of it from the text, and how far boxes may reach into each other
ASIDE = 0.3  # share of the text's width, between the middles
DEPTH = 0.45  # share of the darkest ink
FAINTEST = 25.0  # gray levels
NARROW = 0.45  # of its height, a 1 or the head of an arrow, which is no denominator
DENOMINATORS = ("2", "4", "8", "16", "32", "64")  # of an inch rule: common practice, no source
_FIGURES = re.compile(r"(\d{1,2})\"?")


def doubt_half_fractions(dimensions: Sequence[Dimension], gray: Gray) -> tuple[Dimension, ...]:
    """Doubt whole numbers over or under which something as large as a figure stands alone.

    Parameters
    ----------
    dimensions : sequence of Dimension
        Of one picture, boxes in its px.
    gray : (h, w) uint8 array

    Returns
    -------
    tuple of Dimension
        In the same order.
    """
    return tuple(_doubting(d, gray) for d in dimensions)


def _doubting(dimension: Dimension, gray: Gray) -> Dimension:
    reading = unconfirmed(dimension)
    if reading is None or not _FIGURES.fullmatch(reading.text):
        return dimension
    if abs((reading.angle + 45.0) % 90.0 - 45.0) > QUARTER_DEG or not _is_half(reading, gray):
        return dimension
    return doubt_size(dimension, reading, "what stands over or under it may make it a fraction")


def _is_half(reading: Reading, gray: Gray) -> bool:
    box, turned = reading.box, abs(math.cos(math.radians(reading.angle))) < math.sqrt(0.5)
    length, high = (box.height, box.width) if turned else (box.width, box.height)
    width, height = length + 2 * WIDEST * high, (1 + 2 * REACH) * high
    crop, _ = turn_upright(gray, box.centre, angle=reading.angle, width=width, height=height)
    rows, columns = crop.shape
    middle, half = columns / 2, rows / 2
    own = Box(middle - length / 2, half - high / 2, middle + length / 2, half + high / 2)
    figure = _FIGURES.sub(r"\1", reading.text)
    blobs = (blob for blob in _blobs(crop) if _may_complete(figure, blob, own))
    return any(_makes_a_fraction(blob, own, rows) for blob in blobs)


def _may_complete(figure: str, blob: Box, own: Box) -> bool:
    """Whether a blob over a number, or under it, may be the other half of a fraction by its place.

    Under a 1 stands what a rule is divided into; no fraction has a stroke for its denominator, but
    a vertical dimension line has its dashes and arrowheads over and under its number.
    """
    if blob.centre.y < own.centre.y:
        return figure in DENOMINATORS
    return blob.width > NARROW * blob.height


def _blobs(crop: Gray) -> list[Box]:
    depth: NDArray[np.float32] = float(np.percentile(crop, 90)) - crop.astype(np.float32)
    full = float(np.percentile(depth, 99))
    if full < FAINTEST:
        return []
    ink = np.asarray(depth > DEPTH * full, np.uint8)
    count, _, stats, _ = cv2.connectedComponentsWithStats(ink, connectivity=8)
    return [Box(x, y, x + w, y + h) for x, y, w, h, _ in stats[1:count].tolist()]


def _makes_a_fraction(blob: Box, own: Box, rows: int) -> bool:
    high = own.height
    if not FIGURE[0] * high < blob.height < FIGURE[1] * high or blob.width > WIDEST * high:
        return False
    if blob.y0 <= 0 or blob.y1 >= rows:
        return False  # it runs on
    apart = max(own.y0 - blob.y1, blob.y0 - own.y1)
    aside = abs(blob.centre.x - own.centre.x)
    return -INTO * high < apart < APART * high and aside < ASIDE * own.width
