"""Sizes side by side that a detail at another scale explains."""

from __future__ import annotations

from dataclasses import replace

import pytest

from audit.checks.details import IN_A_DETAIL, doubt_details
from audit.geometry import Point
from audit.records import End, Verdict
from tests.checks.judging import judged, size

TWICE = IN_A_DETAIL.format(times="2 times")


def at(printed, drawn, *, number, x, y):
    """A size whose drawn length begins at a place of the sheet, pt."""
    base = size(printed, drawn, number=number)
    ends = (End(point=Point(x, y), sigma=0.01), End(point=Point(x + 72 * drawn, y), sigma=0.01))
    return replace(base, ends=ends)


def rest(*, between=False):
    """Sizes that agree: below the detail, or one of them inside it."""
    places = [(50, 400), (50, 430), (320 if between else 50, 120 if between else 460), (50, 490)]
    return [at("7/8", 0.875, number=20 + k, x=x, y=y) for k, (x, y) in enumerate(places)]


@pytest.mark.parametrize(
    ("second", "between", "why"),
    [
        (("5/16", 0.625), False, TWICE),  # twice as large as well
        (("5/16", 0.9375), False, None),  # three times
        (("7/16", 0.875), False, None),  # the same size: one slip, made at both
        (("5/16", 0.625), True, None),  # one that agrees stands between them
    ],
)
def test_two_sizes_side_by_side_drawn_twice_as_large_are_asked_about(second, between, why):
    pair = [
        at("7/16", 0.875, number=1, x=300, y=100),
        at(*second, number=2, x=310, y=150),
    ]
    done = judged(*pair, *rest(between=between))
    verdicts = {d.id: (d.verdict, d.why) for d in done.dimensions if d.id < 20}
    due = (Verdict.NOT_CHECKED, why) if why else (Verdict.DISAGREES, None)
    assert set(verdicts.values()) == {due}
    asked = [f for f in done.findings if f.code == "A104"]
    assert [f.dimensions for f in asked] == ([(1, 2)] if why else [])


def test_one_size_that_is_drawn_twice_as_large_is_wrong():
    done = judged(at("7/16", 0.875, number=1, x=300, y=100), *rest())
    assert done.dimensions[0].verdict is Verdict.DISAGREES


def test_two_wrong_legs_of_a_chain_with_one_between_that_agrees_are_no_detail():
    legs = [("1/2", 1.0), ("3/4", 0.75), ("5/8", 1.25)]
    row = [
        at(printed, drawn, number=k, x=x, y=100 + aside)  # ends a hair off one line
        for k, ((printed, drawn), x, aside) in enumerate(
            zip(legs, (100, 172, 226), (0.0, 0.3, -0.2), strict=True), 1
        )
    ]
    verdicts = [d.verdict for d in judged(*row, *rest()).dimensions[:3]]
    assert verdicts == [Verdict.DISAGREES, Verdict.AGREES, Verdict.DISAGREES]


@pytest.mark.parametrize(("expanded", "asked"), [(0.05, True), (0.09, False)])
def test_sizes_too_vaguely_measured_to_tell_a_ratio_are_no_detail(expanded, asked):
    pair = [at("7/16", 0.875, number=1, x=300, y=100), at("5/16", 0.625, number=2, x=310, y=150)]
    vague = [
        replace(d, scaled=replace(d.scaled, expanded=expanded))
        for d in judged(pair[0], *rest()).dimensions[:1]
    ]
    second = judged(pair[1], *rest()).dimensions[0]
    second = replace(second, scaled=replace(second.scaled, expanded=expanded))
    done = doubt_details([*vague, second])
    assert {d.verdict is Verdict.NOT_CHECKED for d in done} == {asked}
