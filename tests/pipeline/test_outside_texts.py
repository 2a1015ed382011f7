"""A number outside a short dimension of a row."""

from __future__ import annotations

from dataclasses import replace

import pytest

from audit.geometry import Box, Point
from audit.pipeline.outside_texts import hand_outside_texts
from audit.records import Dimension, DimensionKind, End, ReadBy, Reading


def length(number: int, x0: float, x1: float, text: str = "", at: float = 0.0, **more) -> Dimension:
    """A length of a row, px, its number 40 wide around a place of the row."""
    reading = Reading(
        text=text,
        callout=None,
        confidence=0.99,
        by=ReadBy.NET,
        box=Box(at - 20, 90, at + 20, 110),
        angle=0.0,
    )
    line = (Point(x0, 100), Point(x1, 100))
    return Dimension(
        id=number,
        sheet=1,
        view=1,
        kind=DimensionKind.DISTANCE,
        ends=tuple(End(point=p) for p in line),
        line=line,
        reading=reading if text else None,
        **more,
    )


LONG = length(1, 0, 400, "115", 200)
BLANK = length(2, 400, 700, "16", 610, score=0.6)
SHORT = length(3, 700, 790)


def numbers(*dimensions: Dimension) -> dict[int, str]:
    return {
        d.id: "" if d.reading is None else d.reading.text for d in hand_outside_texts(dimensions)
    }


def test_the_number_goes_to_the_short_one_and_the_blank_is_none():
    assert numbers(LONG, BLANK, SHORT) == {1: "115", 3: "16"}


@pytest.mark.parametrize(
    "row",
    [
        (LONG, replace(BLANK, score=0.9), SHORT),  # surely a dimension
        (LONG, length(2, 400, 700, "16", 560, score=0.6), SHORT),  # its own number, in its middle
        (BLANK, SHORT),  # nobody else's arrowhead at its other end
        (LONG, length(2, 700, 700, "16", 710, score=0.6), SHORT),  # of no length at all
        (LONG, BLANK, length(3, 700, 990)),  # long enough for a number inside
        (LONG, BLANK, length(3, 700, 790, "9", 745)),  # it has a number
        (LONG, BLANK, replace(SHORT, line=(Point(700, 130), Point(790, 130)))),  # another row
    ],
)
def test_otherwise_a_number_stays_where_it_stands(row):
    assert numbers(*row)[2] == "16"
