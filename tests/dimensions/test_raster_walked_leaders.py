"""Leaders walked from their notes to circles, on ink drawn by hand."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import cv2
import numpy as np
import pytest

from audit.dimensions.raster_walk_ends import STEP_PT, Walk, that_end
from audit.dimensions.raster_walked_leaders import with_walked
from audit.geometry import Point
from audit.networks.page import Terminator
from audit.records import Arc, DimensionKind
from tests.dimensions.raster_builder import PX, draw_arc, maps_of, text_at

CENTRE = (200.0, 200.0)
NOTE = text_at("DRILL 3/8", (300.0, 100.0))
SIDE = (300.0 - NOTE.line.length / 2 - 5.0, 100.0)


def on(radius, turn, centre=CENTRE):
    t = math.radians(turn)
    return centre[0] + radius * math.cos(t), centre[1] - radius * math.sin(t)


def circle(radius, *, start=0.0, sweep=360.0, centre=CENTRE):
    return Arc(
        centre=Point(*centre), radius=radius, start=start, sweep=sweep, width=0.6, path=int(radius)
    )


def polyline(*points, width=2):
    def draw(dark):
        for a, b in pairwise(points):
            cv2.line(dark, *(tuple(round(v * PX) for v in p) for p in (a, b)), 255, width)

    return draw


def swept(tip, *, bulge=0.25):
    """A bow from the note's side to a tip, out of its straight way by `bulge` of its length."""
    (x0, y0), (x1, y1) = SIDE, tip
    t = np.linspace(0.0, 1.0, 40)
    off = 2 * t * (1 - t) * bulge
    x, y = x0 + t * (x1 - x0) + off * (y1 - y0), y0 + t * (y1 - y0) - off * (x1 - x0)
    return polyline(*zip(x.tolist(), y.tolist(), strict=True))


def rims(*arcs):
    def draw(dark):
        for arc in arcs:
            draw_arc(dark, arc.centre, arc.radius, arc.start, arc.start + arc.sweep)

    return draw


def walked(*draws, note=NOTE, arcs=(), found=(), inked=True, heads=()):
    """What is found where the ink is drawn so, and these circles are known."""

    def draw(dark):
        for one in (rims(*arcs if inked else ()), *draws):
            one(dark)

    maps = maps_of(draw)
    led = with_walked(
        found, [note], arcs, terminators=heads, gray=255 - maps.dark, maps=maps, px_per_pt=PX
    )
    return led[len(found) :]


def radius_of(candidate):
    a, b = candidate.radius_ends
    return a.point.distance(b.point)


@pytest.mark.parametrize("bulge", [-0.3, -0.15, 0.15, 0.3])
def test_a_bow_leads_from_its_note_to_the_circle_it_ends_at(bulge):
    tip = (215.0, 180.0)
    dx, dy = tip[0] - SIDE[0], tip[1] - SIDE[1]
    inward = np.array([dx - 2 * bulge * dy, dy + 2 * bulge * dx])  # the bow's direction at its tip
    centre = np.array(tip) + 25.0 * inward / np.hypot(*inward)
    (leader,) = walked(swept(tip, bulge=bulge), arcs=[circle(25.0, centre=tuple(centre))])
    assert leader.kind is DimensionKind.DIAMETER
    assert radius_of(leader) == pytest.approx(25.0)
    assert leader.line[0].distance(Point(*tip)) < 3.0


def test_a_leader_with_a_shoulder_and_no_head_leads_to_its_circle():
    knee, tip = (SIDE[0] - 9.0, 100.0), on(25.0, 60.0)
    knee = (tip[0] + (tip[1] - 100.0) / math.tan(math.radians(60.0)), 100.0)
    (leader,) = walked(polyline(SIDE, knee, tip), arcs=[circle(25.0)])
    assert radius_of(leader) == pytest.approx(25.0)


