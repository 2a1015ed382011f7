"""Numbers between two lines that tails point at from outside, on ink drawn by hand."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest

from audit.dimensions.raster_between_tails import find_between_tails
from tests.dimensions.raster_builder import PX, ink_of, maps_of, text_at

EDGES = [((x, 60), (x, 180)) for x in (100, 128)]
TAILS = [((90, 120), (100, 120)), ((128, 120), (138, 120))]
NUMBER = text_at("4 3/4", (114, 120), height=6.0)


def found(*, tails=TAILS, edges=EDGES, number=NUMBER, called=255):
    def draw(dark):
        for line in (*tails, *edges):
            a, b = (tuple(round(v * PX) for v in p) for p in line)
            cv2.line(dark, a, b, 255, 2)

    maps = maps_of(draw)
    maps = replace(maps, line=np.full_like(maps.line, called))
    return [
        sorted(round(e.point.x) for e in c.ends)
        for c in find_between_tails(ink_of(edges), [number], maps, px_per_pt=PX)
    ]


def test_a_number_between_two_tails_measures_what_they_point_at():
    assert found() == [[100, 128]]


def test_lines_that_end_in_the_marks_serve_as_well():
    assert found(edges=[((x, 60), (x, 119.4)) for x in (100, 128)]) == [[100, 128]]
    assert found(edges=[((x, 60), (x, 118.0)) for x in (100, 128)]) == []


@pytest.mark.parametrize(
    "of",
    [
        {"tails": TAILS[:1]},
        {"tails": [TAILS[0], ((128, 126), (138, 126))]},
        {"tails": [*TAILS, ((100, 120), (104, 120))]},
        {"number": text_at("4 3/4", (119, 120), height=6.0)},
        {"edges": [EDGES[0], ((128, 116), (128, 124))]},
        {"called": 0},
    ],
    ids=["one tail", "not in line", "a line to the number", "off the middle", "a dash", "grain"],
)
def test_a_number_without_two_tails_in_line_with_it_measures_nothing(of):
    assert found(**of) == []
