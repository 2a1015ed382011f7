"""Angles without marks, found at their text; the degrees printed must not matter."""

from __future__ import annotations

import pytest

from audit.dimensions.raster_unmarked import find_unmarked
from tests.dimensions.raster_builder import PX, draw_arc, ink_of, maps_of, text_at
from tests.dimensions.test_raster_sectors import LEGS, RADIUS, VERTEX, on


def angles(text, *parts):
    def draw(canvas):
        for start, stop in parts:
            draw_arc(canvas, VERTEX, RADIUS, start, stop)

    texts = [text_at(text, on(25, RADIUS + 9), angle=-65.0)]
    return find_unmarked(ink_of(LEGS), texts, [], maps_of(draw), px_per_pt=PX)


@pytest.mark.parametrize("text", ["50°", "17°"])
def test_the_arc_beside_a_text_in_degrees_is_found_whatever_it_says(text):
    (found,) = angles(text, (0, 50))
    # any radius within the arc's line will do: the legs give the angle
    assert found.arcs[0].radius == pytest.approx(RADIUS, abs=1.5)
    assert found.arcs[0].sweep == pytest.approx(50.0, abs=1e-6)


def test_lines_without_an_arc_show_no_angle():
    assert angles("50°") == []


def test_a_length_looks_for_no_angle():
    assert angles("2.5", (0, 50)) == []
