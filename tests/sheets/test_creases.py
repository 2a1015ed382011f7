"""Creases are found by their shadow over print and margin; drawn lines are none."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from audit.sheets.creases import find_creases

HIGH, WIDE = 900, 1200


def drawing(seed: int = 4) -> np.ndarray:
    """A scan with a border, outlines, and a light pencil line that ends at the border."""
    rng = np.random.default_rng(seed)
    page = np.full((HIGH, WIDE), 238.0)
    cv2.rectangle(page, (40, 40), (WIDE - 40, HIGH - 40), 40, 3)
    for _ in range(6):
        x, y = rng.integers(80, 700), rng.integers(80, 500)
        cv2.rectangle(page, (x, y), (x + int(rng.integers(80, 400)), y + 200), 60, 2)
    cv2.line(page, (850, 42), (850, HIGH - 42), 224, 2)
    return page


def finish(page: np.ndarray, seed: int = 9) -> np.ndarray:
    noise = np.random.default_rng(seed).normal(0, 4, page.shape)
    return np.clip(cv2.GaussianBlur(page, (0, 0), 0.7) + noise, 0, 255).astype(np.uint8)


def folded(page: np.ndarray, x: float, *, tilt: float, levels: float) -> np.ndarray:
    """A shadow 2 px wide, from edge to edge, that waxes and wanes along its way."""
    rows, columns = np.mgrid[: page.shape[0], : page.shape[1]]
    off = columns + 0.5 - x - tilt * (rows - page.shape[0] / 2)
    return page - levels * np.exp(-((off / 2) ** 2)) * (1 + 0.3 * np.sin(rows / 90))


@pytest.mark.parametrize("tilt", [-0.015, 0.0, 0.02])
@pytest.mark.parametrize("levels", [12.0, -12.0])
def test_a_fold_is_found_where_it_runs(tilt, levels):
    (crease,) = find_creases(finish(folded(drawing(), 500.0, tilt=tilt, levels=levels)))
    middle = (crease.a.x + crease.b.x) / 2
    assert middle == pytest.approx(500, abs=2)
    assert crease.b.x - crease.a.x == pytest.approx(tilt * HIGH, abs=4)
    assert (crease.a.y, crease.b.y) == (0, HIGH)
    assert (crease.levels > 0) == (levels > 0)


def test_a_fold_from_side_to_side_is_found_too():
    page = folded(drawing().T.copy(), 380.0, tilt=0.01, levels=12.0).T.copy()
    (crease,) = find_creases(finish(page))
    assert (crease.a.y + crease.b.y) / 2 == pytest.approx(380, abs=2)
    assert (crease.a.x, crease.b.x) == (0, WIDE)


@pytest.mark.parametrize("seed", range(4))
def test_a_drawing_without_a_fold_has_none(seed):
    assert find_creases(finish(drawing(seed), seed)) == ()


def test_a_faint_line_that_ends_at_the_border_is_drawn():
    page = drawing()
    cv2.line(page, (500, 42), (500, HIGH - 42), 226, 3)
    assert find_creases(finish(page)) == ()


def test_ruled_paper_is_not_full_of_folds():
    page = np.full((HIGH, WIDE), 240.0)
    page[:, 60::55] = 226
    assert find_creases(finish(page)) == ()


@pytest.mark.parametrize("shape", [(10, 10), (200, 40_000), (300, 300)])
def test_odd_pictures_are_left_alone(shape):
    assert find_creases(np.full(shape, 255, np.uint8)) == ()
