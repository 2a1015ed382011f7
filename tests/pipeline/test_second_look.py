"""Doubtful texts of found dimensions are cut along their lines and read again."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest

from audit.geometry import Box, Point, Transform
from audit.isolation import GrayImage
from audit.networks.page import STRIDE, PageMaps
from audit.pipeline.placing import SnapGround
from audit.pipeline.second_look import look_again
from audit.pipeline.seen import SeenPicture
from audit.records import Candidate, Dimension, DimensionKind, End, EndKind, ReadBy, Reading

TEXT_BOX = Box(180, 80, 222, 104)


class Says:
    """Says of each crop what a function of it says."""

    name = ReadBy.NET

    def __init__(self, say):
        self.say, self.asked = say, 0

    def is_available(self):
        return True

    def read(self, crops):
        self.asked += len(crops)
        return tuple(
            (Candidate(text=text, confidence=sure, by=self.name),)
            for text, sure in map(self.say, crops)
        )


def make_seen(reader):
    gray = np.full((200, 400), 240, np.uint8)
    cv2.putText(gray, "65", (182, 102), cv2.FONT_HERSHEY_SIMPLEX, 0.9, (20,), 2)
    text = np.zeros((100, 200), np.uint8)
    text[38:54, 88:113] = 255
    empty = np.zeros_like(text)
    maps = PageMaps((), text, empty, empty, empty, np.zeros((200, 400), np.uint8), 1.0)
    same = Transform.scaling(1.0)
    ground = SnapGround(GrayImage(pixels=gray, to_frame=same), same, 200 / 25.4)
    assert STRIDE == 2
    return SeenPicture(ground, maps, (), (), 0.0, 200 / 25.4, (reader,))


def make_dimension(text="?", confidence=0.0, *, read=True):
    ends = tuple(
        End(point=Point(x, 120.0), kind=EndKind.EXTENSION, sigma=0.1) for x in (100.0, 300.0)
    )
    reading = Reading(
        text=text,
        callout=None,
        confidence=confidence,
        by=ReadBy.NET,
        candidates=(Candidate(text=text, confidence=confidence, by=ReadBy.NET),),
        box=TEXT_BOX,
    )
    return Dimension(
        id=1,
        sheet=1,
        view=0,
        kind=DimensionKind.DISTANCE,
        ends=ends,
        line=tuple(e.point for e in ends),
        reading=reading if read else None,
        score=1.0,
    )


def test_a_text_that_was_misread_is_read_again_and_keeps_its_box():
    seen = make_seen(Says(lambda _: ("65", 0.97)))
    (dimension,) = look_again(seen, [make_dimension()], unit=None)
    assert dimension.reading.text == "65"
    assert dimension.reading.confidence == pytest.approx(0.97)
    assert dimension.reading.box == TEXT_BOX


def test_a_text_read_surely_is_left_alone():
    reader = Says(lambda _: ("99", 0.99))
    (dimension,) = look_again(make_seen(reader), [make_dimension("65", 0.95)], unit=None)
    assert dimension.reading.text == "65"
    assert reader.asked == 0


def test_a_reading_hardly_surer_changes_nothing():
    seen = make_seen(Says(lambda _: ("85", 0.7)))
    (dimension,) = look_again(seen, [make_dimension("65", 0.6)], unit=None)
    assert dimension.reading.text == "65"


def test_a_dimension_without_text_takes_the_one_beside_its_line():
    seen = make_seen(Says(lambda _: ("65", 0.97)))
    (dimension,) = look_again(seen, [make_dimension(read=False)], unit=None)
    assert dimension.reading.text == "65"
    assert dimension.reading.box.contains(TEXT_BOX.centre)


def test_a_text_that_belongs_to_another_dimension_is_not_taken():
    seen = make_seen(Says(lambda _: ("65", 0.97)))
    owner, other = make_dimension("65", 0.95), make_dimension(read=False)
    assert look_again(seen, [owner, other], unit=None)[1].reading is None


def test_a_box_about_the_text_of_another_dimension_is_not_read_as_that_text():
    seen = make_seen(Says(lambda _: ("65", 0.97)))
    owner, askew = make_dimension("65", 0.95), make_dimension()
    about = replace(askew, reading=replace(askew.reading, box=Box(160, 70, 240, 120)))
    assert look_again(seen, [owner, about], unit=None)[1].reading.text == "?"
    assert look_again(seen, [about], unit=None)[0].reading.text == "65"


def test_two_ways_to_cut_that_say_two_sizes_leave_a_doubt():
    def by_head(crop):
        top, bottom = np.array_split((crop < 120).sum(axis=1), 2)
        return ("65", 0.95) if top.sum() > bottom.sum() else ("59", 0.9)

    (dimension,) = look_again(make_seen(Says(by_head)), [make_dimension()], unit=None)
    assert dimension.reading.confidence <= 0.6
    assert "says" in dimension.reading.doubt


def test_two_ways_to_cut_that_say_one_size_leave_none():
    def by_head(crop):
        top, bottom = np.array_split((crop < 120).sum(axis=1), 2)
        return ('6 1/4"', 0.95) if top.sum() > bottom.sum() else ("6 1/4", 0.9)

    first = make_dimension('6 1/4"', 0.55)
    (dimension,) = look_again(make_seen(Says(by_head)), [first], unit=None)
    assert dimension.reading.text.startswith("6 1/4")
    assert dimension.reading.confidence >= 0.9
    assert not dimension.reading.doubt


def test_a_second_cut_that_says_less_than_the_first_leaves_a_doubt():
    first = make_dimension("1/65", 0.55)
    (dimension,) = look_again(make_seen(Says(lambda _: ("65", 0.97))), [first], unit=None)
    assert dimension.reading.text == "65"
    assert dimension.reading.confidence <= 0.6
    assert "1/65" in dimension.reading.doubt


def test_without_readers_nothing_changes():
    seen = make_seen(Says(lambda _: ("65", 0.97)))
    silent = SeenPicture(seen.ground, seen.maps, (), (), 0.0, seen.px_per_mm, ())
    before = [make_dimension()]
    assert look_again(silent, before, unit=None) == tuple(before)
