"""Coarse pictures are looked at finer than they are; what is found stays where it is."""

from __future__ import annotations

import numpy as np
import pytest

from audit.geometry import Point, Transform
from audit.isolation import GrayImage
from audit.pipeline.placing import SnapGround, end_in_frame, make_finer
from audit.records import End, EndKind

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


@pytest.mark.parametrize("side", [6000, 33000])
def test_a_large_picture_is_left_as_it_is_whatever_its_file_says(side):
    image = GrayImage(pixels=np.broadcast_to(np.uint8(255), (side, 4000)), to_frame=AS_STORED)
    assert make_finer(image, px_per_mm=60 / 25.4) is image


def test_an_end_on_a_finer_picture_is_known_no_better_than_on_the_stored_one():
    stored = picture()
    finer = make_finer(stored, px_per_mm=75 / 25.4)
    ground = SnapGround(finer, finer.to_frame.inverse(), None, 2.0)
    end = End(point=Point(400, 200), kind=EndKind.EXTENSION, sigma=0.1, line_width=6.0)
    brought = end_in_frame(end, ground)
    assert brought.point == pytest.approx((200, 100))
    assert brought.sigma == pytest.approx(0.157, abs=0.001)  # 0.05 x 2^1.65
    assert brought.line_width == pytest.approx(3.0)


def test_how_far_a_hand_strays_is_no_more_on_a_finer_picture():
    finer = make_finer(picture(), px_per_mm=75 / 25.4)
    ground = SnapGround(finer, finer.to_frame.inverse(), None, 2.0)
    end = End(point=Point(400, 200), kind=EndKind.EXTENSION, sigma=1.0, line_width=6.0)
    assert end_in_frame(end, ground).sigma == pytest.approx(0.5)


def test_a_mark_stays_where_it_is_in_the_frame():
    turned = Transform(((0.0, -72 / 75, 600.0), (72 / 75, 0.0, 12.0), (0.0, 0.0, 1.0)))
    coarse = picture(to_frame=turned)
    places = []
    for image in (coarse, make_finer(coarse, px_per_mm=75 / 25.4)):
        rows, columns = np.nonzero(image.pixels < 128)
        places.append(image.to_frame.apply((columns.mean() + 0.5, rows.mean() + 0.5)))
    assert places[0] == pytest.approx(places[1], abs=0.01)
