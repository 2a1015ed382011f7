"""Dashes at the ends of a reading that the end of a dimension line made.

A text cut out of its dimension line keeps a piece of the line beside it, at the height of a dash.
No size begins with a dash (a tolerance may), and none ends with one after its inch mark.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from audit.networks.decoding import NetCandidate, spelling_key

# Not before decimals under 1, which tolerances are.
_ENDS = re.compile(r"^[-=]+ ?(?=[\dRØ])(?!0?[.,])|(?<=\") ?-+$")


def without_end_dashes(text: str) -> str:
    """Leave out dashes before a size and after an inch mark.

    Examples
    --------
    >>> [without_end_dashes(t) for t in ("-5/8", '10"-', "3'-", "-R 1/2", "A-A", "5-1/2")]
    ['5/8', '10"', "3'-", 'R 1/2', 'A-A', '5-1/2']
    """
    return _ENDS.sub("", text)


def weigh_dashes(said: Sequence[NetCandidate], *, most: float) -> tuple[NetCandidate, ...]:
    """Put a reading with a dash at its end behind the same without it.

    Parameters
    ----------
    said : sequence of NetCandidate
        Best first.
    most : float
        Confidence that the reading without the dash has at most: the dash may have been one.

    Examples
    --------
    >>> said = [NetCandidate("-6", 0.8), NetCandidate("6", 0.1), NetCandidate("8", 0.05)]
    >>> [(c.text, round(c.confidence, 2)) for c in weigh_dashes(said, most=0.84)]
    [('6', 0.84), ('-6', 0.8), ('8', 0.05)]
    """
    bare = without_end_dashes(said[0].text) if said else ""
    if not said or bare == said[0].text:
        return tuple(said)
    key = spelling_key(bare)
    share = sum(c.confidence for c in said if spelling_key(without_end_dashes(c.text)) == key)
    first = NetCandidate(bare, min(most, share))
    others = [c for c in said if spelling_key(c.text) != key]
    return (first, *(NetCandidate(c.text, min(c.confidence, first.confidence)) for c in others))
