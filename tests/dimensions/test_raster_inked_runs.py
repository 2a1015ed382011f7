"""Lines led on in the ink, on maps made by hand."""

from __future__ import annotations

import cv2
import pytest

from audit.dimensions.ink import Line
from audit.dimensions.raster_inked_runs import lead_through_ink
from tests.dimensions.raster_builder import PX, maps_of


def led(*inked):
    """What a level line at y = 50, traced from 40 to 60, is led on by."""

    def draw(dark):
        for a, b in inked:
            cv2.line(dark, (round(a * PX), round(50 * PX)), (round(b * PX), round(50 * PX)), 255, 2)

    line = Line(0.0, 50.0, 1.0, 0.0)
    return lead_through_ink(line, (40.0, 60.0), maps_of(draw), px_per_pt=PX)


def test_ink_leads_a_line_on_at_either_end():
    (before, after) = led((20.0, 90.0))
    assert before == pytest.approx((20.0, 40.0), abs=1.0)
    assert after == pytest.approx((60.0, 90.0), abs=1.0)


def test_dashes_lead_on_and_what_lies_beyond_a_gap_does_not():
    assert led((60.0, 72.0), (74.5, 86.0), (92.0, 120.0)) == [(60.0, pytest.approx(86.0, abs=1.0))]


@pytest.mark.parametrize("inked", [[(62.5, 63.5), (66.0, 67.0), (69.5, 70.5)], [(58.0, 62.0)], []])
def test_lines_across_and_the_edge_that_it_ends_on_do_not(inked):
    assert led(*inked) == []


def test_a_dark_rim_of_the_picture_leads_no_line_out_of_it():
    def draw(dark):
        dark[:, -6:] = 255

    maps = maps_of(draw)
    wide = maps.dark.shape[1] / PX
    assert lead_through_ink(Line(0.0, 50.0, 1.0, 0.0), (9.0, wide - 3.0), maps, px_per_pt=PX) == []
