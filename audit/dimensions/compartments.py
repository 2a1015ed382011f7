"""Texts in the compartments of a frame: tolerances of form and place, which are no sizes.

A feature control frame (ASME Y14.5, ISO 1101) is one row of boxes: symbol, tolerance, datums. A
basic size stands in a box as well, but alone.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from audit.reading.pdf_text import TextLine
from audit.reading.words import Turned

ABOVE = 1.3  # letter heights between a text and the sides of its box above and under it
BESIDE = 4.0  # letter heights between a text and the walls of its box
NEXT = 12.0  # letter heights that the box next to it is wide at most
FLUSH = 0.2  # letter heights: walls of a frame end on its sides, extension lines run past them
LEVEL = 0.02  # slope of a side, at most
SAME_TURN_DEG = 2.0
Rows = NDArray[np.float64]


class Compartments:
    """The strokes of a page, to ask of texts whether they stand in a row of boxes."""

    def __init__(self, ends: Rows) -> None:
        self._ends = ends
        self._turned: dict[int, tuple[Rows, Rows]] = {}

    def holds(self, text: TextLine) -> bool:
        """Whether a text stands in a box that has another box beside it.

        Parameters
        ----------
        text : TextLine
            In the frame of the strokes.
        """
        turn = math.radians(text.angle)
        frame = Turned(math.cos(turn), -math.sin(turn))
        levels, walls = self._sides(round(text.angle / SAME_TURN_DEG), frame)
        corners = np.array([frame.inside(p) for p in text.quad])
        (x0, top), (x1, base) = corners.min(axis=0), corners.max(axis=0)
        h = text.height
        over = levels[(levels[:, 1] < x0) & (levels[:, 2] > x1)]
        under = over[(over[:, 0] > base - 0.3 * h) & (over[:, 0] < base + ABOVE * h), 0]
        above = over[(over[:, 0] < top + 0.3 * h) & (over[:, 0] > top - ABOVE * h), 0]
        if not (len(under) and len(above)):
            return False
        low, high = float(above.max()), float(under.min())
        slack = FLUSH * h
        flush = (np.abs(walls[:, 1] - low) < slack) & (np.abs(walls[:, 2] - high) < slack)
        at = np.unique(walls[flush, 0])
        left, right = at[at < x0 + slack], at[at > x1 - slack]
        if not (len(left) and len(right)):
            return False
        a, b = float(left.max()), float(right.min())
        if x0 - a > BESIDE * h or b - x1 > BESIDE * h:
            return False
        nexts = [(a, w) for w in left[left < a - slack]] + [
            (b, w) for w in right[right > b + slack]
        ]
        return any(
            abs(w - v) < NEXT * h
            and all(_is_covered(levels, y, (v + w) / 2, slack) for y in (low, high))
            for v, w in nexts
        )

    def _sides(self, key: int, frame: Turned) -> tuple[Rows, Rows]:
        """Level strokes (y, from x, to x) and upright ones (x, from y, to y) of a frame."""
        if key not in self._turned:
            x0, y0, x1, y1 = frame.many(self._ends).T
            dx, dy = np.abs(x1 - x0), np.abs(y1 - y0)
            level, wall = dy < LEVEL * dx, dx < LEVEL * dy
            self._turned[key] = (_sorted(y0, y1, x0, x1, level), _sorted(x0, x1, y0, y1, wall))
        return self._turned[key]


def _sorted(a0: Rows, a1: Rows, b0: Rows, b1: Rows, which: NDArray[np.bool_]) -> Rows:
    rows = ((a0 + a1) / 2, np.minimum(b0, b1), np.maximum(b0, b1))
    return np.column_stack([row[which] for row in rows])


def _is_covered(levels: Rows, y: float, x: float, slack: float) -> bool:
    near = np.abs(levels[:, 0] - y) < slack
    return bool((near & (levels[:, 1] < x) & (levels[:, 2] > x)).any())


def without_compartments(texts: Sequence[TextLine], ends: Rows) -> list[TextLine]:
    """Leave out the texts that stand in a row of boxes.

    Parameters
    ----------
    texts : sequence of TextLine
    ends : (n, 4) float array
        Straight strokes, in the frame of the texts.

    Returns
    -------
    list of TextLine
    """
    if not len(ends):
        return list(texts)
    boxes = Compartments(ends)
    return [t for t in texts if not boxes.holds(t)]
