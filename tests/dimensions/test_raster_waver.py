"""Lines by hand: how far they stray is measured, and what is sought along them is found anyway."""

from __future__ import annotations

import math
from dataclasses import replace

import cv2
import numpy as np
import pytest

from audit.dimensions.ink import Ink
from audit.dimensions.lines import find_marked_lines
from audit.dimensions.raster_ends import refine_ends, round_ends
from audit.dimensions.raster_lines import join_pieces, trace_pieces
from audit.dimensions.raster_marks import set_marks, without_tick_bends
from audit.dimensions.raster_support import aim_even_marks
from audit.dimensions.raster_waver import measure_skewness, measure_waver
from audit.dimensions.terminators import Mark, MarkKind
from audit.geometry import Point
from audit.records import End, EndKind, Strokes, VectorPage
from tests.dimensions.raster_builder import PX, ink_of, maps_of, tip


def darkness_of(lines):
    """Darkness of polylines ((n, 2) px) drawn by OpenCV, 2 px wide."""
    canvas = np.zeros((300, 700), np.uint8)
    for points in lines:
        fine = np.round((points - 0.5) * 16).astype(np.int32)
        cv2.polylines(canvas, [fine], False, 255, 2, cv2.LINE_AA, 4)
    return cv2.GaussianBlur(canvas, (0, 0), 0.6).astype(np.float32) / 255.0


def level_lines(stray):
    x = np.arange(50.0, 650.0, 2.0)
    return [np.column_stack([x, 40.0 * k + stray(x + 17.0 * k)]) for k in range(1, 7)]


def traced(lines):
    dark = darkness_of(lines)
    return join_pieces(trace_pieces(dark), dark), dark


def wavering(pieces, waver):
    """Ink of pieces of lines ((x0, y0), (x1, y1)), pt, on a page that wavers so much."""
    n = len(pieces)
    strokes = Strokes(
        ends=np.array(pieces, float).reshape(-1, 4),
        widths=np.full(n, 0.6),
        paths=np.arange(n, dtype=np.int32),
        greys=np.zeros(n),
        curved=np.zeros(n, np.bool_),
        pattern=np.zeros(n, np.int32),
    )
    return Ink(VectorPage(width=600, height=400, turn=0, strokes=strokes), waver=waver)


def test_lines_by_machine_do_not_waver():
    assert measure_waver(*traced(level_lines(lambda x: 0.02 * x))) == 0.0


def test_lines_by_hand_waver_by_about_what_was_drawn():
    rng = np.random.default_rng(5)

    def stray(x):
        rough = cv2.GaussianBlur(rng.normal(0, 1, (1, len(x))), (0, 0), 9.0)[0]
        return 0.7 * rough / rough.std()

    assert measure_waver(*traced(level_lines(stray))) == pytest.approx(0.7, rel=0.5)


def test_an_empty_sheet_does_not_waver():
    assert measure_waver(*traced([])) == 0.0


def broken_line():
    """A dimension line broken for its text, its halves askew; two heads that look outwards."""
    pieces = [((100, 100), (140, 101.4)), ((200, 99.2), (240, 100.9))]
    heads = [
        Mark(kind=MarkKind.FILLED, point=Point(100, 100.1), ux=-1.0, size=8),
        Mark(kind=MarkKind.FILLED, point=Point(240, 100.4), ux=1.0, size=8),
    ]
    return pieces, heads


def test_halves_of_a_line_by_hand_are_one_line_from_head_to_head():
    pieces, heads = broken_line()
    both = [m for m in find_marked_lines(wavering(pieces, 0.25), heads) if len(m.places) == 2]
    assert any(len(m.strokes) == 2 and abs(m.line.uy) < 0.005 for m in both)


