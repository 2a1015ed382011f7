"""Where a text stands: the line through its middle, how far off a point is, the place it takes."""

from __future__ import annotations

import math

from audit.dimensions.candidates import TextPlace
from audit.dimensions.ink import Line
from audit.dimensions.texts import SizeText
from audit.geometry import Point


def line_of_text(text: SizeText, *, across: bool = False) -> Line:
    """Return the line through a text's middle, as it is written.

    Parameters
    ----------
    text : SizeText
    across : bool
        The line square to that instead.

    Returns
    -------
    Line
        From the middle on.
    """
    turn = math.radians(text.line.angle + (90.0 if across else 0.0))
    return Line(*text.line.centre, math.cos(turn), -math.sin(turn))


def distance_to_text(text: SizeText, p: Point) -> float:
    """Return how far a point is from a text's box, 0 within it.

    Parameters
    ----------
    text : SizeText
    p : Point

    Returns
    -------
    float
        In the units of both.
    """
    along, aside = line_of_text(text).place(p)
    half = text.line.length / 2, text.line.height / 2
    return math.hypot(max(abs(along) - half[0], 0.0), max(abs(aside) - half[1], 0.0))


def place_of_text(text: SizeText) -> TextPlace:
    """Return the place where a text stands, for what takes it and no other.

    Parameters
    ----------
    text : SizeText

    Returns
    -------
    TextPlace
    """
    half = text.line.length / 2
    return TextPlace(line=line_of_text(text), low=-half, high=half)
