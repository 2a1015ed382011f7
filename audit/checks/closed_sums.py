"""Sizes too close to call whose chain closes: the sum is the second witness that was wanting.

A wrong number opens the sums it stands in. Where one closes of which every other size agrees with
the drawing, so does the one that is drawn a little worse. Of two such sizes in one sum either may
be wrong by what the other is: their numbers may have changed places.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from audit.checks.chain_words import ChainWords
from audit.checks.loops import LegNetwork, Loop
from audit.checks.rivals import CONTRADICTED
from audit.checks.stations import StationLine, find_lines
from audit.records import Dimension, Settings, Sheet, Verdict, View

LEAST = 3  # sizes of a sum; one printed twice is no sum
CLOSES = "as far as this sheet can tell; its chain closes"


def settle_by_sums(
    dimensions: Sequence[Dimension], view: View, *, sheet: Sheet, settings: Settings
) -> list[Dimension]:
    """Let sizes agree that are too close to call, where a sum closes with them.

    Parameters
    ----------
    dimensions : Sequence[Dimension]
        Of one view, judged.
    view : View
    sheet : Sheet
        Of the view.
    settings : Settings

    Returns
    -------
    list of Dimension
        In the same order.
    """
    if not any(map(_is_open, dimensions)):
        return list(dimensions)
    by_id = {d.id: d for d in dimensions}
    for line in find_lines(dimensions, [view], [sheet], settings=settings):
        words = ChainWords(line, view, by_id, line.used)
        for loop in LegNetwork(line.used, len(line.stations)).find_loops():
            settled = _settle(line, loop, by_id)
            if settled is not None:
                why = f"{CLOSES}: {words.say_sum(loop)}"
                by_id[settled.id] = replace(settled, verdict=Verdict.AGREES, why=why)
    return [by_id[d.id] for d in dimensions]


def _is_open(dimension: Dimension) -> bool:
    """Whether a size is too close to call, and speaks against no other one."""
    return dimension.verdict is Verdict.TOO_CLOSE and dimension.why != CONTRADICTED


def _settle(line: StationLine, loop: Loop, by_id: Mapping[int, Dimension]) -> Dimension | None:
    """Return the one size of a sum that is too close to call, where all else bears it out."""
    summed = {line.used[k].dimension for k, _ in loop.legs}
    if len(summed) < max(LEAST, len(loop.legs)) or loop.is_open:
        return None
    open_ = [by_id[n] for n in summed if by_id[n].verdict is not Verdict.AGREES]
    if len(open_) != 1 or not _is_open(open_[0]) or not _shows(line, loop, open_[0]):
        return None
    return open_[0]


def _shows(line: StationLine, loop: Loop, dimension: Dimension) -> bool:
    """Whether a sum would show an error as small as the tolerance: rounding hides less."""
    scaled, tolerance = dimension.scaled, dimension.tolerance
    if scaled is None or tolerance is None or scaled.unit is not line.unit:
        return False
    return float(loop.explained) <= tolerance
