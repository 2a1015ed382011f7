"""Coarse pictures are looked at finer than they are; what is found stays where it is."""

from __future__ import annotations

import numpy as np
import pytest

from audit.geometry import Transform
from audit.isolation import GrayImage
from audit.pipeline.placing import make_finer

AS_STORED = Transform.scaling(1.0)


def picture(rows=900, columns=700, *, to_frame=AS_STORED):
    pixels = np.full((rows, columns), 255, np.uint8)
    pixels[100:110, 200:230] = 0
    return GrayImage(pixels=pixels, to_frame=to_frame)


@pytest.mark.parametrize(
    ("dpi", "times"), [(300, 1), (150, 1), (120, 1), (100, 2), (75, 2), (72, 3), (10, 3)]
)
def test_a_picture_of_known_paper_is_made_as_fine_as_a_coarse_scan(dpi, times):
    image = picture()
    assert make_finer(image, px_per_mm=dpi / 25.4).pixels.shape == (times * 900, times * 700)


@pytest.mark.parametrize(("side", "times"), [(2200, 1), (1400, 1), (1200, 2), (800, 3)])
def test_a_small_picture_of_unknown_paper_is_taken_for_a_coarse_one(side, times):
    image = picture(rows=side)
    assert make_finer(image, px_per_mm=None).pixels.shape == (times * side, times * 700)


def test_a_mark_stays_where_it_is_in_the_frame():
    turned = Transform(((0.0, -72 / 75, 600.0), (72 / 75, 0.0, 12.0), (0.0, 0.0, 1.0)))
    coarse = picture(to_frame=turned)
    places = []
    for image in (coarse, make_finer(coarse, px_per_mm=75 / 25.4)):
        rows, columns = np.nonzero(image.pixels < 128)
        places.append(image.to_frame.apply((columns.mean() + 0.5, rows.mean() + 0.5)))
    assert places[0] == pytest.approx(places[1], abs=0.01)
