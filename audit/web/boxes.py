"""Boxes that a person drew."""

from __future__ import annotations

from audit.errors import BadPlace
from audit.geometry import Box
from audit.records import Sheet
from audit.web import models as m


def box_in(sheet: Sheet, box: m.BoxJson) -> Box:
    """Return a box as drawn, put the right way round.

    Raises
    ------
    BadPlace
        If it reaches beyond the sheet.
    """
    drawn = Box.around([box[:2], box[2:]])
    if not all(sheet.box.grown(1.0).contains(corner) for corner in drawn.corners):
        raise BadPlace("the box lies outside the sheet", advice="draw it around one of them")
    return drawn
