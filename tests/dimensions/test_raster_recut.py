"""Slanted texts at leaders, cut in the leader's exact direction and whole."""

from __future__ import annotations

import math
from dataclasses import replace

import cv2
import pytest

from audit.dimensions.raster_recut import recut_texts
from audit.networks.page import run_page
from audit.reading.find_text import find_text
from tests.dimensions.test_raster import OVER, PX_PER_MM, Drawing

SLANT = 38.0
WAY = (math.cos(math.radians(SLANT)), -math.sin(math.radians(SLANT)))


def along(far, aside=0.0):
    return 220 + far * WAY[0] + aside * WAY[1], 420 + far * WAY[1] - aside * WAY[0]


@pytest.fixture(scope="module")
def picture():
    """A hole with a leader, its text along the leader, and what the network sees of it."""
    sheet = Drawing(700, 600)
    cv2.circle(sheet.big, (220 * OVER, 420 * OVER), 60 * OVER, 0, 16, cv2.LINE_AA)
    sheet.line(along(60), along(330))
    sheet.head(along(60), SLANT)
    sheet.text("DIA .60", along(220, 22), turn=SLANT)
    gray = sheet.gray
    maps = run_page(gray, px_per_mm=PX_PER_MM)
    return gray, maps, find_text(gray, PX_PER_MM, maps=maps)


def recut(picture, spots):
    gray, maps, _ = picture
    return recut_texts(gray, maps, spots, px_per_mm=PX_PER_MM, level=0.0)


def test_a_text_cut_level_is_cut_again_along_its_leader(picture):
    (spot,) = picture[2]
    level = replace(spot, angle=0.0, length=spot.box.width, height=spot.box.height)
    result = recut(picture, [level])
    assert [s.angle for s in result.spots] == pytest.approx([SLANT], abs=0.5)
    assert result.spots[0].centre.distance(spot.centre) < 8.0
    assert level in result.others[0]


def test_a_text_nobody_saw_is_cut_from_the_ink_beside_the_leader(picture):
    (found,) = recut(picture, []).spots
    assert found.angle == pytest.approx(SLANT, abs=0.5)
    assert found.length == pytest.approx(picture[2][0].length, rel=0.15)


def test_a_text_that_was_cut_well_stays_as_it_is(picture):
    (spot,) = picture[2]
    well = replace(spot, angle=SLANT)
    assert recut(picture, [well]).spots == (well,)


@pytest.mark.parametrize(("lower", "stays"), [(0.7, True), (1.0, False)])
def test_a_row_of_text_is_not_taken_along_a_leader_that_its_slash_makes(picture, lower, stays):
    (spot,), (new,) = picture[2], recut(picture, []).spots
    row = replace(spot, angle=0.0, height=lower * new.height)
    assert (recut(picture, [row]).spots == (row,)) == stays
