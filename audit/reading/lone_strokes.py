"""Lone strokes as high as the figures of their sheet: a 1 that nobody reads for sure.

A reader learns that a stroke by itself is a piece of a line. Where the network that finds texts
takes one for a text, and it begins and ends as a figure does, it is asked about as a 1.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.networks.crops import settle_ink
from audit.reading.near import TextSpot
from audit.reading.readers import SETTLED
from audit.records import Candidate, ReadBy

Gray = NDArray[np.uint8]
Votes = tuple[Candidate, ...]

ASKED = 0.6  # of a 1: likelier than not, and never believed
HEARD = 0.5  # of anything but a 1: then it is that
FEW = 3  # texts with a figure that tell how high figures are
HEIGHTS = (0.7, 1.35)  # of those: so high is a 1
LEAST_CROP_PX, DUST_PX = 8, 6
# Of a stroke, in its heights: its width with a flag or serif, how far it leans, its thickness, how
# far it strays from straight, how high other blobs are at most.
WIDE, LEAN, THICK, STRAY, OTHERS = 0.5, 0.36, 0.3, 0.06, 0.3
BODY = (0.3, 0.85)  # of its rows: what is no flag and no serif


def hear_lone_strokes(
    spots: Sequence[TextSpot], votes: Sequence[Votes], *, by: ReadBy = ReadBy.NET
) -> list[Votes]:
    """Ask about lone strokes that may be a 1.

    Parameters
    ----------
    spots : sequence of TextSpot
    votes : sequence of tuple of Candidate
        What a reader says of each.
    by : ReadBy
        That reader.

    Returns
    -------
    list of tuple of Candidate
        In the same order.
    """
    heights = [
        spot.height
        for spot, said in zip(spots, votes, strict=True)
        if said and said[0].confidence >= SETTLED and said[0].text[:1].isdigit()
    ]
    if len(heights) < FEW:
        return list(votes)
    low, high = (share * float(np.median(heights)) for share in HEIGHTS)
    return [
        _asked(said, by) if _is_open(said) and low < s.height < high and is_stroke(s.crop) else said
        for s, said in zip(spots, votes, strict=True)
    ]


def _is_open(said: Votes) -> bool:
    """Whether nothing is read for sure but, perhaps, a 1."""
    if not said or said[0].confidence < HEARD:
        return True
    return said[0].text == "1" and said[0].confidence < ASKED


def _asked(said: Votes, by: ReadBy) -> Votes:
    rest = (replace(c, confidence=min(c.confidence, ASKED)) for c in said if c.text != "1")
    return (Candidate(text="1", confidence=ASKED, by=by), *rest)


def is_stroke(crop: Gray) -> bool:
    """Whether all there is in a crop is one upright stroke that ends inside it.

    Parameters
    ----------
    crop : (h, w) uint8 array
        Dark on light or light on dark.

    Examples
    --------
    >>> crop = np.full((40, 20), 240, np.uint8)
    >>> crop[6:34, 9:12] = 20
    >>> is_stroke(crop), is_stroke(np.ascontiguousarray(crop.T))
    (True, False)
    """
    settled = settle_ink(crop, least=LEAST_CROP_PX)
    if settled is None:
        return False
    ink = settled[1].astype(np.uint8)
    _, labels, stats, _ = cv2.connectedComponentsWithStats(ink, connectivity=8)
    kept = np.flatnonzero(stats[:, cv2.CC_STAT_AREA] >= DUST_PX)[1:]
    if not len(kept):
        return False
    tall = stats[kept, cv2.CC_STAT_HEIGHT]
    k = int(kept[tall.argmax()])
    y, w, h = (int(v) for v in stats[k, 1:4])
    others = stats[kept[kept != k], cv2.CC_STAT_HEIGHT]
    inside = y >= 1 and y + h < len(ink) and w <= WIDE * h
    return inside and bool((others < OTHERS * h).all()) and _is_straight(labels == k, y, h)


def _is_straight(own: NDArray[np.bool_], top: int, height: int) -> bool:
    """Whether the rows of a stroke, but for its flag and its serif, make a straight thin line."""
    rows = own[top + round(BODY[0] * height) : top + round(BODY[1] * height)]
    columns = np.arange(own.shape[1])
    wide = rows.sum(axis=1)
    if len(rows) < 3 or not wide.all() or wide.max() > max(THICK * height, 3.0):
        return False
    middle = (rows * columns).sum(axis=1) / wide
    at = np.arange(len(rows))
    lean, start = np.polyfit(at, middle, 1)
    stray = np.abs(middle - start - lean * at).max()
    return bool(abs(lean) < LEAN and stray < max(STRAY * height, 1.0))
