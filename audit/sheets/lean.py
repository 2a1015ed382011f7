"""How the paper of a photo leans, from the strokes drawn on it.

Most long strokes of a plan are level or plumb on the paper: outlines, dimension and extension
lines, frames, tables. On a photo they run towards two points. The plane on which they are square
to each other again is where the paper lies; its edge need not be seen.

Legend: a picture's place p has its origin in the middle and half the diagonal as its unit, the
lens undone. f is the focal length in that unit, (u, v) where the camera's axis meets the picture.
The paper's horizon is the line ``a x + b y + 1 = 0``, and (a f, b f, a u + b v + 1) is square to
the paper.

References
----------
D. Liebowitz, A. Zisserman, "Metric rectification for perspective images of planes", 1998 (from
memory): the horizon, then right angles. Lines are fitted robustly by Cauchy's loss.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares
from scipy.spatial import Delaunay

from audit.geometry import Box, Lens, Point, Transform
from audit.sheets.plumb import USUAL
from audit.sheets.shape import FOCAL_SPREAD, OFF_AXIS, USUAL_FOCAL

Array = NDArray[np.float64]

STEEPEST_DEG, STEPS = 45.0, 13  # leans that a fit begins from, in either direction
WINDOW_DEG = 2.0  # a lens bends lines by as much, and hands stray by as much
BINS = 90  # of a right angle
END_PX = 0.6  # how well the end of a stroke is seen, across it
STRAY = 0.003  # radians; rulers and hands are no better (judgement, no source)
STARTS, FEW = 12, 60  # leans that are followed, and how often each is tried
WIDE = 4.0  # times as far may strokes be off in the first fit
CAUCHY = 3.0  # standard uncertainties beyond which a stroke counts less and less
SIDES = 2.0  # of a stroke, which are both found, and stray together
WITH = 3.0  # so many standard uncertainties off, a stroke is still one of the level or plumb ones
LEAST_STROKES = 12  # of those
LEAST_SHARE = 0.6  # of the length of all strokes; a drawing of slanted lines says nothing
LEAST_ACROSS = 0.08  # of that length in the direction that has less
SURE = 6.0  # standard uncertainties from level before a lean is believed
LEAST_LEAN = 0.02  # relative change of scale across the strokes; less a scan of bent paper shows
# Sides of strokes amid the others that a lean leaves far off, and that are square to most as they
# lie: so many of them, and so much of all length, and it is the drawing that tapers. Photographs
# through the camera model of the tests have at most 4, with a table of planks about the paper 0.
SQUARE_AS_THEY_LIE, SQUARE_SHARE, FAR_OFF = 6, 0.015, 6.0
STEEPEST = math.cos(math.radians(60.0))  # nobody photographs paper so flatly: it is a table's grain
LEVEL_SURE = 2.0  # standard uncertainties that must fit below that for paper to be called level
MOST_U = 0.02  # of that change; what is known worse than this cannot be measured on
SHAPES = (4 / 3, 3 / 2, 16 / 9)  # of whole pictures; one of another shape was cropped
SAME_SHAPE = 0.01  # relative
CROPPED = 0.25  # of half the diagonal: how far cropping moves the middle (judgement, no source)
K2_SHARE = 0.4  # a second term of the lens is so much smaller than the first


class _Pose(NamedTuple):
    """What is fitted: the horizon, the turn of the paper, ln(f / usual), the axis, the lens."""

    a: float
    b: float
    turn: float
    focal: float = 0.0
    u: float = 0.0
    v: float = 0.0
    k1: float = 0.0
    k2: float = 0.0


LEVEL = _Pose(0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lean:
    """The plane that the paper of a photo lies in.

    Attributes
    ----------
    to_plane : Transform
        From px of the picture to a plane on which strokes are level or plumb; a px in the middle
        of the picture is as large there.
    u_places : float
        Standard uncertainty of a place of the plane along one direction, px, for what the sizes of
        a plan cannot settle: all but its scale and its stretch.
    u_stretch : float
        Of ln(x/y).
    scatter : float
        Of the strokes' ends about level and plumb ones, px along one direction.
    share : float
        Of the length of all strokes, what is level or plumb.
    strokes : array of shape (n, 2, 2)
        Those, px.
    """

    to_plane: Transform
    u_places: float
    u_stretch: float
    scatter: float
    share: float
    strokes: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class NoLean:
    """Why no lean was found. `level`: the strokes say surely that the paper does not lean."""

    reason: str
    level: bool = False


def find_lean(strokes: Array, box: Box) -> Lean | NoLean:
    """Find how the paper leans.

    Parameters
    ----------
    strokes : array of shape (n, 2, 2)
        Both ends of each, px.
    box : Box
        The picture.

    Returns
    -------
    Lean or NoLean
        The latter where the strokes do not say it surely, or say that it does not lean.
    """
    if len(strokes) < LEAST_STROKES:
        return NoLean(reason="there are too few long strokes")
    radius = math.hypot(box.width, box.height) / 2
    flat = (strokes - np.array(box.centre)) / radius
    pose, covariance, off, sigma = _fit(flat, radius)
    kept = np.abs(off) < WITH * sigma
    length = np.hypot(*(flat[:, 1] - flat[:, 0]).T)
    share = float(length[kept].sum() / length.sum())
    if share < LEAST_SHARE or not _both_ways(flat[kept], pose, length[kept]):
        return NoLean(reason="too few of the strokes are square to each other")
    if _axes(pose)[2][2] < STEEPEST:
        return NoLean(reason="the strokes lean as no paper is photographed")
    change, u = _change(pose, covariance, flat[kept])
    if change < max(SURE * u, LEAST_LEAN) or u > MOST_U:
        level = change + LEVEL_SURE * u < LEAST_LEAN
        return NoLean(reason="strokes of one direction are parallel", level=level)
    if _is_square_as_it_lies(flat, length, off, sigma):
        return NoLean(reason="lines converge, but others beside them are square as they lie")
    half = off[kept] * length[kept] * radius / 2
    moves = _moves(covariance, cropped=_is_cropped(box))
    u_places, u_stretch = _uncertainties(pose, moves, flat[kept])
    return Lean(
        to_plane=_transform(pose, box, radius),
        u_places=u_places * radius,
        u_stretch=u_stretch,
        scatter=float(np.sqrt(np.average(half**2, weights=length[kept]))),
        share=share,
        strokes=strokes[kept],
    )


def _prior() -> Array:
    """What is usual, before anything is seen: standard deviations of a pose."""
    k1, k2 = USUAL[0], K2_SHARE * USUAL[1]
    return np.array([1.0, 1.0, math.inf, FOCAL_SPREAD, OFF_AXIS, OFF_AXIS, k1, k2])


def _is_cropped(box: Box) -> bool:
    """Whether a picture has another shape than cameras give, so that its middle is any place."""
    shape = max(box.width, box.height) / min(box.width, box.height)
    return all(abs(shape / usual - 1) > SAME_SHAPE for usual in SHAPES)


def _fit(flat: Array, radius: float) -> tuple[_Pose, Array, Array, Array]:
    """Fit a pose: it, its covariance, how far each stroke is off (radians), and how far it may."""
    length = np.hypot(*(flat[:, 1] - flat[:, 0]).T)
    sigma = np.hypot(END_PX / (length * radius), STRAY)
    prior = _prior()

    def misfit(values: Array, wide: float) -> Array:
        z = _off(flat, _Pose(*values)) / (wide * sigma)
        loss = np.sign(z) * CAUCHY * np.sqrt(np.log1p((z / CAUCHY) ** 2))
        return np.concatenate([loss / math.sqrt(SIDES), values / prior])

    def follow(at: _Pose) -> tuple[float, Array]:
        done = least_squares(misfit, np.array(at), method="lm", args=(WIDE,), max_nfev=FEW)
        return float(done.cost), np.asarray(done.x, float)

    _, at = follow(_Pose(0.0, 0.0, _gather(flat, length, LEVEL)[1]))
    inside = np.abs(_off(flat, _Pose(*at))) < WITH * sigma
    plainly = length[inside].sum() > LEAST_SHARE * length.sum()
    if not plainly or math.hypot(*at[:2]) > LEAST_LEAN:  # most pictures are scans, and done
        _, at = min((follow(start) for start in _starts(flat, length)), key=lambda made: made[0])
    done = least_squares(misfit, at, method="lm", args=(1.0,))
    at = done.x
    pose = _Pose(*(float(v) for v in at))
    off = _off(flat, pose)
    near = (off / sigma)[np.abs(off) < WITH * sigma]
    more = max(1.0, float(np.mean(near**2)) if len(near) else 1.0)
    slopes = np.asarray(done.jac, float)
    covariance = more * np.linalg.pinv(slopes.T @ slopes)
    return pose, np.asarray(covariance, float), off, sigma


def _starts(flat: Array, length: Array) -> list[_Pose]:
    """Try leans in steps: the best turn most length into one direction and across it."""
    tangents = np.tan(np.radians(np.linspace(-STEEPEST_DEG, STEEPEST_DEG, STEPS))) / USUAL_FOCAL
    worth = []
    for a in tangents:
        for b in tangents:
            gathered, turn = _gather(flat, length, _Pose(float(a), float(b), 0.0))
            worth.append((gathered, _Pose(float(a), float(b), turn)))
    worth.sort(key=lambda pair: -pair[0])
    return [pose for _, pose in worth[:STARTS]]


def _gather(flat: Array, length: Array, pose: _Pose) -> tuple[float, float]:
    """Most length within a window of directions, right angles apart, and that direction."""
    ends = _on_plane(flat, pose)
    way = ends[:, 1] - ends[:, 0]
    turn = np.mod(np.arctan2(way[:, 1], way[:, 0]), np.pi / 2) / (np.pi / 2)
    lengths = np.bincount((turn * BINS).astype(int) % BINS, length, minlength=BINS)
    reach = round(WINDOW_DEG / 90 * BINS / 2)
    near = np.sum([np.roll(lengths, k) for k in range(-reach, reach + 1)], axis=0)
    return float(near.max()), (int(near.argmax()) + 0.5) / BINS * math.pi / 2


def _off(flat: Array, pose: _Pose) -> Array:
    """Angle in the picture from each stroke to level or plumb, whichever is nearer, radians."""
    ends = _straight(flat, pose)
    middle, way = ends.mean(axis=1), ends[:, 1] - ends[:, 0]
    across, along, _ = _axes(pose)
    offs = []
    for axis in (across, along):  # towards where lines of this direction vanish
        to = _focal(pose) * axis[:2] + np.array([pose.u, pose.v]) * axis[2] - middle * axis[2]
        sine = way[:, 0] * to[:, 1] - way[:, 1] * to[:, 0]
        cosine = (way * to).sum(axis=1)
        offs.append(np.arctan2(sine * np.sign(cosine), np.abs(cosine)))
    both = np.array(offs)
    return np.asarray(both[np.abs(both).argmin(axis=0), np.arange(len(flat))], float)


def _focal(pose: _Pose) -> float:
    return USUAL_FOCAL * math.exp(min(max(pose.focal, -2.0), 2.0))


def _axes(pose: _Pose) -> tuple[Array, Array, Array]:
    """The paper's two directions, turned, and what is square to it, as the camera sees them."""
    f = _focal(pose)
    square = np.array([pose.a * f, pose.b * f, pose.a * pose.u + pose.b * pose.v + 1.0])
    square /= np.linalg.norm(square)
    first = np.array([1.0, 0.0, 0.0]) - square * square[0]
    first /= np.linalg.norm(first)
    second = np.cross(square, first)
    c, s = math.cos(pose.turn), math.sin(pose.turn)
    return c * first + s * second, c * second - s * first, square


