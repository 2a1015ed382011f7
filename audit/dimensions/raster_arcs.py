"""Circles and arcs of a raster: chains of short straight pieces that turn the same way.

A *piece* is a straight middle as `raster_lines` finds it; on a curve it is a chord. Circles are
guessed from three points of a chain, kept when many chords touch them, and fitted to the ink.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from audit.dimensions.raster_lines import Dark, Floats, Indices, Pieces
from audit.geometry import CircleFit, Point, fit_circle
from audit.snapping import snap_circle

MAX_CHORD_PX = 110.0  # longer pieces are straight lines
LINK_PX = 9.0  # between the ends of neighbouring chords
LINK_DEG = 40.0  # neighbouring chords of a small circle turn this far
MIN_TURN_DEG = 0.8  # less is one straight line
MIN_RADIUS_PX, MAX_RADIUS_PX = 4.0, 2500.0
ON_PX = 1.2  # a chord's ends and middle lie this near to its circle, plus its own bulge
TANGENT_DEG = 9.0
MIN_SEEN_DEG = 16.0
MIN_SEEN_PX = 14.0
MIN_CHORDS = 3
TRIALS = 60
MOST_CIRCLES = 12  # in one chain
MAX_CHAIN = 4000
ALL_ROUND_DEG = 260.0  # seen: the rest of a full circle lies under crossing lines
INK = 0.25  # darkness
SAMPLES = 5  # points of a chord
LONG_ARC_DEG = 100.0  # shorter arcs may be rounded corners
CHORD_PX = 4.0  # a stroke whose ends lie this near to a circle is part of it


@dataclass(frozen=True, slots=True)
class DrawnArc:
    """A circle or arc in px; `start` and `sweep` in degrees, counter-clockwise as seen."""

    centre: Point
    radius: float
    start: float
    sweep: float
    width: float


def trace_arcs(pieces: Pieces) -> list[DrawnArc]:
    """Find circles and arcs among straight pieces (px of the raster they were found in)."""
    pieces = pieces.take(pieces.lengths < MAX_CHORD_PX)
    if len(pieces) < MIN_CHORDS:
        return []
    rng = np.random.default_rng(len(pieces))  # the same sheet always gives the same answer
    found: list[DrawnArc] = []
    for chain in _chains(pieces):
        found += _arcs_of(pieces.take(chain), rng)
    return distinct_arcs(found)


def _chains(pieces: Pieces) -> list[Indices]:
    """Groups of chords that follow each other with a slight turn."""
    e = pieces.ends
    n = len(e)
    ends = np.vstack([e[:, :2], e[:, 2:]])
    pairs = cKDTree(ends).query_pairs(LINK_PX, output_type="ndarray")
    if not len(pairs):
        return []
    a, b = pairs[:, 0] % n, pairs[:, 1] % n
    turn = np.degrees(np.arctan2(e[:, 3] - e[:, 1], e[:, 2] - e[:, 0]))
    off = np.abs((turn[a] - turn[b] + 90.0) % 180.0 - 90.0)
    linked = (a != b) & (off < LINK_DEG) & (off > MIN_TURN_DEG)
    graph = coo_array((np.ones(int(linked.sum())), (a[linked], b[linked])), shape=(n, n))
    count, label = connected_components(graph, directed=False)
    order = np.argsort(label, kind="stable")
    groups = np.split(order, np.flatnonzero(np.diff(label[order])) + 1) if count else []
    return [g for g in groups if MIN_CHORDS <= len(g) <= MAX_CHAIN]


def _arcs_of(chain: Pieces, rng: np.random.Generator) -> list[DrawnArc]:
    """Circles in one chain, the one most of it touches first."""
    found: list[DrawnArc] = []
    left = np.ones(len(chain), np.bool_)
    for _ in range(MOST_CIRCLES):
        rest = chain.take(left)
        if len(rest) < MIN_CHORDS:
            break
        best = _best_circle(rest, rng)
        if best is None:
            break
        on, arc = best
        found.append(arc)
        left[np.flatnonzero(left)[on]] = False
    return found


def _best_circle(
    chain: Pieces, rng: np.random.Generator
) -> tuple[NDArray[np.bool_], DrawnArc] | None:
    e = chain.ends
    middle = (e[:, :2] + e[:, 2:]) / 2
    # three chords near each other guess better than three anywhere
    first = rng.integers(0, len(chain), TRIALS)
    near = np.asarray(cKDTree(middle).query(middle[first], k=min(12, len(chain)))[1])
    others = near[np.arange(TRIALS)[:, None], rng.integers(0, near.shape[1], (TRIALS, 2))]
    guesses = _through(
        np.stack([middle[first], middle[others[:, 0]], middle[others[:, 1]]], axis=1)
    )
    best: tuple[float, NDArray[np.bool_]] | None = None
    for x, y, r in guesses:
        on = _touching(chain, x, y, r)
        length = float(chain.lengths[on].sum())
        if int(on.sum()) >= MIN_CHORDS and (best is None or length > best[0]):
            best = (length, on)
    if best is None:
        return None
    on = best[1]
    for _ in range(2):
        fit = _circle_of(chain.take(on))
        if fit is None:
            return None
        on = _touching(chain, fit.centre.x, fit.centre.y, fit.radius)
        if int(on.sum()) < MIN_CHORDS:
            return None
    arc = _arc(chain.take(on))
    return None if arc is None else (on, arc)


def _through(p: Floats) -> Floats:
    """Circles (x, y, r) through each three of (n, 3, 2) points, the senseless ones left out."""
    a, b, c = p[:, 0], p[:, 1] - p[:, 0], p[:, 2] - p[:, 0]
    cross = 2 * (b[:, 0] * c[:, 1] - b[:, 1] * c[:, 0])
    ok = np.abs(cross) > 1e-6
    a, b, c, cross = a[ok], b[ok], c[ok], cross[ok]
    bb, cc = (b**2).sum(axis=1), (c**2).sum(axis=1)
    x = (c[:, 1] * bb - b[:, 1] * cc) / cross
    y = (b[:, 0] * cc - c[:, 0] * bb) / cross
    r = np.hypot(x, y)
    good = (r > MIN_RADIUS_PX) & (r < MAX_RADIUS_PX)
    return np.asarray(np.column_stack([a[:, 0] + x, a[:, 1] + y, r])[good])


def _touching(chain: Pieces, x: float, y: float, r: float) -> NDArray[np.bool_]:
    """Chords whose ends and direction fit a circle."""
    e = chain.ends
    middle = (e[:, :2] + e[:, 2:]) / 2 - np.array([x, y])
    far = np.hypot(middle[:, 0], middle[:, 1])
    bulge = chain.lengths**2 / (8 * r)
    on = np.abs(far + bulge / 2 - r) < ON_PX + 0.5 * bulge
    on &= bulge < 0.2 * r + 1.0
    delta = e[:, 2:] - e[:, :2]
    sine = np.abs((delta * middle).sum(axis=1)) / np.maximum(far * chain.lengths, 1e-9)
    return np.asarray(on & (sine < math.sin(math.radians(TANGENT_DEG))))


def _samples(chords: Pieces) -> Floats:
    t = np.linspace(0.0, 1.0, SAMPLES)[None, :, None]
    e = chords.ends
    return np.asarray((e[:, None, :2] + t * (e[:, None, 2:] - e[:, None, :2])).reshape(-1, 2))


def _circle_of(chords: Pieces) -> CircleFit | None:
    """Fit a circle to chords; None where they lie on one line."""
    try:
        return fit_circle(_samples(chords))
    except ValueError:
        return None


def _arc(chords: Pieces) -> DrawnArc | None:
    fit = _circle_of(chords)
    if fit is None or not MIN_RADIUS_PX < fit.radius < MAX_RADIUS_PX:
        return None
    start, sweep, seen = _span(chords, fit.centre)
    if seen < MIN_SEEN_DEG or math.radians(seen) * fit.radius < MIN_SEEN_PX:
        return None
    return DrawnArc(fit.centre, fit.radius, start, sweep, float(np.median(chords.widths)))


def _span(chords: Pieces, centre: Point) -> tuple[float, float, float]:
    """Start and sweep of the drawn arc without its largest gap, and degrees really seen."""
    e = chords.ends
    t0 = np.degrees(np.arctan2(centre.y - e[:, 1], e[:, 0] - centre.x)) % 360.0
    t1 = np.degrees(np.arctan2(centre.y - e[:, 3], e[:, 2] - centre.x)) % 360.0
    forward = (t1 - t0) % 360.0
    low = np.where(forward <= 180.0, t0, t1)
    span = np.where(forward <= 180.0, forward, 360.0 - forward)
    hit = np.zeros(720, np.bool_)
    for a, s in zip(low, span, strict=True):
        k = np.arange(math.floor(a * 2), math.ceil((a + s) * 2) + 1) % 720
        hit[k] = True
    seen = float(hit.sum()) / 2
    if hit.all():
        return 0.0, 360.0, seen
    marks = np.flatnonzero(hit)
    gaps = np.diff(np.append(marks, marks[0] + 720))
    widest = int(np.argmax(gaps))
    if gaps[widest] <= 60 and seen > 240.0:  # a few crossings interrupt a full circle
        return 0.0, 360.0, seen
    start = float(marks[(widest + 1) % len(marks)]) / 2
    return start, 360.0 - float(gaps[widest]) / 2, seen


def without_chords(strokes: Pieces, arcs: list[DrawnArc]) -> Pieces:
    """Leave out strokes that are chords of a circle or of a long arc."""
    e = strokes.ends
    keep = np.ones(len(strokes), np.bool_)
    for arc in arcs:
        if arc.sweep < LONG_ARC_DEG:
            continue
        centre = np.array(arc.centre)
        on = np.ones(len(strokes), np.bool_)
        for p in (e[:, :2], e[:, 2:]):
            far = np.hypot(p[:, 0] - centre[0], p[:, 1] - centre[1])
            on &= np.abs(far - arc.radius) < CHORD_PX
        keep &= ~(on & (strokes.lengths < 1.2 * arc.radius))
    return strokes.take(keep)


def distinct_arcs(arcs: list[DrawnArc]) -> list[DrawnArc]:
    """Leave out arcs that another, longer one shows already."""
    kept: list[DrawnArc] = []
    for arc in sorted(arcs, key=lambda a: -a.sweep * a.radius):
        same = any(
            arc.centre.distance(k.centre) < 2.5 + 0.02 * k.radius
            and abs(arc.radius - k.radius) < 2.5
            and (k.sweep >= 359.5 or (arc.start - k.start) % 360.0 <= k.sweep)
            for k in kept
        )
        if not same:
            kept.append(arc)
    return kept


def inked_share(dark: Dark, arc: DrawnArc) -> float:
    """Share of an arc that runs on ink, the most within a px to either side; px of `dark`."""
    steps = max(16, int(math.radians(arc.sweep) * arc.radius / 2))
    turns = np.radians(arc.start + arc.sweep * (np.arange(steps) + 0.5) / steps)
    h, w = dark.shape
    hit = np.zeros(steps, np.bool_)
    for side in (-1.0, 0.0, 1.0):
        column = np.floor(arc.centre.x + (arc.radius + side) * np.cos(turns)).astype(int)
        row = np.floor(arc.centre.y - (arc.radius + side) * np.sin(turns)).astype(int)
        ok = (column >= 0) & (row >= 0) & (column < w) & (row < h)
        hit[ok] |= dark[row[ok], column[ok]] > INK
    return float(hit.mean())


def fit_to_ink(gray: NDArray[np.uint8], arc: DrawnArc) -> DrawnArc:
    """Fit an arc to the full raster; the arc as it was where the ink shows no better one."""
    snapped = snap_circle(gray, arc.centre, arc.radius)
    if snapped is None or snapped.seen < 0.4 * min(arc.sweep, 300.0):
        return arc
    start, sweep = (0.0, 360.0) if snapped.seen > ALL_ROUND_DEG else (arc.start, arc.sweep)
    return DrawnArc(snapped.centre, snapped.radius, start, sweep, snapped.width)
