"""Dashed extension lines under arrowheads, whose dashes are too short to be traced as strokes.

At 150 dpi the dashes of an old plate's extension lines are ten px long, and the last of them
lies under the head. Ink on and off along one straight line through a tip, square to its arrow, is
such a line.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from audit.dimensions.ink import Ink, Line
from audit.dimensions.raster_ink import darkness
from audit.dimensions.terminators import Mark
from audit.geometry import Point
from audit.networks.page import PageMaps

Floats = NDArray[np.float64]

REACH_PT, STEP_PT = 15.0, 0.35  # 5 mm: three dashes
HEAD_PT = 2.6  # on either side of the tip, where its head has ink of its own
ASIDE_PT, PROFILE_PT = 1.4, 0.25  # across the line: how far is looked, and how finely
PAPER_PT = 1.9  # from the middle of a thin line to where there is paper
INK = 77  # of 255
DRAWN = 0.45  # share of a side that dashes ink at least; gaps are half a dash or so
BARE = 0.7  # share of what is inked that has paper on both sides: an edge may meet it
LEAST = 12  # places that fix a line
OFF_PT, STRAY_PT, SLOPE = 0.8, 0.3, 0.06  # of the fitted line: at the tip, its scatter, its lean
CROSSED_PT, CROSSED_SIN = 2.6, 0.5  # a stroke so near the tip, turned so far, is what it stands on


def find_dashes(
    ink: Ink, heads: Sequence[Mark], maps: PageMaps, *, px_per_pt: float
) -> list[tuple[Point, Point]]:
    """Find the dashed lines that arrowheads stand on, where none was traced.

    Parameters
    ----------
    ink : Ink
    heads : sequence of Mark
        Arrowheads, pt.
    maps : PageMaps
        For the ink.
    px_per_pt : float
        Px of the raster that was looked at to a pt.

    Returns
    -------
    list of (Point, Point)
        Ends of each, pt.
    """
    scale = px_per_pt * maps.factor
    found = [_dashes(head, maps, scale) for head in heads if not _stands_on_stroke(ink, head)]
    return [line for line in found if line is not None]


def _stands_on_stroke(ink: Ink, head: Mark) -> bool:
    for i in ink.near(head.point, CROSSED_PT):
        line = ink.line_of(i)
        along, aside = line.place(head.point)
        gap = max(-along, along - float(ink.lengths[i]), 0.0)
        turned = abs(line.ux * head.uy - line.uy * head.ux) > CROSSED_SIN
        if turned and abs(aside) < CROSSED_PT / 2 and gap < CROSSED_PT:
            return True
    return False


def _dashes(head: Mark, maps: PageMaps, scale: float) -> tuple[Point, Point] | None:
    line = Line(head.point.x, head.point.y, -head.uy, head.ux)
    sides = [_side(line, way, maps, scale) for way in (-1.0, 1.0)]
    along = np.concatenate([side[0] for side in sides])
    aside = np.concatenate([side[1] for side in sides])
    if len(along) < LEAST:
        return None
    slope, off = np.polyfit(along, aside, 1)
    stray = float(np.std(aside - slope * along - off))
    if abs(off) > OFF_PT or abs(slope) > SLOPE or stray > STRAY_PT:
        return None
    low, high = min(float(along.min()), 0.0), max(float(along.max()), 0.0)
    return _at(line, low, slope * low + off), _at(line, high, slope * high + off)


def _at(line: Line, along: float, aside: float) -> Point:
    return Point(
        line.x + along * line.ux - aside * line.uy, line.y + along * line.uy + aside * line.ux
    )


def _side(line: Line, way: float, maps: PageMaps, scale: float) -> tuple[Floats, Floats]:
    """Places along one side of a line that thin ink lies at, and how far aside; none if few are."""
    t = way * np.arange(HEAD_PT, REACH_PT, STEP_PT)
    across = np.arange(-ASIDE_PT, ASIDE_PT + 1e-6, PROFILE_PT)
    dark = darkness(line, t[:, None], across[None, :], maps, scale)
    inked = dark.max(axis=1) > INK
    paper = darkness(line, t[:, None], np.array([[-PAPER_PT, PAPER_PT]]), maps, scale).max(axis=1)
    none = np.zeros(0), np.zeros(0)
    if inked.mean() < DRAWN or (paper[inked] <= INK).mean() < BARE:
        return none
    weight = dark[inked].astype(float)
    return t[inked], (weight * across).sum(axis=1) / weight.sum(axis=1)
