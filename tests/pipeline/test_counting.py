"""Which printed number belongs to what was counted."""

from __future__ import annotations

from dataclasses import replace

import pytest

from audit.geometry import Box, Point
from audit.lengths import Unit
from audit.pipeline.counting import printed_count
from audit.reading import read_typed
from audit.records import DimensionKind, End
from tests.store.builders import make_found

FOUND = make_found(count=2)
SHEET = FOUND.sheets[0]


def plan(text, a, b, kind=DimensionKind.DIAMETER):
    reading = read_typed(text, points=[a, b], unit=Unit.IN)
    ends = (End(point=a), End(point=b))
    first = replace(FOUND.dimensions[0], kind=kind, ends=ends, reading=reading)
    return replace(FOUND, dimensions=(first,))


HOLE = plan("4X Ø 3/16 THRU", Point(95, 100), Point(105, 100))
AROUND = Box(92, 92, 108, 108)


def test_the_callout_of_any_of_them_counts():
    far = Box(300, 300, 316, 316)
    assert printed_count(HOLE, SHEET, [far, AROUND]) == (4, "4X Ø 3/16 THRU")
    assert printed_count(HOLE, SHEET, [far]) == (None, "")


def test_a_hole_inside_what_was_counted_does_not_count_for_it():
    assert printed_count(HOLE, SHEET, [Box(40, 40, 160, 160)]) == (None, "")


def test_the_middle_of_a_radius_is_its_centre():
    corner = plan("2X R 1/2", Point(100, 100), Point(120, 100), DimensionKind.RADIUS)
    assert printed_count(corner, SHEET, [Box(78, 78, 122, 122)])[0] == 2


@pytest.mark.parametrize("text", ["Ø 3/16 THRU", "1X Ø 3/16"])
def test_a_callout_without_a_number_prints_none(text):
    one = plan(text, Point(95, 100), Point(105, 100))
    assert printed_count(one, SHEET, [AROUND]) == (None, "")
