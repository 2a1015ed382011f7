"""Marks of short sizes of which only lines outside show, on strokes made by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from audit.dimensions.linear import find_linear
from audit.dimensions.lines import find_marked_lines
from audit.dimensions.raster_outer_tails import aim_by_tails
from audit.dimensions.terminators import Mark, MarkKind
from audit.geometry import Point
from tests.dimensions.raster_builder import ink_of

EDGES = [((60.0, y), (100.0, y)) for y in (80.0, 96.0)]
TAILS = [((99.8, 72.0), (100.0, 80.0)), ((100.0, 96.0), (100.3, 104.0))]  # each leans a little


def dot(x, y):
    return Mark(kind=MarkKind.DOT, point=Point(x, y), size=4.0)


MARKS = (dot(100.0, 80.0), dot(100.0, 96.0))


def aimed(lines, marks=MARKS):
    return [abs(m.uy) > 0.99 for m in aim_by_tails(ink_of(lines), marks)]


def test_marks_with_lines_outside_measure_along_them():
    assert aimed([*EDGES, *TAILS]) == [True, True]


def test_such_marks_make_a_size_though_each_line_leans():
    ink = ink_of([*EDGES, *TAILS])
    (found,) = find_linear(ink, find_marked_lines(ink, aim_by_tails(ink, MARKS)))
    assert sorted(e.point.y for e in found.ends) == pytest.approx([80.0, 96.0], abs=0.1)
    assert found.strength > 0.5


@pytest.mark.parametrize(
    ("lines", "marks"),
    [
        ([*EDGES, TAILS[0]], MARKS),
        (TAILS, MARKS),
        ([*EDGES, *TAILS, ((100.0, 80.0), (100.0, 96.0))], MARKS),
        ([*EDGES, *TAILS], (*MARKS, dot(100.0, 120.0))),
        ([*EDGES, ((100.0, 20.0), (100.0, 80.0)), TAILS[1]], MARKS),
    ],
    ids=["one line", "nothing to stand on", "drawn between", "a neighbour's mark", "a long line"],
)
def test_other_marks_keep_what_they_know(lines, marks):
    assert not any(aimed(lines, marks))


@pytest.mark.parametrize(
    ("known", "ways"), [((0,), [True, True]), ((0, 1), [False, False])], ids=["one", "both"]
)
def test_a_mark_taken_to_measure_along_what_it_stands_on_goes_with_one_that_knows_nothing(
    known, ways
):
    marks = [replace(m, ux=1.0) if k in known else m for k, m in enumerate(MARKS)]
    assert aimed([*EDGES, *TAILS], marks) == ways
