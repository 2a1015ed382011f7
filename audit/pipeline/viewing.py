"""Every dimension in a view; a sheet on which no views were found is one view."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from audit.geometry import Box, Point
from audit.records import Dimension, NoScale, Sheet, View, ViewKind

NO_SCALE_YET = NoScale(reason="no scale was fixed yet")


def give_views(
    sheet: Sheet, views: Sequence[View], dimensions: Sequence[Dimension]
) -> tuple[tuple[View, ...], tuple[Dimension, ...]]:
    """Put every dimension into the view it stands in.

    Parameters
    ----------
    sheet : Sheet
    views : sequence of View
        As found; empty when none were.
    dimensions : sequence of Dimension
        With their views, or view 0.

    Returns
    -------
    views : tuple of View
        One over the whole sheet when none were found.
    dimensions : tuple of Dimension
    """
    if not views:
        whole = View(id=1, sheet=sheet.id, kind=ViewKind.UNKNOWN, box=sheet.box, scale=NO_SCALE_YET)
        return (whole,), tuple(replace(d, view=1) for d in dimensions)
    ids = {view.id for view in views}
    placed = tuple(d if d.view in ids else replace(d, view=_nearest(views, d)) for d in dimensions)
    return tuple(views), placed


def _nearest(views: Sequence[View], dimension: Dimension) -> int:
    middle = Box.around([end.point for end in dimension.ends]).centre
    return min(views, key=lambda view: _distance(view.box, middle)).id


def _distance(box: Box, point: Point) -> float:
    dx = max(box.x0 - point.x, 0.0, point.x - box.x1)
    dy = max(box.y0 - point.y, 0.0, point.y - box.y1)
    return dx + dy if dx + dy > 0 else -1.0 / (1.0 + box.width * box.height)
