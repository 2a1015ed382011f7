"""A plan against itself: parts list, counts, fits, missing sizes, links, decisions."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from audit.checks import check_plan
from audit.checks.candidates import Gap, list_candidates
from audit.checks.missing import _tell_floating
from audit.checks.parts import find_parts
from audit.checks.same_as import propose_links
from audit.checks.stations import Leg, StationLine
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
from tests.checks.plans import PlanBuilder, inches


def codes(plan, **more):
    return [f.code for f in check_plan(plan.audit(**more)).findings]


def finding(plan, code, **more):
    [one] = [f for f in check_plan(plan.audit(**more)).findings if f.code == code]
    return one


def base_plan(*, length="6 1/2", listed="13/2", others=3):
    """A base, drawn 6 1/2 × 3 3/4, and other parts whose rows all fit."""
    plan = PlanBuilder()
    for k in range(others):
        name = f"PANEL {chr(65 + k)}{chr(65 + k)}"
        view = plan.view(name, count=2)
        plan.size(view, f"{k + 2}", 0, k + 2)
        plan.size(view, "1 1/2", 0, 1.5, down=True)
        plan.row(name, 2, T="1/4", W="3/2", L=f"{k + 2}")
    view = plan.view("BASE", count=1)
    plan.size(view, length, 0, 4.5)
    plan.size(view, "3 3/4", 0, 3.75, down=True)
    plan.row("BASE", 1, T="3/4", W="15/4", L=listed)
    return plan


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


# ---- missing -------------------------------------------------------------------------------------


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


def test_a_part_taken_out_of_the_general_note_has_none():
    plan = plates("ALL PARTS 1/4 THICK UNLESS NOTED.", "SIDE PLATES ARE OF THICKER STOCK.")
    assert "takes it out of the general note" in finding(plan, "M102").text
    assert "M101" not in codes(plan)


@pytest.mark.parametrize("where", ["callout", "other view", "stock note", "untitled view", "dowel"])
def test_a_thickness_given_elsewhere_is_not_missing(where):
    plan = plates()
    if where == "callout":
        plan.size(1, "3/8 THK", 0, 0.375, y=40)
    elif where == "other view":
        plan.view("SIDE PLATE SECTION")
    elif where == "stock note":
        plan.stock("3/8 THICK", "3/8", near=1)
    elif where == "untitled view":
        plan.view("")
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
