"""Whole dimensions on small pages drawn by hand, each the way some program or drafter does it."""

from __future__ import annotations

import math

import pytest

from audit.dimensions.texts import TextForm, classify, classify_all
from audit.geometry import Box, Point
from audit.lengths import Unit
from audit.reading import TextLine
from audit.records import DimensionKind, EndKind, ReadBy
from tests.dimensions.page_builder import PageBuilder, shown

PLATE = (100.0, 240.0, 300.0, 340.0)


def found(builder: PageBuilder) -> list[tuple[str, str | None, float]]:
    return sorted((shown(d) for d in builder.find().dimensions), key=str)


def plate() -> PageBuilder:
    builder = PageBuilder()
    builder.rectangle(PLATE)
    return builder


def extension_lines(builder: PageBuilder, *xs: float) -> None:
    for x in xs:
        builder.line((x, 196), (x, 236))


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


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
@pytest.mark.parametrize("unit", [1.0, 2.0])
def test_ends_are_exact_on_turned_cropped_and_scaled_pages(turn, unit):
    builder = PageBuilder(turn=turn, crop=(50, 60, 580, 740), user_unit=unit)
    builder.rectangle(PLATE)
    builder.dimension(100, 300, 200, "3 1/2", foot=36)
    [d] = builder.find().dimensions
    # sheet frame: left edge of the CropBox is 50, its top is 792 - 740 = 52 below the MediaBox's
    expected = sorted([(50 * unit, 148 * unit), (250 * unit, 148 * unit)])
    points = sorted((e.point.x, e.point.y) for e in d.ends)
    assert points == [pytest.approx(p, abs=2e-3) for p in expected]


@pytest.mark.parametrize("size", [0.25, 0.5, 2.0, 4.0])
def test_sheet_printed_at_another_size_is_searched_alike(size):
    builder = PageBuilder(matrix=f"{size} 0 0 {size} 0 {792 * (1 - size)}")
    builder.rectangle((50, 60, 120, 100))
    builder.dimension(50, 120, 40, "3 1/2", foot=16)
    builder.line((40, 30), (130, 30))
    for x in (50, 80, 120):
        builder.line((x, 26), (x, 36))
        builder.line((x - 4, 34), (x + 4, 26), 1.2)
    builder.text("1", (65, 24))
    builder.text("2 1/2", (100, 24))
    assert found(builder) == [
        ("distance", "1", 30 * size),
        ("distance", "2 1/2", 40 * size),
        ("distance", "3 1/2", 70 * size),
    ]


@pytest.mark.parametrize("angle", [17, 90, 180, 225])
def test_drawing_turned_on_its_page_is_searched_alike(angle):
    c, s = round(math.cos(math.radians(angle)), 8), round(math.sin(math.radians(angle)), 8)
    builder = PageBuilder(
        matrix=f"{c} {s} {-s} {c} {306 - 306 * c + 396 * s} {396 - 306 * s - 396 * c}"
    )
    builder.rectangle((250, 400, 400, 480))
    builder.dimension(250, 400, 370, "3 1/2", foot=26)
    builder.dimension(250, 320, 390, "1 5/8", foot=6)
    assert found(builder) == [("distance", "1 5/8", 70.0), ("distance", "3 1/2", 150.0)]


def test_item_numbers_in_balloons_are_no_diameters():
    builder = PageBuilder()
    builder.circle((200, 300), 40)
    builder.circle((300, 220), 9, 0.5)
    builder.text("3", (300, 220))
    tip, tail = (200 + 40 * 0.78, 300 - 40 * 0.62), (300 - 9 * 0.78, 220 + 9 * 0.62)
    builder.line(tip, tail)
    builder.arrow(tip, tail)
    assert builder.find().dimensions == ()


def test_ditto_stands_for_a_size():
    builder = plate()
    builder.dimension(100, 200, 200, "DO", foot=36)
    builder.dimension(200, 300, 200, "1 3/8", foot=36)
    assert found(builder) == [("distance", "1 3/8", 100.0), ("distance", "DO", 100.0)]


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


def test_dimension_of_a_half_view_is_mirrored_in_the_centre_line():
    builder = PageBuilder()
    builder.path([(200, 240), (300, 240), (300, 340), (200, 340)], width=1.2)
    builder.line((200, 180), (200, 400), 0.4, "[14 3 3 3] 0")
    builder.line((300, 196), (300, 236))
    builder.line((190, 200), (300, 200))
    builder.arrow((300, 200), (190, 200))
    builder.text("2 3/4", (250, 193))
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


def leader(builder: PageBuilder, text: str, *, tip: tuple[float, float]) -> None:
    builder.path([tip, (280, 240), (292, 240)])
    builder.arrow(tip, (280, 240))
    builder.text(text, (294 + 2.6 * len(text), 240))


