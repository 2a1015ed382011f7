"""Pen lines to pixels, so that every machine gets the same ones.

Places are rounded to 1/256 px; from there on only + − × ÷ and square root are used, which IEEE 754
fixes to the last bit, and each result is rounded to a byte. No library draws.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from drawing.hand import PenLine, Wedge
from drawing.marks import Point, distance

GRID = 256  # steps of a pixel
LONGEST = 14.0  # px, longest piece drawn at once
PATCH = 26  # px, room for a piece and its width on both sides
AT_ONCE = 1500
Warp = Callable[[Point], Point]
Bytes = NDArray[np.uint8]


def ink_of(
    lines: list[PenLine],
    wedges: list[Wedge],
    *,
    warp: Warp,
    scale: Callable[[Point], float],
    width: int,
    height: int,
) -> Bytes:
    """Ink on every pixel, 0 none to 255 full; `scale` is px to the inch at a place."""
    canvas = np.zeros((height + 2 * PATCH, width + 2 * PATCH), np.uint8)
    pieces = [piece for line in lines for piece in _pieces(line, warp, scale)]
    for start in range(0, len(pieces), AT_ONCE):
        _draw_pieces(canvas, np.array(pieces[start : start + AT_ONCE]))
    for wedge in wedges:
        _draw_wedge(canvas, np.array([_fixed(warp(p)) for p in wedge.points]), wedge.ink)
    return canvas[PATCH:-PATCH, PATCH:-PATCH].copy()


def _fixed(point: Point) -> Point:
    return round(point[0] * GRID) / GRID, round(point[1] * GRID) / GRID


def _pieces(line: PenLine, warp: Warp, scale: Callable[[Point], float]) -> list[tuple[float, ...]]:
    radius = round(line.width * scale(line.points[0]) / 2 * GRID) / GRID
    ink = round(line.ink * 255)
    places = [_fixed(warp(p)) for p in line.points]
    rows = []
    for a, b in itertools.pairwise(places):
        count = max(1, int(distance(a, b) / LONGEST) + 1)
        cuts = [
            (a[0] + (b[0] - a[0]) * i / count, a[1] + (b[1] - a[1]) * i / count)
            for i in range(count + 1)
        ]
        rows += [(*_fixed(p), *_fixed(q), radius, ink) for p, q in itertools.pairwise(cuts)]
    return rows


def _draw_pieces(canvas: Bytes, pieces: NDArray[np.float64]) -> None:
    """Draw round-ended pieces: coverage falls from 1 to 0 over one pixel at the edge."""
    ax, ay, bx, by, radius, ink = (pieces[:, i, None, None] for i in range(6))
    left = np.floor((ax + bx) / 2).astype(np.int64) - PATCH // 2
    top = np.floor((ay + by) / 2).astype(np.int64) - PATCH // 2
    reach = np.arange(PATCH) + 0.5
    x, y = left + reach[None, None, :], top + reach[None, :, None]
    dx, dy = bx - ax, by - ay
    length2 = np.maximum(dx * dx + dy * dy, 1e-12)
    share = np.clip(((x - ax) * dx + (y - ay) * dy) / length2, 0.0, 1.0)
    off_x, off_y = x - ax - share * dx, y - ay - share * dy
    cover = np.clip(radius + 0.5 - np.sqrt(off_x * off_x + off_y * off_y), 0.0, 1.0)
    patches = np.floor(cover * ink + 0.5).astype(np.uint8)
    for patch, row, column in zip(patches, top.ravel() + PATCH, left.ravel() + PATCH, strict=True):
        _darken(canvas, patch, int(row), int(column))


def _draw_wedge(canvas: Bytes, corners: NDArray[np.float64], ink: float) -> None:
    left, top = np.floor(corners.min(axis=0)).astype(int) - 2
    wide, high = np.ceil(corners.max(axis=0)).astype(int) + 2 - (left, top)
    x = left + np.arange(wide)[None, :] + 0.5
    y = top + np.arange(high)[:, None] + 0.5
    (ax, ay), (bx, by), (cx, cy) = corners
    way = 1.0 if (bx - ax) * (cy - ay) - (by - ay) * (cx - ax) > 0 else -1.0
    cover = np.ones((high, wide))
    for (px, py), (qx, qy) in (((ax, ay), (bx, by)), ((bx, by), (cx, cy)), ((cx, cy), (ax, ay))):
        side = np.sqrt((qx - px) * (qx - px) + (qy - py) * (qy - py))
        inside = way * ((qx - px) * (y - py) - (qy - py) * (x - px)) / side
        cover = np.minimum(cover, np.clip(inside + 0.5, 0.0, 1.0))
    patch = np.floor(cover * round(ink * 255) + 0.5).astype(np.uint8)
    _darken(canvas, patch, int(top) + PATCH, int(left) + PATCH)


def _darken(canvas: Bytes, patch: Bytes, row: int, column: int) -> None:
    height, width = patch.shape
    if row < 0 or column < 0 or row + height > canvas.shape[0] or column + width > canvas.shape[1]:
        raise ValueError("a mark runs off the picture")
    view = canvas[row : row + height, column : column + width]
    np.maximum(view, patch, out=view)
