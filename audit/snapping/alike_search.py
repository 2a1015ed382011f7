"""Where a pattern may stand, turned and a little larger or smaller, and how well it fits there.

Three steps: correlation of the whole picture at low fineness, a search from each of its peaks for
the pose whose ink lies on the picture's ink, and a strict comparison at that pose.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.snapping.alike_pattern import Floats, Mask, Pattern

SMALLEST, LARGEST = 0.9, 1.1  # of the example's size
SCALE_SLACK = 0.012  # a size at the very end of the range may be measured beyond it
COARSE_SIDE_PX = 32.0  # of the pattern in the first step
SCALES = (0.92, 1.0, 1.08)
TURN_STEP_DEG = 12.0
COARSE_SHARE = 0.42  # of what the example itself answers
SAME_TURNED = 0.88  # of its answer: a pattern that answers so, turned, is alike to itself there
MOST_PEAKS = 600
TOLERANCE_PX = 1.6  # between ink and ink; strokes of worn scans wander so far
WHITE_WEIGHT = 0.6
MOST_POINTS = 420
FORGIVEN_LINES = 4  # lines that cross a find
LINE_SHARE = 0.3  # of the find's length, that a crossing line is seen on
BOX_RIM = 0.06  # of the box's sides left out at its rim


@dataclass(frozen=True, slots=True)
class Pose:
    """Where the middle of a pattern lies, px, its turn in degrees (clockwise as seen), its size."""

    x: float
    y: float
    angle: float
    scale: float


class Ground:
    """The ink that is searched, with the distance of every pixel to it and to its edges."""

    def __init__(self, ink: Mask) -> None:
        self.ink = ink
        self.from_ink = _distance_to(ink)
        self.from_edge = _distance_to(edges_of(ink))

    def distances(self, points: Floats, *, edges: bool = False) -> Floats:
        """Distance to the nearest ink of (…, 2) places, px; far off outside the picture."""
        h, w = self.ink.shape
        away = self.from_edge if edges else self.from_ink
        column = np.floor(points[..., 0]).astype(np.intp)
        row = np.floor(points[..., 1]).astype(np.intp)
        inside = (column >= 0) & (column < w) & (row >= 0) & (row < h)
        found = np.full(points.shape[:-1], 100.0)
        found[inside] = away[row[inside], column[inside]]
        return found


def edges_of(ink: Mask) -> Mask:
    """Ink that touches paper."""
    inner = cv2.erode(ink.astype(np.uint8), np.ones((3, 3), np.uint8), borderValue=1) > 0
    return np.asarray(ink & ~inner, np.bool_)


def _distance_to(mask: Mask) -> NDArray[np.float32]:
    away = cv2.distanceTransform((~mask).astype(np.uint8), cv2.DIST_L2, 3)
    return np.asarray(away, np.float32)


def find_peaks(ground: Ground, pattern: Pattern, *, turned: bool) -> list[Pose]:
    """Find where the pattern may stand.

    Parameters
    ----------
    ground : Ground
    pattern : Pattern
    turned : bool
        Whether it may be turned.

    Returns
    -------
    list of Pose
        Rough, the likeliest first.
    """
    rows, columns = np.nonzero(pattern.own)
    factor = min(COARSE_SIDE_PX / (max(np.ptp(rows), np.ptp(columns)) + 1), 1.0)
    itself = _shrunk(pattern.own.astype(np.float32), factor)
    level = _answer(itself, pattern, 0.0, factor)
    turns = _turns(itself, pattern, factor=factor, level=level) if turned else [0.0]
    poses = [Pose(0, 0, turn, scale) for turn in turns for scale in SCALES]
    small = _shrunk(ground.ink.astype(np.float32), factor)
    best = np.full(small.shape, -1.0, np.float32)
    which = np.zeros(small.shape, np.int32)
    for k, pose in enumerate(poses):
        answer = _correlate(small, _kernel(pattern, pose, factor))
        better = answer > best
        best[better] = answer[better]
        which[better] = k
    reach = max(round(0.25 * min(np.ptp(rows), np.ptp(columns)) * factor), 1)
    top = cv2.dilate(best, np.ones((2 * reach + 1, 2 * reach + 1), np.uint8))
    peak_rows, peak_columns = np.nonzero((best >= top) & (best > COARSE_SHARE * level))
    order = np.argsort(-best[peak_rows, peak_columns])[:MOST_PEAKS]
    found = []
    for k in order:
        row, column = int(peak_rows[k]), int(peak_columns[k])
        pose = poses[int(which[row, column])]
        place = ((column + 0.5) / factor, (row + 0.5) / factor)
        found.append(Pose(*place, pose.angle, pose.scale))
    return found


def _shrunk(ink: NDArray[np.float32], factor: float) -> NDArray[np.float32]:
    if factor < 1:
        h, w = ink.shape
        size = (max(round(w * factor), 1), max(round(h * factor), 1))
        ink = np.asarray(cv2.resize(ink, size, interpolation=cv2.INTER_AREA), np.float32)
    return np.asarray(cv2.GaussianBlur(ink, (0, 0), 1.0), np.float32)


def _kernel(pattern: Pattern, pose: Pose, factor: float) -> NDArray[np.float32]:
    """Ink less the paper beside it, each adding up to one: turned, scaled, shrunk."""
    h, w = pattern.own.shape
    size = math.ceil(math.hypot(h, w) * factor * pose.scale / 2) * 2 + 3
    scale = factor * pose.scale
    cx, cy = pattern.middle
    turn = math.radians(pose.angle)
    c, s = scale * math.cos(turn), scale * math.sin(turn)
    # between pixel corners, for a library that counts pixel centres
    x = size / 2 - c * (cx - 0.5) + s * (cy - 0.5) - 0.5
    y = size / 2 - s * (cx - 0.5) - c * (cy - 0.5) - 0.5
    matrix = np.array([[c, -s, x], [s, c, y]])
    kernel = np.zeros((size, size), np.float32)
    for mask, sign in ((pattern.own, 1.0), (pattern.beside, -1.0)):
        soft = cv2.GaussianBlur(mask.astype(np.float32), (0, 0), max(0.5 / scale, 0.5))
        moved = cv2.warpAffine(soft, matrix, (size, size))
        kernel += np.float32(sign / max(float(moved.sum()), 1e-6)) * moved
    return kernel


def _correlate(small: NDArray[np.float32], kernel: NDArray[np.float32]) -> NDArray[np.float32]:
    """Answer at every pixel, the kernel's middle on it."""
    room = kernel.shape[0] // 2
    padded = cv2.copyMakeBorder(small, room, room, room, room, cv2.BORDER_CONSTANT, value=0.0)
    answer = cv2.matchTemplate(padded, kernel, cv2.TM_CCORR)
    return np.asarray(answer[: small.shape[0], : small.shape[1]], np.float32)


