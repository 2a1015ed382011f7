"""The lens from straight lines, against OpenCV's distortion of the same lines."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from audit.geometry import Box
from audit.sheets.plumb import fit_lens

BOX = Box(0, 0, 1200, 900)
FOCAL = 1000.0


def seen_lines(k1: float, noise: float, rng) -> list[np.ndarray]:
    """Eight lines as OpenCV's camera with radial distortion k1 shows them."""
    matrix = np.array([[FOCAL, 0, 600], [0, FOCAL, 450], [0, 0, 1.0]])
    lines = []
    for k in range(8):
        across = np.linspace(-0.5, 0.5, 60)
        off = -0.4 + 0.8 * (k % 4) / 3
        flat = [across, np.full(60, off * 0.75)] if k < 4 else [np.full(60, off), across * 0.75]
        world = np.column_stack([*flat, np.ones(60)])
        still, series = np.zeros(3), np.array([k1, 0.0, 0.0, 0.0])
        seen, _ = cv2.projectPoints(world, still, still, matrix, series)
        lines.append(seen[:, 0] + rng.normal(0, noise, (60, 2)))
    return lines


@pytest.mark.parametrize("k1", [-0.2, 0.1])
def test_lines_bent_by_opencv_come_out_straight(k1):
    fit = fit_lens(seen_lines(k1, 0.1, np.random.default_rng(1)), BOX)
    assert fit.lens is not None
    assert fit.lens.k1 * k1 < 0  # the way back
    assert fit.before > 5 * fit.after
    assert fit.after < 0.12


def test_lines_that_are_straight_are_not_bent():
    fit = fit_lens(seen_lines(0.0, 0.3, np.random.default_rng(2)), BOX)
    assert fit.lens is None
    assert fit.before == fit.after


def test_two_lines_say_nothing_of_a_lens():
    lines = seen_lines(-0.2, 0.1, np.random.default_rng(3))[:2]
    assert fit_lens(lines, BOX).lens is None
    assert fit_lens([], BOX).lens is None
