"""Four-sided figures in a small picture that may be a sheet, or the border drawn on one.

Long straight lines are put together into figures, and every figure is judged by what lies along
its sides: paper brighter than what it lies on, or a drawn line on paper.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

SEGMENT = 0.03  # of the picture's diagonal: shorter pieces of line are texture
JOIN_PX, JOIN_DEG = 3.5, 3.0  # pieces so near are one line; a lens bows long ones by as much
MOST_LINES = 14  # of each version; more lines make more figures than it is worth trying
STROKE_PX = (5, 9, 15)  # strokes and grain narrower than this are taken away, more in each version
LEVELS = 14  # brightnesses at which bright regions are cut out
MOST_QUADS = 4000
LEAST_AREA = 0.07  # of the picture
OUTSIDE = 0.04  # of the diagonal a corner may lie outside the picture
ACROSS_DEG, ALONG_DEG = 35.0, 50.0  # neighbours meet at more, opposite sides differ by less
SAMPLES = 48  # places along a side
NEAR_PX = 4  # a lens bows a side by as much in a picture of `WORK_PX`
BAND_PX = (3, 8)  # between these distances from a side lies what is inside or outside


@dataclass(frozen=True, slots=True, kw_only=True)
class Quad:
    """A figure and how much speaks for it.

    Attributes
    ----------
    corners : array of shape (4, 2)
        Clockwise as seen, px of the small picture.
    support : float
        Share of its weakest side along which an edge is seen, 0 to 1.
    step : float
        Median brightness inside minus outside of the side where that is least, gray levels.
    area : float
        Of the picture.
    """

    corners: Array
    support: float
    step: float
    area: float


def find_lines(gray: NDArray[np.uint8]) -> Array:
    """Find long straight lines: joined pieces, the longest first.

    Parameters
    ----------
    gray : ndarray of uint8, shape (rows, columns)

    Returns
    -------
    array of shape (n, 4)
        Unit normal, distance from the origin along it, and total length of the pieces.
    """
    least = SEGMENT * float(np.hypot(*gray.shape))
    quiet = np.asarray(cv2.medianBlur(gray, 3), np.uint8)
    lines = [_lines_of(version, least) for version in (quiet, *plain(gray))]
    return _without_doubles(np.concatenate(lines), gray.shape)


def plain(gray: NDArray[np.uint8]) -> tuple[NDArray[np.uint8], ...]:
    """Return the picture without strokes and grain: dark ones filled, then bright ones cut."""
    versions = []
    for side in STROKE_PX:
        kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (side, side))
        filled = cv2.morphologyEx(gray, cv2.MORPH_CLOSE, kernel)
        cut = cv2.morphologyEx(filled, cv2.MORPH_OPEN, kernel)
        versions.append(cv2.medianBlur(np.asarray(cut, np.uint8), 5))
    return tuple(np.asarray(v, np.uint8) for v in versions)


def _lines_of(picture: NDArray[np.uint8], least: float) -> Array:
    found: Any = cv2.createLineSegmentDetector().detect(picture)[0]
    if found is None:
        return np.empty((0, 4))
    pieces = np.asarray(found, float).reshape(-1, 4) + 0.5
    return _joined(pieces[np.hypot(*(pieces[:, 2:] - pieces[:, :2]).T) >= least])


def _without_doubles(lines: Array, shape: tuple[int, ...]) -> Array:
    """Leave out lines that run beside a longer one all through the picture."""
    rows, columns = shape[:2]
    middle = np.array([columns, rows]) / 2
    kept: list[Array] = []
    for line in lines[np.argsort(-lines[:, 3])]:
        for other in kept:
            turn = float(line[:2] @ other[:2])
            same = abs(turn) > np.cos(np.radians(1.0))
            off = (line[:2] @ middle - line[2]) * np.sign(turn) - (other[:2] @ middle - other[2])
            if same and abs(off) < JOIN_PX / 2:
                break
        else:
            kept.append(line)
    return np.array(kept).reshape(-1, 4)


def _joined(pieces: Array) -> Array:
    """Put pieces of one line together, greedily from the longest."""
    length = np.hypot(*(pieces[:, 2:] - pieces[:, :2]).T)
    left = list(np.argsort(-length))
    made: list[list[float]] = []
    while left and len(made) < 2 * MOST_LINES:
        first = pieces[left[0]]
        normal, distance = _line_through(first[None, :], length[left[:1]])
        for _ in range(3):
            ends = pieces[left].reshape(-1, 2, 2)
            off = np.abs(ends @ normal - distance).max(axis=1)
            way = (ends[:, 1] - ends[:, 0]) / length[left][:, None]
            level = np.abs(way @ normal) < np.sin(np.radians(JOIN_DEG))
            mine = (off < JOIN_PX) & level
            mine[0] = True
            chosen = [k for k, m in zip(left, mine, strict=True) if m]
            normal, distance = _line_through(pieces[chosen], length[chosen])
        left = [k for k, m in zip(left, mine, strict=True) if not m]
        made.append([*normal, distance, float(length[chosen].sum())])
    lines = np.array(made).reshape(-1, 4)
    return lines[np.argsort(-lines[:, 3])][:MOST_LINES]


def _line_through(pieces: Array, length: Array) -> tuple[Array, float]:
    """Weighted least squares through the ends of pieces of line."""
    ends = pieces.reshape(-1, 2)
    weight = np.repeat(length, 2)
    middle = np.average(ends, axis=0, weights=weight)
    _, _, way = np.linalg.svd((ends - middle) * np.sqrt(weight)[:, None], full_matrices=False)
    normal = np.array([-way[0][1], way[0][0]])
    return normal, float(normal @ middle)


def cut_regions(gray: NDArray[np.uint8]) -> Array:
    """Find four-sided figures around bright regions.

    Parameters
    ----------
    gray : ndarray of uint8, shape (rows, columns)

    Returns
    -------
    array of shape (m, 4, 2)
        Corners clockwise as seen.
    """
    found = []
    for version in plain(gray)[1:]:
        for level in np.percentile(version, np.linspace(12, 90, LEVELS)):
            regions = cv2.findContours(
                (version > level).astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE
            )[0]
            large = max(regions, key=cv2.contourArea, default=None)
            if large is not None and (quad := _four_sides(large)) is not None:
                found.append(quad)
    corners = np.array(found).reshape(-1, 4, 2)
    corners = np.where((_areas(corners) < 0)[:, None, None], corners[:, ::-1], corners)
    keep = (_areas(corners) > LEAST_AREA * gray.size) & _is_convex(corners)
    return np.asarray(corners[keep], float)


def _four_sides(region: NDArray[np.int32]) -> Array | None:
    """Simplify the hull of a region until four sides are left."""
    hull = cv2.convexHull(region)
    around = cv2.arcLength(hull, True)
    for share in np.linspace(0.01, 0.09, 17):
        simple = cv2.approxPolyDP(hull, share * around, True)
        if len(simple) == 4:
            return np.asarray(simple.reshape(4, 2) + 0.5, float)
        if len(simple) < 4:
            return None
    return None


def make_quads(lines: Array, shape: tuple[int, ...]) -> Array:
    """Put lines together into convex figures that lie in the picture.

    Parameters
    ----------
    lines : array of shape (n, 4)
        As `find_lines` returns them.
    shape : tuple of int
        Rows and columns of the picture.

    Returns
    -------
    array of shape (m, 4, 2)
        Corners clockwise as seen.
    """
    rows, columns = shape[:2]
    slope = np.degrees(np.arctan2(lines[:, 1], lines[:, 0])) % 180
    apart = np.abs((slope[:, None] - slope[None, :] + 90) % 180 - 90)
    pairs = [(i, j) for i, j in combinations(range(len(lines)), 2) if apart[i, j] < ALONG_DEG]
    meets = apart > ACROSS_DEG
    chosen = [
        (a, c, b, d)
        for (a, b), (c, d) in combinations(pairs, 2)
        if meets[a, c] and meets[a, d] and meets[b, c] and meets[b, d]
    ]
    if not chosen:
        return np.empty((0, 4, 2))
    order = np.array(chosen)
    corners = np.stack(
        [_meet(lines[order[:, k]], lines[order[:, (k + 1) % 4]]) for k in range(4)], axis=1
    )
    room = OUTSIDE * np.hypot(rows, columns)
    low, high = -room, np.array([columns, rows]) + room
    inside = ((corners > low) & (corners < high)).all(axis=(1, 2))
    corners = corners[inside]
    area = _areas(corners)
    corners = np.where((area < 0)[:, None, None], corners[:, ::-1], corners)
    keep = (np.abs(area) > LEAST_AREA * rows * columns) & _is_convex(corners)
    corners, area = corners[keep], np.abs(area[keep])
    return np.asarray(corners[np.argsort(-area)][:MOST_QUADS], float)


def _meet(first: Array, second: Array) -> Array:
    det = first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]
    det = np.where(np.abs(det) < 1e-9, 1e-9, det)
    x = (first[:, 2] * second[:, 1] - first[:, 1] * second[:, 2]) / det
    y = (first[:, 0] * second[:, 2] - first[:, 2] * second[:, 0]) / det
    return np.asarray(np.column_stack([x, y]), float)


def _areas(corners: Array) -> Array:
    """Signed areas; positive for corners that go clockwise as seen (y down)."""
    x, y = corners[..., 0], corners[..., 1]
    return np.asarray((x * np.roll(y, -1, 1) - np.roll(x, -1, 1) * y).sum(axis=1) / 2, float)


def _is_convex(corners: Array) -> NDArray[np.bool_]:
    ahead = np.roll(corners, -1, 1) - corners
    after = np.roll(ahead, -1, 1)
    turn = ahead[..., 0] * after[..., 1] - ahead[..., 1] * after[..., 0]
    return np.asarray((turn > 0).all(axis=1))


def judge_quads(gray: NDArray[np.uint8], corners: Array) -> list[Quad]:
    """Judge figures by what lies along their sides.

    Parameters
    ----------
    gray : ndarray of uint8, shape (rows, columns)
        The small picture.
    corners : array of shape (m, 4, 2)

    Returns
    -------
    list of Quad
        In the same order.
    """
    if len(corners) == 0:
        return []
    smooth = cv2.GaussianBlur(gray, (0, 0), 1.2).astype(np.float32)
    # strokes are filled first: a line drawn on paper is no step from paper to table
    broad = cv2.GaussianBlur(plain(gray)[1], (0, 0), 2.0).astype(np.float32)
    share = (np.arange(SAMPLES) + 0.5) / SAMPLES * 0.94 + 0.03
    ahead = np.roll(corners, -1, 1) - corners
    places = corners[:, :, None] + ahead[:, :, None] * share[:, None]
    way = ahead / np.linalg.norm(ahead, axis=2, keepdims=True)
    inward = np.stack([-way[..., 1], way[..., 0]], axis=-1)[:, :, None]  # clockwise, y down
    offsets = range(-NEAR_PX - 1, NEAR_PX + 2)
    across = np.stack([_look(smooth, places + inward * o) for o in offsets], axis=-1)
    rise = (across[..., 2:] - across[..., :-2]).max(axis=-1)  # steepest brightening inwards
    band = range(BAND_PX[0], BAND_PX[1] + 1)
    inner = np.mean([_look(broad, places + inward * o) for o in band], axis=0)
    outer = np.mean([_look(broad, places - inward * o) for o in band], axis=0)
    step = np.median(inner - outer, axis=2)
    seen = rise > _least_rise(rise)
    support = seen.mean(axis=2)
    total = gray.shape[0] * gray.shape[1]
    return [
        Quad(corners=c, support=float(s.min()), step=float(t.min()), area=float(a) / total)
        for c, s, t, a in zip(corners, support, step, _areas(corners), strict=True)
    ]


def _least_rise(rise: NDArray[np.floating]) -> float:
    """An edge counts when it rises by a fair part of what the clear ones rise by."""
    return float(max(5.0, 0.2 * np.percentile(rise, 95)))


def _look(picture: NDArray[np.float32], places: Array) -> NDArray[np.float32]:
    """Brightness at places, the nearest pixel; beyond the picture that of its rim."""
    rows, columns = picture.shape
    x = np.clip(places[..., 0].astype(np.intp), 0, columns - 1)
    y = np.clip(places[..., 1].astype(np.intp), 0, rows - 1)
    return picture[y, x]
