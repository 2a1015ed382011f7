"""Screws, circles, printed fits, cutters and hands, as a plan prints them."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction

import pytest

from audit.checks import check_plan
from audit.checks.circles import chord_between, most_around
from audit.checks.hands import Hands, read_hands
from audit.checks.screws import find_fastener
from audit.checks.tables import drill_diameter, read_table
from audit.lengths import Length, Unit, parse_callouts
from audit.lengths.tables import screw_sizes
from audit.records import Decision, DimensionKind, Scaled, Settings, Severity, StatementKind
from audit.scale import printed_size
from tests.checks.plans import PlanBuilder, inches


def findings(plan, code, **more):
    return [f for f in check_plan(plan.audit(**more)).findings if f.code == code]


def hole_plan(text, size):
    plan = PlanBuilder()
    plan.hole(plan.view("PLATE"), text, 1, 1, size)
    return plan


@pytest.mark.parametrize(
    ("text", "compared"),
    [
        ("6 HOLES 1/2 DIA EQ SP", True),
        ("6 HOLES EQ SP ON 3 B.C.", False),
        ("6 HOLES EQUALLY SPACED ON A 3 DIA CIRCLE", False),
    ],
)
def test_the_circle_that_holes_are_spaced_on_is_not_compared_with_one_of_them(text, compared):
    plan = hole_plan(text, 0.5)
    assert (printed_size(plan.dimensions[0], Settings()) is not None) == compared


# ---- screws ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        "11/64 DRILL FOR #8 WOOD SCREW",
        "3/32 PILOT FOR #8 SCREW",
        "7/64 DRILL FOR #8 WOOD SCREW",
        "9/32 DRILL FOR 1/4 BOLT",
        "DRILL 9/32 FOR 1/4-20",
        "1/4 DRILL",
        "DRILL 1/4 FOR AXLE",
    ],
)
def test_holes_that_suit_their_screw_are_no_finding(text):
    assert not findings(hole_plan(text, 0.2), "F107")


@pytest.mark.parametrize(
    ("text", "says", "severity"),
    [
        ("5/32 DRILL FOR #8 WOOD SCREW", "too small to let the shank through", Severity.NOTE),
        ("3/16 PILOT FOR #8 SCREW", "nothing holds", Severity.WARNING),
        ("1/8 CLEAR FOR #8 SCREW", "does not go through", Severity.WARNING),
        ("1/4 DRILL FOR 1/4 BOLT", "does not let it through", Severity.NOTE),
        ("7/32 DRILL FOR 1/4 BOLT", "does not let it through", Severity.NOTE),
    ],
)
def test_a_hole_that_does_not_suit_its_screw_is_told(text, says, severity):
    [one] = findings(hole_plan(text, 0.2), "F107")
    assert says in one.text
    assert one.severity is severity


def test_what_is_usual_names_its_table():
    [one] = findings(hole_plan("7/32 DRILL FOR 1/4 BOLT", 0.2), "F107")
    assert "9/32 (0.2812 in) is usual (ASME B18.2.8, normal fit)" in one.text


def test_shanks_of_wood_screws_go_through_and_pilots_hold():
    """Screws by GNU units' screwgauge; 7/64 for #4 is .003 in less than the screw."""
    for number, (shank, least, most) in read_table("wood screws").items():
        major = screw_sizes("wood screws")[number.removeprefix("#")].value
        assert abs(Fraction(shank) - major) <= Fraction(1, 64)
        # thread roots are about two thirds of the screw (l-36.com's table: .64 to .69)
        assert Fraction(2, 5) * major < Fraction(least) < Fraction(most) < Fraction(4, 5) * major


def test_clearance_holes_are_larger_than_their_screws():
    """ASME B18.2.8 normal and ISO 273 medium: never tighter than the screw."""
    for name, (drill,) in read_table("clearance holes").items():
        number = name.startswith("#")
        major = screw_sizes("numbered screws")[name[1:]].value if number else Fraction(name)
        assert 0 < drill_diameter(drill).value - major <= Fraction(1, 14)
    for name, (hole,) in read_table("metric clearance holes").items():
        assert Fraction(1, 20) < Fraction(hole) / Fraction(name[1:]) - 1 < Fraction(1, 4)


