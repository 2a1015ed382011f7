"""Pictures whose lettering is small are made finer, whatever their file says of the paper."""

from __future__ import annotations

import numpy as np
import pytest

from audit.geometry import Box, Transform
from audit.isolation import GrayImage
from audit.pipeline.fine_lettering import (
    doubt_fineness,
    lettering_px,
    make_lettering_finer,
    tell_small_lettering,
)
from audit.pipeline.placing import SnapGround
from audit.reading import TextSpot
from tests.sheets.bent import PHOTO

SAME = Transform.scaling(1.0)
CROP = np.full((4, 4), 255, np.uint8)


def ground(*, rows=1100, px_per_mm=None, finer=1.0):
    image = GrayImage(pixels=np.full((rows, 850), 255, np.uint8), to_frame=SAME)
    return SnapGround(image, SAME, px_per_mm, finer)


def texts(height, count=8):
    spot = TextSpot(
        box=Box(0, 0, 40, height),
        angle=0.0,
        distance=0.0,
        crop=CROP,
        length=3 * height,
        height=height,
    )
    return (spot,) * count


def test_small_lettering_is_made_as_high_as_on_scans():
    finer = make_lettering_finer(ground(), texts(14.0))
    assert finer.image.pixels.shape == (2200, 1700)
    assert finer.px_per_mm == pytest.approx(10.0)
    assert finer.image.to_frame.apply((200, 200)) == pytest.approx((100, 100))
    assert finer.from_frame.apply((100, 100)) == pytest.approx((200, 200))


def test_a_coarse_scan_stays_as_fine_to_its_paper_as_it_was():
    finer = make_lettering_finer(ground(px_per_mm=150 / 25.4), texts(14.0))
    assert finer.image.pixels.shape == (2200, 1700)
    assert finer.px_per_mm == pytest.approx(300 / 25.4)


def test_what_was_made_finer_before_counts_on():
    assert make_lettering_finer(ground(finer=2.0), texts(14.0)).finer == pytest.approx(4.0)


@pytest.mark.parametrize(
    ("here", "spots"),
    [
        (ground(), texts(24.0)),  # high enough
        (ground(), texts(14.0, count=4)),  # too few to tell
        (ground(px_per_mm=200 / 25.4), texts(14.0)),  # as fine as scans are
    ],
)
def test_other_pictures_stay_as_they_are(here, spots):
    assert make_lettering_finer(here, spots) is here


@pytest.mark.parametrize("size", [(6000, 5200), (5477, 5477)])  # too large, and as large as may be
def test_a_large_picture_is_made_no_finer_than_memory_allows(size):
    wide = GrayImage(pixels=np.broadcast_to(np.uint8(255), size), to_frame=SAME)
    here = SnapGround(wide, SAME, None)
    assert make_lettering_finer(here, texts(10.0)) is here


def test_no_side_is_made_longer_than_pictures_can_be_turned():
    """OpenCV turns none of more than 32,767 px."""
    image = GrayImage(pixels=np.full((40, 15000), 255, np.uint8), to_frame=SAME)
    finer = make_lettering_finer(SnapGround(image, SAME, None), texts(10.0))
    assert finer.image.pixels.shape[1] == 32000


def test_a_small_sheet_with_tiny_lettering_was_not_scanned_as_fine_as_its_file_says():
    here = ground(px_per_mm=300 / 25.4)  # 93 mm high
    assert doubt_fineness(here, lambda _: texts(14.0)).px_per_mm is None


@pytest.mark.parametrize(
    ("here", "height"),
    [
        (ground(px_per_mm=300 / 25.4), 27.0),  # a piece cut out of a scan
        (ground(rows=3300, px_per_mm=300 / 25.4), 14.0),  # a sheet of usual size
    ],
)
def test_other_files_are_believed(here, height):
    assert doubt_fineness(here, lambda _: texts(height)) is here


def test_a_text_as_high_as_long_does_not_count():
    square = TextSpot(box=Box(0, 0, 9, 9), angle=0.0, distance=0.0, crop=CROP, length=9, height=9)
    assert lettering_px((*texts(20.0, count=5), *(square,) * 9)) == 20.0


def test_lettering_of_a_few_stored_pixels_is_said_to_be_too_small():
    (told,) = tell_small_lettering(PHOTO, texts(24.0), finer=3.0)
    assert told.code == "D109"
    assert "only about 8 pixels high" in told.text


@pytest.mark.parametrize(("height", "finer"), [(28.0, 3.0), (10.0, 1.0)])
def test_lettering_that_is_high_enough_is_not_spoken_of(height, finer):
    assert tell_small_lettering(PHOTO, texts(height), finer=finer) == ()
