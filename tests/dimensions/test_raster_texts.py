"""Directions of short texts of pictures: along a line, or straight."""

from __future__ import annotations

import pytest

from audit.dimensions.raster_texts import align_slanted, turn_to_broken
from tests.dimensions.raster_builder import ink_of, text_at

AWAY = ((300.0, 300.0), (400.0, 300.0))


def turned(text, *lines):
    (aligned,) = align_slanted([text.line], ink_of([AWAY, *lines]), upright=0.0)
    return aligned.angle


@pytest.mark.parametrize(("angle", "straight"), [(32.0, 0.0), (-14.0, 0.0), (105.0, 90.0)])
def test_a_short_text_that_no_line_runs_along_is_straight(angle, straight):
    assert turned(text_at("17", (100, 100), angle=angle)) == pytest.approx(straight)


def test_a_short_text_along_a_slanted_line_runs_as_the_line_does():
    line = ((70.0, 131.0), (140.0, 96.0))
    assert turned(text_at("17", (100, 106), angle=32.0), line) == pytest.approx(26.57, abs=0.1)


def test_a_line_that_is_nearly_straight_does_not_turn_a_short_text():
    tail = ((60.0, 98.5), (88.0, 100.5))
    assert turned(text_at("4 5", (100, 100), angle=-7.0), tail) == pytest.approx(0.0)


def test_a_long_text_keeps_its_direction():
    assert turned(text_at("2 HOLES", (100, 100), angle=20.0)) == pytest.approx(20.0)


SLANTING = [((70.0, 50.0), (91.0, 85.0)), ((109.0, 115.0), (130.0, 150.0))]  # broken at (100, 100)


def upright_in(*lines):
    text = text_at("9 1/2", (100, 100), angle=90.0)
    (turned,) = turn_to_broken([text.line], ink_of([AWAY, *lines]), upright=0.0)
    return turned.angle


def test_a_straight_text_that_a_slanting_line_is_broken_for_runs_as_that_does():
    through = ((99.0, 40.0), (99.0, 160.0))
    assert upright_in(*SLANTING, through) == pytest.approx(120.96, abs=0.1)


@pytest.mark.parametrize(
    "lines",
    [
        [((70.0, 50.0), (130.0, 150.0))],  # runs through
        SLANTING[:1],  # is drawn on one side only
        [*SLANTING, ((100.0, 40.0), (100.0, 82.0)), ((100.0, 118.0), (100.0, 160.0))],
    ],
    ids=["through", "one side", "a straight one is broken too"],
)
def test_other_lines_leave_a_straight_text_as_it_was_cut(lines):
    assert upright_in(*lines) == pytest.approx(90.0)