def test_tap_drills_leave_about_three_quarters_and_half_of_the_thread():
    """Percent by the rule of Machinery's Handbook; names by bd-warehouse's two columns."""
    for name, (soft, hard) in read_table("tap drills").items():
        size, pitch = name.split("-")
        major = screw_sizes("numbered screws")[size[1:]] if size[0] == "#" else inches(size)
        percent = [76.98 * float(pitch) * float(major - drill_diameter(d)) for d in (soft, hard)]
        assert 68 < percent[0] < 83
        assert 44 < percent[1] < 66


@pytest.mark.parametrize(
    ("text", "name", "wood"),
    [
        ("5/32 DRILL FOR #8 SCREW", "#8", None),
        ("5/32 DRILL FOR NO. 8 WOOD SCREW", "#8", True),
        ("DRILL 9/32 FOR 1/4 BOLT", "1/4", False),
        ("DRILL 9/32 FOR 1/4-20", "1/4", False),
    ],
)
def test_the_screw_of_a_hole_is_read(text, name, wood):
    found = find_fastener(parse_callouts(text, unit=Unit.IN)[0])
    assert (found.name, found.wood) == (name, wood)


# ---- circles -----------------------------------------------------------------------------------


def test_chord_of_a_bolt_circle_is_the_diameter_times_the_sine():
    """8 on 2 in: 0.765 366 9 in, as numpy's roots of unity are apart."""
    import numpy as np

    roots = np.exp(2j * math.pi * np.arange(8) / 8)
    assert math.isclose(chord_between(8, inches(2)), float(abs(roots[1] - roots[0])))


@pytest.mark.parametrize(("size", "circle", "most"), [("3/8", 1, 8), (1, 1, 2), ("1/2", 1, 6)])
def test_most_round_features_beside_each_other(size, circle, most):
    """Six equal circles touch round a seventh: 1/2 on a circle of 1 (Euclid IV.15)."""
    assert most_around(inches(size), inches(circle)) == most


@pytest.mark.parametrize(
    ("text", "says", "severity"),
    [
        ("8X Ø 1/4 EQ SP ON Ø 3 B.C.", None, None),
        ("13X Ø 1/4 EQ SP ON Ø 1 B.C.", "do not go round", Severity.WARNING),
        ("8X Ø 3/8 EQ SP ON Ø 1 B.C.", "is left", Severity.NOTE),
    ],
)
def test_holes_on_a_printed_bolt_circle(text, says, severity):
    told = findings(hole_plan(text, 0.25), "F108")
    assert [f.severity for f in told] == ([severity] if says else [])
    assert all(says in f.text for f in told)


def scalloped(count, circle="1", *, agreeing=True):
    """A wheel with round notches on its rim, the middle of one drawn on the circle."""
    plan = PlanBuilder()
    view = plan.view("WHEEL", count=1)
    plan.hole(view, f"Ø {circle}", 2, 2, float(Fraction(circle)))
    at = 2 + float(Fraction(circle)) / 2
    notch = plan.hole(view, f"{count}X R 3/16", at, 2, 0.375, kind=DimensionKind.RADIUS, sweep=170)
    scaled = Scaled(value=0.1875, expanded=0.001, unit=Unit.IN, nearest="3/16")
    plan.dimensions[notch - 1] = replace(
        plan.dimensions[notch - 1], scaled=scaled if agreeing else None
    )
    return plan


def test_ten_notches_of_3_16_do_not_go_round_an_inch_and_the_finding_rests_on_the_drawing():
    [one] = findings(scalloped(10), "F108")
    assert "10 × R 3/16 in of WHEEL do not go round a circle of 1 in" in one.text
    assert "8 at most" in one.text
    assert one.severity is Severity.NOTE
    assert "where the drawing shows the middle of one" in one.rests_on


def test_ten_notches_of_3_16_go_round_two_inches():
    assert not findings(scalloped(10, "2"), "F108")


def test_without_a_drawn_place_nothing_is_said():
    assert not findings(scalloped(10, agreeing=False), "F108")


# ---- printed fits ------------------------------------------------------------------------------


def metric_hole(text):
    plan = PlanBuilder()
    plan.hole(plan.view("PLATE"), "Ø 1", 1, 1, 1)
    reading = plan.dimensions[0].reading
    callout = parse_callouts(text, unit=Unit.MM)[0]
    plan.dimensions[0] = replace(
        plan.dimensions[0], reading=replace(reading, text=text, callout=callout)
    )
    return plan


