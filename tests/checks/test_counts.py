"""Counts: what a plan prints against what its notes need, hands apart; and how notes are read."""

from __future__ import annotations

from dataclasses import replace

import pytest

from audit.checks import check_plan
from audit.checks.counts import spare_count, spares_for
from audit.checks.parts import find_parts
from audit.checks.relations import Intent, is_assembly_note, read_joints, read_needs
from audit.records import Severity
from tests.checks.plans import PlanBuilder


def codes(plan, **more):
    return [f.code for f in check_plan(plan.audit(**more)).findings]


def finding(plan, code, **more):
    [one] = [f for f in check_plan(plan.audit(**more)).findings if f.code == code]
    return one


def cams(*, steps=8, note="ONE LIFT STEP STANDS ON EACH OF THE 8 CAMS."):
    plan = PlanBuilder()
    plan.view("LIFT STEP", count=steps)
    plan.view("CAM", count=8)
    plan.row("LIFT STEP", steps, T="1/4", W="2", L="3")
    plan.row("CAM", 8, T="1/4", W="7/4", L="7/4")
    plan.say(note)
    return plan


def test_fewer_steps_than_cams_is_an_error_with_the_number_needed():
    one = finding(cams(steps=6), "P103")
    assert (one.severity, one.suggestion) == (Severity.ERROR, "8")
    assert "the plan says 6" in one.text
    assert "1 for each of 8 × CAM" in one.text
    assert len(one.places) >= 3


@pytest.mark.parametrize(
    "note",
    [
        "ONE LIFT STEP STANDS ON EACH OF THE 8 CAMS.",
        "EACH CAM TAKES 1 LIFT STEP",
        "1 LIFT STEP PER CAM",
        "Every cam carries one lift step.",
    ],
)
def test_needs_are_read_however_they_are_worded(note):
    assert finding(cams(steps=6, note=note), "P103").suggestion == "8"
    assert "P103" not in codes(cams(steps=8, note=note))


def test_more_than_needed_may_be_spares():
    assert "P103" not in codes(cams(steps=10))


@pytest.mark.parametrize(
    "note",
    ["DRILL ONE HOLE IN EACH CAM.", "DO NOT GLUE ONE LIFT STEP TO EACH CAM.", "SAND EACH CAM."],
)
def test_notes_about_something_else_need_nothing(note):
    assert "P103" not in codes(cams(steps=6, note=note))


def test_list_and_drawing_that_ask_for_different_numbers_differ():
    plan = cams()
    plan.statements[0] = replace(plan.statements[0], count=6, text="MAKE 6")
    one = finding(plan, "P102")
    assert one.severity is Severity.ERROR
    assert one.suggestion == "8"
    assert "asks for 8 × LIFT STEP" in one.text


def test_two_drawings_of_one_part_may_share_the_number():
    """LH and RH drawn apart, two each, four in the list."""
    plan = PlanBuilder()
    plan.view("SIDE", count=2)
    plan.view("SIDE", count=2)
    plan.row("SIDE", 4, W="2", L="3")
    assert "P102" not in codes(plan)


def test_a_note_that_counts_otherwise_than_the_list_is_told():
    plan = cams(note="ONE LIFT STEP STANDS ON EACH OF THE 6 CAMS.")
    assert "speaks of 6 × CAM, the plan makes 8" in finding(plan, "P102").text


def test_spares_follow_the_binomial_distribution():
    """The least number for which scipy's binomial says 95 times in 100; by hand for one piece."""
    assert spares_for(1, spoiled=0.05) == 0
    assert spares_for(1, spoiled=0.2) == 1  # 1 - 0.2² = 0.96
    assert (spare_count(6), spare_count(100)) == (2, 10)
    with pytest.raises(ValueError, match="share"):
        spares_for(3, spoiled=1.0)


def test_spares_are_said_once_with_the_rule_first_and_the_reason_behind_it():
    plan = PlanBuilder()
    plan.row("CAM", 8, T="1/4", W="7/4", L="7/4")
    plan.row("PEG", 40, material="DOWEL", D="1/8", L="1/2")
    plan.row("BASE", 1, T="3/4", W="4", L="6")
    told = finding(plan, "P109")
    assert "2 for 8 × CAM and 4 for 40 × PEG (a tenth more, two at least)" in told.text
    assert "BASE" not in told.text
    assert "drifts" in told.text
    # scipy's binomial, by hand: 0.95^8 + 8 × .05 × .95^8 … of 10 pieces 8 good in 98.8 of 100
    assert "2 spares leave 8 good ones at least 95 times in 100" in told.rests_on[0]


@pytest.mark.parametrize(
    ("note", "need"),
    [
        ("CAMS NEED ONE PIN EACH.", ("PIN", 1, "CAM")),
        ("EACH AXLE CARRIES A WHEEL AT EACH END.", ("WHEEL", 2, "AXLE")),
        ("EVERY SHELF RESTS ON 4 PEGS.", ("PEG", 4, "SHELF")),
        ("PINS: 1 EA. CAM", ("PIN", 1, "CAM")),
        ("2 PINS EACH CAM", ("PIN", 2, "CAM")),
        ("EACH OF THE 8 CAMS RECEIVES TWO PINS", ("PIN", 2, "CAM")),
        ("FIT EACH CAM WITH 2 PINS", ("PIN", 2, "CAM")),
    ],
)
def test_needs_are_read_in_the_words_of_a_shop(note, need):
    names = ["CAM", "PIN", "PEG", "WHEEL", "AXLE", "SHELF"]
    assert [(n.part, n.count, n.of) for n in read_needs(note, names)] == [need]


@pytest.mark.parametrize(
    "text", ["1/4 DIA EACH SIDE", "R 1/4 EACH END", "TAPER 1/2 IN/FT", "SIDE 2"]
)
def test_sizes_on_each_side_are_no_needs(text):
    assert not is_assembly_note(text)


