"""Stubs of a dimension line between a dot and its text, drawn by OpenCV."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from audit.dimensions.raster_stubs import lead_stubs
from audit.dimensions.terminators import Mark, MarkKind
from audit.geometry import Point
from audit.records import Strokes, VectorPage
from tests.dimensions.raster_builder import PX, ink_of, maps_of, text_at

DOTS = [(100, 200), (145, 200)]


def stubs(*drawn, dots=DOTS, text=(122.5, 200), traced=((100, 120), (100, 206)), rings=False):
    """Strokes that were added, where `drawn` is inked."""

    def draw(dark):
        for a, b in drawn:
            p, q = (tuple(round(v * PX) for v in point) for point in (a, b))
            cv2.line(dark, p, q, 255, 2)
        for x, y in dots:
            middle = (round(x * PX), round(y * PX))
            cv2.circle(dark, middle, 7 if rings else 4, 255, 2 if rings else -1)

    ink = ink_of([traced])
    page = VectorPage(width=600, height=400, turn=0, strokes=_strokes_of(ink))
    marks = [Mark(kind=MarkKind.DOT, point=Point(*p), size=4) for p in dots]
    texts = [text_at("1/4", text)]
    longer = lead_stubs(page, ink, marks, texts, maps_of(draw), px_per_pt=PX)
    return longer.strokes.ends[1:].tolist()


def _strokes_of(ink):
    return Strokes(
        ends=ink.ends,
        widths=ink.widths,
        paths=ink.paths,
        greys=ink.widths * 0,
        curved=ink.curved,
        pattern=ink.paths * 0,
    )


BOTH = ((100, 200), (106, 200)), ((139, 200), (145, 200))
AT_RIMS = ((102.5, 200), (106, 200)), ((139, 200), (142.5, 200))


def test_stubs_at_two_dots_with_a_text_between_become_strokes():
    left, right = stubs(*BOTH)
    assert left == pytest.approx([100, 200, 106, 200], abs=0.8)
    assert right == pytest.approx([145, 200, 139, 200], abs=0.8)


def test_where_only_one_stub_shows_there_is_no_dimension_line():
    assert stubs(BOTH[0]) == []


def test_text_that_stands_aside_has_no_stubs():
    assert stubs(*BOTH, text=(122.5, 190)) == []


def test_bare_dots_have_no_stubs():
    assert stubs() == []


def link(*extensions, gap=False):
    """Strokes that were added between two dots on extension lines, in the way of a chain."""
    dots = [(100, 200), (111, 200)]

    def draw(dark):
        for a, b in [((100, 200), (104 if gap else 111, 200)), *extensions]:
            p, q = (tuple(round(v * PX) for v in point) for point in (a, b))
            cv2.line(dark, p, q, 255, 2)

    ink = ink_of(extensions)
    page = VectorPage(width=600, height=400, turn=0, strokes=_strokes_of(ink))
    marks = [Mark(kind=MarkKind.DOT, point=Point(*p), size=4) for p in dots]
    longer = lead_stubs(page, ink, marks, [], maps_of(draw), px_per_pt=PX)
    return longer.strokes.ends[len(extensions) :].tolist()


SQUARE = [((x, 150), (x, 206)) for x in (100, 111)]


def test_the_line_of_a_narrow_link_runs_from_mark_to_mark():
    assert link(*SQUARE) == [pytest.approx([100, 200, 111, 200])]


def test_a_link_must_be_drawn_and_stand_square_to_its_extension_lines():
    assert link(*SQUARE, gap=True) == []
    assert link(((70, 170), (106, 206)), SQUARE[1]) == []


def test_stubs_begin_at_the_rims_of_two_rings():
    left, right = stubs(*AT_RIMS, rings=True)
    assert left == pytest.approx([100, 200, 106, 200], abs=0.8)
    assert right == pytest.approx([145, 200, 139, 200], abs=0.8)


def test_rings_alone_have_no_stubs():
    assert stubs(rings=True) == []


def links(*heads, drawn, traced):
    """Strokes that were added between arrowheads (place, way), over what is inked."""

    def draw(dark):
        for x, way in heads:
            corners = [(x, 200), (x - way * 13, 198), (x - way * 13, 202)]
            cv2.fillPoly(dark, [np.round(np.array(corners) * PX).astype(np.int32)], 255)
        for a, b in drawn:
            p, q = (tuple(round(v * PX) for v in point) for point in (a, b))
            cv2.line(dark, p, q, 255, 2)

    ink = ink_of(traced)
    page = VectorPage(width=600, height=400, turn=0, strokes=_strokes_of(ink))
    marks = [
        Mark(kind=MarkKind.FILLED, point=Point(x, 200), ux=float(way), uy=0.0, size=13)
        for x, way in heads
    ]
    longer = lead_stubs(page, ink, marks, [], maps_of(draw), px_per_pt=PX)
    return longer.strokes.ends[len(traced) :].tolist()


POSTS = [((x, 120), (x, 206)) for x in (100, 127, 160)]
LINK = [((100, 200), (127, 200))]


def test_link_that_its_two_heads_fill_becomes_a_stroke():
    [stroke] = links((100, -1), (127, 1), drawn=LINK, traced=POSTS)
    assert stroke == pytest.approx([100, 200, 127, 200], abs=0.1)


def test_link_whose_line_was_traced_gets_no_second_stroke():
    assert links((100, -1), (127, 1), drawn=LINK, traced=[*POSTS, *LINK]) == []


def test_heads_that_point_at_each_other_or_past_a_third_are_no_link():
    assert links((100, 1), (127, -1), drawn=LINK, traced=POSTS) == []
    ways = (100, -1), (127, 1), (127, -1), (140, 1)
    ends = [tuple(s) for s in links(*ways, drawn=[((100, 200), (140, 200))], traced=POSTS)]
    assert ends == [(100.0, 200.0, 127.0, 200.0)]
