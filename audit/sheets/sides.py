"""The sides of a figure followed through the full picture, to a fraction of a pixel."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import cv2
import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

MOST_PX = 32_000  # a side of a picture that OpenCV can still resample; no camera's is so long
PLACES = 160  # along a side
CLEAR_OF_CORNERS = 0.02  # of a side at each end, where the neighbours disturb
PEAKS = 4  # edges looked at on each profile
ROUNDS = 6
STROKE = 0.5  # of the reach; a dark line thinner than this is drawn, and no edge of paper
TRUE_STEP = 0.3  # of an edge's steepness that must be left when drawn lines are filled
TIGHT = 3.0  # scatters; edges further from the fitted side belong to something else
LEAST_REACH_PX = 1.2
LEAST_SHARE = 0.35  # of the places must show the side


class SideKind(StrEnum):
    """What a side is: the edge of bright paper, or the middle of a dark line."""

    EDGE = "edge"
    LINE = "line"


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One side of a figure as it is seen.

    Attributes
    ----------
    points : array of shape (n, 2)
        Places on it, px (the first pixel's centre at .5), in order from corner to corner.
    rms : float
        Scatter of the places about a smooth curve, px.
    share : float
        Of the places looked at, those that show the side.
    """

    points: Array
    rms: float
    share: float


def trace_side(
    gray: NDArray[np.uint8],
    start: tuple[float, float],
    end: tuple[float, float],
    *,
    kind: SideKind,
    reach: float,
) -> Side | None:
    """Follow a side from corner to corner.

    Parameters
    ----------
    gray : ndarray of uint8, shape (rows, columns)
    start : tuple of float
        Corner, px; clockwise as seen, so that the figure lies to the right of the way.
    end : tuple of float
        The next corner.
    kind : SideKind
    reach : float
        How far the side may lie from the straight way between the corners, px.

    Returns
    -------
    Side or None
        `None` where no side is seen.
    """
    a, b = np.asarray(start, float), np.asarray(end, float)
    length = float(np.hypot(*(b - a)))
    if length < 4 * LEAST_REACH_PX:
        return None
    way = (b - a) / length
    inward = np.array([-way[1], way[0]])
    share = np.linspace(CLEAR_OF_CORNERS, 1 - CLEAR_OF_CORNERS, PLACES)
    offsets = np.arange(-reach - 3, reach + 3.25, 0.5)
    profiles = _profiles(gray, a + share[:, None] * (b - a), inward, offsets)
    where, strength = _peaks(profiles, offsets, kind, stroke=STROKE * reach)
    fitted = _follow(share, where, strength, reach=reach)
    if fitted is None:
        return None
    used, off, rms = fitted
    points = a + share[used, None] * (b - a) + off[:, None] * inward
    return Side(points=points, rms=rms, share=float(used.mean()))


def _profiles(gray: NDArray[np.uint8], places: Array, inward: Array, offsets: Array) -> Array:
    """Brightness across the side at each place, shape (places, offsets)."""
    at = places[:, None, :] + offsets[None, :, None] * inward - 0.5
    x, y = at[..., 0].astype(np.float32), at[..., 1].astype(np.float32)
    seen = cv2.remap(gray, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    # neighbouring places see the same side: averaging three of them quiets texture and noise
    smooth = cv2.GaussianBlur(seen.astype(np.float32), (0, 0), sigmaX=2.0, sigmaY=0.8)
    return np.asarray(smooth, float)


def _peaks(
    profiles: Array, offsets: Array, kind: SideKind, *, stroke: float
) -> tuple[Array, Array]:
    """Offsets and strengths of the clearest edges (lines) on each profile, shape (places, k)."""
    step = float(offsets[1] - offsets[0])
    if kind is SideKind.EDGE:
        signal = np.gradient(profiles, axis=1)
        worth = _without_strokes(profiles, signal, round(stroke / step), round(1.0 / step))
    else:
        wide = cv2.GaussianBlur(profiles.astype(np.float32), (0, 0), sigmaX=8.0, sigmaY=0.01)
        signal = worth = np.asarray(wide, float) - profiles
    top = (signal[:, 1:-1] >= signal[:, :-2]) & (signal[:, 1:-1] > signal[:, 2:])
    strength = np.where(top & (worth[:, 1:-1] > 0), worth[:, 1:-1], 0.0)
    order = np.argsort(-strength, axis=1)[:, :PEAKS]
    rows = np.arange(len(signal))[:, None]
    before, here, after = (signal[rows, order + k] for k in (0, 1, 2))
    bend = before - 2 * here + after
    shift = np.divide(0.5 * (before - after), bend, out=np.zeros_like(bend), where=bend < 0)
    return offsets[order + 1] + np.clip(shift, -0.5, 0.5) * step, strength[rows, order]


def _without_strokes(profiles: Array, steepness: Array, width: int, near: int) -> Array:
    """Steepness of edges, nothing where a dark line makes them: filled, such a line is gone."""
    line = np.ones((1, max(width, 3)), np.uint8)
    filled = cv2.morphologyEx(profiles.astype(np.float32), cv2.MORPH_CLOSE, line)
    around = np.ones((1, 2 * near + 1), np.uint8)
    left = cv2.dilate(np.gradient(np.asarray(filled, float), axis=1), around)
    return np.asarray(np.where(left > TRUE_STEP * steepness, np.minimum(left, steepness), 0.0))


def _follow(
    share: Array, where: Array, strength: Array, *, reach: float
) -> tuple[NDArray[np.bool_], Array, float] | None:
    """Find the curve along which the clearest edges lie, letting it bow but not wriggle."""
    along = 2 * share - 1
    start = _first_line(along, where, strength, reach)
    if start is None:
        return None
    curve, width = start, max(0.4 * reach, LEAST_REACH_PX)
    used = np.zeros(len(along), bool)
    off = np.zeros(len(along))
    for _ in range(ROUNDS):
        expected = np.polynomial.polynomial.polyval(along, curve)
        gap = np.abs(where - expected[:, None])
        gap[strength <= 0] = np.inf
        nearest = np.argmin(gap, axis=1)
        rows = np.arange(len(along))
        used = gap[rows, nearest] < width
        if used.mean() < LEAST_SHARE:
            return None
        off = where[rows, nearest]
        curve = np.polynomial.polynomial.polyfit(along[used], off[used], 3)
        left = off[used] - np.polynomial.polynomial.polyval(along[used], curve)
        rms = float(np.sqrt(np.mean(left**2)))
        width = max(TIGHT * rms, LEAST_REACH_PX)
    return used, off[used], rms


def _first_line(along: Array, where: Array, strength: Array, reach: float) -> Array | None:
    """Vote for a straight start: the offset at either end under which most strength gathers."""
    ends = np.linspace(-reach, reach, 25)
    first, last = np.meshgrid(ends, ends, indexing="ij")
    level, slope = (first + last) / 2, (last - first) / 2
    weight = np.sqrt(np.clip(strength, 0, None))
    if weight.max() <= 0:
        return None
    width = max(reach / 10, LEAST_REACH_PX)
    votes = np.zeros_like(level)
    for k in range(0, len(along), 4):
        expected = level + slope * along[k]
        near = np.abs(where[k][:, None, None] - expected) < width
        votes += (near * weight[k][:, None, None]).max(axis=0)
    best = np.unravel_index(int(votes.argmax()), votes.shape)
    return np.array([level[best], slope[best], 0.0, 0.0])
