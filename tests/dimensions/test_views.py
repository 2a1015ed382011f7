"""Views by space, with titles and stated scales."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import ndimage

from audit.dimensions.ink import Ink
from audit.dimensions.regions import Regions, label_regions
from audit.dimensions.views import lay_out
from audit.geometry import Box, Point
from audit.reading.pdf_text import TextLine
from audit.records import ViewKind
from tests.dimensions.page_builder import PageBuilder


def two_views() -> PageBuilder:
    builder = PageBuilder()
    builder.rectangle((20, 20, 592, 772), 1.5)
    for x in (80, 340):
        builder.rectangle((x, 200, x + 150, 290))
        builder.circle((x + 75, 245), 10)
        builder.dimension(x, x + 150, 170, "4", foot=26)
        builder.text("SIDE PLATE" if x == 80 else "CAM", (x + 75, 315))
        builder.text("SCALE 1:2" if x == 80 else "NOT TO SCALE", (x + 75, 330))
    return builder


def test_views_apart_are_two_with_their_titles_and_scales():
    page = two_views().find()
    assert [(v.title, v.stated_scale) for v in page.views] == [("SIDE PLATE", "1:2"), ("CAM", None)]
    assert [v.kind.value for v in page.views] == ["true", "not to scale"]


def test_a_view_of_two_parts_has_both_their_titles():
    builder = PageBuilder()
    for x, name in ((80, "BASE"), (232, "LID")):  # nearer than views stand apart
        builder.rectangle((x, 200, x + 150, 290))
        builder.dimension(x, x + 150, 170, "4", foot=26)
        builder.text(name, (x + 75, 315))
    builder.text("NOTES:", (231, 304))
    [view] = builder.find().views
    assert view.title == "BASE / LID"


@pytest.mark.parametrize(("apart", "views"), [(8.0, 1), (17.0, 2)])
def test_views_six_millimetres_apart_are_two(apart, views):
    builder = PageBuilder()
    for x in (80, 230 + apart):
        builder.rectangle((x, 200, x + 150, 290))
        builder.dimension(x, x + 150, 170, "4", foot=26)
    assert len(builder.find().views) == views


@pytest.mark.parametrize(
    ("below", "title"),
    [
        ("FRONT VIEW:", "FRONT VIEW:"),
        ("NOTES:", ""),
        ("NO PART OF THIS SHEET MAY BE SOLD OR PASSED ON WITHOUT A WRITTEN WORD", ""),
        ("WWW.MARBLE-LIFT.EXAMPLE", ""),
        ("ALL DIMENSIONS IN CM", ""),
        ("FRONT VIEW - SCALE 1:10", "FRONT VIEW"),
        ("DETAIL B (2:1)", "DETAIL B"),
        ("SCALE 1:10", ""),
        ('DRIVE 1/2" OAK PEG THRU EACH 3/8" HOLE', ""),
        ("2. GLUE 1/2 PEGS IN HOLES.", ""),
        ("FASTEN SEAT WITH 8 - #8 SCREWS.", ""),
        ('6 HOLES 3/8" DIA.', ""),
        ("3 HOLE JIG", "3 HOLE JIG"),
        ("DRILL PRESS TABLE", "DRILL PRESS TABLE"),
        ("SCREW BLOCK 3/4 THICK", "SCREW BLOCK 3/4 THICK"),
    ],
)
def test_a_title_is_what_names_a_view_and_no_note_beside_it(below, title):
    builder = PageBuilder()
    builder.rectangle((80, 200, 230, 290))
    builder.dimension(80, 230, 170, "4", foot=26)
    builder.text(below, (155, 315))
    [view] = builder.find().views
    assert view.title == title


def test_each_dimension_stands_in_its_view():
    page = two_views().find()
    assert [d.view for d in sorted(page.dimensions, key=lambda d: d.ends[0].point.x)] == [1, 2]
    for d in page.dimensions:
        box = page.views[d.view - 1].box
        assert all(box.contains(e.point) for e in d.ends)


def test_border_and_tables_are_no_views():
    builder = two_views()
    for y in range(640, 773, 22):
        builder.line((330, y), (592, y))
    for x in (330, 400, 592):
        builder.line((x, 640), (x, 772))
    for y in range(651, 770, 22):
        builder.text("1", (360, y))
        builder.text("3/8 X 4", (500, y))
    assert len(builder.find().views) == 2


def test_view_whose_lines_touch_the_border_is_a_view_and_the_title_block_is_none():
    builder = two_views()
    builder.rectangle((340, 60, 490, 130))
    builder.dimension(340, 490, 24, "6", foot=32)  # its extension lines end at the border
    for y in range(640, 773, 22):
        builder.line((330, y), (592, y))
    for x in (330, 592):
        builder.line((x, 640), (x, 772))
    page = builder.find()
    by_text = {d.reading.text: d for d in page.dimensions}
    box = page.views[by_text["6"].view - 1].box
    assert len(page.views) == 3
    assert (box.x0, box.x1) == pytest.approx((340, 490), abs=4)
    assert (box.y0, box.y1) == pytest.approx((22, 130), abs=10)


def test_table_away_from_the_border_is_no_view():
    builder = two_views()
    for y in range(500, 611, 22):
        builder.line((330, y), (560, y))
    for x in (330, 400, 560):
        builder.line((x, 500), (x, 610))
    for y in range(511, 610, 22):
        builder.text("1", (360, y))
        builder.text("3/8 X 4", (480, y))
    assert len(builder.find().views) == 2


def test_geometry_without_dimensions_is_a_view_of_unknown_kind():
    builder = PageBuilder()
    builder.circle((200, 300), 60)
    [view] = builder.find().views
    assert view.kind.value == "unknown"
    assert view.box.width > 115


def test_letters_traced_as_lines_are_no_part_of_a_view():
    """What a scan's title is drawn with must not pull the view over its own title."""
    builder = PageBuilder()
    builder.rectangle((80, 200, 230, 290))
    builder.dimension(80, 230, 170, "4", foot=26)
    builder.text("CAM ROD", (155, 310), size=16)
    for x in range(118, 194, 4):
        builder.line((x, 304), (x, 316))
    builder.text("MAKE 2", (155, 330), size=11)
    [view] = builder.find().views
    assert view.title == "CAM ROD"
    assert view.box.y1 < 295


