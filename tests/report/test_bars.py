"""Check bars: what two measures tell of a print."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.errors import BadUsage
from audit.lengths import Unit
from audit.report.bars import bar_length, judge_bars

FACTORS = st.floats(0.8, 1.2)


@given(x=FACTORS, y=FACTORS, unit=st.sampled_from([Unit.IN, Unit.MM]))
def test_both_factors_come_back_from_what_the_bars_measure(x, y, unit):
    true = bar_length(unit)
    factors = judge_bars(true * x, true * y, unit=unit)
    assert factors.x == pytest.approx(x, rel=1e-12)
    assert factors.y == pytest.approx(y, rel=1e-12)


def test_a_rule_read_to_a_twentieth_of_a_millimetre_recovers_both_to_a_twentieth_of_a_percent():
    """0.985 × 1.004, each bar read to 0.05 mm."""
    true = bar_length(Unit.IN)
    read = [round(true * f / 0.05) * 0.05 for f in (0.985, 1.004)]
    factors = judge_bars(*read, unit=Unit.IN)
    assert abs(factors.x - 0.985) < 0.0005
    assert abs(factors.y - 1.004) < 0.0005


def test_an_even_print_is_told_the_setting_that_makes_it_true():
    true = bar_length(Unit.MM)
    factors = judge_bars(true * 0.9852, true * 0.9852, unit=Unit.MM)
    assert factors.even
    assert factors.percent == pytest.approx(101.502, abs=0.001)
    assert "Print again at 101.50 %" in factors.advice


def test_a_stretched_print_is_not_promised_one_setting():
    true = bar_length(Unit.MM)
    factors = judge_bars(true * 0.985, true * 1.004, unit=Unit.MM)
    assert not factors.even
    assert "--printer 0.9850x1.0040" in factors.advice


def test_a_true_print_is_called_true():
    true = bar_length(Unit.IN)
    assert "true to size" in judge_bars(true + 0.05, true - 0.05, unit=Unit.IN).advice


@pytest.mark.parametrize("measured", [(0.0, 150.0), (150.0, -1.0), (15.0, 150.0),
                                      (float("nan"), 150.0), (150.0, float("inf"))])  # fmt: skip
def test_a_measure_of_something_else_is_refused(measured):
    with pytest.raises(BadUsage, match="is not a print of"):
        judge_bars(*measured, unit=Unit.MM)
