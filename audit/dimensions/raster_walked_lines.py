"""Dimension lines by hand that bow more than any straight line allows, walked along in the ink.

Marks at both ends of such a line do not see each other: the way from one to the other leaves the
ink between. The number between them tells the line, and its ink leads from one to the other.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import NamedTuple

from audit.dimensions.candidates import Candidate, TextPlace
from audit.dimensions.ink import Ink, Line
from audit.dimensions.lines import WAVERS_PT
from audit.dimensions.raster_bare_numbers import stands_of
from audit.dimensions.raster_ink_walks import Walk
from audit.dimensions.raster_number_walks import NumberWalks
from audit.dimensions.raster_stations import ends_between
from audit.dimensions.terminators import Mark
from audit.dimensions.texts import SizeText, plain_sizes
from audit.networks.page import PageMaps
from audit.records import DimensionKind

BESIDE_PT, SAME_PT = 2.2, 3.0  # from a mark to the line that it stands on; of two at one place
ALONG_COSINE = 0.93  # of 21 degrees between an arrowhead and its line
LEAST_PT = 6.0  # of a size
MIDDLE = 0.06, 0.3  # of a size, and letter heights, from its middle to its number's
STRENGTH = 0.9
HEAD, EVEN, NOTHING = frozenset({"head"}), frozenset({"even"}), frozenset[str]()


class _Stop(NamedTuple):
    """Where marks stand on a line; what a size before it and one after it may end in there."""

    at: float
    before: frozenset[str]
    after: frozenset[str]


def find_walked_lines(
    ink: Ink, marks: Sequence[Mark], texts: Sequence[SizeText], maps: PageMaps, *, px_per_pt: float
) -> list[Candidate]:
    """Candidates between marks on the lines that numbers stand on.

    Parameters
    ----------
    ink : Ink
        Of the traced raster, in pt.
    marks : sequence of Mark
    texts : sequence of SizeText
        In pt. Where they stand counts, not what they say.
    maps : PageMaps
        For the ink.
    px_per_pt : float
        Px of the raster to a pt.

    Returns
    -------
    list of Candidate
        None on a sheet that no hand drew.
    """
    if ink.waver < WAVERS_PT:
        return []
    walks = NumberWalks(ink, maps, px_per_pt)
    found: dict[tuple[frozenset[int], tuple[float, float]], Candidate] = {}
    stops: dict[frozenset[int], tuple[list[_Stop], list[_Stop]]] = {}
    blind = [m if m.is_arrow else replace(m, ux=0.0, uy=0.0) for m in marks]
    sizes = plain_sizes(texts)
    for text in sizes:
        for stand in stands_of(ink, text):
            walked = None if stand.behind else walks.along(stand, text)
            if walked is None:
                continue
            if walked[1] not in stops:  # every number of a line looks at the same marks
                stops[walked[1]] = _stops(walked[0], marks), _stops(walked[0], blind)
            for leg in _legs(walked[0], stops[walked[1]], text):
                known = (walked[1], leg) in found
                made = None if known else _candidate(ink, walked, leg, sizes)
                if made is not None:
                    found[walked[1], leg] = made
    return list(found.values())


def _legs(
    walked: Walk, stops: tuple[Sequence[_Stop], Sequence[_Stop]], text: SizeText
) -> set[tuple[float, float]]:
    """Stretches of a line that a number may be the size of; second of `stops`: aimed or not."""
    at = walked.line.place(text.line.centre)[0]
    legs = (_leg_around(stops[0], at), _loose_leg(stops, at, MIDDLE[1] * text.line.height))
    return {leg for leg in legs if leg is not None}


def _leg_around(stops: Sequence[_Stop], at: float) -> tuple[float, float] | None:
    """Return the stretch around a place between heads that face apart, or two even marks."""
    for one, two in pairwise(stops):
        if one.at < at < two.at and one.after & two.before and two.at - one.at > LEAST_PT:
            return one.at, two.at
    return None


def _loose_leg(
    stops: tuple[Sequence[_Stop], Sequence[_Stop]], at: float, slack: float
) -> tuple[float, float] | None:
    """Return the stretch around a number at its middle, where one end was aimed across the line.

    A dot stands on two lines at once, and the network may know the other one for the better line.
    """
    leg = _leg_around(stops[1], at)
    if leg is None or abs(at - sum(leg) / 2) > MIDDLE[0] * (leg[1] - leg[0]) + slack:
        return None
    sure = sum(any(abs(end - stop.at) < SAME_PT for stop in stops[0]) for end in leg)
    return leg if sure else None


def _stops(walked: Walk, marks: Sequence[Mark]) -> list[_Stop]:
    """Where marks that measure along a line stand on it, in order."""
    found = (stop for mark in marks for stop in _stop_at(walked, mark))
    stops: list[_Stop] = []
    for stop in sorted(found, key=lambda s: s.at):
        twin = stops and stop.at - stops[-1].at < SAME_PT
        stops.append(_joined(stops.pop(), stop) if twin else stop)
    return stops


def _joined(one: _Stop, two: _Stop) -> _Stop:
    return _Stop((one.at + two.at) / 2, one.before | two.before, one.after | two.after)


def _stop_at(walked: Walk, mark: Mark) -> Iterator[_Stop]:
    line = walked.line
    at = line.place(mark.point)[0]
    there = -SAME_PT < at < walked.length + SAME_PT
    if not there or mark.point.distance(walked.at(at)) > BESIDE_PT:
        return
    way = mark.ux * line.ux + mark.uy * line.uy
    if not mark.is_arrow and (abs(way) > ALONG_COSINE or not (mark.ux or mark.uy)):
        yield _Stop(at, EVEN, EVEN)
    elif mark.is_arrow and abs(way) > ALONG_COSINE:
        yield _Stop(at, HEAD if way > 0 else NOTHING, HEAD if way < 0 else NOTHING)


def _candidate(
    ink: Ink,
    walked: tuple[Walk, frozenset[int]],
    leg: tuple[float, float],
    sizes: Sequence[SizeText],
) -> Candidate | None:
    found = ends_between(ink, *walked, *leg)
    if found is None:
        return None
    line, one, two = found
    drawn = [(a - leg[0], b - leg[0]) for a, b in walked[0].spans()]
    for text in sizes:
        drawn = list(_clear_of(text, line, drawn))
    place = TextPlace(line=line, low=0.0, high=one.point.distance(two.point), ink=tuple(drawn))
    return Candidate(
        kind=DimensionKind.DISTANCE,
        ends=(one, two),
        line=(one.point, two.point),
        strength=STRENGTH,
        places=(place,),
        strokes=walked[1],
        wants=frozenset({"length", "diameter"}),
    )


def _clear_of(
    text: SizeText, line: Line, spans: Sequence[tuple[float, float]]
) -> Iterator[tuple[float, float]]:
    """Give the stretches of a line that was walked along, but for those of a number in it."""
    places = [line.place(corner) for corner in text.line.quad]
    at = [along for along, _ in places]
    low, high = min(at), max(at)
    if min(aside for _, aside in places) >= 0.0 or max(aside for _, aside in places) <= 0.0:
        yield from spans
        return
    for a, b in spans:
        yield from ((c, d) for c, d in ((a, min(b, low)), (max(a, high), b)) if d > c)
