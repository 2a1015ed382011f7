"""Radii, diameters and angles on small pages drawn by hand, and what looks like them."""

from __future__ import annotations

import math

import pytest

from audit.records import DimensionKind
from tests.dimensions.page_builder import PageBuilder, plate, shown


def test_item_numbers_in_balloons_are_no_diameters():
    builder = PageBuilder()
    builder.circle((200, 300), 40)
    builder.circle((300, 220), 9, 0.5)
    builder.text("3", (300, 220))
    tip, tail = (200 + 40 * 0.78, 300 - 40 * 0.62), (300 - 9 * 0.78, 220 + 9 * 0.62)
    builder.line(tip, tail)
    builder.arrow(tip, tail)
    assert builder.find().dimensions == ()


def leader(builder: PageBuilder, text: str, *, tip: tuple[float, float]) -> None:
    builder.path([tip, (280, 240), (292, 240)])
    builder.arrow(tip, (280, 240))
    builder.text(text, (294 + 2.6 * len(text), 240))


@pytest.mark.parametrize(
    ("text", "kind", "size"),
    [
        ("Ø 7/8", DimensionKind.DIAMETER, 60.0),
        ("7/8 DIA", DimensionKind.DIAMETER, 60.0),
        ("1/4 DRILL 2 PLACES", DimensionKind.DIAMETER, 60.0),
        ("R 7/16", DimensionKind.RADIUS, 30.0),
        ("7/16 R", DimensionKind.RADIUS, 30.0),
    ],
)
def test_leader_to_a_circle_measures_the_circle_itself(text, kind, size):
    builder = PageBuilder()
    builder.circle((200, 300), 30)
    leader(builder, text, tip=(200 + 30 * 0.8, 300 - 30 * 0.6))
    [d] = builder.find().dimensions
    assert (d.kind, d.reading and d.reading.text) == (kind, text)
    assert shown(d)[2] == pytest.approx(size, abs=0.02)
    assert d.sweep == pytest.approx(360)
    middle = d.ends[0].point.midpoint(d.ends[1].point)
    centre = d.ends[0].point if kind is DimensionKind.RADIUS else middle
    assert centre == pytest.approx((200, 300), abs=1e-2)


def test_leader_without_arrowhead_that_stops_short_of_its_circle():
    builder = PageBuilder()
    builder.circle((200, 300), 12)
    builder.path([(212, 291), (260, 255), (290, 255)])
    builder.text("Ø 5/16", (308, 255))
    [d] = builder.find().dimensions
    assert d.kind is DimensionKind.DIAMETER
    assert shown(d)[2] == pytest.approx(24, abs=0.02)


def test_diameter_across_its_circle():
    builder = PageBuilder()
    builder.circle((200, 300), 60)
    a, b = (200 - 48, 300 + 36), (200 + 48, 300 - 36)
    builder.line(a, b)
    builder.arrow(a, b)
    builder.arrow(b, a)
    builder.text("Ø 1 3/4", (194, 292), angle=math.degrees(math.atan2(36, 48)))
    [d] = builder.find().dimensions
    assert d.kind is DimensionKind.DIAMETER
    assert shown(d)[2] == pytest.approx(120, abs=0.05)


@pytest.mark.parametrize(("off", "count"), [(0, 1), (5, 1), (30, 0)])
def test_leader_points_at_the_centre_of_its_circle_or_is_none(off, count):
    builder = PageBuilder()
    builder.circle((200, 400), 100)
    tip = (270.71, 329.29)
    turn = math.radians(45 + off)
    tail = (tip[0] + 60 * math.cos(turn), tip[1] - 60 * math.sin(turn))
    builder.path([tip, tail, (tail[0] + 12, tail[1])])
    builder.arrow(tip, tail)
    builder.text("1 3/8", (tail[0] + 28, tail[1]))
    assert len(builder.find().dimensions) == count


