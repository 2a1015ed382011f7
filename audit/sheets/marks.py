"""A photo made metric by marks of known places: a ruler, the crossings of a printed grid."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from audit.errors import BadPlace
from audit.geometry import NotInvertible, Point, Transform
from audit.records import Sheet
from audit.sheets.plumb import LensFit, fit_lens
from audit.sheets.residuals import ResidualMap, map_residuals
from audit.uncertainty import photo_scatter

Array = NDArray[np.float64]

LEAST_MARKS = 5  # four fix the plane; the fifth says how well
PLANE = 8  # what four places fix
ADVICE = "give marks along two directions, not all on one line"


def flatten_by_marks(
    sheet: Sheet, marks: Sequence[tuple[Point, Point]], *, lines: Sequence[Array] = ()
) -> tuple[Sheet, LensFit, ResidualMap]:
    """Make a sheet metric by marks whose places on the paper are known.

    Parameters
    ----------
    sheet : Sheet
    marks : sequence of (Point, Point)
        Where each is seen, in the sheet's frame, and where it is on the paper, mm.
    lines : sequence of arrays of shape (n, 2)
        Places along lines that are straight on the paper, in the sheet's frame: what the lens is
        measured by. Nothing need be known of them but that they are straight.

    Returns
    -------
    sheet : Sheet
        With `to_paper` through the lens; `u_paper` and `scatter` are what the marks and lines
        leave over.
    lens : LensFit
    residuals : ResidualMap
        Of the lines.

    Raises
    ------
    BadPlace
        If the marks are too few, or fix no plane.
    """
    if len(marks) < LEAST_MARKS:
        raise BadPlace(f"{len(marks)} marks fix no plane", advice=f"give {LEAST_MARKS} or more")
    seen = np.array([m[0] for m in marks], float)
    true = [(float(p.x), float(p.y)) for _, p in marks]
    fit = fit_lens(lines, sheet.box)
    straight = seen if fit.lens is None else fit.lens.straighten(seen)
    try:
        plane = Transform.from_points([(float(x), float(y)) for x, y in straight], true)
    except NotInvertible as error:
        raise BadPlace(f"these marks fix no plane: {error}", advice=ADVICE) from error
    to_paper = Transform(plane.rows, lens=fit.lens)
    off = to_paper.apply_many(seen) - np.array(true)
    free = max(off.size - PLANE, 1)
    left_mm = math.sqrt(float((off**2).sum()) / free)
    # few marks say little of the rest of the picture: there it is as photos usually are
    usual = photo_scatter(replace(sheet, scatter=None)) * math.sqrt(PLANE / free)
    middle = to_paper.jacobian(sheet.box.centre)
    mm = math.sqrt(abs(float(np.linalg.det(middle))))
    done = replace(
        sheet,
        to_paper=to_paper,
        paper_known=True,
        u_paper=math.hypot(left_mm, usual * mm) * math.sqrt(PLANE / off.size),
        scatter=math.hypot(max(left_mm / mm, fit.after), usual),
    )
    return done, fit, map_residuals(done, lines)
