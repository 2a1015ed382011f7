"""Texts that read badly as they stand, tried the other ways up before anything is made of them.

A drawing program writes along a slanted dimension line whichever way that was drawn, a lone
stacked fraction is as high as wide, and a wrongly laid sheet stands on its head: the reader tells,
because a text on its head is seldom a size.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import numpy as np

from audit.lengths import parse_callouts
from audit.reading import Reader, TextSpot, hear_readers
from audit.reading.ends import hear_ends
from audit.reading.lone_strokes import hear_lone_strokes
from audit.reading.piles import split_pile
from audit.reading.readers import DISAGREED_CAP, hear_promising
from audit.reading.room import hear_with_room
from audit.reading.slashed_zeros import settle_slashed_zeros
from audit.records import Candidate

BELIEVED = 0.9  # read so surely, a text stands as it was cut
SQUARE = 1.9  # times as long as high: the shape of a shorter text does not tell its direction
ON_HEAD = {"slanted": 0.9, "upright": 0.6, "level": 0.2}  # weight of half a turn
STACK = 4.5  # the same of one along a quarter turn: a lone stacked fraction is a pile of figures
QUARTER = 0.6  # weight of a quarter turn, of texts hardly longer than high
LEVEL_DEG = 4.0
ANOTHER_WAY_DEG = 10.0  # between two cuts of a text that do not run in one direction
NO_SIZE = 0.4  # of the sureness of what is no size
AGREED = 1.4  # times as much as for the next reading that cuts of one text must say
PILE = 2.2  # times as high as long: no figure but a 1 is so narrow
NARROW = ("1", "I", "l", "|", "/")
ASKEW_DEG, ROUND = 25.0, 1.3  # of a pile of figures that a round patch shows no direction of
LONE = 0.5  # weight of what cannot be all that is in its crop
UNLIKELY = 0.1  # weight of what is too short for its crop
NUMBER = re.compile(r"(?:\d+ ?[xX×] ?)?[RØ⌀]? ?[\d.,]+$")
STACKED = re.compile(r"\d+[/⁄]\d+$")
CLEARLY = 1.3  # times as likely another way must be
# At a glance, of the likeliest text: what says less lies another way. Of 675 tries on 15
# development sheets 478 say less; none of them comes to a size half sure with all care, and the
# least that any such size said was .45.
PROMISING = 0.2
# At a glance, of what a text must be worth to be turned: of 716 tries on 20 development sheets
# those that came to it said .9 of it or more.
PROMISING_SHARE = 0.5

Votes = tuple[Candidate, ...]


def hear_turned(
    spots: Sequence[TextSpot],
    readers: Sequence[Reader],
    *,
    upright: float,
    cut: Callable[[TextSpot], Sequence[TextSpot]] = lambda _: (),
    others: Callable[[TextSpot], Sequence[TextSpot]] = lambda _: (),
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
    others : callable
        Gives other cuts of a text that drawn lines cross, with those lines or without: what most
        of them say is printed.

    Returns
    -------
    tuple of TextSpot
        The same texts, turned to the way they read best.
    tuple of tuple of Candidate
        What the readers say of each.
    """
    if not readers:
        return tuple(spots), tuple(() for _ in spots)
    as_cut = hear_readers([s.crop for s in spots], readers[:1])
    as_cut = hear_with_room(spots, as_cut, readers[0])
    heard = hear_lone_strokes(spots, hear_ends(spots, as_cut, readers[0]), by=readers[0].name)
    votes = hear_piles(spots, settle_slashed_zeros(heard), readers)
    settled = list(spots)
    _settle_crossed(settled, votes, others, readers)
    best = {
        k: CLEARLY * _standing(spots[k], v, upright)
        for k, v in enumerate(votes)
        if worth(v) < BELIEVED and not is_plain_text(v)
    }
    tries = [
        (k, turned, weight)
        for k, least in best.items()
        for turned, weight in _ways(settled[k], upright, cut=cut, least=least)
    ]
    for (k, turned, weight), said in zip(tries, _hear_ways(tries, best, readers), strict=True):
        if weight * worth(said) > best[k]:
            best[k] = weight * worth(said)
            votes[k], settled[k] = said, turned
    more = hear_readers(
        [s.crop for s, heard in zip(settled, votes, strict=True) if worth(heard) < BELIEVED],
        readers[1:],
    )
    asked = iter(more)
    whole = tuple(v if worth(v) >= BELIEVED else (*v, *next(asked)) for v in votes)
    return tuple(settled), whole


