"""Points, boxes and directions, against numpy and by what must always hold."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from audit.geometry import (
    Box,
    Point,
    angle_between,
    direction_deg,
    intersect_lines,
    project_onto,
)
from tests.geometry.shapes import PLACES

ANGLES = st.floats(-720, 720)


@st.composite
def boxes(draw) -> Box:
    return Box.around([draw(PLACES), draw(PLACES)])


@given(PLACES, st.floats(-179.99, 180), st.floats(0.1, 1000))
def test_direction_is_counter_clockwise_as_seen(start, degrees, length):
    turn = math.radians(degrees)
    end = start.moved(length * math.cos(turn), -length * math.sin(turn))  # y runs down
    assert angle_between(direction_deg(start, end), degrees) == pytest.approx(0, abs=1e-6)
    assert math.cos(math.radians(direction_deg(start, end) - degrees)) > 0


def test_direction_to_the_left_is_one_number():
    assert direction_deg((1, 0), (0, 0)) == direction_deg((1, -0.0), (0, 0.0)) == 180.0
    assert direction_deg((1, 0.0), (0, -0.0)) == 180.0


@given(ANGLES, ANGLES, st.integers(-3, 3), st.integers(-3, 3))
def test_angle_between_lines_has_no_direction_and_no_order(a, b, m, n):
    angle = angle_between(a, b)
    assert 0 <= angle <= 90
    assert angle_between(b, a) == pytest.approx(angle, abs=1e-9)
    assert angle_between(a + 180 * m, b + 180 * n) == pytest.approx(angle, abs=1e-9)
    cosine = abs(math.cos(math.radians(a - b)))
    assert math.cos(math.radians(angle)) == pytest.approx(cosine, abs=1e-9)


@given(PLACES, PLACES, PLACES)
def test_projection_is_numpys_dot_and_cross_product(point, a, b):
    assume(a.distance(b) > 1e-3)
    along, aside = project_onto(point, a, b)
    unit = np.subtract(b, a) / np.linalg.norm(np.subtract(b, a))
    from_a = np.subtract(point, a)
    assert along == pytest.approx(float(from_a @ unit), abs=1e-6)
    assert aside == pytest.approx(float(unit[0] * from_a[1] - unit[1] * from_a[0]), abs=1e-6)
    assert math.hypot(along, aside) == pytest.approx(a.distance(point), abs=1e-6)


def test_what_lies_below_a_line_to_the_right_is_on_its_clockwise_side():
    assert project_onto((3, 2), (0, 0), (10, 0)) == (3, 2)
    with pytest.raises(ValueError, match="two different points"):
        project_onto((3, 2), (1, 1), (1, 1))


@given(PLACES, PLACES, PLACES, PLACES)
def test_crossing_of_two_lines_solves_their_equations(a, b, c, d):
    first, second = np.subtract(b, a), np.subtract(d, c)
    lengths = np.linalg.norm(first) * np.linalg.norm(second)
    assume(lengths > 1 and abs(first[0] * second[1] - first[1] * second[0]) > 0.02 * lengths)
    t, _ = np.linalg.solve(np.column_stack([first, -second]), np.subtract(c, a))
    found = intersect_lines(a, b, c, d)
    assert found is not None
    assert tuple(found) == pytest.approx(tuple(np.add(a, t * first)), rel=1e-6, abs=1e-5)


@given(PLACES, PLACES, st.floats(-5, 5), st.floats(0.1, 5))
def test_parallel_lines_do_not_cross(a, b, aside, stretch):
    assume(a.distance(b) > 1)
    dx, dy = b.x - a.x, b.y - a.y
    c = a.moved(-dy * aside, dx * aside)
    assert intersect_lines(a, b, c, c.moved(dx * stretch, dy * stretch)) is None
    assert intersect_lines(a, b, b, a) is None
    assert intersect_lines(a, a, a, b) is None


@given(PLACES, PLACES)
def test_middle_is_as_far_from_both(a, b):
    middle = a.midpoint(b)
    assert middle.distance(a) == pytest.approx(middle.distance(b), abs=1e-9)
    assert middle.distance(a) == pytest.approx(np.hypot(b.x - a.x, b.y - a.y) / 2, abs=1e-9)


@given(st.lists(PLACES, min_size=1, max_size=9))
def test_box_around_points_is_the_least_that_holds_them(points):
    box = Box.around(points)
    array = np.array(points)
    assert (box.x0, box.y0) == tuple(array.min(axis=0))
    assert (box.x1, box.y1) == tuple(array.max(axis=0))
    assert all(box.contains(p) for p in points)


def test_box_around_nothing_is_refused():
    with pytest.raises(ValueError, match="unpack"):
        Box.around([])


@given(boxes(), boxes())
def test_union_holds_both_and_overlapping_is_mutual(a, b):
    both = a.union(b)
    assert all(both.contains(corner) for corner in (*a.corners, *b.corners))
    assert both == b.union(a)
    assert a.overlaps(b) == b.overlaps(a)
    assert a.overlaps(both)
    clear = a.x1 < b.x0 or b.x1 < a.x0 or a.y1 < b.y0 or b.y1 < a.y0
    assert a.overlaps(b) is not clear


@given(boxes(), st.floats(0, 50))
def test_grown_box_is_wider_on_every_side(box, by):
    grown = box.grown(by)
    assert grown.width == pytest.approx(box.width + 2 * by)
    assert grown.height == pytest.approx(box.height + 2 * by)
    assert grown.centre == pytest.approx(box.centre, abs=1e-9)


def test_corners_go_clockwise_from_the_top_left():
    assert Box(1, 2, 5, 9).corners == (Point(1, 2), Point(5, 2), Point(5, 9), Point(1, 9))
