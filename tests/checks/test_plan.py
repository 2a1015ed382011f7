"""A plan against itself: parts list, counts, fits, links, decisions."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from audit.checks import check_plan
from audit.checks.parts import find_parts
from audit.checks.same_as import propose_links
from audit.checks.tables import read_table
from audit.checks.taps import percent_thread
from audit.geometry import Box
from audit.lengths import Length, Unit
from audit.records import (
    ChainLeg,
    Decision,
    DimensionKind,
    HandChain,
    Link,
    Scaled,
    Severity,
    Verdict,
    ViewKind,
)
from audit.scale.findings import say
from tests.checks.plans import PlanBuilder, base_plan, codes, finding, inches

# ---- parts list --------------------------------------------------------------------------------


def test_a_list_that_repeats_the_drawings_is_no_finding_and_its_rows_are_checked():
    done = check_plan(base_plan().audit())
    assert [f.code for f in done.findings if f.severity is not Severity.NOTE] == []
    assert len([s for s in done.used if s.kind == "parts-list row"]) == 4


def test_a_row_longer_than_drawn_is_an_error_with_the_drawn_size():
    one = finding(base_plan(listed="27/4"), "P101")
    assert (one.severity, one.suggestion) == (Severity.ERROR, "6 1/2")
    assert "BASE is listed as 6 3/4, but drawn and printed 6 1/2" in one.text
    assert one.grade == "drawing+other view"


def test_few_rows_do_not_show_that_a_list_gives_finished_sizes():
    one = finding(base_plan(listed="27/4", others=1), "P101")
    assert one.severity is Severity.WARNING
    assert "rough" in one.text


def test_a_list_that_is_larger_throughout_is_asked_about_not_accused():
    plan = PlanBuilder()
    for k, name in enumerate(("TOP", "SHELF", "FRONT PANEL")):
        view = plan.view(name)
        plan.size(view, f"{k + 2}", 0, k + 2)
        plan.size(view, "1 1/2", 0, 1.5, down=True)
        plan.row(name, 1, W="3/2", L=f"{4 * (k + 2) + 1}/4")
    assert "P101" not in codes(plan)
    assert "Does it give rough sizes" in finding(plan, "P105").text


def test_a_size_that_only_the_sum_of_a_chain_gives_is_no_difference():
    plan = base_plan()
    view = plan.view("PLATE", count=1)
    plan.size(view, "4 1/4", 0.5, 4.75, down=True)
    plan.size(view, "1/2", 0, 0.5, down=True, y=30)
    plan.size(view, "3", 0, 3)
    plan.row("PLATE", 1, T="1/4", W="19/4", L="3")
    assert "P101" not in codes(plan)


def test_rounded_ends_beyond_the_centres_are_counted():
    plan = base_plan()
    view = plan.view("CRANK", count=1)
    plan.size(view, "2 1/8", 1, 3.125)
    plan.hole(view, "R 1/2", 1, 1, 1.0, kind=DimensionKind.RADIUS)
    plan.hole(view, "R 3/8", 3.125, 1, 0.75, kind=DimensionKind.RADIUS)
    plan.row("CRANK", 1, T="1/2", W="1", L="3")
    assert "P101" not in codes(plan)


def test_a_half_view_is_doubled_before_it_is_compared():
    plan = base_plan()
    view = plan.view("HOPPER", kind=ViewKind.HALF, count=2)
    plan.size(view, "1 3/4", 0, 1.75)
    plan.size(view, "2 1/4", 0, 2.25, down=True)
    plan.row("HOPPER", 2, T="1/4", W="9/4", L="7/2")
    assert "P101" not in codes(plan)


def test_a_row_under_another_name_is_told_once_as_a_note():
    plan = base_plan()
    plan.row("LADDER", 1, T="1/4", W="1", L="5")
    one = finding(plan, "P106")
    assert one.severity is Severity.NOTE
    assert "LADDER" in one.text


def test_a_name_with_a_misread_letter_is_still_the_part():
    plan = base_plan(listed="27/4")
    plan.views[-1] = replace(plan.views[-1], title="BASF")
    assert "P101" not in codes(plan)  # too short a name to guess
    plan = base_plan()
    plan.row("LIFT STEP", 8, T="1/4", W="2", L="11/4")
    view = plan.view("IFT STEP", count=8)
    plan.size(view, "2", 0, 2, down=True)
    plan.size(view, "3", 0, 3)
    assert "LIFT STEP is listed as 2 3/4" in finding(plan, "P101").text


# ---- fits ----------------------------------------------------------------------------------------


def rods(*, bore="Ø 1/4 BORE", size=0.25, note="CAMS TURN FREELY ON THE CAM ROD."):
    plan = PlanBuilder()
    cam = plan.view("CAM", count=8)
    plan.hole(cam, bore, 1, 1, size)
    plan.row("CAM", 8, T="1/4", W="7/4", L="7/4")
    plan.row("CAM ROD", 1, material="DOWEL", W="1/4", L="33/8")
    if note:
        plan.say(note)
    return plan


def test_a_cam_that_must_turn_on_a_rod_of_its_own_size_cannot():
    one = finding(rods(), "F101")
    assert one.severity is Severity.WARNING
    assert "no clearance" in one.text
    assert "9/32 to 5/16 is usual" in one.text
    assert one.grade == "mating part+statement"
    assert one.dimensions == (1,)


def test_a_cam_with_clearance_is_no_finding():
    assert not {"F101", "F102"} & set(codes(rods(bore="Ø 9/32 BORE", size=9 / 32)))


def test_a_rod_larger_than_the_hole_it_turns_in_is_told_by_how_much():
    one = finding(rods(bore="Ø 7/32 BORE", size=7 / 32), "F101")
    assert "it is 1/32 in too thick to go in" in one.text


def test_a_hole_that_has_its_pin_by_a_note_is_no_question_for_another_pin():
    plan = rods(note="GLUE CAMS TO THE CAM ROD.")
    plan.row("PEG", 1, material="DOWEL", D="1/4", L="1")
    assert "F102" not in codes(plan)


def test_an_intent_nobody_states_is_a_question_never_an_error():
    one = finding(rods(note=""), "F102")
    assert one.severity is Severity.NOTE
    assert "Does it turn" in one.text


@pytest.mark.parametrize("note", ["GLUE CAMS TO THE CAM ROD.", "CAMS ARE PRESSED ON THE CAM ROD."])
def test_a_hole_of_the_rods_size_may_be_glued_or_pressed(note):
    assert not {"F101", "F102"} & set(codes(rods(note=note)))


def test_a_pressed_rod_that_is_loose_holds_nothing():
    plan = rods(bore="Ø 9/32 BORE", size=9 / 32, note="CAMS ARE PRESSED ON THE CAM ROD.")
    assert "too loose to hold" in finding(plan, "F101").text


def test_a_note_that_forbids_is_no_intent():
    assert "F101" not in codes(rods(note="CAMS MUST NOT TURN ON THE CAM ROD."))


def test_percent_of_thread_is_that_of_the_handbook():
    """Machinery's Handbook tap-drill table: 75 % columns, as bd-warehouse lists them."""
    for tpi, major, drill, percent in (
        (32, ".138", ".1065", 77.6),
        (32, ".164", ".1360", 69.0),
        (24, ".190", ".1495", 74.8),
        (32, ".190", ".1590", 76.4),
        (20, ".250", ".2010", 75.4),
    ):
        got = percent_thread(Fraction(tpi), inches(major), inches(drill))
        assert got == pytest.approx(percent, abs=0.05)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("#7 DRILL, 1/4-20 TAP, 3/4 DEEP", False),
        ("DRILL #43, TAP 4-40", False),
        ("#1 DRILL, 1/4-20 TAP", True),
        ("#20 DRILL, 1/4-20 TAP", True),
    ],
)
def test_a_tap_drill_that_does_not_suit_is_told(text, told):
    plan = PlanBuilder()
    plan.hole(plan.view("PLATE"), text, 1, 1, 0.2)
    assert ("F103" in codes(plan)) is told