@pytest.mark.parametrize(
    ("text", "kind", "size"),
    [
        ("Ø 7/8", DimensionKind.DIAMETER, 60.0),
        ("7/8 DIA", DimensionKind.DIAMETER, 60.0),
        ("1/4 DRILL 2 PLACES", DimensionKind.DIAMETER, 60.0),
        ("R 7/16", DimensionKind.RADIUS, 30.0),
        ("7/16 R", DimensionKind.RADIUS, 30.0),
    ],
)
def test_leader_to_a_circle_measures_the_circle_itself(text, kind, size):
    builder = PageBuilder()
    builder.circle((200, 300), 30)
    leader(builder, text, tip=(200 + 30 * 0.8, 300 - 30 * 0.6))
    [d] = builder.find().dimensions
    assert (d.kind, d.reading and d.reading.text) == (kind, text)
    assert shown(d)[2] == pytest.approx(size, abs=0.02)
    assert d.sweep == pytest.approx(360)
    middle = d.ends[0].point.midpoint(d.ends[1].point)
    centre = d.ends[0].point if kind is DimensionKind.RADIUS else middle
    assert centre == pytest.approx((200, 300), abs=1e-2)


def test_leader_without_arrowhead_that_stops_short_of_its_circle():
    builder = PageBuilder()
    builder.circle((200, 300), 12)
    builder.path([(212, 291), (260, 255), (290, 255)])
    builder.text("Ø 5/16", (308, 255))
    [d] = builder.find().dimensions
    assert d.kind is DimensionKind.DIAMETER
    assert shown(d)[2] == pytest.approx(24, abs=0.02)


def test_diameter_across_its_circle():
    builder = PageBuilder()
    builder.circle((200, 300), 60)
    a, b = (200 - 48, 300 + 36), (200 + 48, 300 - 36)
    builder.line(a, b)
    builder.arrow(a, b)
    builder.arrow(b, a)
    builder.text("Ø 1 3/4", (194, 292), angle=math.degrees(math.atan2(36, 48)))
    [d] = builder.find().dimensions
    assert d.kind is DimensionKind.DIAMETER
    assert shown(d)[2] == pytest.approx(120, abs=0.05)


@pytest.mark.parametrize(("off", "count"), [(0, 1), (5, 1), (30, 0)])
def test_leader_points_at_the_centre_of_its_circle_or_is_none(off, count):
    builder = PageBuilder()
    builder.circle((200, 400), 100)
    tip = (270.71, 329.29)
    turn = math.radians(45 + off)
    tail = (tip[0] + 60 * math.cos(turn), tip[1] - 60 * math.sin(turn))
    builder.path([tip, tail, (tail[0] + 12, tail[1])])
    builder.arrow(tip, tail)
    builder.text("1 3/8", (tail[0] + 28, tail[1]))
    assert len(builder.find().dimensions) == count


def test_two_line_callout_stays_whole():
    builder = PageBuilder()
    builder.circle((200, 300), 30)
    builder.arrow((224, 282), (280, 240))
    builder.path([(224, 282), (280, 240), (292, 240)])
    builder.text("Ø 7/8", (306, 240))
    builder.text("4 HOLES", (313, 251))
    [d] = builder.find().dimensions
    assert d.reading is not None
    assert d.reading.text == "Ø 7/8 4 HOLES"


def test_angle_between_two_legs():
    builder = PageBuilder()
    builder.path([(100, 300), (260, 300)], width=1.2)
    builder.line((100, 300), (240, 180), 1.2)
    t, r = math.atan2(120, 140), 90.0
    points = [(100 + r * math.cos(t * k / 24), 300 - r * math.sin(t * k / 24)) for k in range(25)]
    builder.path(points)
    builder.arrow(points[0], (points[0][0] + 0.6, points[0][1] - 8))
    builder.arrow(points[-1], (points[-1][0] + 8 * math.sin(t), points[-1][1] + 8 * math.cos(t)))
    builder.text("41°", (100 + 104 * math.cos(t / 2), 300 - 104 * math.sin(t / 2)))
    [d] = builder.find().dimensions
    assert d.kind is DimensionKind.ANGLE
    vertex, one, two = (e.point for e in d.ends)
    assert vertex == pytest.approx((100, 300), abs=0.05)
    turns = sorted(math.degrees(math.atan2(vertex.y - p.y, p.x - vertex.x)) for p in (one, two))
    assert turns == pytest.approx([0, math.degrees(t)], abs=0.05)


def test_ordinates_are_counted_from_the_line_marked_zero():
    builder = PageBuilder()
    builder.rectangle((100, 300, 400, 380))
    for x, text in ((100, "0"), (160, "5/8"), (240, "1 1/2"), (400, "4")):
        builder.line((x, 296), (x, 250))
        builder.text(text, (x, 240), angle=90)
    assert found(builder) == [
        ("ordinate", "1 1/2", 140.0),
        ("ordinate", "4", 300.0),
        ("ordinate", "5/8", 60.0),
    ]


