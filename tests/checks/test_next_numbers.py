"""Sizes too close to call agree where their sheet can print no other number at them."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from audit.checks.next_numbers import (
    NO_OTHER,
    UsualSteps,
    settle_by_next,
    steps_in_view,
    usual_steps,
)
from audit.geometry import Box
from audit.lengths import Unit, parse_callouts
from audit.records import (
    Dimension,
    DimensionKind,
    ReadBy,
    Reading,
    Scaled,
    Settings,
    Verdict,
)

BOX = Box(0, 0, 9, 9)
SIXTEENTHS = UsualSteps(inch=Fraction(1, 16), mm=None)


def printed(text, *, number=1, confidence=1.0, unit=Unit.IN):
    callout = parse_callouts(text, unit=unit)[0]
    reading = Reading(text=text, box=BOX, by=ReadBy.NET, confidence=confidence, callout=callout)
    return Dimension(
        id=number, sheet=1, view=1, kind=DimensionKind.DISTANCE, ends=(), reading=reading
    )


def close(text, *, off, expanded=0.01, tolerance=1 / 64, verdict=Verdict.TOO_CLOSE):
    """A size off by so much from what is drawn, inches."""
    size = printed(text)
    value = float(size.printed.value) - off
    scaled = Scaled(value=value, expanded=expanded, unit=Unit.IN, nearest="", candidates=())
    return replace(size, scaled=scaled, difference=off, tolerance=tolerance, verdict=verdict)


def settled(dimension, steps=SIXTEENTHS):
    return settle_by_next(dimension, steps).verdict


@pytest.mark.parametrize("off", [0.013, -0.013, 0.016])
def test_a_size_between_u_and_three_sigma_agrees_where_no_other_sixteenth_fits(off):
    done = settle_by_next(close("1 7/8", off=off), SIXTEENTHS)
    assert (done.verdict, done.why) == (Verdict.AGREES, NO_OTHER)


def test_a_size_off_by_more_than_right_sizes_are_stays_open():
    assert settled(close("1 7/8", off=0.022)) is Verdict.TOO_CLOSE


def test_a_size_stays_open_where_the_next_number_may_be_meant():
    """At 19/32 the next sixteenths are a 32nd away: the drawing may show 9/16."""
    assert settled(close("19/32", off=0.016)) is Verdict.TOO_CLOSE
    assert settled(close("1 7/8", off=0.05, expanded=0.04)) is Verdict.TOO_CLOSE
    assert settled(close("1 7/8", off=0.013), UsualSteps(inch=Fraction(1, 64), mm=None)) is (
        Verdict.TOO_CLOSE
    )


def test_a_size_within_a_tolerance_that_the_sheet_shows_agrees_where_no_other_number_fits():
    """T - U is less than what right sizes are rounded and drawn to, and 1 13/16 is far off."""
    assert settled(close("1 7/8", off=0.013, expanded=0.005)) is Verdict.AGREES
    assert settled(close("1 7/8", off=0.017, expanded=0.005)) is Verdict.TOO_CLOSE


def test_nothing_is_settled_where_a_sheet_tells_no_steps():
    assert settled(close("1 7/8", off=0.013), UsualSteps(inch=None, mm=None)) is Verdict.TOO_CLOSE


def test_a_size_that_disagrees_keeps_its_verdict():
    off = close("1 7/8", off=0.013, verdict=Verdict.DISAGREES)
    assert settled(off) is Verdict.DISAGREES


def steps(texts, **how):
    sizes = [printed(text, number=k, **how) for k, text in enumerate(texts, start=1)]
    return usual_steps(sizes, settings=Settings())


def test_the_steps_of_a_sheet_are_those_of_nine_tenths_of_its_sizes():
    sizes = ["1 7/8", "2", "3/4", "1 1/2", "5/16", "2 1/4", "7/16", "3", "15/16", "1 1/8"]
    assert steps(sizes).inch == Fraction(1, 16)
    assert steps([*sizes[:9], "19/32"]).inch == Fraction(1, 16)  # one may be a slip
    assert steps([*sizes[:8], "19/32", "21/32"]).inch == Fraction(1, 32)
    assert steps(sizes, confidence=0.3).inch is None


def test_few_sizes_of_a_sheet_tell_that_it_prints_none_finer_than_half_their_step():
    sizes = ["1 7/8", "2", "3/4", "1 1/2", "5/16", "2 1/4"]
    assert steps(sizes).inch == Fraction(1, 32)
    assert steps([*sizes, "19/32"]).inch == Fraction(1, 64)
    assert steps([*sizes, "19/64"]).inch is None
    assert steps(sizes[:4]).inch is None


def test_decimals_count_as_exactly_as_their_last_place():
    sizes = [".438", "1.188", ".063", "2.500", ".875", "1.000", ".313", ".750", "3.125", ".938"]
    assert steps(sizes).inch == Fraction(1, 16)


def test_millimetres_have_steps_of_their_own():
    sizes = ["120", "35", "40", "255", "60", "75", "10", "90", "15", "200"]
    assert steps(sizes, unit=Unit.MM).mm == 5
    assert steps([*sizes, "12", "13"], unit=Unit.MM).mm == 1


WHOLE = ["36", "24", "18", "72", "30", "12", "48", "60", "16", "20", "42", "66", "11", "17", "21"]


def test_a_detail_in_finer_steps_than_its_sheet_is_judged_by_its_own():
    """The joint of a chest: 3/4 may stand there for 13/16, though the chest is in whole inches."""
    sheet = steps([*WHOLE, "3/4"])
    assert sheet.inch == 1
    joint = [printed(text) for text in ("3/4", "7/16", "2")]
    own = steps_in_view(sheet, joint, settings=Settings())
    assert own.inch == Fraction(1, 16)
    wrong = close("2", off=1 / 16, expanded=0.045)
    assert settled(wrong, sheet) is Verdict.AGREES
    assert settled(wrong, own) is Verdict.TOO_CLOSE


def test_one_size_of_a_view_may_be_a_slip():
    view = [printed(text) for text in ("1 23/32", "5/8", "1 7/8", "3/4", "1 3/4")]
    assert steps_in_view(SIXTEENTHS, view, settings=Settings()) == SIXTEENTHS
    assert steps_in_view(SIXTEENTHS, view[:4], settings=Settings()).inch == Fraction(1, 32)


def test_a_view_is_never_told_in_coarser_steps_than_its_sheet():
    whole = [printed(text) for text in WHOLE]
    for sheet in (SIXTEENTHS, UsualSteps(inch=None, mm=None)):
        assert steps_in_view(sheet, whole, settings=Settings()) == sheet


def test_a_size_that_is_itself_finer_than_the_steps_is_not_settled_by_them():
    wrong = close("3/4", off=-1 / 16, expanded=0.045)
    assert settled(wrong, UsualSteps(inch=Fraction(1), mm=None)) is Verdict.TOO_CLOSE
