"""Hole and pin of one sentence."""

from __future__ import annotations

from fractions import Fraction

import pytest

from audit.checks import check_plan
from audit.checks.said_fits import read_fits
from audit.lengths import Unit
from tests.checks.plans import PlanBuilder


def told(plan, code):
    return [f for f in check_plan(plan.audit()).findings if f.code == code]


def note_plan(text):
    plan = PlanBuilder()
    plan.view("PLATE")
    plan.say(text)
    return plan


def hole_plan(text, size):
    plan = PlanBuilder()
    plan.hole(plan.view("PLATE"), text, 1, 1, size)
    return plan


@pytest.mark.parametrize(
    ("text", "pin", "hole"),
    [
        ("1/2 PEG THRU EACH 3/8 HOLE", "1/2", "3/8"),
        ("DRILL 1/4 HOLES FOR 3/8 BIRCH DOWELS", "3/8", "1/4"),
        ('3/8" DIA. DOWEL IN 5/16" DIA. HOLE', "3/8", "5/16"),
        ("2 - 1/4 DOWELS IN 1/4 HOLES", "1/4", "1/4"),
        ("6 MM PEG THRU EACH 8 MM HOLE", "6", "8"),
        ("1 1/4 DOWEL THRU 1 3/8 HOLE", "5/4", "11/8"),
        ("4 1/2 PEGS INTO 9/16 HOLES", "1/2", "9/16"),
        ("1/2 PEG IN 4 10 MM HOLES", "1/2", "10"),
        ("8.5 PIN IN 8 MM HOLE", "8.5", "8"),
    ],
)
def test_both_sizes_of_a_sentence_are_read(text, pin, hole):
    [fit] = read_fits(text, unit=Unit.IN)
    assert (fit.pin.value, fit.hole.value) == (Fraction(pin), Fraction(hole))


@pytest.mark.parametrize(
    "text",
    ["4 PEGS IN 6 HOLES", "1/4 PILOT HOLE FOR 3/8 ROD", "3/8 HOLE FOR 1/2 BOLT",
     "1/2 DOWEL, END TURNED TO FIT 3/8 HOLE", "3/8 HOLE FOR 5/8 MARBLE",
     "1/2 DOWEL IN 3/8 HOLE, REDUCE END TO SUIT", "1/2 PEG IN 3/8 HOLE: TAPER IT",
     "1/0 PEGS IN 3/8 HOLES", "3/8 PEG IN 1 1/0 HOLE",
     "WHITTLE 1/2 PEGS INTO 3/8 HOLES", "1/2 ROD IN 3/8 HOLE, TURN DOWN TO FIT"],
)  # fmt: skip
def test_counts_pilots_bolts_seats_and_what_is_no_size_are_no_fit(text):
    assert read_fits(text, unit=Unit.IN) == ()


def test_a_peg_too_thick_for_its_hole_is_told_from_the_sentence_alone():
    [one] = told(note_plan("1/2 PEG THRU EACH 3/8 HOLE"), "F101")
    assert "1/8 in too thick" in one.text


@pytest.mark.parametrize(
    "text", ["1 1/4 DOWEL THRU 1 3/8 HOLE", "4 1/2 PEGS INTO 9/16 HOLES", "1/2 PEG IN 2 3/8 HOLES"]
)
def test_whole_numbers_before_fractions_make_no_pin_too_thick(text):
    assert not told(note_plan(text), "F101")


@pytest.mark.parametrize(
    ("text", "many"), [("8.5 PIN IN 8 MM HOLE", 0), ("9 MM PIN IN 8.0 HOLE", 1)]
)
def test_a_bare_size_beside_one_in_millimetres_is_in_millimetres(text, many):
    assert len(told(note_plan(text), "F101")) == many


def test_bare_sizes_are_in_the_unit_of_the_plan():
    plan = note_plan("8.5 PIN IN 8.4 HOLE")
    plan.hole(1, "Ø12 MM", 1, 1, 12 / 25.4)
    assert not told(plan, "F101")


def test_a_peg_that_is_told_by_its_drawing_is_not_told_by_its_sentence_again():
    plan = PlanBuilder()
    plan.hole(plan.view("DECK"), "3/8 HOLE", 1, 1, 0.375)
    plan.hole(plan.view("PEG"), "1/2 DIA", 1, 1, 0.5)
    plan.say("GLUE 1/2 PEG IN 3/8 HOLE OF DECK")
    [one] = told(plan, "F101")
    assert "DECK" in one.text


def test_a_peg_of_its_holes_size_is_no_finding():
    assert not told(note_plan("3/8 PEG THRU EACH 3/8 HOLE"), "F101")


def test_a_hole_for_a_dowel_is_judged_by_the_dowel_and_not_as_a_bolts():
    assert not told(hole_plan("3/8 HOLE FOR 3/8 DOWEL", 0.375), "F107")
    [one] = told(hole_plan("3/8 HOLE FOR 1/2 DOWEL", 0.375), "F101")
    assert one.dimensions
