"""Rings of letters are no circles of the part, centre lines in a circle are no letters."""

from __future__ import annotations

import pytest

from audit.dimensions.raster_letter_arcs import (
    without_centre_lines_as_texts,
    without_letter_arcs,
    without_on_frames,
)
from audit.dimensions.texts import TextForm, classify
from audit.geometry import Box, Point
from audit.records import Arc
from tests.dimensions.raster_builder import ink_of, tip
from tests.pipeline.test_abutting import piece

TEXT = Box(100, 100, 160, 112)


@pytest.mark.parametrize(
    ("text", "centre", "radius", "kept"),
    [
        ("Ø 55", (106, 106), 6.0, False),  # the ring of the sign
        ("Ø 55", (106, 106), 30.0, True),  # a circle about the text
        ("Ø 55", (80, 106), 6.0, True),  # a hole beside it
        ("0", (106, 106), 6.0, True),  # a hole read as a zero
    ],
)
def test_ring_of_a_sign_is_no_circle(text, centre, radius, kept):
    arc = Arc(centre=Point(*centre), radius=radius, start=0.0, sweep=360.0, width=0.5, path=0)
    assert bool(without_letter_arcs([arc], [classify(piece(text, TEXT))])) is kept


def end(x, radius, start, sweep):
    return Arc(centre=Point(x, 106), radius=radius, start=start, sweep=sweep, width=0.5, path=0)


FRAMED = classify(piece("22 1/2", TEXT))
ROUND_END = end(160, 10.0, 270.0, 180.0)


@pytest.mark.parametrize(
    ("arc", "kept"),
    [
        (ROUND_END, False),
        (end(100, 10.0, 90.0, 180.0), False),
        (end(162, 10.0, 300.0, 90.0), False),  # half of it was traced
        (end(160, 10.0, 90.0, 180.0), True),  # turned inwards: it would cross the text
        (end(160, 10.0, 0.0, 360.0), True),  # a hole there
        (end(160, 26.0, 270.0, 180.0), True),  # much larger than the text is high
        (end(190, 10.0, 270.0, 180.0), True),  # off the text
    ],
)
def test_round_end_of_a_frame_about_a_number_is_no_rim(arc, kept):
    assert bool(without_letter_arcs([arc], [FRAMED])) is kept


def test_weak_marks_on_such_an_end_are_none():
    on, beyond, sure = tip(170, 106, 0.0, 0.3), tip(190, 106, 0.0, 0.3), tip(170, 106, 0.0, 0.9)
    assert without_on_frames([on, beyond, sure], [ROUND_END], [FRAMED]) == [beyond, sure]
    assert without_on_frames([on], [end(160, 10.0, 0.0, 360.0)], [FRAMED]) == [on]


@pytest.mark.parametrize(
    ("text", "box", "kept"),
    [
        ("1", (199, 206, 201, 216), False),
        ("1", (184, 199, 194, 201), False),
        ("1", (184, 192, 186, 202), True),  # stands across the axis, as the size of a line does
        ("1", (206, 206, 208, 216), True),  # beside it
        ("1", (199, 226, 201, 236), True),  # outside
        ("1 3/8", (199, 206, 201, 216), True),
    ],
)
def test_dash_of_a_centre_line_that_was_read_as_a_one_is_no_size(text, box, kept):
    (circle,) = ink_of([], [((200, 200), 25, 0, 360)]).arcs
    line = classify(piece(text, Box(*box)))
    (found,) = without_centre_lines_as_texts([line], [circle])
    assert (found.form is TextForm.LENGTH) is kept
