"""Light lines on dark paper are told from dark ones on light, whatever the light."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from audit.geometry import Transform
from audit.geometry.levels import level_of
from audit.isolation import GrayImage
from audit.pipeline.polarity import (
    FEW,
    REACH_PX,
    SAMPLE_PX,
    count_off,
    is_light_on_dark,
    lay_dark_on_light,
)


def drawing(rng, *, fade=0.0):
    """A few thin lines and a text on white, lit unevenly, grainy."""
    gray = np.full((900, 1200), 235, np.uint8)
    for k in range(6):
        cv2.line(gray, (60, 80 + 130 * k), (1100, 100 + 120 * k), (40,), 2)
        cv2.putText(gray, "3 5/8", (100 + 150 * k, 60), cv2.FONT_HERSHEY_SIMPLEX, 0.8, (40,), 2)
    light = np.linspace(1.0 - fade, 1.0, 1200)[None, :]
    return np.clip(gray * light + rng.normal(0, 6, gray.shape), 0, 255).astype(np.uint8)


@pytest.mark.parametrize("fade", [0.0, 0.6])
def test_a_drawing_is_told_from_its_negative(fade):
    gray = drawing(np.random.default_rng(3), fade=fade)
    assert not is_light_on_dark(gray)
    assert is_light_on_dark(255 - gray)


def test_a_drawing_on_a_dark_table_stays_as_it_is():
    gray = drawing(np.random.default_rng(4))
    table = np.full((1500, 1900), 45, np.uint8)
    table[300:1200, 350:1550] = gray
    assert not is_light_on_dark(table)


@pytest.mark.parametrize("shape", [(1, 1), (40, 90), (41, 7), (83, 50), (5000, 6)])
def test_levels_are_those_of_all_that_is_off_its_neighbourhood(shape):
    gray = np.random.default_rng(7).integers(0, 256, shape, np.uint8)
    step = max(1, shape[0] // SAMPLE_PX)
    off = [
        (band.astype(int) - cv2.blur(band, (REACH_PX, REACH_PX)))[::2].ravel()
        for band in (gray[y : y + REACH_PX] for y in range(0, shape[0], REACH_PX * step))
    ]
    expected = np.percentile(np.concatenate(off), [FEW, 50.0, 100.0 - FEW])
    counts = count_off(gray)
    assert [level_of(counts, share, least=-255) for share in (FEW, 50.0, 100.0 - FEW)] == list(
        expected
    )


def test_an_empty_sheet_of_grain_is_no_negative():
    grain = np.random.default_rng(5).normal(120, 9, (600, 800)).clip(0, 255).astype(np.uint8)
    assert not is_light_on_dark(grain)


def test_a_negative_comes_back_as_the_drawing_and_keeps_its_frame():
    gray = drawing(np.random.default_rng(6))
    to_frame = Transform.scaling(2.0)
    laid = lay_dark_on_light(GrayImage(pixels=255 - gray, to_frame=to_frame))
    assert np.array_equal(laid.pixels, gray)
    assert laid.to_frame == to_frame
    same = GrayImage(pixels=gray, to_frame=to_frame)
    assert lay_dark_on_light(same) is same
