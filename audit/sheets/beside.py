"""How far paper goes on beside what is drawn on it, in a photo that does not show all its edge."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from audit.geometry import Box, Transform
from audit.sheets.strokes import PLAIN, TIMES_PLAINEST, measure_roughness, shrink

Array = NDArray[np.float64]

STEPS = 20  # in which a side is moved out
PLACES = 40  # looked at along a side
ROUGH_SHARE = 0.5  # of them: a picture or a text on the paper is seldom as long as its drawing
ROUGH_ON = 0.8  # of the steps from the table's edge on; that of a shadow is soon crossed


def grow_to_table(gray: NDArray[np.uint8], to_paper: Transform, drawn: Box, *, most: float) -> Box:
    """Grow the box of a drawing over plain paper, as far as the table or the paper's edge.

    A table has grain, which networks take for texts and lines.

    Parameters
    ----------
    gray : ndarray of uint8, shape (rows, columns)
        The photo.
    to_paper : Transform
        From its px.
    drawn : Box
        On the paper.
    most : float
        How far each side may go.

    Returns
    -------
    Box
    """
    small, times = shrink(gray)
    rough = measure_roughness(small)
    back = to_paper.inverse().then(Transform.scaling(1 / times))
    inside = _look_up(rough, back, _grid(drawn))
    plainest = float(np.median(inside)) if len(inside) else 0.0
    limit = max(PLAIN, TIMES_PLAINEST * plainest)
    left, top, right, low = (
        _go(rough, back, _side(drawn, k), out, limit=limit, most=most)
        for k, out in enumerate(((-1, 0), (0, -1), (1, 0), (0, 1)))
    )
    return Box(drawn.x0 - left, drawn.y0 - top, drawn.x1 + right, drawn.y1 + low)


def _go(
    rough: NDArray[np.float32],
    back: Transform,
    side: Array,
    out: tuple[int, int],
    *,
    limit: float,
    most: float,
) -> float:
    """How far a side goes until its ground is rough, and nearly all that is seen further out."""
    on_table: list[bool] = []
    for k in range(1, STEPS + 1):
        seen = _look_up(rough, back, side + np.array(out) * most * k / STEPS)
        if not len(seen):
            break
        on_table.append(float((seen > limit).mean()) > ROUGH_SHARE)
    for k, here in enumerate(on_table):
        if here and float(np.mean(on_table[k:])) > ROUGH_ON:
            return most * k / STEPS
    return most


def _side(box: Box, which: int) -> Array:
    """Places along the left, upper, right or lower side."""
    along = np.linspace(0.0, 1.0, PLACES)
    x, y = box.x0 + along * box.width, box.y0 + along * box.height
    if which % 2:
        return np.column_stack([x, np.full(PLACES, (box.y0, box.y1)[which // 2])])
    return np.column_stack([np.full(PLACES, (box.x0, box.x1)[which // 2]), y])


def _grid(box: Box) -> Array:
    across = np.linspace(box.x0, box.x1, PLACES)
    down = np.linspace(box.y0, box.y1, PLACES)
    return np.array([(x, y) for y in down for x in across])


def _look_up(rough: NDArray[np.float32], back: Transform, places: Array) -> NDArray[np.float32]:
    """Roughness at places of the paper, of those that the photo shows."""
    px = np.floor(back.apply_many(places)).astype(int)
    rows, columns = rough.shape
    shown = (px >= 0).all(axis=1) & (px[:, 0] < columns) & (px[:, 1] < rows)
    return np.asarray(rough[px[shown, 1], px[shown, 0]], np.float32)
