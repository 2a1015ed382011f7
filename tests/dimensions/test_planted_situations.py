"""Sheets of the bench of planted errors: what is wrong on them, and that the job names it."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.bench.planted import judge_audit
from tests.bench.planted_situations import SITUATIONS, draw_situation, print_at
from tests.bench.worn_checks import VECTOR, check_sheet

BY_NAME = {s.name: (k, s) for k, s in enumerate(SITUATIONS)}


def draw(name, number):
    place, situation = BY_NAME[name]
    return draw_situation(situation, (41, place), number)


@pytest.mark.parametrize("name", ["one view", "two scales", "printed at 97 %", "1/4 in = 1 ft"])
def test_one_number_is_wrong_and_none_on_every_third_sheet(name):
    wrong = [[t for t in draw(name, k).truths if t.right] for k in range(3)]
    assert [len(w) for w in wrong] == [1, 1, 0]
    assert all(t.text != t.right for w in wrong for t in w)


def test_a_sheet_printed_smaller_is_so_about_its_middle():
    sheet = draw("two views", 2)
    less = print_at(sheet, 0.97)
    for old, new in zip(sheet.truths, less.truths, strict=True):
        length, shorter = (math.dist(t.ends[0], t.ends[1]) for t in (old, new))
        assert shorter == pytest.approx(0.97 * length)


@pytest.mark.parametrize("name", ["one view", "printed at 97 %", "mm at 1:3, 1:6, none stated"])
def test_the_one_wrong_number_of_a_sheet_of_few_sizes_is_named_and_nothing_else(name):
    sheet = draw(name, 1)
    audit = check_sheet(sheet, how=VECTOR, dpi=200, rng=np.random.default_rng(1))
    outcome = judge_audit(sheet.truths, audit)
    assert [p.named for p in outcome.planted] == [True]
    assert not outcome.codes
