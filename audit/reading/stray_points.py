"""Points heard in the numbers of a sheet that prints whole ones: grain and squared paper make them.

A sheet of millimetres may still print a half here and there. So such a reading is asked about, and
is taken without its point only where that was heard about as well.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from audit.reading.ends import ASKED
from audit.reading.readers import SETTLED
from audit.records import Candidate

Votes = tuple[Candidate, ...]

FEW = 6  # surely read whole numbers that show what a sheet prints
RARE = 0.25  # of them may be surely read with a point: some of those are misread
AS_WELL = 0.2  # of the surest reading
_WHOLE, _POINTED = re.compile(r"[1-9]\d{1,3}"), re.compile(r"[1-9]\d*[.,]\d{1,2}")


def doubt_stray_points(votes: Sequence[Votes]) -> tuple[Votes, ...]:
    """Ask about points that were heard, and not heard, among whole numbers.

    Parameters
    ----------
    votes : sequence of tuple of Candidate
        What the readers say of each text of one sheet, best first.

    Returns
    -------
    tuple of tuple of Candidate
        In the same order.
    """
    return tuple(map(_doubted, votes)) if _prints_whole(votes) else tuple(votes)


def _prints_whole(votes: Sequence[Votes]) -> bool:
    sure = [v[0].text for v in votes if v and v[0].confidence >= SETTLED]
    whole = sum(_WHOLE.fullmatch(text) is not None for text in sure)
    pointed = sum(_POINTED.fullmatch(text) is not None for text in sure)
    return whole >= FEW and pointed <= RARE * whole


def _doubted(said: Votes) -> Votes:
    pointed = next((c for c in said[:2] if _POINTED.fullmatch(c.text)), None)
    if pointed is None:
        return said
    bare = re.sub("[.,]", "", pointed.text)
    twin = next((c for c in said if c.text == bare), None)
    if twin is None or (twin is not said[0] and pointed is not said[0]):
        return said
    if twin is said[0] and twin.confidence >= SETTLED:
        return said
    if twin.confidence < AS_WELL * pointed.confidence:
        return tuple(replace(c, confidence=min(c.confidence, ASKED)) for c in said)
    meant = replace(twin, confidence=min(ASKED, twin.confidence + pointed.confidence))
    return (meant, *(c for c in said if c not in (twin, pointed)))