def test_ordinates_of_two_rows_have_their_own_datums():
    builder = PageBuilder()
    for left, sizes in ((60, ("0", "1", "2")), (340, ("0", "3", "4"))):
        builder.rectangle((left, 300, left + 200, 380))
        for k, text in enumerate(sizes):
            builder.line((left + 100 * k, 296), (left + 100 * k, 250))
            builder.text(text, (left + 100 * k, 240), angle=90)
    assert [size for _, _, size in found(builder)] == [100.0, 200.0, 100.0, 200.0]


def test_dimension_across_a_break_is_flagged_and_the_one_beside_it_is_not():
    builder = PageBuilder()
    for x0, x1, edge in ((100, 230, 100), (260, 400, 400)):
        builder.line((x0, 240), (x1, 240), 1.2)
        builder.line((x0, 340), (x1, 340), 1.2)
        builder.line((edge, 240), (edge, 340), 1.2)
    for x in (230, 260):
        zigzag = [(x, 234), (x, 284), (x - 6, 288), (x + 6, 292), (x, 296), (x, 346)]
        builder.path(zigzag, width=0.4)
    builder.dimension(100, 400, 200, "24", foot=36)
    builder.dimension(100, 150, 218, "2", foot=18)
    page = builder.find()
    flags = {d.reading.text: d.across_break for d in page.dimensions if d.reading}
    assert flags == {"24": True, "2": False}
    assert [v.kind.value for v in page.views] == ["broken"]


def test_sign_for_glass_across_a_frame_leaves_nothing_out():
    """Two slanted lines with a Z, as a break has, but the frame's own lines run on across them."""
    builder = PageBuilder()
    for inset in (0, 6, 60, 66):
        builder.rectangle((100 + inset, 240 + inset / 2, 400 - inset, 340 - inset / 2), 0.7)
    for x in (236, 241):
        builder.path(
            [(x + 40, 225), (x + 4, 284), (x - 8, 280), (x + 8, 297), (x - 4, 296), (x - 40, 355)],
            width=0.4,
        )
    builder.dimension(100, 400, 200, "24", foot=36)
    page = builder.find()
    assert [d.across_break for d in page.dimensions] == [False]
    assert [v.kind.value for v in page.views] == ["true"]


def test_tables_hatching_and_note_leaders_are_no_dimensions():
    builder = plate()
    for i in range(6):
        builder.line((300, 600 + 20 * i), (560, 600 + 20 * i))
    for x in (300, 340, 480, 560):
        builder.line((x, 600), (x, 700))
    for i in range(5):
        builder.text(str(i + 1), (320, 610 + 20 * i))
        builder.text("3/8 X 7/8", (410, 610 + 20 * i))
    for i in range(30):
        builder.line((100 + 6 * i, 340), (120 + 6 * i, 320), 0.25)
    builder.line((150, 260), (180, 200))
    builder.arrow((150, 260), (180, 200))
    builder.line((180, 200), (195, 200))
    builder.text("SEE NOTE 2", (225, 200))
    page = builder.find()
    assert page.dimensions == ()
    assert "SEE NOTE 2" in [t.text for t in page.leftover]


def test_every_text_is_either_used_or_left_over():
    builder = plate()
    builder.dimension(100, 300, 200, "3 1/2", foot=36)
    builder.text("SIDE PLATE", (200, 380))
    page = builder.find()
    assert [t.text for t in page.leftover] == ["SIDE PLATE"]


def test_invisible_text_is_never_a_printed_size():
    builder = plate()
    builder.dimension(100, 300, 200, " ", foot=36)
    builder.text("3 1/2", (200, 193), mode=3)
    [d] = builder.find().dimensions
    assert d.reading is None


def test_empty_page_has_neither_dimensions_nor_views():
    page = PageBuilder().find()
    assert (page.dimensions, page.leftover, page.views) == ((), (), ())


def test_bare_fraction_on_a_sheet_in_millimetres_is_doubted():
    """Nobody divides millimetres into eighths: it counts inches, or was lettered wrong."""
    builder = plate()
    builder.dimension(100, 300, 200, "3 1/2", foot=36)
    [of_mm], [of_inches] = (builder.find(unit).dimensions for unit in (Unit.MM, Unit.IN))
    assert of_mm.reading is not None
    assert of_inches.reading is not None
    assert of_mm.reading.doubt == "it may be 7/2 inches on a sheet in mm"
    assert of_mm.reading.confidence < 0.9
    assert not of_inches.reading.doubt


