"""Lengths whose line is blank for long, drawn by OpenCV."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest

from audit.geometry import Box, Point
from audit.pipeline.blank_lines import doubt_blank_lines
from audit.scale.usable import SURELY_FOUND
from tests.checks.judging import size

PX_PER_MM = 8.0
A, B = Point(50, 120), Point(650, 130)
STUBS = ((50, 190), (560, 650))
TEXT = Box(575, 115, 630, 140)


def place(x):
    return x, round(120 + (x - 50) / 60)


def score(*drawn, box=TEXT, a=A, b=B, confirmed=False):
    gray = np.full((260, 700), 235, np.uint8)
    for x0, x1 in drawn:
        cv2.line(gray, place(x0), place(x1), 40, 2)
    base = size("7/16", 3.0, callout={"confirmed": confirmed}, score=0.8)
    length = replace(base, line=(a, b), reading=replace(base.reading, box=box))
    [done] = doubt_blank_lines([length], gray, px_per_mm=PX_PER_MM)
    return done.score


def test_length_between_stubs_of_two_others_is_not_surely_found():
    assert score(*STUBS) < SURELY_FOUND


@pytest.mark.parametrize(
    "drawn",
    [
        ((50, 650),),
        ((50, 300), (420, 650)),  # a wide gap, less than the share that counts
        tuple((x, x + 25) for x in range(50, 640, 60)),  # dashes
    ],
)
def test_line_that_is_drawn_stays_as_sure_as_it_was(drawn):
    assert score(*drawn) == 0.8


def test_line_may_stop_for_a_long_text():
    assert score(*STUBS, box=Box(195, 110, 555, 140)) == 0.8


def test_short_link_has_its_arrows_outside():
    assert score(*STUBS, a=Point(*place(180)), b=Point(*place(330))) == 0.8


def test_what_a_person_read_was_looked_at():
    assert score(*STUBS, confirmed=True) == 0.8
