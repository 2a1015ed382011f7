"""What a line that was walked along ends on and is crossed by: where its sizes may end.

A dimension line without heads tells its ends by that alone. A line across it counts as its ink
runs, not as it was traced: along a printed rule of squared paper a trace goes on for ever.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from audit.dimensions.crossings import find_crossing
from audit.dimensions.ink import Indices, Ink, Line
from audit.dimensions.lines import MarkedLine, Place
from audit.dimensions.raster_ink_walks import Walk, how_dark, how_far
from audit.geometry import Point
from audit.networks.page import PageMaps
from audit.records import End

ACROSS_DEG = 60.0  # at least, of what crosses a line
BESIDE_PT, ALONG_SINE = 1.6, 0.25  # of the line's own strokes, off it; and 14 degrees
TRACED_PT, REACH_PT, SAME_PT = 3.0, 2.6, 1.2  # least length; gap to the line; of two that are one
LEAST_PT = 4.0  # that what crosses reaches to one side at least
STOP_PT = 5.0  # from where a line stops to what it ends on
CORNER_PT, PAST_PT = 2.0, 14.0  # that an extension line runs past a dimension line; less: a corner
LONG_PT = 5.0  # and that it comes from the other side
DOUBLE_PT, RIM_PT, DRAWN = (2.0, 9.0), 0.8, 0.6  # lines side by side, with paper between them


class Station(NamedTuple):
    """A line across another one: where on that, how far it reaches to either side, its stroke."""

    at: float
    before: float
    after: float
    stroke: int

    @property
    def is_corner(self) -> bool:
        """Whether it hardly runs past the line, as the next side of an outline does."""
        return min(self.before, self.after) < CORNER_PT

    @property
    def is_extension(self) -> bool:
        """Whether it ends just past the line."""
        short, long = sorted((self.before, self.after))
        return CORNER_PT < short < PAST_PT and long > max(short, LONG_PT)


@dataclass(frozen=True, slots=True)
class Stationed:
    """A line with its strokes, what crosses it, and what it ends on at either side."""

    walk: Walk
    strokes: frozenset[int]
    stations: tuple[Station, ...]
    ends: tuple[Station, Station]

    @property
    def corners(self) -> int:
        """How many of its ends are corners."""
        return sum(end.is_corner for end in self.ends)


def own_strokes(ink: Ink, walk: Walk) -> frozenset[int]:
    """Return the strokes that a line was traced in.

    Parameters
    ----------
    ink : Ink
    walk : Walk

    Returns
    -------
    frozenset of int
    """
    which = np.flatnonzero(~ink.curved)
    along, aside = walk.line.places(ink.ends[which].reshape(-1, 2, 2))
    off = np.abs(aside - np.interp(along, walk.along, walk.aside)).max(axis=1)
    u = ink.units[which]
    turned = np.abs(u[:, 0] * walk.line.uy - u[:, 1] * walk.line.ux)
    there = (along.max(axis=1) > -SAME_PT) & (along.min(axis=1) < walk.length + SAME_PT)
    return frozenset(which[(off < BESIDE_PT) & (turned < ALONG_SINE) & there].tolist())


def with_stations(
    ink: Ink,
    walk: Walk,
    strokes: frozenset[int],
    maps: PageMaps,
    scale: float,
    *,
    broken: Callable[[Point], bool],
) -> Stationed | None:
    """Find what crosses a line, and what it ends on.

    Parameters
    ----------
    ink : Ink
        Of the traced raster, in pt.
    walk : Walk
    strokes : frozenset of int
        The line's own.
    maps : PageMaps
        For the ink.
    scale : float
        Px of the maps' ink to a pt.
    broken : callable
        Whether a line that stops at a place is broken there for a number, and goes on behind it.

    Returns
    -------
    Stationed or None
        Nothing where it ends on nothing, or on one thing at both sides.
    """
    found = sorted(_crossing(ink, walk, strokes, maps, scale))
    stations = _without_twins(ink, found)
    first, last = (
        _end_at(stations, stop, way, on=broken(walk.at(stop)))
        for stop, way in ((0.0, 1), (walk.length, -1))
    )
    if first is None or last is None or first.at >= last.at:
        return None
    first, last = _inner(walk, stations, first, 1), _inner(walk, stations, last, -1)
    return Stationed(walk, strokes, tuple(stations), (first, last))


def _crossing(
    ink: Ink, walk: Walk, strokes: frozenset[int], maps: PageMaps, scale: float
) -> Iterator[Station]:
    """Strokes across a line, as dark as it."""
    which, places = _traced_across(ink, walk, strokes)
    line = walk.line
    for i, at in zip(which.tolist(), places.tolist(), strict=True):
        if how_dark(ink.line_of(i), float(ink.lengths[i]), maps, scale) < walk.least:
            continue
        ux, uy = (float(v) for v in ink.units[i])
        sign = 1.0 if line.ux * uy - line.uy * ux > 0 else -1.0
        before, after = (
            how_far(walk.at(at), (s * ux, s * uy), walk.least, maps, scale) for s in (-sign, sign)
        )
        if max(before, after) > LEAST_PT:
            yield Station(at, before, after, i)


def _traced_across(
    ink: Ink, walk: Walk, strokes: frozenset[int]
) -> tuple[Indices, np.ndarray[tuple[int, ...], np.dtype[np.float64]]]:
    """Strokes that cross or reach a line, and where on it."""
    other = ~ink.curved & (ink.lengths > TRACED_PT)
    other[sorted(strokes)] = False
    which = np.flatnonzero(other)
    along, aside = walk.line.places(ink.ends[which].reshape(-1, 2, 2))
    turn = np.arctan2(np.abs(np.diff(aside)), np.abs(np.diff(along)))[:, 0]
    steep = turn > np.radians(ACROSS_DEG)
    which, along, aside = which[steep], along[steep], aside[steep]
    at = along.mean(axis=1)
    for _ in range(2):  # first where it crosses the straight way, then where the ink itself
        off = aside - np.interp(at, walk.along, walk.aside)[:, None]
        at = along[:, 0] + off[:, 0] / (off[:, 0] - off[:, 1]) * (along[:, 1] - along[:, 0])
    gap = np.maximum(np.maximum(off.min(axis=1), -off.max(axis=1)), 0.0)
    near = (gap < REACH_PT) & (at > -STOP_PT) & (at < walk.length + STOP_PT)
    return which[near], at[near]


def _without_twins(ink: Ink, stations: Sequence[Station]) -> list[Station]:
    """Join pieces of one line: the longest one says where it crosses."""
    kept: list[Station] = []
    for one in stations:
        if not kept or one.at - kept[-1].at > SAME_PT:
            kept.append(one)
            continue
        best = max(kept[-1], one, key=lambda s: float(ink.lengths[s.stroke]))
        reach = (max(kept[-1].before, one.before), max(kept[-1].after, one.after))
        kept[-1] = Station(best.at, *reach, best.stroke)
    return kept


def _end_at(stations: Sequence[Station], stop: float, way: int, *, on: bool) -> Station | None:
    """What a line ends on where it stops; where it goes `on` behind a number, the last before."""
    near = [s for s in stations if abs(s.at - stop) < STOP_PT or (on and not s.is_corner)]
    return min(near, key=lambda s: way * (s.at - stop) if on else abs(s.at - stop), default=None)


def _inner(walk: Walk, stations: Sequence[Station], end: Station, way: int) -> Station:
    """Of two lines side by side with paper between them return the inner one."""
    for other in stations if way > 0 else reversed(stations):
        far = way * (other.at - end.at)
        low, high = sorted((other.at, end.at))
        if DOUBLE_PT[0] < far < DOUBLE_PT[1] and walk.drawn(low + RIM_PT, high - RIM_PT) < DRAWN:
            return other
    return end


def ends_between(
    ink: Ink, walk: Walk, strokes: frozenset[int], low: float, high: float
) -> tuple[Line, End, End] | None:
    """Return the straight line between two places of a walk, and what it ends on there.

    Parameters
    ----------
    ink : Ink
    walk : Walk
    strokes : frozenset of int
        The line's own.
    low : float
        Along the walk, pt.
    high : float
        The same of the other place.

    Returns
    -------
    tuple of (Line, End, End) or None
        Nothing where it ends on nothing.
    """
    p, q = walk.at(low), walk.at(high)
    far = max(p.distance(q), 1e-9)
    line = Line(p.x, p.y, (q.x - p.x) / far, (q.y - p.y) / far)
    own = np.array(sorted(strokes), np.intp)
    marked = MarkedLine(
        line=line,
        strokes=own,
        spans=((0.0, far),),
        pieces=np.array([(0.0, far)]),
        places=(),
        width=float(np.median(ink.widths[own])),
    )
    one, two = (find_crossing(ink, marked, Place(along=at)) for at in (0.0, far))
    return None if one is None or two is None else (line, one.end, two.end)
