"""Rings of letters, which are no circles of the part, and centre lines, which are no letters.

The sign of ``Ø 55``, a zero or a six is a ring. The dashes that cross in the middle of a circle
look like a 1 each. A frame with round ends about a number ends in an arc to either side.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from audit.dimensions.text_places import line_of_text
from audit.dimensions.texts import SizeText, TextForm
from audit.geometry import Box
from audit.networks.page import Terminator
from audit.records import Arc

RING = 1.4  # letter heights: the ring of a sign may be larger than its figures
AXIS_PT = 1.5  # that a dash may lie beside its axis
_STROKES = re.compile(r"[1lI|/-]{1,2}")
FRAME = (1.0, 2.6)  # letter heights: how high frames about numbers are
HALF_END_DEG, OUTWARD_DEG = 60.0, 60.0  # of a frame's end that is traced; from the text's way
ASIDE, AT_END = 0.3, 0.7  # letter heights: of its middle from that of the text, and from its end
CLEAR, ON_PT = 0.6, 2.5  # score of a mark that stands there all the same; how near it is
FEWEST = 2  # characters of a text; a lone ring that is read as 0 or O may be a hole


def without_letter_arcs(arcs: Sequence[Arc], texts: Sequence[SizeText]) -> tuple[Arc, ...]:
    """Leave out arcs that stand in a text and are no larger than its letters, and its frame's ends.

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
    return tuple(
        a
        for a in arcs
        if not any(_is_letter(a, text) or _is_frame_end(a, text) for text in lettered)
    )


def _is_letter(arc: Arc, text: SizeText) -> bool:
    small = 2 * arc.radius < RING * text.line.height
    return small and text.line.box.contains(arc.centre)


def without_on_frames(
    terminators: Sequence[Terminator], arcs: Sequence[Arc], texts: Sequence[SizeText]
) -> list[Terminator]:
    """Leave out weak marks where a line meets the round end of its number's frame.

    Parameters
    ----------
    terminators : sequence of Terminator
    arcs : sequence of Arc
        In the frame of the terminators.
    texts : sequence of SizeText
        In the same frame.

    Returns
    -------
    list of Terminator
    """
    ends = [a for a in arcs if any(_is_frame_end(a, text) for text in texts)]
    return [
        t
        for t in terminators
        if t.score >= CLEAR
        or not any(abs(a.centre.distance(t.point) - a.radius) < ON_PT for a in ends)
    ]


def _is_frame_end(arc: Arc, text: SizeText) -> bool:
    """Whether an arc is the round end of a frame about a text, or a part of it.

    Its middle lies at the end of the text, and what goes on inside is the text's own.
    """
    low, high = FRAME
    fits = low * text.line.height < 2 * arc.radius < high * text.line.height
    if arc.is_circle or not fits or arc.sweep < HALF_END_DEG:
        return False
    at, aside = line_of_text(text).place(arc.centre)
    off = abs(at) - text.line.length / 2
    if abs(aside) > ASIDE * text.line.height or abs(off) > AT_END * text.line.height:
        return False
    out = text.line.angle if at > 0 else text.line.angle + 180.0
    return abs((arc.start + arc.sweep / 2 - out + 180.0) % 360.0 - 180.0) < OUTWARD_DEG


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
