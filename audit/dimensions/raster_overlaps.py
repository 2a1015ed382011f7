"""Filled arrowheads that lie half in another's blot, as those of a link narrower than its heads.

Where two heads point one way and the second overlaps the first, only the first tip shows. But the
blot has two backs: it widens from the tip to the first head's back, falls to the width that the
second head has there, and widens again to the second back. Both heads are alike, so their tips
stand as far apart as their backs.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from audit.dimensions.raster_lines import Dark, sample_across
from audit.geometry import Point
from audit.networks.page import Terminator

Floats = NDArray[np.float64]

SURE = 0.5  # score of a tip that a blot is looked at behind
REACH_PT = 48.0  # behind the tip: two of the longest heads
ACROSS_PT = 6.0
STEP_PX = 0.5
INK = 0.5  # of full dark
OFF_AXIS_PT = 0.6  # the network's direction is good to some degrees
BACK_PT = 0.8  # along the axis, over which a back falls off
FALLS = 0.15  # of the widest: a smaller fall is no back
LEAST_APART_PT = 2.0
ALIKE = 0.2  # of the widest, between what two alike heads would show and what is there
LINE = 0.45  # of the widest: behind the second head there is no more than its line
OPPOSITE, ASIDE_PT = -0.97, 1.5  # cosine between heads that face each other; across
BACK_SHARE = 1.3  # of a head's length, from its tip to beyond its back: barbs reach out
LEAST_WIDE_PT, SLENDER = 2.0, 0.9  # of a head: width, and the most of that to its length


def with_overlapped_heads(
    terminators: Sequence[Terminator],
    dark: Dark,
    *,
    px_per_pt: float,
    is_text: Callable[[Point], bool] = lambda _: False,
) -> tuple[Terminator, ...]:
    """Add the arrowheads whose tips are hidden in the blots of others.

    Parameters
    ----------
    terminators : sequence of Terminator
        In px of `dark`.
    dark : (h, w) float32 array
        0 paper, 1 ink.
    px_per_pt : float
        Px of `dark` to a pt.
    is_text : callable
        Whether letters stand at a place of `dark`: one close behind a head looks like a back.

    Returns
    -------
    tuple of Terminator
        Those given first, in their order.
    """
    hidden = []
    for t in terminators:
        if t.direction is None or t.score < SURE:
            continue
        turn = math.radians(t.direction)
        body = np.array([math.cos(turn), -math.sin(turn)])
        backs = _backs(_widths(dark, np.array(t.point, float), body, px_per_pt), px_per_pt)
        if (
            backs is None
            or is_text(_behind(t, backs[1]))
            or _faces(t, backs, terminators, px_per_pt)
        ):
            continue
        hidden.append(replace(t, point=_behind(t, backs[1] - backs[0])))
    return (*terminators, *hidden)


def _faces(
    t: Terminator, backs: tuple[float, float], others: Sequence[Terminator], px: float
) -> bool:
    """Whether what looks like a second back is that of a head that faces the first one's."""
    length, second = backs
    turn = math.radians(t.direction or 0.0)
    for other in others:
        if other.direction is None or other.score < SURE:
            continue
        dx, dy = other.point.x - t.point.x, other.point.y - t.point.y
        along = dx * math.cos(turn) - dy * math.sin(turn)
        aside = abs(dx * math.sin(turn) + dy * math.cos(turn))
        opposite = math.cos(math.radians(other.direction) - turn) < OPPOSITE
        if opposite and aside < ASIDE_PT * px and along - BACK_SHARE * length < second < along:
            return True
    return False


def _behind(t: Terminator, far: float) -> Point:
    turn = math.radians(t.direction or 0.0)
    return Point(t.point.x + far * math.cos(turn), t.point.y - far * math.sin(turn))


def _widths(dark: Dark, tip: Floats, body: Floats, px: float) -> Floats:
    """How wide the ink is about an axis, px, from a tip backwards."""
    t = np.arange(0.0, REACH_PT * px, STEP_PX)
    offsets = np.arange(-ACROSS_PT * px, ACROSS_PT * px + 0.1, STEP_PX)
    at = tip[None, None, :] + t[None, :, None] * body
    inked = sample_across(dark, at, np.array([[-body[1], body[0]]]), offsets)[0] > INK
    return measure_widths(inked, np.abs(offsets) <= OFF_AXIS_PT * px) * STEP_PX


def measure_widths(inked: NDArray[np.bool_], near: NDArray[np.bool_]) -> Floats:
    """Measure the run of ink that lies nearest to the middle of each row.

    Parameters
    ----------
    inked : (n, m) bool array
    near : (m,) bool array
        Places that the run must reach.

    Returns
    -------
    (n,) float array
        Places; 0 without a run, and as in the row before where the whole row is inked: a line
        crosses there, which says nothing of the head.

    Examples
    --------
    >>> rows = np.array([[1, 0, 1, 1, 0], [1, 1, 1, 1, 1], [1, 0, 0, 0, 1]], bool)
    >>> measure_widths(rows, np.array([0, 1, 1, 1, 0], bool)).tolist()
    [2.0, 2.0, 0.0]
    """
    rows, places = np.arange(len(inked)), np.arange(inked.shape[1])
    outwards = np.argsort(np.abs(places - len(places) // 2), kind="stable")
    reached = (inked & near)[:, outwards]
    centre = outwards[reached.argmax(axis=1)]
    before = np.maximum.accumulate(np.where(inked, -1, places), axis=1)[rows, centre]
    beyond = np.where(inked, len(places), places)[:, ::-1]
    after = np.minimum.accumulate(beyond, axis=1)[:, ::-1][rows, centre]
    met = reached.any(axis=1)
    widths = np.where(met, after - before - 1, 0)
    own = np.maximum.accumulate(np.where(inked.all(axis=1) & met, -1, rows))
    return np.asarray(np.where(own < 0, 0, widths[own]), float)


def _backs(widths: Floats, px: float) -> tuple[float, float] | None:
    """Places of the backs of two overlapping heads, px; `None` where there is one head."""
    step = max(1, round(BACK_PT * px / STEP_PX))
    fall = widths[:-step] - widths[step:]
    backs = _peaks(fall, FALLS * float(widths[: len(fall)].max(initial=0.0)), step)
    for one, two in pairwise(backs):
        widest, second = float(widths[one]), float(widths[two])
        length, apart = (one + step / 2) * STEP_PX, (two - one) * STEP_PX
        left = float(widths[one + step])
        alike = (
            abs(second - widest) < ALIKE * widest
            and abs(left - widest * (1.0 - apart / length)) < ALIKE * widest
            and float(widths[min(two + step, len(widths) - 1)]) < LINE * widest
        )
        head = LEAST_WIDE_PT * px < widest < SLENDER * length
        if alike and head and LEAST_APART_PT * px < apart < length:
            return one * STEP_PX, two * STEP_PX
    return None


def _peaks(values: Floats, least: float, reach: int) -> list[int]:
    """Places of the greatest values, each the first of its neighbourhood, in order."""
    found: list[int] = []
    for k in np.flatnonzero(values > max(least, 1e-9)).tolist():
        around = values[max(0, k - reach) : k + reach + 1]
        if values[k] == around.max() and not (found and k - found[-1] <= reach):
            found.append(k)
    return found
