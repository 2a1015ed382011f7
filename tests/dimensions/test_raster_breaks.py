"""Breaks of parts on pictures, and what only looks like one."""

from __future__ import annotations

import math

import numpy as np
import pytest

from audit.dimensions.ink import Line
from audit.dimensions.raster_breaks import IN_LINE_PT, find_gaps, in_line
from audit.geometry import Box, Point
from tests.dimensions.raster_builder import ink_of

TOP = [((50, 100), (200, 100)), ((215, 100), (400, 100))]
FOOT = [((50, 160), (200, 160)), ((215, 160), (400, 160))]


def test_a_part_whose_two_edges_stop_at_one_place_is_broken_there():
    [pair] = find_gaps(ink_of([*TOP, *FOOT]))
    assert pair.lies_between(Point(50, 130), Point(400, 130))


@pytest.mark.parametrize("measured", [100, 160])
def test_a_dimension_line_that_stops_for_its_number_is_no_edge_of_a_broken_part(measured):
    line = (Point(50, measured), Point(400, measured))
    assert find_gaps(ink_of([*TOP, *FOOT]), measured=[line]) == []


def test_a_dimension_line_elsewhere_leaves_a_broken_part_broken():
    line = (Point(50, 180), Point(400, 180))
    assert len(find_gaps(ink_of([*TOP, *FOOT]), measured=[line])) == 1


def test_a_gap_between_two_dimension_lines_of_a_row_is_no_break():
    lines = [(Point(50, 160), Point(200, 160)), (Point(215, 160), Point(400, 160))]
    assert find_gaps(ink_of([*TOP, *FOOT]), measured=lines) == []


@pytest.mark.parametrize(("at", "broken"), [(395, 0), (300, 1)])
def test_a_line_that_a_size_ends_on_near_its_own_end_is_no_edge_of_a_broken_part(at, broken):
    line = (Point(at, 160), Point(at, 250))
    assert len(find_gaps(ink_of([*TOP, *FOOT]), measured=[line])) == broken


@pytest.mark.parametrize(("low", "high", "broken"), [(90, 170, 0), (90, 128, 1)])
def test_a_gap_that_a_line_crosses_from_edge_to_edge_is_no_break(low, high, broken):
    centre_line = ((207, low), (207, high))
    assert len(find_gaps(ink_of([*TOP, *FOOT, centre_line]))) == broken


def test_a_gap_between_two_large_letters_is_no_break():
    word = Box(150, 90, 300, 170)
    assert find_gaps(ink_of([*TOP, *FOOT]), texts=[word]) == []
    assert len(find_gaps(ink_of([*TOP, *FOOT]), texts=[Box(150, 90, 300, 130)])) == 1


@pytest.mark.parametrize(("sides", "broken"), [((80, 180), 0), ((80,), 1), ((80, 90), 1)])
def test_a_gap_that_edges_run_past_on_both_sides_is_one_between_panes(sides, broken):
    frame = [((30, y), (420, y)) for y in sides]
    assert len(find_gaps(ink_of([*TOP, *FOOT, *frame]))) == broken


def test_lines_of_dimensions_that_run_past_a_gap_leave_the_part_broken():
    lines = [((30, y), (420, y)) for y in (80, 180)]
    measured = [tuple(Point(*p) for p in line) for line in lines]
    assert len(find_gaps(ink_of([*TOP, *FOOT, *lines]), measured=measured)) == 1


def test_panels_with_mitred_mouldings_are_closed():
    """Where inner and outer edges stop at two places a stroke closes the gap squarely."""
    outer = [((50, 100), (195, 100)), ((220, 100), (400, 100))]
    inner = [((50, 108), (187, 108)), ((228, 108), (400, 108))]
    closed = [((x, 100), (x, 240)) for x in (195, 220)]
    assert find_gaps(ink_of([*outer, *inner, *closed])) == []
    assert len(find_gaps(ink_of([*outer, *inner]))) == 1


def test_strokes_in_a_line_are_those_both_of_whose_ends_lie_in_it():
    rng = np.random.default_rng(8)
    line = Line(40.0, 100.0, math.cos(0.3), math.sin(0.3))
    along = rng.uniform(-300, 300, (400, 2))
    ends = np.array(
        [[c for t in pair for c in line.at(t)] for pair in along] + rng.normal(0, 0.8, (400, 4))
    )
    near = [
        k
        for k, (x0, y0, x1, y1) in enumerate(ends.tolist())
        if max(abs(line.place((x0, y0))[1]), abs(line.place((x1, y1))[1])) <= IN_LINE_PT
    ]
    assert 100 < len(near) < 350
    assert in_line(line, ends) == near