def bowed_line(length, bow):
    """Two halves of a line by hand that meet so far off the straight one from head to head."""
    middle, end = (100 + length / 2, 100 + bow), (100 + length, 100)
    heads = [
        Mark(kind=MarkKind.FILLED, point=Point(100, 100), ux=-1.0, size=8),
        Mark(kind=MarkKind.FILLED, point=Point(*end), ux=1.0, size=8),
    ]
    ink = wavering([((100, 100), middle), (middle, end)], 0.14)
    return [m for m in find_marked_lines(ink, heads) if len(m.places) == 2]


def test_a_long_line_by_hand_may_bow_further_than_a_short_one():
    """As far as 1.4 % of 50 mm; as much in 20 mm is another line."""
    assert bowed_line(140, 2.0)
    assert not bowed_line(56, 2.0)
    assert not bowed_line(140, 5.0)


def test_halves_askew_are_no_line_where_a_machine_drew():
    pieces, heads = broken_line()
    assert all(len(m.places) < 2 for m in find_marked_lines(wavering(pieces, 0.0), heads))


def test_marks_that_nothing_joins_make_no_line_by_hand():
    pieces, heads = broken_line()
    stubs = [(pieces[0][0], (103, 100.1)), ((237, 100.6), pieces[1][1])]
    assert all(len(m.places) < 2 for m in find_marked_lines(wavering(stubs, 0.25), heads))


def crossing(as_line):
    """A tick on a level and an upright line; the maps call `as_line` dimension lines."""

    def draw(dark):
        for a, b in (((60, 100), (140, 100)), ((100, 60), (100, 140))):
            p, q = (tuple(round(v * PX) for v in point) for point in (a, b))
            cv2.line(dark, p, q, 255, 2)

    maps = maps_of(draw)
    line = np.zeros_like(maps.line)
    for a, b in as_line:
        p, q = (tuple(round(v * PX / 2) for v in point) for point in (a, b))
        cv2.line(line, p, q, 255, 2)
    ink = ink_of([((60, 100), (140, 100)), ((100, 60), (100, 140))])
    mark = Mark(kind=MarkKind.DOT, point=Point(100, 100), size=4)
    return aim_even_marks(ink, [mark], replace(maps, line=line), px_per_pt=PX)[0]


def test_a_tick_measures_along_the_line_that_the_network_calls_one():
    aimed = crossing([((60, 100), (140, 100))])
    assert (abs(aimed.ux), abs(aimed.uy)) == pytest.approx((1.0, 0.0))


def test_a_tick_on_two_dimension_lines_stays_undecided():
    both = crossing([((60, 100), (140, 100)), ((100, 60), (100, 140))])
    assert (both.ux, both.uy) == (0.0, 0.0)


def test_a_tick_measures_along_its_own_line_alone():
    ink = ink_of([((60, 100), (140, 100)), ((100, 60), (100, 140))])
    ends = [Mark(kind=MarkKind.DOT, point=Point(*p), size=4) for p in ((60, 100), (100, 140))]
    free = Mark(kind=MarkKind.DOT, point=Point(100, 100), size=4)

    def upright(mark):
        found = find_marked_lines(ink, [mark, *ends])
        return [m for m in found if abs(m.line.uy) > 0.9 and len(m.places) == 2]

    assert upright(free)
    assert not upright(replace(free, ux=1.0))


def test_the_back_of_a_blank_head_is_no_tip():
    ink = ink_of([((100, 100), (200, 100))])
    front, back = tip(100, 100, 0.0, 0.9), tip(109, 100.3, 0.0, 0.4)
    assert len(set_marks(ink, [front, back])) == 1
    # the heads of a short size look at each other: neither is the other's back
    assert len(set_marks(ink, [front, tip(109, 100.0, 180.0, 0.4)])) == 2


def test_the_side_of_a_large_head_is_not_taken_for_its_shaft():
    ink = ink_of([((100, 100), (113, 103)), ((100, 100), (113, 97)), ((113, 97), (113, 103))])
    (mark,) = set_marks(ink, [tip(100, 100, 0.0)])
    assert (mark.ux, mark.uy) == pytest.approx((-1.0, 0.0), abs=0.02)


