"""Texts of a picture, made ready for giving out: their direction, and signs that were lost.

A short text on an arc is found roughly level although it leans with the arc. An angle may be read
without its °, a diameter without its Ø, an R as a figure: a number means a length to the
assignment, and at a leader an item number. One that is written along a leader to a circle, or a
whole number on the arc of an angle that has no other text, may be any size: which, the drawing
says. The number itself plays no part.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import replace

from audit.dimensions.candidates import ArcPlace, Candidate
from audit.dimensions.texts import SizeText, TextForm
from audit.geometry import Box, Point, project_onto
from audit.geometry.box_index import BoxIndex
from audit.networks.page import Terminator
from audit.reading import TextLine
from audit.records import DimensionKind

WHOLE = re.compile(r"^\d{2,3}$")  # a single stroke is too often read as a 1
_INCHES = re.compile("[/⁄'\"]")  # no angle has a fraction bar or a mark of feet or inches
DIAMETER_SIGN, DEGREE_SIGN = re.compile("[Ø⌀∅]"), re.compile("[°º]")
DRAWN = 0.8  # strength of an angle whose arc is drawn between its legs, where its text stands
SURE = 0.75  # strength of a candidate that may claim such a text
ASIDE = 2.0  # letter heights between a text and its leader or arc
ALONG_DEG = 10.0  # between a text and the leader it is written along
LEVEL_DEG = 4.0
SAME_DEG = 3.0  # between a text and the leader it was cut along
SQUARE_DEG = 8.0  # item numbers stand level, or upright at most
MOST_LEAN_DEG = 50.0  # that a short text's rough direction may be off
SHORT = 2.6  # times as long as high
HEAD_SCORE = 0.6  # of a terminator that was taken for a text
AT_HEAD = 0.4  # letter heights
SINGLE = 1.7  # times as long as high: a text of one or two letters
PART, PART_RIM = 0.6, 0.3  # of a longer text's length; of its height, past its ends
BEYOND = 2.5  # letter heights past the end of a leader or an arc


def without_heads_as_texts(
    texts: Sequence[SizeText], terminators: Sequence[Terminator]
) -> list[SizeText]:
    """Set aside what was read out of an arrowhead, dot or ring."""
    sure = [t.point for t in terminators if t.score >= HEAD_SCORE]

    def is_head(line: TextLine) -> bool:
        centre, near = line.centre, AT_HEAD * line.height
        return line.length < SINGLE * line.height and any(p.distance(centre) < near for p in sure)

    return [replace(t, form=TextForm.OTHER, plain=False) if is_head(t.line) else t for t in texts]


def without_fragments(texts: Sequence[SizeText]) -> list[SizeText]:
    """Set aside what is a part of a longer text: it was cut out twice, whole and in bits."""
    whole = [t for t in texts if any(letter.isdigit() for letter in t.line.text)]
    index = BoxIndex([Box.around(w.line.quad) for w in whole])
    rim = PART_RIM * max((w.line.height for w in whole), default=0.0) + 1e-6
    near = (index.meeting(Box.around([t.line.centre]), aside=rim, above=rim) for t in texts)
    return [
        replace(t, form=TextForm.OTHER, plain=False)
        if any(_is_part(t, whole[k]) for k in places)
        else t
        for t, places in zip(texts, near, strict=True)
    ]


def _is_part(text: SizeText, whole: SizeText) -> bool:
    """Whether a text lies within a longer one, its middle well inside."""
    if text.line.length > PART * whole.line.length:
        return False
    a, b, _, d = whole.line.quad
    p, rim = text.line.centre, PART_RIM * whole.line.height
    along, _ = project_onto(p, a, b) if a != b else (-rim, 0.0)
    down, _ = project_onto(p, a, d) if a != d else (-rim, 0.0)
    return -rim < along < whole.line.length + rim and 0.0 < down < whole.line.height


def keep_along_leaders(
    texts: Sequence[SizeText], cut: Sequence[TextLine], candidates: Sequence[Candidate]
) -> list[SizeText]:
    """Leave texts in the direction they were cut in where that is a leader's own.

    Parameters
    ----------
    texts : sequence of SizeText
        As turned to the nearest lines, which may be hatching or a tick.
    cut : sequence of TextLine
        The same as they were cut.
    candidates : sequence of Candidate
    """
    leaders = [c for c in candidates if c.radius_ends and c.strength >= SURE]
    return [
        replace(text, line=line)
        if text.line.angle != line.angle
        and any(_along(c, replace(text, line=line), most_deg=SAME_DEG) for c in leaders)
        else text
        for text, line in zip(texts, cut, strict=True)
    ]


def lean_on_arcs(texts: Sequence[SizeText], candidates: Sequence[Candidate]) -> list[SizeText]:
    """Turn short texts that stand on the arc of an angle the way the arc runs there."""
    arcs = [
        a
        for c in candidates
        if c.kind is DimensionKind.ANGLE and c.strength >= DRAWN
        for a in c.arcs
    ]
    return [_leaning(text, arcs) for text in texts]


def _leaning(text: SizeText, arcs: Sequence[ArcPlace]) -> SizeText:
    line = text.line
    if line.length > SHORT * line.height or (
        text.form is TextForm.LENGTH and _INCHES.search(line.text)
    ):
        return text
    for arc in arcs:
        if not stands_on_arc(arc, text):
            continue
        p = line.centre
        tangent = math.degrees(math.atan2(arc.centre.y - p.y, p.x - arc.centre.x)) - 90.0
        off = (tangent - line.angle + 90.0) % 180.0 - 90.0
        if LEVEL_DEG < abs(off) < MOST_LEAN_DEG:
            return replace(text, line=replace(line, angle=line.angle + off))
    return text


def free_forms(texts: Sequence[SizeText], candidates: Sequence[Candidate]) -> list[SizeText]:
    """Call texts unreadable whose sign may have been lost, so that their place decides."""
    texts = [_of_two_minds(t) for t in texts]
    strong = [c for c in candidates if c.strength >= SURE]
    angles = [c for c in strong if c.kind is DimensionKind.ANGLE]
    leaders = [c for c in strong if c.radius_ends]
    freed = {
        k
        for c in angles
        if not any(t.form is TextForm.ANGLE and _on_arcs(c, t) for t in texts)
        for k, t in enumerate(texts)
        if _is_bare(t) and _on_arcs(c, t)
    }
    signed = (TextForm.RADIUS, TextForm.DIAMETER)
    freed |= {
        k
        for c in leaders
        if not any(t.form in signed and _along(c, t) for t in texts)
        for k, t in enumerate(texts)
        if t.form is TextForm.LENGTH and _is_slanted(t) and _along(c, t)
    }
    return [replace(t, form=TextForm.UNREADABLE) if k in freed else t for k, t in enumerate(texts)]


def _of_two_minds(text: SizeText) -> SizeText:
    """Call a text with the signs of a diameter and of an angle unreadable."""
    read = text.line.text
    both = DIAMETER_SIGN.search(read) and DEGREE_SIGN.search(read)
    return replace(text, form=TextForm.UNREADABLE) if both else text


def _is_bare(text: SizeText) -> bool:
    return text.form is TextForm.LENGTH and WHOLE.match(text.line.text.strip()) is not None


def _is_slanted(text: SizeText) -> bool:
    return abs((text.line.angle + 45.0) % 90.0 - 45.0) > SQUARE_DEG


def _on_arcs(candidate: Candidate, text: SizeText) -> bool:
    return any(stands_on_arc(arc, text) for arc in candidate.arcs)


def stands_on_arc(arc: ArcPlace, text: SizeText) -> bool:
    """Whether a text stands on an arc or near it."""
    p, h = text.line.centre, text.line.height
    far = p.distance(arc.centre)
    turn = math.degrees(math.atan2(arc.centre.y - p.y, p.x - arc.centre.x))
    room = math.degrees(BEYOND * h / max(arc.radius, h))
    within = (turn - arc.start + room) % 360.0 <= arc.sweep + 2 * room
    return within and abs(far - arc.radius) < ASIDE * h + text.line.length / 2


def _along(candidate: Candidate, text: SizeText, *, most_deg: float = ALONG_DEG) -> bool:
    """Whether a text is written along one of the lines of a leader."""
    turn = math.radians(text.line.angle)
    way = (math.cos(turn), -math.sin(turn))
    h, p = text.line.height, Point(*text.line.centre)
    for place in candidate.places:
        along, aside = place.line.place(p)
        room = text.line.length / 2 + BEYOND * h
        if (
            place.line.turned_from(*way) < most_deg
            and abs(aside) < ASIDE * h
            and place.low - room < along < place.high + room
        ):
            return True
    return False
