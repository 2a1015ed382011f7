"""A typical size holds wherever the drawing shows it, and is one change when it is wrong."""

from __future__ import annotations

from dataclasses import replace

import pytest

from audit.checks import check_plan
from audit.records import Severity, ViewKind
from tests.checks.plans import PlanBuilder


def rail(typical="1/2 TYP", *, kind=ViewKind.TRUE, end=3.0):
    """Two equal ends, of which only one is printed, about a middle of 2: 3 in all."""
    plan = PlanBuilder()
    view = plan.view("RAIL", count=1, kind=kind)
    plan.size(view, typical, 0, 0.5)
    plan.size(view, "2", 0.5, 2.5)
    plan.size(view, "3", 0, end, y=20)
    return plan


def findings(plan, code):
    return [f for f in check_plan(plan.audit()).findings if f.code == code]


def test_a_typical_size_closes_a_chain_it_is_not_printed_in():
    plan = rail()
    plan.size(1, "1", 0, 1, down=True)
    done = check_plan(plan.audit())
    assert not [f for f in done.findings if f.severity is not Severity.NOTE]
    assert done.summed == {1, 2, 3}


def test_the_same_size_without_typ_governs_nothing():
    assert check_plan(rail("1/2").audit()).summed == frozenset()


def test_a_wrong_typical_size_is_one_change_in_two_places():
    [one] = findings(rail("5/8 TYP"), "C101")
    assert one.dimensions == (1,)
    assert one.suggestion == "1/2"
    assert "holds in 2 places here: change it once" in one.text
    assert any("the typical 5/8 in being the same elsewhere" in r for r in one.rests_on)


def test_a_wrong_middle_beside_a_right_typical_size_is_named_itself():
    plan = rail()
    reading = plan.dimensions[1].reading
    wrong = replace(reading.callout, size=reading.callout.size * 2)
    plan.dimensions[1] = replace(plan.dimensions[1], reading=replace(reading, callout=wrong))
    [one] = findings(plan, "C101")
    assert (one.dimensions, one.suggestion) == ((2,), "2")


def test_a_gap_drawn_a_64th_longer_is_not_governed():
    plan = rail(end=3.0 + 1 / 64)
    assert check_plan(plan.audit()).summed == frozenset()


@pytest.mark.parametrize("kind", [ViewKind.PICTORIAL, ViewKind.NOT_TO_SCALE, ViewKind.BROKEN])
def test_views_whose_drawing_says_nothing_govern_nothing(kind):
    assert not findings(rail("5/8 TYP", kind=kind), "C101")