def _straight(flat: Array, pose: _Pose) -> Array:
    """Undo the lens."""
    s = (flat**2).sum(axis=-1, keepdims=True)
    return np.asarray(flat * (1 + s * (pose.k1 + s * pose.k2)), float)


def _matrix(pose: _Pose) -> Array:
    """From straight places to the plane."""
    f = _focal(pose)
    rays = np.array([[1.0, 0.0, -pose.u], [0.0, 1.0, -pose.v], [0.0, 0.0, f]]) / f
    return np.asarray(np.array(_axes(pose)) @ rays, float)


def _on_plane(flat: Array, pose: _Pose) -> Array:
    p = _straight(flat, pose)
    q = np.concatenate([p, np.ones((*p.shape[:-1], 1))], axis=-1) @ _matrix(pose).T
    return np.asarray(q[..., :2] / q[..., 2:], float)


def _both_ways(flat: Array, pose: _Pose, length: Array) -> bool:
    """Whether strokes run in both directions: parallel ones alone lie in many planes."""
    if len(flat) < LEAST_STROKES:
        return False
    ends = _on_plane(flat, pose)
    level = np.abs(ends[:, 1] - ends[:, 0]).argmax(axis=1) == 0
    part = float(length[level].sum() / length.sum())
    return LEAST_ACROSS <= part <= 1 - LEAST_ACROSS


