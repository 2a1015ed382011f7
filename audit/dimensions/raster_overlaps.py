"""Filled arrowheads that lie half in another's blot, as those of a link narrower than its heads.

Where two heads point one way and the second overlaps the first, only the first tip shows. But the
blot has two backs: it widens from the tip to the first head's back, falls to the width that the
second head has there, and widens again to the second back. Both heads are alike, so their tips
stand as far apart as their backs.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
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
LEAST_WIDE_PT, SLENDER = 2.0, 0.9  # of a head: width, and the most of that to its length


def with_overlapped_heads(
    terminators: Sequence[Terminator], dark: Dark, *, px_per_pt: float
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
        apart = _apart(_widths(dark, np.array(t.point, float), body, px_per_pt), px_per_pt)
        if apart is None:
            continue
        x, y = t.point.x + apart * body[0], t.point.y + apart * body[1]
        hidden.append(replace(t, point=Point(float(x), float(y))))
    return (*terminators, *hidden)


def _widths(dark: Dark, tip: Floats, body: Floats, px: float) -> Floats:
    """How wide the ink is about an axis, px, from a tip backwards."""
    t = np.arange(0.0, REACH_PT * px, STEP_PX)
    offsets = np.arange(-ACROSS_PT * px, ACROSS_PT * px + 0.1, STEP_PX)
    at = tip[None, None, :] + t[None, :, None] * body
    inked = sample_across(dark, at, np.array([[-body[1], body[0]]]), offsets)[0] > INK
    near = np.abs(offsets) <= OFF_AXIS_PT * px
    middle = len(offsets) // 2
    widths = np.zeros(len(t))
    for k, row in enumerate(inked):
        on = np.flatnonzero(row & near)
        if not len(on):
            continue
        centre = int(on[np.argmin(np.abs(on - middle))])
        gaps = np.flatnonzero(~row)
        low, high = gaps[gaps < centre], gaps[gaps > centre]
        first = int(low[-1]) if len(low) else -1
        last = int(high[0]) if len(high) else len(offsets)
        crossed = len(low) == 0 and len(high) == 0  # by a line, which says nothing of the head
        before = widths[k - 1] if k else 0.0
        widths[k] = before if crossed else (last - first - 1) * STEP_PX
    return widths


def _apart(widths: Floats, px: float) -> float | None:
    """How far the backs of two overlapping heads are apart, px; `None` where there is one head."""
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
            return apart
    return None


def _peaks(values: Floats, least: float, reach: int) -> list[int]:
    """Places of the greatest values, each the first of its neighbourhood, in order."""
    found: list[int] = []
    for k in np.flatnonzero(values > max(least, 1e-9)).tolist():
        around = values[max(0, k - reach) : k + reach + 1]
        if values[k] == around.max() and not (found and k - found[-1] <= reach):
            found.append(k)
    return found
