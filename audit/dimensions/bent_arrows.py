"""Open arrowheads whose two barbs are bent, as TeX and typewriters draw them."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from audit.dimensions.ink import Ink
from audit.geometry import Point

MIN_BARB_PT, MAX_BARB_PT = 1.5, 16.0
MIN_APEX_DEG, MAX_APEX_DEG = 20.0, 120.0
CUSP_DEG = 50.0  # how sharply the path turns back at the tip, at least
SMOOTH_DEG = 40.0  # and anywhere else, at most
ALIKE = 0.12  # relative difference of both barbs
JOINED_PT = 0.05
FEWEST, MOST = 4, 100  # pieces that two bent barbs are flattened into


def find_bent_arrows(ink: Ink) -> list[tuple[Point, float, float, float, frozenset[int]]]:
    """Find paths of two bent barbs that meet in a cusp.

    Parameters
    ----------
    ink : Ink

    Returns
    -------
    list of (Point, float, float, float, frozenset of int)
        Tip, the direction it points in, its length in pt, and its strokes.
    """
    found = []
    for chain in _small_curved_paths(ink):
        points = np.vstack([ink.ends[chain[:1], :2], ink.ends[chain, 2:]])
        head = _head(points)
        if head is not None:
            tip, (ux, uy), length = head
            strokes = frozenset(map(int, chain))
            found.append((Point(float(tip[0]), float(tip[1])), ux, uy, length, strokes))
    return found


def _small_curved_paths(ink: Ink) -> list[NDArray[np.intp]]:
    """Paths of curved strokes only that follow each other and reach no further than two barbs."""
    curved = np.flatnonzero(ink.curved)
    if len(curved) < FEWEST:
        return []
    cuts = np.flatnonzero((np.diff(curved) != 1) | (np.diff(ink.paths[curved]) != 0)) + 1
    small = []
    for chain in np.split(curved, cuts):
        if not FEWEST <= len(chain) <= MOST:
            continue
        gaps = np.abs(ink.ends[chain[1:], :2] - ink.ends[chain[:-1], 2:])
        ends = ink.ends[chain].reshape(-1, 2)
        if gaps.max() < JOINED_PT and float(np.ptp(ends, axis=0).max()) < 2 * MAX_BARB_PT:
            small.append(chain)
    return small


def _head(
    points: NDArray[np.float64],
) -> tuple[NDArray[np.float64], tuple[float, float], float] | None:
    """Tip, direction and length of an arrowhead; `None` for any other bent path."""
    steps = np.diff(points, axis=0)
    way = np.arctan2(steps[:, 1], steps[:, 0])
    turns = np.abs((np.diff(way) + math.pi) % (2 * math.pi) - math.pi)
    at = int(np.argmax(turns))
    others = np.delete(turns, at)
    if turns[at] < math.radians(CUSP_DEG) or others.max(initial=0.0) > math.radians(SMOOTH_DEG):
        return None
    tip = points[at + 1]
    a, b = points[0] - tip, points[-1] - tip
    la, lb = float(np.hypot(*a)), float(np.hypot(*b))
    if min(la, lb) < MIN_BARB_PT or max(la, lb) > MAX_BARB_PT:
        return None
    apex = math.degrees(math.acos(max(-1.0, min(1.0, float(a @ b) / (la * lb)))))
    axis = a / la + b / lb
    size = float(np.hypot(*axis))
    if abs(la - lb) > ALIKE * max(la, lb) or not MIN_APEX_DEG < apex < MAX_APEX_DEG:
        return None
    return tip, (-float(axis[0]) / size, -float(axis[1]) / size), la * size / 2
