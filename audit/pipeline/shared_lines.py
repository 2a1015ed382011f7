"""Sizes on one line with another: the mark between them may have been missed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from audit.lengths import parse_callouts
from audit.pipeline.doubting import doubt_size, measured_line, unconfirmed
from audit.pipeline.framed import is_framed
from audit.reading import TextLine
from audit.records import Dimension

PARALLEL = 0.98  # cosine between a text and its line
BESIDE = 2.0  # text heights from the line
ONE_ROW = 0.8  # text heights between two texts on one line
HALF = 0.5  # of a line's length, from its middle to its end
OFF_MIDDLE = 0.1  # of a line's length, from its middle to that of a text over its half


def doubt_shared_lines(
    dimensions: Iterable[Dimension],
    leftover: Sequence[TextLine],
    *,
    ends: NDArray[np.float64] | None = None,
) -> tuple[Dimension, ...]:
    """Doubt readings of sizes beside which another size stands on the same line.

    ``|-- 10 --|-- 12 --|`` with its middle mark unseen is one line with the one text or the other;
    each stands over its own half. With two marks unseen the middle text stands between the others.

    Parameters
    ----------
    dimensions : iterable of Dimension
        Of one sheet.
    leftover : sequence of TextLine
        Texts of the same sheet that no dimension took.
    ends : (n, 4) float array, optional
        Strokes of the page: a number with an outline of its own, as item numbers have, is no size.

    Returns
    -------
    tuple of Dimension
        The same, with a doubt where a mark between two texts may have been missed.
    """
    sizes = _Sizes.of([t for t in leftover if parse_callouts(t.text, unit=None)])
    return tuple(_doubting_shared(d, sizes, ends) for d in dimensions)


class _Sizes(NamedTuple):
    """Texts, and column by column their middles, heights and the directions they run in."""

    texts: tuple[TextLine, ...]
    middles: NDArray[np.float64]
    heights: NDArray[np.float64]
    units: NDArray[np.float64]

    @classmethod
    def of(cls, texts: Sequence[TextLine]) -> _Sizes:
        turns = np.radians([t.angle for t in texts])
        return cls(
            texts=tuple(texts),
            middles=np.array([t.centre for t in texts], float).reshape(-1, 2),
            heights=np.array([t.height for t in texts], float),
            units=np.column_stack([np.cos(turns), -np.sin(turns)]),
        )


def _doubting_shared(
    dimension: Dimension, sizes: _Sizes, ends: NDArray[np.float64] | None
) -> Dimension:
    reading, line = unconfirmed(dimension), measured_line(dimension)
    if reading is None or line is None:
        return dimension
    start, far, *unit = line
    along, square = np.array(unit) / far, np.array([-unit[1], unit[0]])
    own = float((np.array(reading.box.centre) - start) @ along) - 0.5
    off = float((np.array(reading.box.centre) - start) @ square)
    others, asides = (sizes.middles - start) @ along - 0.5, (sizes.middles - start) @ square
    beside = np.abs(asides - off) < ONE_ROW * sizes.heights
    beside &= abs(off) < BESIDE * sizes.heights
    beside &= (np.abs(others) > OFF_MIDDLE) & (np.abs(others) < HALF)
    beside &= np.abs(sizes.units @ np.array(unit)) > PARALLEL
    left, right = (
        [
            sizes.texts[int(k)]
            for k in np.flatnonzero(beside & side)
            if ends is None or not is_framed(sizes.texts[int(k)].box, ends, outside=reading.box)
        ]
        for side in (others < 0, others > 0)
    )
    across = (right if own < 0 else left) if OFF_MIDDLE < abs(own) < HALF else []
    rivals = left if left and right else across
    if not rivals:
        return dimension
    return doubt_size(dimension, reading, f"“{rivals[0].text}” stands on the same line")
