"""Dashed extension lines under arrowheads, drawn by OpenCV."""

from __future__ import annotations

import cv2
import pytest

from audit.dimensions.raster_dashes import find_dashes
from audit.dimensions.terminators import Mark, MarkKind
from audit.geometry import Point
from tests.dimensions.raster_builder import PX, ink_of, maps_of

SHAFT = ((60, 100), (130, 100))
BARBS = ((130, 100), (124, 102)), ((130, 100), (124, 98))
DASHES = tuple(((130, y), (130, y + 4.6)) for y in (98.0, 104.9, 111.8, 118.7))
HEAD = Mark(kind=MarkKind.FILLED, point=Point(130.0, 100.0), ux=1.0, uy=0.0, size=6.0)


def found(*drawn, traced=(SHAFT,), width=2):
    def draw(dark):
        for a, b in (SHAFT, *BARBS, *drawn):
            p, q = (tuple(round(v * PX) for v in point) for point in (a, b))
            cv2.line(dark, p, q, 255, width)

    return find_dashes(ink_of(traced), [HEAD], maps_of(draw), px_per_pt=PX)


def test_dashes_under_a_head_are_a_line_through_its_tip():
    [(a, b)] = found(*DASHES)
    assert a.x == pytest.approx(130, abs=0.3)
    assert b.x == pytest.approx(130, abs=0.3)
    assert abs(a.y - b.y) > 10


def test_a_head_on_a_traced_line_needs_no_dashes():
    assert found(*DASHES, traced=(SHAFT, ((130, 96), (130, 123)))) == []


def test_a_head_on_nothing_stands_on_no_line():
    assert found() == []


def test_a_letter_beside_a_head_is_no_dashed_line():
    assert found(((128, 104), (133, 112)), ((133, 104), (128, 112))) == []


def test_dashes_of_a_slanting_line_are_not_square_to_the_arrow():
    slanted = [((130 + (y - 100) / 10, y), (130 + (y - 95.4) / 10, y + 4.6)) for y in (103, 109)]
    assert found(*slanted) == []


def test_broad_ink_is_no_dashed_line():
    assert found(((130, 103), (130, 116)), width=14) == []
