from __future__ import annotations

from fractions import Fraction
from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.lengths import Unit, parse_length, shop_values
from tests.lengths.strategies import shop_lengths

F64, F32, F16 = Fraction(1, 64), Fraction(1, 32), Fraction(1, 16)


@pytest.mark.parametrize(
    ("low", "high", "finest", "nearest", "candidates"),
    [
        # simplest denominator that has a multiple inside, and all multiples of the finest step
        (3.366, 3.384, F64, "3 3/8", ("3 3/8",)),
        (0.46, 0.51, F32, "1/2", ("15/32", "1/2")),
        (0.46, 0.51, F64, "1/2", ("15/32", "31/64", "1/2")),
        (0.9, 1.02, F16, "1", ("15/16", "1")),
        # finest step coarser than the simplest value: that value is still listed
        (0.46, 0.47, F16, "15/32", ("15/32",)),
        (0.5, 0.5, F64, "1/2", ("1/2",)),
        (-0.51, -0.49, F64, "-1/2", ("-1/2",)),
        (-0.01, 0.01, F64, "0", ("0",)),
    ],
)
def test_simplest_value_and_every_candidate_are_named(
    low: float, high: float, finest: Fraction, nearest: str, candidates: tuple[str, ...]
) -> None:
    found = shop_values(low, high, unit=Unit.IN, finest=finest)
    assert (found.nearest, found.candidates) == (nearest, candidates)


def test_several_candidates_are_said_in_words() -> None:
    assert shop_values(0.46, 0.51, unit=Unit.IN, finest=F32).remark == "15/32 or 1/2"
    assert shop_values(0.46, 0.51, unit=Unit.IN, finest=F64).remark == "15/32, 31/64 or 1/2"
    assert shop_values(3.37, 3.38, unit=Unit.IN, finest=F64).remark == ""


def test_nothing_inside_is_not_a_shop_fraction() -> None:
    found = shop_values(0.204, 0.206, unit=Unit.IN, finest=F64)
    assert found.nearest == "13/64"
    assert (found.candidates, found.remark) == ((), "not a shop fraction")


def test_too_wide_an_interval_gives_no_suggestion() -> None:
    at_limit = shop_values(Fraction(7, 16), Fraction(9, 16), unit=Unit.IN, finest=F64)
    assert at_limit.nearest == "1/2"
    wider = shop_values(Fraction(7, 16), Fraction(9, 16) + F64, unit=Unit.IN, finest=F64)
    assert (wider.nearest, wider.candidates) == (None, ())
    assert wider.remark == 'not known to ± 1/16": no suggestion'


@pytest.mark.parametrize(
    ("low", "high", "nearest"),
    [
        (19.2, 20.4, "20"),
        (24.1, 25.9, "25"),
        (11.8, 12.3, "12"),
        (12.4, 12.6, "12.5"),
        (12.27, 12.33, "12.3"),
        (12.91, 15.09, "15"),
        (12.31, 12.37, "12.3"),
        (10.6, 13.3, "12"),
    ],
)
def test_metric_values_go_by_tens_fives_ones_halves_and_tenths(
    low: float, high: float, nearest: str
) -> None:
    assert shop_values(low, high, unit=Unit.MM, finest=Fraction(1, 2)).nearest == nearest


def test_metric_interval_without_a_tenth_says_so() -> None:
    found = shop_values(12.31, 12.39, unit=Unit.MM, finest=Fraction(1, 2))
    assert (found.candidates, found.remark) == ((), "not a shop size")


def test_metric_limit_is_a_sixteenth_of_an_inch() -> None:
    assert shop_values(10, 13.17, unit=Unit.MM, finest=Fraction(1)).nearest == "10"
    assert shop_values(10, 13.18, unit=Unit.MM, finest=Fraction(1)).nearest is None


@pytest.mark.parametrize(
    ("low", "high", "finest"),
    [(1.0, 0.5, F64), (nan, 1.0, F64), (0.0, inf, F64), (0.0, 1.0, Fraction(0))],
)
def test_senseless_intervals_are_refused(low: float, high: float, finest: Fraction) -> None:
    with pytest.raises(ValueError, match=r"interval|finest"):
        shop_values(low, high, unit=Unit.IN, finest=finest)


@given(shop_lengths(), st.floats(0, 1 / 200), st.floats(0, 1 / 200))
def test_a_true_shop_value_inside_is_always_a_candidate(length, below, above) -> None:
    value = length.value
    found = shop_values(float(value) - below, float(value) + above, unit=Unit.IN, finest=F64)
    inside = [parse_length(text, unit=Unit.IN).value for text in found.candidates]
    assert value in inside


@given(st.fractions(0, 50, max_denominator=10_000), st.fractions(0, F16, max_denominator=10_000))
def test_candidates_are_all_inside_and_the_nearest_is_the_simplest(centre, half_width) -> None:
    low, high = centre - half_width, centre + half_width
    found = shop_values(low, high, unit=Unit.IN, finest=F64)
    values = [parse_length(text, unit=Unit.IN).value for text in found.candidates]
    assert all(low <= value <= high for value in values)
    # by brute force: every 64th inside is listed, and none has a smaller denominator
    brute = [Fraction(n, 64) for n in range(-64, 51 * 64) if low <= Fraction(n, 64) <= high]
    assert values == brute
    if brute:
        nearest = parse_length(found.nearest, unit=Unit.IN).value
        assert nearest.denominator == min(value.denominator for value in brute)
