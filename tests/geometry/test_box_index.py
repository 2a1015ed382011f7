"""The index finds what looking at every box finds."""

from __future__ import annotations

import numpy as np
import pytest

from audit.geometry import Box
from audit.geometry.box_index import BoxIndex


@pytest.mark.parametrize("seed", range(40))
def test_it_finds_every_box_that_touches_and_no_other(seed):
    rng = np.random.default_rng(seed)
    corners = rng.integers(0, 30, (int(rng.integers(0, 60)), 2))
    sides = rng.integers(0, 9, corners.shape)
    boxes = [Box(x, y, x + w, y + h) for (x, y), (w, h) in zip(corners, sides, strict=True)]
    index = BoxIndex(boxes)
    for aside, above in ((0, 0), (3, 1)):
        x, y = map(int, rng.integers(0, 30, 2))
        asked = Box(x, y, x + 6, y + 4)
        expected = [
            k
            for k, b in enumerate(boxes)
            if max(asked.x0, b.x0) - min(asked.x1, b.x1) <= aside
            and max(asked.y0, b.y0) - min(asked.y1, b.y1) <= above
        ]
        assert index.meeting(asked, aside=aside, above=above) == expected
