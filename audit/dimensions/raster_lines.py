"""Straight strokes of a raster: edges found everywhere, turned into middles, and joined.

Legend: an *edge* is one side of a drawn line, a *piece* the middle of the line beside an edge, a
*stroke* all pieces of one drawn line. Places are px of the raster given, pixel centres at .5.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

Floats = NDArray[np.float64]
Dark = NDArray[np.float32]
Indices = NDArray[np.intp]
Mask = NDArray[np.uint8]

STATIONS = 9  # profiles across an edge
PROFILE_STEP_PX = 0.5
OUTSIDE_PX = 3.0  # a profile begins this far outside the edge
MAX_WIDTH_PX = 12.0  # wider ink is a filled area, no stroke: 1.5 mm at 200 dpi
MIN_DARK = 0.12  # fainter is no ink
SAME_WIDTH = 0.4  # relative: stations whose width differs more met something else
MIN_STATIONS = 3
BIN_DEG = 2
BINS_BESIDE = 3
APART_PX = 1.0  # pieces of one stroke lie this near to one line, plus a share of its width
APART_SHARE = 0.3
WAVERS = 2.0  # standard deviations of waver that pieces may lie further apart
GAP_PX = 3.0  # between pieces, whatever is drawn there
BRIDGE_PX = 60.0  # between pieces, when the gap is inked
BRIDGED = 0.9  # share of a gap that must be inked
CORNER_SINE = 0.17  # of 10 degrees: lines that turn less do not make a corner
STRETCH_PX = 14  # how far an end is followed on the ink
DARKNESSES = np.arange(256, dtype=np.float32) / 255.0  # that a map of 8 bits can tell


@dataclass(frozen=True, slots=True, eq=False)
class Pieces:
    """Straight middles: `ends` (n, 4) px, `widths` (n,) px."""

    ends: Floats
    widths: Floats

    def __len__(self) -> int:
        return len(self.ends)

    def take(self, which: NDArray[np.bool_] | Indices) -> Pieces:
        """Return some of them."""
        return Pieces(self.ends[which], self.widths[which])

    @property
    def lengths(self) -> Floats:
        """Lengths in px."""
        return np.asarray(
            np.hypot(self.ends[:, 2] - self.ends[:, 0], self.ends[:, 3] - self.ends[:, 1])
        )


def trace_pieces(dark: Dark, *, levels: Mask | None = None) -> Pieces:
    """Find the middles of everything that looks like a straight line.

    Parameters
    ----------
    dark : (h, w) float32 array
        0 paper to 1 ink.
    levels : (h, w) uint8 array, optional
        The same in 255ths, where it was made of them: then nothing is worked out px by px.

    Returns
    -------
    Pieces
        Each line appears once for each edge and once for each stretch between crossings.
    """
    gray = as_gray(dark) if levels is None else cv2.LUT(levels, as_gray(DARKNESSES))
    found = cv2.createLineSegmentDetector(cv2.LSD_REFINE_STD).detect(gray)[0]
    edges = np.asarray([] if found is None else found, np.float64).reshape(-1, 4) + 0.5
    return _middles(dark, edges)


def as_gray(dark: Dark) -> Mask:
    """Turn darkness into grey levels."""
    return np.asarray(np.clip(255.0 - 255.0 * dark, 0, 255), np.uint8)


def _middles(dark: Dark, edges: Floats) -> Pieces:
    """Measure across each edge, and fit the middle of the ink beside it."""
    delta = edges[:, 2:] - edges[:, :2]
    length = np.maximum(np.hypot(delta[:, 0], delta[:, 1]), 1e-6)
    u = delta / length[:, None]
    normal = _inward(dark, edges, np.column_stack([-u[:, 1], u[:, 0]]))
    share = np.linspace(0.06, 0.94, STATIONS)
    offsets = np.arange(-OUTSIDE_PX, MAX_WIDTH_PX + 2.0, PROFILE_STEP_PX)
    at = edges[:, None, :2] + share[None, :, None] * delta[:, None, :]
    middle, width = _across(sample_across(dark, at, normal, offsets), offsets)
    good = np.isfinite(middle)
    seen = np.where(good, width, np.nan)
    seen[~good.any(axis=1)] = np.inf
    typical = np.nanmedian(seen, axis=1, keepdims=True)
    good &= np.abs(width - typical) <= np.maximum(SAME_WIDTH * typical, 1.0)
    intercept, slope, enough = _lines_through(share[None, :] * length[:, None], middle, good)
    first = edges[:, :2] + normal * intercept[:, None]
    last = edges[:, 2:] + normal * (intercept + slope * length)[:, None]
    typical = typical[:, 0]
    keep = enough & (typical < MAX_WIDTH_PX) & (np.abs(slope) < math.tan(math.radians(8.0)))
    return Pieces(np.hstack([first, last])[keep], typical[keep])


def _inward(dark: Dark, edges: Floats, normal: Floats) -> Floats:
    """Turn normals towards the ink."""
    share = np.array([0.2, 0.5, 0.8])
    at = edges[:, None, :2] + share[None, :, None] * (edges[:, None, 2:] - edges[:, None, :2])
    sides = [
        sample_across(dark, at, sign * normal, np.array([0.7, 1.2])).mean(axis=(1, 2))
        for sign in (1.0, -1.0)
    ]
    return np.where((sides[0] >= sides[1])[:, None], normal, -normal)


def sample_across(dark: Dark, at: Floats, normal: Floats, offsets: Floats) -> Floats:
    """Darkness at offsets along normals: (n, stations, offsets)."""
    x = at[:, :, None, 0] + normal[:, None, None, 0] * offsets - 0.5
    y = at[:, :, None, 1] + normal[:, None, None, 1] * offsets - 0.5
    n, k, m = x.shape
    rows = max(1, 30_000 // (k * m))  # a remap takes at most 32,767 rows or columns
    parts = [
        cv2.remap(
            dark,
            x[i : i + rows].reshape(-1, m).astype(np.float32),
            y[i : i + rows].reshape(-1, m).astype(np.float32),
            cv2.INTER_LINEAR,
            borderMode=cv2.BORDER_CONSTANT,
            borderValue=0,
        )
        for i in range(0, n, rows)
    ]
    whole = np.concatenate(parts) if parts else np.zeros((0, m), np.float32)
    return np.asarray(whole.reshape(n, k, m), np.float64)


def _across(profiles: Floats, offsets: Floats) -> tuple[Floats, Floats]:
    """Middle and width of the ink that begins near offset 0; nan where there is none."""
    start = round((OUTSIDE_PX - 0.5) / PROFILE_STEP_PX)
    window = profiles[:, :, start : start + int(4.0 / PROFILE_STEP_PX)]
    peak = window.max(axis=2)
    at = start + window.argmax(axis=2)
    low = profiles < (peak / 2)[:, :, None]
    index = np.arange(profiles.shape[2])
    after = np.where(low & (index > at[:, :, None]), index, profiles.shape[2])
    before = np.where(low & (index < at[:, :, None]), index, -1)
    far, near = after.min(axis=2), before.max(axis=2)
    ok = (peak > MIN_DARK) & (far < profiles.shape[2]) & (near >= 0)
    right = _crossing(profiles, peak, np.clip(far - 1, 0, None), np.clip(far, 0, len(index) - 1))
    left = _crossing(profiles, peak, np.clip(near + 1, 0, len(index) - 1), np.clip(near, 0, None))
    a, b = offsets[0] + left * PROFILE_STEP_PX, offsets[0] + right * PROFILE_STEP_PX
    return np.where(ok, (a + b) / 2, np.nan), np.where(ok, b - a, np.nan)


def _crossing(profiles: Floats, peak: Floats, inside: Indices, outside: Indices) -> Floats:
    """Place (in steps) where a profile crosses half its peak between two neighbours."""
    a = np.take_along_axis(profiles, inside[:, :, None], axis=2)[:, :, 0]
    b = np.take_along_axis(profiles, outside[:, :, None], axis=2)[:, :, 0]
    t = (a - peak / 2) / np.maximum(a - b, 1e-6)
    return np.asarray(inside + np.clip(t, 0.0, 1.0) * (outside - inside), np.float64)


def _lines_through(
    t: Floats, s: Floats, good: NDArray[np.bool_]
) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """Straight lines s = a + b t through the good stations of each row, outliers left out once."""
    use = good.copy()
    value = np.where(good, s, 0.0)
    for turn in range(2):
        n = np.maximum(use.sum(axis=1), 1)
        mean_t = (t * use).sum(axis=1) / n
        mean_s = (value * use).sum(axis=1) / n
        dt = (t - mean_t[:, None]) * use
        spread = np.maximum((dt**2).sum(axis=1), 1e-9)
        slope = (dt * value).sum(axis=1) / spread
        intercept = mean_s - slope * mean_t
        if turn == 0:
            off = np.abs(value - intercept[:, None] - slope[:, None] * t)
            limit = np.maximum(2.5 * np.median(np.where(use, off, 0.0), axis=1), 0.35)
            use &= off <= limit[:, None]
    return intercept, slope, use.sum(axis=1) >= MIN_STATIONS


def join_pieces(pieces: Pieces, dark: Dark, *, waver: float = 0.0) -> Pieces:
    """Join the pieces of each drawn line, over crossings and inked gaps, and follow its ends.

    Parameters
    ----------
    pieces : Pieces
    dark : (h, w) float32 array
    waver : float
        How far lines stray from straight, px: pieces may lie further apart by some of it.

    Returns
    -------
    Pieces
        Strokes, each once.
    """
    order = np.argsort(-pieces.lengths, kind="stable")
    pieces = pieces.take(order)
    bins = _Bins(pieces)
    free = np.ones(len(pieces), np.bool_)
    ends, widths = [], []
    for i in range(len(pieces)):
        if not free[i]:
            continue
        near = bins.near(i)
        group = _group(pieces, i, near[free[near]], dark, apart=APART_PX + WAVERS * waver)
        free[group] = False
        end, width = _joined(pieces, group, i)
        ends.append(end)
        widths.append(width)
    strokes = Pieces(np.array(ends, float).reshape(-1, 4), np.array(widths, float))
    return _stretched(strokes, dark)


class _Bins:
    """Pieces by direction, each bin sorted by its distance from the origin.

    `bounds` says, of each piece, where what may lie on its line begins and ends in each bin that is
    near its own.
    """

    def __init__(self, pieces: Pieces) -> None:
        e = pieces.ends
        turn = np.degrees(np.arctan2(e[:, 3] - e[:, 1], e[:, 2] - e[:, 0])) % 180.0
        middle = (e[:, :2] + e[:, 2:]) / 2
        size = float(np.abs(e).max(initial=1.0))
        count = 180 // BIN_DEG
        self.own = np.round(turn / BIN_DEG).astype(int) % count
        self.bins: list[Indices] = []
        self.bounds = np.zeros((len(e), 2 * BINS_BESIDE + 1, 2), np.intp)
        for b in range(count):
            part = np.flatnonzero(self.own == b)
            far = self._offset(middle[part], b * BIN_DEG)
            order = np.argsort(far)
            self.bins.append(part[order])
            step = (b - self.own + count // 2) % count - count // 2
            near = np.flatnonzero(np.abs(step) <= BINS_BESIDE)
            at = self._offset(middle[near], b * BIN_DEG)
            lean = np.abs(np.sin(np.radians(turn[near] - b * BIN_DEG)))
            room = np.minimum(lean, 0.12) * size + 4.0
            bounds = np.searchsorted(far[order], np.column_stack([at - room, at + room]))
            self.bounds[near, step[near] + BINS_BESIDE] = bounds

    @staticmethod
    def _offset(points: Floats, degrees: float) -> Floats:
        a = math.radians(degrees)
        return np.asarray(math.cos(a) * points[:, 1] - math.sin(a) * points[:, 0])

    def near(self, i: int) -> Indices:
        """Pieces that may lie on the line of one."""
        first = int(self.own[i]) - BINS_BESIDE
        return np.concatenate(
            [
                self.bins[(first + k) % len(self.bins)][low:high]
                for k, (low, high) in enumerate(self.bounds[i].tolist())
            ]
        )


def _group(pieces: Pieces, i: int, near: Indices, dark: Dark, *, apart: float) -> Indices:
    """Pieces that continue piece `i` along its line."""
    e = pieces.ends
    origin = e[i, :2]
    length = float(np.hypot(*(e[i, 2:] - origin)))
    u = (e[i, 2:] - origin) / max(length, 1e-9)
    d0, d1 = e[near, :2] - origin, e[near, 2:] - origin
    t0, t1 = d0 @ u, d1 @ u
    n = np.array([-u[1], u[0]])
    s0, s1 = d0 @ n, d1 @ n
    # what a long piece says about the direction holds further out than what a short one says
    reach = np.maximum(0.0, np.maximum(-np.minimum(t0, t1), np.maximum(t0, t1) - length))
    apart += APART_SHARE * float(pieces.widths[i])
    play = apart + 0.02 * reach * min(1.0, 40.0 / length)
    limit = np.minimum(play, 0.5 * reach + apart)
    on = (np.abs(s0) < limit) & (np.abs(s1) < limit)
    on &= np.abs(pieces.widths[near] - pieces.widths[i]) < np.maximum(1.5, 0.6 * pieces.widths[i])
    near, t0, t1 = near[on], t0[on], t1[on]
    low, high = np.minimum(t0, t1), np.maximum(t0, t1)
    group = {i}
    a, b = 0.0, length
    waiting = sorted(range(len(near)), key=lambda k: low[k])
    changed = True
    while changed:
        changed = False
        for k in waiting:
            j = int(near[k])
            if j in group or high[k] < a - BRIDGE_PX or low[k] > b + BRIDGE_PX:
                continue
            gap = max(low[k] - b, a - high[k])
            if gap > GAP_PX and not _inked(
                dark, origin, u, (b, low[k]) if low[k] > b else (high[k], a)
            ):
                continue
            group.add(j)
            a, b = min(a, low[k]), max(b, high[k])
            changed = True
    return np.array(sorted(group), np.intp)


def _inked(dark: Dark, origin: Floats, u: Floats, span: tuple[float, float]) -> bool:
    t = np.arange(span[0] + 0.5, span[1], 1.0)
    if not len(t):
        return True
    return float((_along(dark, origin, u, t) > MIN_DARK * 2).mean()) >= BRIDGED


def _along(dark: Dark, origin: Floats, u: Floats, t: Floats) -> Floats:
    """Darkness along a line, the most within half a px to either side."""
    x, y = origin[0] + t * u[0], origin[1] + t * u[1]
    best = np.zeros(x.shape)
    h, w = dark.shape
    for side in (-0.5, 0.0, 0.5):
        column = np.floor(x - u[1] * side).astype(int)
        row = np.floor(y + u[0] * side).astype(int)
        ok = (column >= 0) & (row >= 0) & (column < w) & (row < h)
        best[ok] = np.maximum(best[ok], dark[row[ok], column[ok]])
    return best


def _joined(pieces: Pieces, group: Indices, i: int) -> tuple[list[float], float]:
    """Fit one stroke to its pieces, the long ones counting most."""
    e = pieces.ends[group]
    weights = pieces.take(group).lengths
    origin = pieces.ends[i, :2]
    u = pieces.ends[i, 2:] - origin
    u = u / max(float(np.hypot(*u)), 1e-9)
    n = np.array([-u[1], u[0]])
    points = np.vstack([e[:, :2], e[:, 2:]]) - origin
    t, s, w = points @ u, points @ n, np.concatenate([weights, weights])
    mean_t, mean_s = float(w @ t / w.sum()), float(w @ s / w.sum())
    spread = float(w @ (t - mean_t) ** 2)
    slope = float(w @ ((t - mean_t) * (s - mean_s))) / spread if spread > 0 else 0.0
    ends = [origin + u * at + n * (mean_s + slope * (at - mean_t)) for at in (t.min(), t.max())]
    width = float(np.average(pieces.widths[group], weights=weights))
    return [float(v) for v in (*ends[0], *ends[1])], width


def meet_at_corners(strokes: Pieces, *, reach: float) -> Pieces:
    """Make strokes whose ends lie within `reach` px of each other end where they cross."""
    e = strokes.ends
    n = len(e)
    if n < 2:
        return strokes
    tips = np.vstack([e[:, :2], e[:, 2:]])
    ways = np.vstack([e[:, :2] - e[:, 2:], e[:, 2:] - e[:, :2]])
    ways /= np.maximum(np.hypot(ways[:, 0], ways[:, 1]), 1e-9)[:, None]
    pairs = cKDTree(tips).query_pairs(reach, output_type="ndarray")
    a, b = pairs[:, 0], pairs[:, 1]
    gap = tips[b] - tips[a]
    cross = ways[a, 0] * ways[b, 1] - ways[a, 1] * ways[b, 0]
    turned = (a % n != b % n) & (np.abs(cross) > CORNER_SINE)
    safe = np.where(turned, cross, 1.0)
    ta = (gap[:, 0] * ways[b, 1] - gap[:, 1] * ways[b, 0]) / safe
    tb = (gap[:, 0] * ways[a, 1] - gap[:, 1] * ways[a, 0]) / safe
    worst = np.maximum(np.abs(ta), np.abs(tb))
    moved = tips.copy()
    done = np.zeros(2 * n, np.bool_)
    for k in np.argsort(worst):
        if not turned[k] or worst[k] > reach:
            continue
        for end, t in ((a[k], ta[k]), (b[k], tb[k])):
            if not done[end]:
                moved[end] = tips[end] + t * ways[end]
                done[end] = True
    return Pieces(np.hstack([moved[:n], moved[n:]]), strokes.widths)


def _stretched(strokes: Pieces, dark: Dark) -> Pieces:
    """Follow both ends of every stroke to where its ink ends."""
    lengths = strokes.lengths
    long = lengths >= 1e-6
    u = (strokes.ends[:, 2:] - strokes.ends[:, :2])[long] / lengths[long, None]
    t = np.arange(0.5, STRETCH_PX, 1.0)
    ends = strokes.ends.copy()
    for base, ways in ((0, -u), (2, u)):
        tips = ends[long, base : base + 2]
        paper = _along(dark, tips.T[..., None], ways.T[..., None], t) < MIN_DARK * 2
        reach = np.where(paper.any(axis=1), paper.argmax(axis=1), STRETCH_PX)
        ends[long, base : base + 2] = tips + ways * reach[:, None]
    return Pieces(ends, strokes.widths)
