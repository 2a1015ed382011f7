"""Names of features nobody has named."""

from __future__ import annotations

from dataclasses import replace

from audit.records import DimensionKind
from audit.report.naming import name_features, name_views
from tests.report.builders import Setting, make_audit


def test_features_are_named_by_direction_and_reading_order() -> None:
    names = name_features(make_audit())
    assert [names[i] for i in (10, 11, 12, 13)] == [
        "horizontal 1st",
        "horizontal 2nd",
        "horizontal 3rd",
        "horizontal 4th",
    ]
    assert names[15] == "vertical"  # the only one of its view


def test_a_turned_page_names_directions_as_they_are_seen() -> None:
    upright, turned = name_features(make_audit()), name_features(make_audit(Setting(turn=90)))
    assert upright == turned


def test_a_radius_is_named_by_its_kind() -> None:
    audit = make_audit()
    round_one = replace(audit.dimensions[0], kind=DimensionKind.RADIUS)
    names = name_features(replace(audit, dimensions=(round_one, *audit.dimensions[1:])))
    assert names[10] == "radius"
    assert names[11] == "horizontal 1st"


def test_two_views_of_one_title_keep_apart() -> None:
    audit = make_audit(sheets=2)
    names = name_views(audit)
    assert names[1] == "side plate (view 1)"
    assert names[3] == "side plate (view 3)"
    assert names[2] == "view 2"