@pytest.mark.parametrize(
    ("text", "told"),
    [("Ø25 H7 +0.021/0", 0), ("Ø25 H7 +0.033/0", 1), ("Ø25 H7", 0), ("Ø25 +0.033/0", 0)],
)
def test_limits_beside_a_fit_must_be_its_own(text, told):
    assert len(findings(metric_hole(text), "F109")) == told


def test_a_fit_with_interference_cannot_turn():
    plan = PlanBuilder()
    plan.hole(plan.view("WHEEL", count=4), "Ø 1", 1, 1, 1)
    reading = plan.dimensions[0].reading
    for text, wrong in (("Ø25 H7/p6", True), ("Ø25 H7/g6", False)):
        callout = parse_callouts(text, unit=Unit.MM)[0]
        plan.dimensions[0] = replace(
            plan.dimensions[0], reading=replace(reading, text=text, callout=callout)
        )
        plan.statements = []
        plan.row("WHEEL", 4, T="1/2", W="4", L="4")
        plan.row("AXLE", 1, material="ROD", D=Fraction(2493, 2540), L="4")
        plan.say("WHEELS TURN FREELY ON THE AXLE.")
        told = findings(plan, "F101")
        assert bool(told) is wrong
        assert all("larger than the hole" in f.text for f in told)


# ---- cutters -----------------------------------------------------------------------------------


def test_an_inside_corner_needs_a_cutter_of_twice_its_radius():
    plan = PlanBuilder()
    view = plan.view("TRAY", count=1)
    plan.hole(view, "R 1/8", 1, 1, 0.25, kind=DimensionKind.RADIUS, sweep=90)
    plan.hole(view, "R 1/4", 2, 1, 0.5, kind=DimensionKind.RADIUS, sweep=90)
    plan.say("ROUT POCKETS WITH 1/2 BIT.")
    [one] = findings(plan, "F110")
    assert "R 1/8 in" in one.text
    assert "R 1/4 in at least" in one.text
    assert one.severity is Severity.NOTE
    assert one.dimensions == (1,)


@pytest.mark.parametrize(
    "note", ["SAND SMOOTH.", "ROUT POCKETS WITH 1/4 BIT.", "A 1/2 BIT OF GLUE"]
)
def test_no_cutter_or_a_small_one_asks_nothing(note):
    plan = PlanBuilder()
    plan.hole(plan.view("TRAY"), "R 1/8", 1, 1, 0.25, kind=DimensionKind.RADIUS, sweep=90)
    plan.say(note)
    assert not findings(plan, "F110")


# ---- hands -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "hands"),
    [
        ("MAKE 1 LH, 1 RH", Hands(first=1, second=1)),
        ("2 L.H. 2 R.H.", Hands(first=2, second=2)),
        ("MAKE ONE LEFT HAND, ONE RIGHT HAND", Hands(first=1, second=1)),
        ("ONE AS SHOWN, ONE OPPOSITE HAND", Hands(first=1, second=1)),
        ("2 REQ'D - LH & RH", Hands()),
        ("LH SHOWN, RH OPPOSITE", Hands()),
        ("MAKE 2 AND OPPOSITE", Hands()),
        ("#8 X 1 R.H. SCREW", None),
        ("MAKE 2", None),
        ("SIDE LH", None),
    ],
)
def test_hands_are_read_however_they_are_worded(text, hands):
    assert read_hands(text) == hands


def handed(count_text, listed):
    plan = PlanBuilder()
    view = plan.view("SIDE")
    plan.say(count_text, box=plan.views[view - 1].box.grown(10))
    plan.row("SIDE", listed, T="1/4", W="3", L="4")
    return plan


def test_hands_and_counts_that_agree_are_no_finding():
    assert not findings(handed("MAKE 4 (2 LH, 2 RH)", 4), "P108")


def test_hands_that_do_not_add_up_to_the_count_are_told():
    [one] = findings(handed("MAKE 4 (1 LH, 2 RH)", 4), "P108")
    assert "asks for 1 and 2 of the two hands, 3 in all, but the plan says 4" in one.text
    assert one.suggestion == "3"


def test_hands_in_a_line_of_their_own_under_the_drawing_are_of_that_part():
    plan = PlanBuilder()
    view = plan.view("SIDE", count=3)
    plan.say("SEE DRAWING", box=plan.views[view - 1].box.grown(12))
    plan.statements[-1] = replace(
        plan.statements[-1], kind=StatementKind.NOTE, text="1 AS SHOWN, 1 OPPOSITE HAND"
    )
    [one] = findings(plan, "P108")
    assert "2 in all, but the plan says 3" in one.text


