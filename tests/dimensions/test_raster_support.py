"""What the network's map of dimension lines says for a candidate, on maps drawn by OpenCV."""

from __future__ import annotations

from dataclasses import replace

import cv2
import pytest

from audit.dimensions.candidates import Candidate
from audit.dimensions.raster_support import weigh_lines
from audit.geometry import Point
from audit.networks.page import STRIDE
from audit.records import DimensionKind, End, EndKind
from tests.dimensions.raster_builder import PX, maps_of

A, B = Point(100.0, 100.0), Point(160.0, 100.0)
TAILS = ((70.0, 100.0), (100.0, 100.0)), ((160.0, 100.0), (190.0, 100.0))
LETTERS = ((112.0, 96.0), (148.0, 104.0))  # between the ends, in the line's way


def px(point):
    return tuple(round(v * PX) for v in point)


def strength(*, read):
    """Of a size with arrowheads outside, whose tails are dimension line; its number is dark."""

    def draw(dark):
        for a, b in TAILS:
            cv2.line(dark, px(a), px(b), 255, 2)
        cv2.rectangle(dark, px(LETTERS[0]), px(LETTERS[1]), 255, -1)

    maps = maps_of(draw)
    line, text = maps.line.copy(), maps.text.copy()
    for a, b in TAILS:
        cv2.line(line, *(tuple(v // STRIDE for v in px(p)) for p in (a, b)), 255, 5)
    if read:
        corners = (tuple(v // STRIDE for v in px(p)) for p in LETTERS)
        cv2.rectangle(text, *corners, 255, -1)
    ends = tuple(End(point=p, kind=EndKind.EXTENSION, sigma=0.1) for p in (A, B))
    wants = frozenset({"length"})
    one = Candidate(kind=DimensionKind.DISTANCE, ends=ends, line=(A, B), strength=0.8, wants=wants)
    [weighed] = weigh_lines([one], replace(maps, line=line, text=text), px_per_pt=PX)
    return weighed.strength


def test_number_between_the_ends_is_no_ink_of_the_line():
    assert strength(read=True) == pytest.approx(0.8)


def test_ink_between_the_ends_that_is_neither_number_nor_dimension_line_speaks_against_it():
    assert strength(read=False) < 0.3
