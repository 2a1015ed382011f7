"""Texts of a drawing on its pattern: what stands together stays together when the view turns over.

Drawing programs write a size in pieces: the whole number, the figures over and under the bar, the
words behind; the bar is a line. Each mirrored by itself would make 9/32 3 of 3 9/32.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from audit.geometry import Box, Point, Transform

Floats = NDArray[np.float64]

GAP = 0.9  # of the height: between pieces of one text
ROWS = 1.3  # heights: from a figure to the one under the bar
BAR_ROOM = 0.4  # heights: a bar reaches beyond its figures
SAME_WAY_DEG = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenText:
    """A text of the drawing: its middle, direction (degrees, counter-clockwise) and size, mm."""

    text: str
    middle: Point
    angle: float
    height: float
    length: float


@dataclass(frozen=True, slots=True, eq=False)
class TextGroup:
    """Pieces that are one text, in the direction of its writing.

    Attributes
    ----------
    pieces : tuple of WrittenText
        Of one direction.
    middle : Point
        Of all of them.
    wide, high : float
        Along the writing and up from it, mm.
    """

    pieces: tuple[WrittenText, ...]
    middle: Point
    wide: float
    high: float

    @property
    def angle(self) -> float:
        """Direction of the writing, degrees, counter-clockwise."""
        return self.pieces[0].angle

    def holds(self, points: Floats) -> bool:
        """Whether a line, shape (n, 2), lies within the text: a fraction bar."""
        offs = [turn_frame(x - self.middle.x, y - self.middle.y, self.angle) for x, y in points]
        wide = self.wide / 2 + BAR_ROOM * self.pieces[0].height
        return all(abs(x) <= wide and abs(y) <= self.high / 2 for x, y in offs)

    def turn_over(self, flip: Transform) -> tuple[WrittenText, ...]:
        """Put the pieces where a reflection takes the whole, left readable."""
        places = self.turn_points(np.array([p.middle for p in self.pieces]), flip)
        return tuple(
            replace(piece, middle=Point(*place), angle=readable(-self.angle))
            for piece, place in zip(self.pieces, places.tolist(), strict=True)
        )

    def turn_points(self, points: Floats, flip: Transform) -> Floats:
        """Move points of the text, shape (n, 2), along with it."""
        middle = flip.apply(self.middle)
        offs = [turn_frame(x - self.middle.x, y - self.middle.y, self.angle) for x, y in points]
        return np.array([middle.moved(*turn_frame(*off, readable(-self.angle))) for off in offs])


def join_pieces(texts: Sequence[WrittenText]) -> tuple[TextGroup, ...]:
    """Join pieces that stand together.

    Parameters
    ----------
    texts : sequence of WrittenText
        Of a view.

    Returns
    -------
    tuple of TextGroup
        Each piece in one of them.
    """
    groups: list[list[WrittenText]] = []
    for text in texts:
        near = [g for g in groups if any(_stand_together(text, other) for other in g)]
        groups = [g for g in groups if g not in near]
        groups.append([text, *(piece for g in near for piece in g)])
    return tuple(_group(g) for g in groups)


def _stand_together(one: WrittenText, other: WrittenText) -> bool:
    if abs((one.angle - other.angle + 180.0) % 360.0 - 180.0) > SAME_WAY_DEG:
        return False
    height = max(one.height, other.height)
    off = other.middle.x - one.middle.x, other.middle.y - one.middle.y
    along, up = turn_frame(*off, one.angle)
    gap = abs(along) - (one.length + other.length) / 2
    return gap <= GAP * height and abs(up) <= ROWS * height


def _group(pieces: Sequence[WrittenText]) -> TextGroup:
    first = pieces[0]
    corners = []
    for piece in pieces:
        off = piece.middle.x - first.middle.x, piece.middle.y - first.middle.y
        x, y = turn_frame(*off, first.angle)
        corners += [(x + k * piece.length / 2, y + k * piece.height / 2) for k in (-1, 1)]
    around = Box.around(corners)
    middle = first.middle.moved(*turn_frame(*around.centre, first.angle))
    return TextGroup(tuple(pieces), middle, around.width, around.height)


def turn_frame(dx: float, dy: float, angle: float) -> tuple[float, float]:
    """Lead from across and down to along a writing and up from it; and back, being its own inverse.

    Examples
    --------
    >>> [round(v, 9) for v in turn_frame(*turn_frame(3.0, 4.0, 30.0), 30.0)]
    [3.0, 4.0]
    >>> turn_frame(1.0, 2.0, 0.0)
    (1.0, -2.0)
    """
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    return c * dx - s * dy, -s * dx - c * dy


def readable(angle: float) -> float:
    """Turn a direction of writing so that it is read from below or from the right.

    Examples
    --------
    >>> readable(180.0), readable(-90.0), readable(45.0)
    (0.0, 90.0, 45.0)
    """
    angle = (angle + 180.0) % 360.0 - 180.0
    if angle > 90.0 + 1e-6 or angle <= -90.0 + 1e-6:
        angle += 180.0
    return (angle + 180.0) % 360.0 - 180.0
