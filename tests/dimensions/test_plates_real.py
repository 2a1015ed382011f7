"""Plans as makers buy them hold what their truth says, in inches, feet and millimetres."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from tests.bench.plates_pen import Lettered, Mark
from tests.bench.plates_real_paper import MOST_MM, WAVES, bend_marks, warp_of
from tests.bench.plates_real_pen import ENDS, real_ways
from tests.bench.plates_real_views import RealView, iso
from tests.bench.plates_sheets import HALVES, ink, make_plate, pick_manner

HALF = HALVES["real, development"]
LABELS = ("real, development", "real, development 2")
PENNED_MM = 0.45  # that a pen strays from where a slope should be
NARROWED = 0.06  # of a scale, by paper and pen, on sizes over 15 mm


def no_face(stem):
    """The face that Pillow brings, so that none need be installed."""


@pytest.fixture(scope="module", params=[(label, k) for label in LABELS for k in range(7)])
def plan(request):
    """A plan of another seed than the bench draws."""
    label, number = request.param
    half = replace(HALVES[label], seed=7, rounds=4)
    return make_plate(half, number, find_face=no_face, planted=True)


@pytest.fixture
def view():
    chosen, _ = pick_manner(HALF, 0, np.random.default_rng(4), no_face)
    manner = replace(real_ways(chosen, np.random.default_rng(5)), broken=True, upright=False)
    plain = replace(manner, boxes=0.0, hyphen=False, aside=False, under=False, mark="", feet=0)
    return RealView(manner=plain, per_inch=12.0, rng=np.random.default_rng(8))


def off_lines(point, lines):
    """How far a point lies off the nearest of some lines, mm."""
    ends = np.concatenate([np.hstack([m.points[:-1], m.points[1:]]) for m in lines])
    a, along = ends[:, :2], ends[:, 2:] - ends[:, :2]
    long = np.maximum((along**2).sum(axis=1), 1e-12)
    t = np.clip(((point - a) * along).sum(axis=1) / long, 0, 1)
    return float(np.hypot(*(a + t[:, None] * along - point).T).min())


def test_every_size_of_a_plan_ends_on_lines_that_are_no_part_of_its_own(plan):
    lines = [m for m in plan.marks if isinstance(m, Mark) and m.width]
    for size in (d for d in plan.drawn if d.kind == "distance"):
        p, q = map(np.array, size.ends)
        u = (q - p) / np.hypot(*(q - p))
        others = [m for m in lines if abs(_way(m) @ u) < 0.95]
        for end in (p, q):
            assert off_lines(end, others) < PENNED_MM, size.text


def _way(mark):
    """Which way a line of two ends runs; a bent path runs no way."""
    across = mark.points[-1] - mark.points[0]
    long = float(np.hypot(*across))
    return across / long if long > 1e-9 else np.zeros(2)


def test_one_number_of_a_plan_is_about_6_percent_off(plan):
    [wrong] = [d for d in plan.drawn if d.printed != d.right]
    assert 0.035 < abs(float(wrong.printed / wrong.right) - 1) < 0.085


def test_sizes_of_a_plan_fit_few_scales(plan):
    long = [d for d in plan.drawn if d.kind == "distance" and d.length_mm > 15.0]
    scales = np.sort(np.log([d.length_mm / float(d.right) for d in long]))
    assert len(long) >= 5
    assert 1 + int((np.diff(scales) > NARROWED).sum()) <= 4


def test_what_a_plan_shows_stays_on_its_page(plan):
    points = np.concatenate([m.points if isinstance(m, Mark) else m.corners() for m in plan.marks])
    assert points.min() > 0.5
    assert (points.max(axis=0) < np.array(plan.size) - 0.5).all()


def test_a_metric_view_prints_millimetres_with_the_comma_of_its_sheet(view):
    view.metric, view.manner = True, replace(view.manner, comma=True)
    view.rect(0, 0, 100 / 25.4, 12.5 / 25.4)
    view.size((0, 0), (100 / 25.4, 0), "S")
    view.size((0, 0), (0, 12.5 / 25.4), "W")
    assert [d.text for d in view.drawn] == ["100", "12,5"]
    assert [d.right * Fraction(254, 10) for d in view.drawn] == [100, Fraction(25, 2)]


def test_a_note_is_lettered_with_the_next_number_only(view):
    view.rect(0, 0, 4, 3)
    view.noted("TYP").size((0, 0), (4, 0), "S")
    view.led("Ø").size((0, 0), (0, 3), "W")
    view.size((4, 0), (4, 3), "E")
    assert [d.text for d in view.drawn] == ["4 TYP", "Ø3", "3"]


def test_a_whole_number_and_its_fraction_are_joined_where_the_draughtsman_does_so(view):
    view.manner = replace(view.manner, hyphen=True)
    assert [view.spell(Fraction(v)) for v in ("7/2", "1/2", "3")] == ["3-1/2", "1/2", "3"]
    view.manner = replace(view.manner, feet=24, joint="-", mark='"')
    assert view.spell(Fraction(61, 2)) == "2'-6-1/2\""


def test_a_size_along_a_slope_runs_beside_it_at_its_length(view):
    view.outline((0, 0), (3, 4), (0, 4))
    view.along((0, 0), (3, 4), 6.0)
    [size] = view.drawn
    (x0, y0), (x1, y1) = size.ends
    assert size.right == 5
    assert (x1 - x0) / (y0 - y1) == pytest.approx(0.75, abs=0.02)
    assert off_lines(np.array([x0, y0]), [Mark(points=np.array([(0, 0), (36, -48)]))]) > 5.0


def test_edges_of_a_pictorial_are_as_long_as_they_are(view):
    for point in ((2, 0, 0), (0, 2, 0), (0, 0, 2)):
        assert np.hypot(*iso(point)) == pytest.approx(2.0)


@pytest.mark.parametrize("name", sorted(ENDS))
def test_what_ends_a_line_stands_at_its_tip(name):
    tip, u = np.array([30.0, 20.0]), np.array([1.0, 0.0])
    marks = ENDS[name](tip, u, 2.0, np.random.default_rng(3))
    assert min(np.hypot(*(m.points - tip).T).min() for m in marks) < 1.5
    assert max(np.hypot(*(m.points - tip).T).max() for m in marks) < 4.0


def test_paper_bends_lines_a_little_and_keeps_their_corners():
    warp = warp_of(np.random.default_rng(6))
    line = Mark(points=np.array([(10.0, 10.0), (190.0, 12.0), (190.0, 240.0)]), width=0.3)
    [bent] = bend_marks([line], warp)
    assert off_lines(warp.bend(np.array([(190.0, 12.0)]))[0], [bent]) < 1e-9
    far = np.array([off_lines(p, [line]) for p in bent.points])
    assert 0.05 < far.max() < WAVES * MOST_MM
    assert len(bent.points) > 200


def test_ink_that_runs_is_broader_and_faint_ink_is_finer(view):
    view.rect(0, 0, 4, 3)
    marks = [m.moved((30.0, 60.0)) for m in view.marks]
    plate = make_plate(replace(HALF, seed=7, rounds=1), 0, find_face=no_face, planted=False)
    dark = {
        k: (ink(replace(plate, marks=tuple(marks), spread=k), np.random.default_rng(2)) < 128).sum()
        for k in (-1, 0, 3)
    }
    assert 0 < dark[-1] < dark[0] < 0.9 * dark[3]
    assert not any(isinstance(m, Lettered) for m in marks)
