"""Pages as programs and drafters make them: turned, scaled, with tables, ordinates and remarks."""

from __future__ import annotations

import math

import pytest

from audit.dimensions.texts import TextForm, classify, classify_all
from audit.geometry import Box, Point
from audit.lengths import Unit
from audit.reading import TextLine
from tests.dimensions.page_builder import PLATE, PageBuilder, found, plate


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


def test_ditto_stands_for_a_size():
    builder = plate()
    builder.dimension(100, 200, 200, "DO", foot=36)
    builder.dimension(200, 300, 200, "1 3/8", foot=36)
    assert found(builder) == [("distance", "1 3/8", 100.0), ("distance", "DO", 100.0)]


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
