"""Known sizes and rectangles as typed."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.errors import BadPlace, BadUsage
from audit.geometry import Point, Transform
from audit.lengths import Length, Unit
from audit.records import Frame, PageKind, Sheet
from audit.sheets import check_on_sheet, parse_known, parse_rectangle

GOOD = {
    "4 in @ 2:100,200 460,200": (2, "4", Unit.IN),
    '4" @ 2: 100 , 200  460 ,200 ': (2, "4", Unit.IN),
    "3'-6 1/2\" @ sheet 1:100,200 460,200": (1, "85/2", Unit.IN),
    "1 7/16 in@12:100,200 460,200": (12, "23/16", Unit.IN),
    "100 mm @ 1:1e2,2e2 460.0,200.": (1, "100", Unit.MM),
    "10 cm @ 1:100,200;460,200": (1, "100", Unit.MM),
}


@pytest.mark.parametrize("text", GOOD)
def test_a_known_size_is_read(text):
    sheet, value, unit = GOOD[text]
    known = parse_known(text)
    assert (known.sheet, known.length) == (sheet, Length(Fraction(value), unit))
    assert (known.a, known.b) == (Point(100, 200), Point(460, 200))


def test_a_bare_number_counts_what_the_audit_counts():
    assert parse_known("4 @ 1:0,0 9,9", unit=Unit.MM).length == Length(Fraction(4), Unit.MM)
    with pytest.raises(BadUsage, match="'4' has no unit: write it as"):
        parse_known("4 @ 1:0,0 9,9")


@given(st.floats(-1e6, 1e6), st.floats(-1e6, 1e6), st.integers(1, 999))
def test_numbers_come_through_as_typed(x, y, sheet):
    known = parse_known(f"1 in @ {sheet}:{x!r},{y!r} {x + 1e7!r},0")
    assert (known.sheet, known.a) == (sheet, Point(x, y))


WRONG_KNOWN = {
    "4 in 2:100,200 460,200": "has no @ before the places",
    "4 in @ 100,200 460,200": "has no sheet number",
    "4 in @ two:100,200 460,200": "has no sheet number",
    "4 in @ 0:100,200 460,200": "0 is no sheet number",
    "4 in @ 99999999999:1,2 3,4": "99999999999 is no sheet number",
    "4 in @ 2:100,200": "1 place given where 2 are needed",
    "4 in @ 2:": "0 places given where 2 are needed",
    "4 in @ 2:1,2 3,4 5,6": "3 places given where 2 are needed",
    "4 in @ 2:100 200 460 200": "does not start with a place x,y",
    "4 in @ 2:100,200 460,2x0": "does not start with a place x,y",
    "4 in @ 2:nan,1 2,3": "does not start with a place x,y",
    "4 in @ 2:100,200 100,200": "both ends of a known size are the same place",
    "0 in @ 2:100,200 460,200": "no length above zero",
    "90° @ 2:100,200 460,200": "no length above zero",
    "four in @ 2:100,200 460,200": "",
    "@ 2:100,200 460,200": "",
    "": "has no @ before the places",
}


@pytest.mark.parametrize("text", WRONG_KNOWN)
def test_a_known_size_that_makes_no_sense_is_refused_in_one_line(text):
    with pytest.raises(BadUsage) as caught:
        parse_known(text)
    assert WRONG_KNOWN[text] in caught.value.problem
    assert caught.value.advice == 'write it as "4 in @ 2:100,200 460,200"'
    assert "\n" not in str(caught.value)


SIZES = {
    "11 x 8.5 in": ("11", "17/2", Unit.IN),
    "11 in × 8 1/2 in": ("11", "17/2", Unit.IN),
    '11" X 8-1/2"': ("11", "17/2", Unit.IN),
    "297x210mm": ("297", "210", Unit.MM),
    "29,7 x 21 cm": ("297", "210", Unit.MM),
    "2 ft x 36 in": ("24", "36", Unit.IN),
}


@pytest.mark.parametrize("text", SIZES)
def test_a_rectangle_is_read(text):
    width, height, unit = SIZES[text]
    known = parse_rectangle(f"{text} @ 3:1,2 90,3 88,70 2,69")
    assert known.width == Length(Fraction(width), unit)
    assert known.height == Length(Fraction(height), unit)
    assert known.corners == ((1, 2), (90, 3), (88, 70), (2, 69))
    assert known.sheet == 3


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("11 in @ 3:1,2 90,3 88,70 2,69", "'11 in' is no width x height"),
        ("11 x 8 x 2 in @ 3:1,2 90,3 88,70 2,69", "is no width x height"),
        ("11 x 8.5 @ 3:1,2 90,3 88,70 2,69", "'11' has no unit"),
        ("11 x 8.5 in @ 3:1,2 90,3 88,70", "3 places given where 4 are needed"),
        ("0 x 8.5 in @ 3:1,2 90,3 88,70 2,69", "no length above zero"),
    ],
)
def test_a_rectangle_that_makes_no_sense_is_refused_in_one_line(text, problem):
    with pytest.raises(BadUsage) as caught:
        parse_rectangle(text)
    assert problem in caught.value.problem
    assert caught.value.advice.startswith('write it as "11 x 8.5 in @ 3:')


def test_places_outside_the_sheet_are_told_with_its_size():
    sheet = Sheet(
        id=2,
        name="a.pdf",
        source="a.pdf",
        digest="",
        page=1,
        frame=Frame.PT,
        kind=PageKind.VECTOR,
        width=612.0,
        height=792.0,
        to_paper=Transform.scaling(25.4 / 72),
    )
    check_on_sheet((Point(0, 0), Point(612, 792)), sheet=sheet)
    with pytest.raises(BadPlace) as caught:
        check_on_sheet((Point(1, 1), Point(613, 5)), sheet=sheet)
    line = "613,5 lies outside sheet 2: it is 612 × 792 points of 1/72 in"
    assert str(caught.value) == line
