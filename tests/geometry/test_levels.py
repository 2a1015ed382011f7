"""Levels of pictures, against numpy."""

from __future__ import annotations

import numpy as np
import pytest

from audit.geometry.levels import level_at, value_at


@pytest.mark.parametrize("percent", [0, 2, 50, 80, 90, 97.3, 98, 99.5, 100])
def test_a_level_is_what_numpy_says_to_the_bit(percent):
    rng = np.random.default_rng(6)
    for shape in [(1, 1), (1, 2), (3, 5), (40, 61), (200, 333)]:
        for top in (2, 40, 256):
            gray = rng.integers(0, top, shape, np.uint8)
            assert level_at(gray, percent) == float(np.percentile(gray, percent))
            assert level_at(gray[:, ::2], percent) == float(np.percentile(gray[:, ::2], percent))
            for least in (-255, -1, 0, 7):
                off = rng.integers(least, least + top, shape, np.int16)
                assert level_at(off, percent) == float(np.percentile(off, percent))


@pytest.mark.parametrize("share", [0.0, 0.01, 0.5, 0.75, 0.99, 1.0])
def test_a_value_is_what_numpy_says_to_the_bit(share):
    rng = np.random.default_rng(7)
    for count in (1, 2, 7, 100, 901):
        values = rng.normal(0.0, 1e3, count)
        assert value_at(np.sort(values), share) == np.percentile(values, 100 * share)