def test_a_dot_stays_where_it_was_seen_when_lines_cross_further_off():
    ink = ink_of([((60, 101.7), (140, 101.7)), ((100, 60), (100, 140))])
    (mark,) = set_marks(ink, [tip(100, 100)])
    assert mark.point.distance(Point(100, 100)) < 0.1


def test_corners_around_a_slash_are_no_arcs():
    arcs = ink_of([], [((101, 101), 2.0, 0, 120), ((60, 40), 2.0, 0, 120), ((101, 101), 40, 0, 90)])
    slash = Mark(kind=MarkKind.TICK, point=Point(100, 100), size=12)
    assert without_tick_bends(arcs.arcs, [slash]) == arcs.arcs[1:]


def corner_ends(waver):
    """Both ends of a dimension from (60, 60) to (140, 60) pt on a sheet that wavers so much, px."""
    pieces = [((60, 60), (140, 60)), ((60, 20), (60, 66)), ((140, 20), (140, 66))]
    gray = np.full((300, 450), 255, np.uint8)
    for k, (a, b) in enumerate(pieces):
        # a hand's extension lines bend away above the end, where a piece of them is looked at
        bend = 1.0 if k else 0.0
        p, q = (tuple(round(v * PX * 16) for v in point) for point in (a, b))
        cv2.line(gray, (round(p[0] + 16 * bend), p[1]), q, 0, 2, cv2.LINE_AA, 4)
    ends = tuple(
        End(point=Point(x, 60.0), kind=EndKind.EXTENSION, sigma=0.01) for x in (60.0, 140.0)
    )
    return refine_ends(gray, wavering(pieces, waver), ends, px_per_pt=PX)


def test_ends_by_hand_stay_where_whole_lines_cross_and_are_as_sure_as_a_hand_is():
    for end, x in zip(corner_ends(0.2), (60, 140), strict=True):
        assert tuple(end.point) == pytest.approx((x * PX, 60 * PX))
        assert end.sigma > 0.2 * PX


def test_ends_by_machine_are_fitted_on_the_ink():
    assert all(end.sigma < 0.2 * PX for end in corner_ends(0.0))


def test_letters_that_touch_an_extension_line_do_not_pull_its_end_aside():
    pieces = [((60, 60), (140, 60)), ((60, 20), (60, 66)), ((140, 20), (140, 66))]
    gray = np.full((300, 450), 255, np.uint8)
    for a, b in pieces:
        p, q = (tuple(round((v * PX - 0.5) * 16) for v in point) for point in (a, b))
        cv2.line(gray, p, q, 0, 2, cv2.LINE_AA, 4)
    x, y = round(140 * PX), round(46 * PX)  # where the line is looked at first
    gray[y - 16 : y + 16, x : x + 5] = 0
    ends = tuple(
        End(point=Point(x, 60.0), kind=EndKind.EXTENSION, sigma=0.01) for x in (60.0, 140.0)
    )
    _, end = refine_ends(gray, wavering(pieces, 0.0), ends, px_per_pt=PX)
    assert end.point.x == pytest.approx(140 * PX, abs=0.15)


def test_a_bit_of_the_rim_of_a_dot_is_no_bend():
    dot = Mark(kind=MarkKind.DOT, point=Point(100, 100), size=4)
    rim, fillet = ink_of([], [((101.9, 100), 1.9, 310, 136), ((104, 100), 4.0, 90, 90)]).arcs
    assert without_tick_bends((rim, fillet), [dot]) == (fillet,)


def lines_askew(sigma, *, turn=0.0):
    """Forty level and upright lines of 50 pt, one end off by `sigma` pt, on a turned sheet."""
    rng, c, s = np.random.default_rng(3), math.cos(math.radians(turn)), math.sin(math.radians(turn))
    lines = []
    for k in range(40):
        off = float(rng.normal(0, sigma)) if sigma else 0.0
        end = (50.0, off) if k % 2 else (off, 50.0)
        start = (100.0 + 8.0 * k, 100.0)
        lines.append(
            (start, (start[0] + c * end[0] - s * end[1], start[1] + s * end[0] + c * end[1]))
        )
    return measure_skewness(ink_of(lines))


