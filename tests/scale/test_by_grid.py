"""A printed grid is one view's known size; views beside it may be drawn at scales of their own."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from audit.geometry import Point
from audit.lengths import Length, Unit
from audit.records import KnownSize, NoScale, Scale, ScaleFrom
from audit.scale import fix_scales
from tests.checks.simulated import Plan, reading_of, simulate

DPI = 200.0
ACROSS = ((100.0, 700.0), (500.0, 700.0))  # 2 in of paper, in the first of three views
DOWN = ((100.0, 700.0), (100.0, 1100.0))


def draw(*factors, dimensions=9, seed=3):
    """Three views side by side."""
    plan = Plan(views=3, dimensions=dimensions, factors=factors, sigma=0.05, rounded=False)
    return simulate(plan, np.random.default_rng(seed))


def grid(inches, *, by_tool=True):
    """2 in of paper both ways, said to be so many inches."""
    return [
        KnownSize(
            sheet=1,
            a=Point(*a),
            b=Point(*b),
            length=Length(Fraction(inches), Unit.IN),
            u_ends=0.05,
            by_tool=by_tool,
        )
        for a, b in (ACROSS, DOWN)
    ]


def scale(drawing, known):
    return fix_scales(
        drawing.sheet, drawing.views, dimensions=drawing.dimensions, known_sizes=known
    ).views


def test_views_beside_a_grid_have_the_scale_of_their_own_sizes():
    """The ratio 8 : 5 is no standard one: only their own sizes can tell it."""
    first, second, third = scale(draw(2.5, 1.5625, 1.5625, dimensions=15), grid(5))
    assert first.scale.source is ScaleFrom.KNOWN
    assert first.scale.x == pytest.approx(2.5, rel=2e-3)
    for view in (second, third):
        assert view.scale.source is ScaleFrom.CONSENSUS
        assert view.scale.x == pytest.approx(1.5625, rel=5e-3)


def test_two_sizes_beside_a_grid_that_agree_on_another_scale_are_measured_by_that():
    drawing = draw(2.5, 1.9, 1.4, dimensions=6)
    kept = tuple(d for d in drawing.dimensions if d.view != 3)
    views = scale(replace(drawing, dimensions=kept), grid(5))
    assert views[1].scale.source is ScaleFrom.CONSENSUS
    assert views[1].scale.x == pytest.approx(1.9, rel=2e-3)


def test_a_view_beside_a_grid_that_fits_it_is_measured_by_it():
    views = scale(draw(2.5, 2.5, 2.5, dimensions=6), grid(5))
    assert [v.scale.source for v in views] == [ScaleFrom.KNOWN] * 3


def test_one_wrong_size_of_two_beside_a_grid_does_not_part_its_view():
    drawing = draw(2.5, 2.5, 2.5, dimensions=6)
    mine = [d for d in drawing.dimensions if d.view == 2]
    value = mine[0].reading.callout.size.value * Fraction(106, 100)
    wrong = replace(mine[0], reading=reading_of(Length(value, Unit.IN)))
    kept = tuple(wrong if d.id == wrong.id else d for d in drawing.dimensions)
    views = scale(replace(drawing, dimensions=kept), grid(5))
    assert isinstance(views[1].scale, Scale)
    assert views[1].scale.source is ScaleFrom.KNOWN


def test_a_view_without_sizes_beside_a_grid_is_measured_by_it():
    views = scale(draw(2.5, 2.5, 2.5, dimensions=2), grid(5))
    assert [v.scale.source for v in views] == [ScaleFrom.KNOWN] * 3


def test_what_a_person_gives_rules_views_of_one_size_too():
    drawing = draw(2.5, 1.9, 1.4, dimensions=3)
    sources = [v.scale.source for v in scale(drawing, grid(5, by_tool=False))]
    assert sources == [ScaleFrom.KNOWN] * 3
    by_tool = scale(drawing, grid(5))
    assert [isinstance(v.scale, NoScale) for v in by_tool] == [False, True, True]


def test_a_view_beside_a_grid_that_is_nearly_at_its_scale_keeps_that_of_its_own_sizes():
    """A scan warps: half a percent off what the grid says is no contradiction."""
    views = scale(draw(2.5, 2.512, 2.5, dimensions=30), grid(5))
    assert views[1].scale.source is ScaleFrom.CONSENSUS
    assert views[1].scale.x == pytest.approx(2.512, rel=2e-3)
