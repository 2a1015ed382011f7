"""The later working drawings hold what their truth says, wherever they were scanned."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction
from functools import partial
from itertools import pairwise

import numpy as np
import pytest

from audit.training.reader.faces import role_of
from tests.bench.plates_pen import PX_PER_MM, Lettered, Mark
from tests.bench.plates_sheets import HALVES, make_plate
from tests.bench.plates_work2_board import grid_of, toned
from tests.bench.plates_work2_desk import Desk
from tests.bench.plates_work2_heads import ENDS
from tests.bench.plates_work2_letters import Lettering, letter
from tests.bench.plates_work2_numbers import dimension, settle_feet
from tests.bench.plates_work2_scan import scan_work
from tests.bench.plates_work2_sheets import THINGS, THINGS_HELD, Set, make_work
from tests.bench.plates_work2_shop import bracket
from tests.bench.plates_work2_strokes import FIGURES, LETTERS
from tests.bench.plates_work2_ways import (
    CLUB,
    COLLEGE,
    LEAFLET,
    METRIC,
    MM,
    OFFICE,
    SCHOOL,
    SHOPS,
    SHOPS_HELD,
    right_of,
    snap,
    spell,
    wrong_of,
)

LABELS = ("work, development 4", "work, held out")
ROUNDED = 1 / 32 + 1e-9  # inches: half of the coarsest step that is printed
ON_LINE_MM = 0.4  # strays of two edges, and half a line
DRAWN_WITH = {"dev": (SCHOOL, OFFICE), "held": (SCHOOL, METRIC)}
CASES = [(thing, ways) for set_, things in (("dev", THINGS), ("held", THINGS_HELD))
         for thing in things for ways in DRAWN_WITH[set_]]  # fmt: skip


def no_face(stem):
    """No face: everything is lettered with a pen, so that none need be installed."""


def desk_of(ways, scale=4.0):
    letters = Lettering(face=None, height=ways.height, fraction=ways.fraction)
    return Desk(ways, letters, scale, np.random.default_rng(5))


@pytest.fixture(scope="module", params=LABELS)
def plan(request):
    half = replace(HALVES[request.param], seed=7)  # never the seed that the bench draws
    return make_plate(half, 3, find_face=no_face, planted=True)


def off_lines(point, marks):
    """How far a point lies off the nearest line, mm."""
    ends = np.concatenate([np.hstack([m.points[:-1], m.points[1:]]) for m in marks])
    a, along = ends[:, :2], ends[:, 2:] - ends[:, :2]
    t = ((point - a) * along).sum(axis=1) / np.maximum((along**2).sum(axis=1), 1e-12)
    return float(np.hypot(*(a + np.clip(t, 0, 1)[:, None] * along - point).T).min())


def inside(points, mark):
    """How many points stand in the box of some letters."""
    p, q, _, s = mark.corners()
    w, h = math.dist(p, q), math.dist(p, s)
    x, y = (points - p) @ (q - p) / w, (points - p) @ (s - p) / h
    return int(((x > 0) & (x < w) & (y > 0) & (y < h)).sum())


@pytest.mark.parametrize(("thing", "ways"), CASES, ids=lambda v: getattr(v, "__name__", ""))
def test_every_size_is_as_long_as_its_number_says_and_starts_on_lines(thing, ways):
    for view in (view for row in thing(desk_of(ways)) for view in row if view.asked):
        settle_feet(view)
        lines = [m for m in view.marks if isinstance(m, Mark) and m.width]  # of the part alone
        for asked in view.asked:
            assert all(off_lines(foot, lines) < ON_LINE_MM for foot in asked.feet), asked
            if asked.kind == "distance":
                strays = 4 * ways.stray / view.scale
                long = asked.long / view.scale
                assert long == pytest.approx(float(asked.right), abs=ROUNDED + strays)


def test_ends_lie_where_extension_lines_meet_their_dimension_line():
    view = desk_of(SCHOOL).board()
    view.rect(0, 0, 20, 8)
    view.size((0, 0), (20, 0), "S")
    view.chain("W", 0, 0, 3, 8)
    dimension(view)
    lines = [m for m in view.marks if isinstance(m, Mark) and m.width]
    for drawn in view.drawn:
        across = (0, 1) if drawn.ends[0][0] == drawn.ends[1][0] else (1, 0)
        for end in drawn.ends:
            feet = [m for m in lines if abs(np.ptp(m.points, axis=0)[across.index(1)]) < 0.1]
            assert off_lines(np.array(end), feet) < 0.01


def test_a_number_keeps_off_letters_that_stand_on_its_line():
    view = desk_of(SCHOOL).board()
    view.rect(0, 0, 20, 8)
    view.level(4, 0, 20)
    view.label("OAK", (10, 4))  # right where the number would stand
    dimension(view)
    one, two = (m for m in view.marks if isinstance(m, Lettered))
    assert not inside(grid_of(one, 0.0), two)


def test_no_number_stands_on_another_or_on_a_note(plan):
    letters = [m for m in plan.marks if isinstance(m, Lettered)]
    for k, one in enumerate(letters):
        assert not any(inside(grid_of(other, 0.0), one) for other in letters[:k])


def test_numbers_keep_off_lines(plan):
    boxes = {tuple(np.round(m.at, 1)): m for m in plan.marks if isinstance(m, Lettered)}
    strokes = [m.points for m in plan.marks if isinstance(m, Mark) and m.width]
    points = np.concatenate([
        p + t * (q - p) for s in strokes for p, q in pairwise(s)
        for t in np.linspace(0, 1, max(2, int(math.dist(p, q) / 0.5)))[None, :, None]
    ])  # fmt: skip
    struck = 0
    for d in plan.drawn:
        left, top, right, low = d.lettered
        mark = boxes[tuple(np.round(((left + right) / 2, (top + low) / 2), 1))]
        struck += inside(points, mark) > 2
    assert struck <= 1


def test_one_number_of_a_plan_is_about_6_percent_off(plan):
    [wrong] = [d for d in plan.drawn if d.printed != d.right]
    assert 0.045 < abs(float(wrong.printed / wrong.right) - 1) < 0.078


def test_a_clean_plan_has_no_wrong_number():
    own = partial(make_work, Set((bracket,), (SCHOOL,)))
    half = replace(HALVES[LABELS[0]], seed=7, own=own)
    clean = make_plate(half, 0, find_face=no_face, planted=False)
    assert clean.drawn
    assert all(d.printed == d.right for d in clean.drawn)


def test_a_plan_has_enough_sizes_and_stays_on_its_page(plan):
    assert len([d for d in plan.drawn if d.kind in ("distance", "broken")]) >= 10
    points = np.concatenate([m.points if isinstance(m, Mark) else m.corners() for m in plan.marks])
    assert points.min() > 2.0
    assert (points.max(axis=0) < np.array(plan.size) - 2.0).all()


def test_the_two_halves_share_neither_a_thing_nor_a_draughtsman_nor_a_head():
    assert not set(THINGS) & set(THINGS_HELD)
    for of in ("name", "head"):
        mine, others = ({getattr(ways, of) for ways in shops} for shops in (SHOPS, SHOPS_HELD))
        assert len(mine) == len(others) == 5
        assert not mine & others


def test_faces_were_never_trained_on_and_no_other_half_uses_them():
    for label in LABELS:
        mine = {hand[0] for hand in HALVES[label].hands}
        assert len(mine) == 3
        assert not any(role_of(stem + end) for stem in mine for end in (".ttf", ".otf", ".woff"))
        others = [h for name, h in HALVES.items() if name != label]
        assert not mine & {s for h in others for s in (*h.types, *(hand[0] for hand in h.hands))}


def test_lengths_are_spelled_as_each_draughtsman_does():
    assert spell(SCHOOL, Fraction(7, 2)) == '3 1/2"'
    assert spell(CLUB, Fraction(85, 2)) == "3'-6 1/2\""
    assert spell(CLUB, Fraction(99, 4)) == "2'-0 3/4\""
    assert spell(CLUB, Fraction(36)) == "3'-0\""
    assert spell(CLUB, Fraction(24)) == '24"'
    assert spell(COLLEGE, Fraction(3, 4)) == ".750"
    assert spell(LEAFLET, Fraction(7, 2)) == "3.50 [89]"
    assert spell(METRIC, Fraction(25, 2) * MM) == "12,5"
    assert right_of(OFFICE, 4.0) == Fraction(203, 2) * MM
    assert wrong_of(OFFICE, 100 * MM, Fraction(6, 100)) == 106 * MM
    assert snap(OFFICE, 4.03) * 25.4 == pytest.approx(100.0)


@pytest.mark.parametrize("name", sorted(ENDS))
def test_what_ends_a_line_stands_at_its_tip(name):
    tip, u = np.array([30.0, 20.0]), np.array([1.0, 0.0])
    marks = ENDS[name](tip, u, 2.0, np.random.default_rng(3))
    assert bool(marks) == (name != "none")
    for mark in marks:
        off = np.hypot(*(mark.points - tip).T)
        assert off.min() < 1.01
        assert off.max() < 2.5


@pytest.mark.parametrize("figures", FIGURES)
def test_every_sign_that_is_printed_has_strokes_of_its_own(figures):
    how = Lettering(face=None, height=2.5, figures=figures)
    rng = np.random.default_rng(1)
    masks = [letter(sign, how, rng).mask for sign in (*FIGURES[figures], *LETTERS)]
    assert all((mask > 128).any() for mask in masks)
    alike = len(masks) - len({(m.shape, m.tobytes()) for m in masks})
    assert alike == (1 if figures == "plain" else 0)  # a plain 1 is drawn like an I


@pytest.mark.parametrize("level", [80, 160, 225])
def test_a_screen_is_as_dark_as_the_tone_it_prints(level):
    square = np.array([(0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (0.0, 9.0)])
    dots = toned(square, level, screened=True)
    p = np.array([d.points for d in dots])
    q = np.roll(p, -1, axis=1)
    ink = 0.5 * np.abs((p[..., 0] * q[..., 1] - q[..., 0] * p[..., 1]).sum(axis=1)).sum()
    assert ink / 81.0 == pytest.approx(1 - level / 255, rel=0.25)


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize(("dpi", "bilevel"), [(200, False), (150, True)])
def test_a_picture_shows_a_mark_where_truth_says(dpi, bilevel, seed):
    page = np.full((round(54 * PX_PER_MM), round(40 * PX_PER_MM)), 255, np.uint8)
    at = (29.0, 40.0)
    x, y = (round(v * PX_PER_MM) for v in at)
    page[y - 26 : y + 26, x - 26 : x + 26] = 0
    picture = scan_work(page, dpi=dpi, bilevel=bilevel, rng=np.random.default_rng(seed))
    u, v = picture.to_px(at)
    part = picture.pixels[int(v) - 14 : int(v) + 14, int(u) - 14 : int(u) + 14] < 115
    rows, columns = np.nonzero(part)
    assert len(rows) > 20
    assert columns.mean() + 0.5 + int(u) - 14 == pytest.approx(u, abs=1.2)
    assert rows.mean() + 0.5 + int(v) - 14 == pytest.approx(v, abs=1.2)
