"""A slashed zero is none of a diameter's signs."""

from __future__ import annotations

import pytest

from audit.reading.slashed_zeros import settle_slashed_zeros
from audit.records import Candidate, ReadBy


def said(*pairs):
    return tuple(Candidate(text=t, confidence=p, by=ReadBy.NET) for t, p in pairs)


SHEET = [said((t, 0.9)) for t in ("18Ø", "2Ø", "Ø 12", "75")]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("24Ø", "240"),
        ('1Ø 1/4"', '10 1/4"'),
        ("2Ø8", "208"),
        ("Ø 3Ø", "Ø 30"),
        ("1ØØ", "100"),
        ("12.5Ø", "12.50"),
    ],
)
def test_a_sign_behind_a_figure_is_a_zero_on_a_sheet_with_slashed_zeros(text, told):
    assert settle_slashed_zeros([*SHEET, said((text, 0.7))])[-1] == said((told, 0.7))


def test_both_spellings_of_a_number_count_together():
    heard = settle_slashed_zeros([*SHEET, said(("24Ø", 0.7), ("240", 0.24), ("24", 0.02))])[-1]
    assert [c.text for c in heard] == ["240", "24"]
    assert heard[0].confidence == pytest.approx(0.94)


@pytest.mark.parametrize("others", [SHEET[1:], [*SHEET, said(("120", 0.9)), said(("150", 0.9))]])
def test_a_sheet_with_other_zeros_or_hardly_any_keeps_its_signs(others):
    assert settle_slashed_zeros(others)[0] == others[0]


@pytest.mark.parametrize("texts", [("4Ø8", "2Ø6", "45"), ("4Ø 8", "2Ø 6"), ("1/2Ø", "3/8Ø")])
def test_counts_of_holes_and_signs_behind_fractions_show_no_slashed_zeros(texts):
    sheet = [said((text, 0.9)) for text in texts]
    assert list(settle_slashed_zeros(sheet)) == sheet


@pytest.mark.parametrize("text", ["Ø 12", "Ø12", "4X Ø6", "2 Ø 8", "3/8Ø"])
def test_a_sign_before_a_number_or_behind_a_fraction_stays(text):
    assert settle_slashed_zeros([*SHEET, said((text, 0.8))])[-1] == said((text, 0.8))
