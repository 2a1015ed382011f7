"""A size that was heard in several spellings is as sure as they are together."""

from __future__ import annotations

import pytest

from audit.geometry import Box
from audit.lengths import Unit
from audit.reading.meanings import may_mean
from audit.reading.readers import vote
from audit.records import Candidate, ReadBy

BOX = Box(0, 0, 10, 10)


def heard(*pairs, by=ReadBy.NET, unit=Unit.IN):
    said = [Candidate(text=t, confidence=p, by=by) for t, p in pairs]
    return vote(said, box=BOX, angle=0.0, unit=unit)


@pytest.mark.parametrize(
    ("first", "other"),
    [
        ("2'-0 5/8\"", "2'-0 5/8"),
        ("4.448", "4,448"),
        ("1 1/2", "11/2"),
        ('8 1/2"', '8-1/2"'),
        ("1/2R", "1/2R."),
        ("3' 3 1/2\"", "-3' 3 1/2\""),
        ('3/4"', '3/4"-'),
    ],
)
def test_spellings_of_one_size_are_sure_together(first, other):
    reading = heard((first, 0.8), (other, 0.25))
    assert reading.text == first
    assert reading.confidence > 0.9
    assert reading.candidates[0].confidence == 0.8


@pytest.mark.parametrize(
    ("first", "other"),
    [('1"', "1'"), ("1 1/16", "11/16"), ("R 1/2", "1/2"), ("13/32", "1 13/32"), ("2X 1/2", "1/2")],
)
def test_another_size_adds_nothing(first, other):
    assert heard((first, 0.8), (other, 0.25)).confidence == 0.8


def test_a_bare_number_is_inches_only_where_it_counts_them():
    said = (('10"', 0.8), ("10", 0.1))
    assert heard(*said, unit=Unit.IN).confidence > 0.9
    assert heard(*said, unit=None).confidence == 0.8
    assert heard(*said, unit=Unit.MM).confidence == 0.8


def test_readings_that_a_rule_made_unsure_stay_so():
    """Both may be printed, says a rule; together they are likelier than certain."""
    said = (("5/8", 0.79), ("1 5/8", 0.79), ('5/8"', 0.3))
    assert heard(*said).confidence == 0.79


def test_what_is_no_probability_is_not_added_up():
    assert heard(("1 1/2", 0.8), ("11/2", 0.25), by=ReadBy.TESSERACT).confidence == 0.8


def test_numbers_without_a_unit_are_not_all_the_same():
    said = vote([Candidate(text="65", confidence=0.9, by=ReadBy.NET)], box=BOX, angle=0, unit=None)
    assert not may_mean("59", said.callout, unit=None)
