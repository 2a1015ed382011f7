"""Whole dimensions on small pages drawn by hand, each the way some program or drafter does it."""

from __future__ import annotations

import math

import pytest

from audit.records import EndKind, ReadBy
from tests.dimensions.page_builder import PageBuilder, extension_lines, found, plate, shown


@pytest.mark.parametrize(
    "how",
    ["filled", "filled and stroked", "open", "blank", "halves", "notched", "fan", "strips"],
)
def test_every_drawing_of_an_arrowhead_ends_a_dimension(how):
    builder = plate()
    builder.dimension(100, 300, 200, "3 1/2", how=how, foot=36)
    [d] = builder.find().dimensions
    assert shown(d) == ("distance", "3 1/2", 200.0)
    assert [e.kind for e in d.ends] == [EndKind.EXTENSION, EndKind.EXTENSION]
    assert sorted(e.point.x for e in d.ends) == pytest.approx([100, 300], abs=1e-3)
    assert d.reading is not None
    assert d.reading.by is ReadBy.PDF


def test_ends_come_from_the_extension_lines_and_not_from_the_tips():
    builder = plate()
    extension_lines(builder, 100, 300)
    builder.line((100.5, 200), (299.4, 200))
    builder.arrow((100.5, 200), (300, 200))
    builder.arrow((299.4, 200), (100, 200))
    builder.text("2 3/4", (200, 193))
    assert found(builder) == [("distance", "2 3/4", 200.0)]


def test_dimension_line_may_stop_short_of_its_arrowheads():
    builder = plate()
    extension_lines(builder, 100, 300)
    builder.line((118, 200), (282, 200))
    builder.arrow((100, 200), (300, 200))
    builder.arrow((300, 200), (100, 200))
    builder.text("2 3/4", (200, 193))
    assert found(builder) == [("distance", "2 3/4", 200.0)]


def test_arrowheads_without_any_line_between_them():
    builder = PageBuilder()
    builder.rectangle((100, 240, 150, 340))
    extension_lines(builder, 100, 150)
    builder.arrow((100, 200), (150, 200))
    builder.arrow((150, 200), (100, 200))
    builder.text("3/4", (125, 200))
    assert found(builder) == [("distance", "3/4", 50.0)]


def outside_arrows(builder: PageBuilder) -> None:
    builder.rectangle((100, 240, 112, 340))
    extension_lines(builder, 100, 112)
    builder.line((80, 200), (100, 200))
    builder.line((112, 200), (140, 200))
    builder.arrow((100, 200), (80, 200))
    builder.arrow((112, 200), (140, 200))


def test_arrowheads_and_text_outside():
    builder = PageBuilder()
    outside_arrows(builder)
    builder.text("3/16", (152, 200))
    assert found(builder) == [("distance", "3/16", 12.0)]


def test_text_at_the_end_of_a_leader_from_the_dimension_line():
    builder = PageBuilder()
    outside_arrows(builder)
    builder.line((100, 200), (112, 200))
    builder.path([(106, 200), (140, 170), (150, 170)])
    builder.text("1/8", (162, 170))
    assert found(builder) == [("distance", "1/8", 12.0)]


def test_chain_with_a_narrow_link_between_inside_arrowheads():
    builder = PageBuilder()
    builder.rectangle((100, 240, 312, 340))
    extension_lines(builder, 100, 200, 212, 312)
    builder.line((100, 200), (312, 200))
    for tip, back in ((100, 200), (200, 100), (212, 312), (312, 212)):
        builder.arrow((tip, 200), (back, 200))
    builder.text("1 3/8", (150, 193))
    builder.text("3/16", (206, 188), 6)
    builder.text("1 3/8", (262, 193))
    assert found(builder) == [
        ("distance", "1 3/8", 100.0),
        ("distance", "1 3/8", 100.0),
        ("distance", "3/16", 12.0),
    ]


