"""The sheets of `tests.bench hand` hold what their truth says: ink where ends are, one slip."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.bench.hand import pair
from tests.bench.hand_sheets import HALVES, in_px, make_sheet, scan, survived


@pytest.fixture(scope="module")
def drawn():
    """A sheet lettered in single strokes, so that no face need be installed, and a scan of it."""
    sheet = make_sheet(HALVES["development"], 2, find_face=lambda stem: None, planted=True)
    return sheet, scan(sheet, dpi=200, bilevel=False, rng=np.random.default_rng(5))


def test_ends_of_lengths_stand_on_ink(drawn):
    sheet, scanned = drawn
    dark = 0
    ends = [e for d in sheet.drawn if d.kind == "distance" for e in in_px(d, scanned)]
    for x, y in ends:
        around = scanned.pixels[round(y) - 3 : round(y) + 4, round(x) - 3 : round(x) + 4]
        dark += int(around.min()) < 150
    assert dark > 0.97 * len(ends)


def test_one_number_of_a_sheet_is_about_6_percent_off(drawn):
    wrong = [d for d in drawn[0].drawn if d.printed != d.right]
    assert len(wrong) == 1
    assert 0.045 < abs(float(wrong[0].printed / wrong[0].right) - 1) < 0.08
    right = make_sheet(HALVES["development"], 2, find_face=lambda stem: None, planted=False)
    assert all(d.printed == d.right for d in right.drawn)


def test_nothing_found_pairs_with_nothing(drawn):
    sheet, scanned = drawn
    assert pair(sheet.drawn, scanned, []) == {}


def test_a_size_whose_figures_a_scan_lost_is_told(drawn):
    """Down to a single figure: the right third of one text is wiped from a two-level scan."""
    sheet, scanned = drawn
    black = np.where(scanned.pixels < 150, 0, 255).astype(np.uint8)
    assert min(survived(sheet, replace(scanned, pixels=black))) > 0.9
    left, top, right, bottom = sheet.drawn[0].lettered
    a = scanned.from_mm.apply((right - (right - left) / 3, top))
    b = scanned.from_mm.apply((right, bottom))
    black[round(a.y) : round(b.y), round(a.x) : round(b.x) + 2] = 255
    first, *others = survived(sheet, replace(scanned, pixels=black))
    assert first < 0.3
    assert min(others) > 0.9
