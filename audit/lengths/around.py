"""What stands around a size and is no part of it: a footnote's star, a lost bracket, a datum.

Star, angle brackets and the dash between a count and a sign are common practice, no source; a
datum letter in its box is ASME Y14.5's datum feature symbol, whose box is lost where a text is cut
out close.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from audit.lengths.spellings import AS_WRITTEN, Spelling

LOST_BRACKET = "one of its brackets is missing, and a digit may be with it"
BESIDE_LETTER = "the letter beside it may belong to it"

_STAR = re.compile(r"^\*+ ?(?=[\dRØ.])|(?<=[\d\"']) ?\*+$")
_ANGLED = re.compile(r"^<([^<>]+)>$")
# 2-Ø50   4-R10   8-M6: how many, where a dash cannot be a fraction's or a range's
_COUNT_DASH = re.compile(r"^(\d{1,2}) ?- ?(?=(?:Ø|R ?\d|M\d))", re.IGNORECASE)
_OPENED = re.compile(r"^\((?=[^()]*\d)([^()]*)$")
_CLOSED = re.compile(r"^(?=[^()]*\d)([^()]*)\)$")
# the first letters, as datums are named; no D (diameter) and none that is a unit or a size's name
_DATUM = re.compile(r"^([RØ]? ?\d[\d ./]*[\"']?) [A-CEFG]$", re.IGNORECASE)


def vary_around(spelling: Spelling) -> Iterable[Spelling]:
    """Leave out what is no part of a size; a text that lost something with it says so.

    Parameters
    ----------
    spelling : Spelling
        The whole text.

    Yields
    ------
    Spelling
        One; its remark tells what may be missing.

    Examples
    --------
    >>> [s.text for s in vary_around(Spelling(text="2-Ø50"))]
    ['2X Ø50']
    >>> [(s.text, s.remark) for s in vary_around(Spelling(text="12 1/2"))]
    [('12 1/2', '')]
    """
    text = _COUNT_DASH.sub(r"\1X ", _ANGLED.sub(r"\1", _STAR.sub("", spelling.text)))
    halved, datum = _OPENED.match(text) or _CLOSED.match(text), _DATUM.match(text)
    if halved:
        yield spelling.also(f"({halved[1]})", AS_WRITTEN, LOST_BRACKET)
    elif datum:
        yield spelling.also(datum[1], AS_WRITTEN, BESIDE_LETTER)
    else:
        yield spelling.also(text, AS_WRITTEN, "")
