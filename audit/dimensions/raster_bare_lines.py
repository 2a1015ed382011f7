"""Sheets whose dimension lines have no heads at all: they end where they meet another line.

Who draws so does it throughout (common practice, no source): of a page with many sizes the network
is sure of few ends. There every number tells its line: the one that it stands on, beside or in, or
that it stands behind; on the side on which most numbers of the sheet stand. The line is walked
along in the ink, and the number lies between the extension lines that it stands between.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from audit.dimensions.candidates import Candidate, TextPlace
from audit.dimensions.ink import Ink
from audit.dimensions.raster_bare_numbers import Stand, stands_of
from audit.dimensions.raster_number_walks import NumberWalks
from audit.dimensions.raster_stations import (
    Station,
    Stationed,
    ends_between,
    with_stations,
)
from audit.dimensions.raster_support import share_of_line
from audit.dimensions.text_places import distance_to_text, place_of_text
from audit.dimensions.texts import SizeText, plain_sizes
from audit.geometry import Point
from audit.networks.page import PageMaps, Terminator
from audit.records import DimensionKind

FEW = 6  # numbers that show a habit
CLEAR, FEWER = 0.8, 0.25  # score of a head that is there; and how many to a number
# The same of heads that a poor scan blurs: 0.9 to a number; on sheets that have none, 0.35 to 0.6.
FEWER_SEEN = 0.75
SURE = 0.6  # of an end that counts all the same
CALLED = 0.5  # share of a line that the network calls so: then it is surely one
CORNER, UNCALLED, OTHER_SIDE = 0.4, 0.5, 0.4  # costs, letter heights
BEHIND = 1.0, 0.1  # cost of a number behind its line, and for each letter height between
HABIT = 3  # numbers more on one side than on the other
BEHIND_PT = 70.0  # of a size whose number stands behind it: in a longer one it has room
BROKEN = 1.2  # letter heights from a number to where the line stops that is broken for it
LEAST_PT, SAME_PT = 5.0, 2.0  # of a size; of two stations that are one
STRENGTH, WELL_CALLED, LESS = 0.7, 0.2, 0.1


@dataclass(frozen=True, slots=True)
class _Choice:
    """A line that a number may stand on: how, what speaks against it, and how far it is called."""

    stand: Stand
    line: Stationed
    cost: float
    share: float


def is_bare(terminators: Sequence[Terminator], texts: Sequence[SizeText]) -> bool:
    """Whether a sheet ends its dimension lines in nothing.

    Parameters
    ----------
    terminators : sequence of Terminator
    texts : sequence of SizeText

    Returns
    -------
    bool
    """
    numbers = len(plain_sizes(texts))
    if numbers < FEW:
        return False
    clear, seen = (sum(t.score >= least for t in terminators) for least in (CLEAR, SURE))
    return clear < FEWER * numbers and seen < FEWER_SEEN * numbers


def find_bare_lines(
    ink: Ink,
    terminators: Sequence[Terminator],
    texts: Sequence[SizeText],
    maps: PageMaps,
    *,
    px_per_pt: float,
) -> list[Candidate]:
    """Candidates of a sheet that `is_bare`; of another one none.

    Parameters
    ----------
    ink : Ink
        Of the traced raster, in pt.
    terminators : sequence of Terminator
        All the network's.
    texts : sequence of SizeText
        In pt. Where they stand counts, not what they say.
    maps : PageMaps
        For the ink, and what the network calls a line.
    px_per_pt : float
        Px of the raster to a pt.

    Returns
    -------
    list of Candidate
    """
    if not is_bare(terminators, texts):
        return []
    numbers = plain_sizes(texts)
    lines = _Lines(ink, numbers, maps, px_per_pt)
    taken = _choose([lines.choices(text) for text in numbers])
    found = []
    for k, choice in taken.items():
        mates = [numbers[j] for j, other in taken.items() if other.line is choice.line and j != k]
        if choice.stand.behind and mates:
            continue
        ends = _ends_of(choice, numbers[k], mates)
        made = None if ends is None else _candidate(ink, choice, ends, numbers[k])
        found += [] if made is None else [made]
    return found


class _Lines:
    """The lines of a sheet that numbers stand on, each walked along once."""

    def __init__(
        self, ink: Ink, numbers: Sequence[SizeText], maps: PageMaps, px_per_pt: float
    ) -> None:
        self.ink, self.numbers, self.maps, self.px_per_pt = ink, numbers, maps, px_per_pt
        self.walks = NumberWalks(ink, maps, px_per_pt)
        self.known: dict[frozenset[int], Stationed | None] = {}

    def choices(self, text: SizeText) -> list[_Choice]:
        """Lines that a number may stand on, each once."""
        found: list[_Choice] = []
        for stand in stands_of(self.ink, text):
            line = self._line_of(stand, text)
            if line is None or any(line is choice.line for choice in found):
                continue
            if not (stand.behind and line.walk.length > BEHIND_PT):
                found += self._weighed(stand, line)
        return found

    def _line_of(self, stand: Stand, text: SizeText) -> Stationed | None:
        found = self.walks.along(stand, text)
        if found is None:
            return None
        walked, own = found
        if own not in self.known:
            self.known[own] = with_stations(
                self.ink, walked, own, self.maps, self.walks.scale, broken=self._breaks
            )
        return self.known[own]

    def _breaks(self, stop: Point) -> bool:
        """Whether a line that stops at a place is broken there for a number."""
        return any(distance_to_text(t, stop) < BROKEN * t.line.height for t in self.numbers)

    def _weighed(self, stand: Stand, line: Stationed) -> list[_Choice]:
        """Tell what speaks against a line; one from corner to corner is an edge."""
        span = (0.0, line.walk.length)
        share = share_of_line(line.walk.line, span, self.maps, px_per_pt=self.px_per_pt) or 0.0
        if line.corners == len(line.ends) and share < CALLED:
            return []
        off = BEHIND[0] + BEHIND[1] * stand.off if stand.behind else stand.off
        cost = off + CORNER * line.corners + UNCALLED * (1.0 - min(1.0, share / CALLED))
        return [_Choice(stand, line, cost, share)]


def _choose(choices: Sequence[Sequence[_Choice]]) -> dict[int, _Choice]:
    """Pick each number's line; numbers of one sheet stand on one side of their lines."""
    votes: Counter[bool] = Counter()
    likeliest = [min(own, key=lambda c: c.cost).stand for own in choices if own]
    for stand in likeliest:
        votes[stand.across] += stand.side

    def cost(choice: _Choice) -> float:
        habit, side = votes[choice.stand.across], choice.stand.side
        return choice.cost + (OTHER_SIDE if abs(habit) >= HABIT and side * habit < 0 else 0.0)

    return {k: min(own, key=cost) for k, own in enumerate(choices) if own}


