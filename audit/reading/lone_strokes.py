"""Lone strokes as high as the figures of their sheet: a 1 that nobody reads for sure.

A reader learns that a stroke by itself is a piece of a line. Where the network that finds texts
takes one for a text, and it begins and ends as a figure does, it is asked about as a 1; where it
stands free between the two halves of a dimension line, it is one.
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
BETWEEN = 0.93  # of one in the gap of its line: nothing else that ends there stands free in it
HEARD = 0.5  # of anything but a 1: then it is that
FEW = 3  # texts with a figure that tell how high figures are
HEIGHTS = (0.7, 1.35)  # of those: so high is a 1
LEAST_CROP_PX, DUST_PX = 8, 6
# Of a stroke, in its heights: its width with a flag or serif, how far it leans, its thickness, how
# far it strays from straight, how high other blobs are at most.
WIDE, LEAN, THICK, STRAY, OTHERS = 0.5, 0.36, 0.3, 0.06, 0.3
BODY = (0.3, 0.85)  # of its rows: what is no flag and no serif
# In heights of the stroke: how far off a line ends before it and behind it, how much of that line
# is looked at, how high it is there, an arrowhead, and how far its middle is from the stroke's.
GAP, END, HIGH, OFF = (0.06, 1.3), 0.3, 0.6, 0.22


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
    heights = heights_of_figures(spots, votes)
    if len(heights) < FEW:
        return list(votes)
    low, high = (share * float(np.median(heights)) for share in HEIGHTS)
    return [
        _told(said, by, spot)
        if _is_open(said) and low < spot.height < high and is_stroke(spot.crop)
        else said
        for spot, said in zip(spots, votes, strict=True)
    ]


def heights_of_figures(spots: Sequence[TextSpot], votes: Sequence[Votes]) -> list[float]:
    """Heights of surely read sizes: of those without a fraction, which is higher, if enough.

    Parameters
    ----------
    spots : sequence of TextSpot
    votes : sequence of tuple of Candidate
        What a reader says of each.

    Returns
    -------
    list of float
        Px.
    """
    sure = [
        (spot.height, "/" in said[0].text)
        for spot, said in zip(spots, votes, strict=True)
        if said and said[0].confidence >= SETTLED and said[0].text[:1].isdigit()
    ]
    plain = [height for height, fraction in sure if not fraction]
    return plain if len(plain) >= FEW else [height for height, _ in sure]


def _is_open(said: Votes) -> bool:
    """Whether nothing is read for sure but, perhaps, a 1."""
    if not said or said[0].confidence < HEARD:
        return True
    return said[0].text == "1" and said[0].confidence < SETTLED


def _told(said: Votes, by: ReadBy, spot: TextSpot) -> Votes:
    """Put a 1 first: sure between the halves of a line, else asked, or as sure as it was heard."""
    between = spot.wider is not None and is_between_lines(spot.wider)
    heard = said[0].confidence if said and said[0].text == "1" else 0.0
    sure = max(heard, BETWEEN if between else ASKED)
    most = 1.0 - sure if between else ASKED
    rest = (replace(c, confidence=min(c.confidence, most)) for c in said if c.text != "1")
    return (Candidate(text="1", confidence=sure, by=by), *rest)


def is_between_lines(crop: Gray) -> bool:
    """Whether an upright stroke stands free between the ends of two level lines in a row.

    Parameters
    ----------
    crop : (h, w) uint8 array
        With ink beyond both ends of the stroke, dark on light or light on dark.

    Examples
    --------
    >>> crop = np.full((40, 60), 240, np.uint8)
    >>> crop[6:34, 29:32] = crop[19:21, :20] = crop[19:21, 40:] = 20
    >>> is_between_lines(crop), is_between_lines(crop[:, :38])
    (True, False)
    """
    settled = settle_ink(crop, least=LEAST_CROP_PX)
    if settled is None:
        return False
    ink = settled[1]
    _, labels, stats, _ = cv2.connectedComponentsWithStats(ink.astype(np.uint8), connectivity=8)
    stands = (stats[:, 2] <= WIDE * stats[:, 3]) & (stats[:, 4] >= DUST_PX)
    stands[0] = False
    if not stands.any():
        return False
    k = int(np.flatnonzero(stands)[np.argmax(stats[stands, 3])])
    x, y, w, h = (int(v) for v in stats[k, :4])
    others = ink & (labels != k)
    before, behind = others[:, :x][:, ::-1], others[:, x + w :]
    return all(_ends_a_line(part, y + h / 2, float(h)) for part in (before, behind))


def _ends_a_line(beside: NDArray[np.bool_], middle: float, height: float) -> bool:
    """Whether the first ink beside a stroke, from it outwards, is the end of a level line."""
    columns = np.flatnonzero(beside.any(axis=0))
    if not len(columns) or not GAP[0] * height <= columns[0] <= GAP[1] * height:
        return False
    end = beside[:, columns[0] : columns[0] + max(3, round(END * height))]
    rows = np.flatnonzero(end.any(axis=1))
    off = abs((rows[0] + rows[-1] + 1) / 2 - middle)
    return bool(np.ptp(rows) + 1 <= HIGH * height and off <= OFF * height)


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
