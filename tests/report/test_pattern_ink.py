"""Ink of a view in real mm: arcs, halves, mirrored texts, the sheet's own distortion."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import BPoly

from audit.geometry import Box, Point, Transform
from audit.records import Arc, PrintPath, PrintPicture, Scale, ScaleFrom
from audit.report.pattern_ink import (
    PatternInk,
    arc_points,
    complete_half,
    mirror_ink,
    reflect_on,
)
from audit.report.pattern_texts import WrittenText, readable
from audit.report.true_size import real_map
from tests.report.builders import Setting, make_scale, make_sheet, seen_to_frame


@given(
    start=st.floats(-360, 360),
    sweep=st.floats(1, 360),
    radius=st.floats(0.5, 500),
)
def test_arcs_as_beziers_stay_on_their_circle(start, sweep, radius):
    """Read by scipy's Bernstein polynomials, not by our own curve code."""
    arc = Arc(centre=Point(3, -4), radius=radius, start=start, sweep=sweep, width=1, path=0)
    points = arc_points(arc)
    ends = []
    for k in range(0, len(points) - 1, 3):
        curve = BPoly(points[k : k + 4].reshape(4, 1, 2), [0, 1])
        on_it = curve(np.linspace(0, 1, 9))
        away = np.hypot(on_it[:, 0] - 3, on_it[:, 1] + 4)
        assert np.abs(away - radius).max() < 2e-6 * radius
        ends += [on_it[0], on_it[-1]]
    first, last = math.radians(start), math.radians(start + sweep)
    assert ends[0] == pytest.approx((3 + radius * math.cos(first), -4 - radius * math.sin(first)))
    assert ends[-1] == pytest.approx((3 + radius * math.cos(last), -4 - radius * math.sin(last)))


def some_ink() -> PatternInk:
    line = PrintPath(points=np.array([(0.0, 0.0), (40.0, 10.0)]))
    pixels = np.full((20, 40), 255, np.uint8)
    pixels[2:6, 1:9] = np.arange(32, dtype=np.uint8).reshape(4, 8)
    return PatternInk(
        outlines=(line,),
        texts=(WrittenText(text="3/8", middle=Point(5, 4), angle=90.0, height=3, length=6),),
        centres=(Point(10, 2),),
        picture=PrintPicture(pixels=pixels, box=Box(0, 0, 40, 20)),
        readable=(Box(1, 2, 9, 6),),
        outline=Box(0, 0, 40, 20),
    )


def test_the_other_hand_mirrors_lines_and_keeps_texts_readable():
    ink = mirror_ink(some_ink())
    assert ink.outlines[0].points.tolist() == [[0.0, 0.0], [-40.0, 10.0]]
    assert ink.centres == (Point(-10, 2),)
    assert ink.texts[0].middle == (-5, 4)
    assert ink.texts[0].angle == 90.0  # read from the right, as before
    assert ink.picture.box == Box(-40, 0, 0, 20)
    # the text's pixels stand at the mirrored place, not mirrored themselves
    assert ink.picture.pixels[2:6, 31:39].tolist() == np.arange(32).reshape(4, 8).tolist()


def test_the_pieces_of_a_text_keep_their_order_on_the_other_hand():
    """3 9/32, written in three pieces along a slanting line, and a title further off."""
    way = np.array([math.cos(math.radians(30)), -math.sin(math.radians(30))])
    up = np.array([-way[1], way[0]]) * -1

    def piece(said, along, above, length):
        at = Point(*(100 + along * way + above * up))
        return WrittenText(text=said, middle=at, angle=30.0, height=3.0, length=length)

    pieces = (piece("3", 0, 0, 2), piece("9", 4, 1.7, 2), piece("32", 4, -1.7, 4))
    title = piece("PLATE", 60, 0, 20)
    bar = np.array([piece("", along, 0, 0).middle for along in (1.8, 6.8)])
    paths = (PrintPath(points=bar, width=0.1),)
    mirrored = mirror_ink(replace(some_ink(), texts=(*pieces, title), details=paths))
    turned = {t.text: t for t in mirrored.texts}
    assert {t.angle for t in turned.values()} == {-30.0}
    way, up = way * [1, -1], up * [-1, 1]
    middle = {said: np.array(t.middle) for said, t in turned.items()}
    for said, along, above in (("9", 4, 1.7), ("32", 4, -1.7)):
        off = middle[said] - middle["3"]
        assert off @ way == pytest.approx(along)
        assert off @ up == pytest.approx(above)
    ends = (mirrored.details[0].points - middle["3"]) @ np.array([way, up]).T
    assert np.allclose(ends, [[1.8, 0], [6.8, 0]])
    assert np.allclose(middle["PLATE"], [-title.middle.x, title.middle.y])


