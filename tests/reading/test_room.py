"""Texts in doubt are looked at again with more paper around."""

from __future__ import annotations

import numpy as np
import pytest

from audit.geometry import Box
from audit.reading.near import TextSpot
from audit.reading.room import hear_with_room
from audit.records import Candidate, ReadBy


class Says:
    """Says one thing of every crop, and keeps what it was shown."""

    name = ReadBy.NET

    def __init__(self, *pairs):
        self.said, self.crops = said(*pairs), []

    def is_available(self):
        return True

    def read(self, crops):
        self.crops += crops
        return tuple(self.said for _ in crops)


def said(*pairs):
    return tuple(Candidate(text=t, confidence=p, by=ReadBy.NET) for t, p in pairs)


def spot(length=24):
    crop = np.full((40, length), 230, np.uint8)
    crop[4:36, 10:14] = 20
    return TextSpot(
        box=Box(0, 0, length, 40), angle=0.0, distance=0.0, crop=crop, length=length, height=32.0
    )


def test_a_figure_that_fills_its_crop_is_read_with_paper_around():
    reader = Says(("4", 0.97))
    assert hear_with_room([spot()], [()], reader) == (said(("4", 0.97)),)
    (shown,) = reader.crops
    assert shown.shape == (50, 34)
    assert shown[:5].min() == 230


def test_a_look_that_says_otherwise_makes_the_reading_no_surer():
    (heard,) = hear_with_room([spot()], [said(('9"', 0.85), ('8"', 0.1))], Says(('8"', 0.95)))
    assert [c.text for c in heard] == ['8"', '9"']
    assert heard[0].confidence < 0.6


@pytest.mark.parametrize("votes", [said(("4", 0.95)), said(("NOTE", 0.6))])
def test_sure_readings_and_words_are_not_looked_at_again(votes):
    reader = Says(("7", 1.0))
    assert hear_with_room([spot()], [votes], reader) == (votes,)
    assert not reader.crops


def test_long_texts_are_not_looked_at_again():
    votes = said(("6 PIECES 3/4 BY 2", 0.6))
    assert hear_with_room([spot(length=400)], [votes], Says(("7", 1.0))) == (votes,)
