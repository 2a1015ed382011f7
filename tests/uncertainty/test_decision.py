"""Three zones, never two."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.records import Verdict
from audit.uncertainty import decide, decide_on_sheet

sizes = st.floats(0.0, 10.0)


@pytest.mark.parametrize(
    ("y", "expected"),
    [
        (10.00, Verdict.AGREES),
        (9.991, Verdict.AGREES),
        (10.0099, Verdict.AGREES),
        (10.03, Verdict.TOO_CLOSE),
        (9.97, Verdict.TOO_CLOSE),
        (10.0899, Verdict.TOO_CLOSE),
        (10.0901, Verdict.DISAGREES),
        (9.9099, Verdict.DISAGREES),
    ],
)
def test_iso_14253_1_zones_of_ten_plus_minus_five_hundredths(y, expected):
    """u = .02, k = 2: conform in [9.99, 10.01], not below 9.91 or above 10.09, else neither.

    ISO 14253-1 (idea; text not seen), Eurachem/CITAC guide 2nd ed. 2021.
    """
    assert decide(y - 10.0, 0.05, expanded=2 * 0.02) is expected


@given(difference=st.floats(-10, 10), tolerance=st.floats(1e-6, 5), expanded=sizes)
def test_nothing_agrees_and_disagrees_by_the_sign_of_the_difference(
    difference, tolerance, expanded
):
    first = decide_on_sheet(difference, tolerance, expanded=expanded)
    assert first is decide_on_sheet(-difference, tolerance, expanded=expanded)
    if expanded < tolerance / 2:
        assert first is decide(difference, tolerance, expanded=expanded)
    if first is Verdict.DISAGREES:
        assert abs(difference) > tolerance + expanded
    if abs(difference) > 2 * max(tolerance, expanded):
        assert first is Verdict.DISAGREES


def test_a_sheet_coarser_than_the_tolerance_still_agrees_as_far_as_it_can_tell():
    assert decide_on_sheet(0.05, 1 / 64, expanded=0.0625) is Verdict.AGREES
    assert decide_on_sheet(0.08, 1 / 64, expanded=0.0625) is Verdict.TOO_CLOSE
    assert decide_on_sheet(0.13, 1 / 64, expanded=0.0625) is Verdict.DISAGREES


def test_what_is_nearer_to_an_error_of_six_hundredths_does_not_agree_however_coarse_the_sheet():
    """1 1/4 printed for 1.19: the sheet cannot show it, and does not vouch for it either."""

    def verdict(off):
        return decide_on_sheet(off, 1 / 64, expanded=0.125, size=1.19)

    assert verdict(0.06) is Verdict.TOO_CLOSE
    assert verdict(0.04) is Verdict.AGREES
    assert verdict(0.26) is Verdict.DISAGREES
    assert decide_on_sheet(0.015, 1 / 64, expanded=0.02, size=0.25) is Verdict.AGREES  # within T


def test_three_standard_uncertainties_call_a_size_wrong_that_is_off_as_errors_are():
    """2 15/16 printed for 2.70: where U shows an error of 6 %, and the size is off by over 4 %."""

    def verdict(off, expanded, size=2.7):
        return decide_on_sheet(off, 1 / 64, expanded=expanded, size=size)

    assert verdict(0.2355, 0.126) is Verdict.DISAGREES
    assert verdict(0.18, 0.126) is Verdict.TOO_CLOSE
    assert verdict(0.2355, 0.126, size=7.0) is Verdict.TOO_CLOSE  # 3 %: drawings stray so far
    assert verdict(0.2355, 0.126, size=2.2) is Verdict.DISAGREES
    assert verdict(0.3, 0.17, size=2.7) is Verdict.TOO_CLOSE  # a sheet that shows no 6 %
    assert decide_on_sheet(0.034, 1 / 64, expanded=0.02, size=0.8) is Verdict.TOO_CLOSE  # T + U


@pytest.mark.parametrize(("tolerance", "expanded"), [(0.0, 1.0), (-1.0, 0.1), (1.0, -0.1)])
def test_meaningless_limits_are_refused(tolerance, expanded):
    with pytest.raises(ValueError, match="tolerance"):
        decide(0.0, tolerance, expanded=expanded)
