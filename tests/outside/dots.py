"""The dots of the printed grid, found with OpenCV alone, and what is true of them.

Dots are numbered by row and column from the top left; their centres lie 30 mm apart (ViSP,
example/calibration/calibrate2dGrid.cpp: "6*6 dots … centers are spaced by 0.03 meter").
"""

from __future__ import annotations

from functools import cache
from itertools import combinations
from pathlib import Path

import cv2
import numpy as np

from audit.geometry import Point, Transform
from audit.lengths import Length, Unit
from audit.records import Dimension, DimensionKind, End, EndKind, Frame, PageKind, Sheet
from audit.sheets import rectify

PITCH_MM = 30.0
SIDE_MM = Length(150, Unit.MM)
# Centroids of an Otsu threshold and centres of ellipses through sub-pixel outlines differ by
# .035 to .046 px rms in the four photographs (measured with scikit-image).
FOUND_TO_PX = 0.04
DOT_PX = (60, 3000)  # area of a dot
ROUND = 0.68  # an ellipse fills pi/4 of its box; the printed numbers fill less

Place = tuple[int, int]
PLACES: tuple[Place, ...] = tuple((row, column) for row in range(6) for column in range(6))
CORNERS: tuple[Place, ...] = ((0, 0), (0, 5), (5, 5), (5, 0))
ALL_PAIRS = tuple(combinations(PLACES, 2))
ACROSS = tuple(((row, c), (row, c + 1)) for row in range(6) for c in range(5))
DOWN = tuple(((r, column), (r + 1, column)) for r in range(5) for column in range(6))


@cache
def find_dots(path: Path) -> dict[Place, Point]:
    """Find the 36 dots: centroids of dark round spots, in the px frame (first centre at .5)."""
    gray = cv2.imread(str(path), cv2.IMREAD_GRAYSCALE)
    _, dark = cv2.threshold(gray, 0, 255, cv2.THRESH_BINARY_INV + cv2.THRESH_OTSU)
    _, _, stats, centroids = cv2.connectedComponentsWithStats(dark)
    found = [
        (x + 0.5, y + 0.5)
        for (_, _, wide, high, area), (x, y) in zip(stats, centroids, strict=True)
        if DOT_PX[0] < area < DOT_PX[1] and area > ROUND * wide * high and 0.4 < wide / high < 2.5
    ]
    assert len(found) == 36
    return _in_rows(np.array(found))


def _in_rows(dots: np.ndarray) -> dict[Place, Point]:
    plus, minus = dots.sum(axis=1), dots[:, 0] - dots[:, 1]
    corners = [dots[k] for k in (plus.argmin(), minus.argmax(), plus.argmax(), minus.argmin())]
    square = np.array([(0, 0), (5, 0), (5, 5), (0, 5)], np.float32)
    flat = cv2.getPerspectiveTransform(np.array(corners, np.float32), square)
    grid = np.rint(cv2.perspectiveTransform(dots[None], flat)[0]).astype(int)
    placed = {(int(r), int(c)): Point(*map(float, d)) for (c, r), d in zip(grid, dots, strict=True)}
    assert placed.keys() == set(PLACES)
    return placed


def true_mm(a: Place, b: Place) -> float:
    return PITCH_MM * float(np.hypot(a[0] - b[0], a[1] - b[1]))


def photo() -> Sheet:
    """A photograph as it comes: nothing says how large anything on it is."""
    return Sheet(
        id=1,
        name="grid36",
        source="grid36.pgm",
        digest="0" * 64,
        page=1,
        frame=Frame.PX,
        kind=PageKind.SCAN,
        width=640.0,
        height=480.0,
        to_paper=Transform.scaling(25.4 / 200),
        paper_known=False,
    )


def flat_photo(dots: dict[Place, Point]) -> Sheet:
    """The photograph rectified by its four corner dots."""
    corners = [dots[place] for place in CORNERS]
    return rectify(photo(), corners, SIDE_MM, SIDE_MM, sigma=FOUND_TO_PX)


def ends_of(dots: dict[Place, Point], a: Place, b: Place) -> tuple[End, ...]:
    return tuple(End(point=dots[p], kind=EndKind.CENTRE, sigma=FOUND_TO_PX) for p in (a, b))


def dimension_of(
    dots: dict[Place, Point], a: Place, b: Place, *, number: int, **given
) -> Dimension:
    return Dimension(
        id=number,
        sheet=1,
        view=1,
        kind=DimensionKind.DISTANCE,
        ends=ends_of(dots, a, b),
        **given,
    )
