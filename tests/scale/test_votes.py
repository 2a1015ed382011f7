"""How many sizes of a view must agree. The limits are judgements; design figures are ours."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from audit.records import NoScale, PageKind
from audit.scale.modes import Membership
from audit.scale.votes import count_at_main, is_agreed, is_backed
from tests.scale.test_consensus import SIZES, consensus, pair, wrong


def members(*ratios):
    return [
        Membership(view=k, ratio=None if r is None else Fraction(r), log_scale=0.0)
        for k, r in enumerate(ratios)
    ]


def votes(*agreed):
    return {k: np.array([True] * good + [False] * bad) for k, (good, bad) in enumerate(agreed)}


@pytest.mark.parametrize(
    ("good", "sizes", "alone", "vouched"),
    [
        (4, 6, True, True),
        (3, 5, False, True),
        (1, 2, False, False),  # one fits any scale by chance
        (2, 4, False, False),
        (1, 3, False, False),
        (3, 6, False, False),
        (0, 1, False, False),
    ],
)
def test_up_to_two_wrong_sizes_are_alarms_only_where_others_vouch(good, sizes, alone, vouched):
    assert is_agreed(good, sizes, vouched=False) is alone
    assert is_agreed(good, sizes, vouched=True) is vouched


def test_only_views_that_need_nobody_vouch_and_never_one_alone():
    assert count_at_main(members(1, 1), votes((6, 0), (5, 1))) == 11
    assert count_at_main(members(1, 1), votes((6, 0), (3, 2))) == 0
    assert count_at_main(members(1, 1, 2, None), votes((6, 0), (5, 1), (9, 0), (9, 0))) == 11


def sheet(*, wrong_ones, others=2):
    pairs = [pair(100 * v + k, SIZES[k], view=v) for v in range(2, 2 + others) for k in range(8)]
    small = [pair(k, SIZES[k], view=1) for k in range(5)]
    for k in range(wrong_ones):
        small[k] = wrong(small[k], 1.0 + 0.17 * (k + 1))
    return [*small, *pairs]


def test_a_small_view_with_two_wrong_sizes_is_measured_by_what_the_sheet_agrees_on():
    one, *_ = consensus(sheet(wrong_ones=2)).views
    assert one.scale.x == pytest.approx(1.0, rel=1e-4)
    assert (one.dimensions, one.agreeing) == (5, 3)


def test_a_small_view_with_three_wrong_sizes_is_not_measured():
    one, *_ = consensus(sheet(wrong_ones=3)).views
    assert one.scale.reason == "its printed sizes do not agree on one scale"


def test_one_other_view_vouches_where_chance_would_hardly_have_three_sizes_agree_with_it():
    one, *_ = consensus(sheet(wrong_ones=2, others=1)).views
    assert one.scale.x == pytest.approx(1.0, rel=1e-4)
    one, *_ = consensus(sheet(wrong_ones=3, others=1)).views
    assert one.scale.reason == "its printed sizes do not agree on one scale"


def test_sizes_wrong_by_one_ratio_are_of_another_scale_and_nobody_vouches():
    few = [pair(k, SIZES[k], view=1) for k in range(4)]
    few[:2] = [wrong(p, 1.2) for p in few[:2]]
    other = [pair(100 + k, SIZES[k], view=2) for k in range(8)]
    one, *_ = consensus([*few, *other]).views
    assert one.scale.reason == "its printed sizes do not agree on one scale"


@pytest.mark.parametrize(
    ("off", "good", "stands"),
    [
        ((0.0, 0.0, 0.1, -0.3, 0.7), 2, True),
        ((0.0, 0.0, 0.0, 0.05, 0.05, -0.2, 0.4), 3, True),
        ((0.0, 0.1, -0.05), 1, True),
        ((0.0, 0.1, -0.4), 1, False),  # one may fit by chance, and the others are far
        ((0.0, 0.0, 0.7, 0.7, 0.7), 2, False),  # drawn at two scales
        ((0.0, 0.1, -0.3, 0.7, 0.4, -0.6, 0.9), 1, False),
        ((0.1, -0.1), 0, False),
    ],
)
def test_a_stated_scale_stands_behind_few_sizes_unless_others_agree_on_another(off, good, stands):
    agree = np.arange(len(off)) < good
    printed = 10.0 + 7.0 * np.arange(len(off)) ** 2
    assert is_backed(np.array(off), agree, printed=printed, allowed=0.01 * printed) is stands


def test_sizes_that_are_wrong_by_one_length_are_those_of_a_view_drawn_shortened():
    printed, short = np.array([1.0, 2, 2, 28, 29, 29, 30]), np.array([0.0, 0, 0, 24, 24, 24, 24])
    for more, stands in ((short, False), (short * [0, 0, 0, 0.5, 0.9, -0.2, 0.7], True)):
        off = -np.log1p(-more / printed)
        assert is_backed(off, more == 0, printed=printed, allowed=np.full(7, 0.02)) is stands


def test_a_small_view_with_three_wrong_sizes_is_measured_where_its_scale_is_stated():
    one, *_ = consensus(sheet(wrong_ones=3), stated={1: 1.0, 2: 1.0, 3: 1.0}).views
    assert one.scale.x == pytest.approx(1.0, rel=1e-4)
    assert (one.agreeing, one.backed) == (2, True)


def test_a_stated_scale_is_no_scale_where_the_sizes_agree_on_another():
    small = [pair(k, SIZES[k], factor=2.0 if k < 3 else 1.0) for k in range(5)]
    [one] = consensus(small, stated={1: 1.0}).views
    assert not one.backed
    assert one.scale.reason == "its printed sizes do not agree on one scale"


def test_three_sizes_fix_a_scale_that_is_stated_too():
    three = [pair(k, SIZES[k]) for k in range(3)]
    three[1] = wrong(three[1], 1.3)
    [one] = consensus(three, stated={1: 1.0}).views
    assert one.scale.x == pytest.approx(1.0, rel=1e-4)
    [other] = consensus(three, stated={1: 2.0}).views
    assert other.scale.reason == "only 3 printed sizes to take a scale from"


def test_of_two_sizes_of_a_drawn_page_the_one_that_fits_its_stated_scale_judges_the_other():
    for place in (0, 1):
        two = [pair(k, SIZES[k]) for k in range(2)]
        two[place] = wrong(two[place], 1.06)
        [one] = consensus(two, stated={1: 1.0}).views
        assert one.scale.x == pytest.approx(1.0, rel=1e-3)
        assert isinstance(consensus(two).views[0].scale, NoScale)
        two[place] = wrong(two[place], 2.0)  # too far off to be a slip of a size at that scale
        assert isinstance(consensus(two, stated={1: 1.0}).views[0].scale, NoScale)
        scan = consensus(two, stated={1: 1.0}, page=PageKind.SCAN)
        assert isinstance(scan.views[0].scale, NoScale)


def test_a_print_off_true_size_is_so_for_all_its_views():
    pairs = [pair(k, SIZES[k], view=2, print_factor=0.94) for k in range(6)]
    pairs += [pair(10 + k, SIZES[k], view=1, factor=2.0, print_factor=0.94) for k in range(4)]
    pairs[6], pairs[8] = wrong(pairs[6], 1.1), wrong(pairs[8], 0.8)
    one, _ = consensus(pairs, stated={1: 2.0, 2: 1.0}).views
    assert one.scale.x == pytest.approx(2 / 0.94, rel=1e-4)
    assert one.backed
    same, _ = consensus(pairs, stated={1: 1.0, 2: 1.0}).views
    assert not same.backed
