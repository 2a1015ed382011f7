"""The held-out plans as makers buy them hold what their truth says, wherever they were copied."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from audit.training.reader.faces import role_of
from tests.bench.plates_letters import Letters
from tests.bench.plates_pen import PX_PER_MM, Lettered, Mark, Ruler, ink_mark
from tests.bench.plates_real2_desk import Desk
from tests.bench.plates_real2_ends import ENDS
from tests.bench.plates_real2_ink import Tint, ink_tint
from tests.bench.plates_real2_numbers import number_view
from tests.bench.plates_real2_scan import scan_bought
from tests.bench.plates_real2_sheets import THINGS
from tests.bench.plates_real2_ways import (
    ARCHITECT,
    DOWNLOAD,
    FACTORY,
    MM,
    TYPED,
    WAYS,
    right_of,
    spell,
    wrong_of,
)
from tests.bench.plates_sheets import HALVES, make_plate

HALF = replace(HALVES["real, held out"], seed=7)  # never the seed that the bench draws
ROUNDED = 1 / 32 + 1e-9  # inches: half of the coarsest step that is printed
ON_LINE_MM = 0.35  # strays of two edges, and half a line


def no_face(stem):
    """The face that Pillow brings, so that none need be installed."""


@pytest.fixture(
    scope="module", params=(0, 5, *(pytest.param(n, marks=pytest.mark.hard) for n in (3, 7)))
)
def plan(request):
    return make_plate(HALF, request.param, find_face=no_face, planted=True)


@pytest.fixture(params=range(len(WAYS)))
def desk(request):
    ways = WAYS[request.param]
    letters = Letters(face=None, height=ways.height, fraction=ways.fraction)
    return Desk(ways, letters, 4.0, np.random.default_rng(request.param))


def off_lines(point, marks):
    """How far a point lies off the nearest line, mm."""
    ends = np.concatenate([np.hstack([m.points[:-1], m.points[1:]]) for m in marks])
    a, along = ends[:, :2], ends[:, 2:] - ends[:, :2]
    t = ((point - a) * along).sum(axis=1) / np.maximum((along**2).sum(axis=1), 1e-12)
    return float(np.hypot(*(a + np.clip(t, 0, 1)[:, None] * along - point).T).min())


def lines_of(view):
    return [m for m in view.marks if isinstance(m, Mark) and m.width]


@pytest.mark.parametrize("thing", THINGS, ids=lambda t: t.__name__)
def test_every_size_is_as_long_as_its_number_says_and_ends_on_lines(thing, desk):
    for view in (view for row in thing(desk) for view in row):
        lines = lines_of(view)  # no dimension line and no head is drawn yet
        for asked in view.asked:
            assert all(off_lines(end, lines) < ON_LINE_MM for end in asked.ends), asked
            if asked.kind == "distance":
                strays = 4 * view.ways.stray / view.scale
                long = asked.long / view.scale
                assert long == pytest.approx(float(asked.right), abs=ROUNDED + strays)


@pytest.mark.parametrize("ways", [DOWNLOAD, ARCHITECT, TYPED], ids=lambda w: w.place + w.face)
def test_a_number_keeps_off_a_line_that_crosses_its_own(ways):
    letters = Letters(face=None, height=ways.height, fraction=ways.fraction)
    view = Desk(ways, letters, 6.0, np.random.default_rng(2)).view("FRONT")
    view.rect(0, 0, 20, 4)
    view.size((0, 0), (20, 0), "S")
    view.stroke(np.array([(60.0, 3.0), (60.0, 30.0)]), 0.2, body=False)
    number_view(view)
    [size] = view.drawn
    assert not size.lettered[0] - 0.3 < 60.0 < size.lettered[2] + 0.3


def test_notes_keep_off_numbers():
    letters = Letters(face=None, height=2.0, fraction="slant")
    view = Desk(DOWNLOAD, letters, 6.0, np.random.default_rng(2)).view("FRONT")
    view.rect(0, 0, 20, 4)
    view.size((0, 4), (20, 4), "N")
    view.note("GLUE", (9, 4), (3.0, 7.5))  # right where the number stands
    number_view(view)
    p, q = (m.corners() for m in view.marks if isinstance(m, Lettered))
    low, high = np.maximum(p.min(0), q.min(0)), np.minimum(p.max(0), q.max(0))
    assert (high - low).min() < 0


def test_one_number_of_a_plan_is_about_6_percent_off(plan):
    [wrong] = [d for d in plan.drawn if d.printed != d.right]
    assert 0.045 < abs(float(wrong.printed / wrong.right) - 1) < 0.078


def test_a_clean_plan_has_no_wrong_number():
    clean = make_plate(HALF, 2, find_face=no_face, planted=False)
    assert all(d.printed == d.right for d in clean.drawn)


def test_a_plan_has_enough_sizes_and_their_numbers_stand_near_them(plan):
    linear = [d for d in plan.drawn if d.kind == "distance"]
    assert len(linear) >= 12
    for d in linear:
        left, top, right, low = d.lettered
        off = math.dist(((left + right) / 2, (top + low) / 2), np.mean(d.ends, axis=0))
        assert off < d.length_mm / 2 + 32.0


def test_what_a_plan_shows_stays_on_its_page(plan):
    points = np.concatenate([m.points if isinstance(m, Mark) else m.corners() for m in plan.marks])
    assert points.min() > 2.0
    assert (points.max(axis=0) < np.array(plan.size) - 2.0).all()


def test_faces_were_never_trained_on_and_no_other_half_uses_them():
    mine = {hand[0] for hand in HALF.hands}
    assert len(mine) == 9
    assert not any(role_of(f"{stem}.woff") for stem in mine)
    others = [h for label, h in HALVES.items() if label != "real, held out"]
    assert not mine & {s for h in others for s in (*h.types, *(hand[0] for hand in h.hands))}


def test_lengths_are_spelled_as_each_draughtsman_does():
    assert spell(DOWNLOAD, Fraction(7, 2)) == '3 1/2"'
    assert spell(TYPED, Fraction(7, 2)) == '3-1/2"'
    assert spell(ARCHITECT, Fraction(85, 2)) == "3'-6 1/2\""
    assert spell(ARCHITECT, Fraction(36)) == "3'-0\""
    assert spell(ARCHITECT, Fraction(14)) == '14"'
    assert spell(FACTORY, Fraction(3, 4)) == ".750"
    metric = replace(FACTORY, unit="mm", comma=True)
    assert spell(metric, Fraction(125, 10) * MM) == "12,5"
    assert right_of(metric, 4.0) == 4
    assert wrong_of(metric, 100 * MM, Fraction(6, 100)) == 106 * MM


@pytest.mark.parametrize("name", sorted(ENDS))
def test_what_ends_a_line_stands_at_its_tip(name):
    marks = ENDS[name](np.array([30.0, 20.0]), np.array([1.0, 0.0]), 2.0, np.random.default_rng(3))
    points = np.concatenate([m.points for m in marks])
    off = np.hypot(*(points - (30.0, 20.0)).T)
    assert off.min() < 0.75
    assert off.max() < 3.0


def test_a_gray_line_is_gray_and_leaves_what_is_darker():
    page, ruler = np.full((640, 640), 255, np.uint8), Ruler(0.0, 0.0)
    rng = np.random.default_rng(1)
    ink_mark(page, Mark(points=np.array([(10.0, 2.0), (10.0, 18.0)]), width=0.6), ruler, rng)
    ink_tint(
        page, Tint(points=np.array([(2.0, 10.0), (18.0, 10.0)]), width=0.6, level=90), ruler, rng
    )
    assert page[320, 160] == 90
    assert page[320, 320] == 0
    assert page[100, 100] == 255


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize(("dpi", "bilevel"), [(200, False), (150, False), (200, True)])
def test_a_picture_shows_a_mark_where_truth_says(dpi, bilevel, seed):
    page = np.full((round(90 * PX_PER_MM), round(70 * PX_PER_MM)), 255, np.uint8)
    at = (52.0, 71.0)
    x, y = (round(v * PX_PER_MM) for v in at)
    page[y - 26 : y + 26, x - 26 : x + 26] = 0
    picture = scan_bought(page, dpi=dpi, bilevel=bilevel, rng=np.random.default_rng(seed))
    u, v = picture.to_px(at)
    part = picture.pixels[int(v) - 14 : int(v) + 14, int(u) - 14 : int(u) + 14] < 110
    rows, columns = np.nonzero(part)
    assert len(rows) > 20
    assert columns.mean() + 0.5 + int(u) - 14 == pytest.approx(u, abs=1.2)
    assert rows.mean() + 0.5 + int(v) - 14 == pytest.approx(v, abs=1.2)
