"""Lines of long dashes between marks that measure along them, on strokes made by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from audit.dimensions.aimed_lines import lines_between_aimed, lines_filled
from audit.dimensions.lines import find_marked_lines
from audit.dimensions.terminators import Mark, MarkKind
from audit.geometry import Point
from tests.dimensions.raster_builder import ink_of

DASHES = [((100.0 + 25 * k, 0.0), (122.0 + 25 * k, 0.0)) for k in range(16)]


def bowed(x, y):
    """A place on a line that bows by 0.7 pt between 100 and 500."""
    return x, y + 0.7 * (1.0 - ((x - 300.0) / 200.0) ** 2)


def dot(x, *, ux=1.0, sure=0.9):
    return Mark(kind=MarkKind.DOT, point=Point(x, 0.0), ux=ux, uy=0.0, size=4.0, sure=sure)


def lines_of(dashes, marks):
    return lines_between_aimed(ink_of([(bowed(*a), bowed(*b)) for a, b in dashes]), marks)


def test_dashes_that_bow_lead_from_dot_to_dot():
    marks = [dot(100.0, ux=-1.0), dot(500.0)]
    ink = ink_of([(bowed(*a), bowed(*b)) for a, b in DASHES])
    assert any([p.along for p in m.places] == [0.0, 400.0] for m in find_marked_lines(ink, marks))


@pytest.mark.parametrize(
    ("dashes", "marks"),
    [
        (DASHES[:4], [dot(100.0), dot(500.0)]),
        (DASHES, [dot(100.0), dot(500.0, ux=0.0)]),
        (DASHES, [dot(100.0, sure=1.0), dot(500.0, sure=1.0)]),
        ([((100.0, 0.0), (500.0, 0.0))], [dot(100.0), dot(500.0)]),
    ],
    ids=["no ink", "one does not measure", "drawn", "no dashes"],
)
def test_other_marks_have_no_dashes_between_them(dashes, marks):
    assert lines_of(dashes, marks) == []


def test_a_dot_measures_to_the_next_one_on_either_side():
    marks = [dot(100.0), dot(300.0), dot(500.0)]
    ends = {(round(line.x), round(line.ux)) for line, _ in lines_of(DASHES, marks)}
    assert ends == {(100, 1), (300, 1), (300, -1), (500, -1)}


@pytest.mark.parametrize(
    ("marks", "lines"),
    [
        ([dot(100.0), dot(140.0)], 2),
        ([dot(100.0), dot(140.0, ux=0.0)], 0),
        ([dot(100.0), dot(240.0)], 0),
    ],
    ids=["near", "one does not measure", "room for a line"],
)
def test_between_dots_near_each_other_a_number_may_hide_their_line(marks, lines):
    assert len(lines_filled(marks)) == lines


def test_of_two_dots_near_each_other_one_may_lie_a_little_off_the_way_of_the_other():
    def apart(off):
        return len(lines_filled([dot(100.0), replace(dot(140.0), point=Point(140.0, off))]))

    assert (apart(1.4), apart(3.0)) == (2, 0)
