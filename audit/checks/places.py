"""Where on a sheet what is told stands."""

from __future__ import annotations

from audit.geometry import Box
from audit.records import Dimension, Place


def place_of(dimension: Dimension) -> Place:
    """Return the box around a dimension and its text."""
    box = Box.around([e.point for e in dimension.ends] + list(dimension.line))
    if dimension.reading is not None:
        box = box.union(dimension.reading.box)
    return Place(sheet=dimension.sheet, box=box)