def test_baseline_stack_keeps_each_text_with_its_own_line():
    builder = PageBuilder()
    builder.rectangle((100, 300, 400, 380))
    for k, (x, text) in enumerate(((160, "5/8"), (240, "1 1/2"), (400, "4"))):
        y = 260 - 22 * k
        builder.line((x, y - 4), (x, 296))
        builder.line((100, y), (x, y))
        builder.arrow((100, y), (x, y))
        builder.arrow((x, y), (100, y))
        builder.text(text, ((100 + x) / 2, y - 7))
    builder.line((100, 206), (100, 296))
    assert found(builder) == [
        ("distance", "1 1/2", 140.0),
        ("distance", "4", 300.0),
        ("distance", "5/8", 60.0),
    ]


@pytest.mark.parametrize("printed", ["5/8", "9 63/64", "1"])
def test_what_the_text_says_plays_no_part_in_whose_it_is(printed):
    """A wrong number must be found as surely as a right one."""
    builder = PageBuilder()
    builder.rectangle((100, 300, 400, 380))
    for y, x, text in ((260, 160, printed), (230, 400, "5/8")):
        builder.dimension(100, x, y, text, foot=296 - y)
    assert ("distance", printed, 60.0) in found(builder)
    assert ("distance", "5/8", 300.0) in found(builder)


def test_line_against_an_outline_without_extension_lines():
    builder = plate()
    builder.line((100, 290), (300, 290))
    builder.arrow((100, 290), (300, 290))
    builder.arrow((300, 290), (100, 290))
    builder.text("2 3/4", (200, 283))
    [d] = builder.find().dimensions
    assert shown(d) == ("distance", "2 3/4", 200.0)
    assert all(e.kind is EndKind.OUTLINE and e.line_width == pytest.approx(1.2) for e in d.ends)


def test_slanted_extension_lines_measure_along_the_dimension_line():
    builder = PageBuilder()
    builder.path([(100, 300), (300, 300), (300, 340), (100, 340)], close=True, width=1.2)
    t = math.tan(math.radians(30))
    for x in (100, 300):
        builder.line((x + 5 * t, 295), (x + 100 * t + 3, 194.8))
    left = 100 + 100 * t
    builder.line((left, 200), (left + 200, 200))
    builder.arrow((left, 200), (left + 200, 200))
    builder.arrow((left + 200, 200), (left, 200))
    builder.text("2 3/4", (left + 100, 193))
    assert found(builder) == [("distance", "2 3/4", 200.0)]


def test_aligned_dimension_with_turned_text():
    builder = PageBuilder()
    p, q = (100.0, 300.0), (250.0, 200.0)
    builder.path([p, q, (250, 300)], close=True, width=1.2)
    length = math.dist(p, q)
    n = ((q[1] - p[1]) / length, -(q[0] - p[0]) / length)
    for s in (p, q):
        builder.line((s[0] + 4 * n[0], s[1] + 4 * n[1]), (s[0] + 34 * n[0], s[1] + 34 * n[1]))
    a, b = ((s[0] + 30 * n[0], s[1] + 30 * n[1]) for s in (p, q))
    builder.line(a, b)
    builder.arrow(a, b)
    builder.arrow(b, a)
    middle = ((p[0] + q[0]) / 2 + 37 * n[0], (p[1] + q[1]) / 2 + 37 * n[1])
    builder.text("2 1/2", middle, angle=math.degrees(math.atan2(100, 150)))
    assert found(builder) == [("distance", "2 1/2", round(length, 2))]


def half_view(x):
    """A part right of its centre line at x, its size with one arrowhead."""
    builder = PageBuilder()
    builder.path([(x, 240), (x + 100, 240), (x + 100, 340), (x, 340)], width=1.2)
    builder.line((x, 180), (x, 400), 0.4, "[14 3 3 3] 0")
    builder.line((x + 100, 196), (x + 100, 236))
    builder.line((x - 10, 200), (x + 100, 200))
    builder.arrow((x + 100, 200), (x - 10, 200))
    builder.text("2 3/4", (x + 50, 193))
    return builder


def test_a_dashed_extension_line_of_an_edge_is_no_centre_line():
    builder = half_view(200)
    builder.line((200, 240), (200, 340), 1.2)
    assert all(end.point.x > 150 for d in builder.find().dimensions for end in d.ends)


