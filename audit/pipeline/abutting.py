"""Doubt sizes beside which another piece of lettering stands too near: they may be one text.

A line that runs through ``3 1/2`` may part it, and ``R .180`` too; where lettering is crowded the
end of one size is read with the next. What a piece says plays no part beyond being no word.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from audit.geometry import Box
from audit.pipeline.doubting import doubt_size, unconfirmed
from audit.pipeline.framed import is_framed
from audit.reading import TextLine
from audit.reading.readers import SETTLED
from audit.records import Dimension, Reading
from audit.records.doubts import MAY_BE_PART, NEARLY_TOUCHES

LOOSE_GAP = 0.8  # letter heights to a piece that belongs to nothing: a line may stand between
EXACT_GAP = 1.2  # the same where a file says where pieces end: a typewriter's space
NEXT_GAP = 0.3  # to the text of another dimension: less than a space
TORN_GAP = 1.4  # to one that reads on: the space of a typewriter
WIDE = 0.7  # of its height, a letter
SIGNS = ("R", "Ø", "⌀")
SAME_ROW = 0.6  # share of the lower one's height that both share
ALIKE_HIGH = 1.7  # ratio of heights
LINED_HIGH = 2.0  # the same of a picture, where bits of a line may stand in a box
OVERLAP = 0.5  # letter heights that boxes of a picture overlap by and still stand side by side
QUARTER_DEG = 4.0  # from level or upright; slanted boxes tell nothing
_WORD = re.compile(r"^[^\d]*[A-Za-z]{2,}[^\d]*$|^\(?\d+\)?\s*[xX×]$")
_FRACTION = re.compile(r"\d+/\d+")
_WHOLE = re.compile(r"(?<![\d/.,])\d+$")
_DECIMALS = re.compile(r"\.\d*$")
_LETTERED = re.compile(r"[\w?.Ø]")
_ENDED = re.compile(r"\d ?[\"″]$")  # by its inch mark: no number goes on behind it
# By what a rule is divided into, too: no such denominator begins with another one.
_WHOLLY = re.compile(r"\d ?[\"″]$|\d/(?:2|4|8|16|32|64)$")


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
    """How far apart two boxes of one text may be, and how far over each other, letter heights.

    And the ratio of their heights, at most.
    """

    gap: float
    over: float
    alike: float = LINED_HIGH


class _Loose(NamedTuple):
    """Texts that may be part of a size: what they say, where, and at which angle they run."""

    texts: tuple[tuple[str, Box, float], ...]
    corners: NDArray[np.float64]

    @classmethod
    def of(cls, texts: Iterable[tuple[str, Box, float]]) -> _Loose:
        kept = tuple(texts)
        corners = [(box.x0, box.y0, box.x1, box.y1) for _, box, _ in kept]
        return cls(kept, np.array(corners, float).reshape(-1, 4))

    def about(self, box: Box, reach: float) -> list[tuple[str, Box, float]]:
        """Return the texts that a box meets once it is grown on all sides."""
        x0, y0, x1, y1 = self.corners.T
        near = (x0 < box.x1 + reach) & (x1 > box.x0 - reach)
        near &= (y0 < box.y1 + reach) & (y1 > box.y0 - reach)
        return [self.texts[k] for k in np.flatnonzero(near)]


def doubt_abutting(
    dimensions: Sequence[Dimension],
    leftover: Iterable[TextLine],
    *,
    ends: NDArray[np.float64] | None = None,
) -> tuple[Dimension, ...]:
    """Doubt readings beside which more lettering stands than a space away.

    Parameters
    ----------
    dimensions : sequence of Dimension
        Of one sheet, boxes in the frame of `leftover`.
    leftover : iterable of TextLine
        Texts of the sheet that no dimension took.
    ends : (n, 4) float array, optional
        Strokes of a page of which a file says where each text begins and ends: then the texts of
        two dimensions may stand as near as they like, pieces over each other are no text seen
        twice, and a piece with an outline of its own, as item numbers have, is none of a size.

    Returns
    -------
    tuple of Dimension
        In the same order.
    """
    loose = _Loose.of(
        (t.text, t.box, t.angle) for t in leftover if t.visible and _may_be_part(t.text)
    )
    if ends is not None:
        return tuple(
            _doubting(d, loose, _Reach(EXACT_GAP, math.inf, ALIKE_HIGH), ends) for d in dimensions
        )
    readings = [d.reading for d in dimensions if d.reading]
    others = _Loose.of((r.text, r.box, r.angle) for r in readings)
    sure = frozenset(r.box for r in readings if r.confidence >= SETTLED and not r.doubt)
    doubted = (_doubting(d, loose, _Reach(LOOSE_GAP, OVERLAP)) for d in dimensions)
    return tuple(_doubting_next(d, others, sure) for d in doubted)


def _may_be_part(text: str) -> bool:
    return _LETTERED.search(text) is not None and _WORD.match(text.strip()) is None


def _doubting(
    dimension: Dimension,
    loose: _Loose,
    near: _Reach,
    ends: NDArray[np.float64] | None = None,
) -> Dimension:
    reading = unconfirmed(dimension)
    if reading is None:
        return dimension
    torn = _doubting_torn(dimension, reading, loose)
    if torn is not dimension:  # a reason that no measurement settles
        return torn
    signs = (p for p in _beside_askew(reading, loose) if p[0].strip() in SIGNS)
    for text, box in (*_beside(reading, loose, near), *signs):
        if ends is None and _comes_first(reading, box) and _is_parted(reading.text, text, _ENDED):
            continue
        if ends is None or not is_framed(box, ends, outside=reading.box):
            return doubt_size(dimension, reading, f"“{text}” {MAY_BE_PART}")
    return dimension


def _doubting_torn(dimension: Dimension, reading: Reading, texts: _Loose) -> Dimension:
    near = _Reach(TORN_GAP, OVERLAP)
    for text, box in (*_beside(reading, texts, near), *_beside_askew(reading, texts)):
        pair = (reading.text, text) if _comes_first(reading, box) else (text, reading.text)
        if _is_torn(*pair):
            return doubt_size(dimension, reading, f"“{text}” stands beside it, as if of one size")
    return dimension


def _doubting_next(dimension: Dimension, others: _Loose, sure: frozenset[Box]) -> Dimension:
    reading = unconfirmed(dimension)
    if reading is None:
        return dimension
    for text, box in _beside(reading, others, _Reach(NEXT_GAP, OVERLAP)):
        first = _comes_first(reading, box)
        pair = (reading.text, text) if first else (text, reading.text)
        if not (_is_parted(*pair, _WHOLLY) and (first or box in sure)):
            return doubt_size(dimension, reading, f"“{text}” {NEARLY_TOUCHES}")
    return _doubting_torn(dimension, reading, others)


def _is_parted(first: str, second: str, ended: re.Pattern[str]) -> bool:
    """Whether a number ends with the first of two texts; behind it may stand a sign.

    Examples
    --------
    >>> [_is_parted(*pair, _WHOLLY) for pair in (("5/8", "11/16"), ("5/6", "4"), ('2"', "R"))]
    [True, False, False]
    """
    return ended.search(first) is not None and second.strip() not in SIGNS


def _comes_first(reading: Reading, other: Box) -> bool:
    """Whether a reading stands before another text, as both run."""
    t = math.radians(reading.angle)
    own, next_to = reading.box.centre, other.centre
    return (next_to.x - own.x) * math.cos(t) - (next_to.y - own.y) * math.sin(t) > 0


def _is_torn(first: str, second: str) -> bool:
    """Whether two texts read on as one: a whole number and a fraction, or decimals cut through.

    Examples
    --------
    >>> _is_torn("R 3", '1/2"'), _is_torn(".4", "70"), _is_torn("3 1/2", "1/2"), _is_torn("3", "70")
    (True, True, False, False)
    """
    if _FRACTION.match(second):
        return _WHOLE.search(first) is not None
    return second.isdigit() and _DECIMALS.search(first) is not None


def _beside(reading: Reading, texts: _Loose, near: _Reach) -> Iterator[tuple[str, Box]]:
    """Yield texts beside a reading that run as it does."""
    own = _along(reading.box, reading.angle)
    if own is None:
        return
    for text, box, angle in texts.about(reading.box, near.gap * own.height):
        turned = abs((angle - reading.angle + 90.0) % 180.0 - 90.0) > QUARTER_DEG
        if box != reading.box and not turned and _is_beside(own, _along(box, angle), near):
            yield text, box


def _beside_askew(reading: Reading, texts: _Loose) -> Iterator[tuple[str, Box]]:
    """Yield texts in one row with a slanted reading, whichever way up they were read.

    The box around a slanted text tells its length and height together only; its letters part them.
    """
    if _along(reading.box, reading.angle) is not None:
        return
    t = math.radians(reading.angle)
    ux, uy = math.cos(t), -math.sin(t)
    length, height = _shape(reading.text, reading.box, t)
    for text, box, _ in texts.about(reading.box, TORN_GAP * height):
        dx, dy = box.centre.x - reading.box.centre.x, box.centre.y - reading.box.centre.y
        long, high = _shape(text, box, t)
        along, aside = abs(dx * ux + dy * uy), abs(dx * uy - dy * ux)
        gap = along - (length + long) / 2
        alike = max(high, height) < LINED_HIGH * min(high, height)
        in_row = aside < (1.0 - SAME_ROW) * height and -OVERLAP * height < gap < TORN_GAP * height
        if box != reading.box and alike and in_row:
            yield text, box


def _shape(text: str, box: Box, turn: float) -> tuple[float, float]:
    """Length and height of a slanted text, about."""
    both = (box.width + box.height) / (abs(math.cos(turn)) + abs(math.sin(turn)))
    height = both / (1.0 + WIDE * len(text.replace(" ", "")))
    return both - height, height


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
    if lower <= 0 or max(own.height, other.height) > near.alike * lower:
        return False
    if min(own.foot, other.foot) - max(own.top, other.top) < SAME_ROW * lower:
        return False
    apart = max(own.low, other.low) - min(own.high, other.high)
    return -near.over * lower < apart < near.gap * own.height
