"""Numbers with a stroke or figure right over or under them, drawn by OpenCV."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest

from audit.geometry import Box
from audit.pipeline.half_fractions import doubt_half_fractions
from tests.checks.judging import size

OWN = Box(100, 96, 118, 126)  # a 2 under its bar
ONE, FOOT = ((109, 66), (109, 90)), ((109, 134), (109, 158))
LINE = ((109, 10), (109, 90))  # runs on
LOW, BESIDE, FAR = ((109, 84), (109, 90)), ((135, 66), (135, 90)), ((109, 50), (109, 74))


def picture(*strokes):
    gray = np.full((200, 240), 235, np.uint8)
    cv2.line(gray, (98, 97), (120, 97), 40, 2)
    cv2.putText(gray, "2", (100, 125), cv2.FONT_HERSHEY_SIMPLEX, 0.9, 40, 2)
    for a, b in strokes:
        cv2.line(gray, a, b, 40, 2)
    return gray


def read_off(gray, *, text="2", upright=False):
    base = size("2", 2.0, callout={"confidence": 0.98})
    box, angle = OWN, 0.0
    if upright:  # it runs from the bottom to the top
        gray = np.ascontiguousarray(np.rot90(gray))
        columns = 240
        box, angle = Box(OWN.y0, columns - OWN.x1, OWN.y1, columns - OWN.x0), 90.0
    reading = replace(base.reading, text=text, box=box, angle=angle)
    [done] = doubt_half_fractions([replace(base, reading=reading)], gray)
    return done.reading


@pytest.mark.parametrize("upright", [False, True])
def test_a_number_over_which_a_stroke_stands_alone_may_be_half_a_fraction(upright):
    reading = read_off(picture(ONE), upright=upright)
    assert reading.doubt
    assert reading.confidence <= 0.5


def test_a_number_under_which_a_figure_stands_alone_may_be_half_a_fraction():
    gray = picture()
    cv2.putText(gray, "4", (100, 157), cv2.FONT_HERSHEY_SIMPLEX, 0.9, 40, 2)
    assert read_off(gray).doubt


@pytest.mark.parametrize(("text", "stroke"), [("2", FOOT), ("73", ONE), ('25"', ONE)])
def test_dashes_of_a_dimension_line_make_no_fraction(text, stroke):
    """No fraction has a stroke for its denominator, no rule 73 parts."""
    assert not read_off(picture(stroke), text=text).doubt


@pytest.mark.parametrize("strokes", [(), (LINE,), (LOW,), (BESIDE,), (FAR,)])
def test_lines_that_run_on_and_ink_elsewhere_make_no_fraction(strokes):
    assert not read_off(picture(*strokes)).doubt


def test_a_whole_fraction_is_not_doubted_for_what_stands_over_it():
    assert not read_off(picture(ONE), text="1/2").doubt


def test_a_picture_without_ink_is_looked_at_in_vain():
    assert not read_off(np.full((200, 240), 235, np.uint8)).doubt
