"""Lines by hand that run through a crop of text are found, figures beside them stay."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from audit.reading.find_text import tight_spots
from audit.reading.wandering import _runs, wandering_uprights

SIZE = (70, 90)


def ink(*strokes, thick=3):
    """Strokes drawn by OpenCV, px."""
    drawn = np.zeros(SIZE, np.uint8)
    for points in strokes:
        cv2.polylines(drawn, [np.array(points, np.int32)], False, (1,), thick)
    return drawn


WAVERS = [(20, 0), (22, 20), (19, 45), (24, 69)]
ONE = [(50, 18), (50, 50)]


def test_a_line_that_wavers_is_gone_and_the_1_beside_it_stays():
    line, figure = ink(WAVERS), ink(ONE)
    gone = wandering_uprights(line | figure)
    assert gone[line > 0].mean() > 0.95
    assert not gone[figure > 0].any()


def test_a_line_that_ends_on_another_one_is_one_all_the_same():
    line = ink([(20, 0), (22, 69)])
    gone = wandering_uprights(line | ink([(5, 1), (40, 1)]))
    assert gone[10:, :][line[10:, :] > 0].mean() > 0.95


@pytest.mark.parametrize(
    "stroke",
    [
        [(20, 12), (22, 69)],  # ends in the crop
        [(20, 0), (60, 69)],  # leans like a slash
        [(20, 0), (20, 25), (40, 30), (40, 69)],  # turns
    ],
)
def test_other_strokes_are_no_line(stroke):
    assert not wandering_uprights(ink(stroke)).any()


def test_a_thick_bar_is_no_line():
    assert not wandering_uprights(ink([(20, 0), (20, 69)], thick=19)).any()


def test_what_crosses_a_line_stays():
    line, figure = ink(WAVERS), ink([(8, 30), (40, 36)])
    gone = wandering_uprights(line | figure)
    apart = (figure > 0) & (line == 0)
    assert gone[apart].mean() < 0.3


def test_a_text_beside_a_line_by_hand_is_cut_without_it():
    figure = ink([(40, 18), (52, 20), (40, 50), (54, 50)])
    crop = np.where(ink(WAVERS) | figure, 20, 240).astype(np.uint8)
    mask = np.zeros(SIZE, np.bool_)
    mask[14:54, 16:60] = True
    (spot,) = tight_spots(crop, mask, np.eye(2, 3), angle=0.0)
    assert spot.box.x0 == pytest.approx(39, abs=2)


def test_runs_of_a_row_begin_and_end_at_paper():
    for row in ([0] * 5, [1] * 5, [1, 0, 1, 1, 0, 0, 1], [0, 1, 1, 0]):
        edges = np.flatnonzero(np.diff([0, *row, 0])).reshape(-1, 2)
        assert [list(run) for run in _runs(bytes(row))] == edges.tolist()
