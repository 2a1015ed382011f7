"""Small views measured by the scale of another one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from audit.geometry import Box
from audit.records import NoScale, PageKind, Scale, ScaleFrom, View, ViewKind
from audit.scale import find_consensus, fix, fix_scales
from audit.scale.lending import find_lenders, stand_in_line
from tests.checks.simulated import Plan, simulate
from tests.scale.test_consensus import pair, wrong

BESIDE, BELOW, APART = Box(300, 20, 350, 80), Box(30, 200, 70, 240), Box(300, 300, 350, 380)


def at_scale(number, factor, box):
    """A view that has a scale."""
    scale = Scale(
        x=factor, y=factor, shear=0.0, covariance=((0.0,) * 3,) * 3, source=ScaleFrom.CONSENSUS,
        used=6, agreeing=6,
    )  # fmt: skip
    return View(id=number, sheet=1, kind=ViewKind.TRUE, box=box, scale=scale)


def small(box):
    """The view that has none."""
    none = NoScale(reason="only 2 printed sizes")
    return View(id=3, sheet=1, kind=ViewKind.TRUE, box=box, scale=none)


FRONT, OTHER = at_scale(1, 5.3, Box(0, 0, 200, 100)), at_scale(2, 9.1, Box(0, 400, 200, 500))


def lenders(pairs, box=BESIDE, views=(FRONT, OTHER)):
    return find_lenders(pairs, [*views, small(box)], frozenset({3}), floor=0.1)


def two(factor=5.3, off=0.0):
    """Sizes of the small view, at a scale."""
    return [pair(7, 9, view=3, factor=factor), pair(8, 12, view=3, factor=factor, off=off)]


@pytest.mark.parametrize("box", [BESIDE, BELOW, APART])
def test_two_sizes_that_fit_one_view_are_at_its_scale_wherever_they_stand(box):
    assert lenders(two(), box) == {3: 1}
    assert lenders(two(factor=9.1), box) == {3: 2}


@pytest.mark.parametrize("factor", [5.3 * 1.06, 7.0, 2.0])
def test_sizes_that_fit_no_view_have_no_scale(factor):
    assert lenders(two(factor)) == {}


def test_one_of_two_sizes_may_be_a_little_wrong():
    right, other = two()
    assert lenders([right, wrong(other, 1.06)]) == {3: 1}
    assert lenders([right, wrong(other, 1.3)]) == {}
    assert lenders([wrong(right, 1.06), wrong(other, 1.06)]) == {}


@pytest.mark.parametrize(("box", "found"), [(BESIDE, {3: 1}), (BELOW, {3: 1}), (APART, {})])
def test_a_lone_size_is_at_the_scale_of_a_view_it_stands_in_line_with(box, found):
    assert lenders(two()[:1], box) == found


def test_a_size_too_short_to_tell_scales_apart_tells_none():
    assert lenders([pair(7, 0.75, view=3, factor=5.3)]) == {}


def test_of_two_scales_that_fit_the_one_in_line_is_meant():
    near = at_scale(2, 5.3 * 1.03, Box(0, 400, 200, 500))
    short = [pair(7, 2, view=3, factor=5.4), pair(8, 2.2, view=3, factor=5.4)]
    assert lenders(short, BESIDE, (FRONT, near)) == {3: 1}
    assert lenders(short, Box(700, 200, 760, 260), (FRONT, near)) == {}


def test_views_in_line_stand_beside_or_above_each_other_not_within():
    whole = Box(0, 0, 200, 100)
    assert [stand_in_line(small(b), at_scale(1, 1.0, whole)) for b in (BESIDE, BELOW, APART)] == [
        True,
        True,
        False,
    ]
    assert not stand_in_line(small(Box(50, 20, 90, 60)), at_scale(1, 1.0, whole))


def test_an_end_view_of_one_size_is_measured_by_the_view_beside_it():
    """Five views of a scan; two of one part, at a scale that no ratio of the main one gives."""
    plan = Plan(
        views=5, dimensions=50, factors=(1.0, 1.0, 1.0, 2.65, 2.65), page=PageKind.SCAN,
        rounded=False, longest=3.0,
    )  # fmt: skip
    drawing = simulate(plan, np.random.default_rng(4))
    [one] = [d for d in drawing.dimensions if d.view == 5][:1]
    front = [d for d in drawing.dimensions if d.view == 4][:5]
    rest = [d for d in drawing.dimensions if d.view < 4] + front
    scaled = fix_scales(drawing.sheet, drawing.views, dimensions=[*rest, one])
    assert scaled.views[4].scale == scaled.views[3].scale
    assert scaled.views[4].scale.x == pytest.approx(2.65, rel=0.01)
    assert one.id in {left.dimension for left in scaled.left_out}
    size = one.reading.callout.size
    off = with_printed(one, replace(size, value=size.value * 3 / 2))
    scaled = fix_scales(drawing.sheet, drawing.views, dimensions=[*rest, off])
    assert isinstance(scaled.views[4].scale, NoScale)


def test_where_nothing_is_lent_the_scales_are_worked_out_once(monkeypatch):
    plan = Plan(views=2, dimensions=20, page=PageKind.SCAN, rounded=False, longest=3.0)
    drawing = simulate(plan, np.random.default_rng(4))
    asked = []
    monkeypatch.setattr(
        fix, "find_consensus", lambda *a, **k: asked.append(a) or find_consensus(*a, **k)
    )
    own = [d for d in drawing.dimensions if d.view == 1]
    [lone] = [d for d in drawing.dimensions if d.view == 2][:1]
    size = lone.reading.callout.size
    off = with_printed(lone, replace(size, value=size.value * 3 / 2))
    scaled = fix_scales(drawing.sheet, drawing.views, dimensions=[*own, off])
    assert isinstance(scaled.views[1].scale, NoScale)
    assert len(asked) == 1


def with_printed(dimension, size):
    """The same with another number."""
    reading = dimension.reading
    return replace(dimension, reading=replace(reading, callout=replace(reading.callout, size=size)))