def test_every_table_of_fits_has_a_source():
    from importlib.resources import files

    text = (files("audit.checks") / "fits.txt").read_text("utf-8")
    blocks = text.split("\n[")[1:]
    assert len(blocks) >= 5
    assert all("\nSource: " in block for block in blocks)


def test_clearance_and_tap_drills_name_known_drills():
    """Sizes by the drill tables of the length layer, against ASME B18.2.8 and the handbook."""
    from audit.lengths.tables import drill_sizes

    size = {name: float(length) for name, length in drill_sizes().items()}
    normal = {"#6": 0.1695, "#8": 0.196, "#10": 0.221}
    for screw, wanted in normal.items():
        [drill] = read_table("clearance holes")[screw]
        assert size[drill.removeprefix("#")] == wanted
    assert {size[d.removeprefix("#")] for d in read_table("tap drills")["#10-24"]} == {
        0.1495,
        0.161,
    }


def test_a_hole_near_the_edge_is_a_note():
    plan = PlanBuilder()
    view = plan.view("STRIP", count=1)
    plan.size(view, "3", 0, 3)
    plan.hole(view, "Ø 1/4", 0.15, 1, 0.25)
    plan.row("STRIP", 1, W="1", L="3")
    assert finding(plan, "F104").severity is Severity.NOTE
    plan.dimensions.pop()
    plan.hole(view, "Ø 1/4", 0.5, 1, 0.25)
    assert "F104" not in codes(plan)


