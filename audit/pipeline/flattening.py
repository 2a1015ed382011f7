"""A sheet's paper fixed by the four corners of a rectangle that a person gave."""

from __future__ import annotations

from collections.abc import Sequence

from audit.geometry import Point
from audit.lengths import Length
from audit.records import Frame, Sheet
from audit.sheets import rectify
from audit.store import SetPaper

CORNER_SIGMA = {Frame.PX: 1.5, Frame.PT: 0.3}  # as for corners given on the command line


def flatten_by(
    sheet: Sheet, corners: Sequence[Point], *, width: Length, height: Length
) -> SetPaper:
    """Fix how a sheet lies on its paper by a rectangle of known size.

    Parameters
    ----------
    sheet : Sheet
    corners : sequence of 4 Point
        Sheet frame, clockwise from the top left as seen.
    width : Length
        First corner to second.
    height : Length

    Returns
    -------
    SetPaper
        To be recorded. `BadPlace` if the corners or sizes cannot be those of a rectangle.
    """
    flat = rectify(sheet, corners, width, height, sigma=CORNER_SIGMA[sheet.frame])
    return SetPaper(
        sheet=sheet.id, to_paper=flat.to_paper, paper_known=flat.paper_known, u_paper=flat.u_paper
    )
