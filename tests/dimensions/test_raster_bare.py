"""Marks on crossing lines, with and without their ink, drawn by OpenCV."""

from __future__ import annotations

import cv2
import pytest

from audit.dimensions.raster_bare import without_bare_crossings, without_headless
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


VEE = ((130, 100), (136, 102)), ((130, 100), (136, 98))
HALF = (((130, 100), (136, 102.4)),)
GRAIN = ((124, 60), (136, 140))


def arrows_left(*drawn, score=0.3, ways=(0.0, 180.0)):
    """Arrowheads proposed at one place of a level line, and those that are believed."""

    def draw(dark):
        for a, b in drawn:
            p, q = (tuple(round(v * PX) for v in point) for point in (a, b))
            cv2.line(dark, p, q, 255, 2)

    marks = [tip(130, 100, score=score, direction=way) for way in ways]
    left = without_headless(marks, maps_of(draw), px_per_pt=PX)
    return [m.direction for m in left]


@pytest.mark.parametrize("head", [VEE, HALF])
def test_weak_arrowhead_with_a_stroke_beside_its_shaft_stays(head):
    assert arrows_left(LEVEL, UPRIGHT, *head, ways=(0.0,)) == [0.0]


@pytest.mark.parametrize("crossing", [UPRIGHT, GRAIN])
def test_line_that_crosses_another_has_no_arrowheads(crossing):
    assert arrows_left(LEVEL, crossing) == []


def test_weak_arrowhead_that_meets_a_headless_one_is_none():
    dirt = ((134, 101), (135, 102))
    assert arrows_left(LEVEL, UPRIGHT, dirt, dirt) == []


def test_two_heads_at_one_extension_line_stay():
    other = ((130, 100), (124, 102)), ((130, 100), (124, 98))
    assert arrows_left(LEVEL, UPRIGHT, *VEE, *other) == [0.0, 180.0]


def test_arrowhead_seen_clearly_stays_though_it_is_no_wider_than_its_line():
    assert arrows_left(LEVEL, UPRIGHT, score=0.5) == [0.0, 180.0]


def test_letters_over_the_shaft_of_a_head_do_not_make_it_wide():
    def draw(dark):
        for a, b in (LEVEL, UPRIGHT, *VEE):
            p, q = (tuple(round(v * PX) for v in point) for point in (a, b))
            cv2.line(dark, p, q, 255, 2)
        cv2.rectangle(dark, (378, 270), (400, 286), 255, -1)  # a figure on the line

    maps, mark = maps_of(draw), tip(130, 100, score=0.3, direction=0.0)
    assert without_headless([mark], maps, px_per_pt=PX) == []
    maps.text[130:146, 188:202] = 255
    assert without_headless([mark], maps, px_per_pt=PX) == [mark]
