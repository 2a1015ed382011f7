"""Dimensions of half views, and short sizes whose tails run on past a centre line."""

from __future__ import annotations

import pytest

from audit.dimensions.half_views import find_half_dimensions
from audit.dimensions.lines import find_marked_lines
from audit.dimensions.terminators import Mark, MarkKind
from audit.geometry import Point
from tests.dimensions.raster_builder import ink_of

EXTENSIONS = [((x, 60), (x, 106)) for x in (70, 100)]
CENTRE = [((130, y), (130, y + far)) for k in (40, 70, 100) for y, far in ((k, 20), (k + 23, 4))]
LINE, TAIL = ((100, 100), (150, 100)), ((40, 100), (70, 100))


def head(x, ux):
    return Mark(kind=MarkKind.FILLED, point=Point(x, 100), ux=ux, size=7.0)


@pytest.mark.parametrize(("heads", "halves"), [((), 1), ((head(70, 1.0),), 0)])
def test_a_head_that_another_faces_from_outside_a_short_size_ends_no_half(heads, halves):
    ink = ink_of([LINE, TAIL, *EXTENSIONS, *CENTRE])
    lines = find_marked_lines(ink, [head(100, -1.0), *heads])
    assert len(find_half_dimensions(ink, lines, width=600, height=400)) == halves
