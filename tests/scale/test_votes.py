"""How many sizes of a view must agree. The limits are judgements; design figures are ours."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from audit.scale.modes import Membership
from audit.scale.votes import count_at_main, is_agreed
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


def test_one_other_view_does_not_vouch():
    one, *_ = consensus(sheet(wrong_ones=2, others=1)).views
    assert one.scale.reason == "its printed sizes do not agree on one scale"
