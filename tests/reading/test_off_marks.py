"""Marks in the crops of the texts between them, drawn by OpenCV."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest

from audit.geometry import Box, Point
from audit.networks.page import PageMaps, Terminator
from audit.reading import TextSpot
from audit.reading.off_marks import clear_of_extension_lines, clear_of_marks, cut_shorter

HEIGHT = 20  # of the figures, px
ROW = 100


def picture(*, heads=(), rings=(), figures=((60, 72), (80, 92))):
    """Figures as blocks in a row, solid heads (tip, back) and rings with a line through them."""
    gray = np.full((200, 240), 240, np.uint8)
    for x0, x1 in figures:
        cv2.rectangle(gray, (x0, ROW - 10), (x1, ROW + 10), 30, 2)
    for tip, back in heads:
        corners = np.array([(tip, ROW), (back, ROW - 5), (back, ROW + 5)], np.int32)
        cv2.fillPoly(gray, [corners], 30)
    for x in rings:
        cv2.circle(gray, (x, ROW), 7, 30, 2)
        cv2.line(gray, (x, 30), (x, 170), 30, 2)
    return gray


def cleared(gray, *tips, left, right, by=clear_of_marks):
    """The columns, in the picture, of the one text between `left` and `right`."""
    empty = np.zeros((50, 60), np.uint8)
    marks = tuple(Terminator(Point(x, ROW), direction, 0.9) for x, direction in tips)
    maps = PageMaps(marks, empty, empty, empty, empty, np.zeros((100, 120), np.uint8), 1.0)
    spot = TextSpot(
        box=Box(left, ROW - 10, right, ROW + 10),
        angle=0.0,
        distance=0.0,
        crop=gray[ROW - 12 : ROW + 13, left:right],
        centre=Point((left + right) / 2, ROW),
        length=float(right - left),
        height=float(HEIGHT),
    )
    [done] = by(gray, maps, [spot])
    return done


def test_backs_of_arrowheads_are_cut_off_the_text_between_them():
    gray = picture(heads=((20, 52), (132, 100)))
    done = cleared(gray, (20, 0.0), (132, 180.0), left=46, right=106)
    assert (done.box.x0, done.box.x1) == pytest.approx((59, 94), abs=1.5)
    assert done.crop[:, 0].min() > 200
    assert done.crop[:, -1].min() > 200


def test_ring_with_its_extension_line_is_cut_off():
    done = cleared(picture(rings=(45,)), (45, None), left=36, right=94)
    assert done.box.x0 == pytest.approx(59, abs=1.5)


def test_figure_that_touches_its_arrowhead_stays():
    gray = picture(heads=((20, 61),))
    done = cleared(gray, (20, 0.0), left=46, right=94)
    assert done.box.x0 == 46


def test_figure_that_touches_its_arrowhead_stays_where_another_arrowhead_goes():
    """As ``5/8`` between two heads, of which ``/8`` was left."""
    gray = picture(heads=((16, 61), (132, 100)))
    done = cleared(gray, (16, 0.0), (132, 180.0), left=46, right=106)
    assert (done.box.x0, done.box.x1) == pytest.approx((46, 94), abs=1.5)


def test_text_without_a_mark_stays_as_it_was_cut():
    gray = picture(heads=((20, 52),))
    assert cleared(gray, left=46, right=94).box.x0 == 46


def test_a_1_that_touches_the_line_of_its_arrowhead_stays_though_a_slash_is_taller():
    """As ``1 13/32``, of which ``13/32`` would be read surely."""
    gray = picture(heads=((20, 40),), figures=((72, 84), (92, 104)))
    cv2.line(gray, (40, ROW), (60, ROW), 30, 2)
    cv2.line(gray, (60, ROW - 7), (60, ROW + 7), 30, 2)  # a 1 lower than the row
    done = cleared(gray, (20, 0.0), left=46, right=106)
    assert done.box.x0 == 46


@pytest.mark.parametrize("slash", [True, False])
def test_a_filled_figure_stays_under_a_slash_that_more_of_its_text_follows(slash):
    """As the 4 of ``1/4"``, of which ``1/"`` was left."""
    gray = picture(figures=((60, 66),))
    cv2.line(gray, (68, ROW + 10), (84 if slash else 68, ROW - 10), 30, 2)
    cv2.fillPoly(gray, [np.array([(79, ROW + 4), (87, ROW - 1), (87, ROW + 9)], np.int32)], 30)
    cv2.rectangle(gray, (90, ROW - 10), (94, ROW - 4), 30, -1)  # an inch mark
    done = cleared(gray, (79, 0.0), left=56, right=96)
    assert (done.crop[14:18, 24:30].min() < 60) == slash


@pytest.mark.parametrize(("cut_off", "asked"), [(7.0, 1), (3.0, 0)])
def test_a_text_that_lost_as_much_as_a_figure_is_read_as_it_was_too(cut_off, asked):
    before = TextSpot(
        box=Box(46, ROW - 10, 94, ROW + 10),
        angle=0.0,
        distance=0.0,
        crop=picture()[ROW - 12 : ROW + 13, 46:94],
        centre=Point(70, ROW),
        length=48.0,
        height=float(HEIGHT),
    )
    assert len(cut_shorter(before, replace(before, length=48.0 - cut_off))) == asked


def crossed(tip, back, *, left=46, right=94):
    """A text before which a head stands, with a line across at x = 50."""
    gray = picture(heads=((tip, back),))
    cv2.line(gray, (50, ROW - 12), (50, ROW + 12), 30, 2)
    direction = 180.0  # outwards
    return cleared(gray, (tip, direction), left=left, right=right, by=clear_of_extension_lines)


def test_a_line_that_a_head_outside_points_at_is_no_1_before_a_number():
    done = crossed(50, 34)
    assert (done.box.x0, done.box.x1) == pytest.approx((59, 94), abs=1.5)
    assert done.crop[:, 0].min() > 200


@pytest.mark.parametrize(("tip", "back"), [(30, 49), (38, 28)])
def test_a_1_at_the_back_of_a_head_or_off_its_tip_is_a_figure(tip, back):
    assert crossed(tip, back).box.x0 == 46


def test_a_figure_that_a_head_points_at_is_none_of_its_lines():
    gray = picture(heads=((60, 44),))
    done = cleared(gray, (60, 180.0), left=56, right=94, by=clear_of_extension_lines)
    assert done.box.x0 == 56


@pytest.mark.parametrize(("low", "left"), [(ROW + 12, 59), (170, 51)])
def test_a_1_right_behind_a_long_line_that_a_head_points_at_is_a_figure(low, left):
    """As the first of ``1 1/2`` that fills its room; of a short line it may be a piece."""
    gray = picture(heads=((50, 34),))
    cv2.line(gray, (50, 2 * ROW - low), (50, low), 30, 1)
    cv2.line(gray, (53, ROW - 10), (53, ROW + 10), 30, 1)
    done = cleared(gray, (50, 180.0), left=51, right=94, by=clear_of_extension_lines)
    assert done.box.x0 == pytest.approx(left, abs=1.5)
