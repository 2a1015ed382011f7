from __future__ import annotations

from fractions import Fraction

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from audit.errors import NotALength
from audit.lengths import Length, Unit, is_ambiguous, parse_length, parse_lengths
from tests.lengths.strategies import shop_lengths

INCH_FORMS = [
    ("1 7/16", Fraction(23, 16)),
    ('1-7/16"', Fraction(23, 16)),
    ("1 7⁄16", Fraction(23, 16)),
    ("1 7 / 16", Fraction(23, 16)),
    ("１ ７／１６", Fraction(23, 16)),
    ("⅞", Fraction(7, 8)),
    ("1⅞", Fraction(15, 8)),
    ("1³⁄₈", Fraction(11, 8)),
    (".875", Fraction(7, 8)),
    ("0.875", Fraction(7, 8)),
    (". 875", Fraction(7, 8)),
    ("0,875", Fraction(7, 8)),
    ("3'-6 1/2\"", Fraction(85, 2)),
    ("3’–6 ½”", Fraction(85, 2)),
    ("3′ 6 1⁄2″", Fraction(85, 2)),
    ("3' 6\"", Fraction(42)),
    ("3'-0", Fraction(36)),
    ("3'-6-1/2\"", Fraction(85, 2)),
    ("3 ft 6 in", Fraction(42)),
    ("3 ft. 6 1/2 in.", Fraction(85, 2)),
    ("1.5'", Fraction(18)),
    ("2 yd", Fraction(72)),
    ("-1 1/2", Fraction(-3, 2)),
    ("−1 1/2", Fraction(-3, 2)),
    ("3 5/7", Fraction(26, 7)),
    ("10 1/10", Fraction(101, 10)),
    ("105/32", Fraction(105, 32)),
    ("6''", Fraction(6)),
]
MM_FORMS = [
    ("42mm", Fraction(42)),
    ("42 MM", Fraction(42)),
    ("4,2 cm", Fraction(42)),
    ("1.2 m", Fraction(1200)),
    ("1 250 mm", Fraction(1250)),
    ("1.250,5 mm", Fraction(2501, 2)),
    ("42㎜", Fraction(42)),
]
DEGREE_FORMS = [
    ("5°30'", Fraction(11, 2)),
    ("5° 30' 15\"", Fraction(1321, 240)),
    ("5º 30′ 15″", Fraction(1321, 240)),
    ("45 deg", Fraction(45)),
    ("5 deg 30 min", Fraction(11, 2)),
    ("12 1/2°", Fraction(25, 2)),
]


@pytest.mark.parametrize(("text", "value"), INCH_FORMS)
def test_inch_forms_are_read_exactly(text: str, value: Fraction) -> None:
    assert parse_length(text, unit=Unit.IN) == Length(value, Unit.IN)


@pytest.mark.parametrize(("text", "value"), MM_FORMS)
def test_metric_forms_win_over_the_sheets_unit(text: str, value: Fraction) -> None:
    reading = parse_lengths(text, unit=Unit.IN)[0]
    assert (reading.length.value, reading.length.unit) == (value, Unit.MM)
    assert reading.unit_printed


@pytest.mark.parametrize(("text", "value"), DEGREE_FORMS)
def test_angles_are_read_exactly(text: str, value: Fraction) -> None:
    assert parse_length(text, unit=Unit.IN) == Length(value, Unit.DEG)


def test_primes_are_minutes_where_the_caller_asks_for_an_angle() -> None:
    assert parse_length("30'", unit=Unit.DEG) == Length(Fraction(1, 2), Unit.DEG)
    assert parse_length("30'", unit=Unit.IN) == Length(Fraction(360), Unit.IN)


def test_step_is_the_last_printed_place() -> None:
    steps = {t: parse_lengths(t, unit=Unit.IN)[0].step for t in ("1.250", "1 1/4", "3", "4,2 cm")}
    assert steps == {
        "1.250": Fraction(1, 1000),
        "1 1/4": Fraction(0),
        "3": Fraction(0),
        "4,2 cm": Fraction(1),
    }


