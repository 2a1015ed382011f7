"""Titles bear the number of their part, as balloons and parts lists do."""

from __future__ import annotations

import pytest

from audit.checks.names import match_name
from audit.checks.parts import find_parts
from tests.checks.plans import PlanBuilder

NAMES = ["DRAWER FRONT", "DRAWER SIDE", "RAIL", "CAM"]


@pytest.mark.parametrize(
    ("title", "name"),
    [
        ("5  DRAWER FRONT - 1 REQ'D", "DRAWER FRONT"),
        ("(6) DRAWER SIDES", "DRAWER SIDE"),
        ("PART NO. 3 - RAIL", "RAIL"),
        ("ITEM 12: CAM, FULL SIZE", "CAM"),
        ("B. DRAWER SIDE", "DRAWER SIDE"),
        ("FIG. 4 RAIL", "RAIL"),
    ],
)
def test_a_number_before_its_name_hides_no_part(title, name):
    assert match_name(title, NAMES) == name


@pytest.mark.parametrize("title", ["4 HOLES IN RAIL", "VIEW B OF CAM AND RAIL", "2", "PART", ""])
def test_a_number_before_other_words_names_no_part(title):
    assert match_name(title, NAMES) is None


def drawn_under(title, *rows):
    """Names of the parts that a view with this title draws, by a list of marks and names."""
    plan = PlanBuilder()
    plan.size(plan.view(title), "3", 0, 3)
    for mark, name in rows:
        plan.say(f"{mark} | {name} | 1 | 3/4 x 3 x 4")
    return [p.name for p in find_parts(plan.audit()) if p.drawings]


@pytest.mark.parametrize(
    ("title", "name"),
    [
        ("D KNOB WHEEL", "WHEEL"),  # the mark of the list, and a word more before the name
        ("C KNOB WHEEL", "C KNOB WHEEL"),  # another mark
        ("D KNOB", "D KNOB"),  # the mark alone
        ("D HOLES IN WHEEL", "D HOLES IN WHEEL"),
        ("D HAND WHEEL", "HAND WHEEL"),  # listed by its whole name, whatever the mark says
    ],
)
def test_a_title_with_the_mark_and_the_name_of_a_row_is_of_its_part(title, name):
    assert drawn_under(title, ("D", "WHEEL"), ("E", "HAND WHEEL"), ("F", "RAIL")) == [name]
