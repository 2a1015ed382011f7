from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given

from audit.lengths import (
    Length,
    Style,
    Unit,
    parse_length,
    parse_lengths,
    spell,
    spell_fraction,
)
from tests.lengths.strategies import angles, any_lengths, shop_lengths

LENGTH_STYLES = [style for style in Style if style is not Style.DEGREES]


@pytest.mark.parametrize("style", LENGTH_STYLES)
@given(length=any_lengths)
def test_every_style_of_a_length_reads_back_the_same(style: Style, length: Length) -> None:
    assert parse_length(spell(length, style=style), unit=length.unit) == length


@pytest.mark.parametrize("style", list(Style))
@given(angle=angles)
def test_every_style_of_an_angle_reads_back_the_same(style: Style, angle: Length) -> None:
    assert parse_length(spell(angle, style=style), unit=Unit.DEG) == angle


@given(length=any_lengths)
def test_exact_value_of_the_result_file_reads_back_the_same(length: Length) -> None:
    assert Fraction(spell_fraction(length)) == length.value
    assert parse_length(spell_fraction(length), unit=length.unit) == length


@given(length=shop_lengths())
def test_spelled_shop_sizes_are_never_ambiguous(length: Length) -> None:
    for style in LENGTH_STYLES:
        assert all(r.rank != 1 for r in parse_lengths(spell(length, style=style), unit=Unit.IN))


@pytest.mark.parametrize(
    ("value", "unit", "style", "text"),
    [
        ("105/32", Unit.IN, Style.FRACTION, '3 9/32"'),
        ("105/32", Unit.IN, Style.PLAIN, "3 9/32"),
        ("105/32", Unit.IN, Style.DECIMAL, '3.28125"'),
        ("105/32", Unit.IN, Style.MM, "83.34375 mm"),
        ("85/2", Unit.IN, Style.FEET, "3'-6 1/2\""),
        ("6", Unit.IN, Style.FEET, "0'-6\""),
        ("-85/2", Unit.IN, Style.FEET, "-3'-6 1/2\""),
        ("1/3", Unit.IN, Style.DECIMAL, '1/3"'),
        ("1/3", Unit.IN, Style.MM, "8 7/15 mm"),
        ("1", Unit.MM, Style.FRACTION, '5/127"'),
        ("25/2", Unit.MM, Style.PLAIN, "12.5"),
        ("11/2", Unit.DEG, Style.DEGREES, "5°30'"),
        ("1321/240", Unit.DEG, Style.FRACTION, "5 121/240°"),
        ("1321/240", Unit.DEG, Style.DEGREES, "5°30'15\""),
        ("1/7", Unit.DEG, Style.DEGREES, "1/7°"),
        ("25/2", Unit.DEG, Style.PLAIN, "12.5"),
        ("0", Unit.IN, Style.FRACTION, '0"'),
    ],
)
def test_spelling_is_the_usual_one(value: str, unit: Unit, style: Style, text: str) -> None:
    assert spell(Length(Fraction(value), unit), style=style) == text


def test_a_length_is_not_written_in_degrees() -> None:
    with pytest.raises(ValueError, match="not written in degrees"):
        spell(Length(Fraction(1), Unit.IN), style=Style.DEGREES)