def test_the_number_of_a_size_traced_as_lines_joins_no_views():
    builder = PageBuilder()
    for x in (80, 260):
        builder.rectangle((x, 200, x + 150, 290))
    for x in range(234, 256, 4):
        builder.line((x, 240), (x, 250))
    page = builder.page()
    quad = Point(232, 252), Point(258, 252), Point(258, 238), Point(232, 238)
    number = TextLine(text="3 1/2", box=Box(232, 238, 258, 252), angle=0.0, quad=quad, height=14.0)
    layouts = [
        lay_out(page, Ink(page), [], [], sheet=1, upright=0.0, lettering=lettering)
        for lettering in ([], [number])
    ]
    assert [len(layout.views) for layout in layouts] == [1, 2]


def test_count_under_a_view_is_not_its_title():
    builder = PageBuilder()
    builder.rectangle((80, 200, 230, 290))
    builder.dimension(80, 230, 170, "4", foot=26)
    builder.text("MAKE 2", (155, 305))
    builder.text("1/8 THICK", (155, 320))
    builder.text("CAM ROD", (155, 335))
    [view] = builder.find().views
    assert view.title == "CAM ROD"


def test_regions_are_numbered_as_scipy_numbers_them():
    """scipy.ndimage.label with a square of eight neighbours."""
    rng = np.random.default_rng(0)
    for _ in range(60):
        share = rng.random()
        grid = (rng.random(rng.integers(1, 60, 2)) < share).astype(np.uint8)
        assert (label_regions(grid) == ndimage.label(grid, np.ones((3, 3), int))[0]).all()


def slanted(builder: PageBuilder, turn: float, feet: tuple[float, float] | None, text: str) -> None:
    """A size of 120 pt along a slanted line, with feet of one direction at both ends."""
    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    a, b = (200.0, 400.0), (200 + 120 * c, 400 - 120 * s)
    builder.line(a, b, 0.3)
    builder.arrow(a, b)
    builder.arrow(b, a)
    builder.text(text, ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2 - 14))
    for x, y in (a, b):
        if feet is None:  # centre lines of holes
            builder.line((x - 12, y), (x + 12, y), 0.3)
            builder.line((x, y - 12), (x, y + 12), 0.3)
        else:
            builder.line(
                (x - 3 * feet[0], y - 3 * feet[1]), (x + 30 * feet[0], y + 30 * feet[1]), 0.3
            )


@pytest.mark.parametrize(
    ("turn", "feet", "kind"),
    [
        (30.0, (0.0, -1.0), ViewKind.PICTORIAL),
        (-30.0, (0.0, 1.0), ViewKind.PICTORIAL),
        (30.0, (-0.5, -0.866), ViewKind.TRUE),  # square to the line
        (45.0, None, ViewKind.TRUE),  # from hole to hole
        (0.0, (0.6, -0.8), ViewKind.TRUE),  # extension lines led aside, as in narrow places
    ],
)
def test_slanting_extension_lines_at_a_slanted_line_are_those_of_a_pictorial_view(turn, feet, kind):
    builder = PageBuilder()
    slanted(builder, turn, feet, "3 1/2")
    page = builder.find()
    [d] = page.dimensions
    [view] = [v for v in page.views if v.id == d.view]
    assert view.kind is kind


def test_a_pictorial_view_that_touches_a_true_one_keeps_its_sizes_to_itself():
    builder = PageBuilder()
    slanted(builder, 30.0, (0.0, -1.0), "3 1/2")
    builder.rectangle((200, 420, 330, 480))
    for y in (510, 535, 560):
        builder.dimension(200, 330, y, "4", foot=-20)
    builder.line((260, 360), (260, 430), 0.3)
    page = builder.find()
    kinds = {v.id: v.kind for v in page.views}
    found = {d.reading.text: kinds[d.view] for d in page.dimensions if d.reading}
    assert found == {"3 1/2": ViewKind.PICTORIAL, "4": ViewKind.TRUE}


@pytest.mark.parametrize(("height", "kept"), [(10.0, True), (150.0, False)])
def test_a_paragraph_read_as_one_text_covers_no_drawing_beside_it(height, kept):
    """A letter left out beside a text is as large as its letters, not as all its lines."""
    builder = PageBuilder()
    builder.rectangle((100, 250, 240, 330))
    page = builder.page()
    quad = Point(100, 200), Point(100, 140), Point(250, 140), Point(250, 200)
    text = TextLine(text="1/1", box=Box(100, 140, 250, 200), angle=90.0, quad=quad, height=height)
    regions = Regions(page, Ink(page), [], lettering=[text])
    assert (regions.label_of([Point(100, 290)]) > 0) is kept