def _is_square_as_it_lies(flat: Array, length: Array, off: Array, sigma: Array) -> bool:
    """Whether strokes that a lean leaves far off are level or plumb in the picture as it is.

    The legs of a stool run together as upright lines do on a photo; what measures them does not.
    Strokes about those that fit the lean are left out: a table has lines of its own.
    """
    turn = _gather(flat, length, LEVEL)[1]
    way = flat[:, 1] - flat[:, 0]
    aside = np.mod(np.arctan2(way[:, 1], way[:, 0]) - turn + np.pi / 4, np.pi / 2) - np.pi / 4
    aside = aside - np.median(aside[np.abs(aside) < math.radians(WINDOW_DEG)])
    amid = Delaunay(flat[np.abs(off) < WITH * sigma].reshape(-1, 2)).find_simplex(flat.mean(axis=1))
    square = (np.abs(off) > FAR_OFF * sigma) & (np.abs(aside) < WITH * sigma) & (amid >= 0)
    share = float(length[square].sum() / length.sum())
    return int(square.sum()) >= SQUARE_AS_THEY_LIE and share >= SQUARE_SHARE


def _change(pose: _Pose, covariance: Array, flat: Array) -> tuple[float, float]:
    """By how much scale changes from one end of the strokes to the other, relative, and its u."""
    lean = np.array(pose[:2])
    size = float(np.hypot(*lean))
    way = lean / size if size > 0 else np.array([1.0, 0.0])
    reach = float(np.ptp(flat.reshape(-1, 2) @ way))
    u = math.sqrt(max(float(way @ covariance[:2, :2] @ way), 0.0))
    return size * reach, u * reach


