"""Whether two pictures show the same printed sheet, and how one lies on the other.

A *likeness* of a sheet is a few hundred distinct places on it with what they look like, the same
at any turn, size and resolution; it holds no picture. Two likenesses are compared place by
place; when enough places agree on one map of the plane, all over the sheet, it is the same print.

References
----------
D. Lowe, "Distinctive image features from scale-invariant keypoints", 2004; R. Arandjelović and
A. Zisserman, "Three things everyone should know to improve object retrieval", 2012 (the square
root of descriptors); both from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.geometry import NotInvertible, Transform

LONG_SIDE = 1400  # px a sheet is looked at in: lettering of 2.5 mm on A2 is still 6 px high
MOST_PLACES = 800
LEAST_PLACES = 40  # fewer, and a sheet is too empty to be recognised
CONTRAST = 0.02  # below the usual 0.04: pencil lines are faint
BLUR_PX = 1.0
RATIO = 0.85  # nearest over next but one; above it a place is not distinct
REACH_PX = 3.0  # how far an agreeing place may lie off the common map
TRIES = 5000
SAME_SHARE = 0.5  # of the distinct pairs must agree; the best of other sheets reached 0.5 on none
LEAST_AGREEING = 25
GRID = 5  # cells each way, over the places of the other likeness
CELL_PLACES = 4  # places that make a cell count
SAME_CELLS = 0.5  # of those cells must hold an agreeing place
MOST_UNEVEN = 2.5  # how much more one direction may be stretched than the other (a photo askew)

Floats = NDArray[np.float32]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Likeness:
    """Distinct places of a sheet.

    `places` is (n, 2), in the sheet's frame; `looks` (n, 128) of uint8; `per_px` frame units for
    each pixel it was looked at in.
    """

    places: Floats
    looks: NDArray[np.uint8]
    per_px: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Registered:
    """How another sheet lies on ours.

    `to_ours` leads from its frame to ours; `agreeing` places speak for it, of `distinct` that were
    found on both; `residual` is the root mean square distance of the agreeing ones, frame units of
    ours; `cells` the share of the other sheet on which places agree.
    """

    to_ours: Transform
    agreeing: int
    distinct: int
    residual: float
    cells: float


@dataclass(frozen=True, slots=True)
class AnotherSheet:
    """Why two sheets are not taken for the same print."""

    reason: str


def look_at_sheet_image(pixels: NDArray[np.uint8], to_frame: Transform) -> Likeness:
    """Take the likeness of a sheet.

    Parameters
    ----------
    pixels : ndarray of uint8, shape (rows, columns)
        The whole sheet.
    to_frame : Transform
        From pixels to the sheet's frame.

    Returns
    -------
    Likeness
        Without places where nothing is drawn.
    """
    factor = LONG_SIDE / max(pixels.shape)
    size = (max(8, round(pixels.shape[1] * factor)), max(8, round(pixels.shape[0] * factor)))
    how = cv2.INTER_AREA if factor < 1 else cv2.INTER_CUBIC
    small = cv2.GaussianBlur(cv2.resize(pixels, size, interpolation=how), (0, 0), BLUR_PX)
    finder = cv2.SIFT.create(nfeatures=MOST_PLACES, contrastThreshold=CONTRAST)
    found, looks = finder.detectAndCompute(small, None)
    scale = (pixels.shape[1] / size[0], pixels.shape[0] / size[1])
    if looks is None or not found:
        empty = np.zeros((0, 2), np.float32)
        return Likeness(places=empty, looks=np.zeros((0, 128), np.uint8), per_px=1.0)
    places_px = np.array([k.pt for k in found], float) * scale + 0.5
    steps = to_frame.jacobian((pixels.shape[1] / 2, pixels.shape[0] / 2))
    per_px = math.sqrt(abs(float(np.linalg.det(steps)))) * math.sqrt(scale[0] * scale[1])
    rooted = np.sqrt(looks / np.maximum(looks.sum(axis=1, keepdims=True), 1e-9))
    return Likeness(
        places=np.asarray(to_frame.apply_many(places_px), np.float32),
        looks=np.asarray(np.clip(np.round(rooted * 255), 0, 255), np.uint8),
        per_px=per_px,
    )


def register(theirs: Likeness, ours: Likeness) -> Registered | AnotherSheet:
    """Lay another sheet on ours, if it is the same print.

    Parameters
    ----------
    theirs : Likeness
    ours : Likeness

    Returns
    -------
    Registered or AnotherSheet
    """
    if min(len(theirs.places), len(ours.places)) < LEAST_PLACES:
        return AnotherSheet("too little is drawn to recognise it by")
    first, second = _pair(theirs, ours)
    if len(first) < LEAST_AGREEING:
        return AnotherSheet("it looks otherwise")
    a, b = first / theirs.per_px, second / ours.per_px
    a0, b0 = a.mean(axis=0), b.mean(axis=0)
    cv2.setRNGSeed(1)  # the same two sheets always give the same answer
    matrix, mask = cv2.findHomography(
        a - a0, b - b0, cv2.USAC_MAGSAC, REACH_PX, maxIters=TRIES, confidence=0.9999
    )
    if matrix is None:
        return AnotherSheet("it looks otherwise")
    agreeing = mask.ravel() > 0
    cells = _cells(theirs.places, first[agreeing])
    share = agreeing.sum() / len(agreeing)
    if agreeing.sum() < LEAST_AGREEING or share < SAME_SHARE or cells < SAME_CELLS:
        return AnotherSheet("only parts of it are alike")
    try:
        to_ours = _in_frames(matrix, a0, b0, theirs.per_px, ours.per_px)
        uneven = _unevenness(to_ours, theirs.places)
    except (NotInvertible, ZeroDivisionError):
        return AnotherSheet("it cannot be laid flat on it")
    if uneven > MOST_UNEVEN:
        return AnotherSheet("it cannot be laid flat on it")
    off = to_ours.apply_many(first[agreeing]) - second[agreeing]
    return Registered(
        to_ours=to_ours,
        agreeing=int(agreeing.sum()),
        distinct=len(agreeing),
        residual=float(np.sqrt((off**2).sum(axis=1).mean())),
        cells=cells,
    )


def _pair(theirs: Likeness, ours: Likeness) -> tuple[Floats, Floats]:
    """Pair places that are each other's nearest, and clearly nearer than the next."""
    a, b = theirs.looks.astype(np.float32), ours.looks.astype(np.float32)
    matcher = cv2.BFMatcher(cv2.NORM_L2)
    back = [m.trainIdx for (m,) in matcher.knnMatch(b, a, k=1)]
    pairs = [
        (best.queryIdx, best.trainIdx)
        for best, second in matcher.knnMatch(a, b, k=2)
        if best.distance < RATIO * second.distance and back[best.trainIdx] == best.queryIdx
    ]
    index = np.array(pairs, int).reshape(-1, 2)
    return theirs.places[index[:, 0]], ours.places[index[:, 1]]


