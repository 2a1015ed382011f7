"""Arrowheads told from the lines they sit on.

A filled head is traced as a short thick stroke of its own, a hair askew, and the thin line behind
it seems to end at the head's back. The head goes, and the thin line is led on to the tip.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from audit.dimensions.raster_lines import Floats, Pieces
from audit.networks.page import Terminator

HEAD_PT = 26.0  # length of the longest arrowhead
BEFORE_PT = 3.0  # a head may be traced this far beyond its tip
ASIDE_PT = 2.2
ALONG_SINE = 0.26  # of 15 degrees between a stroke and the arrow
THICKER = 1.25  # times the line behind it
MIN_SCORE = 0.3


def without_heads(strokes: Pieces, tips: Sequence[Terminator], *, px_per_pt: float) -> Pieces:
    """Take the heads out of the strokes, and lead the lines behind them to their tips.

    Parameters
    ----------
    strokes : Pieces
    tips : sequence of Terminator
        In the same px as the strokes.
    px_per_pt : float
        Of the same px.
    """
    arrows = [t for t in tips if t.direction is not None and t.score >= MIN_SCORE]
    if not arrows or not len(strokes):
        return strokes
    left = _Left(strokes.ends.copy(), strokes.widths, np.ones(len(strokes), np.bool_))
    near = _Near(strokes, (HEAD_PT + BEFORE_PT) * px_per_pt)
    for arrow in arrows:
        _settle(left, near.around(arrow.point), arrow, px_per_pt)
    return Pieces(left.ends[left.keep], strokes.widths[left.keep])


@dataclass(slots=True)
class _Left:
    """Strokes while heads are taken out: ends move, `keep` says which stay."""

    ends: Floats
    widths: Floats
    keep: NDArray[np.bool_]


class _Near:
    """Strokes by their ends."""

    def __init__(self, strokes: Pieces, reach: float) -> None:
        e = strokes.ends
        self.count = len(e)
        self.tree = cKDTree(np.vstack([e[:, :2], e[:, 2:]]))
        self.reach = reach

    def around(self, p: tuple[float, float]) -> NDArray[np.intp]:
        found = self.tree.query_ball_point(p, self.reach)
        return np.unique(np.array(found, np.intp) % self.count) if found else np.zeros(0, np.intp)


def _settle(left: _Left, near: NDArray[np.intp], arrow: Terminator, px: float) -> None:
    """Take out one arrow's head, and lead its line to the tip."""
    ends, widths, keep = left.ends, left.widths, left.keep
    turn = math.radians(arrow.direction or 0.0)
    body = np.array([math.cos(turn), -math.sin(turn)])
    tip = np.array(arrow.point)
    near = near[keep[near]]
    delta = ends[near, 2:] - ends[near, :2]
    length = np.maximum(np.hypot(delta[:, 0], delta[:, 1]), 1e-9)
    sine = np.abs(delta[:, 0] * body[1] - delta[:, 1] * body[0]) / length
    first, last = ends[near, :2] - tip, ends[near, 2:] - tip
    t0, t1 = first @ body, last @ body
    low, high = np.minimum(t0, t1), np.maximum(t0, t1)
    # how far beside the tip the stroke's own line passes
    aside = np.abs(first[:, 0] * delta[:, 1] - first[:, 1] * delta[:, 0]) / length
    along = (sine < ALONG_SINE) & (aside < ASIDE_PT * px) & (high > 0)
    shafts = along & (low > -BEFORE_PT * px) & (low < HEAD_PT * px)
    if not shafts.any():
        return
    long = shafts & (high > low + 2.0 * px)
    if not long.any():
        return
    thin = int(np.flatnonzero(long)[np.argmin(_cost(widths[near], length, px)[long])])
    width = float(widths[near[thin]])
    heads = shafts & (high < HEAD_PT * px) & (widths[near] > THICKER * width)
    heads[thin] = False
    keep[near[heads]] = False
    if heads.any() or low[thin] > 0:
        side = 0 if t0[thin] < t1[thin] else 2
        u = delta[thin] / length[thin]
        foot = ends[near[thin], :2] + u * float((tip - ends[near[thin], :2]) @ u)
        ends[near[thin], side : side + 2] = foot


def _cost(widths: Floats, length: Floats, px: float) -> Floats:
    """Thin and long strokes are shafts, short and thick ones heads."""
    return np.asarray(widths - 0.02 * np.minimum(length, 60.0 * px))
