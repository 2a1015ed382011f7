"""Snapping against vector drawings rendered by MuPDF, whose coordinates are the truth."""

from __future__ import annotations

import math

import numpy as np
import pytest

from audit.geometry import Point
from audit.records import DimensionKind, EndKind
from audit.snapping import (
    SnapKind,
    find_strokes,
    snap_angle,
    snap_circle,
    snap_distance,
    snap_point,
    snap_round,
)
from tests.bench.snapping import measure
from tests.snapping.drawn import degrade, new_page, render


def rectangle(dpi: int = 200):
    """A thick rectangle 60,60 - 200,150 pt with an extension line above its left edge."""
    page = new_page()
    shape = page.new_shape()
    shape.draw_rect((60, 60, 200, 150))
    shape.finish(width=1.7)
    shape.draw_line((60, 52), (60, 20))
    shape.draw_line((200, 52), (200, 20))
    shape.draw_line((60, 24), (200, 24))
    shape.finish(width=0.5)
    shape.commit()
    return render(page, dpi)


def test_small_circle_is_not_drawn_in_by_the_marks_that_cross_it():
    """Where ticks and a leader run into its line, a ray finds them as one with it."""
    page = new_page()
    shape = page.new_shape()
    shape.draw_circle((100, 100), 5.6)
    shape.finish(width=1.4)
    way = np.array([math.cos(math.radians(57)), -math.sin(math.radians(57))])
    tick = np.array([math.cos(math.radians(102)), -math.sin(math.radians(102))]) * 6.5
    for end in (-5.6 * way, 5.6 * way):
        shape.draw_line(tuple(100 + end - tick), tuple(100 + end + tick))
    shape.finish(width=0.6)
    shape.draw_line(tuple(100 - 20 * way), tuple(100 + 5.6 * way))
    shape.draw_line((100, 92), (100, 130))
    shape.finish(width=1.0)
    shape.commit()
    seen = render(page, 200)
    circle = snap_circle(seen.gray, seen.px(100.2, 100.1), 5.8 * seen.px_per_pt)
    assert circle is not None
    assert circle.radius == pytest.approx(5.6 * seen.px_per_pt, abs=0.2)
    assert circle.centre.distance(seen.px(100, 100)) < 0.2


@pytest.mark.parametrize("dpi", [150, 200, 300])
def test_distance_between_strokes_is_known_to_a_tenth_of_a_pixel_on_clean_renders(dpi):
    rms, clicks, radius, _, lost = measure(dpi, noise=0, blur=0, count=12, seed=1)
    assert lost == 0
    assert rms <= 0.1 < clicks
    assert radius <= 0.1


@pytest.mark.parametrize("dpi", [150, 300])
def test_distance_between_strokes_is_known_to_a_fifth_of_a_pixel_through_noise(dpi):
    rms, _, radius, _, lost = measure(dpi, noise=12, blur=1, count=12, seed=2)
    assert lost == 0
    assert rms <= 0.2
    assert radius <= 0.2


def test_clicks_anywhere_along_two_extension_lines_measure_square_between_them():
    picture = rectangle()
    a, b = picture.px(60, 26), picture.px(200, 44)
    found = snap_distance(picture.gray, a.moved(1.5, 0), b.moved(-1.5, 0), px_per_mm=200 / 25.4)
    ends = [end.point for end in found.ends]
    assert ends[0].distance(ends[1]) == pytest.approx(140 * picture.px_per_pt, abs=0.1)
    assert {end.kind for end in found.ends} == {EndKind.EXTENSION}


def test_diagonal_clicks_on_corners_are_not_squared_to_an_edge():
    picture = rectangle()
    a, b = picture.px(60, 60), picture.px(200, 150)
    found = snap_distance(picture.gray, a.moved(1, -1), b.moved(-1, 1), px_per_mm=200 / 25.4)
    ends = [end.point for end in found.ends]
    true = math.hypot(140, 90) * picture.px_per_pt
    assert ends[0].distance(ends[1]) == pytest.approx(true, abs=0.15)
    assert {end.kind for end in found.ends} == {EndKind.OUTLINE}


def test_thick_outline_is_told_from_thin_extension_line():
    picture = rectangle()
    found = snap_distance(picture.gray, picture.px(60, 100), picture.px(200, 100), px_per_mm=7.874)
    assert [end.kind for end in found.ends] == [EndKind.OUTLINE, EndKind.OUTLINE]
    assert found.ends[0].line_width == pytest.approx(1.7 * picture.px_per_pt, abs=0.6)


def test_corner_and_crossing_are_told_apart():
    picture = rectangle()
    corner = snap_point(picture.gray, picture.px(60, 60).moved(2, 2))
    assert corner.kind is SnapKind.CORNER
    assert corner.point.distance(picture.px(60, 60)) < 0.15
    page = new_page()
    page.draw_line((40, 100), (240, 100), width=0.7)
    page.draw_line((140, 30), (140, 170), width=0.7)
    crossed = render(page, 200)
    crossing = snap_point(crossed.gray, crossed.px(140, 100).moved(-3, 2))
    assert crossing.kind is SnapKind.CROSSING
    assert crossing.point.distance(crossed.px(140, 100)) < 0.15


