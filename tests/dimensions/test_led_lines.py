"""Dimension lines of long dashes, of which the first tells the direction none too well."""

from __future__ import annotations

import math

import pytest

from audit.dimensions.ink import Line
from audit.dimensions.lines import find_marked_lines, heads_near_each_other
from audit.dimensions.terminators import Mark, MarkKind
from audit.geometry import Point
from tests.dimensions.raster_builder import ink_of


def head(y, way):
    return Mark(
        kind=MarkKind.FILLED, point=Point(100.0, y), ux=0.0, uy=way, size=5.0, strokes=frozenset()
    )


def dashes(off):
    """Dashes down from (100, 50), each upright, `off` to the right of straight in the end."""
    tops = [50.0 + 23.5 * k for k in range(12)]
    across = [100 + off * (y - 50) / 280 for y in tops]
    return [((x, y), (x, y + 20)) for x, y in zip(across, tops, strict=True)]


def places(off, *, kept=99):
    """How many marks the line with the most of them has; of the dashes as many at each end."""
    tip = Point(100.0 + off, 330.0)
    lower = Mark(kind=MarkKind.FILLED, point=tip, ux=0.0, uy=1.0, size=5.0, strokes=frozenset())
    drawn = dashes(off)
    lines = find_marked_lines(
        ink_of([d for k, d in enumerate(drawn) if min(k, len(drawn) - 1 - k) < kept]),
        [head(50.0, -1.0), lower],
    )
    return max(len(line.places) for line in lines)


def test_a_line_of_dashes_reaches_the_head_that_its_first_dash_points_past():
    assert places(0.3) == 2
    assert places(1.2) == 2


def test_a_head_well_beside_the_line_is_not_its_other_end():
    assert places(9.0) == 1


def test_two_heads_with_little_between_are_no_line():
    assert places(1.2, kept=2) == 1


def facing(left, right, *, way, far=20.0):
    """Two heads on about one line, each with the short line behind it, turned so far up."""
    marks, drawn = [], []
    for x, up, sign in ((100.0, left, way), (100.0 + far, right, -way)):
        turned = (sign * math.cos(up), -sign * math.sin(up))
        marks.append(
            Mark(
                kind=MarkKind.FILLED,
                point=Point(x, 100.0),
                ux=turned[0],
                uy=turned[1],
                size=4.0,
                strokes=frozenset(),
            )
        )
        drawn.append(((x, 100.0), (x - 11 * turned[0], 100.0 - 11 * turned[1])))
    return max(len(line.places) for line in find_marked_lines(ink_of(drawn), marks))


@pytest.mark.parametrize("way", [1.0, -1.0])
def test_short_lines_behind_two_heads_are_one_though_they_point_past_each_other(way):
    assert facing(0.05, 0.05, way=way) == 2


@pytest.mark.parametrize(("far", "marks"), [(55.0, 2), (75.0, 1)])
def test_heads_outside_may_stand_several_of_their_short_lines_apart(far, marks):
    """A number beside one of them has all the room it wants; heads further apart are strangers."""
    assert facing(0.04, 0.04, way=1.0, far=far) == marks


def test_lines_that_run_clearly_another_way_are_not_one():
    assert facing(0.12, 0.15, way=1.0) == 1


def bare_heads(turn, other=None, *, far=30.0, waver=0.1):
    """Two heads that point at each other over bare paper, turned from their line by degrees."""
    t, o = math.radians(turn), math.radians(turn if other is None else other)
    ways = (100.0, math.cos(t), math.sin(t)), (100.0 + far, -math.cos(o), -math.sin(o))
    marks = [
        Mark(kind=MarkKind.FILLED, point=Point(x, 100.0), ux=ux, uy=uy, size=8.0)
        for x, ux, uy in ways
    ]
    ink = ink_of([((300, 300), (340, 300))])
    ink.waver = waver
    return max((len(line.places) for line in find_marked_lines(ink, marks)), default=0)


def test_by_hand_both_heads_without_shafts_may_be_turned_from_their_line():
    assert (bare_heads(7.0), bare_heads(12.0)) == (2, 0)
    assert (bare_heads(7.0, waver=0.0), bare_heads(7.0, far=150.0)) == (0, 0)


def test_one_head_without_a_shaft_may_be_turned_where_the_other_points_at_it():
    """The direction of a small head is rough, on ruled sheets too."""
    assert bare_heads(7.0, 0.0, waver=0.0) == 2


def test_heads_far_apart_are_not_tried_two_by_two():
    """A crowded sheet has thousands of heads, and a thousand times as many pairs of them."""
    places = [(400.0 * (k % 60), 400.0 * (k // 60)) for k in range(3000)]
    places.append((places[7][0] + 100.0, places[7][1]))
    shafts = [
        (
            Mark(
                kind=MarkKind.FILLED, point=Point(x, y), ux=1.0, uy=0.0, size=6.0,
                strokes=frozenset(),
            ),
            Line(x, y, 1.0, 0.0),
        )
        for x, y in places
    ]  # fmt: skip
    [(mark, _, other, _)] = heads_near_each_other(shafts)
    assert (mark.point, other.point) == (Point(*places[7]), Point(*places[-1]))
