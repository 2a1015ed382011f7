"""A whole number is parted from its fraction on a sheet that writes mixed numbers."""

from __future__ import annotations

import pytest

from audit.reading.ends import ASKED
from audit.reading.lost_gaps import settle_lost_gaps
from audit.records import Candidate, ReadBy


def said(*pairs, by=ReadBy.NET):
    return tuple(Candidate(text=t, confidence=p, by=by) for t, p in pairs)


MIXED = [said((t, 0.97)) for t in ('2 1/4"', "3-3/8", "7/8", "12 1/2")]


def test_a_lost_gap_is_put_back_and_both_spellings_count_together():
    joined = said(("23/4", 0.7), ("2 3/4", 0.4), ("28/4", 0.02))
    heard = settle_lost_gaps([*MIXED, joined])[-1]
    assert [c.text for c in heard[:1]] == ["2 3/4"]
    assert heard[0].confidence > 0.9


def test_a_1_before_a_fraction_may_be_a_line_and_is_asked():
    heard = settle_lost_gaps([*MIXED, said(('17/8"', 0.99))])[-1]
    assert (heard[0].text, heard[0].confidence) == ('1 7/8"', ASKED)


@pytest.mark.parametrize("others", [MIXED[:3], [*MIXED, said(("9/4", 0.95))]])
def test_a_sheet_must_write_mixed_numbers_and_nothing_else(others):
    joined = said(("23/4", 0.99))
    assert settle_lost_gaps([*others, joined])[-1] == joined


@pytest.mark.parametrize("text", ["111/16", "7/8", "9/4", "2 3/4", "12.5/12.4", "R 1", "204/4"])
def test_other_texts_stay(text):
    assert settle_lost_gaps([*MIXED, said((text, 0.8))])[-1] == said((text, 0.8))


def test_other_readers_votes_stay():
    tesseract = said(("23/4", 0.6), by=ReadBy.TESSERACT)
    assert settle_lost_gaps([*MIXED, tesseract])[-1] == tesseract
