"""Ticks told along which line they measure, on lines and maps made by hand.

What is checked against: how ISO 129-1 and ASME Y14.5 draw a dimension line (it ends at its marks
and carries the number) and an extension line (it begins at the part and runs a little past).
"""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np

from audit.dimensions.raster_aiming import aim_along_runs
from audit.dimensions.terminators import Mark, MarkKind
from audit.geometry import Point
from tests.dimensions.raster_builder import PX, ink_of, maps_of, text_at

LEVEL = ((100, 200), (180, 200))
EXTENSIONS = [((x, 120), (x, 206)) for x in (100, 140, 180)]
BELOW = ((100, 225), (180, 225))
OUTER = [((x, 120), (x, 231)) for x in (100, 180)]
TICKS = [(100, 200), (140, 200), (180, 200)]


def aim(lines, places, texts, *, network=(), broken=()):
    """Directions of the marks; the maps call the lines of `network` dimension lines."""

    def draw(dark):
        for a, b in [*lines, *broken]:
            p, q = (tuple(round(v * PX) for v in point) for point in (a, b))
            cv2.line(dark, p, q, 255, 2)

    maps = maps_of(draw)
    line = np.zeros_like(maps.line)
    for a, b in network:
        p, q = (tuple(round(v * PX / 2) for v in point) for point in (a, b))
        cv2.line(line, p, q, 255, 2)
    marks = [Mark(kind=MarkKind.DOT, point=Point(*p), size=4) for p in places]
    aimed = aim_along_runs(ink_of(lines), marks, texts, replace(maps, line=line), px_per_pt=PX)
    return [(round(abs(m.ux), 3), round(abs(m.uy), 3)) for m in aimed]


def test_a_chain_is_measured_along_though_the_network_takes_its_extension_lines_for_it():
    texts = [text_at("40", (120, 194)), text_at("40", (160, 194))]
    lines = [LEVEL, *EXTENSIONS]
    assert aim(lines, TICKS, texts, network=EXTENSIONS) == [(1.0, 0.0)] * 3


def test_a_line_between_two_rows_of_ticks_is_an_extension_line():
    texts = [text_at("40", (120, 194)), text_at("40", (160, 194)), text_at("80", (140, 219))]
    lines = [LEVEL, BELOW, *OUTER, EXTENSIONS[1]]
    places = [*TICKS, (100, 225), (180, 225)]
    assert aim(lines, places, texts, network=OUTER) == [(1.0, 0.0)] * 5


def test_a_dimension_line_broken_for_its_text_is_one_run():
    halves = [((100, 200), (115, 200)), ((165, 200), (180, 200))]
    lines = [*halves, EXTENSIONS[0], EXTENSIONS[2]]
    texts = [text_at("3 27/64", (140, 200))]
    assert aim(lines, [TICKS[0], TICKS[2]], texts) == [(1.0, 0.0)] * 2


def test_a_line_that_is_led_out_to_a_number_ends_there():
    lines, dots = [((80, 200), (180, 200)), EXTENSIONS[0]], [(100, 200), (140, 200), (100, 120)]
    over = text_at("40", (120, 194))
    assert aim(lines, dots, [over, text_at("3/4", (68, 200))])[0] == (1.0, 0.0)
    assert aim(lines, dots, [over, text_at("3/4", (40, 200))])[0] == (0.0, 0.0)


def test_without_a_text_and_with_ends_alike_nothing_is_decided():
    corner = [((100, 200), (180, 200)), ((100, 120), (100, 200))]
    assert aim(corner, [(100, 200), (180, 200), (100, 120)], [])[0] == (0.0, 0.0)


def test_arrowheads_stay_as_they_are():
    arrow = Mark(kind=MarkKind.FILLED, point=Point(100, 200), ux=-1.0, size=8)
    maps = maps_of(lambda dark: None)
    assert aim_along_runs(ink_of([LEVEL]), [arrow], [], maps, px_per_pt=PX) == [arrow]


def test_a_level_number_beside_an_upright_line_speaks_for_it_at_its_middle_alone():
    upright, level = ((100, 120), (100, 200)), ((100, 200), (260, 200))
    beside = [text_at("3 1/2", (82, 160))]
    dots = [(100, 120), (100, 200), (260, 200)]
    assert aim([upright, level], dots, beside)[0] == (0.0, 1.0)
    assert aim([upright, level], dots, [text_at("3 1/2", (82, 190))])[0] == (0.0, 0.0)
