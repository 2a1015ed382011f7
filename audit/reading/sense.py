"""Which of a reader's own candidates make sense as printed text, where it is in two minds.

The grammar says what is a size at all (`1/16"R` is one, `1/16"2` is none), the words of the trade
what is a word (`THRU`, not `THBU`). Neither says anything about a number: whether a size is usual
never enters. What was read surely stands, sense or not.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from audit.lengths import parse_callouts, parse_statements
from audit.lengths.around import LOST_BRACKET
from audit.networks.trade_words import TRADE_WORDS
from audit.records import Candidate

# Weight of a candidate that is neither size nor statement nor words; of one with a word unheard of.
SENSELESS, UNHEARD = 0.35, 0.5
# From here a reading stands whatever it is: printers do make mistakes.
SURE = 0.9


def put_sense_first(said: Sequence[Candidate]) -> tuple[Candidate, ...]:
    """Order one reader's candidates by confidence, those that make no sense put back a little.

    Parameters
    ----------
    said : sequence of Candidate
        Of one reader, best first.

    Examples
    --------
    >>> from audit.records import ReadBy
    >>> said = [
    ...     Candidate(text=t, confidence=c, by=ReadBy.NET)
    ...     for t, c in (('1/16"2', 0.6), ('1/16"R', 0.4))
    ... ]
    >>> [c.text for c in put_sense_first(said)]
    ['1/16"R', '1/16"2']
    """
    if len(said) < 2 or said[0].confidence >= SURE:
        return tuple(said)
    return tuple(sorted(said, key=lambda c: -c.confidence * weigh_sense(c.text)))


def weigh_sense(text: str) -> float:
    r"""Weight of a text by whether it is a size, a statement or words, of known words.

    Examples
    --------
    >>> weigh_sense("2X R5 THRU"), weigh_sense("2X R5 THBU"), weigh_sense("(0'-8")
    (1.0, 0.5, 0.35)
    """
    if not _unheard(text):
        words_only = not re.search(r"\d", text) and re.search(r"[A-Za-z]", text)
        meanings = parse_callouts(text, unit=None)
        sense = words_only or meanings or parse_statements(text, unit=None)
        halved = bool(meanings) and LOST_BRACKET in meanings[0].remark
        return 1.0 if sense and not halved else SENSELESS
    return UNHEARD


def _unheard(text: str) -> list[str]:
    """Words of two letters and more that the trade does not know."""
    words = _WORD.findall(text.upper().replace(".", ""))
    return [w for w in words if w not in TRADE_WORDS]


# Letters not joined to figures: M6, 2X, H7 and part numbers are no words.
_WORD = re.compile(r"(?<![A-Z0-9])[A-Z][A-Z']*[A-Z](?![A-Z0-9])")