def test_a_blind_hole_deeper_than_its_stock_comes_through():
    plan = PlanBuilder()
    view = plan.view("CAM", count=8)
    plan.hole(view, "Ø 1/8 × 1/2 DEEP", 1, 1, 0.125)
    plan.row("CAM", 8, T="1/4", W="7/4", L="7/4")
    assert "comes through" in finding(plan, "F105").text


# ---- links, decisions, hand-made chains ----------------------------------------------------------


def two_views(second="2 1/2", verdict=Verdict.AGREES):
    plan = PlanBuilder()
    first = plan.size(plan.view("BLOCK"), "2 1/4", 0, 2.25)
    other = plan.size(plan.view("BLOCK SECTION"), second, 0, 2.25, verdict=verdict)
    plan.row("BLOCK", 1, W="2", L="9/4")
    return plan, Link(first=first, second=other)


def test_linked_views_that_print_different_sizes_differ():
    plan, link = two_views()
    assert finding(plan, "C107", links=(link,)).severity is Severity.WARNING
    assert "C107" not in codes(plan)


def test_the_drawing_decides_between_linked_views():
    plan, link = two_views(verdict=Verdict.DISAGREES)
    one = finding(plan, "C107", links=(link,))
    assert (one.severity, one.suggestion) == (Severity.ERROR, "2 1/4")


def test_links_are_proposed_never_assumed():
    plan, _ = two_views("2 1/4")
    audit = plan.audit()
    [link] = propose_links(find_parts(audit), audit)
    assert {link.first, link.second} == {1, 2}
    assert "C107" not in codes(plan)
    assert propose_links(find_parts(audit), replace(audit, links=(link,))) == ()


def test_a_decision_that_opens_a_chain_is_told_at_once():
    plan = PlanBuilder()
    view = plan.view("BAR")
    plan.size(view, "1", 0, 1)
    plan.size(view, "2", 1, 3, y=10)
    plan.size(view, "3", 0, 3, y=20)
    plan.size(view, "2", 0, 2, down=True)
    assert codes(plan) == []
    decision = Decision(dimension=2, value=inches("9/4"), reason="tried")
    one = finding(plan, "C106", decisions=(decision,))
    assert "open by 1/4 in" in one.text
    assert one.dimensions == (2,)


