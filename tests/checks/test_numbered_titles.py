"""Titles bear the number of their part, as balloons and parts lists do."""

from __future__ import annotations

import pytest

from audit.checks.names import match_name

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
