"""Weak arrowheads on a sheet that ends its dimension lines in dots or ticks throughout.

Who draws keeps to one kind of end (common practice; ISO 129-1 asks for it too): a small dot that a
scan left few px of looks like a head to the network, but not among forty dots that are sure.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from audit.dimensions.ink import Ink
from audit.geometry import Point
from audit.networks.page import Terminator

SURE, FEW = 0.6, 8  # score of ends that show the habit, and how many there must be
MOSTLY = 0.85  # share of them that are of one kind
NEAR_PT, LEAST_PT = 2.2, 4.0  # from the end to the lines that cross there, and their least length
SQUARELY_DEG, ALONG_DEG = 75.0, 15.0  # to the head's direction; leaders mostly meet edges aslant


def as_sheet_ends(terminators: Sequence[Terminator], ink: Ink) -> list[Terminator]:
    """Take weak arrowheads on crossings for dots where the sheet's sure ends are dots or ticks.

    Parameters
    ----------
    terminators : sequence of Terminator
        In pt.
    ink : Ink

    Returns
    -------
    list of Terminator
        In the same order.
    """
    sure = [t for t in terminators if t.score >= SURE]
    even = sum(t.direction is None for t in sure)
    if len(sure) < FEW or even < MOSTLY * len(sure):
        return list(terminators)
    return [
        replace(t, direction=None)
        if t.direction is not None and t.score < SURE and _is_crossed(ink, t.point, t.direction)
        else t
        for t in terminators
    ]


def _is_crossed(ink: Ink, p: Point, direction: float) -> bool:
    """Whether a line runs along a head at its tip, and another squarely across it."""
    turn = math.radians(direction)
    turns = [
        line.turned_from(math.cos(turn), -math.sin(turn))
        for i in ink.near(p, NEAR_PT)
        for line in [ink.line_of(i)]
        if not ink.curved[i] and ink.lengths[i] > LEAST_PT and abs(line.place(p)[1]) < NEAR_PT
    ]
    return max(turns, default=0.0) > SQUARELY_DEG and min(turns, default=90.0) < ALONG_DEG
