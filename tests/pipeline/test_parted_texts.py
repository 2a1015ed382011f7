"""Numbers of neighbouring links that were read as one."""

from __future__ import annotations

import pytest

from audit.geometry import Box, Point
from audit.pipeline.parted_texts import doubt_joint_texts, part_texts
from audit.records import Dimension, DimensionKind, End, EndKind, ReadBy, Reading


def link(middle: float, length: float) -> Dimension:
    """A link from 100 to 140 with a text so long over `middle`."""
    box = Box(middle - length / 2, 190, middle + length / 2, 198)
    return Dimension(
        id=1,
        sheet=1,
        view=0,
        kind=DimensionKind.DISTANCE,
        ends=tuple(
            End(point=Point(x, 200), kind=EndKind.EXTENSION, sigma=0.1) for x in (100.0, 140.0)
        ),
        reading=Reading(
            text="150150", callout=None, confidence=0.99, by=ReadBy.NET, box=box, angle=0.0
        ),
    )


@pytest.mark.parametrize(
    ("middle", "length", "joint"),
    [(140, 40, True), (102, 40, True), (120, 40, False), (165, 40, False), (140, 10, False)],
)
def test_text_over_an_end_of_its_own_line_may_be_two(middle, length, joint):
    [done] = doubt_joint_texts([link(middle, length)])
    assert done.reading is not None
    assert bool(done.reading.doubt) is joint
    assert (done.reading.confidence < 0.9) is joint


def test_without_a_reader_texts_stay_as_they_are():
    assert part_texts(None, ["a spot"], None, ()) == ("a spot",)
