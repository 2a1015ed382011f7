"""Figures over figures: fractions that were lettered without their bar."""

from __future__ import annotations

import pytest

from audit.geometry import Box
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
