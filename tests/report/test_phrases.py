"""Numbers and verdicts in words."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.lengths import Length, Unit, parse_length
from audit.records import DimensionKind, Verdict
from audit.report.phrases import (
    say_difference,
    say_verdict,
    spell_gap,
    spell_length,
    spell_scaled,
    spell_uncertainty,
)
from tests.report.builders import make_audit

BY_ID = {d.id: d for d in make_audit().dimensions}


def test_differences_are_told_as_printed_is() -> None:
    assert say_verdict(BY_ID[12]) == "printed is 3/32 short"
    assert say_verdict(BY_ID[10]) == "printed and drawn agree"
    assert say_verdict(BY_ID[14]) == "printed may be 1/64 short: too close to call"
    assert say_verdict(BY_ID[15]) == "not scaled: this view has no scale"
    assert say_difference(BY_ID[18]) == ""


@pytest.mark.parametrize(
    ("kind", "less", "more"),
    [
        (DimensionKind.DISTANCE, "short", "long"),
        (DimensionKind.DIAMETER, "small", "large"),
        (DimensionKind.THICKNESS, "thin", "thick"),
        (DimensionKind.DEPTH, "shallow", "deep"),
    ],
)
def test_the_word_fits_the_kind_and_the_sign(kind: DimensionKind, less: str, more: str) -> None:
    low = replace(BY_ID[12], kind=kind)
    assert say_difference(low) == f"3/32 {less}"
    assert say_difference(replace(low, difference=0.0938)) == f"3/32 {more}"


def test_two_shop_sizes_are_shown_and_of_more_the_measured_one() -> None:
    scaled = BY_ID[18].scaled
    assert scaled is not None
    two = replace(BY_ID[18], scaled=replace(scaled, candidates=("15/32", "31/64")))
    assert spell_scaled(two) == "15/32 or 31/64"
    sizes = ("15/32", "31/64", "1/2", "33/64")
    wide = replace(BY_ID[18], scaled=replace(scaled, candidates=sizes, value=0.4901))
    assert spell_scaled(wide) == "0.490"
    none = replace(BY_ID[18], scaled=replace(scaled, candidates=(), value=0.4801))
    assert spell_scaled(none) == "0.480"


def test_a_difference_below_a_shop_step_is_told_in_thousandths() -> None:
    assert spell_gap(0.0051, Unit.IN) == "0.005"
    assert spell_gap(-0.02, Unit.MM) == "0.02 mm"


@given(st.floats(1e-6, 50))
def test_a_spelled_uncertainty_is_never_smaller_than_it_is(expanded: float) -> None:
    for unit in (Unit.IN, Unit.MM):
        told = float(spell_uncertainty(expanded, unit))
        assert told >= expanded * (1 - 1e-6)
        assert told <= expanded * 1.11 + 0.011


@given(st.fractions(0, 200, max_denominator=64))
def test_a_spelled_length_reads_as_the_same_length(value: Fraction) -> None:
    length = Length(value, Unit.IN)
    assert parse_length(spell_length(length), unit=Unit.IN) == length


def test_every_verdict_has_words() -> None:
    for verdict in Verdict:
        assert say_verdict(replace(BY_ID[15], verdict=verdict))


@pytest.mark.parametrize(
    ("printed", "expanded", "says"),
    [("7/8", 0.02, "5/8 long"), ("7/8", 0.002, "39/64 long"), (".875", 0.02, "0.609 long")],
)
def test_a_difference_is_told_no_finer_than_it_is_known_and_in_the_numbers_of_the_print(
    printed: str, expanded: float, says: str
) -> None:
    known = BY_ID[12]
    assert known.reading is not None
    assert known.scaled is not None
    dimension = replace(
        known,
        reading=replace(known.reading, text=printed),
        scaled=replace(known.scaled, expanded=expanded),
        difference=0.609,
    )
    assert say_difference(dimension) == says
