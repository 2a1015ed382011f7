"""Frames ruled so close about figures that they do not stand apart from them.

A frame right beside an extension line hangs together with it on the coarse grid that views are
found on. It is known by its walls: four straight strokes that end at each other's ends, but for
two that the next frames may go on with, with sizes inside and none measured on them, and no other
stroke that begins on them or crosses them, as lines do that belong to an outline.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array
from scipy.sparse.csgraph import connected_components

from audit.dimensions.ink import Ink
from audit.dimensions.ruled_frames import (
    LEAST_PT,
    RIM_PT,
    RIM_SHARE,
    SQUARE_SIN,
    holds,
    is_measured,
)
from audit.geometry import Box
from audit.records import Dimension

Floats = NDArray[np.float64]
STROKE_PT = 12.0  # a wall is traced in strokes no shorter than that
SAME_PT = 1.5  # across, between strokes of one wall
GAP_PT = 4.0  # along, between them
TOUCH_PT = 1.2  # from a wall to a stroke that begins on it
OTHER_PT = 6.0  # of strokes that may do so; shorter ones are bits of letters and corners
LEAST_JUST = 2  # walls of a frame that go no further; those to the next frames may
MOST_STROKES = 2000  # each way, and
MOST_WALLS = 60  # of them: more are hatching
MOST_SIDES = 12  # upright walls that reach from one level wall to another; more are bars or a table


@dataclass(frozen=True, slots=True)
class _Walls:
    """Walls one way: where they lie across, from where to where along, and their strokes."""

    at: Floats
    low: Floats
    high: Floats
    strokes: tuple[NDArray[np.intp], ...]


def find_walls(ink: Ink, dimensions: Sequence[Dimension]) -> NDArray[np.bool_]:
    """Find the strokes that frames are ruled with.

    Parameters
    ----------
    ink : Ink
        Level and upright but for what the page is bent.
    dimensions : sequence of Dimension
        In the frame of the ink.

    Returns
    -------
    (n,) bool array
        True for the strokes of the ink that are walls of frames.
    """
    ruled = np.zeros(len(ink), np.bool_)
    if not len(ink) or not dimensions:
        return ruled
    level, upright = _walls(ink, 0), _walls(ink, 1)
    if level is None or upright is None:
        return ruled
    inside = [Box.around([*(e.point for e in d.ends), *d.line]) for d in dimensions]
    frames = []
    for box, strokes in _rectangles(level, upright):
        held = any(holds(box, b) for b in inside)
        if held and not any(is_measured(box, d) for d in dimensions):
            frames.append((box, strokes))
            ruled[strokes] = True
    for box, strokes in frames:
        if _is_touched(box, ink, ruled):
            ruled[strokes] = False
    return ruled


def _walls(ink: Ink, way: int) -> _Walls | None:
    """Join strokes that lie in one line; `way` 0 for level ones, 1 for upright ones.

    `None` where there are too many to be walls.
    """
    e = ink.ends
    straight = np.abs(ink.units[:, 1 - way]) < SQUARE_SIN
    which = np.flatnonzero(straight & (ink.lengths > STROKE_PT))
    if len(which) > MOST_STROKES:
        return None
    at = (e[which, 1 - way] + e[which, 3 - way]) / 2
    low = np.minimum(e[which, way], e[which, 2 + way])
    high = np.maximum(e[which, way], e[which, 2 + way])
    same = np.abs(at[:, None] - at[None, :]) < SAME_PT
    same &= np.maximum(low[:, None], low[None, :]) - np.minimum(high[:, None], high[None, :]) < (
        GAP_PT
    )
    count, of = connected_components(csr_array(same), directed=False)
    groups = [np.flatnonzero(of == k) for k in range(count)]
    groups = [g for g in groups if high[g].max() - low[g].min() > LEAST_PT]
    if len(groups) > MOST_WALLS:
        return None
    return _Walls(
        at=np.array([float(np.average(at[g], weights=high[g] - low[g])) for g in groups]),
        low=np.array([float(low[g].min()) for g in groups]),
        high=np.array([float(high[g].max()) for g in groups]),
        strokes=tuple(which[g] for g in groups),
    )


def _rectangles(level: _Walls, upright: _Walls) -> Iterator[tuple[Box, NDArray[np.intp]]]:
    """Find four walls each that reach each other, two of them or more just so far."""
    for top, low in combinations(np.argsort(level.at).tolist(), 2):
        y0, y1 = float(level.at[top]), float(level.at[low])
        if y1 - y0 < LEAST_PT:
            continue
        slack = _slack(y1 - y0)
        sides = np.flatnonzero((upright.low < y0 + slack) & (upright.high > y1 - slack))
        if len(sides) > MOST_SIDES:
            continue
        for left, right in combinations(sides[np.argsort(upright.at[sides])].tolist(), 2):
            box = Box(float(upright.at[left]), y0, float(upright.at[right]), y1)
            rows = [_reach(level, k, (box.x0, box.x1)) for k in (top, low)]
            columns = [_reach(upright, k, (y0, y1)) for k in (left, right)]
            ends = [r for r in (*rows, *columns) if r is not None]
            if box.width >= LEAST_PT and len(ends) == 4 and sum(ends) >= LEAST_JUST:
                walls = [level.strokes[k] for k in (top, low)]
                walls += [upright.strokes[k] for k in (left, right)]
                yield box, np.concatenate(walls)


def _reach(walls: _Walls, k: int, ends: tuple[float, float]) -> bool | None:
    """Whether a wall ends just at two places; `None` where it does not reach them."""
    slack = _slack(ends[1] - ends[0])
    before, after = ends[0] - float(walls.low[k]), float(walls.high[k]) - ends[1]
    if min(before, after) < -slack:
        return None
    return max(before, after) < slack


def _slack(side: float) -> float:
    return RIM_PT + RIM_SHARE * side


def _is_touched(box: Box, ink: Ink, ruled: NDArray[np.bool_]) -> bool:
    """Whether some other stroke begins on the walls of a frame, or crosses them."""
    others = ink.ends[~ruled & (ink.lengths > OTHER_PT)]
    x, y = others[:, [0, 2]], others[:, [1, 3]]
    out = np.maximum(
        np.maximum(box.x0 - x, x - box.x1), np.maximum(box.y0 - y, y - box.y1)
    )  # below 0 inside
    near = np.abs(out) < TOUCH_PT
    crosses = (out.min(axis=1) < 0) & (out.max(axis=1) > 0)
    return bool((near.any(axis=1) | crosses).any())
