"""Lines that a number in them shows: from the dot or tick before it to the one behind it.

Of a pale line a threshold leaves bits, and none need reach the dots at its ends; but a number that
stands in the middle between two of them, with some of the line on either side, says what they end.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product

import numpy as np

from audit.dimensions.ink import Floats, Ink, Line, covered, merge_spans
from audit.dimensions.text_places import line_of_text
from audit.dimensions.texts import SizeText, TextForm
from audit.geometry import Point

IN_LINE, LEAN = 0.4, 0.03  # of a number off its line: letter heights, and share of how far it is
LONGEST_PT = 170.0  # 60 mm on either side
MIDDLE = 0.15  # of the whole, from its middle to the number's
LEAST_PT = 5.0  # of line that could show; where a number leaves less it fills the room
CUT = 0.6  # letter heights of a number's cut that a dot hard by it may be part of
NEAREST = 3  # dots on either side that are tried: a worn end of a line may look like one
DRAWN = 0.35  # share of what could show of the line that is there
BESIDE_PT = 0.4  # how much further than usual a bit of it may lie off it


def lines_of_numbers(
    ink: Ink, points: Floats, texts: Sequence[SizeText]
) -> list[tuple[Line, float]]:
    """Find lines between two dots or ticks with a number at their middle.

    Parameters
    ----------
    ink : Ink
    points : (n, 2) float array
        Of dots, ticks and rings, pt.
    texts : sequence of SizeText
        In pt. Where they stand counts, not what they say.

    Returns
    -------
    list of (Line, float)
        From the first on, and how far the other is.
    """
    if len(points) < 2:
        return []
    sizes = [t for t in texts if t.form is not TextForm.OTHER and t.plain]
    found = [_around(ink, points, t, across=across) for t in sizes for across in (False, True)]
    return [one for one in found if one is not None]


def _around(ink: Ink, points: Floats, text: SizeText, *, across: bool) -> tuple[Line, float] | None:
    """Return the line along a number, or across it, between near points on either side."""
    t = text.line
    way = line_of_text(text, across=across)
    half = (t.height if across else t.length) / 2
    rim = half - min(CUT * t.height, half / 2)
    d = points - np.array(t.centre)
    along, aside = d @ [way.ux, way.uy], np.abs(d @ [-way.uy, way.ux])
    near = (aside < IN_LINE * t.height + LEAN * np.abs(along)) & (np.abs(along) < LONGEST_PT)
    before, after = (np.flatnonzero(near & (sign * along > rim)) for sign in (-1.0, 1.0))
    nearest = (side[np.argsort(np.abs(along[side]))][:NEAREST] for side in (before, after))
    pairs = sorted(product(*nearest), key=lambda pair: along[pair[1]] - along[pair[0]])
    for i, j in pairs:
        a, b = (Point(*map(float, points[k])) for k in (i, j))
        far = a.distance(b)
        line = Line(a.x, a.y, (b.x - a.x) / far, (b.y - a.y) / far)
        at, off = line.place(t.centre)
        centred = abs(at - far / 2) < MIDDLE * far and abs(off) < IN_LINE * t.height
        if centred and _shows(ink, line, far, (at - half, at + half), t.height):
            return line, far
    return None


def _shows(ink: Ink, line: Line, far: float, number: tuple[float, float], height: float) -> bool:
    """Whether enough of a line is drawn beside the number in it."""
    sides = [(0.0, number[0] - height / 2), (number[1] + height / 2, far)]
    room = sum(max(b - a, 0.0) for a, b in sides)
    if room < LEAST_PT:
        return True
    _, pieces = ink.on_line(line, beside=BESIDE_PT)
    spans = merge_spans(pieces, 0.3) if len(pieces) else []
    return sum(covered(spans, a, b) for a, b in sides if b > a) > DRAWN * room