def test_an_odd_number_of_both_hands_is_a_question():
    [one] = findings(handed("MAKE 3 AND OPPOSITE", 3), "P108")
    assert one.severity is Severity.NOTE


def test_left_and_right_listed_in_different_numbers():
    plan = PlanBuilder()
    plan.row("SIDE, LH", 2, T="1/4", W="3", L="4")
    plan.row("SIDE, RH", 1, T="1/4", W="3", L="4")
    [one] = findings(plan, "P108")
    assert "2 times" in one.text
    plan.statements.pop()
    plan.row("SIDE, RH", 2, T="1/4", W="3", L="4")
    assert not findings(plan, "P108")


# ---- decisions ---------------------------------------------------------------------------------


def wheel_plan():
    plan = PlanBuilder()
    plan.hole(plan.view("WHEEL", count=4), "Ø 9/32", 1, 1, 0.28)
    plan.row("WHEEL", 4, T="1/4", W="2", L="2")
    plan.row("AXLE", 2, material="DOWEL", D="1/4", L="4")
    plan.say("WHEELS TURN FREELY ON THE AXLE.")
    return plan


def test_a_decision_that_takes_the_clearance_is_told_at_once():
    plan = wheel_plan()
    assert not findings(plan, "F101")
    tight = Decision(dimension=1, value=inches("1/4"))
    [one] = findings(plan, "F111", decisions=(tight,))
    assert one.text.startswith("With what was decided for “Ø 9/32”: The 1/4 in hole of WHEEL")
    assert one.severity is Severity.WARNING


def test_a_decision_that_keeps_the_fit_says_nothing():
    kept = Decision(dimension=1, value=inches("5/16"))
    assert not findings(wheel_plan(), "F111", decisions=(kept,))


def test_a_mating_part_threaded_into_a_hole_of_its_size_does_not_hold():
    plan = wheel_plan()
    plan.statements.pop()
    plan.say("AXLE THREADS INTO WHEELS.")
    [one] = findings(plan, "F101")
    assert "nothing holds" in one.text


def test_drill_names_are_those_of_the_tables():
    assert drill_diameter("#25") == Length(Fraction(1495, 10000), Unit.IN)
    assert drill_diameter("F") == inches("257/1000")


def test_a_clearance_that_general_tolerances_use_up_is_a_note():
    plan = wheel_plan()
    assert not findings(plan, "F101")
    plan.say("GENERAL TOLERANCES ISO 2768-c")  # ± 0.5 mm at these sizes; the clearance is 0.79 mm
    [one] = findings(plan, "F101")
    assert one.severity is Severity.NOTE
    assert "both may be off by 1 mm together (ISO 2768-1, class c)" in one.text
    plan.statements.pop()
    plan.say("GENERAL TOLERANCES ISO 2768-m")
    assert not findings(plan, "F101")


def unlisted(axle_name="AXLE", *turned):
    plan = PlanBuilder()
    plan.hole(plan.view("WHEEL", count=4), "Ø 1/4", 1, 1, 0.25)
    rod = plan.view(axle_name, count=2)
    for k, text in enumerate(turned):
        plan.hole(rod, text, 1 + k, 1, 0.25, sweep=None)
    plan.say(f"WHEELS TURN FREELY ON THE {axle_name}.")
    return plan


def test_without_a_parts_list_a_rod_is_known_by_its_name_and_its_printed_diameter():
    assert len(findings(unlisted("AXLE", "Ø 1/4"), "F101")) == 1
    assert len(findings(unlisted("CAM ROD", "Ø 1/4", "Ø 1/8 THRU"), "F101")) == 1
    assert not findings(unlisted("CONNECTING ROD", "Ø 1/4"), "F101")


def test_a_rod_turned_down_where_it_runs_is_judged_by_that_end():
    """3/8, turned to 1/4 for a hole of 9/32: nearer to it than the rod's own size."""
    plan = unlisted("AXLE", "Ø 3/8", "Ø 1/4")
    wheel = plan.dimensions[0].reading
    hole = replace(wheel, callout=parse_callouts("Ø 9/32", unit=Unit.IN)[0], text="Ø 9/32")
    plan.dimensions[0] = replace(plan.dimensions[0], reading=hole)
    assert not findings(plan, "F101")
    plan.dimensions.pop()  # without the turned end the rod does not go in
    assert len(findings(plan, "F101")) == 1
