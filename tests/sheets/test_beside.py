"""Paper beside a drawing, up to the table that it lies on."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from audit.geometry import Box, Transform
from audit.sheets.beside import grow_to_table
from tests.sheets.camera import texture

HIGH, WIDE = 900, 1200
PAPER = Box(150, 100, 1050, 1000)  # its lower edge is not in the picture
DRAWN = Box(350, 300, 850, 700)
MOST = 250.0
TO_PAPER = Transform.scaling(0.5)
SIDE_PX = 25.0  # what a side stops short of the edge by, or goes too far


def photo(table: np.ndarray) -> np.ndarray:
    """A drawing on paper on a table."""
    rng = np.random.default_rng(3)
    page = np.clip(table, 0, 255)
    page[int(PAPER.y0) :, int(PAPER.x0) : int(PAPER.x1)] = 215
    page += rng.normal(0, 2, page.shape)
    pixels = np.clip(page, 0, 255).astype(np.uint8)
    corners = (int(DRAWN.x0), int(DRAWN.y0)), (int(DRAWN.x1), int(DRAWN.y1))
    cv2.rectangle(pixels, *corners, 40, 3)
    for x in range(400, 800, 60):
        cv2.line(pixels, (x, 320), (x, 680), 60, 2)
    return cv2.GaussianBlur(pixels, (0, 0), 0.7)


def grown(pixels: np.ndarray) -> Box:
    """The box about the drawing, in px of the photo again."""
    x0, y0, x1, y1 = (v / 2 for v in (DRAWN.x0, DRAWN.y0, DRAWN.x1, DRAWN.y1))
    box = grow_to_table(pixels, TO_PAPER, Box(x0, y0, x1, y1), most=MOST / 2)
    return Box(box.x0 * 2, box.y0 * 2, box.x1 * 2, box.y1 * 2)


@pytest.mark.parametrize("table", ["planks", "linen", "concrete"])
def test_paper_goes_on_to_a_table_of_any_kind_and_no_further(table):
    box = grown(photo(texture(table, (HIGH, WIDE), np.random.default_rng(5))))
    assert box.x0 == pytest.approx(PAPER.x0, abs=SIDE_PX)
    assert box.y0 == pytest.approx(PAPER.y0, abs=SIDE_PX)
    assert box.x1 == pytest.approx(PAPER.x1, abs=SIDE_PX)
    assert box.y1 == pytest.approx(DRAWN.y1 + MOST)  # nothing else is seen there


def test_a_shadow_on_the_paper_does_not_end_it():
    table = texture("planks", (HIGH, WIDE), np.random.default_rng(5))
    plain = photo(table)
    light = 1 - 0.5 / (1 + np.exp((950 - np.arange(WIDE)) / 6))  # along a side of the drawing
    shaded = (plain * light).astype(np.uint8)
    assert np.allclose(grown(shaded), grown(plain), atol=SIDE_PX)


def test_paper_that_fills_the_picture_goes_as_far_as_it_may():
    box = grown(photo(np.full((HIGH, WIDE), 215.0)))
    far = (DRAWN.x0 - MOST, DRAWN.y0 - MOST, DRAWN.x1 + MOST, DRAWN.y1 + MOST)
    assert np.allclose(box, far)
