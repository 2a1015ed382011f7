"""Figures of a few pixels are asked about, whatever the reader says."""

from __future__ import annotations

from dataclasses import replace

import pytest

from audit.geometry import Box
from audit.pipeline.tiny_texts import doubt_tiny
from tests.checks.judging import size


def lettered(height, *, upright=False, **callout):
    base = size("3", 3.0, callout=callout)
    box = Box(10, 20, 10 + height, 60) if upright else Box(10, 20, 60, 20 + height)
    angle = 90.0 if upright else 0.0
    return replace(base, reading=replace(base.reading, box=box, angle=angle))


@pytest.mark.parametrize("upright", [False, True])
def test_figures_of_five_pixels_are_doubted_and_of_eight_are_not(upright):
    [tiny, usual] = doubt_tiny([lettered(5, upright=upright), lettered(8, upright=upright)], px=1)
    assert tiny.reading.doubt == "its figures are only 5 pixels high"
    assert tiny.reading.confidence <= 0.5
    assert usual == lettered(8, upright=upright)


def test_the_pixels_that_count_are_the_stored_ones():
    [doubted] = doubt_tiny([lettered(10)], px=0.5)
    assert "5 pixels" in doubted.reading.doubt


def test_what_a_person_read_is_not_doubted():
    [read] = doubt_tiny([lettered(5, confirmed=True)], px=1)
    assert read.reading.doubt == ""


def test_a_lone_1_is_as_high_as_other_figures():
    base = lettered(9)
    narrow = replace(base, reading=replace(base.reading, box=Box(10, 20, 12, 29)))
    assert doubt_tiny([narrow], px=1) == (narrow,)
