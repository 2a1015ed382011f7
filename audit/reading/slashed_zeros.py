"""Zeros with a slash through them, as many people write them, read as a diameter's sign: `18Ø`.

The sign stands before a number. Some write it behind one, too; whoever writes slashed zeros writes
no others on the same sheet (common practice, no source). What a number says plays no part.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from audit.records import Candidate

Votes = tuple[Candidate, ...]

HEARD = 0.5  # of a reading that counts
FEW = 2  # texts with a sign right behind a figure that show a habit
RARE = 0.5  # of them may have a 0 without a slash: some are misread
_SIGNED = re.compile(r"(?<![\d/⁄])\d[\dØ⌀]*[Ø⌀]\d*")  # a figure's own run, no denominator
_SIGN = re.compile("[Ø⌀]")
# Of a whole number that ends: 4Ø8 may be four holes of 8, 3/8Ø and 12.5Ø have their sign behind.
_HABIT = re.compile(r"(?<![\d/⁄.,])[1-9]\d*[Ø⌀]+(?!\d| \d+(?![\d/]))")
_ZERO = re.compile(r"(?<![\d.,])[1-9]\d*0")


def settle_slashed_zeros(votes: Sequence[Votes]) -> tuple[Votes, ...]:
    """Read signs right behind figures as zeros on a sheet that writes those with a slash.

    Parameters
    ----------
    votes : sequence of tuple of Candidate
        What a reader says of each text of one sheet, best first.

    Returns
    -------
    tuple of tuple of Candidate
        In the same order; readings that differ by the slash alone have their probabilities
        together.
    """
    return tuple(map(_settled, votes)) if has_slashed_zeros(votes) else tuple(votes)


def has_slashed_zeros(votes: Sequence[Votes]) -> bool:
    """Whether a sheet writes its zeros with a slash.

    Parameters
    ----------
    votes : sequence of tuple of Candidate
        Of its texts.

    Examples
    --------
    >>> from audit.records import ReadBy
    >>> def said(*texts):
    ...     return [(Candidate(text=t, confidence=0.9, by=ReadBy.NET),) for t in texts]
    >>> has_slashed_zeros(said("18Ø", "2Ø", "Ø 12", "105"))
    True
    >>> has_slashed_zeros(said("18Ø")), has_slashed_zeros(said("12Ø", "8Ø", "200", "150"))
    (False, False)
    >>> has_slashed_zeros(said("4Ø8", "2Ø6")), has_slashed_zeros(said("1/2Ø", "3/8Ø"))
    (False, False)
    """
    heard = [v[0].text for v in votes if v and v[0].confidence >= HEARD]
    slashed = sum(_HABIT.search(text) is not None for text in heard)
    plain = sum(_SIGNED.search(text) is None and _ZERO.search(text) is not None for text in heard)
    return slashed >= FEW and plain <= RARE * slashed


def _settled(said: Votes) -> Votes:
    if not any(_SIGNED.search(c.text) for c in said):
        return said
    shares: dict[str, Candidate] = {}
    for c in said:
        text = _SIGNED.sub(lambda run: _SIGN.sub("0", run[0]), c.text)
        known = shares.get(text)
        sure = c.confidence if known is None else min(1.0, known.confidence + c.confidence)
        shares[text] = replace(known or c, text=text, confidence=sure)
    return tuple(sorted(shares.values(), key=lambda c: -c.confidence))
