"""Short lengths between ticks are surely found where their number stands over their middle."""

from __future__ import annotations

from dataclasses import replace

import pytest

from audit.geometry import Box, Point
from audit.pipeline.centred_texts import trust_centred
from audit.records import Dimension, DimensionKind, End, EndKind, ReadBy, Reading
from audit.scale.usable import SURELY_FOUND


def length(*, x=150.0, y=185.0, angle=0.0, confidence=0.99, score=0.48, upright=False):
    """A length of 100 px with its text about a place."""
    a, b = (Point(200, 100), Point(200, 200)) if upright else (Point(100, 200), Point(200, 200))
    reading = Reading(
        text="54.5",
        callout=None,
        confidence=confidence,
        by=ReadBy.NET,
        box=Box(x - 10, y - 25, x + 10, y + 25) if upright else Box(x - 25, y - 10, x + 25, y + 10),
        angle=angle,
    )
    return Dimension(
        id=1,
        sheet=1,
        view=0,
        kind=DimensionKind.DISTANCE,
        ends=tuple(End(point=p, kind=EndKind.EXTENSION, sigma=0.1) for p in (a, b)),
        line=(a, b),
        reading=reading,
        score=score,
    )


def score(dimension):
    (done,) = trust_centred([dimension])
    return done.score


def test_a_number_over_the_middle_of_its_line_is_of_that_line():
    assert score(length()) == SURELY_FOUND
    assert score(length(x=185.0, y=150.0, angle=90.0, upright=True)) == SURELY_FOUND
    assert score(length(y=215.0)) == SURELY_FOUND  # under it


@pytest.mark.parametrize(
    "other",
    [
        {"x": 165.0},  # nearer to one end, as a number of another length is
        {"y": 150.0},  # over another line
        {"angle": 90.0},  # across
        {"confidence": 0.6},
        {"score": 0.2},  # hardly a length at all
    ],
)
def test_other_lengths_stay_as_likely_as_they_were(other):
    assert score(length(**other)) == length(**other).score


def test_a_length_found_more_surely_and_a_round_size_stay_as_they_are():
    assert score(length(score=0.8)) == pytest.approx(0.8)
    round_size = replace(length(), kind=DimensionKind.DIAMETER)
    assert score(round_size) == pytest.approx(0.48)
    assert score(replace(length(), reading=None)) == pytest.approx(0.48)
