"""What a photo shows of the page that it was made flat to."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from audit.dimensions.raster_page import TracedPage
from audit.dimensions.shown import goes_round
from audit.geometry import Point
from audit.pipeline.placing import SnapGround
from audit.records import Sheet


def shown_by(ground: SnapGround, sheet: Sheet) -> tuple[Point, ...]:
    """Return the corners of a photo on the raster it was made flat to.

    Parameters
    ----------
    ground : SnapGround
        Of the sheet.
    sheet : Sheet
        A photo.

    Returns
    -------
    tuple of Point
        In px of the ground; none where the photo shows what lies beyond its horizon.
    """
    corners = ground.from_frame.apply_many(np.array(sheet.box.corners, float))
    if not (np.isfinite(corners).all() and goes_round(corners)):
        return ()
    return tuple(Point(float(x), float(y)) for x, y in corners)


def with_shown(traced: TracedPage, corners: tuple[Point, ...]) -> TracedPage:
    """Tell a traced page what its picture shows of it.

    Parameters
    ----------
    traced : TracedPage
    corners : tuple of Point
        In px of the raster; none: nothing is known.

    Returns
    -------
    TracedPage
    """
    shown = tuple(Point(p.x / traced.px_per_pt, p.y / traced.px_per_pt) for p in corners)
    return replace(traced, page=replace(traced.page, shown=shown))