def test_a_chain_made_by_hand_is_added_up_with_legs_taken_as_alike():
    plan = PlanBuilder()
    view = plan.view("BAR")
    step, whole = plan.size(view, "1 1/4", 0, 1.25), plan.size(view, "5", 0, 5, down=True)
    legs = (ChainLeg(dimension=step, count=3), ChainLeg(length=inches(1), text="1"))
    chain = HandChain(name="holes", legs=legs, overall=ChainLeg(dimension=whole))
    one = finding(plan, "C102", chains=(chain,))
    assert "4 3/4, not 5" in one.text
    right = replace(chain, legs=(*legs, ChainLeg(length=Length(Fraction(127, 20), Unit.MM))))
    assert "C102" not in codes(plan, chains=(right,))


def test_checking_twice_tells_nothing_twice():
    audit = base_plan(listed="27/4").audit()
    once = check_plan(audit).findings
    assert check_plan(replace(audit, findings=once)).findings == once


def test_views_without_titles_get_the_name_under_them():
    plan = PlanBuilder()
    view = plan.view("")
    number = plan.size(view, "2 1/4", 0, 2.25)
    plan.row("BLOCK", 1, W="2", L="9/4")
    plan.say("BLOCK - MAKE 1", box=Box(60, 180, 140, 190))
    [part] = find_parts(plan.audit())
    assert [d.id for d in part.dimensions] == [number]
    assert part.counts[0].count == 1


# ---- the list as a witness ----------------------------------------------------------------------


def disagreeing(listed):
    """A knob printed 1 1/8 long, drawn 1 3/8, with its row."""
    from audit.checks import judge
    from audit.scale import ScaledSheet

    plan = PlanBuilder()
    plan.size(plan.view("KNOB", count=1), "1 1/8", 0, 1.375)
    plan.row("KNOB", 1, material="DOWEL", W="5/8", L=listed)
    scaled = ScaledSheet(sheet=plan.sheet, views=tuple(plan.views), findings=(), left_out=())
    judged = judge(scaled, plan.dimensions)
    plan.dimensions = list(judged.dimensions)
    return finding(plan, "A101", findings=judged.findings)


def test_a_list_that_repeats_the_print_speaks_for_it():
    one = disagreeing("9/8")
    assert (one.severity, one.suggestion) == (Severity.WARNING, None)
    assert one.text.endswith("The parts list says 1 1/8 too.")


def test_a_list_that_gives_the_drawn_size_is_a_second_witness_against():
    one = disagreeing("11/8")
    assert (one.severity, one.suggestion) == (Severity.ERROR, "1 3/8")
    assert one.grade == "drawing+statement"
    assert "stands unless" not in one.text


def test_a_list_that_gives_neither_says_nothing():
    assert disagreeing("3").severity is Severity.WARNING


def test_a_thickness_in_the_list_says_nothing_of_a_hole():
    plan = PlanBuilder()
    view = plan.view("SPACER", count=2)
    number = plan.hole(view, "Ø 9/32", 1, 1, 0.125)
    plan.row("SPACER", 2, T="1/8", W="3/4", L="3/4")
    scaled = Scaled(value=0.126, expanded=0.01, unit=Unit.IN, nearest="1/8")
    plan.dimensions[number - 1] = replace(
        plan.dimensions[number - 1], scaled=scaled, verdict=Verdict.DISAGREES
    )
    told = say("A101", "9/32 is printed.", places=[], dimensions=[number])
    [heard] = [f for f in check_plan(plan.audit(findings=(told,))).findings if f.code == "A101"]
    assert heard.severity is Severity.WARNING


def test_the_hole_of_a_pin_is_the_one_of_a_part_that_suits_it():
    plan = rods(bore="Ø 9/32 BORE", size=9 / 32)
    plan.hole(1, "4X Ø 1/4", 1.5, 1, 0.25)
    assert "F101" not in codes(plan)


def test_clearance_is_told_in_tenths_of_a_millimetre_on_a_metric_plan():
    plan = PlanBuilder()
    wheel = plan.view("WHEEL", count=4)
    plan.hole(wheel, "Ø 6 mm", 1, 1, 0.25)
    axle = plan.view("AXLE", count=2)
    plan.hole(axle, "Ø 6 mm", 1, 1, 0.25, sweep=None)
    plan.say("WHEELS TURN FREELY ON THE AXLES.")
    assert "6.8 mm to 7.6 mm is usual" in finding(plan, "F101").text
