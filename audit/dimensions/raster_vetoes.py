"""Texts that stand near a line or an arc of a raster and yet are not its size.

What a text stands nearest to need not be what it names: the hole that a leader points at may not
have been found. Such a text is better left without a dimension than given to the next line.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import replace

from audit.dimensions.assignment import Match
from audit.dimensions.candidates import Candidate
from audit.dimensions.ink import Ink
from audit.dimensions.texts import SizeText, TextForm
from audit.geometry import Point
from audit.networks.page import Terminator
from audit.records import DimensionKind

SHORT_ARC_DEG = 150.0  # of a hole that is worn or crossed by its centre lines more is traced
SHOULDER_PT = (3.0, 40.0)  # length of the stretch of a leader at its text
SIDE_HEIGHTS = (-0.4, 1.2)  # how far from a text's side its shoulder ends
LEVEL_DEG = 8.0
KNEE_PT = 2.0  # between the shoulder and the leader's slanting part
KNEE_DEG = (15.0, 82.0)
MIN_SLANT_PT = 8.0
TIP_PT, TIP_SCORE = 4.0, 0.3
# Dashes of centre lines are read as letters, and their lines look like leaders: what is doubtful
# and holds neither a figure nor a sign is no size of a circle, nor of an angle about its centre.
_SIZE = re.compile(r"[\dRØ⌀∅φDO°º½¼¾⅛⅜⅝⅞]", re.IGNORECASE)


def without_vetoed(
    matches: Sequence[Match],
    candidates: Sequence[Candidate],
    texts: Sequence[SizeText],
    ink: Ink,
    terminators: Sequence[Terminator],
) -> list[Match]:
    """Take texts from dimensions that they cannot be the sizes of.

    Parameters
    ----------
    matches : sequence of Match
    candidates : sequence of Candidate
    texts : sequence of SizeText
        In pt, as the candidates.
    ink : Ink
    terminators : sequence of Terminator
        All the network's, in pt.

    Returns
    -------
    list of Match
        In the same order; those that lost their text have none.
    """
    return [
        replace(m, text=-1)
        if m.text >= 0 and _is_vetoed(candidates[m.candidate], texts[m.text], ink, terminators)
        else m
        for m in matches
    ]


def _is_vetoed(
    candidate: Candidate, text: SizeText, ink: Ink, terminators: Sequence[Terminator]
) -> bool:
    curved = candidate.radius_ends or candidate.kind is DimensionKind.ANGLE
    if curved and text.form is TextForm.UNREADABLE:
        return _SIZE.search(text.line.text) is None
    if text.form not in (TextForm.DIAMETER, TextForm.RADIUS):
        return False
    if candidate.radius_ends:
        # a diameter is printed at a whole circle: a short arc beside it is something else
        return text.form is TextForm.DIAMETER and (candidate.sweep or 360.0) < SHORT_ARC_DEG
    return not candidate.leader and ends_a_leader(text, ink, terminators)


def ends_a_leader(text: SizeText, ink: Ink, terminators: Sequence[Terminator]) -> bool:
    """Whether a bent leader with an arrowhead leads to one of a text's sides.

    Parameters
    ----------
    text : SizeText
    ink : Ink
    terminators : sequence of Terminator
    """
    t = text.line
    turn = math.radians(t.angle)
    ux, uy = math.cos(turn), -math.sin(turn)
    for sign in (1.0, -1.0):
        side = t.centre.moved(sign * ux * t.length / 2, sign * uy * t.length / 2)
        for knee, own in _shoulders(ink, side, (sign * ux, sign * uy), t.height):
            if any(
                other.distance(tip.point) < TIP_PT
                for other in _slants_from(ink, knee, own)
                for tip in terminators
                if tip.score >= TIP_SCORE
            ):
                return True
    return False


def _shoulders(
    ink: Ink, side: Point, out: tuple[float, float], height: float
) -> list[tuple[Point, int]]:
    """Far ends of short strokes that lead straight away from a text's side, with their numbers."""
    found = []
    for i in ink.near(side, SIDE_HEIGHTS[1] * height):
        line = ink.line_of(i)
        short = SHOULDER_PT[0] <= ink.lengths[i] <= SHOULDER_PT[1]
        if not short or ink.curved[i] or line.turned_from(*out) > LEVEL_DEG:
            continue
        ends = ink.end_points(i)
        places = [(p.x - side.x) * out[0] + (p.y - side.y) * out[1] for p in ends]
        near, far = sorted(range(2), key=lambda k: places[k])
        aside = abs(line.place(side)[1])
        low, high = (v * height for v in SIDE_HEIGHTS)
        if low < places[near] < high and aside < 0.6 * height:
            found.append((ends[far], i))
    return found


def _slants_from(ink: Ink, knee: Point, own: int) -> list[Point]:
    """Far ends of slanting strokes that begin where a shoulder ends."""
    found = []
    shoulder = ink.line_of(own)
    for i in ink.near(knee, KNEE_PT):
        if i == own or ink.curved[i] or ink.lengths[i] < MIN_SLANT_PT:
            continue
        turn = shoulder.turned_from(*map(float, ink.units[i]))
        if not KNEE_DEG[0] < turn < KNEE_DEG[1]:
            continue
        near, far = sorted(ink.end_points(i), key=knee.distance)
        if near.distance(knee) < KNEE_PT:
            found.append(far)
    return found
