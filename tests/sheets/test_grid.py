"""Printed squared grids, found on sheets that are drawn here."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from audit.sheets.grid import find_grid


def squared(
    pitch=(40.0, 40.0), *, turn=0.0, noise=4.0, curve=True, squares=(16, 11), size=(900, 640)
):
    """A grid of thin lines with a curve over it, as patterns for jig saws are printed."""
    rng = np.random.default_rng(1)
    fine = 4
    big = np.full((size[1] * fine, size[0] * fine), 238, np.uint8)
    x0, y0 = 90.0, 80.0
    x1, y1 = x0 + squares[0] * pitch[0], y0 + squares[1] * pitch[1]
    for k in range(squares[0] + 1):
        x = round((x0 + k * pitch[0]) * fine)
        cv2.line(big, (x, round(y0 * fine)), (x, round(y1 * fine)), 130, 5)
    for k in range(squares[1] + 1):
        y = round((y0 + k * pitch[1]) * fine)
        cv2.line(big, (round(x0 * fine), y), (round(x1 * fine), y), 130, 5)
    if curve:
        middle = (round((x0 + x1) / 2 * fine), round((y0 + y1) / 2 * fine))
        cv2.ellipse(big, middle, (200 * fine, 130 * fine), 10, 0, 360, 20, 12)
    matrix = cv2.getRotationMatrix2D((big.shape[1] / 2, big.shape[0] / 2), turn, 1.0)
    big = cv2.warpAffine(big, matrix, big.shape[::-1], borderValue=238)
    small = cv2.resize(big, size, interpolation=cv2.INTER_AREA)
    return np.clip(small + rng.normal(0, noise, small.shape), 0, 255).astype(np.uint8)


@pytest.mark.parametrize("turn", [0.0, 0.6, -0.8])
def test_a_squared_grid_is_found_with_its_squares_counted(turn):
    found = find_grid(squared(turn=turn))
    assert found is not None
    assert [comb.squares for comb in found] == [16, 11]
    assert [comb.square_px for comb in found] == pytest.approx([40.0, 40.0], abs=0.05)
    assert max(comb.rms for comb in found) < 0.5


def test_a_stretched_grid_tells_both_directions_apart():
    across, down = find_grid(squared((41.0, 39.5)))
    assert across.square_px == pytest.approx(41.0, abs=0.05)
    assert down.square_px == pytest.approx(39.5, abs=0.05)


def test_no_grid_is_found_where_none_is_printed():
    blank = np.full((600, 800), 235, np.uint8)
    assert find_grid(blank) is None
    drawn = blank.copy()
    for x in (100, 180, 330, 420, 700):
        cv2.line(drawn, (x, 100), (x, 500), 20, 2)
        cv2.line(drawn, (50, x // 2), (750, x // 2), 20, 2)
    assert find_grid(drawn) is None
    assert find_grid(np.full((5, 5), 9, np.uint8)) is None