@pytest.mark.parametrize(
    ("note", "intent"),
    [
        ("WHEELS ARE FREE ON THE AXLE", Intent.TURNS),
        ("WHEEL IS A RUNNING FIT ON THE AXLE", Intent.TURNS),
        ("SCREW PIN INTO CAM", Intent.THREADS),
    ],
)
def test_intents_are_read_in_the_words_of_a_shop(note, intent):
    [joint] = read_joints(note, ["CAM", "PIN", "WHEEL", "AXLE"])
    assert joint.intent is intent


def test_a_count_in_a_title_is_no_part_of_the_name():
    plan = PlanBuilder()
    plan.view("LIFT STEP   MAKE 4")
    plan.view("FRONT VIEW")
    assert [p.name for p in find_parts(plan.audit())] == ["LIFT STEP"]


def test_a_printed_rule_is_no_part_but_a_ruler_to_make_is():
    plan = PlanBuilder()
    for title in ("CHECK RULE 4 IN", "GRAPHIC SCALE 1/4", "RULER", "RULE HOLDER"):
        plan.view(title)
    assert [p.name for p in find_parts(plan.audit())] == ["RULER", "RULE HOLDER"]


def test_a_longer_name_without_a_list_is_another_part():
    plan = PlanBuilder()
    for title in ("CAM", "CAM ROD", "CAM SECTION", "CAM - SIDE VIEW"):
        plan.size(plan.view(title), "1", 0, 1)
    parts = {p.name: [d.id for d in p.dimensions] for p in find_parts(plan.audit())}
    assert parts == {"CAM": [1, 3, 4], "CAM ROD": [2]}


def test_a_row_that_repeats_the_material_keeps_what_its_own_sizes_are():
    """A row whose signs were not read has no columns: those of the row above are not its own."""
    plan = PlanBuilder()
    for name, size in (("RAIL", "16"), ("STILE", "9")):
        plan.size(plan.view(name), size, 0, int(size))
    plan.row("RAIL", 2, T="3/4", W="5/2", L="16", material="OAK")
    plan.row("STILE", 2, L="9", material='"')
    row = plan.statements[-1]
    plan.statements[-1] = replace(row, form=replace(row.form, columns=()))
    stile = find_parts(plan.audit())[1]
    assert (stile.rows[0].form.columns, stile.rows[0].form.material) == ((), "OAK")
    check_plan(plan.audit())


# ---- pins and holes ----------------------------------------------------------------------------


def rack(
    pegs, *, holes="5X Ø 1/2", rails=1, note="PEGS ARE GLUED INTO THE RAIL.", more=None, axles=0
):
    """A rail with holes for pegs, and perhaps axles as thick."""
    plan = PlanBuilder()
    view = plan.view("RAIL")
    plan.hole(view, holes, 1, 1, 0.5)
    if more:
        plan.hole(view, more, 3, 1, 0.5)
    plan.row("RAIL", rails, T="3/4", W="5/2", L="16")
    plan.row("PEG", pegs, material="DOWEL", D="1/2", L="7/2")
    if axles:
        plan.row("AXLE", axles, material="DOWEL", D="1/2", L="9")
    if note:
        plan.say(note)
    return plan


def test_fewer_pegs_than_holes_they_are_glued_into_is_a_warning():
    one = finding(rack(8, rails=2), "P111")
    assert one.severity is Severity.WARNING
    assert "makes 8 × PEG, but has 10 holes for it: 5 × Ø 1/2 in, in each of 2 × RAIL" in one.text
    assert one.dimensions == (1,)


@pytest.mark.parametrize(
    "plan",
    [
        rack(5),
        rack(10, rails=2),
        rack(5, rails=2),
        rack(1),
        rack(3, more="3X Ø 1/2"),
        rack(8, more="3X Ø 1/2"),
        rack(4, holes="Ø 1/2 TYP"),
        rack(4, holes="5X Ø 3/4"),
        rack(4, note="EACH RAIL TAKES 4 PEGS."),
        rack(4, axles=1),
    ],
    ids=[
        "one each",
        "one each of two",
        "each through both",
        "one through all",
        "other holes are for something else",
        "both callouts",
        "how many is not said",
        "holes of another size",
        "the note says how many",
        "an axle goes into the fifth",
    ],
)
def test_number_of_pegs_that_the_holes_explain_is_no_finding(plan):
    assert "P111" not in codes(plan)


def test_another_round_part_that_does_not_make_up_the_number_explains_nothing():
    assert "3 × PEG" in finding(rack(3, axles=1), "P111").text


@pytest.mark.parametrize("note", ["", "PEGS SLIDE IN THE RAIL."])
def test_number_of_pegs_that_no_note_ties_to_the_holes_is_a_note(note):
    one = finding(rack(4, note=note), "P111")
    assert one.severity is Severity.NOTE
    assert "Spares" in one.text


def test_more_pegs_than_holes_are_a_warning_only_where_each_hole_gets_one():
    assert finding(rack(7), "P111").severity is Severity.NOTE
    each = rack(7, note="ONE PEG IS GLUED INTO EACH HOLE OF THE RAIL.")
    assert finding(each, "P111").severity is Severity.WARNING


def test_holes_of_another_part_do_not_stand_for_those_that_a_note_names():
    plan = rack(4, note="GLUE PEGS IN RAIL, ONE IN EACH HOLE.")
    plan.hole(plan.view("WHEEL"), "Ø 17/32", 1, 1, 17 / 32)
    plan.row("WHEEL", 4, T="1/2", W="2", L="2")
    assert "makes 4 × PEG, but has 5 holes" in finding(plan, "P111").text
