"""Drawings at two scales that are taken as one view, none apart from the others."""

from __future__ import annotations

from dataclasses import replace

import pytest

from audit.geometry import Point
from audit.scale.mingled import find_mingled, is_beside
from audit.scale.splitting import split_views
from tests.scale.test_consensus import pair, wrong

FIRST, SECOND = (2.0, 3.5, 5.0, 8.0, 11.0), (2.5, 4.0, 6.0, 9.5)
CORNERS = ((0, 0, True), (1, 0, False), (0, 1, False), (1, 1, True))  # whether of the first scale


def checkered(*, factor, second=SECOND, step=60.0):
    """Sizes of four drawings that lie two and two, at a first scale and at another one."""
    pairs = []
    for column, row, is_first in CORNERS:
        for k, size in enumerate(FIRST if is_first else second):
            place = Point(500.0 * column + step * (k % 2), 500.0 * row + step * (k // 2))
            one = pair(len(pairs), 25.4 * size, factor=1.0 if is_first else factor)
            pairs.append(replace(one, middle=place))
    return pairs


@pytest.mark.parametrize("factor", [0.5, 1.4, 3.0])
def test_drawings_at_two_scales_amid_each_other_are_told_apart(factor):
    sizes = checkered(factor=factor)
    pairs, [split] = split_views(sizes, floor=0.1)
    assert [p.view for p in pairs] == [1] * 5 + [-1] * 8 + [1] * 5
    assert split.ratio == pytest.approx(1 / factor, rel=1e-3)
    assert split.holds(Point(530.0, 40.0))
    assert not split.holds(Point(530.0, 540.0))


def test_a_wrong_size_is_of_the_drawing_about_it():
    sizes = checkered(factor=0.5)
    sizes[6] = wrong(sizes[6], 1.3)
    sizes[1], sizes[3] = wrong(sizes[1], 1.06), wrong(sizes[3], 1.3)
    pairs, _ = split_views(sizes, floor=0.1)
    assert [pairs[k].view for k in (1, 3, 6)] == [1, 1, -1]


def test_few_sizes_off_by_one_ratio_are_slips():
    assert find_mingled(checkered(factor=0.5, second=SECOND[:3]), 0.1) is None
    assert find_mingled(checkered(factor=0.5, second=(4.0, 4.0, 4.0, 4.0)), 0.1) is None


def test_sizes_off_by_one_ratio_that_stand_singly_are_no_drawing():
    turns = _alternately(checkered(factor=0.5))
    places = [Point(100.0 * (k % 5), 100.0 * (k // 5)) for k in range(len(turns))]
    alone = [replace(p, middle=place) for p, place in zip(turns, places, strict=True)]
    assert find_mingled(alone, 0.1) is None


def _alternately(sizes):
    first = [p for k, p in enumerate(sizes) if k < 5 or k >= 13]
    second = [p for k, p in enumerate(sizes) if 5 <= k < 13]
    return [p for two in zip(first, second, strict=False) for p in two]


def test_what_stands_nearest_tells_which_drawing_a_place_is_of():
    assert is_beside(Point(0, 0), [Point(1, 0)], [])
    assert not is_beside(Point(0, 0), [Point(1, 0)], [Point(2, 0), Point(3, 0)])
