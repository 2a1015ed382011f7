"""What a photo shows of the page it was made flat to is told to what looks for frames there."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from audit.dimensions.raster_page import TracedPage
from audit.dimensions.shown import RIM_PT, Shown, goes_round
from audit.geometry import Box, Transform
from audit.pipeline.shown import shown_by, with_shown
from audit.records import VectorPage
from audit.sheets.flat import resample

ASKEW = Transform(((0.8, 0.1, 10.0), (-0.15, 0.9, 60.0), (0.0006, 0.0004, 1.0)))
SIZE = (400, 300)


def see(to_frame: Transform):
    ground = SimpleNamespace(from_frame=to_frame.inverse())
    return shown_by(ground, SimpleNamespace(box=Box(0.0, 0.0, *map(float, SIZE))))


def test_what_is_filled_in_round_a_flattened_photo_is_hidden():
    """Against the pixels that OpenCV's remap found nothing for."""
    back = ASKEW.inverse()
    flat = resample(np.full(SIZE[::-1], 90, np.uint8), back, SIZE, fill=255)
    page = VectorPage(width=200.0, height=150.0, turn=0)
    corners = see(back)
    traced = with_shown(TracedPage(page, (), 2.0), corners)
    y, x = (v.ravel() for v in np.mgrid[20:280:20, 20:380:20])
    hidden = Shown.of(traced.page).hides((x + 0.5) / 2.0, (y + 0.5) / 2.0)
    filled = flat[y, x] != 90
    assert 20 < filled.sum() < len(x) - 20
    assert hidden[filled].all()
    rim_px = 2 * sum(SIZE) * RIM_PT * 2.0  # of shown paper at most
    assert (hidden & ~filled).sum() < 2 * rim_px / 20**2


def test_a_photo_of_more_than_lies_before_its_horizon_tells_nothing():
    steep = Transform(((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (-0.004, 0.0, 1.0)))
    assert see(steep.inverse()) == ()


@pytest.mark.parametrize(
    ("corners", "inwards"),
    [
        ([(0, 0), (4, 0), (4, 3), (0, 3)], True),
        ([(0, 3), (4, 3), (4, 0), (0, 0)], True),
        ([(0, 0), (4, 0), (0, 3), (4, 3)], False),
        ([(0, 0), (4, 0), (1, 1), (0, 3)], False),
    ],
)
def test_corners_of_a_photo_go_round_once(corners, inwards):
    assert goes_round(np.array(corners, float)) is inwards
