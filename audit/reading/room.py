"""Texts that a cut leaves in doubt, looked at again with more paper around.

A figure that nearly fills its crop looks to a reader like a piece of something larger: of a lone 4
it may say nothing at all, of an 8 that it is a 9. What drew near it stays whitened.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import cv2
import numpy as np

from audit.networks.decoding import spelling_key
from audit.reading.near import Gray, TextSpot
from audit.reading.readers import SETTLED, Reader
from audit.records import Candidate

Votes = tuple[Candidate, ...]

ROOM, LEAST_PX = 0.12, 2  # of the crop's height, on every side
LONG = 9.0  # heights: longer texts are words, which fill no crop


def hear_with_room(
    spots: Sequence[TextSpot], votes: Sequence[Votes], reader: Reader
) -> tuple[Votes, ...]:
    """Read short texts in doubt again with more paper around them.

    Parameters
    ----------
    spots : sequence of TextSpot
    votes : sequence of tuple of Candidate
        What the reader says of each as it was cut.
    reader : Reader

    Returns
    -------
    tuple of tuple of Candidate
        In the same order. Of two looks that say the same the surer counts; where they differ, each
        reading has half of what either look gave it.
    """
    heard = list(votes)
    asked = [k for k, spot in enumerate(spots) if _is_open(spot, votes[k])]
    crops = [with_paper(spots[k].crop) for k in asked]
    for k, more in zip(asked, reader.read(crops), strict=True):
        heard[k] = weigh_looks(votes[k], more)
    return tuple(heard)


def _is_open(spot: TextSpot, said: Votes) -> bool:
    """Whether a text that may be a size was not read surely."""
    if spot.length > LONG * spot.height or not spot.crop.size:
        return False
    if not said:
        return True
    return said[0].confidence < SETTLED and any(c.isdigit() for one in said for c in one.text)


def with_paper(crop: Gray) -> Gray:
    """Put paper around a crop.

    Parameters
    ----------
    crop : (h, w) uint8 array
        Dark on light.

    Examples
    --------
    >>> with_paper(np.full((50, 20), 240, np.uint8)).shape
    (62, 32)
    """
    room = max(LEAST_PX, round(ROOM * len(crop)))
    paper = (float(np.percentile(crop, 90)),)
    return np.asarray(
        cv2.copyMakeBorder(crop, room, room, room, room, cv2.BORDER_CONSTANT, value=paper),
        np.uint8,
    )


def weigh_looks(one: Votes, other: Votes) -> Votes:
    """Put together what two looks at the same ink say.

    Parameters
    ----------
    one : tuple of Candidate
        Best first.
    other : tuple of Candidate
        The same.

    Examples
    --------
    >>> from audit.records import ReadBy
    >>> def said(*pairs):
    ...     return tuple(Candidate(text=t, confidence=p, by=ReadBy.NET) for t, p in pairs)
    >>> [c.confidence for c in weigh_looks(said(("4", 0.5)), said(("4", 0.9), ("1", 0.1)))]
    [0.9, 0.1]
    >>> [(c.text, c.confidence) for c in weigh_looks(said(("9", 0.8)), said(("8", 0.9)))]
    [('8', 0.45), ('9', 0.4)]
    >>> len(weigh_looks((), said(("4", 0.9)))), len(weigh_looks(said(("4", 0.5)), ()))
    (1, 1)
    """
    if not one or not other:
        return one or other
    if spelling_key(one[0].text) == spelling_key(other[0].text):
        return max(one, other, key=lambda said: said[0].confidence)
    shares: dict[str, float] = {}
    for c in (*one, *other):
        shares[c.text] = shares.get(c.text, 0.0) + c.confidence / 2
    ranked = sorted(shares, key=lambda text: -shares[text])
    return tuple(replace(one[0], text=text, confidence=shares[text]) for text in ranked)
