"""Lines from tick to tick or dot to dot of a picture, where long dashes lead from one to the other.

Dashes tell the direction of their line none too well, and on warped paper no two lie quite in line.
Which way marks of a picture measure is known: of two that measure along the line between them, and
have ink all the way, that is the dimension line.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from audit.dimensions.ink import Floats, Ink, Line, covered, merge_spans
from audit.dimensions.terminators import Mark

MIN_PT = 40.0  # 14 mm: in a shorter line a dash or two tell enough
TURNED = math.sin(math.radians(1.5))  # of where a mark measures to, from the next one's way there
ASIDE_PT = 0.8  # that a dash may lie off it more than usual
DASH = 0.5  # share of it that its longest piece fills at most: a longer one tells enough
DRAWN = 0.45  # share of it that is drawn: dashes and a number leave as much
FILLED_PT = (6.0, 110.0)  # between marks whose number fills the room; 39 mm: more shows a line
STRAY_PT = 1.6  # that of two such marks one may lie off the way of the other
SEEN = 1.0  # how sure a mark is that was drawn, not seen on a picture


def lines_between_aimed(ink: Ink, marks: Sequence[Mark]) -> list[tuple[Line, float]]:
    """Lines between marks that measure along them.

    Parameters
    ----------
    ink : Ink
    marks : sequence of Mark

    Returns
    -------
    list of (Line, float)
        With each comes how far beside it its pieces may lie, pt.
    """
    return [
        (line, ASIDE_PT)
        for line, far in _between(marks)
        for _, pieces in [ink.on_line(line, beside=ASIDE_PT)]
        if _is_dashed(pieces, far)
    ]


def lines_filled(marks: Sequence[Mark]) -> list[tuple[Line, float]]:
    """Lines between marks that measure along them, so short that a number may fill the room.

    Parameters
    ----------
    marks : sequence of Mark

    Returns
    -------
    list of (Line, float)
        As `lines_between_aimed`.
    """
    least, most = FILLED_PT
    ways = _between(marks, least=least, stray=STRAY_PT)
    return [(line, ASIDE_PT) for line, far in ways if far < most]


def _is_dashed(pieces: Floats, far: float) -> bool:
    """Whether pieces fill most of a line, none of them enough to tell its direction."""
    longest = float((pieces[:, 1] - pieces[:, 0]).max(initial=0.0))
    return longest < DASH * far and covered(merge_spans(pieces, 0.3), 0.0, far) > DRAWN * far


def _between(
    marks: Sequence[Mark], *, least: float = MIN_PT, stray: float = 0.0
) -> Iterator[tuple[Line, float]]:
    """Give the line from each mark to the next one that it measures to, and its length."""
    aimed = [m for m in marks if not m.is_arrow and (m.ux or m.uy) and m.sure < SEEN]
    points = np.array([m.point for m in aimed], float).reshape(-1, 2)
    ways = np.array([(m.ux, m.uy) for m in aimed], float).reshape(-1, 2)
    for k, mark in enumerate(aimed):
        step = points - points[k]
        far = np.maximum(np.hypot(step[:, 0], step[:, 1]), 1e-9)
        ahead = step @ np.array([mark.ux, mark.uy])
        own = np.abs(step @ np.array([-mark.uy, mark.ux]))
        its = np.abs(step[:, 0] * ways[:, 1] - step[:, 1] * ways[:, 0])
        fits = (far > least) & (np.maximum(own, its) < np.maximum(TURNED * far, stray))
        for side in (fits & (ahead > 0.0), fits & (ahead < 0.0)):
            if side.any():
                to = int(np.argmin(np.where(side, far, math.inf)))
                ux, uy = (float(v) for v in step[to] / far[to])
                yield Line(mark.point.x, mark.point.y, ux, uy), float(far[to])