def test_blank_paper_snaps_to_nothing_and_says_so():
    gray = np.full((200, 200), 250, np.uint8)
    snap = snap_point(gray, Point(80.0, 90.0))
    assert snap.kind is SnapKind.NONE
    assert snap.point == Point(80.0, 90.0)
    found = snap_distance(gray, Point(20.0, 20.0), Point(150.0, 20.0))
    assert found.remark == "nothing to snap to at either point"


def test_noise_alone_is_no_stroke():
    rng = np.random.default_rng(5)
    gray = degrade(np.full((200, 200), 235, np.uint8), rng, noise=12, blur=0)
    assert find_strokes(gray, Point(100.0, 100.0)) == ()


@pytest.mark.parametrize("place", [(-50.0, 10.0), (1e9, 3.0), (math.nan, 1.0), (0.2, 0.2)])
def test_places_outside_the_picture_find_nothing(place):
    gray = np.full((60, 80), 255, np.uint8)
    assert find_strokes(gray, Point(*place)) == ()
    assert snap_circle(gray, Point(*place), 10.0) is None


def test_radius_and_diameter_of_one_circle_agree():
    page = new_page()
    page.draw_circle((144, 108), 30, width=1.2)
    page.draw_line((100, 108), (190, 108), width=0.5)
    picture = render(page, 200)
    centre, rim = picture.px(144, 108).moved(2, -1), picture.px(174, 108).moved(1, 1)
    far = picture.px(114, 108).moved(-1, 1)
    radius = snap_round(picture.gray, DimensionKind.RADIUS, centre, rim)
    across = snap_round(picture.gray, DimensionKind.DIAMETER, far, rim)
    r = radius.ends[0].point.distance(radius.ends[1].point)
    assert r == pytest.approx(30 * picture.px_per_pt, abs=0.1)
    assert across.ends[0].point.distance(across.ends[1].point) == pytest.approx(2 * r, abs=0.1)
    assert radius.sweep == 360.0


def test_quarter_arc_is_fitted_and_its_sweep_told():
    page = new_page()
    turns = np.radians(np.arange(0, 90.25, 0.25))
    page.draw_polyline([(144 + 40 * math.cos(t), 108 + 40 * math.sin(t)) for t in turns], width=1)
    picture = render(page, 300)
    found = snap_round(
        picture.gray, DimensionKind.RADIUS, picture.px(144, 108), picture.px(172.28, 136.28)
    )
    r = found.ends[0].point.distance(found.ends[1].point)
    assert r == pytest.approx(40 * picture.px_per_pt, abs=0.1)
    assert found.sweep == pytest.approx(90, abs=6)


def test_diameter_of_a_pin_seen_from_the_side_is_measured_between_its_edges():
    picture = rectangle()
    a, b = picture.px(130, 60).moved(1, -2), picture.px(130, 150).moved(-1, 2)
    found = snap_round(picture.gray, DimensionKind.DIAMETER, a, b)
    ends = [end.point for end in found.ends]
    assert found.remark == ""
    assert ends[0].distance(ends[1]) == pytest.approx(90 * picture.px_per_pt, abs=0.1)


def test_no_circle_where_none_is_drawn():
    picture = rectangle()
    found = snap_round(
        picture.gray, DimensionKind.RADIUS, picture.px(130, 105), picture.px(150, 105)
    )
    assert found.remark == "no circle is drawn through these points"
    with pytest.raises(ValueError, match="not measured on a circle"):
        snap_round(picture.gray, DimensionKind.ANGLE, Point(1, 1), Point(2, 2))


@pytest.mark.parametrize("degrees", [30.0, 45.0, 120.0])
def test_angle_between_two_edges_is_known_to_a_tenth_of_a_degree(degrees):
    page = new_page()
    turn = math.radians(degrees)
    tip = (144 + 60 * math.cos(turn), 120 - 60 * math.sin(turn))
    page.draw_line((144, 120), (204, 120), width=1.0)
    page.draw_line((144, 120), tip, width=1.0)
    picture = render(page, 200)
    found = snap_angle(
        picture.gray,
        picture.px(144, 120).moved(1.5, 1),
        picture.px(190, 120).moved(0, 1.5),
        picture.px(144 + 46 * math.cos(turn), 120 - 46 * math.sin(turn)).moved(1, 0),
    )
    v, p, q = (np.array(end.point) for end in found.ends)
    cosine = (p - v) @ (q - v) / np.linalg.norm(p - v) / np.linalg.norm(q - v)
    assert math.degrees(math.acos(cosine)) == pytest.approx(degrees, abs=0.1)


def test_faint_scan_with_uneven_light_is_still_measured():
    picture = rectangle(200)
    light = np.linspace(0.6, 1.0, picture.gray.shape[1])[None, :]
    gray = (255 - (255 - picture.gray.astype(float)) * 0.5) * light
    a, b = picture.px(60, 40).moved(2, 0), picture.px(200, 40).moved(-2, 0)
    found = snap_distance(gray.astype(np.uint8), a, b)
    ends = [end.point for end in found.ends]
    assert ends[0].distance(ends[1]) == pytest.approx(140 * picture.px_per_pt, abs=0.15)
