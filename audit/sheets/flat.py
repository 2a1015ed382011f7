"""A photo made flat, as pixels: what strokes are followed on where the paper is seen askew."""

from __future__ import annotations

import math

import cv2
import numpy as np

from audit.geometry import Box, Transform
from audit.isolation import GrayImage
from audit.records import Sheet

MAX_FLAT_PIXELS = 120_000_000  # a flattened raster is kept in memory whole
PAPER = 255


def flatten(image: GrayImage, *, sheet: Sheet) -> GrayImage:
    """Resample a raster so that a pixel is the same length of paper everywhere.

    Parameters
    ----------
    image : GrayImage
        Of the whole sheet.
    sheet : Sheet
        With `to_paper` a homography; an affine one comes back as it is.

    Returns
    -------
    GrayImage
        As fine as the sharpest part of the picture, as far as memory allows; `to_frame` is
        projective. Only the part of the picture in front of the camera's horizon is covered.
    """
    if sheet.to_paper.is_affine:
        return image
    to_paper = image.to_frame.then(sheet.to_paper)
    area, per_mm = _paper_area(image, to_paper)
    width, height = max(1, round(area.width * per_mm)), max(1, round(area.height * per_mm))
    back = Transform(
        ((1 / per_mm, 0.0, area.x0), (0.0, 1 / per_mm, area.y0), (0.0, 0.0, 1.0))
    ).then(to_paper.inverse())
    half = np.array([[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1.0]])  # pixel centres lie at .5
    matrix = np.linalg.inv(half) @ back.matrix @ half
    pixels = cv2.warpPerspective(
        image.pixels,
        matrix,
        (width, height),
        flags=cv2.INTER_CUBIC | cv2.WARP_INVERSE_MAP,
        borderMode=cv2.BORDER_CONSTANT,
        borderValue=(PAPER,),
    )
    return GrayImage(pixels=np.asarray(pixels, np.uint8), to_frame=back.then(image.to_frame))


def _paper_area(image: GrayImage, to_paper: Transform) -> tuple[Box, float]:
    """Return the paper seen, and pixels to a mm where the picture is sharpest."""
    rows, columns = image.pixels.shape
    across = np.linspace(0, columns, 33)
    down = np.linspace(0, rows, 33)
    grid = np.array([(x, y) for y in down for x in across])
    last = to_paper.matrix[2]
    depth = grid @ last[:2] + last[2]
    middle = float(depth[len(depth) // 2])
    # beyond half the depth of the middle the paper is seen too flatly to measure on
    seen = grid[(depth * math.copysign(1.0, middle)) > 0.5 * abs(middle)]
    area = Box.around([(float(x), float(y)) for x, y in to_paper.apply_many(seen)])
    finest = max(_pixels_per_mm(to_paper, (float(x), float(y))) for x, y in seen[::16])
    most = math.sqrt(MAX_FLAT_PIXELS / max(area.width * area.height, 1e-9))
    return area, min(finest, most)


def _pixels_per_mm(to_paper: Transform, at: tuple[float, float]) -> float:
    area = abs(float(np.linalg.det(to_paper.jacobian(at))))
    return 1.0 / math.sqrt(area) if area > 0 else 1.0
