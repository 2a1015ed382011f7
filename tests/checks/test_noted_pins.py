"""Pins that only a note sizes are held against the holes they go into."""

from __future__ import annotations

import pytest

from audit.checks import check_plan
from tests.checks.plans import PlanBuilder


def told(*notes, hole="Ø 1/4", size=0.25, row=None):
    """The findings of fits of a fence with one hole, by what the notes say."""
    plan = PlanBuilder()
    plan.hole(plan.view("FENCE", count=1), hole, 1, 1, size)
    if row:
        plan.row("STOP PIN", 1, material="DOWEL", D=row, L="2")
    for note in notes:
        plan.say(note)
    return [f.text for f in check_plan(plan.audit()).findings if f.code == "F101"]


GLUE = "GLUE STOP PIN IN FENCE."


@pytest.mark.parametrize(
    "notes",
    [
        ("STOP PIN IS Ø 5/16 DOWEL.", GLUE),
        ("STOP PIN IS 5/16 DIA.", GLUE),
        ("STOP PIN IS A 5/16 DOWEL, LOOSE IN FENCE.",),
        ("STOP PINS ARE 5/16 DOWEL, PRESSED INTO FENCE.",),
    ],
)
def test_a_pin_too_thick_for_its_hole_is_told_though_only_a_note_sizes_it(notes):
    [text] = told(*notes)
    assert "1/4 in hole of FENCE" in text
    assert "5/16 in STOP PIN" in text
    assert "1/16 in too thick" in text


@pytest.mark.parametrize(
    "notes",
    [
        ("STOP PIN IS Ø 1/4 DOWEL.", GLUE),
        ("STOP PIN IS Ø 5/16 DOWEL.",),  # nothing says what it goes into
        ("STOP PIN IS 5/16 LONG.", GLUE),
        ("STOP PIN IS Ø 1/0 DOWEL.", GLUE),  # a misread 5/16 or 1/8
        ("STOP PIN IS Ø 1/4 DOWEL.", "STOP PIN IS Ø 5/16 DOWEL.", GLUE),
    ],
)
def test_a_pin_that_fits_or_whose_size_or_hole_is_open_is_no_finding(notes):
    assert told(*notes) == []


@pytest.mark.parametrize(
    ("size", "hole"),
    [("Ø10.5", "Ø9 MM"), ("10.5 MM DIA", "Ø9 MM"), ("10.5 MM DIA", '.354"')],
)
def test_a_size_is_in_its_own_unit_and_a_bare_one_in_that_of_the_plan(size, hole):
    [text] = told(f"STOP PIN IS {size}.", GLUE, hole=hole, size=9 / 25.4)
    assert "too thick" in text


def test_another_peg_and_hole_of_the_same_note_are_told_as_well():
    one, other = told("STOP PIN IS 5/16 DIA, PRESSED INTO FENCE. 1/2 PEGS IN 3/8 HOLES.")
    assert "STOP PIN" in one
    assert "The 1/2 in pegs do not go into the 3/8 in hole that they are for: they are" in other


def test_the_parts_list_goes_before_a_note():
    assert told("STOP PIN IS Ø 5/16 DOWEL.", GLUE, row="1/4") == []