def _cells(places: Floats, agreeing: Floats) -> float:
    """Share of the sheet's filled cells that hold an agreeing place."""
    low, high = places.min(axis=0), places.max(axis=0)
    span = np.maximum(high - low, 1e-6)

    def count(points: Floats) -> NDArray[np.int64]:
        cell = np.clip(((points - low) / span * GRID).astype(int), 0, GRID - 1)
        return np.bincount(cell[:, 1] * GRID + cell[:, 0], minlength=GRID * GRID)

    filled = count(places) >= CELL_PLACES
    if not filled.any() or not len(agreeing):
        return 0.0
    return float((count(agreeing)[filled] > 0).mean())


def _in_frames(
    matrix: NDArray[np.float64], a0: Floats, b0: Floats, per_a: float, per_b: float
) -> Transform:
    """Turn a map between centred pixels into one between frames."""
    before = np.array([[1 / per_a, 0, -a0[0]], [0, 1 / per_a, -a0[1]], [0, 0, 1.0]])
    after = np.array([[per_b, 0, per_b * b0[0]], [0, per_b, per_b * b0[1]], [0, 0, 1.0]])
    whole = after @ matrix @ before
    made = Transform.from_matrix(whole / whole[2, 2])
    made.inverse()
    return made


def _unevenness(to_ours: Transform, places: Floats) -> float:
    """Return the largest stretch of one direction over the other; endless where it is mirrored."""
    low, high = places.min(axis=0), places.max(axis=0)
    worst = 1.0
    for x in (low[0], high[0]):
        for y in (low[1], high[1]):
            steps = to_ours.jacobian((float(x), float(y)))
            if np.linalg.det(steps) <= 0:
                return math.inf
            sides = np.linalg.svd(steps, compute_uv=False)
            worst = max(worst, float(sides[0] / max(sides[1], 1e-12)))
    return worst
