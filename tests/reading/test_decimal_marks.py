"""A sheet has one decimal mark: a point that looks like a comma is one."""

from __future__ import annotations

import pytest

from audit.reading.decimal_marks import settle_decimal_marks
from audit.records import Candidate, ReadBy


def said(*pairs, by=ReadBy.NET):
    return tuple(Candidate(text=t, confidence=p, by=by) for t, p in pairs)


POINTS = [said((t, 0.99)) for t in (".500", "1.250", "10.75", ".0625")]
COMMAS = [said((t, 0.99)) for t in ("2,5", "12,75", "0,8", "R 3,5")]
COMMA = said(("10,888", 0.65), ("10.888", 0.44), ("10,388", 0.06))


def test_a_comma_among_points_is_a_point_where_one_was_heard_as_well():
    heard = settle_decimal_marks([*POINTS, COMMA])[-1]
    assert [c.text for c in heard] == ["10.888", "10,388"]
    assert heard[0].confidence > 0.85
    assert heard[0].confidence > COMMA[0].confidence


def test_a_point_among_commas_is_a_comma():
    heard = settle_decimal_marks([*COMMAS, COMMA])[-1]
    assert [c.text for c in heard] == ["10,888", "10,388"]


@pytest.mark.parametrize(
    "others", [[], POINTS[:3], [*POINTS, *COMMAS], [said((v[0].text, 0.8)) for v in POINTS]]
)
def test_what_the_sheet_uses_must_be_sure(others):
    assert settle_decimal_marks([*others, COMMA])[-1] == COMMA


@pytest.mark.parametrize(
    "text",
    [
        said(("1,250", 0.99)),  # thousands: no point was heard
        said(("1,250.5", 0.6), ("1.250.5", 0.3)),  # no decimals
        said(("1/2", 0.6), ("1,2", 0.3)),
    ],
)
def test_other_texts_stay(text):
    assert settle_decimal_marks([*POINTS, text])[-1] == text


def test_what_another_reader_says_stays_behind():
    other = said(("10,888", 0.7), by=ReadBy.TESSERACT)
    heard = settle_decimal_marks([*POINTS, (*COMMA, *other)])[-1]
    assert heard[0].text == "10.888"
    assert heard[-1] == other[0]
