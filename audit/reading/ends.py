"""Ends of texts that a cut may have left out: marks and points that touch an arrowhead or a line.

What touches drawn ink is cut off with it, be it the inch mark of a size that fills its dimension
line, the point before a decimal or a whole figure. So where there is ink beyond the ends of a cut,
a wider one has it too, as it is; it is read beside the other. An arrowhead that is seen whole is
also better told from a figure than what a cut has left of it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from audit.geometry import Box
from audit.networks.dashes import without_end_dashes
from audit.networks.decoding import spelling_key
from audit.networks.reader import BARE, BARE_ODDS, MORE_ODDS, raise_odds
from audit.reading.near import TextSpot
from audit.reading.readers import SETTLED, Glimpser, Reader
from audit.records import Candidate, ReadBy

Gray = NDArray[np.uint8]
Votes = tuple[Candidate, ...]

BEYOND = 0.06  # heights of the text beyond its end: less is the blur of its own ink
LEAST_PX = 2.0
HEARD = 0.5  # of a mark that the wider cut shows: as likely as not
# Of the same number with a point before it, in the wider cut: of 20 development numbers that were
# surely read without one the two that missed it had .43 and .48 there, right ones up to .17. At a
# glance less is heard.
POINTED, SEEMS = 0.3, 0.1
ASKED = 0.79  # of a reading that may go on: asked, never believed
# Of a cut in two minds, and of a wider one that says another number of those it heard: four
# development texts were so, and each was what the wider cut said.
TORN_BETWEEN, CLEARLY = 0.6, 0.95
# What a wider cut may add and be believed: no figure, which an arrowhead makes as well.
_MARKS = re.compile(r"[\"'.]+")
# No size begins or ends so: a figure is missing.
_TORN = re.compile(r"^\.?['\"/]|[-/]$")
_FIGURES = re.compile(r"[\d./'\"]+")


def cut_wider(crop: Gray, ink: NDArray[np.uint8], box: Box, *, room: float) -> Gray | None:
    """Cut a text with the ink beyond its ends.

    Parameters
    ----------
    crop : (h, w) uint8 array
        Around the text, which runs level in it.
    ink : (h, w) uint8 array
        Its ink without long lines.
    box : Box
        Of the text as it was cut, px of the crop.
    room : float
        White kept around, px.

    Returns
    -------
    (h, w) uint8 array or None
        With lines and all; `None` where no ink is beyond.
    """
    rows = slice(max(0, int(box.y0)), math.ceil(box.y1))
    columns = np.flatnonzero(ink[rows].any(axis=0))
    if not len(columns):
        return None
    whole = Box(min(box.x0, float(columns[0])), box.y0, max(box.x1, columns[-1] + 1.0), box.y1)
    if max(box.x0 - whole.x0, whole.x1 - box.x1) < max(LEAST_PX, BEYOND * box.height):
        return None
    x0, y0, x1, y1 = whole.grown(room)
    return np.ascontiguousarray(
        crop[max(0, int(y0)) : math.ceil(y1), max(0, int(x0)) : math.ceil(x1)]
    )


def weigh_ends(tight: Votes, wide: Votes) -> Votes:
    """Put together what a cut of a text says and what a wider one says.

    Parameters
    ----------
    tight : tuple of Candidate
        What a reader says of the cut, best first.
    wide : tuple of Candidate
        The same of the wider one.

    Returns
    -------
    tuple of Candidate
        Marks and points that only the wider cut has are taken, as surely as it says them; so are
        figures without which there would be no size, and one of several readings that the cut is
        in two minds about. Where it says more figures than that, or other ones than a cut that
        leaves doubt, the reading is asked. Bare numbers that both say are what is printed.
    """
    if not tight or not wide:
        return tight
    first, other = tight[0], wide[0]
    more = what_is_added(first.text, other.text)
    likelier = other.confidence > first.confidence
    if more == "":
        return _said_twice(tight, wide)
    if more is None and _settles(other, tight):
        return _ranked(wide, _at_most(tight, 1 - other.confidence))
    if more is None and first.confidence >= SETTLED:
        return tight
    torn, worse = (_TORN.search(one.text) is not None for one in (first, other))
    if more and worse and not torn:
        return tight  # of an arrowhead or a line is left what looks like a mark
    if more and ((torn and not worse) or _MARKS.fullmatch(more)) and other.confidence >= HEARD:
        return _ranked(wide, _at_most(tight, 1 - other.confidence))
    doubted, heard = _at_most(tight, ASKED), _at_most(wide, ASKED)
    if likelier or (more and other.confidence >= SETTLED):
        return _ranked(heard, _at_most(doubted, heard[0].confidence))
    return _ranked(doubted, _at_most(heard, doubted[0].confidence)) if more else tight


def _said_twice(tight: Votes, wide: Votes) -> Votes:
    """Of two cuts that say the same take the surer, unless there may be a point before it."""
    number = tight[0].text
    if _may_be_pointed(number, wide):
        return _ranked(_at_most(tight, ASKED), _at_most(wide, ASKED))
    said = wide if wide[0].confidence > tight[0].confidence else tight
    return said if _may_be_pointed(number, wide, least=SEEMS) else _as_whole(said)


def _settles(other: Candidate, tight: Votes) -> bool:
    """Whether a wider cut surely says what a cut in two minds has heard, too."""
    key = spelling_key(other.text)
    heard = any(spelling_key(c.text) == key for c in tight[1:])
    return heard and tight[0].confidence < TORN_BETWEEN and other.confidence >= CLEARLY


def _as_whole(said: Votes) -> Votes:
    """Take back what a bare number is doubted for: a wider cut shows no more of it.

    Of 27 development numbers that both cuts said, the surer with .5 to .9, none was wrong.
    """
    first = said[0]
    if first.by is not ReadBy.NET or first.confidence >= SETTLED or not BARE.fullmatch(first.text):
        return said
    sure = raise_odds(first.confidence, MORE_ODDS / BARE_ODDS)
    return (replace(first, confidence=sure), *_at_most(said[1:], 1.0 - sure))


def _may_be_pointed(number: str, wide: Votes, *, least: float = POINTED) -> bool:
    """Whether a wider cut may say the same with a point before it: another number."""
    same = (c for c in wide if c.confidence >= least)
    return any(what_is_added(number, c.text) == "." for c in same)


def _at_most(said: Votes, most: float) -> Votes:
    return tuple(replace(c, confidence=min(c.confidence, most)) for c in said)


def _ranked(firsts: Sequence[Candidate], others: Sequence[Candidate]) -> Votes:
    """All candidates, each text once, the first one kept first."""
    known = {spelling_key(c.text) for c in firsts}
    rest = [*firsts[1:], *(c for c in others if spelling_key(c.text) not in known)]
    return (firsts[0], *sorted(rest, key=lambda c: -c.confidence))


def what_is_added(tight: str, wide: str) -> str | None:
    """Characters that one text has before and behind another; `None` where that is not in it.

    Only what belongs to a number counts: `None` as well where letters are added, or dashes.

    Examples
    --------
    >>> [what_is_added(*pair) for pair in (("15/16", '15/16"'), ("940", ".940"), ("373", "3735"))]
    ['"', '.', '5']
    >>> what_is_added('1"', '1"'), what_is_added("1/8", "7/8"), what_is_added("2", "-2")
    ('', None, None)
    >>> what_is_added('4"', '4"5'), what_is_added("1/4R", "1/4R.")  # nothing more belongs to it
    (None, None)
    >>> what_is_added('1/4"', '5/16" 1/4"')  # the size before it
    """
    one, other = spelling_key(tight), spelling_key(wide)
    before, found, behind = other.partition(one)
    more = (before + behind).replace(" ", "")
    ended = (one.endswith('"') and behind) or (one.endswith("R") and behind == ".")
    others = before.rstrip(" -").endswith('"')
    if not found or ended or others or (more and not _FIGURES.fullmatch(more)):
        return None
    return more


def hear_ends(spots: Sequence[TextSpot], votes: Sequence[Votes], reader: Reader) -> list[Votes]:
    """Read texts whose ends a cut may have left out in a wider cut too.

    Parameters
    ----------
    spots : sequence of TextSpot
    votes : sequence of tuple of Candidate
        What the reader says of each as it was cut.
    reader : Reader

    Returns
    -------
    list of tuple of Candidate
        In the same order.
    """
    wider = {k: s.wider for k, s in enumerate(spots) if s.wider is not None and votes[k]}
    asked = _worth_reading(wider, votes, reader)
    heard = list(votes)
    for k, wide in zip(asked, reader.read([wider[k] for k in asked]), strict=True):
        heard[k] = weigh_ends(votes[k], wide)
    return heard


def _worth_reading(wider: dict[int, Gray], votes: Sequence[Votes], reader: Reader) -> list[int]:
    """Which texts a wider cut may change, by number: in doubt, or where a glance sees more."""
    if not isinstance(reader, Glimpser):
        return [*wider]
    asked = [k for k in wider if votes[k][0].confidence < SETTLED]
    sure = [k for k in wider if votes[k][0].confidence >= SETTLED]
    for k, said in zip(sure, reader.glimpse([wider[k] for k in sure]), strict=True):
        more = [(c, what_is_added(votes[k][0].text, without_end_dashes(c.text))) for c in said]
        if any(m and (c is said[0] or (m == "." and c.confidence >= SEEMS)) for c, m in more):
            asked.append(k)
    return asked
