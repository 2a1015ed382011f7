"""Lines through a text are taken out, its figures stay."""

from __future__ import annotations

from itertools import groupby

import cv2
import numpy as np
import pytest

from audit.reading.erasing import _runs, erase_lines, level_lines

HEIGHT = 20.0


def draw(*, level=False, upright=False):
    """A figure like an H, drawn 20 px high by OpenCV's line, with lines through it or beside."""
    crop = np.full((70, 120), 240, np.uint8)
    for a, b in (((50, 25), (50, 45)), ((62, 25), (62, 45)), ((50, 35), (62, 35))):
        cv2.line(crop, a, b, (30,), 2)
    if level:
        cv2.line(crop, (0, 30), (119, 30), (30,), 2)
    if upright:
        cv2.line(crop, (56, 0), (56, 69), (30,), 2)
    return crop


@pytest.mark.parametrize("lines", [{"level": True}, {"upright": True}])
def test_a_line_through_a_figure_goes_and_the_figure_stays(lines):
    clean = erase_lines(draw(**lines), height=HEIGHT)
    plain = draw()
    ink, left = plain < 130, clean < 130
    assert (ink & left).sum() > 0.93 * ink.sum()
    assert (left & ~ink).sum() < 0.08 * ink.sum()


def test_a_crop_without_lines_is_left_as_it_is():
    crop = draw()
    assert np.array_equal(erase_lines(crop, height=HEIGHT), crop)


def test_a_fraction_bar_is_no_line():
    crop = np.full((70, 120), 240, np.uint8)
    cv2.line(crop, (50, 35), (80, 35), (30,), 2)  # 1.5 heights wide
    assert np.array_equal(erase_lines(crop, height=HEIGHT), crop)


def test_a_line_that_grain_has_broken_is_still_one():
    ink = np.zeros((9, 60), np.uint8)
    ink[4] = 1
    ink[4, ::13] = 0
    gone = level_lines(ink, 40)
    assert gone[4, 3:57].mean() > 0.9


def test_runs_of_all_columns_at_once_are_what_each_column_counts_by_itself():
    rng = np.random.default_rng(4)
    ink = (rng.random((31, 40)) < 0.7).astype(np.uint8)
    ink[:, 0], ink[:, 1] = 0, 1
    counted = np.zeros(ink.shape, int)
    for column in range(ink.shape[1]):
        start = 0
        for dark, group in groupby(ink[:, column]):
            length = len(list(group))
            counted[start : start + length, column] = length * int(dark)
            start += length
    np.testing.assert_array_equal(_runs(ink), counted)


def test_half_a_line_at_an_edge_goes_on_beyond_it():
    for length in (20, 21):
        for first, last in [(0, 11), (19, 30), (3, 3 + length), (5, 4 + length), (0, 9), (21, 30)]:
            ink = np.zeros((9, 30), np.uint8)
            ink[3, first:last] = 1
            whole = cv2.morphologyEx(ink, cv2.MORPH_OPEN, np.ones((1, length), np.uint8))
            assert level_lines(ink, length)[3].tolist() == (whole[3] > 0).tolist()
