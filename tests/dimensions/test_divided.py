"""Lines that miss a head of a chain by a little."""

from __future__ import annotations

from dataclasses import replace

import pytest

from audit.dimensions.candidates import Candidate
from audit.dimensions.divided import without_divided
from audit.geometry import Point
from audit.records import DimensionKind, End


def size(a, b, *, strength=0.8):
    ends = (Point(*a), Point(*b))
    return Candidate(
        kind=DimensionKind.DISTANCE,
        ends=tuple(End(point=p) for p in ends),
        line=ends,
        strength=strength,
        places=(),
        claims=frozenset(),
        wants=frozenset({"length"}),
    )


LONG = size((0, 0), (80, 0))
LEGS = [size((0, 0), (50, 1.5), strength=1.0), size((51, 1.0), (80, 0.5))]


def test_a_line_that_two_others_divide_is_no_size():
    assert without_divided([LONG, *LEGS]) == LEGS


@pytest.mark.parametrize(
    "legs",
    [
        LEGS[:1],
        [LEGS[0], size((60, 1.0), (80, 0.5))],
        [LEGS[0], size((51, 1.0), (80, 0.5), strength=0.5)],
        [LEGS[0], replace(LEGS[1], unsure=True)],
        [size((0, 0), (50, 6.0)), size((50, 6.0), (80, 0.0))],
    ],
    ids=["one leg", "not at one place", "weaker", "hardly seen", "beside"],
)
def test_whatever_does_not_divide_it_leaves_it(legs):
    assert LONG in without_divided([LONG, *legs])
