"""Heads hidden in the blots of others: expectations follow from how each picture is drawn."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from audit.dimensions.raster_overlaps import measure_widths, with_overlapped_heads
from tests.dimensions.raster_builder import PX, tip

LENGTH, HALF = 15.0, 2.0  # of the heads drawn, pt


def drawn(*tips, crossed=()):
    """Heads at (place, way) along y 100 with their line; short lines cross it."""
    canvas = np.zeros((8 * 400, 8 * 800), np.uint8)

    def fill(*corners):
        points = np.round((np.array(corners) * PX * 8 - 0.5) * 16).astype(np.int32)
        cv2.fillPoly(canvas, [points], 255, cv2.LINE_8, 4)

    fill((60, 99.7), (260, 99.7), (260, 100.3), (60, 100.3))
    for x, way in tips:
        fill((x, 100), (x - way * LENGTH, 100 - HALF), (x - way * LENGTH, 100 + HALF))
    for x in crossed:
        fill((x - 0.3, 85), (x + 0.3, 85), (x + 0.3, 115), (x - 0.3, 115))
    page = cv2.resize(canvas, (800, 400), interpolation=cv2.INTER_AREA)
    return cv2.GaussianBlur(page, (3, 3), 0).astype(np.float32) / 255


def hidden(dark, *seen, is_text=lambda _: False):
    px = [tip(t.point.x * PX, t.point.y * PX, t.direction, t.score) for t in seen]
    found = with_overlapped_heads(px, dark, px_per_pt=PX, is_text=is_text)
    assert found[: len(px)] == tuple(px)
    return [(t.point.x / PX, t.point.y / PX, t.direction) for t in found[len(px) :]]


@pytest.mark.parametrize("apart", [4.0, 6.0, 9.0, 12.0])
def test_a_head_half_in_the_blot_of_another_is_found(apart):
    dark = drawn((180.0, 1), (180.0 - apart, 1))
    ((x, y, direction),) = hidden(dark, tip(180, 100, 180.0))
    assert (x, y, direction) == pytest.approx((180.0 - apart, 100.0, 180.0), abs=0.4)


def test_lines_through_the_blot_hide_nothing():
    dark = drawn((180.0, 1), (174.0, 1), crossed=(180.0, 174.0))
    ((x, _, _),) = hidden(dark, tip(180, 100, 180.0))
    assert x == pytest.approx(174.0, abs=0.4)


def test_heads_alone_tip_to_tip_or_back_to_back_hide_none():
    assert hidden(drawn((180.0, 1)), tip(180, 100, 180.0)) == []
    both = (tip(180, 100, 180.0), tip(180, 100, 0.0))
    assert hidden(drawn((180.0, 1), (180.0, -1)), *both) == []
    facing_away = drawn((180.0, 1), (152.0, -1))  # a link 28 pt wide, its heads 30
    assert hidden(facing_away, tip(180, 100, 180.0), tip(152, 100, 0.0)) == []


def test_a_crossing_line_alone_is_no_back():
    assert hidden(drawn((180.0, 1), crossed=(180.0, 160.0, 140.0)), tip(180, 100, 180.0)) == []


def test_letters_close_behind_a_head_are_no_back_of_another():
    dark = drawn((180.0, 1), (174.0, 1))
    among_letters = tip(180, 100, 180.0)
    assert hidden(dark, among_letters, is_text=lambda p: p.x < 162 * PX) == []
    assert len(hidden(dark, among_letters, is_text=lambda p: p.x < 150 * PX)) == 1


def test_back_of_a_head_that_faces_the_first_hides_none():
    dark = drawn((180.0, 1), (174.0, 1))  # what looks like two backs, 15 and 21 pt behind the tip
    first = tip(180, 100, 180.0)
    assert hidden(dark, first, tip(145, 100, 0.0)) == []
    assert len(hidden(dark, first, tip(120, 100, 0.0))) == 1


def width_of(row, near, before):
    """One row, place by place: the run of ink about the inked place nearest to the middle."""
    reached = [k for k in range(len(row)) if row[k] and near[k]]
    if not reached:
        return 0
    if row.all():
        return before
    low = high = min(reached, key=lambda k: abs(k - len(row) // 2))
    while low > 0 and row[low - 1]:
        low -= 1
    while high + 1 < len(row) and row[high + 1]:
        high += 1
    return high - low + 1


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9, 0.99])
def test_all_rows_at_once_measure_as_one_by_one(share):
    rng = np.random.default_rng(12)
    inked = rng.random((300, 9)) < share
    near = np.array([0, 0, 1, 1, 1, 1, 1, 0, 0], bool)
    widths = [0]
    for row in inked:
        widths.append(width_of(row, near, widths[-1]))
    assert measure_widths(inked, near).tolist() == widths[1:]