def _hear_ways(
    tries: Sequence[tuple[int, TextSpot, float]],
    least: Mapping[int, float],
    readers: Sequence[Reader],
) -> list[Votes]:
    """Hear tries of texts, by weight; nothing of one that weighs less than another one is worth.

    Each is the number of a text, the text another way up, and its weight; `least` is what it has
    to be worth at all, by number.
    """
    said: list[Votes] = [()] * len(tries)
    best = dict(least)
    for weight in sorted({weight for _, _, weight in tries}, reverse=True):
        asked = [i for i, (k, _, own) in enumerate(tries) if own == weight >= best[k]]
        ways = [tries[i][1] for i in asked]
        shown = [max(PROMISING, PROMISING_SHARE * best[tries[i][0]] / weight) for i in asked]
        said_at_all = hear_promising([s.crop for s in ways], readers[0], least=shown)
        heard = hear_piles(ways, said_at_all, readers)
        for i, votes in zip(asked, heard, strict=True):
            said[i] = votes
            best[tries[i][0]] = max(best[tries[i][0]], weight * worth(votes))
    return said


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


def _settle_crossed(
    spots: list[TextSpot],
    votes: list[Votes],
    others: Callable[[TextSpot], Sequence[TextSpot]],
    readers: Sequence[Reader],
) -> None:
    """Read all cuts of texts that lines cross, and put what most of them say in its place."""
    cuts = {k: found for k, spot in enumerate(spots) if (found := tuple(others(spot)))}
    asked = [s for k in cuts for s in cuts[k]]
    said = iter(hear_piles(asked, hear_readers([s.crop for s in asked], readers[:1]), readers))
    for k, more in cuts.items():
        heard = [(spots[k], votes[k]), *((s, next(said)) for s in more)]
        chosen, pooled = pool_cuts([v for _, v in heard])
        if chosen >= 0:
            votes[k] = pooled
            spots[k] = _as_cut(spots[k], heard[chosen][0])


def _as_cut(spot: TextSpot, cut: TextSpot) -> TextSpot:
    """Give a text the crop of a cut of it; one cut in another direction lies in that."""
    turned = abs((cut.angle - spot.angle + 180.0) % 360.0 - 180.0)
    return cut if turned > ANOTHER_WAY_DEG else replace(spot, crop=cut.crop)


def pool_cuts(heard: Sequence[Votes]) -> tuple[int, Votes]:
    """What several cuts of one text say together.

    A line that is taken out takes a part of a figure along, and one that stays looks like a
    figure: neither cut is believed alone.

    Parameters
    ----------
    heard : sequence of tuple of Candidate
        What a reader says of each cut.

    Returns
    -------
    int
        Which cut says it most surely; -1 where none says anything.
    tuple of Candidate
        What that one says; doubted unless the cuts clearly agree.
    """
    sums: dict[str, float] = {}
    for votes in heard:
        for text in {_number_of(v.text) for v in votes}:
            own = [v for v in votes if _number_of(v.text) == text]
            sums[text] = sums.get(text, 0.0) + max(worth((v,)) for v in own)
    if not sums:
        return -1, ()
    first, *rest = sorted(sums, key=lambda text: -sums[text])
    clear = not rest or sums[first] > AGREED * sums[rest[0]]

    def surest(k: int) -> float:
        return max((v.confidence for v in heard[k] if _number_of(v.text) == first), default=0.0)

    chosen = max(range(len(heard)), key=surest)
    own = sorted(heard[chosen], key=lambda v: _number_of(v.text) != first)
    most = 1.0 if clear else DISAGREED_CAP
    return chosen, tuple(replace(v, confidence=min(v.confidence, most)) for v in own)


def _bare(text: str) -> str:
    return "".join(text.split())


def _number_of(text: str) -> str:
    r"""Return a text without its gaps, and without an inch mark that says nothing more.

    Examples
    --------
    >>> [_number_of(text) for text in ('3 1/2"', "3 1/2", "1'-6\"", '6"')]
    ['31/2', '31/2', "1'-6", '6"']
    """
    bare = _bare(text)
    return bare.rstrip('"') if "/" in bare or "'" in bare else bare


