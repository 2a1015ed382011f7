"""Which strokes a number may stand on, beside, in or behind, on a sheet without heads."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

from audit.dimensions.ink import Ink, Line
from audit.dimensions.text_places import line_of_text
from audit.dimensions.texts import SizeText
from audit.geometry import Point

LEVEL_DEG = 7.0  # between a number and its line, both by hand
LEAST_PT, PIECE_PT = 6.0, 3.0  # of a stroke that a number stands on; of one that it breaks
# Letter heights: from a line to the nearer side of a number on it; in it, from its middle; and
# where that goes on, from the number's end.
ON, IN, ROOM = (-0.35, 1.4), 0.45, 2.0
OPPOSITE = 0.6  # of half a number: a stroke on which it stands ends no further off its middle
LONG_PT, LONGER = 40.0, 0.02  # a longer stroke is the likelier line: letter heights to a pt
MOST = 3  # strokes on either side that are worth a look
BEHIND_PT, SHORT_PT = 45.0, (4.0, 70.0)  # to a number behind its line; and the length of that


@dataclass(frozen=True, slots=True)
class Stand:
    """A number on a line: how far off, letter heights, square to its writing or not, on which side.

    `strokes` are of the line, one, or one to either side of the number; `starts` places on them.
    `side` is 0 where the number stands in the line or `behind` it.
    """

    off: float
    strokes: tuple[int, ...]
    starts: tuple[Point, ...]
    across: bool
    side: int = 0
    behind: bool = False


def stands_of(ink: Ink, text: SizeText) -> list[Stand]:
    """Return what a number may stand in or on, the likeliest first, then what it is behind.

    Parameters
    ----------
    ink : Ink
        Of the traced raster, in pt.
    text : SizeText
        The number, in pt.

    Returns
    -------
    list of Stand
    """
    found = []
    for across in (False, True):
        way = line_of_text(text, across=across)
        found += _breaking(ink, text, way, across=across)
        for side in (1, -1):
            found += _standing(ink, text, way, across=across, side=side)
    behind = [
        stand
        for across, side in product((False, True), (1, -1))
        for stand in _behind(ink, text, across=across, side=side)
    ]
    first = sorted(found, key=lambda s: s.off)
    return first + sorted(behind, key=lambda s: s.off)[:MOST]


def _halves(text: SizeText, *, across: bool) -> tuple[float, float]:
    """Half of what a number takes along a way and aside of it, pt."""
    t = text.line
    return (t.height / 2, t.length / 2) if across else (t.length / 2, t.height / 2)


def _level(
    ink: Ink, way: Line, at: Point, radius: float, least: float
) -> Iterator[tuple[int, list[tuple[float, float]]]]:
    """Strokes about along a way near a place of it, with their ends' places on it in order."""
    for i in ink.near(at, radius):
        if ink.curved[i] or ink.lengths[i] < least:
            continue
        if ink.line_of(i).turned_from(way.ux, way.uy) < LEVEL_DEG:
            yield i, sorted(way.place(p) for p in ink.end_points(i))


def _aside_at(ends: list[tuple[float, float]], along: float) -> float:
    """How far off a way a stroke is, led on if need be, at a place along it."""
    (a, s), (b, t) = ends
    return s + (t - s) * (along - a) / max(b - a, 1e-6)


def _standing(ink: Ink, text: SizeText, way: Line, *, across: bool, side: int) -> list[Stand]:
    """Strokes on one side that a number stands on or beside."""
    half, rim = _halves(text, across=across)
    height = text.line.height
    found = []
    for i, ends in _level(ink, way, text.line.centre, half + rim + ON[1] * height, LEAST_PT):
        low, high = ends[0][0], ends[1][0]
        if high < -OPPOSITE * half or low > OPPOSITE * half:
            continue
        along = min(max(0.0, low), high)
        aside = side * _aside_at(ends, along)
        off = aside - rim
        if aside > 0.0 and ON[0] * height < off < ON[1] * height:
            off = (off - LONGER * min(high - low, LONG_PT)) / height
            at = ink.line_of(i).at(ink.line_of(i).place(way.at(along))[0])
            found.append(Stand(off, (i,), (at,), across, side))
    return sorted(found, key=lambda s: s.off)[:MOST]


def _breaking(ink: Ink, text: SizeText, way: Line, *, across: bool) -> list[Stand]:
    """Strokes to either side of a number that breaks their line."""
    half, _ = _halves(text, across=across)
    height = text.line.height
    sides = []
    for side in (1, -1):
        there = Line(way.x, way.y, side * way.ux, side * way.uy)
        near = [
            (ends[0][0], i)
            for i, ends in _level(ink, there, there.at(half), ROOM * height, PIECE_PT)
            if abs(_aside_at(ends, 0.0)) < IN * height
            and abs(ends[0][1]) < IN * height
            and half - IN * height < ends[0][0] < half + ROOM * height
        ]
        if not near:
            return []
        at, i = min(near)
        line = ink.line_of(i)
        sides.append((i, line.at(line.place(there.at(at))[0])))
    (i, p), (j, q) = sides
    return [Stand(0.0, (i, j), (p, q), across)]


def _behind(ink: Ink, text: SizeText, *, across: bool, side: int) -> Iterator[Stand]:
    """Short strokes in line with a number, beyond its end."""
    way = line_of_text(text, across=across)
    there = Line(way.x, way.y, side * way.ux, side * way.uy)
    half, _ = _halves(text, across=across)
    height = text.line.height
    middle = there.at(half + BEHIND_PT / 2)
    for i, ends in _level(ink, there, middle, BEHIND_PT / 2, SHORT_PT[0]):
        gap = ends[0][0] - half
        aside = max(abs(s) for _, s in ends)
        if 0.0 < gap < BEHIND_PT and aside < IN * height and ink.lengths[i] < SHORT_PT[1]:
            at = ink.line_of(i).at(float(ink.lengths[i]) / 2)
            yield Stand(gap / height, (i,), (at,), across, behind=True)
