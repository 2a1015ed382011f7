"""How printed sizes are said."""

from __future__ import annotations

import pytest

from audit.checks.words import say_printed
from audit.geometry import Box, Point
from audit.lengths import Unit, parse_callouts
from audit.records import Dimension, DimensionKind, End, ReadBy, Reading


def printed(text: str, unit: Unit) -> Dimension:
    reading = Reading(
        text=text,
        callout=parse_callouts(text, unit=unit)[0],
        confidence=1.0,
        by=ReadBy.PDF,
        box=Box(0, 0, 10, 10),
    )
    ends = (End(point=Point(0, 0)), End(point=Point(10, 0)))
    return Dimension(id=1, sheet=1, view=1, kind=DimensionKind.DISTANCE, ends=ends, reading=reading)


@pytest.mark.parametrize(
    ("text", "unit", "said"),
    [
        ("3 9/32", Unit.IN, "3 9/32 in"),
        ("3-9/32", Unit.IN, "3 9/32 in"),
        ("5X Ø 1/2", Unit.IN, "1/2 in"),
        ("⅞", Unit.IN, "7/8 in"),
        ("5.500", Unit.IN, "5.500 in"),
        (".875", Unit.IN, ".875 in"),
        ("3'-6 1/2\"", Unit.IN, "“3'-6 1/2\"” (42 1/2 in)"),
        ("42", Unit.MM, "42 mm"),
        ("12,5", Unit.MM, "12,5 mm"),
        ("1,250", Unit.MM, "“1,250” (1250 mm)"),
        ("31,8", Unit.CM, "“31,8” (318 mm)"),
        ("3", Unit.CM, "“3” (30 mm)"),
        ("2.40", Unit.M, "“2.40” (2400 mm)"),
    ],
)
def test_printed_size_is_said_as_it_stands_and_what_it_means_where_that_is_another(
    text, unit, said
):
    assert say_printed(printed(text, unit)) == said