def _moves(covariance: Array, *, cropped: bool) -> Array:
    """Independent changes of a pose, each one standard uncertainty; shape (n, 8)."""
    values, ways = np.linalg.eigh(covariance)
    moves = np.sqrt(np.maximum(values, 0.0))[:, None] * ways.T
    axes = np.zeros((2, moves.shape[1]))
    axes[0, 4] = axes[1, 5] = CROPPED
    return np.concatenate([moves, axes]) if cropped else moves


def _uncertainties(pose: _Pose, moves: Array, flat: Array) -> tuple[float, float]:
    """Uncertainties of a place between the strokes, in half diagonals, and of ln(x/y)."""
    size = _unit(pose)
    corners = flat.reshape(-1, 2)
    across, down = (np.linspace(corners[:, k].min(), corners[:, k].max(), 5) for k in (0, 1))
    grid = np.array([(x, y) for y in down for x in across])
    base = _on_plane(grid, pose) / size
    spread, stretch = 0.0, 0.0
    for move in moves:
        moved = _on_plane(grid, _Pose(*(np.array(pose) + move))) / size
        left, log = _without_stretch(base, moved)
        spread += float((left**2).mean())
        stretch += log**2
    return math.sqrt(spread), math.sqrt(stretch)


def _without_stretch(base: Array, moved: Array) -> tuple[Array, float]:
    """What is left between two maps when turn, shift, and a scale of each axis are fitted."""
    base, moved = base - base.mean(axis=0), moved - moved.mean(axis=0)
    columns, *_ = np.linalg.lstsq(base, moved, rcond=None)
    x, y = (float(np.hypot(*row)) for row in columns)
    return moved - base @ columns, math.log(x / y)


def _unit(pose: _Pose) -> float:
    """How large half a diagonal, in the picture's middle, is on the plane."""
    m = _matrix(pose)
    middle = m[:2, 2] / m[2, 2]
    jacobian = (m[:2, :2] - np.outer(middle, m[2, :2])) / m[2, 2]
    return math.sqrt(abs(float(np.linalg.det(jacobian))))


def _transform(pose: _Pose, box: Box, radius: float) -> Transform:
    """As a transform from px: turned back to how the picture stands."""
    quarter = round(pose.turn / (math.pi / 2))
    pose = pose._replace(turn=pose.turn - quarter * math.pi / 2)
    middle = Point(*box.centre)
    shift = np.array([[1, 0, -middle.x], [0, 1, -middle.y], [0, 0, radius]]) / radius
    size = np.diag([radius / _unit(pose), radius / _unit(pose), 1.0])
    lens = Lens(centre=middle, radius=radius, k1=pose.k1, k2=pose.k2)
    return Transform(Transform.from_matrix(size @ _matrix(pose) @ shift).rows, lens=lens)