def test_improper_fraction_is_ambiguous_but_never_corrected() -> None:
    readings = parse_lengths("131/32", unit=Unit.IN)
    assert [str(r.length.value) for r in readings] == ["131/32", "63/32", "417/32"]
    assert is_ambiguous(readings)
    assert readings[1].remark == "could be 1 31/32 with its gap lost"


def test_close_fraction_keeps_its_split_as_far_fetched() -> None:
    readings = parse_lengths("11/16", unit=Unit.IN)
    assert [(str(r.length.value), r.rank) for r in readings] == [("11/16", 0), ("17/16", 2)]
    assert not is_ambiguous(readings)


def test_a_split_that_nobody_would_print_is_not_offered() -> None:
    # 1 2/16 would be printed 1 1/8; 1 0/16 is no mixed number
    for text in ("12/16", "10/16", "102/4"):
        assert all("2/" not in r.remark for r in parse_lengths(text, unit=Unit.IN))
        assert parse_lengths(text, unit=Unit.IN)[0].length.value == Fraction(text)


def test_plain_mixed_number_has_one_reading() -> None:
    assert len(parse_lengths("1 1/16", unit=Unit.IN)) == 1


def test_dash_is_a_gap_first_and_a_minus_second() -> None:
    close = parse_lengths('1-1/2"', unit=None)
    assert [(str(r.length.value), r.rank) for r in close] == [("3/2", 0), ("1/2", 2)]
    assert is_ambiguous(parse_lengths("1 - 1/2", unit=Unit.IN))


@pytest.mark.parametrize("unit", [Unit.IN, Unit.MM])
def test_comma_before_three_digits_has_both_readings(unit: Unit) -> None:
    values = [r.length.value for r in parse_lengths("1,250", unit=unit)]
    assert values == [Fraction(1250), Fraction(5, 4)]
    assert is_ambiguous(parse_lengths("1,250", unit=unit))


@pytest.mark.parametrize(
    ("text", "value"),
    [("12,5", Fraction(25, 2)), ("0,250", Fraction(1, 4)), ("1,250,000", Fraction(1250000))],
)
def test_comma_that_can_be_one_thing_only_has_one_reading(text: str, value: Fraction) -> None:
    [reading] = parse_lengths(text, unit=Unit.MM)
    assert reading.length.value == value


def test_bare_fraction_counts_inches_and_a_bare_decimal_needs_a_unit() -> None:
    [reading] = parse_lengths("7/8", unit=None)
    assert reading.length == Length(Fraction(7, 8), Unit.IN)
    assert (reading.unit_printed, reading.remark) == (False, "fraction: inches")
    with pytest.raises(NotALength, match='"12" says no unit: add one, as in 12 in or 12 mm'):
        parse_length("12", unit=None)


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("3 x/8", 'at character 3 ("x/8"): expected a unit or nothing more'),
        ("3/", 'at character 2 ("/"): expected a unit or nothing more'),
        ("about 3", 'at character 1 ("about 3"): expected a number'),
        ("1/2/3", 'at character 4 ("/3"): expected a unit or nothing more'),
        ("-", "at its end: expected a number"),
        ("3 1/2 1/4", 'at character 7 ("1/4"): expected a unit or nothing more'),
    ],
)
def test_error_says_where_and_what_was_expected(text: str, place: str) -> None:
    with pytest.raises(NotALength) as caught:
        parse_length(text, unit=Unit.IN)
    assert place in str(caught.value)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    "text", ["", "   ", "7/0", "1 0/0", "1:2", "3/8 R", "1/4-20", "2 x 4", "½½", "°", "in", "1 2 3"]
)
def test_what_is_no_length_is_refused(text: str) -> None:
    with pytest.raises(NotALength):
        parse_length(text, unit=Unit.IN)


