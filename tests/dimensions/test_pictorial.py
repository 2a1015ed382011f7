"""Sizes on pictorial views of pictures, on strokes made by hand."""

from __future__ import annotations

import pytest

from audit.dimensions.pictorial import find_pictorial
from audit.geometry import Point
from audit.records import Dimension, DimensionKind, End, EndKind
from tests.dimensions.raster_builder import ink_of

FIRST, LAST = Point(100.0, 100.0), Point(150.0, 50.0)  # along a slanted axis


def dashes(p, *, dash, gap, feet=3):
    """Level dashes to the left of a place, the first of them a little past it."""
    starts = [p.x + 2.0 - k * (dash + gap) for k in range(feet)]
    return [((x, p.y), (x - dash, p.y)) for x in starts]


@pytest.mark.parametrize(
    ("dash", "gap", "found"),
    [(20.0, 3.0, {1}), (4.5, 3.0, {1}), (4.5, 8.0, set()), (2.0, 3.0, set())],
)
def test_extension_lines_that_a_scan_broke_up_slant_all_the_same(dash, gap, found):
    """Dashes far apart, or as short as specks, are no line."""
    size = Dimension(
        id=1,
        sheet=1,
        view=1,
        kind=DimensionKind.DISTANCE,
        ends=tuple(End(point=p, kind=EndKind.EXTENSION, sigma=0.1) for p in (FIRST, LAST)),
        line=(FIRST, LAST),
        reading=None,
        score=0.9,
    )
    feet = [d for p in (FIRST, LAST) for d in dashes(p, dash=dash, gap=gap)]
    assert find_pictorial(ink_of([(FIRST, LAST), *feet]), [size], upright=0.0) == found
