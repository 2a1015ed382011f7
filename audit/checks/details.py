"""Sizes side by side that are all drawn as many times too large: a detail at a scale of its own.

A detail is drawn twice as large beside its view, often in a circle with a line to where it comes
from, and not every sheet prints its scale. By the scale of the view all its sizes are wrong by one
plain ratio. People make one such slip, a radius for a diameter; hardly two side by side.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from audit.checks.unsure import place_of
from audit.checks.words import name_dimension
from audit.geometry import Box, Point
from audit.lengths import Unit
from audit.records import Dimension, Finding, Sheet, Verdict
from audit.scale.findings import say
from audit.scale.modes import RATIOS

LEAST = 2  # sizes side by side
OTHER_SIZE = 1.02  # ratio from which two printed sizes are two, and no slip made once
NEAR = 0.01  # relative; an eye-made detail is no nearer to its ratio
AROUND = 0.1  # of its longer side, about a detail: legs of one chain lie a hair beside its line
IN_A_DETAIL = "check the scale here: the sizes side by side are all drawn {times} as large"


def doubt_details(dimensions: Sequence[Dimension]) -> tuple[Dimension, ...]:
    """Ask about sizes that disagree as those of a detail at another scale do.

    Parameters
    ----------
    dimensions : sequence of Dimension
        Judged, of one view.

    Returns
    -------
    tuple of Dimension
        In their order; two sizes and more that disagree by one plain ratio, with no size between
        them that agrees, are not checked.
    """
    off = {d.id: times for d in dimensions if (times := _times(d)) is not None}
    doubted: dict[int, str] = {}
    for ratio in RATIOS:
        part = [d for d in dimensions if d.id in off and _is_at(d, off[d.id], ratio)]
        if len(part) >= LEAST and _are_several(part) and _stand_alone(part, dimensions):
            why = IN_A_DETAIL.format(times=_say_times(ratio))
            doubted.update({d.id: why for d in part})
    return tuple(
        replace(d, verdict=Verdict.NOT_CHECKED, why=doubted[d.id], difference=None)
        if d.id in doubted
        else d
        for d in dimensions
    )


def tell_details(dimensions: Sequence[Dimension], *, sheet: Sheet) -> list[Finding]:
    """Ask once for each ratio whether sizes stand in a detail (A104).

    Parameters
    ----------
    dimensions : sequence of Dimension
        Judged, of this sheet.
    sheet : Sheet

    Returns
    -------
    list of Finding
    """
    told = []
    for times in (_say_times(ratio) for ratio in RATIOS):
        part = [d for d in dimensions if d.why == IN_A_DETAIL.format(times=times)]
        if part:
            names = ", ".join(map(name_dimension, part))
            text = (
                f"Look whether {names} on {sheet.name} stand in a detail: they are drawn {times} "
                "as large as they are printed. If they do, give that view its scale; until a "
                "person has looked, they are not compared."
            )
            places = [place_of(d, sheet) for d in part]
            told.append(say("A104", text, places=places, dimensions=[d.id for d in part]))
    return told


def _times(dimension: Dimension) -> float | None:
    """How many times as large as printed a wrong length is drawn; `None` for what is none."""
    scaled, printed, reading = dimension.scaled, dimension.printed, dimension.reading
    if dimension.verdict is not Verdict.DISAGREES or scaled is None or printed is None:
        return None
    if scaled.unit is Unit.DEG or reading is None or reading.confirmed:
        return None
    size = float(printed.to(scaled.unit))
    return scaled.value / size if size > 0 and scaled.value > 0 else None


def _is_at(dimension: Dimension, times: float, ratio: Fraction) -> bool:
    scaled = dimension.scaled
    spread = 0.0 if scaled is None else scaled.expanded / scaled.value
    return spread <= _room(ratio) and abs(math.log(times / float(ratio))) <= spread + NEAR


def _room(ratio: Fraction) -> float:
    """Half of what the next ratio in use is off, relative: so vague a size fits either."""
    return min(abs(math.log(ratio / other)) for other in RATIOS if other != ratio) / 2


def _are_several(part: Sequence[Dimension]) -> bool:
    sizes = [float(d.printed.to(Unit.MM)) for d in part if d.printed is not None]
    return max(sizes) > OTHER_SIZE * min(sizes)


def _stand_alone(part: Sequence[Dimension], dimensions: Sequence[Dimension]) -> bool:
    box = Box.around([p for d in part for p in _places(d)])
    box = box.grown(AROUND * max(box.width, box.height))
    return not any(
        box.contains(Box.around(_places(d)).centre)
        for d in dimensions
        if d.verdict is Verdict.AGREES and d.scaled is not None and d.scaled.unit is not Unit.DEG
    )


def _places(dimension: Dimension) -> list[Point]:
    return [*(e.point for e in dimension.ends), *dimension.line]


def _say_times(ratio: Fraction) -> str:
    return f"{float(ratio):.3g} times" if ratio >= 1 else f"{ratio} times"