def test_lines_laid_a_little_askew_tell_by_how_much():
    assert lines_askew(0.4) == pytest.approx(0.4, rel=0.35)
    assert lines_askew(0.4, turn=1.0) == pytest.approx(0.4, rel=0.35)


def test_true_lines_are_not_askew_on_a_sheet_that_lies_askew():
    assert lines_askew(0.0, turn=1.0) == 0.0
    assert lines_askew(0.05) == 0.0


def test_pickets_that_taper_on_purpose_do_not_make_a_sheet_one_drawn_by_hand():
    level = [((40.0, 20.0 + 30 * k), (300.0, 20.0 + 30 * k)) for k in range(8)]
    pickets = [
        ((40.0 + 20 * k + side, 20.0), (40.0 + 20 * k - side, 220.0))
        for k in range(12)
        for side in (2.5, -2.5)
    ]
    assert measure_skewness(ink_of([*level, *pickets])) == 0.0


def test_few_lines_say_nothing():
    assert measure_skewness(ink_of([((0, 0), (50, 1)), ((0, 20), (50, 20))])) == 0.0


def test_where_lines_waver_their_ends_are_uncertain_for_that_already():
    upright = [((100.0 + 8 * k, 100.0), (100.0 + 8 * k + k % 3, 150.0)) for k in range(20)]
    level = [((y, x), (v, u)) for (x, y), (u, v) in upright]
    ink = ink_of([*upright, *level])
    assert measure_skewness(ink) > 0.3
    ink.waver = 0.1
    assert measure_skewness(ink) == 0.0


def fitted_radius(points):
    """Radius of the circle through points, by linear least squares (Kasa 1976, from memory)."""
    table = np.column_stack([2 * points, np.ones(len(points))])
    x, y, rest = np.linalg.lstsq(table, (points**2).sum(axis=1), rcond=None)[0]
    return math.sqrt(rest + x**2 + y**2)


def rim_sigma(sweep, stray, *, is_radius=True):
    ends = tuple(
        End(point=Point(x, 0.0), kind=EndKind.EXACT, sigma=0.03, line_width=1.0) for x in (0, 60)
    )
    return round_ends(ends, sweep, is_radius=is_radius, stray=stray)[1].sigma


@pytest.mark.parametrize("sweep", [80.0, 90.0, 120.0, 180.0])
def test_radii_of_arcs_drawn_by_hand_lie_within_their_uncertainty(sweep):
    """Arcs of radius 60 that stray by 0.5 to either side, in about one wave."""
    rng = np.random.default_rng(5)
    along = np.linspace(0.0, 1.0, 60)
    off = []
    for _ in range(400):
        waves, start = rng.uniform(0.5, 1.5), rng.uniform(0, 2 * math.pi)
        radii = 60 + 0.5 * math.sqrt(2) * np.sin(2 * math.pi * waves * along + start)
        turn = np.radians(sweep) * along
        drawn = radii[:, None] * np.column_stack([np.cos(turn), np.sin(turn)])
        off.append(fitted_radius(drawn) - 60)
    sigma = rim_sigma(sweep, 0.5)
    within = np.mean(np.abs(off) < 2 * sigma)
    assert within > 0.93
    assert np.sqrt(np.mean(np.square(off))) > 0.35 * sigma


def test_a_radius_drawn_by_machine_is_as_sure_as_before_and_a_diameter_shares_it():
    assert rim_sigma(180.0, 0.0) == pytest.approx(0.06)
    assert rim_sigma(180.0, 0.5, is_radius=False) == pytest.approx(
        math.sqrt(2) * rim_sigma(180.0, 0.5)
    )
