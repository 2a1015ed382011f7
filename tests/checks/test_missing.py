"""Sizes that a plan does not give, and what they can be."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from audit.checks import check_plan
from audit.checks.candidates import Gap, list_candidates
from audit.checks.missing import _tell_floating
from audit.checks.stations import Leg, StationLine
from audit.lengths import Unit
from audit.records import PageKind, Severity, SheetText, TextState, ViewKind
from tests.checks.plans import PlanBuilder, base_plan, codes, finding


def plates(*notes):
    plan = PlanBuilder()
    view = plan.view("SIDE PLATE", count=2)
    plan.size(view, "4", 0, 4)
    plan.row("SIDE PLATE", 2, W="3", L="4")
    plan.row("RAMP", 1, T="1/4", W="3", L="4")
    for note in notes:
        plan.say(note)
    return plan


def test_a_thickness_by_general_note_is_implied():
    one = finding(plates("ALL PARTS 1/4 THICK UNLESS NOTED."), "M101")
    assert (one.severity, one.suggestion) == (Severity.NOTE, "1/4")
    assert "general note" in one.text


def test_a_thickness_nothing_gives_is_missing():
    assert finding(plates(), "M102").severity is Severity.WARNING


@pytest.mark.parametrize(
    ("kind", "told"), [(PageKind.VECTOR, True), (PageKind.SCAN, False)], ids=["lines", "scan"]
)
def test_an_edge_that_nothing_is_written_on_gives_no_thickness(kind, told):
    """On a scan what is written there may not have been read."""
    plan = plates()
    plan.view("", kind=ViewKind.UNKNOWN)
    plan.sheet = replace(plan.sheet, kind=kind)
    assert ("M102" in codes(plan)) is told


def test_a_text_nobody_understood_beside_an_edge_may_be_its_thickness():
    plan = plates()
    box = plan.views[plan.view("", kind=ViewKind.UNKNOWN) - 1].box
    text = SheetText(sheet=1, text="3/8", box=box, state=TextState.NOT_CHECKED, why="")
    told = check_plan(replace(plan.audit(), texts=(text,))).findings
    assert "M102" not in {f.code for f in told}


def test_a_part_taken_out_of_the_general_note_has_none():
    plan = plates("ALL PARTS 1/4 THICK UNLESS NOTED.", "SIDE PLATES ARE OF THICKER STOCK.")
    assert "takes it out of the general note" in finding(plan, "M102").text
    assert "M101" not in codes(plan)


@pytest.mark.parametrize(
    "where", ["callout", "other view", "stock note", "untitled view", "dowel", "diameter"]
)
def test_a_thickness_given_elsewhere_is_not_missing(where):
    plan = plates()
    if where == "callout":
        plan.size(1, "3/8 THK", 0, 0.375, y=40)
    elif where == "other view":
        plan.view("SIDE PLATE SECTION")
    elif where == "stock note":
        plan.stock("3/8 THICK", "3/8", near=1)
    elif where == "untitled view":
        plan.size(plan.view(""), "3/8", 0, 0.375)
    elif where == "diameter":
        form = replace(plan.statements[1].form, columns=("D", "L"), material="ASH")
        plan.statements[1] = replace(plan.statements[1], form=form)
    else:
        plan.statements[1] = replace(
            plan.statements[1], form=replace(plan.statements[1].form, material="DOWEL")
        )
    assert not {"M101", "M102"} & set(codes(plan))


def test_a_stock_note_that_contradicts_the_list_is_told():
    plan = base_plan()
    plan.stock("3/8 THICK", "3/8", near=1)
    assert "listed 1/4 thick" in finding(plan, "P101").text


def test_a_feature_no_size_reaches_is_a_note_unless_symmetry_places_it():
    plan = PlanBuilder()
    view = plan.view("BASE")
    plan.size(view, "1", 0, 1)
    plan.size(view, "3", 1, 4, y=10)
    plan.size(view, "1/4", 1.6, 1.85, y=20)
    told = finding(plan, "M103")
    assert told.severity is Severity.NOTE
    # nothing else gives it: 1.6 in from the left end, as a drawing of exact vectors measures
    assert "drawn as 1.6000" in told.text
    plan.dimensions.pop()
    plan.size(view, "1/4", 2.375, 2.625, y=20)  # centred between 1 and 4
    assert "M103" not in codes(plan)


def test_a_size_for_reference_needs_no_position():
    plan = PlanBuilder()
    view = plan.view("BASE")
    plan.size(view, "1", 0, 1)
    plan.size(view, "3", 1, 4, y=10)
    plan.size(view, "4", 0, 4, y=30)
    plan.size(view, "1/4 REF", 1.6, 1.85, y=20)
    assert "M103" not in codes(plan)


def test_what_a_position_in_millimetres_may_be_is_listed_in_steps_of_the_plan():
    plan = PlanBuilder()
    view = plan.view("BASE")
    plan.size(view, "25 mm", 0, 25 / 25.4)
    plan.size(view, "75 mm", 25 / 25.4, 100 / 25.4, y=10)
    plan.size(view, "6 mm", 40 / 25.4, 46 / 25.4, y=20)
    plan.dimensions = [  # as well as a scan shows them
        replace(d, ends=tuple(replace(e, sigma=0.1) for e in d.ends)) for d in plan.dimensions
    ]
    assert finding(plan, "M103").text.endswith("drawn as 40.000 ± 0.100 mm (40).")


def test_a_missing_position_is_looked_for_in_the_mating_part_before_it_is_scaled():
    plan = PlanBuilder()
    base = plan.view("BASE", count=1)
    plan.size(base, "1", 0, 1)
    plan.size(base, "3", 1, 4, y=10)
    plan.size(base, "1/4", 1.625, 1.875, y=20)
    plan.row("BASE", 1, T="1/4", W="4", L="4")
    lid = plan.view("LID", count=1)
    plan.size(lid, "1 5/8", 0, 1.625)
    plan.row("LID", 1, T="1/4", W="4", L="4")
    assert "drawn as 1.6250" in finding(plan, "M103").text
    assert "LID" not in finding(plan, "M103").text
    plan.say("GLUE LID TO BASE.")
    told = finding(plan, "M103")
    assert told.text.index("LID prints “1 5/8”") < told.text.index("drawn as 1.6250")
    assert told.suggestion == "1 5/8"


def test_a_missing_position_that_another_view_prints_is_named():
    plan = PlanBuilder()
    base = plan.view("BASE")
    plan.size(base, "1", 0, 1)
    plan.size(base, "3", 1, 4, y=10)
    plan.size(base, "1/4", 1.625, 1.875, y=20)
    plan.size(plan.view("BASE SECTION", kind=ViewKind.SECTION), "1 5/8", 0, 1.625)
    plan.row("BASE", 1, T="1/4", W="4", L="4")
    assert "another view prints “1 5/8”" in finding(plan, "M103").text
    assert "suggested" not in finding(plan, "M103").text  # the drawing says the same


def test_a_suggestion_says_how_many_other_values_fit():
    gap = Gap(value=1.6, expanded=0.05, unit=Unit.IN, a=0, b=1)
    line = StationLine(view=1, sheet=1, direction=0.0, unit=Unit.IN, stations=(), legs=())
    found = list_candidates(gap, line, (), PlanBuilder().audit())
    assert found.value == "1 5/8"
    assert found.phrases == ("drawn as 1.600 ± 0.050 in (1 5/8)",)
    assert found.others == 5  # 100 to 105 sixty-fourths, less this one
    told = _tell_floating(base_plan().views[0], (), found)
    assert f"1 5/8 is suggested; {found.others} other values fit as well" in told.text
    far = replace(gap, value=0.205, expanded=0.001)  # 13/64 is near, and outside
    leg = Leg(dimension=1, a=0, b=1, value=Fraction(41, 200), half=Fraction(0), reference=True)
    assert list_candidates(far, replace(line, legs=(leg,)), (), PlanBuilder().audit()).others == 0
