"""Sheets as shops issued them hold what their truth says, and no number lies on another."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest

from tests.bench.plates_pen import Lettered, Mark
from tests.bench.plates_sheets import HALVES, make_plate, pick_manner
from tests.bench.plates_shop_views import ShopView

HALF = HALVES["work, development 3"]


def no_face(stem):
    """The face that Pillow brings, so that none need be installed."""


@pytest.fixture(scope="module")
def manner():
    chosen, _ = pick_manner(HALF, 0, np.random.default_rng(4), no_face)
    return replace(chosen, broken=True, upright=False)


@pytest.fixture
def view(manner):
    return ShopView(manner=manner, per_inch=6.0, rng=np.random.default_rng(8))


@pytest.fixture(scope="module")
def sheet():
    """A wagon, of another seed than the bench draws."""
    return make_plate(replace(HALF, seed=3, rounds=6), 3, find_face=no_face, planted=True)


def test_sizes_end_on_lines_and_one_is_planted(sheet):
    lines = [m for m in sheet.marks if isinstance(m, Mark) and m.width]
    corners = np.concatenate([m.points for m in lines])
    ends = np.array([e for d in sheet.drawn if d.kind == "distance" for e in d.ends])
    assert len(ends) >= 20
    assert np.hypot(*(corners[None] - ends[:, None]).T).min(axis=0).max() < 1e-6
    assert sum(d.printed != d.right for d in sheet.drawn) == 1


def test_what_a_sheet_shows_stays_on_its_page(sheet):
    points = np.concatenate([m.points if isinstance(m, Mark) else m.corners() for m in sheet.marks])
    assert points.min() > 2.0
    assert (points.max(axis=0) < np.array(sheet.size) - 2.0).all()


def test_a_short_size_of_a_chain_puts_its_number_where_no_other_stands(view):
    view.rect(0, 0, 9, 2)
    view.chain([(0, 0), (0.4, 0), (5, 0), (9, 0)], "S")
    numbers = [m for m in view.marks if isinstance(m, Lettered)]
    spans = sorted((m.corners()[:, 0].min(), m.corners()[:, 0].max()) for m in numbers)
    assert len(spans) == 3
    assert spans[0][1] < view.at(0, 0)[0]  # stands before its size, not on the next one
    assert all(a[1] < b[0] for a, b in pairwise(spans))


def test_a_cut_face_is_hatched_inside_only(view):
    shape = [(0, 0), (5, 0), (5, 6), (4, 6), (4, 1), (1, 1), (1, 6), (0, 6)]  # open above
    view.hatch_in(shape)
    points = [m.points[0] * t + m.points[1] * (1 - t) for m in view.marks for t in (0.1, 0.5, 0.9)]
    x, y = (np.array(points) / view.per_inch).T
    assert len(points) > 60
    assert ((-y < 1) | (x < 1) | (x > 4)).all()


def test_sizes_are_printed_to_their_part_of_an_inch(view):
    view.nearest = 16
    view.rect(0, 0, 2.28, 1)
    view.size((0, 0), (2.28, 0), "S")
    view.decimals = True
    view.size((0, 0), (2.28, 0), "N")
    assert [d.right for d in view.drawn] == [Fraction(9, 4), Fraction(57, 25)]
    assert view.drawn[1].text == "2.280"


def test_a_view_takes_the_usual_scale_next_below_its_own(view):
    assert view.at_usual() == "Scale 1 1/2 in. = 1 ft."  # 1:8 of 25.4 mm; 3 in. would be 6.35 mm
    assert view.per_inch == pytest.approx(25.4 / 8)
