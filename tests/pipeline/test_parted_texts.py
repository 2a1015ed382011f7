"""Numbers of neighbouring links: read as one, or both over one line."""

from __future__ import annotations

import numpy as np
import pytest

from audit.geometry import Box, Point
from audit.pipeline.parted_texts import doubt_joint_texts, part_texts
from audit.pipeline.shared_lines import doubt_shared_lines
from audit.reading import TextLine
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


def standing(text: str, x: float, y: float = 194.0) -> TextLine:
    """A level text no dimension took, 10 long and 8 high, around (x, y)."""
    box = Box(x - 5, y - 4, x + 5, y + 4)
    corners = tuple(Point(*p) for p in box.corners)
    return TextLine(text=text, box=box, angle=0.0, quad=corners, height=8.0, trusted=True)


@pytest.mark.parametrize(
    ("middle", "other", "shared"),
    [
        (110, standing("12", 130), True),
        (110, standing("HOLE", 130), False),  # no size
        (120, standing("12", 135), False),  # its own stands in the middle, as it should
        (110, standing("12", 150), False),  # beyond the line
        (110, standing("12", 130, 180.0), False),  # of the line above
    ],
)
def test_a_size_over_each_half_of_a_line_may_be_two_links(middle, other, shared):
    [done] = doubt_shared_lines([link(middle, 10)], [other])
    assert done.reading is not None
    assert (done.reading.confidence < 0.9) is shared
    assert bool(done.reading.doubt) is shared


def test_a_size_between_two_others_on_its_line_may_be_the_middle_one_of_three_links():
    [done] = doubt_shared_lines([link(120, 10)], [standing("12", 106), standing("4", 135)])
    assert done.reading is not None
    assert done.reading.doubt
    [one_side] = doubt_shared_lines([link(120, 10)], [standing("12", 106), standing("X", 135)])
    assert one_side.reading is not None
    assert not one_side.reading.doubt


def test_a_number_in_a_ring_beside_a_size_is_no_second_link():
    turns = np.linspace(0.0, 2 * np.pi, 25)
    rim = np.column_stack([130 + 7 * np.cos(turns), 194 + 7 * np.sin(turns)])
    ring = np.hstack([rim[:-1], rim[1:]])
    for ends, doubted in ((ring, False), (ring[:12], True), (None, True)):
        [done] = doubt_shared_lines([link(110, 10)], [standing("7", 130)], ends=ends)
        assert done.reading is not None
        assert bool(done.reading.doubt) is doubted


def test_without_a_reader_texts_stay_as_they_are():
    assert part_texts(None, ["a spot"], None, ()) == ("a spot",)
