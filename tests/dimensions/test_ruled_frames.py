"""Figures in ruled frames are views of their own; an outline with sizes on it is no frame."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest

from audit.dimensions.ink import Ink
from audit.dimensions.regions import Regions, reach_of
from audit.dimensions.ruled_frames import part_fields
from audit.dimensions.ruled_walls import find_walls
from audit.dimensions.shown import RIM_PT, Shown
from audit.geometry import Point
from tests.dimensions.page_builder import PageBuilder


def figure(builder: PageBuilder, x: float, y: float, text: str, *, title: str) -> None:
    """A plate with a size over it and its name under it, from (x, y) on."""
    builder.rectangle((x, y + 30, x + 100, y + 90))
    builder.dimension(x, x + 100, y, text, foot=26)
    builder.text(title, (x + 50, y + 105))


def views_of(builder: PageBuilder) -> dict[str, int]:
    page = builder.find()
    return {d.reading.text: d.view for d in page.dimensions if d.reading is not None}


def framed(*, gap: float = 0.0) -> PageBuilder:
    """Two figures in one frame about the page's drawing, too low on the page to be its border."""
    builder = PageBuilder()
    builder.line((60, 200), (500, 200), 1.0)
    builder.line((500, 200), (500, 420), 1.0)
    builder.line((500, 420), (60 + gap, 420), 1.0)
    builder.line((60, 420), (60, 200), 1.0)
    figure(builder, 100, 250, "4", title="FIG. 1")
    figure(builder, 340, 250, "1 1/2", title="FIG. 2")
    return builder


@pytest.mark.parametrize("gap", [0.0, 10.0])
def test_figures_in_one_frame_are_two_views(gap):
    found = views_of(framed(gap=gap))
    assert len(set(found.values())) == 2


def test_a_detail_framed_in_the_corner_of_a_view_is_a_view_of_its_own():
    builder = PageBuilder()
    builder.path([(80, 200), (420, 200), (420, 300), (240, 300), (240, 460), (80, 460)], close=True)
    builder.dimension(80, 420, 170, "12", foot=26)
    builder.rectangle((262, 322, 418, 458), 0.7)
    figure(builder, 290, 335, "4", title="DETAIL")
    found = views_of(builder)
    assert found["12"] != found["4"]


def test_a_rule_across_a_frame_parts_what_stands_close_to_it():
    builder = PageBuilder()
    builder.rectangle((60, 150, 260, 480), 1.0)
    builder.line((60, 322), (260, 322), 1.0)
    figure(builder, 100, 200, "4", title="FIG. 1")
    builder.line((120, 290), (120, 315), 0.3)
    builder.line((120, 329), (120, 360), 0.3)
    figure(builder, 100, 345, "1 1/2", title="FIG. 2")
    found = views_of(builder)
    assert found["4"] != found["1 1/2"]


def touching(*, apart: float = 0.0) -> PageBuilder:
    """Two frames side by side, each about a figure, one lower than the other."""
    builder = PageBuilder()
    builder.rectangle((60, 200, 260, 420), 1.0)
    builder.rectangle((260 + apart, 200, 460, 540), 1.0)
    for x, text in ((110, "4"), (310, "1 1/2")):  # nameless: few lines full of text are a table
        builder.rectangle((x, 280, x + 100, 340))
        builder.dimension(x, x + 100, 250, text, foot=26)
    return builder


@pytest.mark.parametrize("apart", [0.0, 1.5])
def test_figures_in_frames_that_touch_are_two_views(apart):
    found = views_of(touching(apart=apart))
    assert found["4"] != found["1 1/2"]


def test_doors_side_by_side_that_sizes_are_measured_on_are_one_view():
    builder = touching()
    builder.dimension(60, 260, 180, "10", foot=12)
    found = views_of(builder)
    assert found["4"] == found["1 1/2"] == found["10"]


def cut_off(*corners: tuple[float, float]) -> PageBuilder:
    """Two figures in what is left of a frame."""
    builder = PageBuilder()
    builder.path(corners, width=1.0)
    for x, text in ((140, "4"), (340, "1 1/2")):
        builder.rectangle((x, 280, x + 100, 340))
        builder.dimension(x, x + 100, 250, text, foot=26)
    return builder


@pytest.mark.parametrize(
    ("corners", "views"),
    [
        ([(612, 200), (100, 200), (100, 420), (612, 420)], 2),  # runs out at the right
        ([(612, 200), (100, 200), (100, 792)], 2),  # and at the foot
        ([(560, 200), (100, 200), (100, 420), (560, 420)], 1),  # ends on the page
        ([(612, 200), (100, 200), (100, 700)], 1),
    ],
)
def test_sides_of_a_frame_may_lie_beyond_the_rim_of_a_page_cut_through_it(corners, views):
    assert len(set(views_of(cut_off(*corners)).values())) == views


