"""Sizes that agree by chance are told from those that hardly do."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy import integrate, stats

from audit.records import NoScale, PageKind
from audit.scale.bearing import find_bearing
from audit.scale.chance import (
    SLIPS,
    SPREAD,
    agree_beyond_chance,
    chance_of_agreeing,
    chance_of_another,
)
from audit.scale.consensus import find_consensus
from audit.scale.modes import AT_RATIO, LOG_RANGE, OWN, RATIOS
from tests.scale.test_few_sizes import pair

SHEETS = 30  # of each kind; `docs/uncertainty.md` tells of more


def test_the_chance_is_the_integral_that_scipy_works_out():
    said, widths, right = np.array([1.0, 1.02, 1.5]), np.array([0.01, 0.02, 0.01]), 0.8

    def density(scale):
        read = right * (1 - SLIPS)
        each = [
            read * stats.norm.pdf(one, scale, width)
            + (1 - read) * stats.laplace.pdf(one, scale, SPREAD)
            for one, width in zip(said, widths, strict=True)
        ]
        return math.prod(each)

    scale, chance = chance_of_agreeing(said, widths, np.full(3, right))
    inside, _ = integrate.quad(density, scale - 0.04, scale + 0.04, points=[1.0, 1.02])
    whole, _ = integrate.quad(density, -1.0, 3.5, points=[1.0, 1.02, 1.5], limit=400)
    assert chance == pytest.approx(1 - inside / whole, rel=0.03)


def test_the_chance_of_another_scale_is_what_scipy_works_out():
    off, widths, share = np.array([0.0, 0.01, 0.4]), np.array([0.01, 0.02, 0.01]), 0.3

    def density(scale):
        return math.prod(
            (1 - SLIPS) * stats.norm.pdf(one, scale, width)
            + SLIPS * stats.laplace.pdf(one, scale, SPREAD)
            for one, width in zip(off, widths, strict=True)
        )

    own, _ = integrate.quad(density, -2, 2.4, points=[0.0, 0.01, 0.4], limit=400)
    own *= OWN / LOG_RANGE
    plain = sum(density(math.log(r)) for r in RATIOS) * AT_RATIO / len(RATIOS)
    here = share * density(0.0)
    assert chance_of_another(off, widths, share=share) == pytest.approx(
        (own + plain) / (own + plain + here), rel=0.03
    )


def test_the_surer_and_the_nearer_the_less_chance():
    def chance(apart, right):
        said = np.array([0.0, apart])
        return chance_of_agreeing(said, np.full(2, 0.01), np.full(2, right))[1]

    assert chance(0.0, 0.9) < chance(0.02, 0.9) < chance(0.04, 0.9) < chance(0.2, 0.9)
    assert chance(0.0, 0.9) < chance(0.0, 0.6) < chance(0.0, 0.3)


def test_one_number_over_lengths_that_are_the_same_is_one_witness():
    said, widths = np.zeros(3), np.full(3, 0.01)
    same = [pair(k, 1.5, drawn_mm=30.0) for k in range(3)]
    assert not agree_beyond_chance(same, said, widths).any()
    other = [*same[:2], pair(3, 2.0, drawn_mm=40.0)]
    assert agree_beyond_chance(other, said, widths).sum() == 2


def read_badly(rng, *, sizes, misread):
    """A view of unsure readings, so many of them misread, and the real length to a drawn one."""
    scale = 25.4 * float(np.exp(rng.uniform(0, 2)))
    drawn = rng.uniform(6, 60, sizes)
    off = np.where(rng.permutation(sizes) < misread, rng.laplace(0, 0.5, sizes), 0.0)
    off += rng.normal(0, 0.1, sizes) / drawn
    pairs = [
        replace(
            pair(k, float(drawn[k] * scale * math.exp(off[k]) / 25.4), drawn_mm=float(drawn[k])),
            right=float(rng.uniform(0.4, 0.9)),
        )
        for k in range(sizes)
    ]
    return pairs, scale


def wrong_scales(rng, **how):
    """How many of some views get a wrong scale, and how many a right one."""
    wrong = fixed = 0
    for _ in range(SHEETS):
        pairs, scale = read_badly(rng, **how)
        bear = find_bearing((), pairs, page=PageKind.SCAN, floor=0.1)
        for view in find_consensus(bear, page=PageKind.SCAN, floor=0.1).views:
            if not isinstance(view.scale, NoScale):
                fixed += 1
                wrong += abs(math.log(view.scale.x / scale)) > 0.03
    return wrong, fixed


def test_misread_sizes_of_a_view_hardly_ever_fix_its_scale():
    rng = np.random.default_rng(7)
    assert wrong_scales(rng, sizes=3, misread=3)[0] <= 1
    assert wrong_scales(rng, sizes=4, misread=3)[0] <= 1


def test_unsure_sizes_that_were_read_right_do():
    assert wrong_scales(np.random.default_rng(7), sizes=4, misread=0)[1] > 0.7 * SHEETS


def test_a_view_of_very_many_sizes_is_left_to_those_that_count_them():
    many = [pair(k, 0.5 + 0.1 * k, drawn_mm=10.0 + 2.0 * k) for k in range(41)]
    said, widths = np.zeros(41), np.full(41, 0.01)
    assert agree_beyond_chance(many[:40], said[:40], widths[:40]).any()
    assert not agree_beyond_chance(many, said, widths).any()
