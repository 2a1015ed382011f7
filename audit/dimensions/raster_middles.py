"""Lengths whose number stands at the middle of another stretch of their line than theirs.

Where an arrowhead of a chain is not seen, two neighbouring sizes look like one, and the number of
either would be taken for that of both. A draftsman puts a number at the middle of its own stretch,
between the two lines across that bound it: a number off the middle of the stretch it was given to,
and at the middle of another, is probably not its size.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from audit.dimensions.even_marks import text_spans
from audit.dimensions.ink import Floats, Ink, Line, covered, merge_spans
from audit.dimensions.lines import MarkedLine
from audit.dimensions.texts import SizeText, TextForm
from audit.records import Dimension, DimensionKind
from audit.scale.usable import SURELY_FOUND

UNSURE = SURELY_FOUND - 0.01
OFF_MIDDLE, OFF_HEIGHTS = 0.1, 0.5  # of its stretch; letter heights: numbers stand as near as that
AT_MIDDLE, AT_HEIGHTS = 0.04, 0.3  # and nearer to the middle of the stretch they were put in
SQUARE = 0.985  # sine of the angle to the line of what bounds a stretch: over 80 degrees
EDGE_PT, REACH_PT = 6.0, 2.5  # its least length; how far short of the line it may stop
SAME_PT = 1.5  # between the ends of one stretch and the same, found anew
DRAWN = 0.6  # share of a stretch that line and number fill
LED = 0.35  # of either part of it beside the number, that the line alone fills
MARK_PT = 4.0  # what dots and boxes cover of a part with the number above it
JOINED_PT = 0.3
BESIDE = 3.0  # letter heights from a line to its number
APART, IN_ROW = 2.0, 0.6  # letter heights between two numbers; between their distances to the line
ALIKE = 1.6  # ratio of letter heights
NUMBERS = (TextForm.LENGTH, TextForm.DIAMETER)


@dataclass(frozen=True, slots=True)
class _Number:
    """A number by a line: places along the line, its distance from it, its height; pt."""

    low: float
    high: float
    aside: float
    height: float

    @property
    def middle(self) -> float:
        return (self.low + self.high) / 2


def doubt_off_middle(
    dimensions: Sequence[Dimension], chosen: Sequence[int], texts: Sequence[SizeText], ink: Ink
) -> tuple[Dimension, ...]:
    """Take lengths for less sure whose number stands at the middle of another stretch.

    Or that have two numbers in a row along their line, of which neither stands at their middle.

    Parameters
    ----------
    dimensions : sequence of Dimension
        Of one picture, in pt.
    chosen : sequence of int
        The text of each, by its place in `texts`; -1: none.
    texts : sequence of SizeText
        In pt.
    ink : Ink

    Returns
    -------
    tuple of Dimension
        In the same order.
    """
    taken = set(chosen)
    free = [t for k, t in enumerate(texts) if k not in taken and t.form in NUMBERS]
    return tuple(
        replace(d, score=UNSURE)
        if k >= 0 and d.score > UNSURE and _is_anothers(d, texts[k], free, ink)
        else d
        for d, k in zip(dimensions, chosen, strict=True)
    )


def _is_anothers(d: Dimension, text: SizeText, free: Sequence[SizeText], ink: Ink) -> bool:
    if d.kind not in (DimensionKind.DISTANCE, DimensionKind.DIAMETER) or d.sweep is not None:
        return False
    a, b = d.line[0], d.line[-1]
    far = a.distance(b)
    if len(d.line) != 2 or far <= 0.0:
        return False
    line = Line(a.x, a.y, (b.x - a.x) / far, (b.y - a.y) / far)
    own = _number(line, text)
    off = abs(own.middle - far / 2)
    if off <= max(OFF_MIDDLE * far, OFF_HEIGHTS * own.height) or own.aside > BESIDE * own.height:
        return False
    others = (_number(line, t) for t in free)
    return any(_is_in_row(own, n, far) for n in others) or _is_centred_elsewhere(
        ink, line, text, far
    )


def _number(line: Line, text: SizeText) -> _Number:
    places = [line.place(corner) for corner in text.line.quad]
    along = [at for at, _ in places]
    aside = sum(off for _, off in places) / len(places)
    return _Number(min(along), max(along), abs(aside), text.line.height)


def _is_in_row(own: _Number, other: _Number, far: float) -> bool:
    """Whether another number stands along the same stretch, where only one of its own would."""
    if not (0.0 < own.middle < far and 0.0 < other.middle < far):
        return False
    if abs(own.aside - other.aside) > IN_ROW * own.height:
        return False
    if max(own.height, other.height) > ALIKE * min(own.height, other.height):
        return False
    return max(own.low - other.high, other.low - own.high) > APART * own.height


def _is_centred_elsewhere(ink: Ink, line: Line, text: SizeText, far: float) -> bool:
    """Whether a number stands at the middle between the lines across that are nearest to it.

    They bound another stretch than from 0 to `far`, and it is drawn.
    """
    own = _number(line, text)
    edges = _edges(ink, line)
    before, behind = edges[edges < own.low + SAME_PT], edges[edges > own.high - SAME_PT]
    if not len(before) or not len(behind):
        return False
    low, high = float(before.max()), float(behind.min())
    near = max(AT_MIDDLE * (high - low), AT_HEIGHTS * own.height)
    if abs((low + high) / 2 - own.middle) > near:
        return False
    if abs(low) < SAME_PT and abs(high - far) < SAME_PT:
        return False
    return _is_drawn(ink, line, text, (low, high))


def _edges(ink: Ink, line: Line) -> Floats:
    """Places along a line of the straight strokes that cross it squarely, or nearly reach it."""
    which = ink.straight[ink.lengths[ink.straight] >= EDGE_PT]
    e, u = ink.ends[which], ink.units[which]
    cross = line.ux * u[:, 1] - line.uy * u[:, 0]
    square = np.abs(cross) > SQUARE
    e, u, cross, length = e[square], u[square], cross[square], ink.lengths[which][square]
    dx, dy = e[:, 0] - line.x, e[:, 1] - line.y
    at = (dx * u[:, 1] - dy * u[:, 0]) / cross
    s = (dx * line.uy - dy * line.ux) / cross
    gap = np.maximum(-s, s - length)
    return np.asarray(at[gap < REACH_PT], np.float64)


def _is_drawn(ink: Ink, line: Line, text: SizeText, stretch: tuple[float, float]) -> bool:
    """Whether line and number fill a stretch, and the line leads to either end of it.

    A number beyond the end of its own size has a tail on one side only.
    """
    low, high = stretch
    strokes, pieces = ink.on_line(line)
    marked = MarkedLine(line=line, strokes=strokes, spans=(), pieces=pieces, places=(), width=0.0)
    parted = text_spans(marked, [text], np.array([text.line.centre], float))
    drawn = merge_spans(pieces, JOINED_PT)
    own = _number(line, text)
    least = SAME_PT if parted else MARK_PT
    for one, other in ((low, own.low), (own.high, high)):
        if other - one > least and covered(drawn, one, other) < LED * (other - one):
            return False
    filled = merge_spans(np.array([*drawn, *parted], float).reshape(-1, 2), JOINED_PT)
    return covered(filled, low, high) > DRAWN * (high - low)
