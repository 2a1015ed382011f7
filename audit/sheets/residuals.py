"""What is left after a photo was made flat, by region: numbers, and a picture of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.geometry import Box
from audit.records import Sheet

Array = NDArray[np.float64]

CELLS = 4  # regions along each side
SMOOTH = 0.1  # of a line; a bow shorter than this is noise of finding it
ARROW_SHARE = 0.12  # of the picture's shorter side: the longest arrow
WHITE, INK, GRID, MARK = (255, 255, 255), (0, 0, 0), (205, 205, 205), (178, 114, 0)  # BGR


@dataclass(frozen=True, slots=True)
class Residual:
    """A place, and how far it lies aside of where it should, both on the paper, mm."""

    x: float
    y: float
    dx: float
    dy: float


@dataclass(frozen=True, slots=True)
class Region:
    """A part of the paper, mm, with the rms of what is left in it; `None`: nothing was seen."""

    box: Box
    rms_mm: float | None
    places: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ResidualMap:
    """Residuals of a photo.

    Attributes
    ----------
    residuals : tuple of Residual
        Smoothed along their lines: what the paper and the lens do, not noise.
    regions : tuple of Region
        Row by row.
    rms_mm : float
        Over all places.
    largest_bow_mm : float
        Largest of them.
    longest_mm : float
        Length of the longest line that was looked at.
    """

    residuals: tuple[Residual, ...]
    regions: tuple[Region, ...]
    rms_mm: float
    largest_bow_mm: float
    longest_mm: float


def map_residuals(sheet: Sheet, lines: Sequence[Array]) -> ResidualMap:
    """Measure how far lines that are straight on the paper depart from straight.

    Parameters
    ----------
    sheet : Sheet
        Made metric.
    lines : sequence of arrays of shape (n, 2)
        Places along each line, in order, in the sheet's frame.

    Returns
    -------
    ResidualMap
        Without residuals when no lines are given.
    """
    parts = [_aside(sheet.to_paper.apply_many(line)) for line in lines if len(line) >= 3]
    if not parts:
        return ResidualMap(residuals=(), regions=(), rms_mm=0.0, largest_bow_mm=0.0, longest_mm=0.0)
    places = np.concatenate([p for p, _ in parts])
    off = np.concatenate([o for _, o in parts])
    size = np.hypot(off[:, 0], off[:, 1])
    longest = max(float(np.hypot(*(p[-1] - p[0]))) for p, _ in parts)
    return ResidualMap(
        residuals=tuple(
            Residual(float(x), float(y), float(dx), float(dy))
            for (x, y), (dx, dy) in zip(places, off, strict=True)
        ),
        regions=_regions(places, size),
        rms_mm=float(np.sqrt(np.mean(size**2))),
        largest_bow_mm=float(size.max()),
        longest_mm=longest,
    )


def _aside(places: Array) -> tuple[Array, Array]:
    """Places of a line on the paper, and their vectors from the straight line through them."""
    middle = places.mean(axis=0)
    _, _, way = np.linalg.svd(places - middle, full_matrices=False)
    normal = np.array([-way[0][1], way[0][0]])
    off = (places - middle) @ normal
    width = max(1, round(SMOOTH * len(off)))
    weight = np.convolve(np.ones_like(off), np.ones(width), "same")
    smooth = np.convolve(off, np.ones(width), "same") / weight
    return places, smooth[:, None] * normal


def _regions(places: Array, size: Array) -> tuple[Region, ...]:
    low, high = places.min(axis=0), places.max(axis=0)
    step = np.maximum((high - low) / CELLS, 1e-9)
    cell = np.clip(((places - low) / step).astype(int), 0, CELLS - 1)
    made = []
    for row in range(CELLS):
        for column in range(CELLS):
            mine = size[(cell[:, 0] == column) & (cell[:, 1] == row)]
            corner = low + step * (column, row)
            box = Box(*map(float, corner), *map(float, corner + step))
            rms = float(np.sqrt(np.mean(mine**2))) if len(mine) else None
            made.append(Region(box=box, rms_mm=rms, places=len(mine)))
    return tuple(made)


def draw_residuals(found: ResidualMap, *, width_px: int = 800) -> NDArray[np.uint8]:
    """Draw residuals as arrows over the paper, and the rms of each region in mm.

    Parameters
    ----------
    found : ResidualMap
        With residuals.
    width_px : int
        Of the picture.

    Returns
    -------
    ndarray of uint8, shape (rows, columns, 3)
        Blue, green, red.

    Raises
    ------
    ValueError
        If there is nothing to draw.
    """
    if not found.residuals:
        raise ValueError("no residuals were measured")
    whole = Box.around([corner for region in found.regions for corner in region.box.corners])
    room = 0.08 * width_px
    per_mm = (width_px - 2 * room) / max(whole.width, 1e-9)
    rows = round(whole.height * per_mm + 3 * room)
    picture = np.full((rows, width_px, 3), 255, np.uint8)

    def at(x: float, y: float) -> tuple[int, int]:
        return round((x - whole.x0) * per_mm + room), round((y - whole.y0) * per_mm + room)

    for region in found.regions:
        a, b = at(region.box.x0, region.box.y0), at(region.box.x1, region.box.y1)
        cv2.rectangle(picture, a, b, GRID, 1)
        said = "-" if region.rms_mm is None else f"{region.rms_mm:.2f}"
        middle = ((a[0] + b[0]) // 2 - 22, (a[1] + b[1]) // 2 + 5)
        cv2.putText(picture, said, middle, cv2.FONT_HERSHEY_SIMPLEX, 0.5, INK, 1, cv2.LINE_AA)
    longest = ARROW_SHARE * min(rows, width_px)
    times = longest / max(found.largest_bow_mm, 1e-9)
    for r in found.residuals[::6]:
        x, y = at(r.x, r.y)
        tip = (round(x + r.dx * times), round(y + r.dy * times))
        cv2.arrowedLine(picture, (x, y), tip, MARK, 1, cv2.LINE_AA, tipLength=0.2)
    said = f"mm left; longest arrow {found.largest_bow_mm:.2f} mm"
    cv2.putText(picture, said, (round(room), rows - round(room / 2)), cv2.FONT_HERSHEY_SIMPLEX,
                0.5, INK, 1, cv2.LINE_AA)  # fmt: skip
    return picture
