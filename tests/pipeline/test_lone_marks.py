"""Marks by themselves get the figure before them, inches the feet."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from audit.geometry import Box
from audit.pipeline.lone_marks import find_before
from audit.reading import TextSpot
from audit.records import Candidate, ReadBy

HIGH = 30


class Says:
    """Says one thing of every crop."""

    name = ReadBy.NET

    def __init__(self, text, confidence=0.95):
        self.said, self.crops = heard(text, confidence), []

    def is_available(self):
        return True

    def read(self, crops):
        self.crops += crops
        return tuple(self.said for _ in crops)


def heard(text, confidence=0.97):
    return (Candidate(text=text, confidence=confidence, by=ReadBy.NET),)


def spot(x0, y0, x1, y1):
    box = Box(x0, y0, x1, y1)
    crop = np.full((int(y1 - y0), int(x1 - x0)), 240, np.uint8)
    high, long = y1 - y0, x1 - x0
    return TextSpot(
        box=box, angle=0.0, distance=0.0, crop=crop, centre=box.centre, length=long, height=high
    )


def paper(*strokes):
    gray = np.full((200, 400), 240, np.uint8)
    for a, b in strokes:
        cv2.line(gray, a, b, (20,), 3)
    return gray


MARK, ONE = (((120, 60), (120, 68)), ((126, 60), (126, 68))), ((106, 60), (106, 90))
AT_MARK = spot(118, 58, 128, 70)
FAR = [spot(300, 20 + 40 * k, 320, 20 + 40 * k + HIGH) for k in range(3)]  # figures of the sheet
TOLD = [heard(text) for text in ("5", "7", "9")]


def test_a_mark_gets_the_stroke_before_it():
    reader = Says('1"')
    spots, votes = find_before(paper(*MARK, ONE), [AT_MARK, *FAR], [heard('"'), *TOLD], [reader])
    assert [v[0].text for v in votes] == ['1"', "5", "7", "9"]
    assert spots[0].box.x0 == pytest.approx(104, abs=2)
    assert len(reader.crops) == 1


@pytest.mark.parametrize(("said", "sure"), [('"', 0.9), ("A", 0.9), ('1"', 0.4)])
def test_a_mark_stays_where_no_size_is_heard(said, sure):
    _, votes = find_before(
        paper(*MARK, ONE), [AT_MARK, *FAR], [heard('"'), *TOLD], [Says(said, sure)]
    )
    assert votes[0] == heard('"')


def test_a_figure_that_was_a_text_of_its_own_is_joined():
    figure = spot(104, 59, 109, 91)
    args = paper(*MARK, ONE), [figure, AT_MARK, *FAR], [heard("1"), heard('"'), *TOLD]
    assert [v[0].text for v in find_before(*args, [Says('1"')])[1]] == ['1"', "5", "7", "9"]
    assert find_before(*args, [Says("2'-1\"")])[1][0][0].text == "2'-1\""
    assert len(find_before(*args, [Says('4"')])[1]) == 5  # another figure


def test_a_line_that_runs_on_is_no_figure_before_a_mark():
    reader = Says('1"')
    gray = paper(*MARK, ((106, 0), (106, 199)))
    (one, *_), _ = find_before(gray, [AT_MARK, *FAR], [heard('"'), *TOLD], [reader])
    assert one.box.x0 > 110


FEET, INCHES = (((60, 60), (60, 90)), ((72, 60), (72, 68))), ((120, 60), (120, 90))
AT_INCHES = spot(118, 59, 123, 91)


@pytest.mark.parametrize(
    ("others", "told"), [(["2'-6\"", "7", "9"], "1'-1\""), (["5", "7", "9"], '1"')]
)
def test_inches_get_the_feet_before_them_on_a_sheet_with_feet(others, told):
    votes = [heard('1"'), *map(heard, others)]
    found = find_before(paper(*FEET, INCHES), [AT_INCHES, *FAR], votes, [Says("1'-1\"")])[1]
    assert found[0][0].text == told


@pytest.mark.parametrize("text", ['3 1/2"', '11"', "2'-7\""])
def test_only_feet_are_taken_before_inches(text):
    votes = [heard('1"'), heard("2'-6\""), *TOLD[1:]]
    found = find_before(paper(*FEET, INCHES), [AT_INCHES, *FAR], votes, [Says(text)])[1]
    assert found[0][0].text == '1"'