def test_mirroring_twice_is_where_it_began():
    ink = some_ink()
    twice = mirror_ink(mirror_ink(ink))
    assert twice.outlines[0].points.tolist() == ink.outlines[0].points.tolist()
    assert (twice.picture.pixels == ink.picture.pixels).all()
    assert twice.picture.box == ink.picture.box


@given(angle=st.floats(0, 360), x=st.floats(-50, 50), y=st.floats(-50, 50))
def test_a_reflection_keeps_its_axis_and_undoes_itself(angle, x, y):
    a = Point(7, 9)
    b = a.moved(math.cos(angle), math.sin(angle))
    move = reflect_on((a, b))
    assert move.apply(a) == pytest.approx(a, abs=1e-9)
    assert move.apply(b) == pytest.approx(b, abs=1e-9)
    assert move.apply(move.apply((x, y))) == pytest.approx((x, y), abs=1e-9)
    assert np.linalg.det(move.matrix[:2, :2]) == pytest.approx(-1.0)


def test_a_half_view_is_completed_without_doubling_its_texts():
    whole = complete_half(some_ink(), (Point(0, 0), Point(0, 1)))
    first, second = (p.points for p in whole.outlines)
    assert first.tolist() == [[0.0, 0.0], [40.0, 10.0]]
    assert np.allclose(second, [[0.0, 0.0], [-40.0, 10.0]])
    assert len(whole.texts) == 1
    assert whole.outline == pytest.approx(Box(-40, 0, 40, 20))


@given(angle=st.floats(-720, 720))
def test_no_text_stands_on_its_head(angle):
    turned = readable(angle)
    assert -90 < turned <= 90 + 1e-5
    assert math.cos(2 * math.radians(turned - angle)) == pytest.approx(1.0, abs=1e-6)


@given(
    factors=st.tuples(st.floats(0.5, 4), st.floats(0.5, 4)),
    shear=st.floats(-0.2, 0.2),
    way=st.tuples(st.floats(-90, 90), st.floats(-90, 90)),
    turn=st.sampled_from([0, 90, 180, 270]),
)
def test_lengths_come_out_as_the_scale_says_in_every_direction(factors, shear, way, turn):
    """|v|² = x² dx² + 2 x y s dx dy + y² dy² (`Scale`), the sheet at any turn."""
    (x, y), (dx, dy) = factors, way
    sheet = make_sheet(Setting(turn=turn))
    zero = ((0.0,) * 3,) * 3
    scale = Scale(x=x, y=y, shear=shear, covariance=zero, source=ScaleFrom.KNOWN)
    to_real = real_map(sheet, scale, at=sheet.box.centre)
    a, b = to_real.apply((100, 100)), to_real.apply((100 + dx, 100 + dy))
    mx, my = dx * 25.4 / 72, dy * 25.4 / 72
    wanted = math.sqrt(max(x * x * mx * mx + 2 * x * y * shear * mx * my + y * y * my * my, 0.0))
    assert a.distance(b) == pytest.approx(wanted, abs=1e-9)


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_a_turned_sheet_comes_out_upright_and_not_mirrored(turn):
    setting = Setting(turn=turn)
    to_real = real_map(make_sheet(setting), make_scale(1.0), at=Point(200, 200))
    origin, right, down = (
        to_real.apply(seen_to_frame(p, setting)) for p in (Point(0, 0), Point(72, 0), Point(0, 72))
    )
    assert (right.x - origin.x, right.y - origin.y) == pytest.approx((25.4, 0.0), abs=1e-9)
    assert (down.x - origin.x, down.y - origin.y) == pytest.approx((0.0, 25.4), abs=1e-9)


def test_a_photo_is_flattened_exactly():
    corners = [(10.0, 12.0), (590.0, 30.0), (560.0, 380.0), (25.0, 360.0)]
    flat = [(0.0, 0.0), (200.0, 0.0), (200.0, 120.0), (0.0, 120.0)]
    sheet = replace(make_sheet(), to_paper=Transform.from_points(corners, flat))
    to_real = real_map(sheet, make_scale(0.5), at=Point(300, 200))
    sides = [to_real.apply(a).distance(to_real.apply(b)) for a, b in itertools.pairwise(corners)]
    assert sides == pytest.approx([100.0, 60.0, 100.0], abs=1e-6)
