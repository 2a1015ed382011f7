"""Looking at pictures: which way is up, how fine the raster is, what misread words are worth."""

from __future__ import annotations

import numpy as np
import pytest

from audit.dimensions import raster, raster_recut
from audit.dimensions.raster import find_in_picture
from audit.geometry import Box, Point, Transform
from audit.isolation import GrayImage
from audit.pipeline.looking import (
    find_upright,
    guess_by_lettering,
    readings_of,
    see_picture,
    text_lines,
)
from audit.pipeline.placing import SnapGround
from audit.reading import TextSpot
from audit.records import Candidate, ReadBy
from tests.dimensions.test_raster import Drawing

PX_PER_MM = 200 / 25.4


class Upright:
    """Reads a crop well when its first row is darker than its last."""

    name = ReadBy.NET

    def is_available(self):
        return True

    def read(self, crops):
        sure = [0.95 if crop[0].mean() < crop[-1].mean() else 0.2 for crop in crops]
        return tuple((Candidate(text="SIDE PLATE", confidence=c, by=self.name),) for c in sure)


def make_spot(*, angle=0.0, length=120.0, height=22.0, head_up=True):
    crop = np.full((22, 120), 255, np.uint8)
    crop[0 if head_up else -1] = 0
    box = Box(0, 0, length, height) if angle in (0.0, 180.0) else Box(0, 0, height, length)
    return TextSpot(
        box=box,
        angle=angle,
        distance=0.0,
        crop=crop,
        centre=Point(50, 50),
        length=length,
        height=height,
    )


def test_level_text_that_reads_well_is_upright():
    spots = [make_spot() for _ in range(4)]
    assert find_upright(spots, (Upright(),), turn=0.0) == 0.0


def test_a_sheet_scanned_upside_down_is_noticed():
    spots = [make_spot(head_up=False) for _ in range(4)]
    assert find_upright(spots, (Upright(),), turn=0.0) == 180.0


class Glances(Upright):
    """Sees at a glance how well a crop reads, by `share`; counts what it was asked to read."""

    def __init__(self, share):
        self.share, self.asked = share, 0

    def glance(self, crops):
        return tuple(self.share * said[0].confidence for said in super().read(crops))

    def read(self, crops):
        self.asked += len(crops)
        return super().read(crops)


@pytest.mark.parametrize(("share", "asked"), [(1.0, 0), (0.1, 8)])
def test_which_way_is_up_is_seen_at_a_glance_or_else_read(share, asked):
    reader = Glances(share)
    spots = [make_spot(head_up=False) for _ in range(4)]
    assert find_upright(spots, (reader,), turn=0.0) == 180.0
    assert reader.asked == asked


def test_running_text_that_no_network_reads_does_not_tell_which_way_is_up():
    prose = [make_spot(length=1300.0, head_up=False) for _ in range(8)]
    assert find_upright([*prose, make_spot()], (Upright(),), turn=0.0) == 0.0


@pytest.mark.parametrize(("head_up", "up"), [(True, 90.0), (False, 270.0)])
def test_a_sheet_scanned_sideways_is_noticed(head_up, up):
    spots = [make_spot(angle=90.0, head_up=head_up) for _ in range(4)]
    assert find_upright(spots, (Upright(),), turn=0.0) == up


def test_without_long_texts_the_file_is_believed():
    spots = [make_spot(length=30.0)]
    assert find_upright(spots, (Upright(),), turn=90.0) == 90.0


def test_lettering_tells_the_fineness_of_an_unmeasured_scan():
    spots = [make_spot(height=66.0, length=300.0) for _ in range(6)]  # 2.8 mm at 600 dpi
    assert guess_by_lettering(spots, PX_PER_MM) == pytest.approx(600 / 25.4, rel=0.02)


def test_usual_lettering_leaves_the_first_guess_alone():
    spots = [make_spot(height=25.0) for _ in range(6)]
    assert guess_by_lettering(spots, PX_PER_MM) == PX_PER_MM


def test_a_few_texts_say_nothing_about_fineness():
    assert guess_by_lettering([make_spot(height=66.0, length=300.0)], PX_PER_MM) == PX_PER_MM


def test_a_picture_is_traced_once_and_found_as_if_traced_again(monkeypatch):
    sheet = Drawing(520, 300)
    sheet.linear((80, 180), (440, 180), text="1.75")
    gray = sheet.gray
    ground = SnapGround(
        GrayImage(pixels=gray, to_frame=Transform.scaling(1.0)), Transform.scaling(1.0), PX_PER_MM
    )
    seen = see_picture(ground, (), turn=0)
    lines, readings = text_lines(seen), readings_of(seen, unit=None)

    def find(traced):
        return find_in_picture(
            gray,
            seen.maps,
            lines,
            readings,
            px_per_mm=seen.px_per_mm,
            sheet=1,
            upright=seen.upright,
            traced=traced,
        )

    again = find(None)
    for module in (raster, raster_recut):
        monkeypatch.delattr(module, "trace_page")
    boxes = [spot.box for spot in see_picture(ground, (), turn=0).spots]
    assert boxes == [spot.box for spot in seen.spots]
    assert find(seen.traced) == again
    assert len(again.dimensions) == 1
