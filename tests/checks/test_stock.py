"""Stock that measures otherwise than it is called, in what was sized by its name."""

from __future__ import annotations

import pytest

from audit.checks import check_plan
from audit.records import Part, Severity
from tests.checks.plans import PlanBuilder, inches


def slotted(text="1/4 SLOT"):
    plan = PlanBuilder()
    plan.size(plan.view("SIDE", count=2), text, 1, 1.25)
    plan.row("SIDE", 2, T="1/2", W="3", L="4")
    plan.row("SHELF", 1, T="1/4", W="3", L="4")
    return plan


def findings(plan, measured, nominal="1/4"):
    called = inches(nominal) if nominal else None
    shelf = Part(name="SHELF", nominal_thickness=called, measured_thickness=inches(measured))
    return [f for f in check_plan(plan.audit(parts=(shelf,))).findings if f.code == "F106"]


@pytest.mark.parametrize(
    ("measured", "says"), [("15/64", "1/64 in loose"), ("17/64", "1/64 in too tight")]
)
def test_a_slot_is_run_again_with_the_stock_as_measured(measured, says):
    [one] = findings(slotted(), measured)
    assert says in one.text
    assert one.severity is Severity.WARNING


def test_stock_that_measures_what_it_is_called_is_no_finding():
    assert not findings(slotted(), "1/4")


def test_the_parts_list_says_what_the_stock_is_called():
    assert "1/64 in loose" in findings(slotted(), "15/64", nominal=None)[0].text


def test_a_slot_for_a_named_part_is_judged_by_that_part_whatever_its_size():
    [one] = findings(slotted("5/16 SLOT FOR SHELF"), "15/64")
    assert "in the 5/16 in slot of SIDE it is 5/64 in loose" in one.text
    assert one.severity is Severity.NOTE
    [tight] = findings(slotted("7/32 SLOT FOR SHELF"), "15/64")
    assert (tight.severity, "too tight" in tight.text) == (Severity.WARNING, True)


def test_a_plain_size_of_the_nominal_thickness_is_only_asked_about():
    [one] = findings(slotted("1/4"), "15/64")
    assert one.severity is Severity.NOTE
    assert (
        "Where a 1/4 in of SIDE is a slot or a dado for it, make that 1/64 in narrower" in one.text
    )


def test_other_sizes_are_not_asked_about():

    assert not findings(slotted("3/8"), "15/64")
