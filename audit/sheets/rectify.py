"""A photo made flat: from four corners of a known rectangle to mm on the paper."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from audit.errors import BadPlace
from audit.geometry import NotInvertible, Point, Transform
from audit.lengths import Length, Unit
from audit.records import Sheet
from audit.uncertainty import photo_scatter

MIN_CORNER_SIN = 0.05  # three corners within 3° of a line fix no rectangle
MIN_SIDE_SIGMAS = 20.0  # shorter sides than this many corner uncertainties measure nothing
OUTSIDE_BY = 1.0  # frame units a corner may lie outside: a corner on the very edge is honest
SWAPPED_FACTOR = 1.3  # how much better the swapped sides must fit before that is said
GRID = 5  # places along each side of the rectangle between which lengths are tried
STEP_SIGMAS = 0.5  # for the numeric derivative, in corner uncertainties
ADVICE_ORDER = "give the four corners clockwise from the top left"


def rectify(
    sheet: Sheet,
    corners: Sequence[tuple[float, float]],
    width: Length,
    height: Length,
    *,
    sigma: float,
    u_size: float = 0.0,
) -> Sheet:
    """Fix a sheet's paper by four corners of a rectangle of known size on it.

    Parameters
    ----------
    sheet : Sheet
    corners : sequence of 4 points
        In the sheet's frame, clockwise as seen from the top left (for a photo whose EXIF says that
        it is mirrored: as seen unmirrored).
    width : Length
        Of the rectangle: first corner to second.
    height : Length
        Second corner to third.
    sigma : float, >0
        Standard uncertainty of each corner along x and y, in the sheet's frame: how well it was
        picked. That a photograph is no perfect view of a plane is added (`photo_scatter`).
    u_size : float
        Standard uncertainty of `width` and `height`, mm.

    Returns
    -------
    Sheet
        With `to_paper` a homography to mm, the origin at the first corner, and `u_paper` such
        that a length between two places inside the rectangle has, on the average over such
        lengths, the standard uncertainty √2 `u_paper`.

    Raises
    ------
    BadPlace
        If the corners or the size cannot be those of a rectangle on this sheet.
    """
    points = [Point(float(x), float(y)) for x, y in corners]
    size = _size_mm(width, height)
    _check_corners(sheet, points, sigma=sigma)
    _check_proportions(points, size)
    try:
        to_paper = _homography(points, size)
    except NotInvertible as error:
        raise BadPlace(f"these corners fix no rectangle: {error}", advice=ADVICE_ORDER) from error
    seen = math.hypot(sigma, photo_scatter(sheet))
    u_paper = _propagate(points, size, sigma=seen, u_size=u_size)
    return replace(sheet, to_paper=to_paper, paper_known=True, u_paper=u_paper)


def _size_mm(width: Length, height: Length) -> tuple[float, float]:
    if Unit.DEG in (width.unit, height.unit) or width.value <= 0 or height.value <= 0:
        advice = 'write it as "11 x 8.5 in"'
        raise BadPlace("a rectangle needs a width and a height above zero", advice=advice)
    return float(width.to(Unit.MM).value), float(height.to(Unit.MM).value)


def _target(size: tuple[float, float]) -> list[tuple[float, float]]:
    width, height = size
    return [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)]


def _homography(points: Sequence[tuple[float, float]], size: tuple[float, float]) -> Transform:
    return Transform.from_points(points, _target(size))


def _check_corners(sheet: Sheet, points: list[Point], *, sigma: float) -> None:
    if len(points) != 4:
        raise BadPlace(f"a rectangle has four corners, not {len(points)}", advice=ADVICE_ORDER)
    if not all(map(math.isfinite, (v for p in points for v in p))):
        raise BadPlace("a corner is no number", advice=ADVICE_ORDER)
    for point in points:
        if not sheet.box.grown(OUTSIDE_BY).contains(point):
            where = f"the corner {point.x:g},{point.y:g} lies outside {sheet.name}"
            advice = f"x goes from 0 to {sheet.width:g}, y from 0 to {sheet.height:g}"
            raise BadPlace(where, advice=advice)
    if min(a.distance(b) for a, b in combinations(points, 2)) < MIN_SIDE_SIGMAS * sigma:
        advice = "give the corners of a larger rectangle"
        raise BadPlace("two corners are too close together to measure from", advice=advice)
    _check_order([-s for s in _bends(points)] if sheet.mirrored else _bends(points))


def _bends(points: list[Point]) -> list[float]:
    """Sine of the turn at each corner: positive where the way turns right (y down)."""
    bends = []
    for i, corner in enumerate(points):
        before, after = points[i - 1], points[(i + 1) % 4]
        ux, uy = corner.x - before.x, corner.y - before.y
        vx, vy = after.x - corner.x, after.y - corner.y
        bends.append((ux * vy - uy * vx) / (math.hypot(ux, uy) * math.hypot(vx, vy)))
    return bends


def _check_order(bends: list[float]) -> None:
    if any(abs(s) < MIN_CORNER_SIN for s in bends):
        problem = "three of the corners lie on one line"
        raise BadPlace(problem, advice="give the corners of a rectangle seen more from above")
    if all(s < 0 for s in bends):
        raise BadPlace("the corners go counter-clockwise", advice=ADVICE_ORDER)
    if not all(s > 0 for s in bends):
        raise BadPlace("the sides of the rectangle cross or bend inwards", advice=ADVICE_ORDER)


def _check_proportions(points: list[Point], size: tuple[float, float]) -> None:
    """Refuse a landscape size given for a portrait figure: then the first corner is another."""
    a, b, c, d = points
    seen = math.log((a.distance(b) + c.distance(d)) / (b.distance(c) + d.distance(a)))
    given = math.log(size[0] / size[1])
    if seen * given < 0 and abs(seen + given) + math.log(SWAPPED_FACTOR) < abs(seen - given):
        longer = "taller than wide" if seen < 0 else "wider than tall"
        advice = "start at the corner that is top left on the paper, or swap width and height"
        raise BadPlace(f"from these corners the rectangle is {longer}", advice=advice)


def _propagate(
    points: list[Point], size: tuple[float, float], *, sigma: float, u_size: float
) -> float:
    """Return the standard uncertainty of one end of a length on the rectified paper, mm.

    The four corners (and the two sides) are moved one by one; what that does to lengths between
    places of a grid is added up as variances. First-order propagation: JCGM 100:2008, 5.1.2.
    """
    places = _grid_places(points, size)
    base = _lengths_between(_homography(points, size).apply_many(places))
    variance = np.zeros_like(base)
    step = STEP_SIGMAS * sigma
    for corner in range(4):
        for dx, dy in ((step, 0.0), (0.0, step)):
            moved = list(points)
            moved[corner] = points[corner].moved(dx, dy)
            change = _lengths_between(_homography(moved, size).apply_many(places)) - base
            variance += (change * sigma / step) ** 2
    for side in range(2):
        stretch = np.ones(2)
        stretch[side] += 1e-3
        longer = (size[0] * stretch[0], size[1] * stretch[1])
        change = _lengths_between(_homography(points, longer).apply_many(places)) - base
        variance += (change * u_size / (1e-3 * size[side])) ** 2
    return math.sqrt(float(variance.mean()) / 2)


def _grid_places(points: list[Point], size: tuple[float, float]) -> NDArray[np.float64]:
    """Places in the frame that lie on an even grid over the rectangle."""
    back = _homography(points, size).inverse()
    steps = np.linspace(0.0, 1.0, GRID)
    x, y = np.meshgrid(steps * size[0], steps * size[1])
    return back.apply_many(np.column_stack([x.ravel(), y.ravel()]))


def _lengths_between(places: NDArray[np.float64]) -> NDArray[np.float64]:
    i, j = np.triu_indices(len(places), k=1)
    apart = places[i] - places[j]
    return np.asarray(np.hypot(apart[:, 0], apart[:, 1]), dtype=float)
