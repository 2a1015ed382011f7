"""Holes: how many a callout gives against how many are drawn."""

from __future__ import annotations

from dataclasses import replace

import pytest

from audit.geometry import Point
from audit.records import Repeats, Severity, UserSet, Verdict, ViewKind
from tests.checks.plans import PT, PlanBuilder, codes, finding

SPACING = 2.0  # in


def rail(
    text="5X Ø 1/2",
    *,
    drawn=3,
    partly=0,
    elsewhere=0,
    exact=True,
    kind=ViewKind.TRUE,
    **more,
):
    """A rail with a row of holes, the first of which has the callout."""
    plan = PlanBuilder()
    view = plan.view("RAIL", kind=kind)
    number = plan.hole(view, text, 1.0, 1.0, 0.5)
    places = tuple(Point(20 + PT * (1.0 + SPACING * k), 120.0 + PT * 1.0) for k in range(drawn))
    seen = Repeats(places=places, partly=partly, elsewhere=elsewhere, exact=exact)
    plan.dimensions[number - 1] = replace(plan.dimensions[number - 1], repeats=seen, **more)
    return plan


def test_number_that_the_drawing_does_not_show_is_a_warning_with_callout_and_holes():
    told = finding(rail(), "P110")
    assert told.severity is Severity.WARNING
    assert "“5X Ø 1/2” asks for 5 holes, but 3 of that size are drawn" in told.text
    boxes = [place.box for place in told.places]
    assert len(boxes) == 2
    assert boxes[1].width == pytest.approx(PT * (2 * SPACING + 0.5))


def test_one_hole_more_than_printed_is_a_warning_too():
    assert finding(rail("4X Ø 1/2", drawn=5), "P110").severity is Severity.WARNING


@pytest.mark.parametrize(
    "plan",
    [
        rail(drawn=5),
        rail(drawn=1),
        rail(drawn=4, partly=1),
        rail(drawn=3, elsewhere=2),
        rail(kind=ViewKind.HALF),
        rail(kind=ViewKind.PICTORIAL),
        rail(verdict=Verdict.DISAGREES),
        rail(verdict=Verdict.NOT_CRITICAL),
        rail(user_set=frozenset({UserSet.ENDS})),
        rail("5X Ø 1/2 TYP", drawn=5),
    ],
    ids=[
        "as printed",
        "one drawn for all",
        "the last is dashed",
        "two in another view",
        "half view",
        "pictorial view",
        "the size is another",
        "set aside",
        "moved by a person",
        "typical",
    ],
)
def test_number_that_the_plan_can_mean_is_not_told(plan):
    assert "P110" not in codes(plan)


@pytest.mark.parametrize(
    ("plan", "why"),
    [
        (rail("6X Ø 1/2", drawn=3), "does not show"),
        (rail("6X Ø 1/2", drawn=4, elsewhere=3), "other views"),
        (rail("3X Ø 1/2", drawn=6), "seen again"),
        (rail("25X Ø 1/2", drawn=2), "by their centres"),
        (rail("7X Ø 1/2", drawn=3, partly=1), "a half that is not drawn"),
    ],
)
def test_number_that_something_usual_explains_is_a_note(plan, why):
    told = finding(plan, "P110")
    assert told.severity is Severity.NOTE
    assert why in told.text


def test_rings_of_a_picture_tell_a_lack_of_holes_and_no_more_than_printed():
    assert finding(rail(exact=False), "P110").severity is Severity.WARNING
    assert "P110" not in codes(rail("4X Ø 1/2", drawn=5, exact=False))


def test_two_callouts_of_one_size_are_counted_together():
    plan = rail("3X Ø 1/2", drawn=5)
    plan.hole(1, "2X Ø 1/2", 1.0 + 3 * SPACING, 1.0, 0.5)
    assert "P110" not in codes(plan)


def test_second_callout_without_a_sure_number_leaves_the_count_open():
    plan = rail("3X Ø 1/2", drawn=5)
    plan.hole(1, "Ø 1/2 TYP", 1.0 + 3 * SPACING, 1.0, 0.5)
    assert "P110" not in codes(plan)


def test_second_callout_of_the_same_hole_is_not_counted_again():
    plan = rail("3X Ø 1/2", drawn=3)
    plan.hole(1, "3X Ø 1/2", 1.0, 1.0, 0.5)
    assert "P110" not in codes(plan)


def test_holes_equally_spaced_are_counted_and_their_diameter_is_still_theirs():
    assert "for 6 holes, but 5" in finding(rail("6X Ø 1/2 EQ SP", drawn=5), "P110").text