def hear_piles(
    spots: Sequence[TextSpot], votes: Sequence[Votes], readers: Sequence[Reader]
) -> list[Votes]:
    """Read lone stacked fractions, those that leave doubt above and below their bar.

    Parameters
    ----------
    spots : sequence of TextSpot
    votes : sequence of tuple of Candidate
        What the surest reader says of each as a whole.
    readers : sequence of Reader
        The surest first.

    Returns
    -------
    list of tuple of Candidate
        In the same order.
    """
    settled = [without_lone_figures(s, v) for s, v in zip(spots, votes, strict=True)]
    piles = {
        k: pile
        for k, spot in enumerate(spots)
        if spot.height >= PILE * spot.length
        and worth(settled[k]) < BELIEVED
        and (pile := split_pile(spot.crop)) is not None
    }
    halves = [half for pile in piles.values() for half in (pile.above, pile.below)]
    said = iter(hear_readers(halves, readers[:1]))
    for k, pile in piles.items():
        above, below = next(said), next(said)
        if above and below and above[0].text.isdigit() and below[0].text.isdigit():
            # without a bar they may be two sizes, one over the other
            most = 1.0 if pile.barred else DISAGREED_CAP
            sure = min(above[0].confidence * below[0].confidence, most)
            text = f"{above[0].text}/{below[0].text}"
            stacked = replace(above[0], text=text, confidence=sure)
            rest = tuple(v for v in settled[k] if _bare(v.text) != text)
            both = (stacked, *rest)
            settled[k] = tuple(sorted(both, key=lambda v: -v.confidence))
    return settled


def without_lone_figures(spot: TextSpot, votes: Votes) -> Votes:
    """Leave out what is too short for a crop so high: a lone fraction is read as its numerator.

    Where a fraction is heard in such a crop, hardly any of the readings without one is in it: most
    of what was given to them goes to those that stay.
    """
    if spot.height < PILE * spot.length:
        return votes
    if not votes or votes[0].text.strip() in NARROW:
        return votes
    stacked = tuple(v for v in votes if STACKED.match(v.text))
    if not stacked:
        return tuple(replace(v, confidence=LONE * v.confidence) for v in votes)
    others = max((v.confidence for v in votes if v not in stacked), default=0.0)
    missing = max(0.0, 1.0 - sum(v.confidence for v in votes))  # what no reading given stands for
    whole = sum(v.confidence for v in stacked) + UNLIKELY * others + missing
    most = max(whole, *(v.confidence for v in stacked), UNLIKELY)
    return tuple(replace(v, confidence=v.confidence / min(most, 1.0)) for v in stacked)


def worth(votes: Sequence[Candidate]) -> float:
    """How surely a text is read as a size: what is no size counts less.

    Examples
    --------
    >>> from audit.records import ReadBy
    >>> worth([Candidate(text="3 5/8", confidence=0.9, by=ReadBy.NET)])
    0.9
    >>> [worth([Candidate(text=t, confidence=1.0, by=ReadBy.NET)]) for t in ("Ø 34", "0/32")]
    [1.0, 0.4]
    >>> worth([])
    0.0
    """
    if not votes:
        return 0.0
    first = votes[0]
    return first.confidence * (1.0 if _is_size(first.text) else NO_SIZE)


def _is_size(text: str) -> bool:
    """Whether a text is some size; nothing is printed as nought, but a Ø on its head reads so."""
    meanings = parse_callouts(text, unit=None)
    if any(m.size is not None and m.size.value != 0 for m in meanings):
        return True
    return NUMBER.match(text.strip()) is not None and any(c in "123456789" for c in text)


def _standing(spot: TextSpot, votes: Votes, upright: float) -> float:
    """Return how much a text's first cut is worth; less where one as high as long lies askew."""
    off = (spot.angle - upright + 45.0) % 90.0 - 45.0
    askew = abs(off) > ASKEW_DEG and spot.length < ROUND * spot.height
    return (LONE if askew else 1.0) * worth(votes)


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
    if spot.length < (SQUARE if lie == "slanted" else STACK) * spot.height:
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
