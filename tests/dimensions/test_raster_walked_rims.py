"""Rims followed on either side of a leader's head, on ink drawn by hand."""

from __future__ import annotations

import math

import cv2
import numpy as np
import pytest

from audit.dimensions.raster_walk_ends import Meet, Walk
from audit.dimensions.raster_walk_steps import STEP_PT, FollowedInk
from audit.dimensions.raster_walked_rims import on_followed_rim, rim_at
from audit.geometry import Point
from audit.records import Arc
from tests.dimensions.raster_builder import PX, maps_of

RADIUS, CENTRE = 80.0, (180.0, 190.0)


def to_rim(radius):
    """A leader from the side of the centre to the rim."""
    tip = Point(CENTRE[0] - radius * math.cos(0.8), CENTRE[1] - radius * math.sin(0.8))
    return Walk(tuple(tip.moved(STEP_PT * k * 0.7, STEP_PT * k * 0.7) for k in range(40, -1, -1)))


TO_TIP = to_rim(RADIUS)
TIP = TO_TIP.points[-1]


def bow(radius=RADIUS, *, waver=0.3, on=40.0):
    """A quarter circle that wavers, between straight sides that go on from it."""
    t = np.linspace(0.0, math.pi / 2, 200)
    r = radius + waver * np.sin(9.0 * t)
    x, y = CENTRE[0] - r * np.cos(t), CENTRE[1] - r * np.sin(t)
    sides = [(x[0], y[0] + on)], [(x[-1] + on, y[-1])]
    return [*sides[0], *zip(x.tolist(), y.tolist(), strict=True), *sides[1]]


def followed(points):
    def draw(dark):
        line = np.round(np.array(points) * PX).astype(np.int32)
        cv2.polylines(dark, [line], isClosed=False, color=255, thickness=3)

    maps = maps_of(draw)
    return FollowedInk(maps.dark, PX * maps.factor)


def traced(radius, sweep=80.0):
    return Arc(centre=Point(*CENTRE), radius=radius, start=95.0, sweep=sweep, width=0.6, path=0)


def test_the_wavering_sweep_between_straight_sides_is_known_by_its_rim():
    rim = rim_at(TO_TIP, followed(bow()))
    assert rim.radius == pytest.approx(RADIUS, rel=0.03)
    assert rim.centre.distance(Point(*CENTRE)) < 3.0
    assert 85.0 < rim.sweep < 105.0  # a side leaves a circle slowly


@pytest.mark.parametrize("radius", [21.0, 24.0, 45.0, RADIUS])
def test_a_rim_that_runs_into_straight_sides_is_known_no_better_than_they_let_it(radius):
    meet = on_followed_rim(None, to_rim(radius), followed(bow(radius, waver=0.0, on=120.0)))
    assert abs(meet.arc.radius - radius) < 2 * meet.sigma


def test_neither_a_straight_edge_nor_an_open_end_is_a_rim():
    edge = [TIP.moved(60.0, -60.0), TIP.moved(-60.0, 60.0)]
    assert rim_at(TO_TIP, followed(edge)) is None
    assert rim_at(TO_TIP, followed([TIP, TIP.moved(60.0, -60.0)])) is None


def test_the_rim_overrules_a_traced_arc_that_strays_from_it_and_no_whole_circle():
    dark = followed(bow())
    wrong, right, whole = traced(90.0), traced(80.5), traced(90.0, 360.0)
    led = [
        on_followed_rim(m and Meet(m, TIP, 0.0, within=False), TO_TIP, dark).arc
        for m in (None, wrong, right, whole)
    ]
    assert [round(arc.radius / 5) * 5 for arc in led] == [80, 80, 80, 90]
    assert led[2] is right
    assert led[3] is whole
