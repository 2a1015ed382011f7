"""A point among whole numbers is asked about where the number was heard without it, too."""

from __future__ import annotations

import pytest

from audit.reading.ends import ASKED
from audit.reading.stray_points import doubt_stray_points
from audit.records import Candidate, ReadBy


def said(*pairs):
    return tuple(Candidate(text=t, confidence=p, by=ReadBy.NET) for t, p in pairs)


SHEET = [said((t, 0.95)) for t in ("120", "75", "340", "18", "2100", "65")]


def told(*pairs, others=SHEET):
    return doubt_stray_points([*others, said(*pairs)])[-1]


def test_a_number_that_was_heard_about_as_well_without_its_point_has_none_and_is_asked():
    assert told(("12.5", 0.45), ("125", 0.4), ("12", 0.1)) == said(("125", ASKED), ("12", 0.1))


def test_what_was_heard_with_a_point_and_without_counts_together_whichever_was_heard_better():
    heard = told(("125", 0.4), ("12.5", 0.3))
    assert [(c.text, c.confidence) for c in heard] == [("125", pytest.approx(min(ASKED, 0.7)))]


def test_a_point_that_was_surely_heard_stays_and_is_asked():
    assert told(("21.5", 0.98), ("215", 0.01)) == said(("21.5", ASKED), ("215", 0.01))


@pytest.mark.parametrize(
    "heard",
    [
        [("21.5", 0.98)],
        [("215", 0.93), ("21.5", 0.1)],
        [("R 2.5", 1.0)],
        [("131", 0.6), ("12.5", 0.3), ("125", 0.1)],  # a third one was heard best
    ],
)
def test_other_readings_stay(heard):
    assert told(*heard) == said(*heard)


@pytest.mark.parametrize("others", [SHEET[1:], [*SHEET, said(("2.5", 0.95)), said(("7.5", 0.95))]])
def test_a_sheet_must_print_whole_numbers(others):
    heard = said(("12.5", 0.45), ("125", 0.4))
    assert doubt_stray_points([*others, heard])[-1] == heard
