"""An upright stroke before the figures of a reading: a 1 that was taken for a line.

A reader learns that upright lines beside a text are extension lines. Those run past the text or out
of the crop; a stroke that begins and ends as the figures do, and stands by itself, is a figure.
"""

from __future__ import annotations

from itertools import takewhile

import cv2
import numpy as np

from audit.networks.crops import Boxes, Gray, settle_ink
from audit.networks.decoding import NetCandidate, spelling_key

# Figures without a stem: the first stroke of a broken one is no upright.
ROUND = "0235689"
# Of the probability of a reading without the 1, where the stroke is seen and the 1 was read.
LEFT = 0.1
LEAST_CROP_PX = 8
# Of a blob, px: less is dust.
DUST_PX = 6
# In heights of the tallest blob: what counts as a figure, how tall the stroke must be.
FIGURE, TALL = 0.4, 0.55
# In its own heights, how wide a 1 is; in those of the tallest blob, how far it reaches past others,
# and how far where it is to speak for a 1: ends of extension lines stand out further, and of drawn
# sizes with such an end before them twice as many were surely read with a 1.
WIDE, PAST, LEVEL = 0.3, 0.3, 0.15
# In its own heights, how much wider than the first one another stroke is: a slanted bar is more.
LEANS = 0.12


def weigh_uprights(
    crop: Gray, said: tuple[NetCandidate, ...], *, most: float
) -> tuple[NetCandidate, ...]:
    """Put the reading with a 1 before it first where a stroke that may be one was not read.

    Where the 1 was read and the same without it was thought of, the stroke speaks for the 1. Of
    several 1s each needs a stroke of its own.

    Parameters
    ----------
    crop : (h, w) uint8 array
        As it was cut, dark on light or light on dark.
    said : tuple of NetCandidate
        Best first.
    most : float
        Confidence that either reading has at most where no 1 was read: the stroke may be a line.

    Returns
    -------
    tuple of NetCandidate
        As it was where there is no such stroke.
    """
    if not said:
        return said
    ones, twin = count_ones(said[0].text), _without_1(said)
    if ones == 0 and said[0].text[0] not in ROUND:
        return said
    strokes = count_uprights(crop, LEVEL if ones else PAST)
    if strokes > ones:
        return _asked(said, most)
    return said if twin is None or strokes < ones else _told(said, twin)


def _told(said: tuple[NetCandidate, ...], twin: NetCandidate) -> tuple[NetCandidate, ...]:
    """Give the first reading most of what its twin without the 1 has."""
    share = (1 - LEFT) * twin.confidence
    found = [NetCandidate(c.text, LEFT * c.confidence) if c is twin else c for c in said[1:]]
    ranked = sorted(found, key=lambda c: -c.confidence)
    return (NetCandidate(said[0].text, min(1.0, said[0].confidence + share)), *ranked)


def _asked(said: tuple[NetCandidate, ...], most: float) -> tuple[NetCandidate, ...]:
    """Put the reading with one more 1 first, as it was heard if it was; neither is believed."""
    second = said[0]
    bare = _bare("1" + second.text)
    heard = (c.text for c in said[1:] if _bare(c.text) == bare)
    first = next(heard, "1" + second.text)
    others = [c for c in said[1:] if spelling_key(c.text) != spelling_key(first)]
    return (
        NetCandidate(first, most),
        *(NetCandidate(c.text, min(most, c.confidence)) for c in (second, *others)),
    )


def count_ones(text: str) -> int:
    """How many 1s a reading begins with, over the gap before a fraction.

    Examples
    --------
    >>> [count_ones(text) for text in ("13/32", "1 13/32", "11'-2", "1'-1", "7/8")]
    [1, 2, 2, 1, 0]
    """
    return len(_bare(text)) - len(_bare(text).lstrip("1"))


def _bare(text: str) -> str:
    return "".join(text.split())


def _without_1(said: tuple[NetCandidate, ...]) -> NetCandidate | None:
    """Candidate that is the first one without the 1 it begins with."""
    if said[0].text[0] != "1":
        return None
    key = spelling_key(said[0].text[1:].lstrip())
    rest = (c for c in said[1:] if c.text[0].isdigit())
    return next((c for c in rest if spelling_key(c.text) == key), None)


def begins_with_upright(crop: Gray, past: float = PAST) -> bool:
    """Whether the first blob of a crop's ink is an upright stroke between the figures' lines.

    Parameters
    ----------
    crop : (h, w) uint8 array
    past : float
        How far the stroke may reach past the figures, in heights of the tallest blob.
    """
    return count_uprights(crop, past) > 0


def count_uprights(crop: Gray, past: float) -> int:
    """How many of the first blobs of a crop's ink are upright strokes between the figures' lines.

    Parameters
    ----------
    crop : (h, w) uint8 array
    past : float
        How far a stroke may reach past the figures, in heights of the tallest blob.
    """
    settled = settle_ink(crop, least=LEAST_CROP_PX)
    if settled is None:
        return 0
    ink = settled[1].astype(np.uint8)
    _, _, table, _ = cv2.connectedComponentsWithStats(ink, connectivity=8)
    blobs = np.asarray(table[1:][table[1:, cv2.CC_STAT_AREA] >= DUST_PX, :4], np.int32)
    blobs[:, 2:] += blobs[:, :2]
    blobs = blobs[np.argsort(blobs[:, 0], kind="stable")]
    strokes = (
        _is_figure(stroke, blobs[k + 1 :], len(ink), past) and _is_parallel(stroke, blobs[0])
        for k, stroke in enumerate(blobs[:-1])
    )
    return sum(takewhile(bool, strokes))


def _is_parallel(stroke: Boxes, first: Boxes) -> bool:
    """Whether a stroke leans hardly more than the first one: a fraction's bar does."""
    lean, least = (
        (int(x1) - int(x0)) / max(int(y1) - int(y0), 1) for x0, y0, x1, y1 in (stroke, first)
    )
    return lean <= least + LEANS


def _is_figure(stroke: Boxes, others: Boxes, height: int, past: float) -> bool:
    """Whether an upright stroke begins and ends about where the other figures do."""
    tall = others[:, 3] - others[:, 1]
    body = max(int(tall.max()), int(stroke[3] - stroke[1]))
    figures = others[tall >= FIGURE * body]
    if not len(figures):
        return False
    x0, y0, x1, y1 = stroke.tolist()
    thin = x1 - x0 <= WIDE * (y1 - y0) and y1 - y0 >= TALL * body
    inside = y0 >= 1 and y1 < height  # else it runs out of the crop
    top, foot = int(figures[:, 1].min()), int(figures[:, 3].max())
    return bool(thin and inside and y0 >= top - past * body and y1 <= foot + past * body)
