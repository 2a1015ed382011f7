"""Sizes side by side that a detail at another scale explains."""

from __future__ import annotations

from dataclasses import replace

import pytest

from audit.checks.details import IN_A_DETAIL
from audit.geometry import Point
from audit.records import End, Verdict
from tests.checks.test_agreement import judged, size

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
