"""Sizes beside edges, on strokes made by hand: which edge is meant, and where none is."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from audit.dimensions.raster_beside import find_beside
from audit.dimensions.terminators import Mark, MarkKind
from audit.geometry import Point
from tests.dimensions.raster_builder import ink_of, text_at

CORNERS = [(100, 100), (300, 100), (300, 200), (100, 200)]
BOX = list(pairwise([*CORNERS, CORNERS[0]]))


def edges(lines, *texts):
    """Ends of the edges that were found, each from left to right or from the top down."""
    found = find_beside(ink_of(lines), list(texts))
    return [sorted(tuple(map(float, end.point)) for end in c.ends) for c in found]


def by_hand(lines, *texts):
    """The like on a sheet whose lines waver."""
    ink = ink_of(lines)
    ink.waver = 0.14
    found = find_beside(ink, list(texts))
    return [sorted(tuple(map(float, end.point)) for end in c.ends) for c in found]


def test_size_under_the_middle_of_an_edge_tells_its_length():
    (edge,) = edges(BOX, text_at("2 1/4", (202, 210)))
    assert edge == [pytest.approx((100, 200)), pytest.approx((300, 200))]


def test_level_size_beside_an_upright_edge_tells_its_length():
    (edge,) = edges(BOX, text_at("1 1/8", (80, 151)))
    assert edge == [pytest.approx((100, 100)), pytest.approx((100, 200))]


def test_extension_line_that_goes_on_from_a_corner_does_not_lengthen_the_edge():
    more = [((300, 200), (300, 225)), ((100, 200), (100, 225)), ((100, 215), (300, 215))]
    (edge,) = edges(BOX + more, text_at("1 1/8", (320, 150)))
    assert edge == [pytest.approx((300, 100)), pytest.approx((300, 200))]


@pytest.mark.parametrize("centre", [(130, 210), (202, 232)])
def test_size_far_from_the_middle_or_from_the_edge_is_left_alone(centre):
    assert edges(BOX, text_at("2 1/4", centre)) == []


def test_size_in_a_field_of_a_table_is_left_alone():
    assert edges([*BOX, ((100, 230), (300, 230))], text_at("2 1/4", (202, 210))) == []


def test_size_in_a_long_field_of_a_table_is_left_alone():
    rules = [((100, y), (300, y)) for y in (100, 114, 128)] + [((100, 100), (100, 128))]
    assert edges(rules, text_at("1/8", (113, 107))) == []


def test_edge_with_slanting_neighbours_may_be_foreshortened_and_is_left_alone():
    c, s = 100 * math.cos(math.radians(30)), 50.0
    lines = [
        ((100, 100), (100, 200)),
        ((100, 200), (100 + c, 200 + s)),
        ((100, 100), (100 + c, 100 + s)),
    ]
    assert edges(lines, text_at("1 3/4", (80, 150))) == []


def test_whole_number_alone_may_number_a_part_but_not_among_sizes():
    number = text_at("2", (202, 210))
    assert edges(BOX, number) == []
    others = text_at("1 1/8", (80, 151)), text_at("1 1/8", (320, 149))
    assert len(edges(BOX, number, *others)) == 3


def test_size_whose_box_reaches_a_little_over_its_edge_still_stands_beside_it():
    """The box of a text is seen coarsely; a stroke of its own letters is no edge."""
    (edge,) = edges(BOX, text_at("1 1/8", (87, 151)))
    assert edge == [pytest.approx((100, 100)), pytest.approx((100, 200))]
    assert edges(BOX, text_at("1 1/8", (90, 151))) == []


@pytest.mark.parametrize(("gap", "found"), [(2.8, 1), (5.0, 0)])
def test_a_neighbour_that_a_scan_left_a_millimetre_short_still_makes_a_corner(gap, found):
    short = [
        ((x0, y0), (x1, 200 - gap if y1 == 200 and x1 == 300 else y1)) for (x0, y0), (x1, y1) in BOX
    ]
    short[2] = ((300, 200), (100, 200))
    assert len(edges(short, text_at("2 1/4", (202, 210)))) == found


def bent(*foot):
    """A box by hand whose foot runs over some places."""
    return [*BOX[:2], ((100, 200), (100, 100)), *pairwise([(300, 200), *foot, (100, 200)])]


BOWED = bent((240, 203.5), (160, 203))
UNDER = text_at("2 1/4", (202, 214))


def test_an_edge_that_bows_is_followed_from_piece_to_piece_where_a_hand_drew():
    (edge,) = by_hand(BOWED, UNDER)
    assert edge == [pytest.approx((100, 202), abs=1.5), pytest.approx((300, 202), abs=1.5)]
    assert not edges(BOWED, UNDER)


def test_what_goes_on_from_a_corner_by_hand_does_not_lengthen_the_edge():
    more = [((300, 200), (300, 225)), ((100, 200), (100, 225)), ((300, 200), (330, 201))]
    (edge,) = by_hand(BOWED + more, text_at("1 1/8", (320, 150)))
    assert edge == [pytest.approx((300, 100), abs=1.5), pytest.approx((300, 200), abs=3.0)]


BOTH_WAYS = [
    *BOX,
    *(((80, y), (320, y)) for y in (99.5, 200.5)),
    *(((x, 100), (x, 200)) for x in (86, 314)),
]


def heads(sure=0.9):
    """Arrowheads of two dimension lines, left and right of the box."""
    return [
        Mark(kind=MarkKind.FILLED, point=Point(x, y), ux=0.0, uy=way, size=6.0, sure=sure)
        for x in (86, 314)
        for y, way in ((100.0, -1.0), (200.0, 1.0))
    ]


@pytest.mark.parametrize("sure", [0.9, 0.2])
def test_an_edge_does_not_go_on_to_where_arrowheads_point_at_its_extension_lines(sure):
    """Its number stands at the middle between both dimension lines as well."""
    (found,) = find_beside(ink_of(BOTH_WAYS), [text_at("2 1/4", (200, 210))], heads(sure))
    ends = sorted(float(end.point.x) for end in found.ends)
    assert ends == pytest.approx([100, 300] if sure == 0.9 else [86, 314], abs=0.5)


def test_an_arrowhead_on_an_edge_that_goes_on_beyond_it_leaves_the_corner_alone():
    """A dimension line under an edge of the part, in line with it, is traced as one with it."""
    lines = [*BOX[:3], ((100, 230), (100, 100))]
    foreign = Mark(kind=MarkKind.FILLED, point=Point(100, 200), ux=0.0, uy=-1.0, size=6.0)
    (found,) = find_beside(ink_of(lines), [text_at("2 1/4", (202, 210))], [foreign])
    assert sorted(float(end.point.x) for end in found.ends) == pytest.approx([100, 300])
