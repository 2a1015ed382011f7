"""Rings of letters, which are no circles of the part, and centre lines, which are no letters.

The sign of ``Ø 55``, a zero or a six is a ring. The dashes that cross in the middle of a circle
look like a 1 each.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from audit.dimensions.texts import SizeText, TextForm
from audit.geometry import Box
from audit.records import Arc

RING = 1.4  # letter heights: the ring of a sign may be larger than its figures
AXIS_PT = 1.5  # that a dash may lie beside its axis
_STROKES = re.compile(r"[1lI|/-]{1,2}")
FEWEST = 2  # characters of a text; a lone ring that is read as 0 or O may be a hole


def without_letter_arcs(arcs: Sequence[Arc], texts: Sequence[SizeText]) -> tuple[Arc, ...]:
    """Leave out arcs that stand in a text and are no larger than its letters.

    Parameters
    ----------
    arcs : sequence of Arc
    texts : sequence of SizeText
        In the frame of the arcs.

    Returns
    -------
    tuple of Arc
    """
    lettered = [t for t in texts if len(t.line.text.replace(" ", "")) >= FEWEST]
    return tuple(a for a in arcs if not any(_is_letter(a, text) for text in lettered))


def _is_letter(arc: Arc, text: SizeText) -> bool:
    small = 2 * arc.radius < RING * text.line.height
    return small and text.line.box.contains(arc.centre)


def without_centre_lines_as_texts(texts: Sequence[SizeText], arcs: Sequence[Arc]) -> list[SizeText]:
    """Set aside the dashes of a circle's centre lines that were read as a 1.

    They lie along an axis of the circle, level or upright; a 1 on a line there would stand across
    it.

    Parameters
    ----------
    texts : sequence of SizeText
    arcs : sequence of Arc
        In the frame of the texts.

    Returns
    -------
    list of SizeText
        In the same order; those set aside are no sizes.
    """
    circles = [a for a in arcs if a.is_circle]
    return [
        replace(t, form=TextForm.OTHER, plain=False)
        if _STROKES.fullmatch(t.line.text) and any(_is_dash(t.line.box, c) for c in circles)
        else t
        for t in texts
    ]


def _is_dash(box: Box, circle: Arc) -> bool:
    dx, dy = box.centre.x - circle.centre.x, box.centre.y - circle.centre.y
    long = abs(dy if box.height > box.width else dx)
    aside = abs(dx if box.height > box.width else dy)
    return aside < AXIS_PT and max(box.width, box.height) / 2 < circle.radius > long
