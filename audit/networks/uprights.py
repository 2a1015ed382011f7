"""An upright stroke before the figures of a reading: a 1 that was taken for a line.

A reader learns that upright lines beside a text are extension lines. Those run past the text or out
of the crop; a stroke that begins and ends as the figures do, and stands by itself, is a figure.
"""

from __future__ import annotations

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


def weigh_uprights(
    crop: Gray, said: tuple[NetCandidate, ...], *, most: float
) -> tuple[NetCandidate, ...]:
    """Put the reading with a 1 before it first where a stroke that may be one was not read.

    Where the 1 was read and the same without it was thought of, the stroke speaks for the 1.

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
    twin = _without_1(said)
    past = PAST if twin is None else LEVEL
    if not said or not (said[0].text[0] in ROUND or twin) or not begins_with_upright(crop, past):
        return said
    if twin is not None:
        share = (1 - LEFT) * twin.confidence
        found = [NetCandidate(c.text, LEFT * c.confidence) if c is twin else c for c in said[1:]]
        ranked = sorted(found, key=lambda c: -c.confidence)
        return (NetCandidate(said[0].text, min(1.0, said[0].confidence + share)), *ranked)
    first, second = "1" + said[0].text, said[0]
    others = [c for c in said[1:] if spelling_key(c.text) != spelling_key(first)]
    found = [NetCandidate(second.text, min(most, second.confidence)), *others]
    return (
        NetCandidate(first, most),
        *(NetCandidate(c.text, min(most, c.confidence)) for c in found),
    )


def _without_1(said: tuple[NetCandidate, ...]) -> NetCandidate | None:
    """Candidate that is the first one without the 1 it begins with; not where two 1s may stand."""
    if not said or said[0].text[0] != "1":
        return None
    key = spelling_key(said[0].text[1:])
    rest = (c for c in said[1:] if c.text[0].isdigit() and c.text[0] != "1")
    return next((c for c in rest if spelling_key(c.text) == key), None)


def begins_with_upright(crop: Gray, past: float = PAST) -> bool:
    """Whether the first blob of a crop's ink is an upright stroke between the figures' lines.

    Parameters
    ----------
    crop : (h, w) uint8 array
    past : float
        How far the stroke may reach past the figures, in heights of the tallest blob.
    """
    settled = settle_ink(crop, least=LEAST_CROP_PX)
    if settled is None:
        return False
    ink = settled[1].astype(np.uint8)
    _, _, table, _ = cv2.connectedComponentsWithStats(ink, connectivity=8)
    blobs = np.asarray(table[1:][table[1:, cv2.CC_STAT_AREA] >= DUST_PX, :4], np.int32)
    if len(blobs) < 2:
        return False
    blobs[:, 2:] += blobs[:, :2]
    blobs = blobs[np.argsort(blobs[:, 0], kind="stable")]
    return _is_figure(blobs[0], blobs[1:], len(ink), past)


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
