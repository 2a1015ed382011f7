"""Doubt sizes beside which another piece of lettering stands too near: they may be one text.

A line that runs through ``3 1/2`` may part it, and ``R .180`` too; where lettering is crowded the
end of one size is read with the next. What a piece says plays no part beyond being no word.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from audit.geometry import Box
from audit.pipeline.doubting import doubt_size, unconfirmed
from audit.reading import TextLine
from audit.records import Dimension

LOOSE_GAP = 0.8  # letter heights to a piece that belongs to nothing: a line may stand between
EXACT_GAP = 1.2  # the same where a file says where pieces end: a typewriter's space
NEXT_GAP = 0.3  # to the text of another dimension: less than a space
SAME_ROW = 0.6  # share of the lower one's height that both share
ALIKE_HIGH = 1.7  # ratio of heights
OVERLAP = 0.5  # letter heights that boxes of a picture overlap by and still stand side by side
QUARTER_DEG = 4.0  # from level or upright; slanted boxes tell nothing
_WORD = re.compile(r"^[^\d]*[A-Za-z]{2,}[^\d]*$|^\(?\d+\)?\s*[xX×]$")
_LETTERED = re.compile(r"[\w?.Ø]")


class _Piece(NamedTuple):
    """A box as its text runs: from `low` to `high` along it, from `top` to `foot` across."""

    low: float
    high: float
    top: float
    foot: float

    @property
    def height(self) -> float:
        return self.foot - self.top


class _Reach(NamedTuple):
    """How far apart two boxes of one text may be, and how far over each other, letter heights."""

    gap: float
    over: float


def doubt_abutting(
    dimensions: Sequence[Dimension], leftover: Iterable[TextLine], *, exact: bool = False
) -> tuple[Dimension, ...]:
    """Doubt readings beside which more lettering stands than a space away.

    Parameters
    ----------
    dimensions : sequence of Dimension
        Of one sheet, boxes in the frame of `leftover`.
    leftover : iterable of TextLine
        Texts of the sheet that no dimension took.
    exact : bool
        Whether a file says where each text begins and ends: then the texts of two dimensions may
        stand as near as they like, and pieces over each other are no text seen twice.

    Returns
    -------
    tuple of Dimension
        In the same order.
    """
    loose = [(t.text, t.box, t.angle) for t in leftover if t.visible and _may_be_part(t.text)]
    if exact:
        return tuple(_doubting(d, loose, [], _Reach(EXACT_GAP, math.inf)) for d in dimensions)
    near = _Reach(LOOSE_GAP, OVERLAP)
    return tuple(
        _doubting(d, loose, [o for o in dimensions if o is not d], near) for d in dimensions
    )


def _may_be_part(text: str) -> bool:
    return _LETTERED.search(text) is not None and _WORD.match(text.strip()) is None


def _doubting(
    dimension: Dimension,
    loose: Sequence[tuple[str, Box, float]],
    others: Sequence[Dimension],
    near: _Reach,
) -> Dimension:
    reading = unconfirmed(dimension)
    if reading is None:
        return dimension
    own = _along(reading.box, reading.angle)
    if own is None:
        return dimension
    for text, box, angle in loose:
        if box == reading.box or abs((angle - reading.angle + 90.0) % 180.0 - 90.0) > QUARTER_DEG:
            continue
        if _is_beside(own, _along(box, angle), near):
            why = f"“{text}” stands beside it and may be part of it"
            return doubt_size(dimension, reading, why)
    for other in others:
        beside = other.reading
        if beside is None or beside.box == reading.box:
            continue
        turned = abs((beside.angle - reading.angle + 90.0) % 180.0 - 90.0) > QUARTER_DEG
        next_to = _along(beside.box, beside.angle)
        if not turned and _is_beside(own, next_to, _Reach(NEXT_GAP, OVERLAP)):
            return doubt_size(dimension, reading, f"“{beside.text}” nearly touches it")
    return dimension


def _along(box: Box, angle: float) -> _Piece | None:
    """Return a box along its text; `None` for slanted ones."""
    off = abs((angle + 45.0) % 90.0 - 45.0)
    if off > QUARTER_DEG:
        return None
    if round(angle / 90.0) % 2 == 0:
        return _Piece(box.x0, box.x1, box.y0, box.y1)
    return _Piece(box.y0, box.y1, box.x0, box.x1)


def _is_beside(own: _Piece, other: _Piece | None, near: _Reach) -> bool:
    if other is None:
        return False
    lower = min(own.height, other.height)
    if lower <= 0 or max(own.height, other.height) > ALIKE_HIGH * lower:
        return False
    if min(own.foot, other.foot) - max(own.top, other.top) < SAME_ROW * lower:
        return False
    apart = max(own.low, other.low) - min(own.high, other.high)
    return -near.over * lower < apart < near.gap * own.height