def _answer(itself: NDArray[np.float32], pattern: Pattern, turn: float, factor: float) -> float:
    """How strongly the pattern answers to itself, turned."""
    answer = _correlate(itself, _kernel(pattern, Pose(0, 0, turn, 1), factor))
    row, column = answer.shape[0] // 2, answer.shape[1] // 2
    near = answer[max(row - 2, 0) : row + 3, max(column - 2, 0) : column + 3]
    return float(near.max(initial=0.0))


def _turns(
    itself: NDArray[np.float32], pattern: Pattern, *, factor: float, level: float
) -> list[float]:
    """Turns worth trying: those that a symmetric pattern answers to anyway are left out."""
    every = list(np.arange(0.0, 360.0, TURN_STEP_DEG))

    def is_same(turn: float) -> bool:
        return _answer(itself, pattern, turn, factor) > SAME_TURNED * level

    if all(is_same(turn) for turn in every[1::2]):
        return [0.0]
    for parts in (4, 2):
        if all(is_same(360.0 * k / parts) for k in range(1, parts)):
            return [t for t in every if t < 360.0 / parts]
    return every


class Fitter:
    """Moves a pattern about until its ink lies on the picture's."""

    def __init__(self, ground: Ground, pattern: Pattern, rng: np.random.Generator) -> None:
        self.ground = ground
        self.pattern = pattern
        self.edges = self._points(edges_of(pattern.own), rng)
        self.white = self._points(pattern.beside, rng)

    def _points(self, mask: Mask, rng: np.random.Generator) -> Floats:
        rows, columns = np.nonzero(mask)
        points = np.column_stack([columns + 0.5, rows + 0.5]) - np.array(self.pattern.middle)
        if len(points) > MOST_POINTS:
            points = points[rng.choice(len(points), MOST_POINTS, replace=False)]
        return np.asarray(points, float)

    def worth(self, poses: Floats) -> Floats:
        """How well each of (n, 4) poses fits, at most 1."""
        # edges, not ink: a solid shape lies on the ink of any larger one
        away = self.ground.distances(_placed(self.edges, poses), edges=True)
        lies = np.exp(-((away / TOLERANCE_PX) ** 2))
        if not len(self.white):
            return np.asarray(lies.mean(axis=1), float)
        dirty = self.ground.distances(_placed(self.white, poses)) < 0.5
        return np.asarray(lies.mean(axis=1) - WHITE_WEIGHT * dirty.mean(axis=1), float)

    def fit(self, pose: Pose, *, turned: bool) -> Pose:
        """Find the best pose near a rough one."""
        h, w = self.pattern.own.shape
        radius = math.hypot(h, w) / 2
        now = np.array([pose.x, pose.y, pose.angle, pose.scale])
        steps = np.array([0.08 * radius, 0.08 * radius, 6.0 if turned else 0.0, 0.04])
        finest = 0.3
        best = float(self.worth(now[None])[0])
        while steps[0] > finest / 2:
            for _ in range(6):
                tried = _around(now, steps)
                tried[:, 3] = np.clip(tried[:, 3], SMALLEST - 0.03, LARGEST + 0.03)
                worth = self.worth(tried)
                k = int(np.argmax(worth))
                if worth[k] <= best + 1e-9:
                    break
                best, now = float(worth[k]), tried[k]
            steps = steps / 2
        return Pose(float(now[0]), float(now[1]), float(now[2]), float(now[3]))

    def covered(self, pose: Pose, mask: Mask, *, within: float = TOLERANCE_PX) -> Floats:
        """Whether ink of the picture lies on each pixel of a mask of the pattern, row by row."""
        rows, columns = np.nonzero(mask)
        points = np.column_stack([columns + 0.5, rows + 0.5]) - np.array(self.pattern.middle)
        placed = _placed(points, np.array([[pose.x, pose.y, pose.angle, pose.scale]]))[0]
        return np.asarray(self.ground.distances(placed) <= within, float)

    def score(self, pose: Pose) -> float:
        """How alike the picture is to the pattern at a pose, 0 to 1."""
        share = float(self.covered(pose, self.pattern.own).mean())
        own = float(self.pattern.own.sum())
        return share * own / (own + self._strange(pose))

    def _strange(self, pose: Pose) -> float:
        """Ink inside the box that is not the pattern's, but for lines that cross it, px."""
        h, w = self.pattern.own.shape
        cx, cy = self.pattern.middle
        turn = math.radians(pose.angle)
        c, s = pose.scale * math.cos(turn), pose.scale * math.sin(turn)
        # of the picture, for every pixel of the pattern
        matrix = np.array(
            [
                [c, -s, pose.x - c * (cx - 0.5) + s * (cy - 0.5) - 0.5],
                [s, c, pose.y - s * (cx - 0.5) - c * (cy - 0.5) - 0.5],
            ]
        )
        seen = cv2.warpAffine(
            self._near(pose),
            self._shifted(matrix, pose),
            (w, h),
            flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
        )
        away = cv2.distanceTransform((~self.pattern.own).astype(np.uint8), cv2.DIST_L2, 3)
        strange = (seen > 127) & (away > TOLERANCE_PX + 0.4) & ~self.pattern.free
        strange &= _inside(h, w) & self._enclosed()
        return _without_lines(strange, side=min(h, w))

    def _corner(self, pose: Pose) -> tuple[int, int, int]:
        h, w = self.pattern.own.shape
        room = math.ceil(math.hypot(h, w) * 0.6) + 2
        return int(pose.x) - room, int(pose.y) - room, room

    def _near(self, pose: Pose) -> NDArray[np.uint8]:
        x0, y0, room = self._corner(pose)
        h, w = self.ground.ink.shape
        part = np.zeros((2 * room + 1, 2 * room + 1), np.uint8)
        ax, ay = max(x0, 0), max(y0, 0)
        bx, by = min(x0 + 2 * room + 1, w), min(y0 + 2 * room + 1, h)
        if bx > ax and by > ay:
            part[ay - y0 : by - y0, ax - x0 : bx - x0] = 255 * self.ground.ink[ay:by, ax:bx]
        return part

    def _shifted(self, matrix: Floats, pose: Pose) -> Floats:
        x0, y0, _ = self._corner(pose)
        return np.asarray(matrix - np.array([[0, 0, x0], [0, 0, y0]]), float)

    def _enclosed(self) -> Mask:
        """The feature with what is inside it and close around: beyond it neighbours may stand."""
        rows, columns = np.nonzero(self.pattern.own)
        hull = cv2.convexHull(np.column_stack([columns, rows]).astype(np.int32))
        mask = np.zeros(self.pattern.own.shape, np.uint8)
        cv2.fillConvexPoly(mask, hull, 1)
        return np.asarray(cv2.dilate(mask, np.ones((11, 11), np.uint8)) > 0, np.bool_)


