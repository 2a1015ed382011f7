"""Candidates before texts are given out."""

from __future__ import annotations

from audit.dimensions.ink import Ink
from audit.dimensions.linear import find_linear
from audit.dimensions.lines import find_marked_lines
from audit.dimensions.terminators import MarkKind, find_marks
from tests.dimensions.page_builder import PageBuilder


def test_dots_on_an_extension_line_make_no_dimension_along_it():
    """A dot stands on two lines; the one that ends at its outermost dots is the dimension line."""
    builder = PageBuilder()
    builder.rectangle((100, 300, 300, 380))
    for x in (100, 300):
        builder.line((x, 160), (x, 296))
    for y in (170, 200):
        builder.line((100, y), (300, y))
        for x in (100, 300):
            builder.circle((x, y), 1.5, paint="f")
    page = builder.page()
    ink = Ink(page)
    marks = find_marks(page, ink)
    assert [m.kind for m in marks] == [MarkKind.DOT] * 4
    candidates = find_linear(ink, find_marked_lines(ink, marks))
    assert len(candidates) == 2
    assert all(c.ends[0].point.y == c.ends[1].point.y for c in candidates)


def test_centre_marks_make_a_small_circle_a_hole_and_not_a_ring():
    builder = PageBuilder()
    builder.circle((200, 200), 3)
    page = builder.page()
    assert [m.kind for m in find_marks(page, Ink(page))] == [MarkKind.RING]
    builder.line((190, 200), (210, 200))
    builder.line((200, 190), (200, 210))
    page = builder.page()
    assert find_marks(page, Ink(page)) == []
