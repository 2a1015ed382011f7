"""Whole numbers and fractions read as one, their gap lost: `17/8` of `1 7/8`.

A pen leaves little room before a slanted fraction. Whoever writes mixed numbers writes no fraction
above one on the same sheet (common practice, no source). What a number measures plays no part.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from audit.reading.ends import ASKED
from audit.reading.pooling import pool_spellings
from audit.reading.readers import SETTLED
from audit.records import Candidate, ReadBy

Votes = tuple[Candidate, ...]

FEW = 3  # surely read mixed numbers that show what a sheet writes
LINE_LIKE = "1"  # a line's end before a fraction reads as this: asked
_MIXED = re.compile(r"(?<![\d/])\d+[ -](\d+)/(\d+)(?![\d/])")
_JOINED = re.compile(r"(?<![\d/.])(\d{2,4})/(\d{1,2})(?![\d/])")


def settle_lost_gaps(votes: Sequence[Votes]) -> tuple[Votes, ...]:
    """Part whole numbers from their fractions on a sheet that writes mixed numbers.

    Parameters
    ----------
    votes : sequence of tuple of Candidate
        What the readers say of each text of one sheet, best first.

    Returns
    -------
    tuple of tuple of Candidate
        In the same order; a reading with its gap lost has its probability, and that of the one
        with it, together. One that begins with a 1, which may be a line's end, is asked at most.
    """
    return tuple(map(_parted, votes)) if writes_mixed(votes) else tuple(votes)


def writes_mixed(votes: Sequence[Votes]) -> bool:
    """Whether a sheet writes whole numbers before fractions, and never fractions above one.

    Parameters
    ----------
    votes : sequence of tuple of Candidate
        Of its texts.

    Examples
    --------
    >>> said = [(Candidate(text=t, confidence=1.0, by=ReadBy.NET),) for t in ("2 1/4", "1-3/8")]
    >>> more = [(Candidate(text=t, confidence=1.0, by=ReadBy.NET),) for t in ("9 1/2", "9/4")]
    >>> writes_mixed(said), writes_mixed([*said, more[0]]), writes_mixed([*said, *more])
    (False, True, False)
    """
    sure = [v[0].text for v in votes if v and v[0].confidence >= SETTLED]
    mixed = sum(int(m[1]) < int(m[2]) for text in sure for m in _MIXED.finditer(text))
    return mixed >= FEW and not any(_is_above_one(text) for text in sure)


def _is_above_one(text: str) -> bool:
    """Whether a text says a fraction above one that has lost no gap."""
    alone = re.finditer(r"(?<![\d/.-])(?<!\d )(\d{1,2})/(\d{1,2})(?![\d/])", text)
    return any(int(m[1]) > int(m[2]) and part_whole(text) is None for m in alone)


def part_whole(text: str) -> str | None:
    """Return a text with the gap in its fraction above one; nothing where there may be two.

    Examples
    --------
    >>> [part_whole(text) for text in ('17/8"', "23/4", "111/16", "7/8", "9/4", "3 1/2")]
    ['1 7/8"', '2 3/4', None, None, None, None]
    """
    found = _JOINED.search(text)
    if found is None or _MIXED.search(text):
        return None
    figures, below = found[1], int(found[2])
    cuts = [
        f"{figures[:k]} {figures[k:]}/{below}"
        for k in range(1, len(figures))
        if figures[k] != "0" and 0 < int(figures[k:]) < below and figures[0] != "0"
    ]
    if len(cuts) != 1 or int(figures) < below:
        return None
    return text[: found.start()] + cuts[0] + text[found.end() :]


def _parted(said: Votes) -> Votes:
    own = [c for c in said if c.by is ReadBy.NET]
    if not own or part_whole(own[0].text) is None:
        return said
    pooled = pool_spellings(own, lambda text: part_whole(text) or text)
    most = ASKED if pooled[0].text.startswith(LINE_LIKE) else 1.0
    parted = (replace(c, confidence=min(most, c.confidence)) for c in pooled)
    return (*parted, *(c for c in said if c.by is not ReadBy.NET))
