"""Dashed lines that lead to a place on a dimension line, on strokes made by hand."""

from __future__ import annotations

import pytest

from audit.dimensions.crossings import find_crossing
from audit.dimensions.dashed_crossings import find_dashed
from audit.dimensions.ink import Line
from audit.dimensions.lines import MarkedLine, Place
from audit.dimensions.terminators import Mark, MarkKind
from tests.dimensions.raster_builder import ink_of

LEVEL = Line(100.0, 200.0, 1.0, 0.0)
LONG, DOT = ((150, 140), (150, 180)), ((150, 184), (150, 188))


def leads(*lines, along=50.0):
    found = find_dashed(ink_of([((100, 200), (150, 200)), *lines]), LEVEL, along)
    return None if found is None else round(found[0], 2)


def test_a_long_dash_and_a_short_one_lead_to_where_the_line_ends():
    # 12 pt short of it: a dot of a dimension line and a gap take the rest
    assert leads(LONG, ((150, 184), (150, 194))) == 50.0


def test_dashes_that_lean_are_led_on_as_they_lean():
    lean = [
        ((150 + 0.02 * (y - 200), y), (150 + 0.02 * (z - 200), z))
        for y, z in ((140, 180), (184, 195))
    ]
    assert leads(*lean) == pytest.approx(50.0, abs=0.02)


@pytest.mark.parametrize(
    "lines",
    [
        [LONG],
        [LONG, DOT],
        [((150, 170), (150, 176)), ((150, 180), (150, 186)), ((150, 190), (150, 195))],
        [LONG, ((154, 184), (154, 194))],
        [((156, 140), (154, 180)), ((153.8, 184), (153.3, 194))],
        [((152, 140), (152, 180)), ((152, 184), (152, 194))],
    ],
    ids=["no dash", "too far", "no long one", "not in line", "aslant", "past it"],
)
def test_other_strokes_lead_nowhere(lines):
    assert leads(*lines) is None


def test_a_dimension_line_ends_on_the_dashed_line_that_leads_to_it():
    ink = ink_of([((100, 200), (150, 200)), LONG, ((150, 184), (150, 194.5))])
    strokes, pieces = ink.on_line(LEVEL)
    marked = MarkedLine(
        line=LEVEL, strokes=strokes, spans=((0.0, 50.0),), pieces=pieces, places=(), width=0.6
    )
    crossing = find_crossing(ink, marked, Place(along=50.5))
    assert crossing.end.point == pytest.approx((150.0, 200.0))


@pytest.mark.parametrize(("sure", "ends"), [(0.8, True), (1.0, False)], ids=["seen", "drawn"])
def test_a_dot_seen_on_a_picture_hides_the_nearest_of_the_line_that_it_stands_on(sure, ends):
    ink = ink_of([((100, 200), (150, 200)), ((150, 140), (150, 193))])
    strokes, pieces = ink.on_line(LEVEL)
    marked = MarkedLine(
        line=LEVEL, strokes=strokes, spans=((0.0, 50.0),), pieces=pieces, places=(), width=0.6
    )
    dot = Mark(kind=MarkKind.DOT, point=LEVEL.at(50.0), size=4.0, sure=sure)
    assert (find_crossing(ink, marked, Place(along=50.0, even=dot)) is not None) is ends
