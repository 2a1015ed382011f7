"""Figures over figures: fractions that were lettered without their bar."""

from __future__ import annotations

from dataclasses import replace

import pytest

from audit.geometry import Box, Point
from audit.pipeline.bare_stacks import doubt_bare_stacks
from tests.pipeline.test_abutting import piece, size

OWN = Box(100, 100, 108, 112)


@pytest.mark.parametrize(
    ("other", "place", "doubted"),
    [
        ("2", Box(100, 116, 108, 128), True),
        ("16", Box(96, 116, 112, 128), True),
        ("1", Box(101, 85, 107, 97), True),
        ("2", Box(100, 140, 108, 152), False),  # another row
        ("2", Box(116, 100, 124, 112), False),  # beside it
        ("3.5", Box(96, 116, 112, 128), False),
        ("2", Box(98, 116, 120, 146), False),  # much larger
    ],
)
def test_whole_number_over_or_under_another_may_be_a_fraction(other, place, doubted):
    [done] = doubt_bare_stacks([size("1", OWN)], [piece(other, place)])
    assert bool(done.reading.doubt) is doubted


def test_figures_of_two_dimensions_are_told_too_and_upright_ones():
    pair = [
        size("1", Box(100, 100, 112, 108), angle=90.0),
        size("2", Box(116, 100, 128, 108), angle=90.0),
    ]
    assert all(d.reading.doubt for d in doubt_bare_stacks(pair, []))


def test_what_a_person_read_is_not_doubted():
    done = doubt_bare_stacks(
        [size("1", OWN, confirmed=True)], [piece("2", Box(100, 116, 108, 128))]
    )
    assert not done[0].reading.doubt


def in_line(text, y, *, x=130.0):
    """A size at the end of its own dimension line, or over or under it."""
    done = size(text, Box(100, y - 6, 116, y + 6))
    ends = tuple(
        replace(e, point=Point(x + k * 40, 120 if x < 100 else y)) for k, e in enumerate(done.ends)
    )
    return replace(done, ends=ends)


def test_two_sizes_in_line_with_their_own_lines_are_no_fraction():
    pair = [in_line("12", 100), in_line("18", 118)]
    assert not any(d.reading.doubt for d in doubt_bare_stacks(pair, []))


def test_a_figure_in_its_line_is_doubted_for_one_that_is_in_none():
    pair = [in_line("12", 100), in_line("18", 118, x=90.0)]
    assert all(d.reading.doubt for d in doubt_bare_stacks(pair, []))