def test_two_line_callout_stays_whole():
    builder = PageBuilder()
    builder.circle((200, 300), 30)
    builder.arrow((224, 282), (280, 240))
    builder.path([(224, 282), (280, 240), (292, 240)])
    builder.text("Ø 7/8", (306, 240))
    builder.text("4 HOLES", (313, 251))
    [d] = builder.find().dimensions
    assert d.reading is not None
    assert d.reading.text == "Ø 7/8 4 HOLES"


def test_angle_between_two_legs():
    builder = PageBuilder()
    builder.path([(100, 300), (260, 300)], width=1.2)
    builder.line((100, 300), (240, 180), 1.2)
    t, r = math.atan2(120, 140), 90.0
    points = [(100 + r * math.cos(t * k / 24), 300 - r * math.sin(t * k / 24)) for k in range(25)]
    builder.path(points)
    builder.arrow(points[0], (points[0][0] + 0.6, points[0][1] - 8))
    builder.arrow(points[-1], (points[-1][0] + 8 * math.sin(t), points[-1][1] + 8 * math.cos(t)))
    builder.text("41°", (100 + 104 * math.cos(t / 2), 300 - 104 * math.sin(t / 2)))
    [d] = builder.find().dimensions
    assert d.kind is DimensionKind.ANGLE
    vertex, one, two = (e.point for e in d.ends)
    assert vertex == pytest.approx((100, 300), abs=0.05)
    turns = sorted(math.degrees(math.atan2(vertex.y - p.y, p.x - vertex.x)) for p in (one, two))
    assert turns == pytest.approx([0, math.degrees(t)], abs=0.05)


@pytest.mark.parametrize("how", ["filled", "open", "blank"])
def test_angle_whose_arc_is_broken_for_its_text_down_to_its_arrowheads(how):
    """Two arrowheads square to two lines, as far from where these meet: 40° lettered between."""
    builder = PageBuilder()
    vertex, r = (200.0, 300.0), 70.0
    turns = [math.radians(t) for t in (50.0, 90.0)]
    tips = [(vertex[0] + r * math.cos(t), vertex[1] - r * math.sin(t)) for t in turns]
    for t, tip, way in zip(turns, tips, (1, -1), strict=True):
        builder.line(vertex, (vertex[0] + 110 * math.cos(t), vertex[1] - 110 * math.sin(t)))
        back = t + way * 8 / r
        builder.arrow(
            tip, (vertex[0] + r * math.cos(back), vertex[1] - r * math.sin(back)), how=how
        )
    middle = math.radians(70.0)
    at = (vertex[0] + r * math.cos(middle), vertex[1] - r * math.sin(middle))
    builder.text("40°", at, angle=-20.0)
    [d] = builder.find().dimensions
    assert (d.kind, d.reading.text if d.reading else None) == (DimensionKind.ANGLE, "40°")
    assert (d.ends[0].point.x, d.ends[0].point.y) == pytest.approx(vertex, abs=0.01)
    builder.text("40", (at[0] + 60, at[1] + 60))
    assert [f.reading.text for f in builder.find().dimensions if f.reading] == ["40°"]


def frame_on_leader(builder: PageBuilder, *walls: float) -> None:
    """A box from wall to wall with a text in the last part, whose leader meets a hole."""
    builder.circle((200, 290), 12)
    builder.rectangle((walls[0], 200, walls[-1], 214), width=0.4)
    for x in walls[1:-1]:
        builder.line((x, 200), (x, 214), 0.4)
        builder.line((walls[0], 207), (x - 1, 207), 0.4)  # of its symbol
    builder.text("Ø.02", ((walls[-2] + walls[-1]) / 2, 207))
    builder.line((260, 207), (walls[0], 207), 0.4)
    builder.line((260, 207), (208, 281), 0.4)
    builder.arrow((206.9, 280.2), (260, 207))


def test_a_tolerance_in_a_frame_is_no_size_of_the_hole_it_points_at():
    builder = plate()
    frame_on_leader(builder, 280.0, 302.0)  # alone in its box
    assert [d.kind for d in builder.find().dimensions] == [DimensionKind.DIAMETER]
    builder = plate()
    frame_on_leader(builder, 280.0, 296.0, 318.0)  # beside the box of its symbol
    assert builder.find().dimensions == ()
