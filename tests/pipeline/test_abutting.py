"""Pieces of lettering that stand too near a size to be another text."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from audit.geometry import Box, Point
from audit.pipeline.abutting import doubt_abutting
from audit.pipeline.framed import strokes_and_circles
from audit.reading import TextLine
from audit.records import (
    Arc,
    Dimension,
    DimensionKind,
    End,
    EndKind,
    ReadBy,
    Reading,
    VectorPage,
)
from audit.records.doubts import is_measured_away


def size(text: str, box: Box, *, angle: float = 0.0, confirmed: bool = False) -> Dimension:
    ends = tuple(End(point=Point(x, 200), kind=EndKind.EXTENSION, sigma=0.1) for x in (90.0, 150.0))
    reading = Reading(
        text=text,
        callout=None,
        confidence=0.99,
        by=ReadBy.NET,
        box=box,
        angle=angle,
        confirmed=confirmed,
    )
    return Dimension(id=1, sheet=1, view=0, kind=DimensionKind.DISTANCE, ends=ends, reading=reading)


def piece(text: str, box: Box, angle: float = 0.0) -> TextLine:
    quad = (
        Point(box.x0, box.y0),
        Point(box.x1, box.y0),
        Point(box.x1, box.y1),
        Point(box.x0, box.y1),
    )
    return TextLine(text=text, box=box, angle=angle, quad=quad, height=box.height, trusted=True)


BLANK = np.zeros((0, 4))  # no strokes
HALF = size('1/2"', Box(120, 190, 145, 200))


@pytest.mark.parametrize(
    ("beside", "doubted"),
    [
        (piece("3", Box(109, 190, 115, 200)), True),
        (piece("3", Box(112, 190, 118, 200)), True),
        (piece("R", Box(150, 191, 156, 200)), True),
        (piece("3", Box(101, 190, 107, 200)), True),  # a typewriter's space
        (piece("3", Box(96, 190, 102, 200)), False),  # a word away
        (piece("3", Box(109, 202, 115, 212)), False),  # a row below
        (piece("3", Box(99, 180, 115, 204)), False),  # of a title
        (piece("TYP", Box(147, 190, 165, 200)), False),
        (piece("4X", Box(109, 190, 118, 200)), False),
        (piece("3", Box(109, 190, 115, 200), 90.0), False),
    ],
)
def test_a_loose_piece_nearer_than_a_space_may_be_part_of_a_size(beside, doubted):
    [done] = doubt_abutting([HALF], [beside], ends=BLANK)
    assert done.reading is not None
    assert bool(done.reading.doubt) is doubted
    assert (done.reading.confidence < 0.9) is doubted


def outline(x: float, y: float, radius: float, sides: int) -> np.ndarray:
    turns = np.arange(sides + 1) * 2 * np.pi / sides
    corners = np.column_stack([x + radius * np.cos(turns), y + radius * np.sin(turns)])
    return np.hstack([corners[:-1], corners[1:]])


@pytest.mark.parametrize("sides", [3, 4, 6, 24])
def test_a_piece_with_an_outline_of_its_own_is_no_part_of_a_size(sides):
    beside = piece("7", Box(151, 190, 157, 200))
    balloon = outline(154, 195, 14.0 if sides == 3 else 9.0, sides)
    assert doubt_abutting([HALF], [beside], ends=balloon) == (HALF,)
    [open_one] = doubt_abutting([HALF], [beside], ends=np.delete(balloon, sides // 2, axis=0))
    assert open_one.reading is not None
    assert open_one.reading.doubt or sides == 24  # one chord of a circle is no opening


def test_circles_of_a_page_are_outlines_too():
    balloon = Arc(centre=Point(154, 195), radius=9.0, start=0.0, sweep=360.0, width=0.5, path=0)
    page = VectorPage(width=300.0, height=300.0, turn=0, arcs=(balloon,))
    beside = piece("7", Box(151, 190, 157, 200))
    assert doubt_abutting([HALF], [beside], ends=strokes_and_circles(page)) == (HALF,)
    bare = strokes_and_circles(replace(page, arcs=()))
    assert doubt_abutting([HALF], [beside], ends=bare) != (HALF,)


def test_a_piece_in_the_outline_of_its_size_may_be_part_of_it():
    both = outline(132, 195, 60.0, 4)
    [done] = doubt_abutting([HALF], [piece("3", Box(109, 190, 115, 200))], ends=both)
    assert done.reading is not None
    assert done.reading.doubt


def slanted(centre, letters, *, height=10.0, turn=143.0):
    """The box around a text of so many letters that runs at an angle."""
    c, n = abs(math.cos(math.radians(turn))), abs(math.sin(math.radians(turn)))
    length = 0.7 * height * letters
    half = ((length * c + height * n) / 2, (length * n + height * c) / 2)
    return Box(*(centre[k % 2] + (half[k % 2] if k > 1 else -half[k % 2]) for k in range(4)))


@pytest.mark.parametrize(
    ("read", "beside", "far", "aside", "doubted"),
    [
        ("9/16", "1", -25.0, 0.0, True),  # 1 9/16, on its head
        ("9/16", "1", 25.0, 0.0, False),  # after it
        ("9/16", "1", -25.0, 8.0, False),  # in another row
        ("9/16", "1", -45.0, 0.0, False),  # too far off
        ("9/16", "an", -25.0, 0.0, False),  # dashes of a centre line
        (".115", "R", -25.0, 0.0, True),
    ],
)
def test_a_slanted_size_is_doubted_for_the_whole_number_or_the_sign_before_it(
    read, beside, far, aside, doubted
):
    x, y = math.cos(math.radians(143.0)), -math.sin(math.radians(143.0))
    first = size(read, slanted((200, 200), len(read)), angle=143.0)
    at = (200 + far * x - aside * y, 200 + far * y + aside * x)
    [done] = doubt_abutting([first], [piece(beside, slanted(at, len(beside)))])
    assert done.reading is not None
    assert bool(done.reading.doubt) is doubted


def test_pieces_over_each_other_are_one_text_torn_unless_a_picture_was_read_twice():
    over = piece("1/2'-0\"", Box(112, 190, 150, 200))
    [torn] = doubt_abutting([HALF], [over], ends=BLANK)
    [twice] = doubt_abutting([HALF], [over])
    assert torn.reading is not None
    assert twice.reading is not None
    assert torn.reading.doubt
    assert not twice.reading.doubt


def test_sizes_that_touch_are_doubted_where_no_file_says_where_they_begin():
    first, next_one = size("12", HALF.reading.box), size("7.5", Box(147, 190, 160, 200))
    assert all(d.reading.doubt for d in doubt_abutting([first, next_one], []) if d.reading)
    exact = doubt_abutting([first, next_one], [], ends=BLANK)
    assert not any(d.reading.doubt for d in exact if d.reading)
    apart = size("7.5", Box(150, 190, 163, 200))
    assert not any(d.reading.doubt for d in doubt_abutting([first, apart], []) if d.reading)


def test_an_inch_mark_parts_two_sizes_that_touch():
    next_one = size("7.5", Box(147, 190, 160, 200))
    assert doubt_abutting([HALF, next_one], []) == (HALF, next_one)
    unsure = replace(HALF, reading=replace(HALF.reading, confidence=0.6))
    [_, doubted] = doubt_abutting([unsure, next_one], [])  # it may be its own first figure
    assert doubted.reading.doubt
    before = size("7.5", Box(103, 190, 118, 200))
    assert all(d.reading.doubt for d in doubt_abutting([before, HALF], []))


@pytest.mark.parametrize(
    ("first", "second", "doubted"),
    [("11/16", "5/8", False), ("3 1/2", "4", False), ("1/3", "2 1/2", True), ("16", "5/8", True)],
)
def test_what_a_rule_is_divided_into_ends_a_size(first, second, doubted):
    """The 2 of 1/32 may have gone to the next one, behind 1/16 nothing more can stand."""
    pair = [size(first, Box(120, 190, 145, 200)), size(second, Box(147, 190, 172, 200))]
    assert [bool(d.reading.doubt) for d in doubt_abutting(pair, [])] == [doubted, doubted]


@pytest.mark.parametrize(("text", "doubted"), [("t", False), ("3", False), ("R", True)])
def test_behind_an_inch_mark_a_picture_has_no_more_of_the_number(text, doubted):
    behind = piece(text, Box(150, 191, 156, 200))
    [done] = doubt_abutting([HALF], [behind])
    assert bool(done.reading.doubt) is doubted
    [bare] = doubt_abutting([size("1/2", HALF.reading.box)], [behind])
    assert bare.reading.doubt


def test_a_size_that_a_person_confirmed_is_not_doubted():
    done = doubt_abutting(
        [size("1/2", Box(120, 190, 145, 200), confirmed=True)],
        [piece("3", Box(109, 190, 115, 200))],
    )
    assert done[0].reading is not None
    assert done[0].reading.confidence == 0.99


def test_upright_text_has_its_neighbours_above_and_below():
    upright = size("12.5", Box(50, 100, 60, 125), angle=90.0)
    [above] = doubt_abutting([upright], [piece("3", Box(50, 90, 60, 96), 90.0)])
    [aside] = doubt_abutting([upright], [piece("3", Box(62, 105, 72, 111), 90.0)])
    assert above.reading is not None
    assert aside.reading is not None
    assert above.reading.doubt
    assert not aside.reading.doubt


@pytest.mark.parametrize(
    ("first", "second", "doubted"),
    [("R 3", '1/2"', True), (".4", "70", True), ("3 1/2", "1/2", False), ("12", "70", False)],
)
def test_two_sizes_that_read_on_as_one_are_doubted_a_space_apart(first, second, doubted):
    pair = [size(first, Box(100, 80, 120, 90)), size(second, Box(132, 80, 150, 90))]
    assert [bool(d.reading.doubt) for d in doubt_abutting(pair, [])] == [doubted, doubted]
    turned = [
        size(first, Box(80, 132, 90, 150), angle=90.0),
        size(second, Box(80, 100, 90, 120), angle=90.0),
    ]
    assert [bool(d.reading.doubt) for d in doubt_abutting(turned, [])] == [doubted, doubted]


@pytest.mark.parametrize(("high", "doubted"), [(18, True), (24, False)])
def test_piece_of_a_picture_may_stand_in_a_box_with_bits_of_a_line(high, doubted):
    piece_with_line = piece("7'", Box(60, 90 - high, 98, 90))
    [done] = doubt_abutting([size('37/64"', Box(100, 80, 150, 90))], [piece_with_line])
    assert bool(done.reading.doubt) is doubted
    drawn = piece("7'", Box(60, 72, 98, 90))
    [exact] = doubt_abutting([size('37/64"', Box(100, 80, 150, 90))], [drawn], ends=BLANK)
    assert not exact.reading.doubt


@pytest.mark.parametrize("gap", [3.0, 12.0])
def test_a_whole_number_beside_a_fraction_is_not_for_the_drawing_to_settle(gap):
    """Where 12 is drawn and 12 3/4 printed, the 12 alone is just what the drawing measures."""
    whole = size("12", Box(100, 190, 116, 200))
    [done] = doubt_abutting([whole], [piece("3/4", Box(116 + gap, 190, 134 + gap, 200))])
    assert done.reading.doubt
    assert not is_measured_away(done.reading.doubt)
