"""Circles and rounded corners of drawn pictures; radii are those given to OpenCV."""

from __future__ import annotations

from itertools import pairwise

import cv2
import numpy as np
import pytest

from audit.dimensions.raster_fillets import find_fillets
from audit.dimensions.raster_lines import join_pieces, trace_pieces
from audit.dimensions.raster_rounds import find_rounds
from audit.geometry import Point
from audit.geometry.round_index import RoundIndex
from audit.networks.page import Terminator
from tests.dimensions.test_raster import OVER, Drawing


def rounds(sheet, tips=()):
    gray = sheet.gray
    dark = np.asarray(1.0 - gray / 255.0, np.float32)
    pieces = trace_pieces(dark)
    return find_rounds(gray, dark, pieces, join_pieces(pieces, dark), factor=1.0, tips=tips)


def draw_circle(sheet, centre, radius, width=4):
    middle = tuple(round(v * OVER) for v in centre)
    cv2.circle(sheet.big, middle, round(radius * OVER), 0, width * OVER, cv2.LINE_AA)


def test_a_small_hole_with_two_arrowheads_in_it_is_one_full_circle():
    sheet = Drawing(300, 300)
    draw_circle(sheet, (150, 150), 26)
    sheet.line((100, 150), (200, 150))
    sheet.line((150, 100), (150, 200))
    sheet.line((150 - 18, 150 + 18), (150 + 18, 150 - 18))
    sheet.head((150 + 18, 150 - 18), 225, size=18)
    sheet.head((150 - 18, 150 + 18), 45, size=18)
    near = [a for a in rounds(sheet) if a.centre.distance(Point(150.125, 150.125)) < 1.0]
    assert [a.sweep for a in near] == [360.0]
    assert near[0].radius == pytest.approx(26.0, abs=0.2)


def test_no_rounded_corner_is_seen_inside_a_circle():
    sheet = Drawing(300, 300)
    draw_circle(sheet, (150, 150), 40)
    sheet.line((90, 150), (210, 150))
    sheet.line((150, 90), (150, 210))
    assert [a.sweep for a in rounds(sheet)] == [360.0]


@pytest.mark.parametrize("at", [(150, 150), (180, 170)])
def test_a_blot_is_no_corner_where_lines_cross_in_the_middle_of_a_circle(at):
    """A small rounded corner elsewhere is one, however near to the circle."""
    sheet = Drawing(400, 400)
    draw_circle(sheet, (150, 150), 110)
    x, y = at
    sheet.line((x, y + 11), (x, y + 70))
    sheet.line((x + 11, y), (x + 70, y))
    middle = tuple(round(v * OVER) for v in (x + 11, y + 11))
    cv2.ellipse(sheet.big, middle, (11 * OVER, 11 * OVER), 0, 180, 270, 0, 3 * OVER, cv2.LINE_AA)
    found = [a for a in rounds(sheet) if a.sweep < 360.0]
    assert len(found) == (at != (150, 150))


def test_a_rounded_end_is_half_round_though_its_extension_line_makes_a_corner_of_it():
    sheet = Drawing(300, 300)
    middle = (180 * OVER, 150 * OVER)
    cv2.ellipse(sheet.big, middle, (37 * OVER,) * 2, 0, -90, 90, 0, 4 * OVER, cv2.LINE_AA)
    sheet.line((60, 113), (180, 113))
    sheet.line((60, 187), (180, 187))
    sheet.line((217, 150), (217, 280))
    sheet.line((140, 150), (240, 150))
    (end,) = [a for a in rounds(sheet) if a.radius > 20.0]
    assert (end.radius, end.sweep) == (pytest.approx(37.0, abs=0.2), pytest.approx(180.0, abs=15.0))


def test_a_rounded_corner_stays_a_quarter_of_its_circle():
    sheet = Drawing(300, 300)
    middle = (180 * OVER, 120 * OVER)
    cv2.ellipse(sheet.big, middle, (37 * OVER,) * 2, 0, -90, 0, 0, 4 * OVER, cv2.LINE_AA)
    sheet.line((60, 83), (180, 83))
    sheet.line((217, 120), (217, 280))
    (corner,) = rounds(sheet)
    assert corner.sweep == pytest.approx(90.0, abs=3.0)


@pytest.mark.parametrize("every", [7, 8])
def test_hatching_between_the_edges_of_a_narrow_part_makes_no_hole_of_it(every):
    # the arrowhead of a length points at the part, as one of a leader does at a hole
    sheet = Drawing(300, 300)
    box = [(112, 139), (160, 139), (160, 161), (112, 161), (112, 139)]
    for a, b in pairwise(box):
        sheet.line(a, b, width=4)
    for x in range(96, 162, every):
        low, high = max(x, 113), min(x + 20, 159)
        if low < high:
            sheet.line((low, 160 - (low - x)), (high, 160 - (high - x)), width=2)
    sheet.line((160, 150), (260, 150))
    sheet.head((160, 150), 0, size=12)
    tips = [Terminator(Point(160, 150), 0.0, 0.5)]
    assert [a for a in rounds(sheet, tips) if a.sweep == 360.0] == []


def test_corners_are_told_from_alike_ones_as_if_all_were_compared(monkeypatch):
    """On crossing strokes thrown at random, many of whose corners look round many times over."""
    rng = np.random.default_rng(3)
    sheet = Drawing(500, 500)
    for x, y, turn in rng.uniform((40, 40, 0), (460, 460, 2 * np.pi), (90, 3)):
        way = 45 * np.array([np.cos(turn), np.sin(turn)])
        sheet.line((x - way[0], y - way[1]), (x + way[0], y + way[1]))
    dark = np.asarray(1.0 - sheet.gray / 255.0, np.float32)
    strokes = join_pieces(trace_pieces(dark), dark)
    quick = find_fillets(dark, strokes)
    monkeypatch.setattr(RoundIndex, "alike", lambda index, *_: range(index._count))
    assert quick == find_fillets(dark, strokes)
    monkeypatch.setattr(RoundIndex, "alike", lambda *_: [])
    assert len(quick) < len(find_fillets(dark, strokes))
