"""Names of features nobody has named."""

from __future__ import annotations

import math
from dataclasses import replace

from audit.geometry import Transform
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


def test_a_photo_that_lies_askew_names_directions_as_on_its_flat_paper() -> None:
    """The paper is turned by 8 degrees in the picture: over the slack, but its lines are level."""
    audit = make_audit()
    [sheet] = audit.sheets
    turn = math.radians(8)
    askew = [[math.cos(turn), -math.sin(turn), 20], [math.sin(turn), math.cos(turn), 5], [0, 0, 1]]
    lean = Transform.from_matrix(askew)
    moved = [
        replace(d, ends=tuple(replace(e, point=lean.apply(e.point)) for e in d.ends))
        for d in audit.dimensions
    ]
    photo = replace(sheet, to_paper=lean.inverse().then(sheet.to_paper))
    names = name_features(replace(audit, sheets=(photo,), dimensions=tuple(moved)))
    plain = name_features(audit)
    assert {i: n.split()[0] for i, n in names.items()} == {
        i: n.split()[0] for i, n in plain.items()
    }
    unflat = name_features(replace(audit, dimensions=tuple(moved)))
    assert unflat[10].startswith("slanting")


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
