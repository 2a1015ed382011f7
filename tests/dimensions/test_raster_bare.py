"""Marks on crossing lines, with and without their ink, drawn by OpenCV."""

from __future__ import annotations

import cv2
import pytest

from audit.dimensions.raster_bare import without_bare_crossings
from tests.dimensions.raster_builder import PX, ink_of, maps_of, tip

LEVEL, UPRIGHT = ((60, 100), (200, 100)), ((130, 40), (130, 160))
TICK = ((126, 104), (134, 96))


def kept(*drawn, traced=(LEVEL, UPRIGHT), score=0.25, ring=False):
    def draw(dark):
        for a, b in drawn:
            p, q = (tuple(round(v * PX) for v in point) for point in (a, b))
            cv2.line(dark, p, q, 255, 2)
        if ring:
            cv2.circle(dark, (round(130 * PX), round(100 * PX)), round(2 * PX), 255, 2)

    mark = tip(130, 100, score=score)
    return without_bare_crossings(ink_of(traced), [mark], maps_of(draw), px_per_pt=PX) == [mark]


def test_two_lines_that_merely_cross_make_no_mark():
    assert not kept(LEVEL, UPRIGHT)


@pytest.mark.parametrize("traced", [(LEVEL, UPRIGHT), (LEVEL, UPRIGHT, TICK), (LEVEL, TICK)])
def test_tick_on_the_crossing_stays_traced_or_not(traced):
    assert kept(LEVEL, UPRIGHT, TICK, traced=traced)


def test_ring_on_the_crossing_stays():
    assert kept(LEVEL, UPRIGHT, ring=True)


def test_mark_that_is_seen_clearly_stays_whatever_is_drawn():
    assert kept(LEVEL, UPRIGHT, score=0.7)
