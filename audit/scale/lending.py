"""Views of one part that were drawn beside each other: a small one has the scale of the other.

Somebody draws each part of a sheet as large as it has room, and its end view beside it. Two sizes
there are too few for a scale of their own; but where they fit that of the view beside, which many
sizes agree on, it is theirs too.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from audit.records import Scale, View
from audit.scale.modes import FITS, LEAST_IN_USE, NEAR, SAME_RATIO
from audit.scale.pairs import Pair
from audit.scale.solving import first_widths

Array = NDArray[np.float64]

FINE = 0.02  # relative width; sizes that are drawn less exactly fit scales 6 % apart
MOST_SIZES = 3  # of a view that others lend a scale; more have one of their own or none


def find_lenders(
    pairs: Sequence[Pair], views: Sequence[View], open_views: frozenset[int], *, floor: float
) -> dict[int, int]:
    """Find which views without a scale are drawn at that of another view.

    Parameters
    ----------
    pairs : sequence of Pair
        Of one sheet.
    views : sequence of View
        Of the sheet, with the scales they have.
    open_views : frozenset of int
        Those that hold sizes and have no scale of these.
    floor : float
        Least scatter of the drawing, mm of paper.

    Returns
    -------
    dict of int to int
        By view: the other one. None where it may be at either of two scales.
    """
    lending = [v for v in views if isinstance(v.scale, Scale) and v.scale.agreeing >= LEAST_IN_USE]
    found = {}
    for view in views:
        own = [p for p in pairs if p.view == view.id]
        if view.id not in open_views or not 0 < len(own) <= MOST_SIZES:
            continue
        fitting = _at_one_scale(
            view, [v for v in lending if v is not view and _fits(own, v, floor)]
        )
        if fitting and (len(own) > 1 or stand_in_line(view, fitting[0])):
            found[view.id] = fitting[0].id
    return found


def _fits(own: Sequence[Pair], other: View, floor: float) -> bool:
    """Whether sizes agree with the scale of another view; of two or three one may be a bit off."""
    assert isinstance(other.scale, Scale)
    widths = first_widths(own, floor)
    off = np.abs(_offs(own, other.scale))
    agree = off <= FITS * widths
    most = 2 * int(agree.sum()) >= len(own)
    return most and bool((off < NEAR).all() and (agree & (widths <= FINE)).any())


def _offs(own: Sequence[Pair], scale: Scale) -> Array:
    """Log of printed over measured, of each size."""
    return np.array(
        [math.log(p.real / math.hypot(scale.x * p.dx, scale.y * p.dy)) for p in own], dtype=float
    )


def _at_one_scale(view: View, fitting: Sequence[View]) -> list[View]:
    """Return those in line with a view where some are, nearest first; none at several scales."""
    kept = [v for v in fitting if stand_in_line(view, v)] or list(fitting)
    logs = [math.log(v.scale.x) for v in kept if isinstance(v.scale, Scale)]
    if not logs or max(logs) - min(logs) > SAME_RATIO:
        return []
    return sorted(kept, key=lambda v: v.box.centre.distance(view.box.centre))


def stand_in_line(one: View, other: View) -> bool:
    """Whether two views stand beside or above each other, as projections of one part do.

    Then the middle of the smaller one lies within the other, level or upright.
    """
    a, b = one.box, other.box
    level = _within(a.y0, a.y1, b.y0, b.y1)
    upright = _within(a.x0, a.x1, b.x0, b.x1)
    return level != upright


def _within(a0: float, a1: float, b0: float, b1: float) -> bool:
    if a1 - a0 > b1 - b0:
        a0, a1, b0, b1 = b0, b1, a0, a1
    return b0 <= (a0 + a1) / 2 <= b1
