"""Lengths measured between the same two lines: the same feature, most likely."""

from __future__ import annotations

import math
from collections.abc import Sequence

from audit.geometry import Point
from audit.records import Dimension, DimensionKind, Sheet

SAME_LINE_MM = 0.5  # of paper: a pen width and what two clicks may differ by


def find_printed_twin(made: Dimension, own: Sequence[Dimension], sheet: Sheet) -> Dimension | None:
    """Find the printed length that is measured between the same lines as an unprinted one.

    An outline measured beside its own dimension is that dimension: its ends stand square to it at
    the same places, only further off.

    Parameters
    ----------
    made : Dimension
        A placed distance; one that has a reading is none of these.
    own : sequence of Dimension
        Of the sheet.
    sheet : Sheet
        Theirs.

    Returns
    -------
    Dimension or None
        The nearest one.
    """
    if made.kind is not DimensionKind.DISTANCE or made.reading is not None:
        return None
    ends = _on_paper(made, sheet)
    alike = [
        d
        for d in own
        if d.kind is DimensionKind.DISTANCE
        and d.view == made.view
        and d.reading is not None
        and len(d.ends) == len(made.ends) == 2
        and _same_span(ends, _on_paper(d, sheet))
    ]
    return min(alike, key=lambda d: _on_paper(d, sheet)[0].distance(ends[0]), default=None)


def _on_paper(dimension: Dimension, sheet: Sheet) -> list[Point]:
    return [sheet.to_paper.apply(end.point) for end in dimension.ends]


def _same_span(one: Sequence[Point], other: Sequence[Point]) -> bool:
    """Whether two lengths reach from and to the same places along one of them."""
    a, b = one
    length = a.distance(b)
    if length == 0.0:
        return False
    ux, uy = (b.x - a.x) / length, (b.y - a.y) / length
    along = sorted((p.x - a.x) * ux + (p.y - a.y) * uy for p in other)
    aside = [(p.y - a.y) * ux - (p.x - a.x) * uy for p in other]
    is_parallel = abs(aside[0] - aside[1]) <= SAME_LINE_MM
    return is_parallel and math.dist(along, (0.0, length)) <= SAME_LINE_MM
