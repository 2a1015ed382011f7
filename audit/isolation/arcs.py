"""Circles and arcs in what programs really draw: Béziers, and polylines with many short sides.

Everything here is vectorised over all curves or strokes of a page; y points down, angles are
counter-clockwise as seen.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audit.geometry import Point, fit_circle
from audit.records import Arc, Strokes

Floats = NDArray[np.float64]

ON_CIRCLE_PT = 0.02  # two decimals in the file, twice rounded
ON_CIRCLE_RELATIVE = 5e-4  # a quarter circle drawn as one Bézier is 2.7e-4 off at worst
STRAIGHT_PT = 0.004  # control points closer to the chord than this draw a straight line
SAME_CENTRE_RELATIVE = 5e-3  # of the radius, between the pieces of one arc
JOINED_PT = 0.02
MAX_TURN_DEG = 31.0  # a twelve-sided polygon and finer counts as a circle, an octagon does not
MIN_TURN_DEG = 0.3
MIN_SIDES = 5  # of a polyline, before it counts as an arc
EVEN_TURN = 0.2  # of the turn: how unequal neighbouring corners may be
MAX_RADIUS_PT = 20_000.0
MIN_RADIUS_PT = 0.2


@dataclass(frozen=True, slots=True, kw_only=True)
class Curves:
    """Cubic Béziers of a page: `points` is (n, 4, 2); the other columns as in `Strokes`."""

    points: Floats
    widths: Floats
    paths: NDArray[np.int32]
    pattern: NDArray[np.int32]


@dataclass(frozen=True, slots=True)
class _Piece:
    """An arc on the way to being joined: signed sweep, radians, y down."""

    cx: float
    cy: float
    r: float
    start: float
    sweep: float


def evaluate(points: Floats, t: float) -> Floats:
    """Points of (n, 4, 2) Béziers at one parameter, (n, 2)."""
    s = 1 - t
    result: Floats = (
        s**3 * points[:, 0]
        + 3 * s * s * t * points[:, 1]
        + 3 * s * t * t * points[:, 2]
        + t**3 * points[:, 3]
    )
    return result


def is_straight(points: Floats) -> NDArray[np.bool_]:
    """Which of (n, 4, 2) Béziers are really straight lines."""
    chord = points[:, 3] - points[:, 0]
    length = np.hypot(chord[:, 0], chord[:, 1])
    normal = np.column_stack([-chord[:, 1], chord[:, 0]]) / np.maximum(length, 1e-9)[:, None]
    aside = np.abs(np.einsum("nij,nj->ni", points[:, 1:3] - points[:, :1], normal)).max(axis=1)
    straight: NDArray[np.bool_] = (aside < STRAIGHT_PT) & (length > 10 * STRAIGHT_PT)
    return straight


def circles_through(a: Floats, b: Floats, c: Floats) -> tuple[Floats, Floats]:
    """Centres (n, 2) and radii (n,) of circles through three points each; infinite if straight."""
    u, v = b - a, c - a
    d = 2 * (u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0])
    with np.errstate(divide="ignore", invalid="ignore"):
        uu, vv = (u**2).sum(axis=1), (v**2).sum(axis=1)
        x = (v[:, 1] * uu - u[:, 1] * vv) / d
        y = (u[:, 0] * vv - v[:, 0] * uu) / d
    r = np.hypot(x, y)
    return np.column_stack([x, y]) + a, np.where(np.isfinite(r), r, np.inf)


def arcs_from_curves(
    curves: Curves, patterns: tuple[tuple[float, ...], ...]
) -> tuple[tuple[Arc, ...], NDArray[np.bool_]]:
    """Circular Béziers, joined; and for each curve whether it went into one."""
    p = curves.points
    if not len(p):
        return (), np.zeros(0, np.bool_)
    middle = evaluate(p, 0.5)
    centre, radius = circles_through(p[:, 0], middle, p[:, 3])
    limit = np.maximum(ON_CIRCLE_PT, ON_CIRCLE_RELATIVE * np.minimum(radius, MAX_RADIUS_PT))
    good = (radius < MAX_RADIUS_PT) & (radius > MIN_RADIUS_PT)
    for t in (0.15, 0.3, 0.7, 0.85):
        q = evaluate(p, t)
        with np.errstate(invalid="ignore"):
            off = np.abs(np.hypot(*(q - centre).T) - radius)
        good &= np.nan_to_num(off, nan=np.inf) <= limit
    # a short flat piece fits any circle: it must bend clearly more than the limit
    sagitta = np.hypot(*(middle - (p[:, 0] + p[:, 3]) / 2).T)
    good &= sagitta > 1.5 * ON_CIRCLE_PT
    pieces: dict[int, _Piece] = {}
    for i in np.flatnonzero(good):
        pieces[int(i)] = _piece(p[i, 0], middle[i], p[i, 3], centre[i], float(radius[i]))
    arcs = []
    for group in _runs(pieces, curves):
        rows = [pieces[i] for i in group]
        first = group[0]
        arcs.append(
            _joined(
                rows,
                float(curves.widths[first]),
                int(curves.paths[first]),
                patterns[int(curves.pattern[first])],
            )
        )
    return tuple(arcs), good


def _piece(a: Floats, m: Floats, b: Floats, centre: Floats, r: float) -> _Piece:
    angles = [math.atan2(q[1] - centre[1], q[0] - centre[0]) for q in (a, m, b)]
    first = (angles[1] - angles[0] + math.pi) % (2 * math.pi) - math.pi
    second = (angles[2] - angles[1] + math.pi) % (2 * math.pi) - math.pi
    return _Piece(float(centre[0]), float(centre[1]), r, angles[0], first + second)


def _runs(pieces: dict[int, _Piece], curves: Curves) -> list[list[int]]:
    """Group curves that follow each other on one circle."""
    groups: list[list[int]] = []
    for i, piece in pieces.items():
        if groups and groups[-1][-1] == i - 1 and curves.paths[i] == curves.paths[i - 1]:
            before = pieces[i - 1]
            near = SAME_CENTRE_RELATIVE * before.r + ON_CIRCLE_PT
            joined = np.abs(curves.points[i, 0] - curves.points[i - 1, 3]).max() < JOINED_PT
            if (
                joined
                and math.hypot(piece.cx - before.cx, piece.cy - before.cy) < near
                and abs(piece.r - before.r) < near
                and piece.sweep * before.sweep > 0
            ):
                groups[-1].append(i)
                continue
        groups.append([i])
    return groups


def _joined(rows: list[_Piece], width: float, path: int, dashes: tuple[float, ...]) -> Arc:
    weight = np.array([abs(r.sweep) for r in rows])
    cx = float(np.average([r.cx for r in rows], weights=weight))
    cy = float(np.average([r.cy for r in rows], weights=weight))
    radius = float(np.average([r.r for r in rows], weights=weight))
    sweep = sum(r.sweep for r in rows)
    return arc_record(
        (cx, cy), radius, start=rows[0].start, sweep=sweep, width=width, path=path, dashes=dashes
    )


def arc_record(
    centre: tuple[float, float],
    radius: float,
    *,
    start: float,
    sweep: float,
    width: float,
    path: int,
    dashes: tuple[float, ...],
) -> Arc:
    """Arc record from a start and signed sweep in radians measured with y down."""
    if abs(sweep) > 2 * math.pi - 0.01:
        start, sweep = 0.0, 2 * math.pi
    low = start if sweep < 0 else start + sweep  # counter-clockwise as seen starts here
    return Arc(
        centre=Point(float(centre[0]), float(centre[1])),
        radius=radius,
        start=(-math.degrees(low)) % 360.0,
        sweep=min(abs(math.degrees(sweep)), 360.0),
        width=width,
        path=path,
        dashes=dashes,
    )


def arcs_from_polylines(strokes: Strokes) -> tuple[tuple[Arc, ...], NDArray[np.bool_]]:
    """Find runs of short strokes with equal turns that lie on one circle.

    Strokes must be in drawing order. An octagon nut is no circle: corners over 31° don't count.
    The second result tells for each stroke whether it went into an arc.
    """
    n = len(strokes)
    used = np.zeros(n, np.bool_)
    if n < MIN_SIDES:
        return (), used
    bends = _even_bends(strokes)
    arcs: list[Arc] = []
    for first, last in _true_runs(bends):
        # bend i joins strokes i and i + 1
        arc = _fit_run(strokes, first, last + 2)
        if arc is not None:
            arcs.append(arc)
            used[first : last + 2] = True
    return tuple(arcs), used


def _even_bends(strokes: Strokes) -> Floats:
    """Signed turn at each joint of consecutive strokes, 0 where it is no joint of an arc."""
    e = strokes.ends
    d = e[:, 2:] - e[:, :2]
    length = np.hypot(d[:, 0], d[:, 1])
    joined = np.abs(e[1:, :2] - e[:-1, 2:]).max(axis=1) < JOINED_PT
    joined &= np.abs(strokes.widths[1:] - strokes.widths[:-1]) < 1e-3
    joined &= strokes.pattern[1:] == strokes.pattern[:-1]
    cross = d[:-1, 0] * d[1:, 1] - d[:-1, 1] * d[1:, 0]
    dot = (d[:-1] * d[1:]).sum(axis=1)
    turn = np.degrees(np.arctan2(cross, dot))
    small = (np.abs(turn) < MAX_TURN_DEG) & (np.abs(turn) > MIN_TURN_DEG)
    # turn per length is what stays constant; the first and last side of an arc may be short
    mean = (length[:-1] + length[1:]) / 2
    with np.errstate(divide="ignore", invalid="ignore"):
        bend = np.where(joined & small, turn / np.maximum(mean, 1e-9), 0.0)
    return np.asarray(bend, float)


def _true_runs(bends: Floats) -> list[tuple[int, int]]:
    """First and last joint of each run of like bends."""
    runs: list[tuple[int, int]] = []
    nonzero = np.flatnonzero(bends)
    if not len(nonzero):
        return runs
    first = last = int(nonzero[0])
    for j in map(int, nonzero[1:]):
        like = abs(bends[j] - bends[last]) <= EVEN_TURN * max(abs(bends[j]), abs(bends[last]))
        if j == last + 1 and like:
            last = j
            continue
        runs.append((first, last))
        first = last = j
    runs.append((first, last))
    return [(a, b) for a, b in runs if b - a + 2 >= MIN_SIDES]


def _fit_run(strokes: Strokes, first: int, stop: int) -> Arc | None:
    e = strokes.ends[first:stop]
    corners = np.vstack([e[:1, :2], e[:, 2:]])
    closed = np.abs(corners[0] - corners[-1]).max() < JOINED_PT
    try:
        circle = fit_circle(corners[:-1] if closed else corners)
    except ValueError:
        return None
    limit = max(ON_CIRCLE_PT, ON_CIRCLE_RELATIVE * circle.radius)
    if circle.rms > limit or not MIN_RADIUS_PT < circle.radius < MAX_RADIUS_PT:
        return None
    angles = np.arctan2(corners[:, 1] - circle.centre.y, corners[:, 0] - circle.centre.x)
    steps = (np.diff(angles) + np.pi) % (2 * np.pi) - np.pi
    sweep = float(steps.sum())
    if circle.radius * (1 - math.cos(min(abs(sweep), math.pi) / 2)) < 4 * limit:
        return None  # too flat to tell from a gentle curve of another kind
    return arc_record(
        circle.centre,
        circle.radius,
        start=float(angles[0]),
        sweep=sweep,
        width=float(strokes.widths[first]),
        path=int(strokes.paths[first]),
        dashes=strokes.patterns[int(strokes.pattern[first])],
    )
