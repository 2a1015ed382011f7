"""Nothing far off the paper leaves the worker: hostile numbers must not cost the parent anything.

What lies off the page is not printed. A file may still draw there, up to coordinates that any grid
laid over the lines would need all memory for; so lines are cut at one page's size beside the
page, and what is not finite is dropped.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from audit.geometry import Box, Point
from audit.records import Arc, Fills, Glyphs, Strokes, VectorPage

Floats = NDArray[np.float64]

MAX_INK_PT = 3e7  # of lines on a page, 10 km; a crowded E-size sheet has about 3e6
MAX_SIDE_PT = 200 * 14_400.0  # the largest page of the format, with a hundred times its unit
MAX_ARC_PAGES = 50.0  # a radius of that many page sizes is a straight line


def bound_page(page: VectorPage) -> VectorPage:
    """Cut everything to the page and one page's size around it.

    Parameters
    ----------
    page : VectorPage

    Returns
    -------
    VectorPage
        `truncated` when lines were left out because there is too much of them; not for what lies
        off the paper.
    """
    reach = min(max(page.width, page.height), MAX_SIDE_PT)
    room = Box(-reach, -reach, page.width + reach, page.height + reach)
    strokes, cut_off = _bound_strokes(page.strokes, room)
    return replace(
        page,
        strokes=strokes,
        arcs=tuple(a for a in page.arcs if _fits(a, room, reach)),
        fills=_bound_fills(page.fills, room),
        texts=tuple(g for g in page.texts if _is_text_fit(g, room)),
        images=tuple(b for b in page.images if np.isfinite(b).all()),
        truncated=page.truncated or cut_off,
    )


def _bound_strokes(strokes: Strokes, room: Box) -> tuple[Strokes, bool]:
    finite = np.isfinite(strokes.ends).all(axis=1) & np.isfinite(strokes.widths)
    room_corners = np.array([[room.x0, room.y0, room.x1, room.y1]])
    ends, inside = cut_lines(np.where(finite[:, None], strokes.ends, 0.0), room_corners)
    keep = finite & inside
    lengths = np.where(keep, np.hypot(*(ends[:, 2:] - ends[:, :2]).T), 0.0)
    within = np.cumsum(lengths) <= MAX_INK_PT
    kept = keep & within
    return (
        replace(strokes.chosen(kept), ends=ends[kept]),
        not within.all(),
    )


def cut_lines(ends: Floats, boxes: Floats) -> tuple[Floats, NDArray[np.bool_]]:
    """Cut lines at boxes (Liang and Barsky's parametric clipping, all lines at once).

    Parameters
    ----------
    ends : ndarray, shape (n, 4)
        x and y of both ends, finite.
    boxes : ndarray, shape (n, 4) or (1, 4)
        Left, top, right and bottom of each line's box, or of the one for all.

    Returns
    -------
    ndarray, shape (n, 4)
        Lines that lie inside come back bit for bit.
    ndarray of bool, shape (n,)
        Whether any of a line is inside.
    """
    low, high = np.zeros(len(ends)), np.ones(len(ends))
    delta = ends[:, 2:] - ends[:, :2]
    for axis in (0, 1):
        start, step = ends[:, axis], delta[:, axis]
        least, most = boxes[:, axis], boxes[:, axis + 2]
        with np.errstate(divide="ignore", invalid="ignore"):
            first, second = (least - start) / step, (most - start) / step
        level = step == 0
        outside = level & ((start < least) | (start > most))
        low = np.where(level, low, np.maximum(low, np.minimum(first, second)))
        high = np.where(level, high, np.minimum(high, np.maximum(first, second)))
        high = np.where(outside, -1.0, high)
    cut = ends.copy()
    begins, ends_early = (low > 0)[:, None], (high < 1)[:, None]
    cut[:, :2] = np.where(begins, ends[:, :2] + low[:, None] * delta, cut[:, :2])
    cut[:, 2:] = np.where(ends_early, ends[:, :2] + high[:, None] * delta, cut[:, 2:])
    return cut, low <= high


def _fits(arc: Arc, room: Box, reach: float) -> bool:
    x, y, r = arc.centre.x, arc.centre.y, arc.radius
    if not np.isfinite((x, y, r, arc.start, arc.sweep, arc.width)).all():
        return False
    return r <= MAX_ARC_PAGES * reach and room.grown(r).contains((x, y))


def _bound_fills(fills: Fills, room: Box) -> Fills:
    """Drop outlines off the page, and pull in the corners of those that reach far out."""
    kept: list[int] = []
    for i in range(len(fills.starts) - 1):
        points = fills.points[fills.starts[i] : fills.starts[i + 1]]
        low, high = points.min(axis=0), points.max(axis=0)
        if np.isfinite(points).all() and room.overlaps(Box(*low, *high)):
            kept.append(i)
    if len(kept) == len(fills.starts) - 1 and _all_inside(fills.points, room):
        return fills
    parts = [fills.points[fills.starts[i] : fills.starts[i + 1]] for i in kept]
    points = np.vstack(parts) if parts else np.zeros((0, 2))
    return Fills(
        points=np.clip(points, (room.x0, room.y0), (room.x1, room.y1)),
        starts=np.cumsum([0, *map(len, parts)]).astype(np.int32),
        paths=fills.paths[kept],
        greys=fills.greys[kept],
    )


def _all_inside(points: Floats, room: Box) -> bool:
    x, y = points[:, 0], points[:, 1]
    inside = (x >= room.x0) & (x <= room.x1) & (y >= room.y0) & (y <= room.y1)
    return bool(inside.all())


def _is_text_fit(glyphs: Glyphs, room: Box) -> bool:
    numbers = [glyphs.size, glyphs.angle, *glyphs.origin]
    numbers += [v for corner in glyphs.quad for v in corner]
    numbers += [v for _, box in glyphs.chars for v in box]
    if not np.isfinite(numbers).all():
        return False
    return all(room.contains(Point(*corner)) for corner in glyphs.quad)
