"""Figures that stand close together, told apart by their numbers: `Fig. 3`, `FIG. 4`.

On the pages of books several figures, each at a scale of its own, stand so near each other that
the space between them does not part them. A region with two such numbers is two figures, where its
parts do not touch. Where figures have names instead (`MITRE JOINT`, `BLOCK`) each must stand in
the middle under its figure: a note may stand anywhere.
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
CENTRED = 0.2  # of a figure's width, from its middle to that of its name: dimensions stand beside
LINES = 2.4  # letter heights from line to line in a paragraph, at most

_FIGURE = re.compile(r"\W*FIG(?:URE|S)?\b[.,:;]?\s*\d", re.IGNORECASE)

# Views of one thing, in projection: named side by side they share a scale all the same.
_PROJECTED = re.compile(
    r"(?:\W|\d|\b[A-Z]\b|AND\b|OF\b|THE\b|FRONT|REAR|BACK|SIDE|END|TOP|BOTTOM|PLAN|LEFT|RIGHT|HAND"
    r"|INSIDE|OUTSIDE|HALF|CROSS|LONGITUDINAL|ELEVATIONS?|VIEWS?|SECT(?:IONS?)?)*",
    re.IGNORECASE,
)


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


def find_figure_names(texts: Sequence[TextLine], *, upright: float) -> list[TextLine]:
    """Find which names may be those of figures.

    Parameters
    ----------
    texts : sequence of TextLine
        Those that may name something.
    upright : float
        Direction in which most text runs, degrees.

    Returns
    -------
    list of TextLine
        No numbers of figures, no views of one thing (``FRONT``, ``END``), no lines of a paragraph.
    """
    level = [t for t in texts if abs((t.angle - upright + 180.0) % 360.0 - 180.0) < TURN_DEG]
    return [
        text
        for text in level
        if not _FIGURE.match(text.text)
        and not _PROJECTED.fullmatch(text.text)
        and not any(_are_lines(text, other) for other in level if other is not text)
    ]


def _are_lines(one: TextLine, other: TextLine) -> bool:
    """Whether two texts stand one over the other as the lines of a paragraph do."""
    apart = abs(one.centre.y - other.centre.y)
    shared = min(one.box.x1, other.box.x1) - max(one.box.x0, other.box.x0)
    return 0.5 * one.height < apart < LINES * one.height and shared > 0


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


def named_figures(parts: Mapping[int, Box], names: Sequence[TextLine]) -> list[TextLine]:
    """Those of some names that stand in the middle under a figure each.

    Parameters
    ----------
    parts : mapping of int to Box
        Of a region.
    names : sequence of TextLine

    Returns
    -------
    list of TextLine
        Two and more, or none.
    """
    kept = list(names)
    while len(kept) > 1:
        dealt = deal_parts(parts, kept)
        boxes = [_around(parts, dealt, k) for k in range(len(kept))]
        fits = [b is not None and _is_under(n, b) for n, b in zip(kept, boxes, strict=True)]
        if all(fits):
            return kept
        kept = [n for n, fit in zip(kept, fits, strict=True) if fit]
    return []


def _around(parts: Mapping[int, Box], dealt: Mapping[int, int], figure: int) -> Box | None:
    own = [box for key, box in parts.items() if dealt[key] == figure]
    return Box.around([c for box in own for c in box.corners]) if own else None


def _is_under(name: TextLine, figure: Box) -> bool:
    gap = name.centre.y - name.height / 2 - figure.y1
    off = abs(name.centre.x - figure.centre.x)
    return -OVER_PT < gap < BELOW_PT and off < CENTRED * figure.width


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
