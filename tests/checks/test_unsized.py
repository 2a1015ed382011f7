"""Parts whose drawing gives sizes one way only."""

from __future__ import annotations

from dataclasses import replace

import pytest

from audit.geometry import Box
from audit.records import DimensionKind, Severity, SheetText, TextState, Verdict, ViewKind
from tests.checks.plans import PlanBuilder, codes, finding


def front(*, listed="T", title="DRAWER FRONT", kind=ViewKind.TRUE, count=1):
    """A drawer front with a width and the place of a hole, and no height."""
    plan = PlanBuilder()
    view = plan.view(title, kind=kind, count=count)
    plan.size(view, "4", 0, 4)
    plan.size(view, "2", 0, 2, y=30)
    plan.hole(view, "Ø 1/2", 2, 1, 0.5)
    columns = {"T": "3/4", "W": "3", "L": "4"}
    if listed:
        plan.row(title, 1, **{c: columns[c] for c in listed})
    return plan


def lacks(plan, **more):
    return "M102" in codes(plan, **more)


def test_part_without_any_height_is_told_with_its_drawing_and_its_row():
    one = finding(front(listed="TL"), "M102")
    assert one.severity is Severity.WARNING
    assert one.text.startswith("No height is given for DRAWER FRONT")
    assert len(one.places) == 2


def test_part_without_any_width_is_told_so():
    plan = PlanBuilder()
    view = plan.view("POST", count=4)
    plan.size(view, "4", 0, 4, down=True)
    assert finding(plan, "M102").text.startswith("No width is given for POST")


def test_part_that_only_its_title_names_is_a_note():
    assert finding(front(listed="", count=None), "M102").severity is Severity.NOTE


def with_size(text="3", **more):
    plan = front()
    plan.size(1, text, 0, 3, down=True, **more)
    return plan


def with_hole(diameter, **more):
    plan = front()
    plan.hole(1, f"Ø {diameter}", 2, 1, diameter, **more)
    return plan


def with_view(title, **way):
    """Another drawing, level with the first."""
    plan = front()
    plan.size(plan.view(title), "3", 0, 3, **way)
    return plan


def with_note(text):
    plan = front()
    plan.say(text)
    return plan


def with_square():
    plan = front()
    plan.size(1, "4 SQ", 0, 4, y=60)
    return plan


def wheel():
    """A wheel with its diameter across and no sign; the list gives how thick it is."""
    plan = PlanBuilder()
    plan.size(plan.view("WHEEL", count=4), "3", 0, 3)
    plan.row("WHEEL", 4, D="3", T="3/4")
    return plan


def dowel():
    plan = PlanBuilder()
    plan.size(plan.view("DOWEL", count=4), "4", 0, 4)
    return plan


@pytest.mark.parametrize(
    "plan",
    [
        with_size(),
        with_view("DRAWER FRONT, END VIEW", down=True),
        with_view("", down=True),
        front(listed="TWL"),
        front(listed="W"),
        with_note("DRAWER FRONT IS 3 HIGH."),
        with_square(),
        with_hole(3),
        with_hole(1.5, kind=DimensionKind.RADIUS, sweep=180.0),
        front(kind=ViewKind.PICTORIAL),
        front(kind=ViewKind.SECTION),
        dowel(),
        wheel(),
        front(title="LEFT SIDE", listed="", count=None),
    ],
    ids=[
        "printed",
        "in another view of the part",
        "in a view in line without a title",
        "in the list",
        "in a list of widths",
        "in a note",
        "square",
        "round outline",
        "round end",
        "pictorial",
        "section",
        "round stock",
        "a disk by the list",
        "a title that names no part",
    ],
)
def test_part_whose_height_something_may_give_is_not_told(plan):
    assert not lacks(plan)


@pytest.mark.parametrize(
    "plan",
    [
        with_view("DRAWER SIDE", down=True),
        with_view("", y=0.0),
        with_hole(0.25),
        with_hole(0.25, kind=DimensionKind.RADIUS, sweep=90.0),
        with_note("SAND ALL PARTS WITH 120 PAPER."),
    ],
    ids=["of another part", "no height beside it", "a hole", "a corner", "a note of all parts"],
)
def test_what_cannot_give_the_height_does_not_hide_its_lack(plan):
    plan.row("DRAWER SIDE", 2, T="3/4", W="3", L="4")
    assert lacks(plan)


def test_thickness_in_another_view_gives_no_height():
    plan = front(listed="TL")
    view = plan.view("DRAWER FRONT, TOP VIEW")
    plan.size(view, "4", 0, 4)
    plan.size(view, "3/4", 0, 0.75, down=True)
    assert lacks(plan)


def test_text_near_by_that_nobody_understood_may_be_the_height():
    def lost(x):
        box = Box(x, 200, x + 20, 210)
        return (SheetText(sheet=1, text="3", box=box, state=TextState.NOT_CHECKED, why="lost"),)

    assert not lacks(front(), texts=lost(10.0))
    assert lacks(front(), texts=lost(900.0))


def test_size_set_aside_as_no_dimension_gives_no_height():
    plan = with_size()
    plan.dimensions[-1] = replace(plan.dimensions[-1], verdict=Verdict.NOT_A_DIMENSION)
    assert lacks(plan)
