"""Texts in rows of boxes: feature control frames, tables, title blocks. They are no sizes there.

A feature control frame (ASME Y14.5, ISO 1101) is a row of boxes: symbol, tolerance, datums. A
basic size stands in a box as well, but alone. Between the extension lines of a chain a number
stands as in a box too, but extension lines run past the lines they meet.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from audit.dimensions.texts import SizeText, TextForm
from audit.geometry import Point, project_onto
from audit.reading.pdf_text import TextLine
from audit.reading.words import Turned

ABOVE = 1.6  # letter heights between a text and the sides of its box above and under it
BESIDE = 12.0  # letter heights between a text and the walls of its box
NEXT = 20.0  # letter heights that the box next to it is wide at most
FLUSH = 0.25  # letter heights: walls of a box end on its sides, extension lines run past them
INSIDE = 0.2  # letter heights of a text that may lie on the line of its box
ON_LINE = 1.6  # letter heights from a dimension line to the middle of a text on it
AT_TAIL, BESIDE_TAIL = 1.0, 0.4  # letter heights past the end of a tail, and beside its line
LONGER = 1.15  # letter heights: shorter strokes may be those of drawn letters
LEVEL = 0.02  # slope of a side, at most
SAME_TURN_DEG = 2.0
Rows = NDArray[np.float64]


def set_aside_compartments(
    texts: Sequence[SizeText], ends: Rows, *, lines: Sequence[tuple[Point, Point]] = ()
) -> list[SizeText]:
    """Take for no sizes the texts that stand in a row of boxes; each keeps its place in the list.

    Parameters
    ----------
    texts : sequence of SizeText
    ends : (n, 4) float array
        Straight strokes, in the frame of the texts.
    lines : sequence of pairs of Point
        Dimension lines that are known to be some, from mark to mark: what stands on one is its
        size, boxed in as it may be between a border and an outline.

    Returns
    -------
    list of SizeText
    """
    if not len(ends):
        return list(texts)
    boxes = Compartments(ends)
    return [
        replace(t, form=TextForm.OTHER, plain=False)
        if t.form is not TextForm.OTHER
        and boxes.holds(t.line)
        and not any(_stands_on(t.line, *line) for line in lines)
        else t
        for t in texts
    ]


def readmit_on_lines(
    left: Sequence[SizeText], texts: Sequence[SizeText], *, lines: Sequence[tuple[Point, Point]]
) -> list[SizeText]:
    """Take texts for sizes again that were set aside before dimension lines were known.

    Parameters
    ----------
    left : sequence of SizeText
        What `set_aside_compartments` made of `texts`.
    texts : sequence of SizeText
    lines : sequence of pairs of Point
        As `set_aside_compartments` takes them.

    Returns
    -------
    list of SizeText
    """
    return _readmit(left, texts, lambda was: any(_stands_on(was, *line) for line in lines))


def readmit_at_tails(
    left: Sequence[SizeText], texts: Sequence[SizeText], *, tails: Sequence[tuple[Point, Point]]
) -> list[SizeText]:
    """Take texts for sizes again that stand at the end of an arrowhead's tail, in line with it.

    The number of a narrow dimension stands past one of the arrowheads outside it.

    Parameters
    ----------
    left : sequence of SizeText
        What `set_aside_compartments` made of `texts`.
    texts : sequence of SizeText
    tails : sequence of pairs of Point
        Tips of arrowheads that point at each other, and the ends of the lines behind them.

    Returns
    -------
    list of SizeText
    """
    return _readmit(left, texts, lambda was: any(_stands_at(was, *tail) for tail in tails))


def _readmit(
    left: Sequence[SizeText], texts: Sequence[SizeText], stands: Callable[[TextLine], bool]
) -> list[SizeText]:
    """Take texts as they were before they were set aside, where they stand as sizes do."""
    return [
        was if t is not was and stands(was.line) else t for t, was in zip(left, texts, strict=True)
    ]


def _stands_at(text: TextLine, tip: Point, end: Point) -> bool:
    """Whether a text begins just past the end of a tail."""
    if tip == end:
        return False
    places = [project_onto(p, tip, end) for p in text.quad]
    gap = min(along for along, _ in places) - tip.distance(end)
    _, aside = project_onto(text.centre, tip, end)
    h = text.height
    return -0.5 * h < gap < AT_TAIL * h and abs(aside) < BESIDE_TAIL * h


def _stands_on(text: TextLine, a: Point, b: Point) -> bool:
    """Whether the middle of a text lies on a line, or just off it."""
    if a == b:
        return False
    along, aside = project_onto(text.centre, a, b)
    return 0.0 < along < a.distance(b) and abs(aside) < ON_LINE * text.height


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

        Returns
        -------
        bool
        """
        turn = math.radians(text.angle)
        frame = Turned(math.cos(turn), -math.sin(turn))
        every, walls = self._sides(round(text.angle / SAME_TURN_DEG), frame)
        corners = np.array([frame.inside(p) for p in text.quad])
        (x0, top), (x1, base) = corners.min(axis=0), corners.max(axis=0)
        h = text.height
        levels = _near(every, top, base, ABOVE * h)
        rows = _between(levels, (x0 + x1) / 2, (top, base), h, ABOVE)
        if rows is None:
            return False
        walls = _near(walls, x0, x1, (BESIDE + NEXT) * h)
        columns = _between(walls, (top + base) / 2, (x0, x1), h, BESIDE)
        if columns is None or not all(_ends_on(walls, every, x, rows, FLUSH * h) for x in columns):
            return False
        a, b = columns
        nexts = [
            (a, _next(walls, rows, a, (a - NEXT * h, a - h))),
            (_next(walls, rows, b, (b + h, b + NEXT * h)), b),
        ]
        return any(
            v is not None and w is not None and _covers(levels, rows, (v + w) / 2, FLUSH * h)
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
    sides = np.column_stack([row[which] for row in rows])
    return np.asarray(sides[np.argsort(sides[:, 0])])


def _near(lines: Rows, low: float, high: float, room: float) -> Rows:
    """Those of some lines, in order of where they lie, that lie about a stretch."""
    i, j = np.searchsorted(lines[:, 0], (low - room, high + room))
    return lines[i:j]


def _between(
    lines: Rows, middle: float, span: tuple[float, float], h: float, reach: float
) -> tuple[float, float] | None:
    """The nearest lines before and after a text, of those that pass its middle."""
    long = lines[:, 2] - lines[:, 1] > LONGER * h
    at = lines[long & (lines[:, 1] <= middle) & (lines[:, 2] >= middle), 0]
    low, high = span[0] + INSIDE * h, span[1] - INSIDE * h
    before, after = (
        at[(at < low) & (at > low - reach * h)],
        at[(at > high) & (at < high + reach * h)],
    )
    return (float(before.max()), float(after.min())) if len(before) and len(after) else None


def _ends_on(walls: Rows, levels: Rows, x: float, rows: tuple[float, float], slack: float) -> bool:
    """Whether a wall, with all that goes on from it, ends on a level line at both its ends."""
    own = walls[np.abs(walls[:, 0] - x) < slack]
    low, high = rows
    for _ in range(len(own)):
        touching = own[(own[:, 1] < high + slack) & (own[:, 2] > low - slack)]
        wider = min(low, float(touching[:, 1].min())), max(high, float(touching[:, 2].max()))
        if wider == (low, high):
            break
        low, high = wider
    return all(_is_covered(levels, y, x, slack) for y in (low, high))


def _next(
    walls: Rows, rows: tuple[float, float], beside: float, reach: tuple[float, float]
) -> float | None:
    """The nearest wall in a range beside a box that reaches from row to row."""
    middle = sum(rows) / 2
    fits = (walls[:, 0] > reach[0]) & (walls[:, 0] < reach[1])
    fits &= (walls[:, 1] < middle) & (walls[:, 2] > middle)
    at = walls[fits, 0]
    return float(at[np.argmin(np.abs(at - beside))]) if len(at) else None


def _covers(levels: Rows, rows: tuple[float, float], x: float, slack: float) -> bool:
    return all(_is_covered(levels, y, x, slack) for y in rows)


def _is_covered(levels: Rows, y: float, x: float, slack: float) -> bool:
    near = _near(levels, y, y, slack)
    return bool(((near[:, 1] < x + slack) & (near[:, 2] > x - slack)).any())
