"""Candidates that make sense come first, where the reader is in two minds."""

from __future__ import annotations

import pytest

from audit.geometry import Box
from audit.reading import vote
from audit.reading.sense import put_sense_first, weigh_sense
from audit.records import Candidate, ReadBy

BOX = Box(0.0, 0.0, 100.0, 30.0)


def heard(*said: tuple[str, float]) -> list[Candidate]:
    return [Candidate(text=t, confidence=c, by=ReadBy.NET) for t, c in said]


@pytest.mark.parametrize(
    ("wrong", "right"),
    [
        ('1/16"2', '1/16"R'),
        ("3X .525 THR-U", "3X .525 THRU"),
        ("S70", "570"),
        ("(0'-8\"", "10'-8\""),
        ("Ø13 B.D.", "Ø13 B.C."),
        ("1/2 DP-ILL", "1/2 DRILL"),
    ],
)
def test_a_size_in_known_words_comes_before_what_is_none(wrong, right):
    said = put_sense_first(heard((wrong, 0.6), (right, 0.4)))
    assert said[0].text == right
    reading = vote(said, box=BOX, angle=0.0, unit=None)
    assert (reading.text, reading.confidence) == (right, pytest.approx(0.4, abs=0.11))


@pytest.mark.parametrize(
    ("first", "second"), [("3 5/7", "3 5/8"), ("7/13", "7/16"), ("14 PLACES", "16 PLACES")]
)
def test_a_number_is_never_preferred_for_being_usual(first, second):
    assert put_sense_first(heard((first, 0.41), (second, 0.4)))[0].text == first


def test_what_is_read_surely_stands_whether_it_makes_sense_or_not():
    assert put_sense_first(heard(("2X R5 THBU", 0.95), ("2X R5 THRU", 0.9)))[0].text == "2X R5 THBU"


def test_names_and_notes_are_words_too():
    assert weigh_sense("SECTION A-A") == 1.0
    assert weigh_sense("M6x1.25") == 1.0
    assert weigh_sense("2X Ø6.6 THRU") == 1.0
    assert weigh_sense("TYP.") == 1.0
