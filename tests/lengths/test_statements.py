from __future__ import annotations

import time
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from audit.lengths import (
    CalloutKind,
    FormKind,
    Length,
    PrintedTolerance,
    StatementForm,
    Unit,
    parse_statements,
    spell,
)
from audit.lengths.normal import MAX_TEXT
from audit.records import StatementKind
from tests.lengths.strategies import shop_lengths


def state(text: str, unit: Unit | None = Unit.IN) -> StatementForm:
    [form] = parse_statements(text, unit=unit)
    return form


def test_every_kind_of_the_records_is_a_kind_here() -> None:
    assert {kind.value for kind in StatementKind} <= {kind.value for kind in FormKind}


@pytest.mark.parametrize(
    ("text", "factor"),
    [
        ("SCALE 1:2", "2"),
        ("SCALE: 1:2", "2"),
        ("SCALE - 1:10", "10"),
        ("SCALE 2:1", "1/2"),
        ("HALF SIZE", "2"),
        ("HALF SCALE", "2"),
        ("QUARTER SIZE", "4"),
        ("THREE-QUARTER SIZE", "4/3"),
        ("FULL SIZE", "1"),
        ("ACTUAL SIZE", "1"),
        ("TWICE SIZE", "1/2"),
        ("SCALE 50%", "2"),
        ("2X SIZE", "1/2"),
        # Architectural scales, factor = 12 / paper inches to the foot.
        ('SCALE: 1/16" = 1\'-0"', "192"),
        ('SCALE: 3/32" = 1\'-0"', "128"),
        ('SCALE: 1/4" = 1\'-0"', "48"),
        ("SCALE 1/4 = 1 FT", "48"),
        ('SCALE 1 1/2" = 1\'-0"', "8"),
        ('3" = 1\'-0"', "4"),
        ('SCALE 1" = 1"', "1"),
        ("SCALE 1 CM = 1 M", "100"),
    ],
)
def test_scales_give_real_over_drawn(text: str, factor: str) -> None:
    form = state(text)
    assert (form.kind, form.factor) == (FormKind.SCALE, Fraction(factor))


def test_scale_that_says_no_number_has_no_factor() -> None:
    assert state("SCALE AS NOTED").factor is None
    assert state("SCALE: NONE").kind is FormKind.NOT_TO_SCALE


@pytest.mark.parametrize(
    "text", ["1:12 TAPER", "MIX 1:3", '5 @ 3" = 15"', "0:1", "10:30:15", '5 AT 3" = 15"']
)
def test_what_only_looks_like_a_scale_is_none(text: str) -> None:
    assert all(form.kind is not FormKind.SCALE for form in parse_statements(text, unit=Unit.IN))


def test_general_note_gives_its_size_its_kind_and_its_exception() -> None:
    form = state("ALL PARTS 1/4 THICK UNLESS OTHERWISE NOTED")
    assert form.value == Length(Fraction(1, 4), Unit.IN)
    assert form.value_kind is CalloutKind.THICKNESS
    assert (form.subject, form.unless_noted) == ("PARTS", True)


def test_one_block_of_notes_says_several_things() -> None:
    notes = (
        "NOTES:\n1. ALL PARTS 1/4 THICK.\n2. ALL HOLES 3/16 DIA. UNLESS NOTED.\n"
        "3. DIMENSIONS IN INCHES.\n4. DO NOT SCALE."
    )
    forms = parse_statements(notes, unit=None)
    assert [form.kind for form in forms] == [
        FormKind.NOTE,
        FormKind.NOTE,
        FormKind.UNIT,
        FormKind.CAUTION,
    ]
    assert [form.unless_noted for form in forms] == [False, True, False, False]


def test_numbers_on_two_lines_never_join() -> None:
    count, stock = parse_statements("MAKE 2\n3/8 STOCK", unit=Unit.IN)
    assert count.count == 2
    assert stock.value == Length(Fraction(3, 8), Unit.IN)


def test_a_counted_size_in_a_note_does_not_hide_the_rest() -> None:
    forms = parse_statements("DRILL 6X 1/4 THRU. MAKE 2.", unit=Unit.IN)
    assert [(form.kind, form.count) for form in forms] == [(FormKind.COUNT, 2)]


def test_tolerance_carries_both_deviations() -> None:
    assert state("TOLERANCE ±1/64 UNLESS NOTED").tolerance == PrintedTolerance(
        upper=Fraction(1, 64), lower=Fraction(-1, 64)
    )
    assert state("TOL. +.005 -.000").tolerance == PrintedTolerance(
        upper=Fraction(1, 200), lower=Fraction(0)
    )


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("DIMENSIONS IN MM", Unit.MM),
        ("ALL DIMENSIONS ARE IN MILLIMETRES", Unit.MM),
        ("DIMS. IN CM", Unit.CM),
        ("ALL DIMENSIONS IN METRES", Unit.M),
        ("ALL DIMENSIONS IN INCHES UNLESS NOTED", Unit.IN),
        ("DIMENSIONS IN FEET AND INCHES", Unit.IN),
    ],
)
def test_unit_notes_name_the_unit(text: str, unit: Unit) -> None:
    form = state(text, None)
    assert (form.kind, form.unit) == (FormKind.UNIT, unit)