def test_a_leader_runs_on_over_an_outer_circle_and_an_edge_to_the_inner_one():
    edge = polyline((225.0, 60.0), (225.0, 260.0), width=4)
    (leader,) = walked(swept(on(18.0, 64.0)), edge, arcs=[circle(18.0), circle(60.0)])
    assert radius_of(leader) == pytest.approx(18.0)


def test_a_small_hole_that_nobody_has_found_is_looked_for_where_a_leader_ends():
    hole = circle(4.0)
    cross = [polyline((190, 200), (210, 200)), polyline((200, 190), (200, 210))]
    (leader,) = walked(rims(hole), *cross, swept(on(4.0, 64.0)))
    assert radius_of(leader) == pytest.approx(4.0, abs=0.3)


def test_a_walk_that_runs_into_a_small_hole_does_not_take_the_circle_of_holes_about_it():
    hole, pitch = circle(4.0), circle(90.0, centre=(110.0, 200.0))
    (leader,) = walked(rims(hole), swept(on(4.0, 64.0)), arcs=[pitch])
    assert radius_of(leader) == pytest.approx(4.0, abs=0.3)


def test_a_line_that_ends_before_a_circle_leads_to_nothing():
    way = math.degrees(math.atan2(100.0, SIDE[0] - 200.0))
    assert walked(polyline(SIDE, on(40.0, way)), arcs=[circle(25.0)]) == []
    assert len(walked(polyline(SIDE, on(26.0, way)), arcs=[circle(25.0)])) == 1


def test_a_line_that_ends_on_a_rim_on_its_way_past_the_centre_leads_to_nothing():
    level = polyline(SIDE, (218.0, 100.0))  # the rims are not inked: it would run on along one
    past, at = circle(25.0, centre=(200.0, 117.5)), circle(25.0, centre=(193.5, 104.0))
    assert walked(level, arcs=[past], inked=False) == []
    assert len(walked(level, arcs=[at], inked=False)) == 1


def test_a_radius_is_led_to_a_short_arc_and_a_diameter_is_not():
    corner = circle(25.0, start=20.0, sweep=90.0)
    radius = text_at("R .375 TY", (300.0, 100.0))
    (leader,) = walked(swept(on(25.0, 64.0)), note=radius, arcs=[corner])
    assert leader.kind is DimensionKind.RADIUS
    assert walked(swept(on(25.0, 64.0)), arcs=[corner]) == []


def test_a_bare_number_is_led_nowhere():
    number = text_at("375 5/8 3", (300.0, 100.0))
    assert number.line.length == NOTE.line.length
    assert walked(swept(on(25.0, 64.0)), note=number, arcs=[circle(25.0)]) == []


def test_a_note_that_another_leader_ends_at_is_left_alone():
    (leader,) = walked(swept(on(25.0, 64.0)), arcs=[circle(25.0)])
    elsewhere = tuple(replace(e, point=e.point.moved(60.0, 60.0)) for e in leader.radius_ends)
    other = replace(leader, radius_ends=elsewhere, strict=False)
    assert walked(swept(on(25.0, 64.0)), arcs=[circle(25.0)], found=[other]) == []
    far = replace(other, line=other.line[:1])
    assert len(walked(swept(on(25.0, 64.0)), arcs=[circle(25.0)], found=[far])) == 1


def test_a_walk_that_turns_off_along_a_centre_line_has_ended_in_its_hole():
    hole, wheel = (circle(r, centre=(225.0, 200.0)) for r in (4.0, 60.0))
    axle = polyline((225, 130), (225, 270), width=3)
    (leader,) = walked(axle, polyline(SIDE, (225.0, 200.0)), arcs=[hole, wheel])
    assert radius_of(leader) == pytest.approx(4.0)


def test_a_straight_line_on_over_a_hole_does_not_end_in_it():
    hole = circle(4.0)
    beyond = tuple(s + 1.4 * (c - s) for s, c in zip(SIDE, CENTRE, strict=True))
    assert walked(polyline(SIDE, beyond), arcs=[hole]) == []
    assert len(walked(polyline(SIDE, CENTRE), arcs=[hole])) == 1