def _ends_of(
    choice: _Choice, text: SizeText, mates: Sequence[SizeText]
) -> tuple[Station, Station] | None:
    """Return the stations that a number stands between; others of the line stand elsewhere."""
    line, (first, last) = choice.line, choice.line.ends
    parted = [
        s for s in line.stations if s.is_extension and first.at + SAME_PT < s.at < last.at - SAME_PT
    ]
    if choice.stand.behind:
        return None if parted else (first, last)
    at = line.walk.line.place(text.line.centre)[0]
    low, high = next(
        ((a, b) for a, b in pairwise([first, *parted, last]) if a.at < at < b.at), (last, first)
    )
    for mate in mates:
        other = line.walk.line.place(mate.line.centre)[0]
        if not low.at < other < high.at:
            continue
        between = [s for s in line.stations if min(at, other) < s.at < max(at, other)]
        if len(between) != 1:
            return None
        low, high = (between[0], high) if other < at else (low, between[0])
    return (low, high) if high.at - low.at > LEAST_PT else None


def _candidate(
    ink: Ink, choice: _Choice, ends: tuple[Station, Station], text: SizeText
) -> Candidate | None:
    walked, strokes = choice.line.walk, choice.line.strokes
    found = ends_between(ink, walked, strokes, ends[0].at, ends[1].at)
    if found is None:
        return None
    line, one, two = found
    drawn = tuple((a - ends[0].at, b - ends[0].at) for a, b in walked.spans())
    on = TextPlace(line=line, low=0.0, high=one.point.distance(two.point), ink=drawn)
    called = WELL_CALLED * min(1.0, choice.share / CALLED)
    return Candidate(
        kind=DimensionKind.DISTANCE,
        ends=(one, two),
        line=(one.point, two.point),
        strength=STRENGTH + called - LESS * sum(end.is_corner for end in ends),
        places=(place_of_text(text) if choice.stand.behind else on,),
        strokes=strokes,
        wants=frozenset({"length", "diameter"}),
        plain=True,
        number=text.line.centre,
    )
