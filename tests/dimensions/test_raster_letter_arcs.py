"""Rings of letters are no circles of the part, centre lines in a circle are no letters."""

from __future__ import annotations

import pytest

from audit.dimensions.raster_letter_arcs import (
    without_centre_lines_as_texts,
    without_letter_arcs,
)
from audit.dimensions.texts import TextForm, classify
from audit.geometry import Box, Point
from audit.records import Arc
from tests.dimensions.raster_builder import ink_of
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
