"""Signs and whole numbers that stand a letter away from the rest of their size."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from audit.geometry import Box, Point
from audit.pipeline.lone_signs import find_lone_signs, join_lone_signs
from audit.reading import TextSpot
from audit.records import (
    Candidate,
    Dimension,
    DimensionKind,
    End,
    EndKind,
    ReadBy,
    Reading,
)

PAPER = np.full((400, 400), 240, np.uint8)
HIGH = 20.0


class Says:
    """Says the same of every crop."""

    name = ReadBy.NET

    def __init__(self, text, confidence=0.98):
        self.said, self.crops = (Candidate(text=text, confidence=confidence, by=self.name),), []

    def is_available(self):
        return True

    def read(self, crops):
        self.crops += crops
        return tuple(self.said for _ in crops)


def spot(x, y, length, *, angle=0.0, height=HIGH):
    box = Box(x - length / 2, y - height / 2, x + length / 2, y + height / 2)
    crop = np.full((round(height), round(length)), 240, np.uint8)
    return TextSpot(
        box=box,
        angle=angle,
        distance=0.0,
        crop=crop,
        centre=Point(x, y),
        length=length,
        height=height,
    )


def heard(text, confidence=0.99):
    return (Candidate(text=text, confidence=confidence, by=ReadBy.NET),)


def before(number, far, *, length=16.0, off=0.0):
    """A text so far before the middle of another, in its direction."""
    turn = math.radians(number.angle)
    x = number.centre.x - far * math.cos(turn) + off * math.sin(turn)
    y = number.centre.y + far * math.sin(turn) + off * math.cos(turn)
    return spot(x, y, length, angle=0.0 if number.angle else number.angle)


def joined(number, sign, said, *, reader, first):
    spots, votes = join_lone_signs(PAPER, (sign, number), (first, heard(said)), (reader,))
    return [v[0].text for v in votes], spots


@pytest.mark.parametrize("angle", [0.0, 45.0, -30.0, 90.0])
def test_a_lone_r_is_joined_to_the_number_behind_it(angle):
    number = spot(200, 200, 60, angle=angle)
    texts, (whole,) = joined(
        number, before(number, 54), ".390", reader=Says("R .390"), first=heard("R", 0.9)
    )
    assert texts == ["R .390"]
    assert whole.length == pytest.approx(30 + 54 + 15, abs=1)
    turn = math.radians(angle)
    middle = (200 - (54 + 15 - 30) / 2 * math.cos(turn), 200 + (54 + 15 - 30) / 2 * math.sin(turn))
    assert whole.centre == pytest.approx(middle, abs=1)


def test_a_sign_that_a_line_made_illegible_is_read_with_its_number():
    number = spot(200, 200, 60, angle=45.0)
    texts, _ = joined(
        number, before(number, 54, off=8), ".450", reader=Says("R .450"), first=heard("3", 0.3)
    )
    assert texts == ["R .450"]


@pytest.mark.parametrize(
    ("far", "first", "reader"),
    [
        (120, heard("R", 0.9), Says("R .390")),  # a word away
        (54, heard("7", 0.99), Says("R .390")),  # surely another number
        (54, heard("R", 0.9), Says("R .330")),  # another number than alone
        (54, heard("R", 0.9), Says("R .390", 0.3)),  # no better heard
        (54, heard("R", 0.9), Says(".390")),
        (-54, heard("R", 0.9), Says("R .390")),  # behind it
    ],
)
def test_other_texts_stay_what_they_are(far, first, reader):
    number = spot(200, 200, 60)
    texts, _ = joined(number, before(number, far), ".390", reader=reader, first=first)
    assert texts == [first[0].text, ".390"]


def test_a_whole_number_a_wide_space_before_its_fraction_is_part_of_it():
    number = spot(200, 200, 66)
    six = before(number, 33 + 24 + 8)
    texts, _ = joined(number, six, '1/2"', reader=Says('6 1/2"'), first=heard("6", 0.95))
    assert texts == ['6 1/2"']


@pytest.mark.parametrize(("times", "said"), [(2.2, ["6 1/2"]), (3.0, ["6", "1/2"])])
def test_a_stacked_fraction_is_twice_as_high_as_its_whole_number_and_no_more(times, said):
    number = spot(200, 200, 30, height=times * HIGH)
    six = before(number, 15 + 24 + 8)
    texts, _ = joined(number, six, "1/2", reader=Says("6 1/2"), first=heard("6", 0.95))
    assert texts == said


def test_a_line_between_a_whole_number_and_a_fraction_parts_two_sizes():
    number = spot(200, 200, 66)
    picture = PAPER.copy()
    picture[150:250, 155] = 20
    spots = (before(number, 33 + 24 + 8), number)
    votes = (heard("6", 0.95), heard('1/2"'))
    for gray, left in ((picture, 2), (PAPER, 1)):
        assert len(join_lone_signs(gray, spots, votes, (Says('6 1/2"'),))[0]) == left


def round_size(number, text, *, kind=DimensionKind.DIAMETER, confirmed=False):
    """A circle's size, read from a text."""
    ends = tuple(End(point=Point(x, 240), kind=EndKind.FREE, sigma=0.1) for x in (100.0, 300.0))
    reading = Reading(
        text=text,
        callout=None,
        confidence=0.99,
        by=ReadBy.NET,
        box=number.box,
        angle=number.angle,
        confirmed=confirmed,
    )
    return Dimension(id=1, sheet=1, view=0, kind=kind, ends=ends, reading=reading, sweep=360.0)


def read_again(reader, **how):
    number = spot(200, 200, 35, angle=50.0)
    (done,) = find_lone_signs(
        [round_size(number, "67", **how)], PAPER, [number], [reader], unit=None
    )
    return done.reading.text


def test_a_sign_that_was_never_seen_is_looked_for_before_the_number_of_a_circle():
    reader = Says("Ø 67")
    assert read_again(reader) == "Ø 67"
    assert [c.shape[1] for c in reader.crops] == pytest.approx([76, 88], abs=1)


@pytest.mark.parametrize("said", ["R 67", "Ø 61", "67", "NOTE"])
def test_another_sign_or_number_is_not_taken(said):
    assert read_again(Says(said)) == "67"


def test_a_radius_wants_an_r_and_a_confirmed_size_nothing():
    assert read_again(Says("R 67"), kind=DimensionKind.RADIUS) == "R 67"
    assert read_again(Says("R 67"), kind=DimensionKind.DISTANCE) == "67"
    assert read_again(Says("Ø 67"), confirmed=True) == "67"


def test_a_number_that_was_doubted_stays_so_with_its_sign():
    number = spot(200, 200, 35, angle=50.0)
    sized = round_size(number, "67")
    why = "cut in another way it says 61"
    doubted = replace(sized, reading=replace(sized.reading, confidence=0.5, doubt=why))
    (done,) = find_lone_signs([doubted], PAPER, [number], [Says("Ø 67")], unit=None)
    assert (done.reading.text, done.reading.doubt, done.reading.confidence) == ("Ø 67", why, 0.5)
