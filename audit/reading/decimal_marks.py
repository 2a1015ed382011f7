"""Decimal points read as commas, or commas as points, on a sheet that has one of them throughout.

A point that a pen drew, or that a scan at two levels kept, looks like a comma; nobody uses both for
decimals on one sheet (common practice, no source). What a number says plays no part.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence

from audit.reading.pooling import pool_spellings
from audit.reading.readers import SETTLED
from audit.records import Candidate, ReadBy

Votes = tuple[Candidate, ...]

FEW = 4  # surely read decimals that show what a sheet uses
RARE = 0.25  # of them may have the other mark: some of those are misread
MARKS = ".,"
_DECIMAL = re.compile(r"(?<![\d.,])\d*([.,])\d+(?![\d.,])")


def settle_decimal_marks(votes: Sequence[Votes]) -> tuple[Votes, ...]:
    """Give decimals the mark that the others of their sheet have, where it was heard as well.

    Parameters
    ----------
    votes : sequence of tuple of Candidate
        What the readers say of each text of one sheet, best first.

    Returns
    -------
    tuple of tuple of Candidate
        In the same order; readings that differ by the mark alone have their probabilities together.
    """
    usual = usual_mark(votes)
    return tuple(_settled(said, usual) if usual else said for said in votes)


def usual_mark(votes: Sequence[Votes]) -> str:
    """Return the decimal mark of a sheet, "." or ","; "" where too few texts tell.

    Parameters
    ----------
    votes : sequence of tuple of Candidate
        Of its texts.

    Examples
    --------
    >>> said = [(Candidate(text=t, confidence=0.95, by=ReadBy.NET),) for t in (".5", "1.25", "2.0")]
    >>> usual_mark(said), usual_mark([*said, *said])
    ('', '.')
    """
    sure = (v[0].text for v in votes if v and v[0].confidence >= SETTLED)
    marks = Counter(m[1] for text in sure for m in _DECIMAL.finditer(text))
    usual = max(MARKS, key=lambda mark: marks[mark])
    others = marks.total() - marks[usual]
    return usual if marks[usual] >= FEW and others <= RARE * marks[usual] else ""


def _settled(said: Votes, usual: str) -> Votes:
    own = [c for c in said if c.by is ReadBy.NET]
    heard = {c.text for c in own}
    meant = {c.text: t for c in own if (t := _with_mark(c.text, usual)) in heard}
    if all(text == other for text, other in meant.items()):
        return said
    sure = pool_spellings(own, lambda text: meant.get(text, text))
    return (*sure, *(c for c in said if c.by is not ReadBy.NET))


def _with_mark(text: str, mark: str) -> str:
    """Return a text with all its decimals' marks replaced."""
    return _DECIMAL.sub(lambda m: re.sub(r"[.,]", mark, m[0]), text)
