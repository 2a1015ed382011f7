"""General notes give sizes where nothing is printed, when the drawing shows them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from audit.checks import check_plan
from audit.lengths import Unit
from audit.records import DimensionKind, Scaled, Verdict
from tests.checks.plans import PlanBuilder


def corner_plan(note, drawn=0.125):
    plan = PlanBuilder()
    view = plan.view("TRAY", count=1)
    for k in range(3):
        plan.hole(view, "R 1/8", 1 + k, 1, 0.25, kind=DimensionKind.RADIUS, sweep=90)
    scaled = Scaled(value=drawn, expanded=0.004, unit=Unit.IN, nearest=None)
    plan.dimensions = [
        replace(d, reading=None, scaled=scaled, verdict=Verdict.NOT_PRINTED)
        for d in plan.dimensions
    ]
    plan.row("TRAY", 1, T="1/4", W="3", L="4")
    if note:
        plan.say(note)
    return plan


def implied(plan):
    return [f for f in check_plan(plan.audit()).findings if f.code == "M101"]


def test_unprinted_radii_are_given_by_a_general_note():
    [one] = implied(corner_plan("ALL INSIDE CORNERS R 1/8"))
    assert "No size is printed on 3 radii of TRAY" in one.text
    assert "gives R 1/8 in, as drawn" in one.text
    assert (one.suggestion, one.dimensions) == ("1/8", (1, 2, 3))


@pytest.mark.parametrize("drawn", [0.0625, 0.25])
def test_radii_drawn_otherwise_are_not_what_the_note_means(drawn):
    assert not implied(corner_plan("ALL INSIDE CORNERS R 1/8", drawn))


def test_without_a_note_nothing_is_implied():
    assert not implied(corner_plan(""))