def _around(now: Floats, steps: Floats) -> Floats:
    moves = [np.zeros(4)]
    for k in range(4):
        for sign in (-1.0, 1.0):
            move = np.zeros(4)
            move[k] = sign * steps[k]
            moves.append(move)
    return np.asarray(now + np.array(moves), float)


def _placed(points: Floats, poses: Floats) -> Floats:
    """Points of the pattern at each of (n, 4) poses: (n, m, 2)."""
    turn = np.radians(poses[:, 2])
    c, s = poses[:, 3] * np.cos(turn), poses[:, 3] * np.sin(turn)
    x = poses[:, 0, None] + c[:, None] * points[None, :, 0] - s[:, None] * points[None, :, 1]
    y = poses[:, 1, None] + s[:, None] * points[None, :, 0] + c[:, None] * points[None, :, 1]
    return np.stack([x, y], axis=-1)


def _inside(h: int, w: int) -> Mask:
    mask = np.zeros((h, w), np.bool_)
    y, x = round(BOX_RIM * h), round(BOX_RIM * w)
    mask[y : h - y, x : w - x] = True
    return mask


def _without_lines(strange: Mask, *, side: int) -> float:
    """Count ink that no few straight lines account for."""
    left = strange.astype(np.uint8)
    for _ in range(FORGIVEN_LINES):
        rows, columns = np.nonzero(left)
        if len(rows) < LINE_SHARE * side:
            break
        lines = cv2.HoughLines(left, 1.0, math.pi / 60, max(int(LINE_SHARE * side), 6))
        if lines is None:
            break
        rho, theta = (float(v) for v in lines[0][0])
        off = np.abs(columns * math.cos(theta) + rows * math.sin(theta) - rho)
        on = off <= 2.5
        left[rows[on], columns[on]] = 0
    return float(left.sum())
