"""The direction of ink, by its outline."""

from __future__ import annotations

import cv2
import numpy as np

from audit.reading.patch_directions import outline_of, shape_of


def test_the_rectangle_around_an_outline_is_that_around_all_ink():
    rng = np.random.default_rng(3)
    for _ in range(200):
        ink = np.zeros(rng.integers(4, 60, 2), np.uint8)
        for a, b in rng.integers(0, 60, (rng.integers(1, 5), 2, 2)).tolist():
            cv2.line(ink, a, b, (1,), int(rng.integers(1, 4)))
        rows, columns = np.nonzero(ink)
        if len(rows):
            assert shape_of(outline_of(ink)) == shape_of(np.column_stack([columns, rows]))
