"""From a sheet's own frame to the real part: upright as seen, mm, distortion taken out."""

from __future__ import annotations

import itertools
import math

import numpy as np
from numpy.typing import NDArray

from audit.geometry import NotInvertible, Point, Transform
from audit.records import Scale, Sheet
from audit.report.seen import see_page

Matrix = NDArray[np.float64]


def real_map(sheet: Sheet, scale: Scale, *, at: Point) -> Transform:
    """Map a sheet's frame to real mm, turned as the sheet is seen.

    Parameters
    ----------
    sheet : Sheet
    scale : Scale
        Of the view: real mm for each mm on the paper, with its shear.
    at : Point
        A place of the view, in the sheet's frame.

    Returns
    -------
    Transform
        x to the right and y down as seen; the origin is arbitrary. A homography for photos.

    Raises
    ------
    NotInvertible
        If the sheet's way to the paper has no value at `at` (a photo's horizon).
    """
    x, y, shear = scale.x, scale.y, scale.shear
    if abs(shear) >= 1:
        raise NotInvertible("the scale is sheared flat")
    # |v|² = x² dx² + 2 x y s dx dy + y² dy², as `Scale` says
    metric = np.array(
        [[x, y * shear, 0.0], [0.0, y * math.sqrt(1 - shear * shear), 0.0], [0, 0, 1]]
    )
    real = sheet.to_paper.then(Transform.from_matrix(metric))
    try:
        steps = real.jacobian(at)
    except ZeroDivisionError:
        raise NotInvertible("this place lies on the horizon of the photo") from None
    seen = see_page(sheet).from_frame.jacobian(at)
    turned = np.eye(3)
    turned[:2, :2] = _best_turn(steps @ np.linalg.inv(seen))
    return real.then(Transform.from_matrix(turned))


def _best_turn(way: Matrix) -> Matrix:
    """Which of the eight turns and flips brings a map nearest to upright and unflipped."""
    way = way / math.sqrt(abs(float(np.linalg.det(way))))
    turns = []
    for swap, flip_x, flip_y in itertools.product((False, True), (1.0, -1.0), (1.0, -1.0)):
        turn = np.array([[0.0, 1.0], [1.0, 0.0]]) if swap else np.eye(2)
        turns.append(np.diag([flip_x, flip_y]) @ turn)
    return max(turns, key=lambda turn: float(np.trace(turn @ way)))
