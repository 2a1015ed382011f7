"""A photo made flat, as pixels: what strokes are followed on where the paper is seen askew."""

from __future__ import annotations

import math

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.geometry import Box, Transform
from audit.isolation import GrayImage
from audit.records import Sheet

MAX_FLAT_PIXELS = 120_000_000  # a flattened raster is kept in memory whole
PAPER = 255
RIM_MM = 0.7  # of the paper's edge left out, where it looks like a drawn line
STRIP = 512  # rows resampled at a time
SAMPLED = 64  # places at which a picture's fineness is looked at
EVERY = 8  # px of a picture between which its brightness is looked at
NODES = 8  # px; between places so far apart the map departs from straight by under .01 px


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
        projective. Only the part of the picture in front of the camera's horizon is covered; of a
        photo made flat by the edge of its paper only the paper.
    """
    if sheet.to_paper.is_affine:
        return image
    to_paper = image.to_frame.then(sheet.to_paper)
    area, per_mm = _paper_area(image, to_paper, sheet.paper_box)
    width, height = max(1, round(area.width * per_mm)), max(1, round(area.height * per_mm))
    back = Transform(
        ((1 / per_mm, 0.0, area.x0), (0.0, 1 / per_mm, area.y0), (0.0, 0.0, 1.0))
    ).then(to_paper.inverse())
    # what the picture does not show is as bright as paper there: networks look at contrast
    fill = int(np.median(image.pixels[::EVERY, ::EVERY]))
    pixels = resample(image.pixels, back, (width, height), fill=fill)
    return GrayImage(pixels=pixels, to_frame=back.then(image.to_frame))


def resample(
    pixels: NDArray[np.uint8], back: Transform, size: tuple[int, int], *, fill: int = PAPER
) -> NDArray[np.uint8]:
    """Look up every pixel of the result in the picture, a strip of rows at a time.

    Parameters
    ----------
    pixels : ndarray of uint8, shape (rows, columns)
    back : Transform
        From the result to the picture, px (the first pixel's centre at .5, .5); may bend.
    size : (int, int)
        Width and height of the result.
    fill : int
        Where the picture does not reach.

    Returns
    -------
    ndarray of uint8, shape (height, width)
    """
    width, height = size
    result = np.empty((height, width), np.uint8)
    for top in range(0, height, STRIP):
        rows = min(STRIP, height - top)
        x, y = _sources(back, top, (width, rows))
        result[top : top + rows] = cv2.remap(
            pixels, x, y, cv2.INTER_CUBIC, borderMode=cv2.BORDER_CONSTANT, borderValue=(fill,)
        )
    return result


def _sources(
    back: Transform, top: int, size: tuple[int, int]
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Where the pixels of a strip come from: exact at nodes, straight between them."""
    width, rows = size
    across = np.arange(0, width + NODES, NODES, dtype=float)
    down = np.arange(0, rows + NODES, NODES, dtype=float)
    u, v = np.meshgrid(across + 0.5, down + top + 0.5)  # pixel centres lie at .5
    nodes = back.apply_many(np.column_stack([u.ravel(), v.ravel()])) - 0.5
    exact = nodes.reshape((*u.shape, 2)).astype(np.float32)
    i, j = np.meshgrid(
        np.arange(width, dtype=np.float32) / NODES, np.arange(rows, dtype=np.float32) / NODES
    )
    seen = cv2.remap(exact, i, j, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.ascontiguousarray(seen[..., 0]), np.ascontiguousarray(seen[..., 1])


def _paper_area(image: GrayImage, to_paper: Transform, paper: Box | None) -> tuple[Box, float]:
    """Return the paper seen, and pixels to a mm where the picture is sharpest."""
    rows, columns = image.pixels.shape
    across = np.linspace(0, columns, 33)
    down = np.linspace(0, rows, 33)
    grid = np.array([(x, y) for y in down for x in across])
    last = to_paper.matrix[2]
    straight = grid if to_paper.lens is None else to_paper.lens.straighten(grid)
    depth = straight @ last[:2] + last[2]
    middle = float(depth[len(depth) // 2])
    # beyond half the depth of the middle the paper is seen too flatly to measure on
    seen = grid[(depth * math.copysign(1.0, middle)) > 0.5 * abs(middle)]
    area = Box.around([(float(x), float(y)) for x, y in to_paper.apply_many(seen)])
    if paper is not None:
        area = paper.grown(-RIM_MM)
    there = [p for p in seen if area.contains(to_paper.apply((float(p[0]), float(p[1]))))]
    sampled = (there or list(seen))[:: max(1, len(there or seen) // SAMPLED)]
    finest = max(_pixels_per_mm(to_paper, (float(x), float(y))) for x, y in sampled)
    most = math.sqrt(MAX_FLAT_PIXELS / max(area.width * area.height, 1e-9))
    return area, min(finest, most)


def _pixels_per_mm(to_paper: Transform, at: tuple[float, float]) -> float:
    area = abs(float(np.linalg.det(to_paper.jacobian(at))))
    return 1.0 / math.sqrt(area) if area > 0 else 1.0
