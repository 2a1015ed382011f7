"""Sizes that govern more than one place: TYP, and what is drawn the same beside its mirror image.

Where a size is marked TYP, two neighbouring extension lines that stand just as far apart, and
carry no size of their own, are governed by it. That they are is the drawing's word, so it needs a
view that shows a 64th, and the finding rests on it.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from audit.checks.stations import Leg, Station, StationLine
from audit.lengths import Mark
from audit.records import Dimension

MOST_APART_MM = 0.19  # of the real part: half a 64th, or a size beside it might be meant
SURE = 3.0  # standard deviations
MOST_ALIKE = 200  # places one size may govern


def govern_alike(line: StationLine, by_id: Mapping[int, Dimension]) -> StationLine:
    """Add the legs that typical sizes govern without being printed there.

    Parameters
    ----------
    line : StationLine
        Its stations sorted by nothing in particular.
    by_id : Mapping[int, Dimension]
        Of the audit.

    Returns
    -------
    StationLine
        With more legs, marked as governed; the same line where nothing is typical.
    """
    if line.u_scale is None:
        return line
    typical = [leg for leg in line.used if _is_typical(by_id.get(leg.dimension))]
    if not typical:
        return line
    taken = {frozenset((leg.a, leg.b)) for leg in line.legs}
    order = sorted(range(len(line.stations)), key=lambda k: line.stations[k].place)
    more: list[Leg] = []
    for a, b in itertools.pairwise(order):
        if frozenset((a, b)) in taken:
            continue
        alike = [leg for leg in typical if _are_alike(line.stations, leg, (a, b))]
        if len({leg.value for leg in alike}) == 1 and len(more) < MOST_ALIKE:
            more.append(replace(alike[0], a=a, b=b, governed=True, gaps=(0.0, 0.0)))
    return replace(line, legs=(*line.legs, *more)) if more else line


def _is_typical(dimension: Dimension | None) -> bool:
    reading = dimension.reading if dimension is not None else None
    callout = reading.callout if reading is not None else None
    return callout is not None and Mark.TYPICAL in callout.marks and not callout.reference


def _are_alike(stations: Sequence[Station], leg: Leg, pair: tuple[int, int]) -> bool:
    """Whether a gap is drawn as long as a typical size is."""
    if leg.times != 1:
        return False
    ends = [stations[k] for k in (leg.a, leg.b, *pair)]
    allowed = SURE * math.sqrt(sum(s.sigma**2 for s in ends))
    if allowed > MOST_APART_MM or not all(s.drawn and not s.doubtful for s in ends):
        return False
    drawn, gap = ends[1].place - ends[0].place, ends[3].place - ends[2].place
    return abs(abs(drawn) - abs(gap)) <= allowed
