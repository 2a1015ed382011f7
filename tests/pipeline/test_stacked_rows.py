"""Sizes read off a picture in two rows."""

from __future__ import annotations

import pytest

from audit.geometry import Box, Point
from audit.lengths import Unit
from audit.pipeline.stacked_rows import join_stacked_rows
from audit.reading.readers import best_callout
from audit.records import Candidate, Dimension, DimensionKind, End, ReadBy, Reading


def reading(text: str, middle: tuple[float, float], *, upright: bool = False) -> Reading:
    x, y = middle
    box = Box(x - 5, y - 20, x + 5, y + 20) if upright else Box(x - 20, y - 5, x + 20, y + 5)
    return Reading(
        text=text,
        callout=best_callout(text, unit=Unit.MM)[0],
        confidence=0.95,
        by=ReadBy.NET,
        candidates=(Candidate(text=text, confidence=0.95, by=ReadBy.NET),),
        box=box,
        angle=90.0 if upright else 0.0,
    )


def read(taken: Reading, *others: Reading) -> str:
    dimension = Dimension(
        id=1,
        sheet=1,
        view=1,
        kind=DimensionKind.DISTANCE,
        ends=(End(point=Point(0, 120)), End(point=Point(300, 120))),
        reading=taken,
    )
    [joined] = join_stacked_rows([dimension], [taken, *others], unit=Unit.MM)
    assert joined.reading is not None
    return joined.reading.text


@pytest.mark.parametrize(
    ("upper", "lower", "text"),
    [
        ("30.1", "29.9", "30.1/29.9"),
        ("Ø12.50", "12.45", "Ø12.50/12.45"),
        ("Ø12.50", "Ø12.45", "Ø12.50/12.45"),
        ("29.9", "30.1", None),  # the smaller one above: two sizes
        ("30.1", "29.95", None),  # not as many places
        ("30.5", "28.5", None),  # far apart
        ("30", "29", None),  # two rows of a chain
    ],
)
def test_the_other_limit_joins_the_one_that_a_dimension_took(upper, lower, text):
    high, low = reading(upper, (150, 98)), reading(lower, (150, 110))
    assert read(high, low) == text or (text is None and read(high, low) == upper)
    assert read(low, high) == text or (text is None and read(low, high) == lower)


def test_limits_that_run_up_the_sheet_stand_beside_each_other():
    left, right = (reading(t, (x, 100), upright=True) for t, x in (("30.1", 98), ("29.9", 110)))
    assert read(right, left) == "30.1/29.9"


@pytest.mark.parametrize("middle", [(150, 140), (190, 98), (150, 200)])
def test_a_number_elsewhere_is_no_limit(middle):
    assert read(reading("29.9", (150, 110)), reading("30.1", middle)) == "29.9"


def test_between_two_that_could_be_its_limit_none_is_taken():
    low = reading("29.9", (150, 110))
    assert read(low, reading("30.1", (150, 98)), reading("30.2", (152, 99))) == "29.9"


@pytest.mark.parametrize(
    ("upper", "text"), [("33", "33 [1.299]"), ("33.0", "33.0 [1.299]"), ("NOTE", "[1.299]")]
)
def test_a_size_in_two_units_is_read_with_both(upper, text):
    assert read(reading("[1.299]", (150, 110)), reading(upper, (150, 98))) == text
    assert read(reading("[1.299]", (150, 98)), reading(upper, (150, 110))) == "[1.299]"


@pytest.mark.parametrize(
    ("size", "count", "text"),
    [
        ("R7", "(2) PLACES", "R7 (2) PLACES"),
        ("R7", "30", "R7"),  # another size
        ("1 1/2", "4 HOLES", "1 1/2"),  # in one row it says 1 of 1/2
        ("7", "4 HOLES", "7"),
        ("3.5", "4 HOLES", "3.5 4 HOLES"),
        ("R7", "(2)", "R7"),  # a reference size, or the number of a part
    ],
)
def test_a_count_under_a_size_is_said_with_it(size, count, text):
    assert read(reading(size, (150, 98)), reading(count, (158, 110))) == text
    assert read(reading(size, (150, 98)), reading(count, (158, 86))) == size
