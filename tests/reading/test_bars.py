"""Bars of fractions into which a dimension line runs."""

from __future__ import annotations

import numpy as np

from audit.geometry import Box
from audit.reading.bars import bars_of
from audit.reading.text_rows import rows_of


def stack(*, line):
    """A numerator over a denominator, the bar between them going on as a line."""
    ink = np.zeros((80, 200), np.uint8)
    boxes = [Box(92, 8, 108, 28), Box(86, 46, 114, 66)]
    for x0, y0, x1, y1 in boxes:
        ink[int(y0) : int(y1), int(x0) : int(x1)] = 1
    ink[36:39, line[0] : line[1]] = 1
    return ink, boxes


def test_a_bar_that_runs_into_a_dimension_line_keeps_its_fraction_in_one_row():
    ink, boxes = stack(line=(10, 116))
    joined, bars = bars_of(ink, boxes)
    assert joined[37, 100]
    assert len(rows_of(boxes, bars)) == 1
    assert len(rows_of(boxes)) == 2


def test_a_bar_that_touches_its_denominator_keeps_its_fraction_in_one_row():
    ink, (_, under) = stack(line=(84, 116))
    ink[36:46, 90:92] = 1
    narrow = Box(95, 8, 105, 28)
    boxes = [narrow, Box(84, 36, 116, under.y1), Box(100, 46, 114, 66)]
    assert len(rows_of(boxes, bars_of(ink, boxes)[1])) == 1
    assert len(rows_of(boxes)) == 2


def test_a_line_that_runs_past_both_ends_is_no_bar():
    ink, boxes = stack(line=(10, 190))
    joined, bars = bars_of(ink, boxes)
    assert not joined.any()
    assert len(rows_of(boxes, bars)) == 2


def test_without_figures_there_are_no_bars():
    assert bars_of(np.zeros((9, 9), np.uint8), [])[1] == []
