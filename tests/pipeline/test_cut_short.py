"""Readings beside which the page network sees lettering that nobody read."""

from __future__ import annotations

import math

import numpy as np
import pytest

from audit.geometry import Point
from audit.networks.page import STRIDE, PageMaps
from audit.pipeline.cut_short import doubt_cut_short
from audit.records import Dimension, DimensionKind, End, EndKind, ReadBy, Reading
from tests.pipeline.test_lone_signs import spot


def maps(*lettered, ink=None):
    """What the network sees: lettering in boxes, px, and ink there or elsewhere."""
    text = np.zeros((200, 200), np.uint8)
    dark = np.zeros((400, 400), np.uint8)
    for x0, y0, x1, y1 in lettered:
        text[y0 // STRIDE : y1 // STRIDE, x0 // STRIDE : x1 // STRIDE] = 255
    for x0, y0, x1, y1 in lettered if ink is None else ink:
        dark[y0:y1, x0:x1] = 200
    empty = np.zeros_like(text)
    return PageMaps((), text, empty, empty, empty, dark, 1.0)


def size(text_spot, *, confirmed=False):
    ends = tuple(End(point=Point(x, 240), kind=EndKind.EXTENSION, sigma=0.1) for x in (100.0, 300))
    reading = Reading(
        text=".5",
        callout=None,
        confidence=0.99,
        by=ReadBy.NET,
        box=text_spot.box,
        confirmed=confirmed,
    )
    return Dimension(id=1, sheet=1, view=0, kind=DimensionKind.DISTANCE, ends=ends, reading=reading)


OWN = spot(200, 200, 40)
BEFORE, BEHIND = (150, 190, 180, 210), (220, 190, 250, 210)


@pytest.mark.parametrize("where", [BEFORE, BEHIND])
def test_lettering_that_goes_on_unread_is_told(where):
    (told,) = doubt_cut_short([size(OWN)], [OWN], maps((180, 190, 220, 210), where))
    assert told.reading.confidence <= 0.5
    assert "lettering" in told.reading.doubt


def test_a_slanted_text_is_looked_at_along_its_own_direction():
    slanted = spot(200, 200, 40, angle=45.0)
    far = (20 + 0.75 * 20) * math.cos(math.radians(45))
    x, y = round(200 + far), round(200 - far)
    seen = maps((x - 14, y - 14, x + 14, y + 14))
    assert doubt_cut_short([size(slanted)], [slanted], seen)[0].reading.doubt
    assert not doubt_cut_short([size(OWN)], [OWN], seen)[0].reading.doubt


def test_a_neighbour_that_was_read_is_no_lost_part():
    next_to = spot(250, 200, 40)
    seen = maps((180, 190, 220, 210), (226, 190, 270, 210))
    assert doubt_cut_short([size(OWN)], [OWN], seen)[0].reading.doubt
    assert not doubt_cut_short([size(OWN)], [OWN, next_to], seen)[0].reading.doubt


def test_the_edge_of_the_text_itself_and_what_was_confirmed_stay():
    edge = maps((174, 186, 226, 214))
    assert not doubt_cut_short([size(OWN)], [OWN], edge)[0].reading.doubt
    (kept,) = doubt_cut_short([size(OWN, confirmed=True)], [OWN], maps(BEFORE))
    assert kept.reading.confidence == pytest.approx(0.99)


def test_a_line_across_that_the_network_takes_for_lettering_is_no_lost_part():
    line = (236, 150, 239, 250)
    assert not doubt_cut_short([size(OWN)], [OWN], maps(BEHIND, ink=[line]))[0].reading.doubt
    assert doubt_cut_short([size(OWN)], [OWN], maps(BEHIND))[0].reading.doubt


@pytest.mark.parametrize(("x", "doubted"), [(228, True), (172, True), (246, False)])
def test_a_text_across_the_place_of_the_next_figure_leaves_a_reading_in_doubt(x, doubted):
    across = spot(x, 200, 40, angle=90.0)
    (told,) = doubt_cut_short([size(OWN)], [OWN, across], maps())
    assert bool(told.reading.doubt) is doubted
    assert (told.reading.confidence <= 0.5) is doubted


def test_a_text_in_the_same_row_or_clear_of_it_hides_no_figure():
    beside, clear = spot(242, 200, 40), spot(228, 226, 40, angle=90.0)
    assert not doubt_cut_short([size(OWN)], [OWN, beside], maps())[0].reading.doubt
    assert not doubt_cut_short([size(OWN)], [OWN, clear], maps())[0].reading.doubt
