"""Whether a point that was read has ink of its own: arrowheads and habit make points of nothing."""

from __future__ import annotations

import re
from dataclasses import dataclass

import cv2
import numpy as np

from audit.networks.crops import PALER, Gray, Mask, find_ink, settle_polarity, tighten

# Blobs of ink that one character is made of, where it is not one.
PIECES = {**dict.fromkeys('=:;ij"%', 2), "±": 2, " ": 0}
# Forms with pieces or bars of their own: not counted.
STACKED = "/"
# In heights of the tallest blob: a point is no larger, and its middle is no higher over its foot.
POINT_SIZE, POINT_RISE = 0.5, 0.35
SPECK = 0.04
# Share of the probability that a reading with an inkless point keeps.
INKLESS = 0.1
# A reading without the point counts from this share of the probability of the one with it.
TWIN_SHARE = 0.3


@dataclass(frozen=True, slots=True)
class Blobs:
    """How many blobs of a crop's ink are points at the foot, and how many are others."""

    points: int
    others: int


def count_blobs(gray: Gray) -> Blobs | None:
    """Count the blobs of a crop's ink, points in the paler ink too; `None` where there is none.

    Parameters
    ----------
    gray : (h, w) uint8 array
        Dark on light or light on dark, one line of text.
    """
    crop = tighten(settle_polarity(gray))
    levels = [ink for faint in (0.0, PALER) if (ink := find_ink(crop, faint=faint)) is not None]
    if not levels:
        return None
    counts = [_count(ink) for ink in levels]
    return Blobs(max(c.points for c in counts), counts[0].others)


def _count(ink: Mask) -> Blobs:
    _, _, stats, _ = cv2.connectedComponentsWithStats(ink.astype(np.uint8), connectivity=8)
    blobs = stats[1:, :4]
    tall = int(blobs[:, 3].max())
    foot = float(np.median((blobs[:, 1] + blobs[:, 3])[blobs[:, 3] > tall / 2]))
    seen = (blobs[:, 2:4] > SPECK * tall).any(1)
    small = (blobs[:, 2:4] < POINT_SIZE * tall).all(1)
    low = blobs[:, 1] + blobs[:, 3] / 2 > foot - POINT_RISE * tall
    return Blobs(int((seen & small & low).sum()), int((seen & ~(small & low)).sum()))


def lacks_ink(text: str, blobs: Blobs) -> bool:
    """Whether a text has more points than its picture, all other characters being there apart.

    Examples
    --------
    >>> lacks_ink("330 ±.1", Blobs(0, 6)), lacks_ink("330 ±.1", Blobs(1, 6))
    (True, False)
    >>> lacks_ink("33.0", Blobs(0, 2))
    False
    """
    points = sum(c in ".," for c in text)
    if not points or STACKED in text:
        return False
    return blobs.points < points and blobs.others >= _pieces(text)


def _pieces(text: str) -> int:
    return sum(PIECES.get(c, 1) for c in text if c not in ".,")


def is_twin(text: str, other: str) -> bool:
    """Whether another reading has the same characters and fewer points.

    Examples
    --------
    >>> is_twin("6H.", "6H"), is_twin("6H.", "GH"), is_twin("6H", "6H.")
    (True, False, False)
    """
    return len(other) < len(text) and _NO_POINTS("", other) == _NO_POINTS("", text)


_NO_POINTS = re.compile(r"[.,]").sub
