"""The drawings that other programs are given, and what a planted error is."""

from __future__ import annotations

import math

import numpy as np
import pytest

from audit.lengths import Unit, parse_length
from tests.bench.program_parts import make_drawing, with_mistake

SEEDS = range(40)


def inches(text):
    """The length in a text without a sign of mm, as if it counted inches."""
    return float(parse_length(text, unit=Unit.IN).value)


@pytest.mark.parametrize("seed", SEEDS)
def test_every_printed_size_is_as_long_as_it_is_drawn(seed):
    """Sizes of one part share a scale: printed over drawn has at most two values on a sheet."""
    drawing = make_drawing(np.random.default_rng(seed))
    scales = {round(math.log(inches(s.text) / math.dist(*s.ends)), 3) for s in drawing.sizes}
    assert 1 <= len(scales) <= 2


def test_a_mistake_is_about_six_percent_and_only_one():
    for seed in SEEDS:
        rng = np.random.default_rng(seed)
        sizes = make_drawing(rng).sizes
        [wrong] = [s for s in with_mistake(sizes, rng) if s.right]
        assert 0.03 < abs(inches(wrong.text) / inches(wrong.right) - 1) < 0.09