@pytest.mark.parametrize("how", ["filled", "open", "blank"])
def test_angle_whose_arc_is_broken_for_its_text_down_to_its_arrowheads(how):
    """Two arrowheads square to two lines, as far from where these meet: 40° lettered between."""
    builder = PageBuilder()
    vertex, r = (200.0, 300.0), 70.0
    turns = [math.radians(t) for t in (50.0, 90.0)]
    tips = [(vertex[0] + r * math.cos(t), vertex[1] - r * math.sin(t)) for t in turns]
    for t, tip, way in zip(turns, tips, (1, -1), strict=True):
        builder.line(vertex, (vertex[0] + 110 * math.cos(t), vertex[1] - 110 * math.sin(t)))
        back = t + way * 8 / r
        builder.arrow(
            tip, (vertex[0] + r * math.cos(back), vertex[1] - r * math.sin(back)), how=how
        )
    middle = math.radians(70.0)
    at = (vertex[0] + r * math.cos(middle), vertex[1] - r * math.sin(middle))
    builder.text("40°", at, angle=-20.0)
    [d] = builder.find().dimensions
    assert (d.kind, d.reading.text if d.reading else None) == (DimensionKind.ANGLE, "40°")
    assert (d.ends[0].point.x, d.ends[0].point.y) == pytest.approx(vertex, abs=0.01)
    builder.text("40", (at[0] + 60, at[1] + 60))
    assert [f.reading.text for f in builder.find().dimensions if f.reading] == ["40°"]


@pytest.mark.parametrize(
    ("text", "form"),
    [
        ("2*28#10-[4]-150", TextForm.OTHER),  # bars of a slab
        ("4xM16x120", TextForm.OTHER),  # bolts
        ("(2)-HE 300", TextForm.OTHER),  # a part
        ("M10x1.25", TextForm.LENGTH),  # a thread
        ("(2)-1/4 DIA", TextForm.DIAMETER),
        ("25.4 [1.00]", TextForm.LENGTH),
        ("2X #10-24", TextForm.LENGTH),
    ],
)
def test_marks_of_bars_bolts_and_parts_are_no_sizes(text, form):
    assert classify(text_line(text)).form is form


def text_line(text: str) -> TextLine:
    box = Box(0, 0, 40, 8)
    corners = tuple(Point(*c) for c in box.corners)
    return TextLine(text=text, box=box, angle=0.0, quad=corners, height=8.0)


@pytest.mark.parametrize(
    ("beside", "form"), [("(2)-1/4 DIA", TextForm.LENGTH), ("(2)-HE 300", TextForm.OTHER)]
)
def test_number_in_parentheses_is_a_reference_unless_parts_are_numbered_so(beside, form):
    assert classify_all([text_line("(13)"), text_line(beside)])[0].form is form


def frame_on_leader(builder: PageBuilder, *walls: float) -> None:
    """A box from wall to wall with a text in the last part, whose leader meets a hole."""
    builder.circle((200, 290), 12)
    builder.rectangle((walls[0], 200, walls[-1], 214), width=0.4)
    for x in walls[1:-1]:
        builder.line((x, 200), (x, 214), 0.4)
        builder.line((walls[0], 207), (x - 1, 207), 0.4)  # of its symbol
    builder.text("Ø.02", ((walls[-2] + walls[-1]) / 2, 207))
    builder.line((260, 207), (walls[0], 207), 0.4)
    builder.line((260, 207), (208, 281), 0.4)
    builder.arrow((206.9, 280.2), (260, 207))


def test_a_tolerance_in_a_frame_is_no_size_of_the_hole_it_points_at():
    builder = plate()
    frame_on_leader(builder, 280.0, 302.0)  # alone in its box
    assert [d.kind for d in builder.find().dimensions] == [DimensionKind.DIAMETER]
    builder = plate()
    frame_on_leader(builder, 280.0, 296.0, 318.0)  # beside the box of its symbol
    assert builder.find().dimensions == ()


def test_a_number_in_parentheses_on_a_dimension_line_is_a_reference_size():
    builder = plate()
    builder.dimension(100, 300, 200, "(2)", foot=36)
    [d] = builder.find().dimensions
    assert d.reading is not None
    assert d.reading.callout is not None
    assert d.reading.callout.reference
    assert d.reading.callout.size is not None


@pytest.mark.parametrize(
    ("text", "size"),
    [("4X 50 (=200)", 200), ("4 x 50 = 200", 200), ("4x50(=200)", 200), ("4X 50 = 201", 50)],
)
def test_the_line_of_equal_steps_spans_what_they_come_to(text, size):
    builder = plate()
    builder.dimension(100, 300, 200, text, foot=36)
    [d] = builder.find(unit=Unit.MM).dimensions
    assert d.printed is not None
    assert d.printed.value == size


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
