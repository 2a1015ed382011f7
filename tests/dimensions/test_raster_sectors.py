"""Angles from their legs and the ink between them, drawn by OpenCV with known vertex and legs."""

from __future__ import annotations

import math

import cv2
import numpy as np
import pytest

from audit.dimensions.raster_sectors import find_sectors, values_along, without_angle_arcs
from audit.geometry import Point
from tests.dimensions.raster_builder import PX, draw_arc, ink_of, maps_of, tip

VERTEX, RADIUS = (150.0, 250.0), 90.0


def on(turn, far):
    t = math.radians(turn)
    return VERTEX[0] + far * math.cos(t), VERTEX[1] - far * math.sin(t)


LEGS = [(VERTEX, on(0, 140)), (VERTEX, on(50, 140))]
MARKS = [tip(*on(0, RADIUS)), tip(*on(50, RADIUS))]


def sectors(*parts, marks=MARKS):
    def draw(canvas):
        for start, stop in parts:
            draw_arc(canvas, VERTEX, RADIUS, start, stop)

    return find_sectors(ink_of(LEGS), marks, maps_of(draw), px_per_pt=PX)


def test_an_arc_between_two_marked_lines_is_an_angle_about_their_crossing():
    (found,) = sectors((0, 50))
    vertex, one, two = (e.point for e in found.ends)
    assert tuple(vertex) == pytest.approx(VERTEX, abs=1e-6)
    turns = [math.degrees(math.atan2(vertex.y - p.y, p.x - vertex.x)) for p in (one, two)]
    assert turns == pytest.approx([0.0, 50.0], abs=1e-6)


def test_an_arc_broken_by_its_text_is_still_one():
    def draw(canvas):
        draw_arc(canvas, VERTEX, RADIUS, 0, 14)
        draw_arc(canvas, VERTEX, RADIUS, 36, 50)

    maps = maps_of(draw)
    middle = (np.array(on(25, RADIUS)) * PX / 2).astype(int)
    maps.text[middle[1] - 18 : middle[1] + 18, middle[0] - 16 : middle[0] + 16] = 255
    assert len(find_sectors(ink_of(LEGS), MARKS, maps, px_per_pt=PX)) == 1


def test_two_marked_lines_with_nothing_between_are_no_angle():
    assert sectors() == []


def test_half_an_arc_is_no_angle():
    assert sectors((0, 20)) == []


def test_arrowheads_outside_point_at_each_other_past_both_legs():
    marks = [tip(*on(0, RADIUS), direction=-90.0), tip(*on(50, RADIUS), direction=140.0)]
    assert len(sectors((-12, 0), (50, 62), marks=marks)) == 1


def test_the_arc_of_an_angle_is_no_circle_for_leaders():
    found = sectors((0, 50))
    ink = ink_of(LEGS, [(VERTEX, RADIUS, 0.0, 50.0), (VERTEX, 30.0, 0.0, 360.0)])
    assert [a.radius for a in without_angle_arcs(ink.arcs, found)] == [30.0]


@pytest.mark.parametrize(
    "chains",
    [
        (((230, 280), (230, 215)), ((115, 170), (180, 170))),
        # short, as beside a text that breaks the line
        (
            ((230, 264), (230, 246)), ((230, 222), (230, 206)),
            ((136, 170), (154, 170)), ((182, 170), (198, 170)),
        ),
        # one of them ends at the mark, as the tail of an arc would
        (((230, 280), (230, 215)), ((150, 170), (133, 170))),
    ],
)  # fmt: skip
def test_dimension_lines_about_a_corner_are_no_angle(chains):
    corner = (150.0, 250.0)
    legs = [(corner, (250, 250)), (corner, (150, 150))]
    # dimension lines run on from both marks, square to the legs, with their arrowheads outside
    marks = [tip(230, 250, 270.0), tip(150, 170, 180.0)]

    def draw(canvas):
        for a, b in chains:
            p, q = (tuple(round(v * PX) for v in point) for point in (a, b))
            cv2.line(canvas, p, q, 255, 2)

    assert find_sectors(ink_of([*legs, *chains]), marks, maps_of(draw), px_per_pt=PX) == []
    assert len(find_sectors(ink_of(legs), marks, maps_of(draw), px_per_pt=PX)) == 1


@pytest.mark.parametrize("vertex", [Point(30, 25), Point(2, 60)])  # the second's arcs leave it
def test_several_arcs_at_once_have_the_values_of_each_alone(vertex):
    image = np.random.default_rng(4).integers(0, 256, (120, 130), np.uint8)
    turns = np.radians(np.arange(0, 360, 3.0))
    ways = np.cos(turns), np.sin(turns)
    radii = [4.0, 9.5, 14.25]
    at_once = values_along(image, vertex, np.array(radii)[:, None], ways, 2.0)
    alone = [values_along(image, vertex, radius, ways, 2.0).tolist() for radius in radii]
    assert at_once.tolist() == alone
    assert len({tuple(row) for row in alone}) == 3