def test_a_centre_line_before_an_arrowhead_halves_nothing():
    """An outside arrowhead points at the dashed extension line of the other side."""
    builder = PageBuilder()
    builder.path([(200, 240), (220, 240), (220, 340), (200, 340)], width=1.2)
    builder.line((200, 180), (200, 400), 0.4, "[14 3 3 3] 0")
    builder.line((220, 196), (220, 236))
    builder.line((220, 200), (236, 200))
    builder.arrow((220, 200), (236, 200))
    builder.text("2 3/4", (254, 202))
    assert all(end.point.x > 190 for d in builder.find().dimensions for end in d.ends)


def test_no_half_view_has_its_other_half_beside_the_page():
    assert [d for d in half_view(60).find().dimensions if len(d.ends) == 2] == []


def test_dimension_of_a_half_view_is_mirrored_in_the_centre_line():
    builder = half_view(200)
    page = builder.find()
    [d] = page.dimensions
    assert shown(d) == ("distance", "2 3/4", 200.0)
    assert sorted(e.point.x for e in d.ends) == pytest.approx([100, 300], abs=1e-3)
    assert [v.kind.value for v in page.views] == ["half"]


def test_broken_line_between_extension_lines_needs_no_marks():
    builder = plate()
    extension_lines(builder, 100, 300)
    builder.line((100, 200), (185, 200))
    builder.line((215, 200), (300, 200))
    builder.text("2 3/4", (200, 200))
    assert found(builder) == [("distance", "2 3/4", 200.0)]


@pytest.mark.parametrize("slant", [1, -1])
@pytest.mark.parametrize("width", [0.5, 1.5])
def test_ticks_end_a_dimension_whichever_way_they_slant(slant, width):
    builder = plate()
    extension_lines(builder, 100, 180, 300)
    builder.line((94, 200), (306, 200))
    for x in (100, 180, 300):
        builder.line((x - 4, 200 + 4 * slant), (x + 4, 200 - 4 * slant), width)
    builder.text("1 1/8", (140, 193))
    builder.text("1 5/8", (240, 193))
    assert found(builder) == [("distance", "1 1/8", 80.0), ("distance", "1 5/8", 120.0)]


@pytest.mark.parametrize("paint", ["f", "S"])
def test_dots_and_rings_end_a_dimension(paint):
    builder = plate()
    extension_lines(builder, 100, 300)
    builder.line((102 if paint == "S" else 100, 200), (298 if paint == "S" else 300, 200))
    for x in (100, 300):
        builder.circle((x, 200), 2, width=0.5, paint=paint)
    builder.text("2 3/4", (200, 193))
    assert found(builder) == [("distance", "2 3/4", 200.0)]


def test_thin_filled_bars_in_place_of_lines():
    builder = PageBuilder()
    for x0, y0, x1, y1 in (
        (100, 199.7, 300, 200.3),
        (99.7, 196, 100.3, 236),
        (299.7, 196, 300.3, 236),
    ):
        builder.raw(f"{x0} {792 - y1} {x1 - x0} {y1 - y0} re f")
    builder.arrow((100, 200), (300, 200))
    builder.arrow((300, 200), (100, 200))
    builder.text("2 3/4", (200, 193))
    assert found(builder) == [("distance", "2 3/4", 200.0)]


def test_dimension_whose_text_is_drawn_as_outlines_is_reported_without_reading():
    builder = plate()
    builder.dimension(100, 300, 200, " ", foot=36)
    [d] = builder.find().dimensions
    assert d.reading is None
    assert shown(d) == ("distance", None, 200.0)


@pytest.mark.parametrize(
    ("aside", "long", "kind"),
    [(0.5, 30.0, EndKind.EXTENSION), (0.5, 4.0, EndKind.TIP), (1.5, 30.0, EndKind.TIP)],
)
def test_an_extension_line_may_stop_short_of_a_tip_that_it_aims_at(aside, long, kind):
    builder = plate()
    builder.line((100, 200), (300, 200), 0.3)
    for tip, back, x in ((100, 300, 100 - aside), (300, 100, 300 + aside)):
        builder.arrow((tip, 200), (back, 200))
        builder.line((x, 204), (x, 204 + long), 0.3)
    builder.text("3 1/2", (200, 190))
    [d] = builder.find().dimensions
    assert {e.kind for e in d.ends} == {kind}
