"""Slanted texts of a picture, turned to the line they were written along.

The network's idea of a slanted direction is rough, and a short text's shape tells little; but such
text is written along a dimension line or leader, whose direction is known exactly. A short text
with no such line stands straight: a low figure at one end and an inch mark at the other made it
look slanted. And what was taken for straight is not, where a slanting line is broken for it: an
upright line through both made it look so.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from audit.dimensions.ink import Ink, Line
from audit.geometry import Box, Point
from audit.reading import TextLine

LEVEL_DEG = 3.0  # text nearer to a quarter turn of upright is not slanted
NEAR_HEIGHTS = 2.2  # between a text's middle and the line it is written along, beside its half
TURN_DEG = 20.0  # how far off a rough direction may be
SHORT_TURN_DEG = 40.0  # the same of a text hardly longer than high
SHORT = 1.8  # times as long as high
LONG = 3.5  # the same of one whose shape shows its direction
NEARLY_DEG = 6.0  # between a quarter turn and a short line, whose direction is as rough
STRAIGHT = 1.2  # what it costs a short text to be no slanted one: as much as 12 degrees off
MIN_LINE_HEIGHTS = 1.2
GAP_HEIGHTS = 2.3  # between a text and a line broken for it, or that it stands beyond
IN_LINE = 0.4  # letter heights from the middle of a text to the line that is broken for it
BESIDE_PT = 0.4  # how much further than usual a piece of that may lie off it


def turn_texts(
    texts: Sequence[TextLine], ink: Ink, *, upright: float
) -> tuple[list[TextLine], list[TextLine]]:
    """Turn texts as the lines about them say.

    Parameters
    ----------
    texts : sequence of TextLine
        In pt, as they were cut.
    ink : Ink
    upright : float
        Direction in which level text runs, degrees.

    Returns
    -------
    tuple of (list of TextLine, list of TextLine)
        Straight ones turned to slanting lines that are broken for them; and slanted ones as well,
        to the nearest line about their way.
    """
    broken = turn_to_broken(texts, ink, upright=upright)
    return broken, align_slanted(broken, ink, upright=upright)


def align_slanted(texts: Sequence[TextLine], ink: Ink, *, upright: float) -> list[TextLine]:
    """Turn slanted texts to the nearest line about their way; short ones without one straight."""
    return [_aligned(text, ink, upright) if _is_slanted(text, upright) else text for text in texts]


def turn_to_broken(texts: Sequence[TextLine], ink: Ink, *, upright: float) -> list[TextLine]:
    """Turn straight texts to slanting lines that are broken for them, where no straight one is."""
    return [text if _is_slanted(text, upright) else _as_broken(text, ink) for text in texts]


def _as_broken(text: TextLine, ink: Ink) -> TextLine:
    turn = math.radians(text.angle)
    way = math.cos(turn), -math.sin(turn)
    lines = _broken_lines(text, ink)
    if not lines or any(min(t, 90.0 - t) < LEVEL_DEG for t in (k.turned_from(*way) for k in lines)):
        return text
    return _turned(text, lines[0], way) if lines[0].turned_from(*way) < SHORT_TURN_DEG else text


def _broken_lines(text: TextLine, ink: Ink) -> list[Line]:
    """Lines that are drawn up to a text on both sides, and not through it."""
    reach = text.length / 2 + GAP_HEIGHTS * text.height
    found = []
    for i in ink.near(text.centre, reach):
        line = ink.line_of(i)
        aside = abs(line.place(text.centre)[1])
        if ink.curved[i] or ink.lengths[i] < MIN_LINE_HEIGHTS * text.height:
            continue
        if aside < IN_LINE * text.height and _parts_around(ink, line, text.centre, reach):
            found.append(line)
    return found


def _parts_around(ink: Ink, line: Line, p: Point, reach: float) -> bool:
    """Whether pieces of a line end on both sides of a place, near it, and none covers it."""
    _, pieces = ink.on_line(line, beside=BESIDE_PT)
    at, _ = line.place(p)
    before, behind = pieces[pieces[:, 1] < at, 1], pieces[pieces[:, 0] > at, 0]
    through = (pieces[:, 0] <= at) & (pieces[:, 1] >= at)
    if through.any() or not len(before) or not len(behind):
        return False
    return at - float(before.max()) < reach and float(behind.min()) - at < reach


def _is_slanted(text: TextLine, upright: float) -> bool:
    return abs((text.angle - upright + 45.0) % 90.0 - 45.0) > LEVEL_DEG


def _aligned(text: TextLine, ink: Ink, upright: float) -> TextLine:
    turn = math.radians(text.angle)
    ux, uy = math.cos(turn), -math.sin(turn)
    allowed = SHORT_TURN_DEG if text.length < SHORT * text.height else TURN_DEG
    reach = NEAR_HEIGHTS * text.height
    best: tuple[float, Line] | None = None
    straight = _straight(text, upright)
    short = text.length < LONG * text.height
    if short:
        best = (STRAIGHT + straight.turned_from(ux, uy) / 10.0, straight)
    for i in ink.near(text.centre, reach + text.length / 2):
        length = float(ink.lengths[i])
        if ink.curved[i] or length < MIN_LINE_HEIGHTS * text.height:
            continue
        line = ink.line_of(i)
        off = line.turned_from(ux, uy)
        along, aside = line.place(text.centre)
        gap = max(-along, along - length, 0.0) - text.length / 2
        if off > allowed or abs(aside) > reach or gap > GAP_HEIGHTS * text.height:
            continue
        cost = off / 10.0 + abs(aside) / text.height + max(gap, 0.0) / text.height
        if best is None or cost < best[0]:
            best = (cost, line)
    if best is None:
        return text
    nearly = short and best[1].turned_from(straight.ux, straight.uy) < NEARLY_DEG
    return _turned(text, straight if nearly else best[1], (ux, uy))


def _straight(text: TextLine, upright: float) -> Line:
    """Return the line through a text in the nearest quarter turn of upright."""
    angle = math.radians(upright + 90.0 * round((text.angle - upright) / 90.0))
    return Line(text.centre.x, text.centre.y, math.cos(angle), -math.sin(angle))


def _turned(text: TextLine, line: Line, way: tuple[float, float]) -> TextLine:
    sign = 1.0 if line.ux * way[0] + line.uy * way[1] > 0 else -1.0
    ux, uy = sign * line.ux, sign * line.uy
    half, high = text.length / 2, text.quad[0].distance(text.quad[3]) / 2
    c = text.centre

    def corner(along: float, down: float) -> Point:
        return Point(c.x + along * ux - down * uy, c.y + along * uy + down * ux)

    quad = (corner(-half, -high), corner(half, -high), corner(half, high), corner(-half, high))
    angle = math.degrees(math.atan2(-uy, ux))
    return replace(text, quad=quad, box=Box.around(quad), angle=angle)
