"""Dots told along which line they measure by the number between them, and by the sheet's habit."""

from __future__ import annotations

import numpy as np
import pytest

from audit.dimensions.even_marks import are_dashes
from audit.dimensions.linear import find_linear
from audit.dimensions.lines import find_marked_lines
from audit.dimensions.raster_habits import as_sheet_ends
from audit.dimensions.raster_numbers import lines_of_numbers
from audit.dimensions.terminators import Mark, MarkKind
from audit.geometry import Point
from tests.dimensions.raster_builder import ink_of, text_at, tip

UPRIGHT = [((100, 110), (100, 150)), ((100, 190), (100, 225))]  # between dots at 100 and 240
DOTS = np.array([(100.0, 100.0), (100.0, 240.0)])
NUMBER = text_at("2 1/4", (100, 170))
EXTENSIONS = [((60, y), (106, y)) for y in (100, 240)]


def shown(*, dots=DOTS, lines=UPRIGHT, text=NUMBER):
    found = lines_of_numbers(ink_of(lines), dots, [text])
    return [(min(line.at(0.0).y, line.at(far).y), far) for line, far in found]


def test_a_number_between_two_dots_shows_their_line_though_bits_of_it_are_left():
    assert shown() == [(100.0, 140.0)]


@pytest.mark.parametrize("of", [{"lines": EXTENSIONS}, {"text": text_at("2 1/4", (100, 130))}])
def test_a_number_on_bare_paper_or_off_the_middle_shows_no_line(of):
    assert shown(**of) == []


def test_a_spot_where_a_line_stops_for_its_number_is_no_end_of_it():
    assert shown(dots=np.array([*DOTS, (100.0, 150.0)])) == [(100.0, 140.0)]


def test_a_number_that_fills_the_room_shows_its_line():
    narrow = np.array([(100.0, 145.0), (100.0, 195.0)])
    number = text_at("3/8 DIA.", (100, 170), angle=90.0, height=7.0)
    assert shown(dots=narrow, lines=EXTENSIONS, text=number) == [(145.0, 50.0)]


@pytest.mark.parametrize(("text", "shows"), [("3/8 DIAM. X", 1), ("13/32 DIAM. X", 0)])
def test_a_dot_hard_by_a_number_may_be_in_its_cut(text, shows):
    narrow = np.array([(100.0, 145.0), (100.0, 195.0)])
    number = text_at(text, (100, 170), angle=90.0, height=7.0)
    assert len(shown(dots=narrow, lines=EXTENSIONS, text=number)) == shows


def weak_head(*, sure, lines=(*UPRIGHT, *EXTENSIONS)):
    ends = [tip(300 + 20 * k, 300, None, 0.9) for k in range(8)] if sure else []
    return as_sheet_ends(
        [*ends, tip(100, 100, 270.0, 0.5)], ink_of([*lines, ((100, 100), (100, 150))])
    )


def test_among_dots_a_weak_head_on_a_crossing_is_a_dot():
    assert weak_head(sure=True)[-1].direction is None


def test_without_that_habit_or_a_line_across_a_weak_head_stays_one():
    assert weak_head(sure=False)[-1].direction == 270.0
    assert weak_head(sure=True, lines=UPRIGHT)[-1].direction == 270.0


def test_gaps_of_every_size_are_no_dashes():
    assert are_dashes([3.0, 3.4, 2.7, 3.1])
    assert not are_dashes([0.7, 3.4, 1.2, 5.1])


def between_dots(*spans):
    lines = [*(((100, a), (100, b)) for a, b in spans), *EXTENSIONS]
    ink = ink_of(lines)
    dots = [
        Mark(kind=MarkKind.DOT, point=Point(100, y), uy=1.0, size=4.0, strokes=frozenset())
        for y in (100, 240)
    ]
    return [c.alone for c in find_linear(ink, find_marked_lines(ink, dots))]


def test_a_line_between_dots_that_is_broken_at_its_middle_is_a_size_without_a_number():
    assert between_dots((100, 167), (173, 240)) == [True]


@pytest.mark.parametrize("spans", [[(100, 240)], [(100, 140), (146, 240)]])
def test_a_line_between_dots_that_is_whole_or_broken_elsewhere_needs_its_number(spans):
    assert between_dots(*spans) == [False]
