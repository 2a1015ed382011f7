"""Figures of a picture with others right over or under them: a fraction lettered without its bar.

A dimension line that runs through a stacked ½ takes the place of its bar, or there is none; its
two figures are then two whole numbers. What they say counts only as being figures. Two that each
stand in line with a dimension line of their own, a row apart, are two sizes.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

from audit.geometry import Box
from audit.pipeline.doubting import doubt_size, measured_line, unconfirmed
from audit.reading import TextLine
from audit.records import Dimension, Reading

APART = 1.0  # heights of a figure between the two rows: there is room for a bar or a line
OVER = 0.3  # of a height, that boxes of two rows may reach into each other
IN_LINE = 0.6  # of the narrower one's width, that both share
ALIKE = 1.5  # ratio of heights
IN_ROW = 0.35  # of a height, from the middle of a row to its own line; a bar is half of one away
QUARTER_DEG = 4.0  # from level or upright; slanted boxes tell nothing
_FIGURES = re.compile(r"\d{1,2}")


def doubt_bare_stacks(
    dimensions: Sequence[Dimension], leftover: Sequence[TextLine]
) -> tuple[Dimension, ...]:
    """Doubt whole numbers over or under which another stands, as in a stacked fraction.

    Parameters
    ----------
    dimensions : sequence of Dimension
        Of one picture, boxes in the frame of `leftover`.
    leftover : sequence of TextLine
        Texts that no dimension took.

    Returns
    -------
    tuple of Dimension
        In the same order.
    """
    rows = [(t.text, t.box, t.angle) for t in leftover if _FIGURES.fullmatch(t.text)]
    figures = [d for d in dimensions if d.reading and _FIGURES.fullmatch(d.reading.text)]
    lined = [d for d in figures if _is_in_its_line(d)]
    own = [_row(d) for d in lined]
    others = [_row(d) for d in figures if d not in lined]
    return tuple(_doubting(d, [*rows, *others, *([] if d in lined else own)]) for d in dimensions)


def _row(dimension: Dimension) -> tuple[str, Box, float]:
    if dimension.reading is None:
        raise TypeError("a dimension without a reading")
    return dimension.reading.text, dimension.reading.box, dimension.reading.angle


def _is_in_its_line(dimension: Dimension) -> bool:
    """Whether a size stands on its dimension line produced, beside what is measured."""
    line, reading = measured_line(dimension), dimension.reading
    if line is None or reading is None:
        return False
    (a, far, x, y), centre = line, reading.box.centre
    along = (centre.x - a.x) * x + (centre.y - a.y) * y
    off = abs((centre.y - a.y) * x - (centre.x - a.x) * y)
    height = min(reading.box.width, reading.box.height)
    return off < IN_ROW * height and not 0.0 <= along <= far


def _doubting(dimension: Dimension, rows: Sequence[tuple[str, Box, float]]) -> Dimension:
    reading = unconfirmed(dimension)
    if reading is None or not _FIGURES.fullmatch(reading.text):
        return dimension
    for text, box, angle in rows:
        turned = abs((angle - reading.angle + 90.0) % 180.0 - 90.0) > QUARTER_DEG
        if box != reading.box and not turned and _is_stacked(reading, box):
            return doubt_size(dimension, reading, f"with “{text}” it may be a fraction")
    return dimension


def _is_stacked(reading: Reading, other: Box) -> bool:
    if abs((reading.angle + 45.0) % 90.0 - 45.0) > QUARTER_DEG:
        return False
    level = abs(math.cos(math.radians(reading.angle))) > math.sqrt(0.5)
    own, next_to = (b if level else Box(b.y0, b.x0, b.y1, b.x1) for b in (reading.box, other))
    lower = min(own.height, next_to.height)
    if max(own.height, next_to.height) > ALIKE * lower:
        return False
    shared = min(own.x1, next_to.x1) - max(own.x0, next_to.x0)
    apart = max(own.y0, next_to.y0) - min(own.y1, next_to.y1)
    in_line = shared > IN_LINE * min(own.width, next_to.width)
    return in_line and -OVER * lower < apart < APART * lower
