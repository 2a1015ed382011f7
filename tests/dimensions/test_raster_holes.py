"""Small holes are found where an arrow points at them or the network sees a ring."""

from __future__ import annotations

import math
from itertools import pairwise

import cv2
import numpy as np
import pytest

from audit.dimensions.raster_arcs import DrawnArc
from audit.dimensions.raster_holes import find_holes
from audit.geometry import Point
from audit.networks.page import Terminator

FINER = 8  # px that a px of the picture is drawn with


def draw(*strokes, size=120):
    """Darkness of polylines (points, width in px), by OpenCV."""
    big = np.zeros((size * FINER, size * FINER), np.uint8)
    for points, width in strokes:
        for a, b in pairwise(points):
            ends = [tuple(round(v * FINER) for v in p) for p in (a, b)]
            cv2.line(big, *ends, 255, round(width * FINER))
    return cv2.resize(big, (size, size), interpolation=cv2.INTER_AREA).astype(np.float32) / 255


def ring(x, y, radius, *, gap=0.0, stray=0.0):
    """Points of a circle that a hand leaves open by `gap` degrees and strays from by `stray`."""
    t = np.radians(np.arange(0.0, 361.0 - gap, 5.0))
    r = radius + stray * np.sin(3 * t)
    return list(zip(x + r * np.cos(t), y - r * np.sin(t), strict=True))


def arrow(x, y, body, score=0.5):
    return Terminator(Point(x, y), body, score)


def leader_to(radius, *, aside=0.0, crossed=True, **more):
    """A hole with centre lines about (60, 60), and the tip of a leader from the upper right."""
    way = math.radians(45.0)
    tip = (60 + radius * math.cos(way), 60 - radius * math.sin(way))
    out = math.radians(45.0 + aside)
    far = (tip[0] + 45 * math.cos(out), tip[1] - 45 * math.sin(out))
    dark = draw(
        (ring(60, 60, radius, **more), 2.5),
        ([tip, far], 1.5),
        *[(line, 1.5) for line in ([(20, 60), (100, 60)], [(60, 20), (60, 100)]) if crossed],
    )
    return dark, arrow(*tip, 45.0 + aside)


@pytest.mark.parametrize("radius", [7.0, 9.0, 12.5, 18.0])
@pytest.mark.parametrize("aside", [0.0, 15.0])
def test_a_hole_with_centre_lines_is_found_by_the_arrow_that_points_at_it(radius, aside):
    dark, tip = leader_to(radius, aside=aside)
    (hole,) = find_holes(dark, [tip], [])
    assert hole.centre.distance(Point(60, 60)) < 2.0
    assert abs(hole.radius - radius) < 1.5
    assert hole.sweep == 360.0


def test_a_thick_hole_with_the_ticks_of_its_leader_at_its_rim_is_found():
    """Inside meet the centre lines, the leader and both ticks: paper is outside only."""
    way = np.array([math.cos(math.radians(57.0)), -math.sin(math.radians(57.0))])
    tick = np.array([math.cos(math.radians(102.0)), -math.sin(math.radians(102.0))]) * 17.0
    middle = np.array([60.0, 60.0])
    near, far = middle - 15 * way, middle + 15 * way
    dark = draw(
        (ring(60, 60, 15.0), 4.5),
        ([middle - 55 * way, far], 3.0),
        ([near - tick, near + tick], 1.5),
        ([far - tick, far + tick], 1.5),
        ([(40, 60), (80, 60)], 1.5),
        ([(60, 40), (60, 110)], 3.0),
    )
    (hole,) = find_holes(dark, [arrow(*near, 242.0)], [])
    assert hole.centre.distance(Point(60, 60)) < 2.5  # it is fitted to the ink later
    assert abs(hole.radius - 15.0) < 1.1


def test_a_hole_that_a_hand_left_a_little_open_and_out_of_round_is_found():
    dark, tip = leader_to(12.0, gap=20.0, stray=0.8)
    assert len(find_holes(dark, [tip], [])) == 1


def test_half_a_circle_is_no_hole():
    dark, tip = leader_to(12.0, gap=160.0, crossed=False)
    assert find_holes(dark, [tip], []) == []


def test_a_black_dot_is_no_hole():
    dark = draw(([(60, 60), (60.1, 60)], 24.0))
    assert find_holes(dark, [arrow(72, 60, 0.0)], []) == []


def test_what_looks_like_a_ring_is_a_hole_without_any_arrow():
    dark, _ = leader_to(12.0)
    seen = Terminator(Point(61, 59), None, 0.5)
    (hole,) = find_holes(dark, [seen], [])
    assert abs(hole.radius - 12.0) < 1.5


def test_an_arrow_at_a_traced_circle_looks_for_no_other():
    dark, tip = leader_to(12.0)
    traced = DrawnArc(Point(60, 60), 12.0, 0.0, 360.0, 2.5)
    assert find_holes(dark, [tip], [traced]) == []


def test_two_arrows_at_one_hole_find_it_once():
    dark, tip = leader_to(12.0)
    assert len(find_holes(dark, [tip, arrow(60 + 12, 60, 0.0)], [])) == 1


def test_an_arrow_between_outlines_and_one_at_the_rim_of_the_picture_find_nothing():
    dark = draw(
        ([(40, 0), (40, 119)], 2.5), ([(80, 0), (80, 119)], 2.5), ([(40, 60), (80, 60)], 1.5)
    )
    assert (
        find_holes(dark, [arrow(40, 60, 0.0), arrow(80, 60, 180.0), arrow(119, 1, 225.0)], []) == []
    )
