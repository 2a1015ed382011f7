"""The page as it is seen: upright, in points, origin top left, y down.

A sheet's own frame is the unrotated CropBox or the stored raster; marks are placed as seen, so
that "beside" and "above" mean what the reader sees.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from audit.geometry import Box, NotInvertible, Point, Transform
from audit.records import Frame, Sheet

PT_PER_MM = 72 / 25.4
LEAST_SIDE_PT = 36.0  # of a page for a picture; PDF readers make other pages of thin ones
LETTER_PT = (612.0, 792.0)
# A picture of unknown size is shown this large; the long side of a letter page, pt.
PICTURE_LONG_SIDE_PT = 792.0
# A stated resolution is believed when the paper comes out between these; pt (2 in, 60 in).
SHORTEST_LONG_SIDE_PT, LONGEST_LONG_SIDE_PT = 144.0, 4320.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenPage:
    """Size of the page as seen, pt, and the way there from the sheet's frame."""

    width: float
    height: float
    from_frame: Transform

    @property
    def box(self) -> Box:
        """The whole page."""
        return Box(0.0, 0.0, self.width, self.height)

    def place(self, point: tuple[float, float]) -> Point:
        """Map a point of the sheet's frame onto the page as seen."""
        return self.from_frame.apply(point)

    def place_box(self, box: Box) -> Box:
        """Map an upright box of the sheet's frame; quarter turns keep it upright."""
        return Box.around(self.place(corner) for corner in box.corners)


def see_page(sheet: Sheet) -> SeenPage:
    """Work out the page as seen of one sheet.

    Parameters
    ----------
    sheet : Sheet

    Returns
    -------
    SeenPage
        For a PDF page its own size; for a picture the size of its paper where that is known, else
        a page of a handy size.

    Examples
    --------
    >>> from audit.records import PageKind
    >>> sheet = Sheet(
    ...     id=1,
    ...     name="p",
    ...     source="p.pdf",
    ...     digest="",
    ...     page=1,
    ...     frame=Frame.PT,
    ...     kind=PageKind.VECTOR,
    ...     width=612,
    ...     height=792,
    ...     turn=90,
    ...     to_paper=Transform(),
    ... )
    >>> page = see_page(sheet)
    >>> page.width, page.height, page.place((0, 0))
    (792.0, 612.0, Point(x=792.0, y=0.0))
    """
    size = 1.0 if sheet.frame is Frame.PT else _pt_per_px(sheet)
    turned = _upright(sheet).then(Transform.scaling(size))
    width, height = sheet.width * size, sheet.height * size
    if sheet.turn % 180 == 90:
        width, height = height, width
    # a strip of a picture lies on a page that viewers still show
    least = 0.0 if sheet.frame is Frame.PT else LEAST_SIDE_PT
    return SeenPage(
        width=max(float(width), least), height=max(float(height), least), from_frame=turned
    )


def _upright(sheet: Sheet) -> Transform:
    w, h = sheet.width, sheet.height
    mirror = Transform(((-1, 0, w), (0, 1, 0), (0, 0, 1))) if sheet.mirrored else Transform()
    turns = {
        0: Transform(),
        90: Transform(((0, -1, h), (1, 0, 0), (0, 0, 1))),
        180: Transform(((-1, 0, w), (0, -1, h), (0, 0, 1))),
        270: Transform(((0, 1, 0), (-1, 0, w), (0, 0, 1))),
    }
    return mirror.then(turns[sheet.turn % 360])


def _pt_per_px(sheet: Sheet) -> float:
    """Points for each pixel of a picture, alike in both directions (the picture is not bent)."""
    long_side = max(sheet.width, sheet.height)
    guesses = []
    if sheet.paper_known:
        guesses.append(_paper_mm_per_px(sheet) * PT_PER_MM)
    if sheet.stated_dpi:
        guesses.append(72.0 / sheet.stated_dpi)
    for guess in guesses:
        if SHORTEST_LONG_SIDE_PT <= guess * long_side <= LONGEST_LONG_SIDE_PT:
            return guess
    return PICTURE_LONG_SIDE_PT / long_side


def _paper_mm_per_px(sheet: Sheet) -> float:
    try:
        jacobian = sheet.to_paper.jacobian(sheet.box.centre)
    except ZeroDivisionError:
        return math.nan
    return math.sqrt(abs(float(jacobian[0, 0] * jacobian[1, 1] - jacobian[0, 1] * jacobian[1, 0])))


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperSteps:
    """Real mm for one point of the seen page, rightwards and downwards."""

    x: float
    y: float


def real_steps(
    sheet: Sheet, page: SeenPage, *, at: tuple[float, float], metric: tuple[float, float, float]
) -> PaperSteps | None:
    """Real length of one seen point at a place of the sheet.

    Parameters
    ----------
    sheet : Sheet
    page : SeenPage
    at : (2,) float
        Where, in the sheet's frame.
    metric : (3,) float
        ``x, y, shear`` of the view's scale, real mm for each mm on the paper.

    Returns
    -------
    PaperSteps or None
        `None` where the sheet's transform has no value (a photo's horizon).
    """
    x, y, shear = metric
    try:
        to_paper = page.from_frame.inverse().then(sheet.to_paper)
        jacobian = to_paper.jacobian(page.place(at))
    except (NotInvertible, ZeroDivisionError):
        return None
    steps = []
    for dx, dy in jacobian.T:
        square = x * x * dx * dx + 2 * x * y * shear * dx * dy + y * y * dy * dy
        if not math.isfinite(square) or square <= 0:
            return None
        steps.append(math.sqrt(float(square)))
    return PaperSteps(x=steps[0], y=steps[1])
