"""Numbers that are off by far more than a slip explains."""

from __future__ import annotations

from dataclasses import replace

import pytest

from audit.checks.far_off import NOT_ITS_LINE
from audit.lengths import Unit
from audit.records import FoundBy, ReadBy, Settings, UserSet, Verdict
from tests.checks.test_agreement import judged, size, verdict


def read(printed, drawn, *, by=ReadBy.NET, **more):
    """A size as a tool finds it on a picture."""
    base = size(printed, drawn, found_by=FoundBy.TOOL, **more)
    return replace(base, reading=replace(base.reading, by=by))


def test_a_number_far_off_is_asked_about_and_no_alarm():
    done = judged(read("4", 2.9))
    assert (done.dimensions[0].verdict, done.dimensions[0].why) == (
        Verdict.NOT_CHECKED,
        NOT_ITS_LINE,
    )
    assert done.dimensions[0].difference is None  # it is not compared
    assert [f.code for f in done.findings] == ["A104"]
    assert "is that of its number" in done.findings[0].text


def test_a_whole_number_that_is_half_of_another_is_chance():
    assert verdict(read("4", 2.0)).why == NOT_ITS_LINE


@pytest.mark.parametrize(
    "still_wrong",
    [
        read("4", 3.76),  # six percent
        read("1/4", 3 / 16),  # a third, but a sixteenth of an inch
        read("3/4", 1.5),  # half the fraction: a slip with a name
        read("13", 31.0),  # swapped digits
        read("4", 2.9, by=ReadBy.PDF),
        replace(read("4", 2.9), user_set=frozenset({UserSet.ENDS})),
        replace(read("4", 2.9), found_by=FoundBy.USER),
    ],
)
def test_other_wrong_numbers_stay_alarms(still_wrong):
    assert verdict(still_wrong).verdict is Verdict.DISAGREES


@pytest.mark.parametrize(("drawn", "due"), [(25, Verdict.NOT_CHECKED), (94, Verdict.DISAGREES)])
def test_a_sum_on_the_line_of_one_step_is_no_alarm(drawn, due):
    base = size("100", drawn / 25.4, unit=Unit.MM)
    said = replace(base.reading, text="4X 25 (=100)")
    got = verdict(replace(base, reading=said), settings=Settings(unit=Unit.MM))
    assert got.verdict is due