def test_a_hole_that_was_found_before_keeps_its_radius():
    (leader,) = walked(rims(circle(4.0)), swept(on(4.0, 64.0)), arcs=[circle(4.6)])
    assert radius_of(leader) == pytest.approx(4.6)


def test_a_leader_that_no_mark_shows_gives_way_to_what_a_walk_finds():
    (leader,) = walked(swept(on(25.0, 64.0)), arcs=[circle(25.0)])
    elsewhere = tuple(replace(e, point=e.point.moved(60.0, 60.0)) for e in leader.radius_ends)
    bare = replace(leader, radius_ends=elsewhere, strict=True, strength=0.7)
    assert len(walked(swept(on(25.0, 64.0)), arcs=[circle(25.0)], found=[bare])) == 1


RADIUS = text_at("R .375 TY", (300.0, 100.0))


def test_a_radius_is_led_to_from_the_side_of_its_centre_and_a_diameter_is_not():
    tip = (230.0, 150.0)  # the sweep of a bracket, its centre beside the note
    way = math.atan2(SIDE[1] - tip[1], SIDE[0] - tip[0])
    centre = (tip[0] + 90.0 * math.cos(way), tip[1] + 90.0 * math.sin(way))
    sweep = circle(90.0, start=160.0, sweep=110.0, centre=centre)
    assert sweep.sweep < 180.0
    (leader,) = walked(polyline(SIDE, tip), note=RADIUS, arcs=[sweep])
    assert radius_of(leader) == pytest.approx(90.0)
    assert walked(polyline(SIDE, tip), arcs=[replace(sweep, start=0.0, sweep=360.0)]) == []


def test_a_walk_that_turns_along_the_rim_ends_at_the_head_that_it_came_to():
    tip = (230.0, 150.0)
    way = math.atan2(tip[1] - SIDE[1], tip[0] - SIDE[0]) - math.radians(45.0)
    centre = (tip[0] + 60.0 * math.cos(way), tip[1] + 60.0 * math.sin(way))
    met = -math.degrees(way) + 180.0  # where on the circle
    along = [on(60.0, met + off, centre=centre) for off in range(0, 50, 5)]
    aslant = polyline(SIDE, tip, *along)
    corner = circle(60.0, start=met - 90.0, sweep=180.0, centre=centre)
    body = math.degrees(math.atan2(tip[1] - SIDE[1], SIDE[0] - tip[0]))
    head = Terminator(Point(*tip), body, 0.9)

    def led(*heads):
        return walked(aslant, note=RADIUS, arcs=[corner], inked=False, heads=heads)

    (leader,) = led(head)
    assert leader.line[0].distance(Point(*tip)) < 3.0
    assert (
        led() == led(replace(head, direction=body + 180.0)) == led(replace(head, score=0.4)) == []
    )


def test_a_walk_that_runs_round_a_hole_for_good_ends_at_its_head():
    way_in = [Point(140.0 + STEP_PT * k, 184.0) for k in range(86)]
    turns = np.arange(0.0, 200.0 / 16.0, STEP_PT / 16.0)
    round_it = [Point(200.0 + 16.0 * math.sin(t), 200.0 - 16.0 * math.cos(t)) for t in turns]
    endless = Walk((*way_in, *round_it))
    assert list(that_end([endless], ())) == []
    (cut,) = that_end([endless], [Terminator(Point(200.0, 184.5), 180.0, 0.9)])
    assert cut.points[-1].distance(Point(200.0, 184.0)) < 1.0
    short = Walk(endless.points[:100])
    assert list(that_end([short], ())) == [short]


def test_a_leader_to_a_diameter_may_cross_its_circle_to_the_far_rim():
    far = on(25.0, 226.0)  # past the centre, seen from the note
    (leader,) = walked(polyline(SIDE, far), arcs=[circle(25.0)], inked=False)
    assert leader.kind is DimensionKind.DIAMETER
    assert leader.line[0].distance(Point(*far)) < 3.0
    within = polyline(SIDE, on(8.0, 226.0))
    assert walked(within, arcs=[circle(25.0)], inked=False) == []
