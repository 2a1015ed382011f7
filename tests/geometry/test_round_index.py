"""The index finds what looking at every circle finds."""

from __future__ import annotations

import numpy as np
import pytest

from audit.geometry.round_index import FIRST_ROOM, RoundIndex


@pytest.mark.parametrize("count", [0, 1, FIRST_ROOM, 3 * FIRST_ROOM])
def test_it_finds_every_circle_that_is_alike_and_no_other(count):
    rng = np.random.default_rng(count)
    rounds = rng.integers(0, 9, (count, 3)).astype(float).tolist()
    index = RoundIndex()
    for asked, (x, y, radius) in enumerate(rounds):
        expected = [
            k
            for k, other in enumerate(rounds[:asked])
            if all(abs(a - b) <= 2.0 for a, b in zip(other, (x, y, radius), strict=True))
        ]
        assert index.alike((x, y), radius, 2.0) == expected
        index.add((x, y), radius)
    assert index.alike((4.0, 4.0), 4.0, 9.0) == list(range(count))
