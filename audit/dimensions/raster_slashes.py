"""Which way the slashes of a raster lean to their lines, and what a sheet's habit of it tells.

A slash stands on a dimension line and on an extension line at once. Who draws leans all slashes
one way to the line they end: turned with the sheet, those of an upright line lie as those of a
level one (common practice, no source). On such a sheet the other way tells an extension line.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from audit.dimensions.ink import Ink, Line
from audit.dimensions.terminators import Mark
from audit.geometry import Point
from audit.networks.page import PageMaps

LEANS_DEG = (35.0, 40.0, 45.0, 50.0, 55.0)  # of a slash to its line
FROM_PT, TO_PT, STEP_PT = 1.8, 3.6, 0.3  # of its middle: beyond a dot's rim, within short slashes
INK = 77  # of 255
DRAWN, BARE = 0.85, 0.45  # share of a slash that is ink; and of where none is
NEAR_PT, LEAST_PT = 2.2, 5.0  # from a slash to a line through it, and least length of that
FEW, MOSTLY = 4, 0.7  # slashes of level and of upright lines each that show a habit; share alike


def lean_of(line: Line, p: Point, maps: PageMaps, *, px_per_pt: float) -> int:
    """Tell which way a slash leans to a line.

    Parameters
    ----------
    line : Line
        In pt.
    p : Point
        Middle of the slash.
    maps : PageMaps
        For the ink.
    px_per_pt : float
        Px of the raster to a pt.

    Returns
    -------
    int
        1 where it is turned counter-clockwise from the line, as seen, by about 45 degrees; -1 where
        clockwise; 0 where no slash is seen, or a cross.
    """
    shares = [
        max(_share(line, p, sign * lean, maps, px_per_pt) for lean in LEANS_DEG)
        for sign in (1.0, -1.0)
    ]
    if max(shares) < DRAWN or min(shares) > BARE:
        return 0
    return 1 if shares[0] > shares[1] else -1


def _share(line: Line, p: Point, lean: float, maps: PageMaps, px_per_pt: float) -> float:
    """Share of a slash that is ink, of that half of it which shows less."""
    turn = math.atan2(-line.uy, line.ux) + math.radians(lean)
    t = np.arange(FROM_PT, TO_PT, STEP_PT)
    scale = px_per_pt * maps.factor
    h, w = maps.dark.shape
    halves = []
    for sign in (1.0, -1.0):
        column = ((p.x + sign * t * math.cos(turn)) * scale).astype(int)
        row = ((p.y - sign * t * math.sin(turn)) * scale).astype(int)
        dark = maps.dark[np.clip(row, 0, h - 1), np.clip(column, 0, w - 1)]
        halves.append(float((dark > INK).mean()))
    return min(halves)


def slash_habit(leans: Sequence[tuple[Line, int]]) -> int:
    """Which way the slashes of a sheet lean to their lines, level and upright ones alike.

    Parameters
    ----------
    leans : sequence of (Line, int)
        Of each slash the line it is taken to end, and how it leans to that, as `lean_of` tells.

    Returns
    -------
    int
        1 or -1; 0 where there are few, or no such habit.

    Examples
    --------
    >>> level, upright = Line(0, 0, 1, 0), Line(0, 0, 0, 1)
    >>> slash_habit([(level, 1)] * 4 + [(upright, 1)] * 5 + [(level, -1)])
    1
    >>> slash_habit([(level, 1)] * 4 + [(upright, -1)] * 4)
    0
    """
    level = [lean for line, lean in leans if lean and abs(line.ux) >= abs(line.uy)]
    upright = [lean for line, lean in leans if lean and abs(line.ux) < abs(line.uy)]
    for habit in (1, -1):
        if all(
            own.count(habit) >= FEW and own.count(habit) >= MOSTLY * len(own)
            for own in (level, upright)
        ):
            return habit
    return 0


def aim_by_slash(ink: Ink, mark: Mark, maps: PageMaps, *, px_per_pt: float, habit: int) -> Mark:
    """Aim a slash along the one of two lines through it to which it leans as its sheet's do.

    Parameters
    ----------
    ink : Ink
    mark : Mark
        In pt.
    maps : PageMaps
    px_per_pt : float
        Px of the raster to a pt.
    habit : int
        As `slash_habit` tells it.

    Returns
    -------
    Mark
        As it was where the lines do not tell.
    """
    ways: dict[int, Line] = {}
    for i in ink.near(mark.point, NEAR_PT):
        line = ink.line_of(i)
        along, aside = line.place(mark.point)
        gap = max(-along, along - float(ink.lengths[i]), 0.0)
        if i in mark.strokes or ink.curved[i] or ink.lengths[i] < LEAST_PT:
            continue
        if abs(aside) < NEAR_PT and gap < NEAR_PT:
            ways.setdefault(lean_of(line, mark.point, maps, px_per_pt=px_per_pt), line)
    if habit not in ways or -habit not in ways:
        return mark
    return replace(mark, ux=ways[habit].ux, uy=ways[habit].uy)