def test_very_long_text_is_refused_in_one_short_line() -> None:
    with pytest.raises(NotALength) as caught:
        parse_length("1 " * 50_000, unit=Unit.IN)
    assert len(str(caught.value)) < 200


@given(shop_lengths())
def test_conversion_is_exact_against_pint(length: Length) -> None:
    registry = _pint()
    millimetres = registry.Quantity(length.value, "inch").to("millimeter").magnitude
    assert isinstance(millimetres, Fraction)
    assert length.to(Unit.MM).value == millimetres


_REGISTRY: list[pint.UnitRegistry] = []


def _pint() -> pint.UnitRegistry:
    """pint with exact numbers; its floats give 304.79999999999995 mm for a foot."""
    if not _REGISTRY:
        _REGISTRY.append(pint.UnitRegistry(non_int_type=Fraction))
    return _REGISTRY[0]


@pytest.mark.parametrize(
    ("text", "millimetres"),
    [
        # Federal Register 24 FR 5348 (1 July 1959): 1 yd = 0.9144 m, 1 in = 25.4 mm, exactly.
        ("1 yd", Fraction("914.4")),
        ("1 in", Fraction("25.4")),
        # 85 FR 62698 (5 October 2020): 1 ft = 0.3048 m exactly.
        ("1 ft", Fraction("304.8")),
        # Shop fractions, exact decimals of n x 25.4 / 64 (computed with decimal.Decimal).
        ('1/64"', Fraction("0.396875")),
        ('23/64"', Fraction("9.128125")),
        ('63/64"', Fraction("25.003125")),
        ('6 7/8"', Fraction("174.625")),
    ],
)
def test_published_conversions_hold_exactly(text: str, millimetres: Fraction) -> None:
    assert parse_length(text, unit=None).to(Unit.MM).value == millimetres


_SPELLINGS = {'"': ['"', "″", "”", "''", " in", " in.", " inches"], "/": ["/", "⁄", " / ", "∕"]}


@settings(max_examples=200)
@given(
    length=shop_lengths(),
    inch=st.sampled_from(_SPELLINGS['"']),
    bar=st.sampled_from(_SPELLINGS["/"]),
    gap=st.sampled_from([" ", "  ", "\u00a0", "\u2009", "-", " \t"]),
    edge=st.sampled_from(["", " ", "\n", "\u200b"]),
)
def test_stray_spaces_and_look_alikes_change_nothing(
    length: Length, inch: str, bar: str, gap: str, edge: str
) -> None:
    whole, rest = divmod(length.value, 1)
    fraction = f"{rest.numerator}{bar}{rest.denominator}" if rest else ""
    number = f"{whole}{gap}{fraction}" if whole and rest else fraction or str(whole)
    assert parse_length(f"{edge}{number}{inch}{edge}", unit=None) == length


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused(text: str) -> None:
    outcome: list[object] = []
    try:
        outcome += parse_lengths(text, unit=Unit.IN)
    except NotALength as error:
        outcome.append(str(error))
    assert outcome
    assert all(o.isprintable() for o in outcome if isinstance(o, str))


@pytest.mark.parametrize("text", ["1{}", "0.{}1", "1/1{}", "1'-0 1/1{}"])
def test_a_size_of_too_many_digits_is_refused(text: str) -> None:
    with pytest.raises(NotALength, match="too many digits"):
        parse_length(text.format("0" * 60), unit=Unit.IN)


_PIECES = st.sampled_from([*"0123456789", "/", " ", "'", '"', "-", ".", ",", "°", "mm", "x", "½"])


@given(st.lists(_PIECES, max_size=14).map("".join))
def test_texts_of_the_right_alphabet_are_read_or_refused(text: str) -> None:
    try:
        readings = parse_lengths(text, unit=None)
    except NotALength:
        return
    assert len({r.length for r in readings}) == len(readings)