_ROWS = [
    "3  CAM  4  3/8 x 1 5/8 x 1 5/8  MAPLE",
    "3\tCAM\t4\t3/8 × 1 5/8 × 1 5/8\tMAPLE",
    "3 | CAM | 4 | 3/8 x 1 5/8 x 1 5/8 | MAPLE",
    "3  CAM  4  3/8  1 5/8  1 5/8  MAPLE",
    "3 CAM 4 3/8 x 1 5/8 x 1 5/8 MAPLE",
    "3  CAM  4 REQ'D  3/8 x 1 5/8 x 1 5/8  MAPLE",
]


@pytest.mark.parametrize("text", _ROWS)
def test_parts_row_is_read_in_every_layout(text: str) -> None:
    form = state(text)
    assert form.kind is FormKind.PARTS_ROW
    assert (form.item, form.subject, form.count, form.material) == ("3", "CAM", 4, "MAPLE")
    assert [length.value for length in form.sizes] == [
        Fraction(3, 8),
        Fraction(13, 8),
        Fraction(13, 8),
    ]


@settings(max_examples=80)
@given(sizes=st.lists(shop_lengths(), min_size=2, max_size=3), count=st.integers(1, 40))
def test_parts_row_keeps_the_sizes_it_was_written_with(sizes: list[Length], count: int) -> None:
    text = " x ".join(spell(length) for length in sizes)
    form = state(f"B  SIDE  {count}  {text}  OAK")
    assert list(form.sizes) == sizes
    assert (form.count, form.item) == (count, "B")


@pytest.mark.parametrize(
    ("sizes", "sides"),
    [
        ("1 1/4 DIA x 18", ("D", "L")),
        ("Ø1 1/4 x 18", ("D", "L")),
        ("1 1/4 DIA. x 18 LG", ("D", "L")),
        ("2 DIA x 3/4", ("D", "T")),  # a wheel: the second is how thick it is
        ("2 DIA x 2", ()),  # of either
        ("3/4 x 18", ()),
    ],
)
def test_a_row_with_a_diameter_and_a_length_lists_a_round_piece(
    sizes: str, sides: tuple[str, ...]
) -> None:
    assert state(f"4  HANDLE  1  {sizes}").columns == sides


def test_ditto_row_says_that_it_repeats() -> None:
    form = state('4  PEG  "  "  DO')
    assert (form.kind, form.subject, form.material, form.sizes) == (
        FormKind.PARTS_ROW,
        "PEG",
        '"',
        (),
    )


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("12/25/1987", FormKind.DATE),
        ("25.12.87", FormKind.DATE),
        ("5-16-94", FormKind.DATE),
        ("2024-01-05", FormKind.DATE),
        ("5 JAN 94", FormKind.DATE),
        ("MARCH 1994", FormKind.DATE),
        ("SHEET 2 OF 3", FormKind.SHEET),
        ("SHT. 2/3", FormKind.SHEET),
        ("2 OF 3", FormKind.SHEET),
        ("DWG NO. ML-102", FormKind.DRAWING),
        ("REV. B", FormKind.REVISION),
        ("A", FormKind.ZONE),
        ("B-4", FormKind.ZONE),
        ("4B", FormKind.ZONE),
        ("555-1234", FormKind.CONTACT),
        ("(555) 123-4567", FormKind.CONTACT),
        ("shop@example.org", FormKind.CONTACT),
        ("SECTION A-A", FormKind.TITLE),
        ("LEFT SIDE VIEW", FormKind.TITLE),
        ("ITEM 12", FormKind.ITEM),
    ],
)
def test_texts_that_are_no_sizes_are_named(text: str, kind: FormKind) -> None:
    assert state(text).kind is kind


@pytest.mark.parametrize(
    "text", ["", "MARBLE LIFT", "3/8", "R 3/8 TYP", "32/45/1987 X", "7/0", "1/4-20 UNC", "CAM"]
)
def test_sizes_and_labels_state_nothing(text: str) -> None:
    assert parse_statements(text, unit=Unit.IN) == ()


@settings(max_examples=200)
@given(st.text(max_size=100) | st.text("0123456789/ '\":;.,xMAKESCALTODYQR=|\n%", max_size=50))
def test_any_text_is_answered_without_an_error(text: str) -> None:
    for form in parse_statements(text, unit=None):
        assert form.kind in FormKind


@pytest.mark.parametrize(
    "text",
    ["MAKE 2 " * 80, "1:1:" * 140, "3  CAM  " * 70, "1 x " * 140, "ALL " * 140, "a-" * 290,
     "JAN " * 140, "555-" * 140, "@" * 590, ("1" * 30 + "  ") * 18],
    ids=lambda t: t[:8],
)  # fmt: skip
def test_hostile_text_is_answered_at_once(text: str) -> None:
    parse_statements("NTS", unit=None)
    begun = time.perf_counter()
    parse_statements(text, unit=Unit.IN)
    assert time.perf_counter() - begun < 1.0


@pytest.mark.parametrize("text", ["SCALE 1:1{}", "MAKE 1{}", "SCALE 0.{}1", '1/4" = 1{}"'])
def test_numbers_that_could_not_be_stored_state_nothing(text: str) -> None:
    assert parse_statements(text.format("0" * 3), unit=Unit.IN)
    assert parse_statements(text.format("0" * 70), unit=Unit.IN) == ()


def test_text_over_the_limit_states_nothing() -> None:
    assert parse_statements("MAKE 6 " + "x" * MAX_TEXT, unit=None) == ()
