"""Sizes on one line with another: the mark between them may have been missed."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from audit.geometry import Point
from audit.lengths import parse_callouts
from audit.pipeline.doubting import doubt_size, measured_line, unconfirmed
from audit.reading import TextLine
from audit.records import Dimension

PARALLEL = 0.98  # cosine between a text and its line
BESIDE = 2.0  # text heights from the line
ONE_ROW = 0.8  # text heights between two texts on one line
OFF_MIDDLE = 0.1  # of a line's length, from its middle to that of a text over its half


def doubt_shared_lines(
    dimensions: Iterable[Dimension], leftover: Sequence[TextLine]
) -> tuple[Dimension, ...]:
    """Doubt readings of sizes beside which another size stands on the same line.

    ``|-- 10 --|-- 12 --|`` with its middle mark unseen is one line with the one text or the other;
    each stands over its own half.

    Parameters
    ----------
    dimensions : iterable of Dimension
        Of one sheet.
    leftover : sequence of TextLine
        Texts of the same sheet that no dimension took.

    Returns
    -------
    tuple of Dimension
        The same, with a doubt where a mark between two texts may have been missed.
    """
    sizes = [t for t in leftover if parse_callouts(t.text, unit=None)]
    return tuple(_doubting_shared(d, sizes) for d in dimensions)


def _doubting_shared(dimension: Dimension, sizes: Sequence[TextLine]) -> Dimension:
    reading, line = unconfirmed(dimension), measured_line(dimension)
    if reading is None or line is None:
        return dimension
    a, far, ux, uy = line

    def place(p: Point) -> tuple[float, float]:
        return (
            ((p.x - a.x) * ux + (p.y - a.y) * uy) / far - 0.5,
            (p.y - a.y) * ux - (p.x - a.x) * uy,
        )

    own, off = place(reading.box.centre)
    for text in sizes:
        other, aside = place(text.centre)
        turn = math.radians(text.angle)
        beside = abs(aside - off) < ONE_ROW * text.height and abs(off) < BESIDE * text.height
        halves = own * other < 0 and all(OFF_MIDDLE < abs(v) < 0.5 for v in (own, other))
        if beside and halves and abs(ux * math.cos(turn) - uy * math.sin(turn)) > PARALLEL:
            return doubt_size(dimension, reading, f"“{text.text}” stands on the same line")
    return dimension
