"""A view of a picture as ink at true size: made flat, mirrored where half is drawn, whitened."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.geometry import Box, Point, Transform
from audit.pipeline.unpacking import OpenedAudit
from audit.records import Dimension, PageKind, PrintPicture, Sheet, View
from audit.report.pattern_ink import PatternInk, centres_of, reflect_on
from audit.sheets.flat import resample

MAX_PICTURE_PIXELS = 60_000_000  # of one view at true size; the worker is sent them whole
VIEW_ROOM = 0.02  # of its longer side: shown around the box of a view in a picture
PAPER = 255
# The shade of paper changes over this, mm; lines are thinner, and so is what is looked at.
SHADE_MM, SHADE_PER_MM = 8.0, 3.0
WHITE_FROM, DARKEST = 0.9, 0.25  # shares of the paper's shade: white from here; black up to there


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenView:
    """A view with the sheet it is on, and the way to real mm.

    Attributes
    ----------
    opened : OpenedAudit
        The audit it is of.
    sheet, there : Sheet
        In the audit, and as its file is opened.
    view : View
        On it.
    to_real : Transform
        From the sheet's frame.
    """

    opened: OpenedAudit
    sheet: Sheet
    there: Sheet
    view: View
    to_real: Transform

    def to_real_box(self, box: Box) -> Box:
        """Box around a box of the sheet's frame, real mm."""
        return Box.around(self.to_real.apply(corner) for corner in box.corners)


def flatten_view(
    seen: SeenView,
    dimensions: Sequence[Dimension],
    axis: tuple[Point, Point] | None,
    *,
    dpi: float,
) -> PatternInk:
    """Warp the picture of a view into real mm.

    Parameters
    ----------
    seen : SeenView
        The view.
    dimensions : sequence of Dimension
        Of the view.
    axis : (Point, Point) or None
        The line it is mirrored on, real mm.
    dpi : float
        Of the picture at true size; less where that would be too many pixels.

    Returns
    -------
    PatternInk
    """
    room = VIEW_ROOM * max(seen.view.box.width, seen.view.box.height)
    area = Box.around(seen.to_real.apply(c) for c in seen.view.box.grown(room).corners)
    if axis is not None:
        move = reflect_on(axis)
        area = area.union(Box.around(move.apply(c) for c in area.corners))
    per_mm = dpi / 25.4
    pixels = area.width * area.height * per_mm**2
    if pixels > MAX_PICTURE_PIXELS:
        per_mm *= math.sqrt(MAX_PICTURE_PIXELS / pixels)
    warped = _warp(seen, area, per_mm)
    texts = [seen.to_real_box(b) for b in _written(seen, dimensions)]
    if axis is not None:
        move = reflect_on(axis)
        bare = _blanked(warped, texts, area, per_mm)
        warped = np.minimum(warped, _mirror(bare, area, per_mm, move))
    rows, columns = warped.shape
    fitted = Box(area.x0, area.y0, area.x0 + columns / per_mm, area.y0 + rows / per_mm)
    return PatternInk(
        picture=PrintPicture(pixels=warped, box=fitted),
        readable=tuple(texts),
        centres=tuple(seen.to_real.apply(c) for c in centres_of(dimensions)),
        line_width=_line_width(seen, dimensions),
        outline=area,
    )


def _written(seen: SeenView, dimensions: Sequence[Dimension]) -> list[Box]:
    """Boxes of all texts in a view or right beside it, sheet frame."""
    audit, number = seen.opened.audit, seen.sheet.id
    boxes = [t.box for t in audit.texts if t.sheet == number]
    boxes += [s.box for s in audit.statements if s.sheet == number]
    boxes += [d.reading.box for d in dimensions if d.reading is not None]
    near = seen.view.box.grown(VIEW_ROOM * max(seen.view.box.width, seen.view.box.height))
    return [box for box in dict.fromkeys(boxes) if box.overlaps(near)]


def _blanked(
    pixels: NDArray[np.uint8], texts: Sequence[Box], area: Box, per_mm: float
) -> NDArray[np.uint8]:
    """Take texts out of a picture that is going to be mirrored."""
    blank = pixels.copy()
    for text in texts:
        x0, x1 = (max(0, round((x - area.x0) * per_mm)) for x in (text.x0, text.x1))
        y0, y1 = (max(0, round((y - area.y0) * per_mm)) for y in (text.y0, text.y1))
        blank[y0:y1, x0:x1] = PAPER
    return blank


def _whitened(pixels: NDArray[np.uint8], per_mm: float) -> NDArray[np.uint8]:
    """Take the shade of the paper out: what is lighter than its surroundings is white."""
    rows, columns = pixels.shape
    step = max(1, round(per_mm / SHADE_PER_MM))
    size = (max(1, columns // step), max(1, rows // step))
    small = cv2.resize(pixels, size, interpolation=cv2.INTER_AREA)
    reach = 2 * round(SHADE_MM * SHADE_PER_MM / 2) + 1
    shade = cv2.dilate(small, np.ones((reach, reach), np.uint8))
    shade = cv2.GaussianBlur(shade, (reach, reach), 0)
    shade = cv2.resize(shade, (columns, rows), interpolation=cv2.INTER_LINEAR)
    share = pixels.astype(np.float32) / np.maximum(shade, 1).astype(np.float32)
    level = (share - DARKEST) / (WHITE_FROM - DARKEST)
    return np.asarray(np.clip(level * 255.0, 0, 255), np.uint8)


def _warp(seen: SeenView, area: Box, per_mm: float) -> NDArray[np.uint8]:
    """Resample a sheet so that a pixel is a square of real size."""
    drawn = seen.sheet.kind in (PageKind.VECTOR, PageKind.BOTH)
    image = seen.opened.plan.gray(seen.there, dpi=300.0 if drawn else None)
    size = (max(1, math.ceil(area.width * per_mm)), max(1, math.ceil(area.height * per_mm)))
    back = _from_area(area, per_mm).then(image.to_frame.then(seen.to_real).inverse())
    return _whitened(resample(image.pixels, back, size), per_mm)


def _from_area(area: Box, per_mm: float) -> Transform:
    """Lead from pixels of an area to its real mm."""
    return Transform(((1 / per_mm, 0.0, area.x0), (0.0, 1 / per_mm, area.y0), (0.0, 0.0, 1.0)))


def _mirror(
    pixels: NDArray[np.uint8], area: Box, per_mm: float, move: Transform
) -> NDArray[np.uint8]:
    """Reflect a picture in place; what comes from outside is paper."""
    real = _from_area(area, per_mm)
    rows, columns = pixels.shape
    return resample(pixels, real.then(move).then(real.inverse()), (columns, rows))


def _line_width(seen: SeenView, dimensions: Sequence[Dimension]) -> float:
    """Width of the view's lines at true size, mm: the median of what the ends stand on."""
    widths = [e.line_width for d in dimensions for e in d.ends if e.line_width > 0]
    width = float(np.median(widths)) if widths else 0.0
    steps = seen.to_real.jacobian(seen.view.box.centre)
    return width * math.sqrt(abs(float(np.linalg.det(steps))))