def test_an_outline_cut_by_the_rim_is_none_when_a_size_is_measured_on_it():
    builder = cut_off((612, 200), (100, 200), (100, 420), (612, 420))
    builder.dimension(100, 240, 180, "5 5/8", foot=12)
    found = views_of(builder)
    assert len(found) == 3
    assert len(set(found.values())) == 1


ASKEW = (Point(0, 0), Point(612, 0), Point(500, 500), Point(30, 380))


@pytest.mark.parametrize(("shown", "apart"), [(ASKEW, True), ((), False)])
def test_a_photo_laid_flat_hides_what_lies_beyond_its_own_rim(shown, apart):
    builder = cut_off((567, 200), (100, 200), (100, 397))
    sizes = builder.find().dimensions
    page = replace(builder.page(), shown=shown)
    regions = Regions(page, Ink(page), [p for d in sizes for p in reach_of(d)], dimensions=sizes)
    labels = {regions.label_of(reach_of(d)) for d in sizes}
    assert 0 not in labels
    assert (len(labels) == 2) is apart


def test_what_is_shown_is_told_as_opencv_tells_it_whichever_way_its_corners_go():
    x, y = np.array([300.0, 590.0, 20.0, 300.0]), np.array([250.0, 400.0, 300.0, 1.0])
    rim = np.array(ASKEW, np.float32)
    far = [cv2.pointPolygonTest(rim, p, measureDist=True) for p in zip(x, y, strict=True)]
    expected = [d < RIM_PT for d in far]
    assert expected == [False, True, True, True]
    for corners in (ASKEW, ASKEW[::-1]):
        assert Shown(corners).hides(x, y).tolist() == expected


def hemmed_in() -> PageBuilder:
    """Two figures in frames of their own, so near that extension lines all but meet them."""
    builder = PageBuilder()
    builder.rectangle((60, 200, 260, 420), 1.0)
    builder.rectangle((262, 180, 460, 450), 1.0)
    for x, text in ((110, "4"), (310, "1 1/2")):
        builder.rectangle((x, 280, x + 100, 340))
        builder.dimension(x, x + 100, 250, text, foot=26)
        builder.line((x + 104, 280), (x + 147, 280), 0.3)
    return builder


def test_frames_that_lines_inside_come_close_to_are_frames():
    found = views_of(hemmed_in())
    assert found["4"] != found["1 1/2"]


@pytest.mark.parametrize("drawn", [False, True])
def test_arrowheads_of_two_frames_taken_for_those_of_one_line_join_no_views(drawn):
    """One that is drawn up to the walls on both their sides is a size of both."""
    builder = hemmed_in()
    if drawn:
        builder.line((210, 250), (257, 250), 0.3)
        builder.line((265, 250), (310, 250), 0.3)
    first, second = sorted(builder.find().dimensions, key=lambda d: d.line[0].x)[:2]
    across = replace(
        first, ends=(first.ends[0], second.ends[-1]), line=(first.line[0], second.line[-1])
    )
    page = builder.page()
    regions = Regions(page, Ink(page), reach_of(across), dimensions=[first, second])
    apart = regions.label_of(reach_of(first)) != regions.label_of(reach_of(second))
    regions.join(across)
    assert apart
    joined = regions.label_of(reach_of(first)) == regions.label_of(reach_of(second))
    assert joined is drawn


@pytest.mark.parametrize(
    ("line", "ruled"),
    [
        ([(170, 416), (170, 350)], 4),
        ([(170, 420), (170, 350)], 0),  # begins on a wall
        ([(170, 440), (170, 350)], 0),  # crosses it
        ([(170, 420), (170, 416)], 4),  # no more than a speck
    ],
)
def test_a_line_that_begins_on_a_wall_makes_it_an_outline(line, ruled):
    sizes = hemmed_in().find().dimensions
    corners = [(60, 200), (260, 200), (260, 420), (60, 420)]
    builder = PageBuilder()
    for first, last in zip(corners, corners[1:] + corners[:1], strict=True):
        builder.line(first, last, 1.0)
    builder.line(*line)
    walls = find_walls(Ink(builder.page()), sizes)
    assert walls.sum() == ruled


def test_an_outline_that_a_size_is_measured_on_holds_its_holes():
    builder = PageBuilder()
    builder.rectangle((100, 200, 420, 460))
    builder.dimension(100, 420, 170, "12", foot=26)
    figure(builder, 180, 250, "4", title="SLOT")
    found = views_of(builder)
    assert found["12"] == found["4"]


def test_a_gap_of_one_cell_opens_no_field():
    grid = np.zeros((30, 30), np.uint8)
    grid[5, 5:25] = grid[24, 5:25] = grid[5:25, 5] = grid[5:25, 24] = 1
    grid[5, 14] = 0
    fields = part_fields(grid)
    assert fields[15, 15] != fields[2, 2]
    grid[5, 12:18] = 0
    fields = part_fields(grid)
    assert fields[15, 15] == fields[2, 2]
