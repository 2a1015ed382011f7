"""Rings of letters are no circles of the part."""

from __future__ import annotations

import pytest

from audit.dimensions.raster_letter_arcs import without_letter_arcs
from audit.dimensions.texts import classify
from audit.geometry import Box, Point
from audit.records import Arc
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
