"""Holes of two diameters: the leader may point to either circle."""

from __future__ import annotations

from dataclasses import replace

import pytest

from audit.geometry import Box
from audit.pipeline.stepped_holes import doubt_stepped_holes
from audit.records import DimensionKind
from tests.pipeline.test_abutting import piece, size

OWN = Box(100, 100, 180, 112)


def hole(*, kind=DimensionKind.DIAMETER, confirmed=False):
    return replace(size("Ø24 THRU", OWN, confirmed=confirmed), kind=kind)


@pytest.mark.parametrize(
    ("other", "place", "doubted"),
    [
        ("⌴ Ø34 ↧4", Box(110, 118, 180, 130), True),
        ("Ø34", Box(110, 82, 160, 94), True),  # over it
        ("Ø34", Box(110, 140, 160, 152), False),  # rows further down
        ("Ø34", Box(190, 118, 240, 130), False),  # beside it
        ("(4) PLACES", Box(110, 118, 180, 130), False),
        ("R34", Box(110, 118, 160, 130), False),
    ],
)
def test_a_diameter_with_another_over_or_under_it_is_in_doubt(other, place, doubted):
    [done] = doubt_stepped_holes([hole()], [piece(other, place)])
    assert bool(done.reading.doubt) is doubted


def test_only_unconfirmed_diameters_are_doubted():
    step = [piece("Ø34", Box(110, 118, 160, 130))]
    spared = [hole(kind=DimensionKind.DISTANCE), hole(confirmed=True)]
    assert not any(d.reading.doubt for d in doubt_stepped_holes(spared, step))


@pytest.mark.parametrize(
    ("text", "doubted"), [("15 ⌵ 4", True), ("15 C'BORE", True), ("15", False)]
)
def test_a_step_that_lost_its_sign_and_went_to_another_line_is_one_still(text, doubted):
    step = replace(size(text, Box(110, 118, 180, 130)), kind=DimensionKind.DISTANCE)
    first, _ = doubt_stepped_holes([hole(), step], [])
    assert bool(first.reading.doubt) is doubted
