"""Lines through text, drawn by MuPDF."""

from __future__ import annotations

import numpy as np
import pytest

from audit.networks import reader
from audit.networks.decoding import NetCandidate, spelling_key
from audit.networks.reader import read_crops
from audit.networks.wiping import wipe_level_lines
from tests.snapping.drawn import new_page, render


def crop_of(text: str, *, line_at: float | None = None, reach: float = 30.0) -> np.ndarray:
    """A text of 11 pt with a level line `line_at` pt above its base line, 15 px around it."""
    page = new_page()
    page.insert_text((80, 80), text, fontsize=11)
    gray = render(page, 300).gray
    rows, columns = np.nonzero(gray < 128)
    if line_at is not None:
        right = columns.max() * 72 / 300
        page.draw_line((80 - reach, 80 - line_at), (right + reach, 80 - line_at), width=0.5)
        gray = render(page, 300).gray
    return gray[rows.min() - 15 : rows.max() + 16, columns.min() - 15 : columns.max() + 16].copy()


@pytest.mark.parametrize("text", ["DETAIL A", "2.375", "4X R 3/8", "12.552 REF"])
@pytest.mark.parametrize("line_at", [2.0, 4.0, 6.0])
def test_a_line_through_the_text_goes_and_the_text_stays(text, line_at):
    clean, lined = crop_of(text), crop_of(text, line_at=line_at)
    wiped = wipe_level_lines(lined)
    assert wiped is not None
    ink, left = clean < 100, wiped < 100
    assert (left & ~ink).mean() < 0.25 * ((lined < 100) & ~ink).mean()
    assert (ink & ~left).sum() < 0.25 * ink.sum()


@pytest.mark.parametrize("text", ["DETAIL A", "6.820", "11 3/8"])
def test_text_behind_a_line_is_read(text):
    ((first, *_),) = read_crops([crop_of(text, line_at=3.9)])
    assert spelling_key(first.text) == spelling_key(text)


def test_what_was_read_behind_a_line_is_never_sure(monkeypatch):
    def look(crops):
        return [
            (NetCandidate("M5 - 6H", 0.5) if crop is lined else NetCandidate("M5 6H", 1.0),)
            for crop in crops
        ]

    lined = crop_of("M5 - 6H", line_at=3.9)
    monkeypatch.setattr(reader, "_look", look)
    ((first, *_),) = read_crops([lined])
    assert first.text == "M5 6H"
    assert first.confidence < 0.9


def test_lines_beside_the_text_and_bars_of_fractions_are_left():
    assert wipe_level_lines(crop_of("2.375")) is None
    assert wipe_level_lines(crop_of("2.375", line_at=-2.0)) is None
    page = new_page()
    page.insert_text((80, 74), "7", fontsize=8)
    page.insert_text((80, 86), "8", fontsize=8)
    page.draw_line((78, 77), (87, 77), width=0.6)
    gray = render(page, 300).gray
    rows, columns = np.nonzero(gray < 128)
    loose = gray[rows.min() - 9 : rows.max() + 10, columns.min() - 9 : columns.max() + 10]
    assert wipe_level_lines(loose) is None


def test_blank_and_tiny_crops_have_no_lines():
    assert wipe_level_lines(np.full((40, 90), 255, np.uint8)) is None
    assert wipe_level_lines(np.zeros((3, 3), np.uint8)) is None
