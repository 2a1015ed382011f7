"""What a sheet's bare numbers count, and which texts ask to be checked."""

from __future__ import annotations

import pytest

from audit.dimensions.texts import read_text
from audit.geometry import Box, Point
from audit.lengths import Unit
from audit.pipeline.texts import collect_statements, collect_texts, find_unit, guess_unit, with_unit
from audit.reading import TextLine
from audit.records import Dimension, DimensionKind, Settings, StatementKind, TextState


def line(text: str, *, y: float = 0.0, visible: bool = True) -> TextLine:
    box = Box(0, y, 40, y + 8)
    corners = tuple(Point(*c) for c in box.corners)
    return TextLine(text=text, box=box, angle=0.0, quad=corners, height=8.0, visible=visible)


def lines(*texts: str) -> list[TextLine]:
    return [line(text, y=20.0 * i) for i, text in enumerate(texts)]


@pytest.mark.parametrize(
    ("texts", "unit"),
    [
        (("3 9/32", "2", "R 1/2"), Unit.IN),
        (('3.5"', "12"), Unit.IN),
        (("42 mm", "17"), Unit.MM),
        (("2.40 m", "0.60", "1,25 m"), Unit.M),
        (("60 cm", "45", "12,5 CM"), Unit.CM),
        (("2.40 m", "18 mm", "12 mm", "60"), Unit.MM),
        (("600", "385", "1200", "1 m", "2 m"), Unit.MM),  # a scale bar
        (("600", "385", "430", "18", "2.4 m"), Unit.MM),  # a length of stock
        (("600", "385", "430", "50 cm", "60 cm"), Unit.MM),
        (("12", "18.5", "6", "24.5", "9", "1.5 m"), Unit.MM),
        (("DIMENSIONS IN MM", "3/8 PLYWOOD", "42"), Unit.MM),
        (("42", "17", "120"), None),
        ((".875", "1.250"), Unit.IN),
        ((), None),
        # one note in inches among whole numbers, as on a sheet in mm, leaves it open
        (("1/4 THICK", "42", "120", "7.5", "36", "85", "210"), None),
        (("1/4 THICK", "1.250", "2.375", ".500", "42"), Unit.IN),
        (("1/4", "3 9/32", "12", "36", "2"), Unit.IN),
        (("4xM20", "300", "50", "1600"), Unit.MM),
        (("MM", "42", "17"), Unit.MM),
        (("ALL DIMENSIONS MM", "42", "17"), Unit.MM),
        (("(inches)", "42", "17"), Unit.IN),
        (("INCHES", "MM", "42", "17"), None),  # heads of a table
        (('3 1/2"', "7 3/4", '12"', "24", "MM"), Unit.IN),  # the head of a column
        (("120 mm", "35 mm", "40 mm", "12", "INCHES"), Unit.MM),  # the end of a scale bar
        (("1/4 THICK", "42", "120", "MM"), Unit.MM),
        (("8'", "42", "17", "24", "60", "12", "30"), Unit.IN),
    ],
)
def test_unit_comes_from_what_is_printed_and_is_never_guessed(texts, unit):
    assert find_unit(lines(*texts), Settings()).unit is unit


@pytest.mark.parametrize(
    ("texts", "unit"),
    [
        (("250", "1,650", "800"), Unit.MM),  # ISO 129-1: millimetres without a unit
        (("Ø20", "250", "62.5"), Unit.MM),
        (("12", "36", "24"), None),  # a yard in inches as well
        (("60", "30", "24", "96"), None),  # a desk, and a sheet of plywood, in inches
        (("86.3", "17", "31", "12.5"), Unit.MM),  # inches have one number of places
        (("80", "60", "75.5", "14", "3.5", "1.5"), None),  # a bed in inches, with halves
        (("12", "7.5", "18", "4.5"), None),
        (("2.375", "1.250", "120"), None),
        (("250", "120"), None),
    ],
)
def test_large_whole_numbers_are_millimetres_where_nothing_else_tells(texts, unit):
    found = [
        Dimension(
            id=k,
            sheet=1,
            view=0,
            kind=DimensionKind.DISTANCE,
            ends=(),
            reading=read_text(text, unit=None),
        )
        for k, text in enumerate(lines(*texts))
    ]
    assert guess_unit(found).unit is unit


def test_a_speck_read_as_an_inch_mark_is_no_witness_beside_surely_read_numbers():
    texts = lines("60", "115", "0'", "38", ".3")
    assert find_unit(texts, Settings()).unit is Unit.IN
    sure = (True, True, False, True, False)
    assert find_unit(texts, Settings(), sure=sure).unit is None
    # where nothing was read surely, what there is tells
    assert find_unit(texts, Settings(), sure=(False,) * 5).unit is Unit.IN


def test_a_lone_foot_mark_on_a_picture_is_a_speck_among_many_bare_numbers():
    texts = lines("Ø26'", "30", "43", "65", "50", "21", "Ø14")
    assert find_unit(texts, Settings(), sure=(True,) * 7).unit is None
    few = lines("26'", "30", "43", "65")
    assert find_unit(few, Settings(), sure=(True,) * 4).unit is Unit.IN


def test_two_letters_are_a_note_only_where_they_were_read_surely():
    texts = lines("MM", "30", "43")
    assert find_unit(texts, Settings(), sure=(True, True, True)).unit is Unit.MM
    assert find_unit(texts, Settings(), sure=(False, True, True)).unit is None


def test_notes_tell_the_unit_however_they_were_read():
    texts = lines("UNITS: MM", "3/4")
    assert find_unit(texts, Settings(), sure=(False, True)).unit is Unit.MM


def test_unit_given_by_the_user_rules():
    assert find_unit(lines("3 9/32"), Settings(unit=Unit.MM)).unit is Unit.MM


def test_hidden_text_does_not_say_the_unit():
    assert find_unit([line("DIMENSIONS IN MM", visible=False)], Settings()).unit is None


def test_notes_counts_and_scales_become_statements():
    found = collect_statements(
        lines("ALL PARTS 1/4 THICK UNLESS NOTED", "MAKE 6", "SCALE 1:2", "LIFT STEP"),
        sheet=1,
        unit=Unit.IN,
    )
    assert [s.kind for s in found] == [
        StatementKind.NOTE, StatementKind.COUNT, StatementKind.SCALE,
    ]  # fmt: skip
    assert found[1].count == 6
    assert found[2].factor == 2


def test_coverage_counts_sizes_notes_and_counts_but_no_dates_or_titles():
    texts = lines("3 9/32", "MAKE 6", "MARBLE LIFT", "SHEET 1 OF 3", "SCALE: FULL SIZE", "42")
    statements = collect_statements(texts, sheet=1, unit=Unit.IN)
    listed = collect_texts(texts, statements, sheet=1, unit=Unit.IN)
    assert [t.text for t in listed] == ["3 9/32", "MAKE 6", "42"]
    assert {t.state for t in listed} == {TextState.NOT_CHECKED}


def test_fraction_read_before_the_sheet_turned_out_to_be_in_mm_is_doubted():
    of = Dimension(
        id=1,
        sheet=1,
        view=0,
        kind=DimensionKind.DISTANCE,
        ends=(),
        reading=read_text(line("1/4"), unit=None),
    )
    [in_mm], [in_inches] = (with_unit([of], unit) for unit in (Unit.MM, Unit.IN))
    assert in_mm.reading is not None
    assert in_mm.reading.doubt
    assert in_inches == of
