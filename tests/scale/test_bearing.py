"""Unsure readings give a scale only where they bear each other out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from audit.checks import judge
from audit.checks.vouching import VOUCHED
from audit.records import NoScale, PageKind, ReadBy, Verdict
from audit.scale import fix_scales
from audit.scale.bearing import find_bearing
from tests.checks.simulated import Plan, simulate
from tests.scale.test_consensus import SIZES, pair, wrong


def bearing(sure, unsure, *, right=0.6):
    unsure = [replace(p, right=right) for p in unsure]
    found = find_bearing(sure, unsure, page=PageKind.SCAN, floor=0.1)
    return tuple(replace(p, right=1.0) for p in found)


def lettered_badly(count, *, confidence=0.6, **plan):
    """A plan of which every reading is unsure."""
    drawing = simulate(
        Plan(page=PageKind.SCAN, dimensions=count, sigma=0.3, **plan), np.random.default_rng(3)
    )
    unsure = tuple(
        replace(d, reading=replace(d.reading, confidence=confidence, by=ReadBy.NET))
        for d in drawing.dimensions
    )
    return replace(drawing, dimensions=unsure)


def fixed(drawing):
    return fix_scales(drawing.sheet, drawing.views, dimensions=drawing.dimensions)


def test_sizes_that_agree_bear_each_other_out_and_misread_ones_are_left_out():
    right = [pair(k, SIZES[k], factor=4.0) for k in range(6)]
    misread = [wrong(pair(6, SIZES[6], factor=4.0), 1.4), wrong(pair(7, SIZES[7], factor=4.0), 5.0)]
    assert bearing((), [*right, *misread]) == tuple(right)


def test_three_sizes_alone_do_so_where_each_was_read_rather_surely():
    three = [pair(k, SIZES[k], factor=4.0) for k in range(3)]
    assert bearing((), three) == tuple(three)
    assert bearing((), three, right=0.2) == ()


def test_two_do_so_only_where_both_were_nearly_sure():
    two = [pair(k, SIZES[k], factor=4.0) for k in range(2)]
    assert bearing((), two, right=0.85) == tuple(two)
    assert bearing((), two) == ()


def test_two_unsure_sizes_of_a_view_that_agree_with_its_sure_one_do():
    sure, *unsure = (pair(k, SIZES[k], factor=4.0) for k in range(3))
    assert bearing((sure,), unsure) == tuple(unsure)


def test_of_three_unsure_sizes_none_may_differ():
    one, other, third = (pair(k, SIZES[k], factor=4.0) for k in range(3))
    assert bearing((), [one, other, wrong(third, 3.0)], right=0.85) == ()
    assert bearing((one,), [other, wrong(third, 3.0)], right=0.85) == (other,)


def test_one_size_nearly_right_may_be_the_right_one_of_three():
    """5 % apart, by chance alone one of three is as likely as not about as near."""
    sure, one, other = (pair(k, SIZES[k], factor=4.0) for k in range(3))
    assert bearing((sure,), [one, wrong(other, 1.05)], right=0.4) == ()


def test_sure_sizes_count_among_those_that_agree():
    right = [pair(k, SIZES[k]) for k in range(6)]
    assert bearing(right[:3], right[3:]) == tuple(right[3:])


def test_sizes_of_which_most_were_misread_do_not():
    right = [pair(k, SIZES[k]) for k in range(5)]
    misread = [wrong(pair(k, 1.0 + k / 3), 1.5 + 0.37 * k) for k in range(5, 11)]
    assert bearing((), [*right, *misread]) == ()


def test_one_number_misread_everywhere_bears_nothing_out():
    slats = [wrong(pair(k, 1.5), 0.75) for k in range(8)]
    assert bearing((), slats) == ()
    assert bearing([pair(8, 6.0)], slats) == ()


def test_what_most_sure_sizes_speak_against_is_not_taken():
    right = [pair(k, SIZES[k]) for k in range(6)]
    against = [wrong(pair(8, 2.7), 1.3), wrong(pair(9, 4.4), 0.6)]
    assert bearing([*against, right[5]], right[:5]) == ()
    assert bearing([against[0], right[5]], right[:5]) == tuple(right[:5])


def test_misread_sizes_hardly_ever_agree_by_chance():
    """Ratios spread evenly over two decades: fewer than 1 sheet in 100 of 10 sizes gets a scale."""
    rng = np.random.default_rng(11)
    by_chance = 0
    for _ in range(150):
        off = np.exp(rng.uniform(0, np.log(100.0), 10))
        misread = [wrong(pair(k, SIZES[k], factor=4.0), float(off[k])) for k in range(10)]
        by_chance += bearing((), misread) != ()
    assert by_chance <= 1


def test_a_sheet_of_unsure_readings_is_scaled_and_judged():
    drawing = lettered_badly(12)
    scaled = fixed(drawing)
    assert scaled.views[0].scale.x == pytest.approx(1.0, rel=0.01)
    done = judge(scaled, drawing.dimensions)
    verdicts = [d.verdict for d in done.dimensions]
    assert verdicts.count(Verdict.AGREES) >= 9
    assert all(d.why == VOUCHED for d in done.dimensions if d.verdict is Verdict.AGREES)


def test_readings_that_were_hardly_heard_give_no_scale():
    scaled = fixed(lettered_badly(12, confidence=0.1))
    assert isinstance(scaled.views[0].scale, NoScale)


def test_where_sure_sizes_give_the_scale_unsure_ones_change_nothing():
    drawing = simulate(Plan(page=PageKind.SCAN, dimensions=12), np.random.default_rng(3))
    first, *rest = drawing.dimensions
    unsure = replace(first, reading=replace(first.reading, confidence=0.6, by=ReadBy.NET))
    without = replace(drawing, dimensions=tuple(rest))
    heard = replace(drawing, dimensions=(unsure, *rest))
    assert fixed(heard).views == fixed(without).views
