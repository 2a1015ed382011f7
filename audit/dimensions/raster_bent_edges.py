"""Edges drawn by hand, followed from piece to piece: each of them leans a little.

A long line by hand bows, or has a kink where the pen was set down anew, and is traced in pieces of
which none runs along all of it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from audit.dimensions.ink import Ink, Line
from audit.dimensions.raster_led_on import fit_strokes
from audit.geometry import Point

APART_PT = 1.6  # between two pieces of one edge
BEND_DEG = 8.0  # of a piece from the first one, as far as corners may be off square
FURTHER_PT = 1.0  # by which a piece must lead on
MOST_STEPS = 16  # pieces to either side


@dataclass(frozen=True, slots=True)
class BentEdge:
    """The line fitted through the strokes of an edge, and from where to where they reach on it."""

    line: Line
    low: float
    high: float
    strokes: frozenset[int]


def follow_edge(ink: Ink, stroke: int) -> BentEdge:
    """Follow an edge from one of its strokes on to both sides.

    Parameters
    ----------
    ink : Ink
    stroke : int

    Returns
    -------
    BentEdge
    """
    first = ink.line_of(stroke)
    found = [stroke]
    for end, sign in zip(ink.end_points(stroke), (-1.0, 1.0), strict=True):
        way = Line(end.x, end.y, sign * first.ux, sign * first.uy)
        for _ in range(MOST_STEPS):
            step = _next(ink, way, found)
            if step is None:
                break
            found.append(step[0])
            way = Line(*step[1], way.ux, way.uy)
    line = fit_strokes(ink, np.array(found, np.intp), first) if len(found) > 1 else first
    at = [line.place(p)[0] for i in found for p in ink.end_points(i)]
    return BentEdge(line, min(at), max(at), frozenset(found))


def _next(ink: Ink, way: Line, found: list[int]) -> tuple[int, Point] | None:
    """Return the stroke that goes on from the start of a way, about along it, and where it ends."""
    best: tuple[float, int, Point] | None = None
    for i in ink.straight_near((way.x, way.y), APART_PT, longer=FURTHER_PT).tolist():
        line = ink.line_of(i)
        turn = line.turned_from(way.ux, way.uy)
        if i in found or turn > BEND_DEG or not _reaches(ink, i, Point(way.x, way.y)):
            continue
        further, end = max((way.place(p)[0], p) for p in ink.end_points(i))
        if further > FURTHER_PT and (best is None or turn < best[0]):
            best = (turn, i, end)
    return None if best is None else best[1:]


def _reaches(ink: Ink, i: int, p: Point) -> bool:
    """Whether a stroke begins at a place, or passes it."""
    along, aside = ink.line_of(i).place(p)
    past = max(-along, along - float(ink.lengths[i]), 0.0)
    return past < APART_PT and abs(aside) < APART_PT
