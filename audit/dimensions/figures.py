"""Figures that stand close together, told apart by their numbers: `Fig. 3`, `FIG. 4`.

On the pages of books several figures, each at a scale of its own, stand so near each other that
the space between them does not part them. A region with two such numbers is two figures, where its
parts do not touch.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence

from audit.geometry import Box
from audit.reading.pdf_text import TextLine

BELOW_PT = 40.0  # from a figure to its number
OVER_PT = 4.0  # that a number may stand higher than the lowest ink of its figure
TURN_DEG = 4.0

_FIGURE = re.compile(r"\W*FIG(?:URE|S)?\b[.,:;]?\s*\d", re.IGNORECASE)


def find_figure_numbers(texts: Sequence[TextLine], *, upright: float) -> list[TextLine]:
    """Find the texts that number a figure.

    Parameters
    ----------
    texts : sequence of TextLine
    upright : float
        Direction in which most text runs, degrees.

    Returns
    -------
    list of TextLine
    """
    return [
        text
        for text in texts
        if _FIGURE.match(text.text)
        and abs((text.angle - upright + 180.0) % 360.0 - 180.0) < TURN_DEG
    ]


def numbers_of(box: Box, numbers: Sequence[TextLine]) -> list[TextLine]:
    """Those of some numbers that stand in a region or right under it."""
    low = Box(box.x0, box.y0, box.x1, box.y1 + BELOW_PT)
    return [n for n in numbers if low.contains(n.centre)]


def deal_parts(parts: Mapping[int, Box], numbers: Sequence[TextLine]) -> dict[int, int]:
    """Give each part of a region to one of the figures in it.

    Parameters
    ----------
    parts : mapping of int to Box
    numbers : sequence of TextLine
        Of the figures, one or more.

    Returns
    -------
    dict of int to int
        From each part to the place of its figure among the numbers: the number nearest below it,
        or else nearest.
    """
    return {key: _nearest(box, numbers) for key, box in parts.items()}


def _nearest(box: Box, numbers: Sequence[TextLine]) -> int:
    def away(k: int) -> tuple[bool, float]:
        number = numbers[k]
        beside = max(box.x0 - number.centre.x, number.centre.x - box.x1, 0.0)
        gap = number.centre.y - number.height / 2 - box.y1
        under = gap > -OVER_PT and beside < number.length / 2
        return not under, math.hypot(beside, max(gap, box.y0 - number.centre.y, 0.0))

    return min(range(len(numbers)), key=away)


def are_several(figures: Iterable[int]) -> bool:
    """Whether sizes stand in more than one figure."""
    return len(set(figures)) > 1
