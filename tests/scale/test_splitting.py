"""Two views that were taken as one, drawn at two scales."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from audit.geometry import Point
from audit.scale import Pair
from audit.scale.splitting import split_views
from tests.scale.test_consensus import SIZES, pair, wrong

SHEETS = 20  # of each kind; `docs/uncertainty.md` tells of more


def merged(*, factor, second=4, first=5):
    """Sizes of one view, the last of them drawn at another scale and below the others."""
    pairs = [pair(k, SIZES[k]) for k in range(first)]
    pairs += [pair(10 + k, SIZES[k], factor=factor) for k in range(second)]
    return [
        replace(p, middle=Point(10.0 * k, 300.0 if p.source >= 10 else 100.0 + k))
        for k, p in enumerate(pairs)
    ]


@pytest.mark.parametrize("factor", [2.0, 0.5, 4.0])
def test_sizes_of_a_second_scale_that_stand_apart_are_a_part_of_their_own(factor):
    pairs, [split] = split_views(merged(factor=factor), floor=0.0)
    assert [p.view for p in pairs] == [1] * 5 + [-1] * 4
    assert split.ratio == pytest.approx(1 / factor, rel=1e-3)
    assert split.box.y0 == split.box.y1 == 300.0


@pytest.mark.parametrize(
    "sizes",
    [
        merged(factor=1.0),
        merged(factor=2.0, second=2),  # two may be slips, R for Ø
        merged(
            factor=2.0, first=8, second=3
        ),  # the view has a scale: three slips beside each other
    ],
)
def test_anything_else_stays_one_view(sizes):
    pairs, splits = split_views(sizes, floor=0.0)
    assert splits == ()
    assert pairs == tuple(sizes)


@pytest.mark.parametrize("factor", [1.7, 1 / 1.7])
def test_two_sizes_wrong_by_one_odd_ratio_are_of_a_detail_that_stands_apart(factor):
    pairs, [split] = split_views(merged(factor=factor, first=8, second=2), floor=0.0)
    assert [p.view for p in pairs] == [1] * 8 + [-1] * 2
    assert split.ratio == pytest.approx(1 / factor, rel=1e-3)


def test_a_detail_of_two_sizes_beside_a_view_of_three_is_a_part_too():
    """Without its sizes the others agree: a wing, its rib drawn larger under it."""
    few = merged(factor=2.61, first=3, second=2)
    pairs, splits = split_views(few, floor=0.0)
    assert ([p.view for p in pairs], len(splits)) == ([1] * 3 + [-1] * 2, 1)
    one_wrong = [*merged(factor=2.61, first=4, second=2)]
    one_wrong[0] = wrong(one_wrong[0], 1.06)
    assert len(split_views(one_wrong, floor=0.0)[1]) == 1
    two_wrong = [*one_wrong[:1], wrong(one_wrong[1], 1.3), *one_wrong[2:]]
    assert split_views(two_wrong, floor=0.0)[1] == ()


@pytest.mark.parametrize(
    "sizes",
    [
        merged(factor=1.7, first=8, second=1),
        merged(factor=1.06, first=8, second=2),
        merged(factor=25.4, first=8, second=2),
        [*merged(factor=1.7, first=8, second=1), replace(merged(factor=1.5)[-1], source=30)],
    ],
)
def test_single_slips_of_a_view_that_has_a_scale_are_slips(sizes):
    assert split_views(sizes, floor=0.0)[1] == ()


@pytest.mark.parametrize(("apart", "parts"), [(1.0, 1), (1.006, 1), (1.02, 0)])
def test_two_sizes_of_a_detail_agree_as_well_as_they_are_drawn(apart, parts):
    sizes = merged(factor=1.7, first=8, second=2)
    sizes[-1] = wrong(sizes[-1], apart)
    sizes = [replace(p, dx=10 * p.dx, dy=10 * p.dy, real=10 * p.real) for p in sizes]
    assert len(split_views(sizes, floor=0.0)[1]) == parts


def test_sizes_amid_the_others_are_no_part():
    sizes = merged(factor=2.0)
    mixed = [
        replace(p, middle=Point(100.0 + 7 * (k % 3), 50.0 + 9 * (k % 4)))
        for k, p in enumerate(sizes)
    ]
    assert split_views(mixed, floor=0.0)[1] == ()


def test_a_view_drawn_stretched_is_not_two_views():
    """Level sizes stand above it and upright ones beside it, apart as two views would."""
    stretched = [
        replace(p, dx=p.drawn * (p.source < 10), dy=p.drawn * (p.source >= 10))
        for p in merged(factor=1.5)
    ]
    assert split_views(stretched, floor=0.0)[1] == ()
    alike = [replace(p, dx=p.drawn, dy=0.0) for p in stretched]
    assert len(split_views(alike, floor=0.0)[1]) == 1


@pytest.mark.parametrize("factor", [8 / 3, 1.37, 1 / 1.85])
def test_different_sizes_that_a_line_parts_are_two_views_at_any_ratio(factor):
    pairs, [split] = split_views(merged(factor=factor), floor=0.0)
    assert [p.view for p in pairs] == [1] * 5 + [-1] * 4
    assert split.ratio == pytest.approx(1 / factor, rel=1e-3)
    same = merged(factor=factor)
    same[5:] = [replace(p, source=k) for k, p in enumerate([same[5]] * 4, start=10)]
    assert split_views(same, floor=0.0)[1] == ()


def test_three_sizes_off_by_what_slips_are_off_by_are_slips_but_four_are_a_view():
    assert split_views(merged(factor=2.0, first=8, second=3), floor=0.0)[1] == ()
    assert len(split_views(merged(factor=2.0, first=8, second=4), floor=0.0)[1]) == 1


@pytest.mark.parametrize("factor", [2.0, 8 / 3])
def test_a_size_that_stands_amid_the_other_view_keeps_the_scale_of_its_own(factor):
    sizes = merged(factor=factor)
    sizes[6] = replace(sizes[6], middle=Point(20.0, 102.5))
    pairs, [split] = split_views(sizes, floor=0.0)
    assert [p.view for p in pairs] == [1] * 5 + [-1] * 4
    assert split.rest.y1 < split.box.y0


def test_what_says_neither_scale_belongs_where_it_stands():
    sizes = merged(factor=8 / 3)
    sizes[1], sizes[6] = wrong(sizes[1], 1.2), wrong(sizes[6], 0.9)
    pairs, splits = split_views(sizes, floor=0.0)
    assert [p.view for p in pairs] == [1] * 5 + [-1] * 4
    assert len(splits) == 1


def simulated(rng, *, sizes, misread, scale=8.0, left=0.0, first=0):
    """A view as a hand draws it, each size misread so often; middles anywhere in 80 mm."""
    drawn = np.exp(rng.uniform(math.log(5), math.log(80), sizes))
    off = np.where(rng.random(sizes) < misread, rng.laplace(0, 0.5, sizes), 0.0)
    off += rng.normal(0, 0.15, sizes) / drawn
    upright = rng.random(sizes) < 0.4
    return [
        Pair(
            source=first + k,
            view=1,
            dx=0.0 if upright[k] else float(drawn[k]),
            dy=float(drawn[k]) if upright[k] else 0.0,
            real=float(drawn[k]) * scale * math.exp(off[k]),
            u_paper=0.1,
            u_real=0.0,
            tolerance=0.2 * scale,
            middle=Point(left + rng.uniform(0, 80), rng.uniform(0, 80)),
        )
        for k in range(sizes)
    ]


@pytest.mark.parametrize("misread", [0.1, 0.3, 0.5])
@pytest.mark.parametrize("sizes", [8, 16])
def test_simulated_views_of_one_scale_are_hardly_ever_taken_for_two(sizes, misread):
    rng = np.random.default_rng(11)
    views = [simulated(rng, sizes=sizes, misread=misread) for _ in range(SHEETS)]
    assert sum(len(split_views(v, floor=0.1)[1]) for v in views) <= 1


@pytest.mark.parametrize("ratio", [8 / 3, 1.45])
def test_simulated_views_of_two_scales_mostly_are(ratio):
    rng = np.random.default_rng(11)
    views = [
        simulated(rng, sizes=6, misread=0.1)
        + simulated(rng, sizes=4, misread=0.1, scale=8.0 / ratio, left=100.0, first=100)
        for _ in range(SHEETS)
    ]
    assert sum(len(split_views(v, floor=0.1)[1]) for v in views) > 0.7 * SHEETS


def test_a_wrong_size_in_each_part_changes_nothing():
    sizes = merged(factor=2.0)
    sizes[1], sizes[6] = wrong(sizes[1], 1.2), wrong(sizes[6], 0.9)
    _, [split] = split_views(sizes, floor=0.0)
    assert split.part == -1


def test_a_wrong_size_is_measured_by_the_scale_that_it_nearly_says_wherever_it_stands():
    """An overall size of the lower view, its number 6 % too small, stands amid the upper one."""
    sizes = merged(factor=1.25, first=6, second=4)
    low = replace(wrong(pair(30, 7.0, factor=1.25), 0.94), middle=Point(20.0, 102.0))
    far = replace(wrong(low, 1 / 0.6), source=31)
    pairs, _ = split_views([*sizes, low, far], floor=0.0)
    assert {p.source: p.view for p in pairs[-2:]} == {30: -1, 31: 1}
