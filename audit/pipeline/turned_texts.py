"""Texts that read badly as they stand, tried the other ways up before anything is made of them.

A drawing program writes along a slanted dimension line whichever way that was drawn, a lone
stacked fraction is as high as wide, and a wrongly laid sheet stands on its head: the reader tells,
because a text on its head is seldom a size.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from audit.lengths import parse_callouts
from audit.reading import Reader, TextSpot, hear_readers
from audit.records import Candidate

BELIEVED = 0.9  # read so surely, a text stands as it was cut
SQUARE = 1.9  # times as long as high: the shape of a shorter text does not tell its direction
ON_HEAD = {"slanted": 0.9, "upright": 0.6, "level": 0.2}  # weight of half a turn
QUARTER = 0.6  # weight of a quarter turn, of texts hardly longer than high
LEVEL_DEG = 4.0
NO_SIZE = 0.4  # of the sureness of what is no size
CLEARLY = 1.3  # times as likely another way must be

Votes = tuple[Candidate, ...]


def hear_turned(
    spots: Sequence[TextSpot],
    readers: Sequence[Reader],
    *,
    upright: float,
    cut: Callable[[TextSpot], Sequence[TextSpot]] = lambda _: (),
) -> tuple[tuple[TextSpot, ...], tuple[Votes, ...]]:
    """Read texts, those that leave doubt the other ways up too.

    Parameters
    ----------
    spots : sequence of TextSpot
    readers : sequence of Reader
        The surest first.
    upright : float
        Direction in which level text runs, degrees.
    cut : callable
        Gives a text cut in the directions that lines beside it have.

    Returns
    -------
    tuple of TextSpot
        The same texts, turned to the way they read best.
    tuple of tuple of Candidate
        What the readers say of each.
    """
    if not readers:
        return tuple(spots), tuple(() for _ in spots)
    votes = list(hear_readers([s.crop for s in spots], readers[:1]))
    settled = list(spots)
    best = {
        k: CLEARLY * worth(v)
        for k, v in enumerate(votes)
        if worth(v) < BELIEVED and not is_plain_text(v)
    }
    tries = [
        (k, turned, weight)
        for k, least in best.items()
        for turned, weight in _ways(spots[k], upright, cut=cut, least=least)
    ]
    heard = hear_readers([turned.crop for _, turned, _ in tries], readers[:1])
    for (k, turned, weight), said in zip(tries, heard, strict=True):
        if weight * worth(said) > best[k]:
            best[k] = weight * worth(said)
            votes[k], settled[k] = said, turned
    more = hear_readers(
        [s.crop for s, heard in zip(settled, votes, strict=True) if worth(heard) < BELIEVED],
        readers[1:],
    )
    others = iter(more)
    whole = tuple(v if worth(v) >= BELIEVED else (*v, *next(others)) for v in votes)
    return tuple(settled), whole


def is_plain_text(votes: Sequence[Candidate]) -> bool:
    """Whether a text is surely words: turned, those are no size.

    Examples
    --------
    >>> from audit.records import ReadBy
    >>> said = [
    ...     Candidate(text=text, confidence=sure, by=ReadBy.NET)
    ...     for text, sure in (("SCALE", 0.95), ("SCALE", 0.5), ("6 OFF", 0.95), ("NO", 0.95))
    ... ]
    >>> [is_plain_text([one]) for one in said]
    [True, False, False, False]
    """
    if not votes or votes[0].confidence < BELIEVED:
        return False
    text = votes[0].text
    return _WORD.search(text) is not None and not any(c.isdigit() for c in text)


_WORD = re.compile(r"[^\W\d_]{3}")


def worth(votes: Sequence[Candidate]) -> float:
    """How surely a text is read as a size: what is no size counts less.

    Examples
    --------
    >>> from audit.records import ReadBy
    >>> worth([Candidate(text="3 5/8", confidence=0.9, by=ReadBy.NET)])
    0.9
    >>> worth([])
    0.0
    """
    if not votes:
        return 0.0
    first = votes[0]
    means = any(m.size is not None for m in parse_callouts(first.text, unit=None))
    number = means or first.text.strip(" .").replace(".", "").replace(",", "").isdigit()
    return first.confidence if number else NO_SIZE * first.confidence


def _ways(
    spot: TextSpot,
    upright: float,
    *,
    cut: Callable[[TextSpot], Sequence[TextSpot]],
    least: float,
) -> list[tuple[TextSpot, float]]:
    """Other ways up of a doubtful text that may come to more than `least`, were they read surely.

    Most doubtful texts are plain words: turned, even a sure size would be worth less than those.
    """
    along = _along_lines(cut(spot)) if least < 1.0 else []
    return [(turned, weight) for turned, weight in _turns(spot, upright) + along if weight > least]


def _turns(spot: TextSpot, upright: float) -> list[tuple[TextSpot, float]]:
    """A doubtful text turned by quarter turns, with their weights."""
    off = (spot.angle - upright) % 180.0
    off = min(off, 180.0 - off)
    lie = "level" if off < LEVEL_DEG else "upright" if 90.0 - off < LEVEL_DEG else "slanted"
    ways = [(2, ON_HEAD[lie])]
    if spot.length < SQUARE * spot.height:
        ways += [(1, QUARTER), (3, QUARTER)]
    return [(turn_spot(spot, way), weight) for way, weight in ways]


def _along_lines(cuts: Sequence[TextSpot]) -> list[tuple[TextSpot, float]]:
    """Texts cut along lines beside them, both ways up, with their weights."""
    both = [(spot, 1.0) for spot in cuts]
    return both + [(turn_spot(spot, 2), ON_HEAD["slanted"]) for spot in cuts]


def turn_spot(spot: TextSpot, way: int) -> TextSpot:
    """Turn a text's crop by quarter turns, counter-clockwise, and its direction with it."""
    odd = way % 2 == 1
    return replace(
        spot,
        crop=np.ascontiguousarray(np.rot90(spot.crop, way)),
        angle=spot.angle - 90.0 * way,
        length=spot.height if odd else spot.length,
        height=spot.length if odd else spot.height,
    )
