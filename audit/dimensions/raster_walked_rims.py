"""The arc that a leader's head stands on, followed in the ink to either side of the head.

The sweep of a bracket is drawn as one long bow, wavering, and runs on into straight sides: traced
from chords it is missed, or taken for a much larger one. What one circle fits of the rim that was
followed is the arc that the head stands on.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from audit.dimensions.raster_leader_choice import HALF_DEG
from audit.dimensions.raster_walk_ends import HEADING, Meet, Walk
from audit.dimensions.raster_walk_steps import STEP_PT, FollowedInk, go_on
from audit.geometry import Point, fit_circle
from audit.records import Arc

Floats = NDArray[np.float64]

SIDE_DEG = np.arange(35.0, 146.0, 5.0)  # off a leader: which way its rim runs
RIM_PT, RIM_INKED = 7.0, 0.95  # of a rim on either side of a head: so much of it is inked
SOUGHT_PT = np.arange(-1.0, 2.6, 0.4)  # from a head's tip on: there lies the middle of the rim
UNDER_HEAD = 6  # steps to either side: the head's own ink draws the walk aside
APART = 4  # steps between the places where a fitted stretch may end
LEAST_OFF_PT, MOST_OFF_PT = 0.08, 0.3  # a fitted stretch off its circle, root mean square
AS_GOOD = 1.3  # times as far off as the best stretch is one that no side runs into
AT_ENDS_PT = 0.25  # off a circle, mean
END = 5  # steps
LEAST_SWEEP, MOST_RADIUS_PT = 70.0, 500.0  # degrees; what a hand wavers bends less of an arc
LEAST_RADIUS_PT, OVERRULES_PT = 20.0, 40.0  # smaller ones are traced whole, and better
OFF_RIM_PT, MOST_RIM_SHARE = 0.5, 0.03  # a traced arc that strays by more is another one
WIDTH_PT = 1.0
# What sides, which leave a circle slowly, and the width of ink let a radius be off.
KNOWN_SHARE, LEAST_KNOWN_PT = 0.007, 0.4


def on_followed_rim(meet: Meet | None, walk: Walk, dark: FollowedInk) -> Meet | None:
    """Put a leader to a radius on the rim that was followed, where what was traced is another arc.

    Parameters
    ----------
    meet : Meet or None
        The traced arc it ends at, if any; one of a whole circle stands.
    walk : Walk
        Cut off at its head's tip.
    dark : FollowedInk

    Returns
    -------
    Meet or None
    """
    if meet is not None and meet.arc.sweep >= HALF_DEG:
        return meet
    rim = rim_at(walk, dark)
    if rim is None or (meet is not None and _is_same(meet.arc, rim)):
        return meet
    sigma = max(KNOWN_SHARE * rim.radius, LEAST_KNOWN_PT)
    return Meet(rim, walk.points[-1], 0.0, within=False, sigma=sigma)


def _is_same(traced: Arc, rim: Arc) -> bool:
    off = abs(traced.radius - rim.radius)
    return rim.radius < OVERRULES_PT or off < max(OFF_RIM_PT, MOST_RIM_SHARE * rim.radius)


def rim_at(walk: Walk, dark: FollowedInk) -> Arc | None:
    """Find the arc that a walked leader ends on, from the ink about its end; pt.

    Parameters
    ----------
    walk : Walk
        Cut off at its head's tip.
    dark : FollowedInk

    Returns
    -------
    Arc or None
        `None` where no line lies across, or no circle fits enough of it.
    """
    if len(walk.points) <= HEADING:
        return None
    sides = _sides(dark, walk.points[-1 - HEADING], walk.points[-1])
    return None if sides is None else _longest_arc(*sides)


def _sides(dark: FollowedInk, back: Point, tip: Point) -> tuple[Floats, Floats] | None:
    """Follow the rim at a leader's tip to its left and its right; points without the head's."""
    turn = math.atan2(tip.y - back.y, tip.x - back.x)
    best: tuple[float, Point, list[float]] = (RIM_INKED, tip, [])
    for far in SOUGHT_PT:
        p = tip.moved(far * math.cos(turn), far * math.sin(turn))
        ways = [_darkest(dark, p, turn + side * np.radians(SIDE_DEG)) for side in (1, -1)]
        least = min(share for share, _ in ways)
        if least > best[0] or (least == best[0] and not best[2]):
            best = (least, p, [way for _, way in ways])
    if not best[2]:
        return None
    one, other = (
        np.array(go_on(dark, [best[1]], way)[UNDER_HEAD:], float).reshape(-1, 2) for way in best[2]
    )
    return (one, other) if min(len(one), len(other)) > END else None


def _darkest(dark: FollowedInk, p: Point, turns: Floats) -> tuple[float, float]:
    """Share inked and direction of the darkest way from a point, in the middle of like ones."""
    shares = dark.ahead(p, turns, 0.0, RIM_PT)
    most = np.flatnonzero(shares >= shares.max())
    k = int(most[len(most) // 2])
    return float(shares[k]), float(turns[k])


def _longest_arc(one: Floats, other: Floats) -> Arc | None:
    """Fit the longest stretch about the head that one circle fits."""
    points = np.vstack([one[::-1], other])
    firsts = np.arange(len(one) - END, -1, -APART)
    lasts = np.arange(len(one) + END, len(points) + 1, APART)
    rows, columns = np.meshgrid(firsts, lasts, indexing="ij")
    firsts, lasts = rows.ravel(), columns.ravel()
    rms, sweep = _misfit(points, firsts, lasts)
    rms[sweep < math.radians(LEAST_SWEEP)] = np.inf
    allowed = np.clip(AS_GOOD * rms.min(), LEAST_OFF_PT, MOST_OFF_PT)
    for k in np.argsort(firsts - lasts, kind="stable"):
        if rms[k] < allowed:
            arc = _fitted(points[firsts[k] : lasts[k]])
            if arc is not None:
                return arc
    return None


def _misfit(
    points: Floats, firsts: NDArray[np.intp], lasts: NDArray[np.intp]
) -> tuple[Floats, Floats]:
    """How far stretches of points lie off their circles, root mean square, and their sweeps.

    By algebraic fits; the sweeps in radians, of circles of a size that is measured.
    """
    x, y = (points - points.mean(axis=0)).T
    z = x * x + y * y
    terms = np.column_stack([x * x, x * y, x, y * y, y, np.ones_like(x), x * z, y * z, z, z * z])
    sums = np.vstack([np.zeros(10), np.cumsum(terms, axis=0)])
    xx, xy, sx, yy, sy, n, xz, yz, sz, zz = (sums[lasts] - sums[firsts]).T
    normal = np.array([[xx, xy, sx], [xy, yy, sy], [sx, sy, n]]).transpose(2, 0, 1)
    right = np.stack([xz, yz, sz], axis=1)
    flat = np.abs(np.linalg.det(normal)) < 1e-6
    normal[flat] = np.eye(3)
    c = np.linalg.solve(normal, right[:, :, None])[:, :, 0]
    radius = np.sqrt(np.maximum(c[:, 2] + (c[:, 0] ** 2 + c[:, 1] ** 2) / 4, 1e-9))
    rms = np.sqrt(np.maximum(zz - (c * right).sum(axis=1), 0.0) / n) / (2 * radius)
    bad = flat | (radius > MOST_RADIUS_PT) | (radius < LEAST_RADIUS_PT)
    return np.where(bad, np.inf, rms), STEP_PT * (n - 1) / radius


def _fitted(points: Floats) -> Arc | None:
    """Fit a circle to a stretch; `None` where its ends bend off, or it tells no radius."""
    try:
        fit = fit_circle(points)
    except ValueError:
        return None
    off = np.hypot(*(points - np.array(fit.centre)).T) - fit.radius
    if max(abs(off[:END].mean()), abs(off[-END:].mean())) > AT_ENDS_PT:
        return None
    turns = np.unwrap(np.arctan2(fit.centre.y - points[:, 1], points[:, 0] - fit.centre.x))
    sweep = math.degrees(abs(turns[-1] - turns[0]))
    if sweep < LEAST_SWEEP or not LEAST_RADIUS_PT < fit.radius < MOST_RADIUS_PT:
        return None
    start = math.degrees(min(turns[0], turns[-1])) % 360.0
    return Arc(
        centre=fit.centre,
        radius=fit.radius,
        start=start,
        sweep=min(sweep, 360.0),
        width=WIDTH_PT,
        path=0,
    )
