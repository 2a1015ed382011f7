"""Dots between heads that point at each other, on strokes and marks by hand."""

from __future__ import annotations

from audit.dimensions.raster_faced_dots import aim_between_heads
from audit.dimensions.terminators import Mark, MarkKind
from audit.geometry import Point
from tests.dimensions.raster_builder import ink_of

EXTENSIONS = [((40.0, y), (120.0, y)) for y in (60.0, 80.0, 120.0)]
DOT = Mark(kind=MarkKind.DOT, point=Point(60.0, 80.0), ux=1.0, size=4.0, sure=0.4)


def head(y, uy):
    return Mark(kind=MarkKind.FILLED, point=Point(60.0, y), uy=uy, size=6.0, sure=0.9)


def aim_of(*heads, lines=()):
    *_, dot = aim_between_heads(ink_of([*EXTENSIONS, *lines]), [*heads, DOT])
    return (round(dot.ux, 2), round(dot.uy, 2)), dot.sure


def test_a_dot_between_facing_heads_measures_along_their_way():
    assert aim_of(head(60.0, 1.0), head(120.0, -1.0)) == ((0.0, 1.0), 1.0)


def test_heads_that_point_apart_tell_nothing():
    assert aim_of(head(60.0, -1.0), head(120.0, 1.0)) == ((1.0, 0.0), 0.4)


def test_where_a_line_is_drawn_between_them_it_tells_itself():
    drawn = ((60.0, 60.0), (60.0, 120.0))
    assert aim_of(head(60.0, 1.0), head(120.0, -1.0), lines=[drawn]) == ((1.0, 0.0), 0.4)
