"""Uneven light taken off."""

from __future__ import annotations

import numpy as np

from audit.sheets.light import PAPER, even_light


def test_paper_is_equally_bright_and_strokes_stay_dark():
    rows, columns = 400, 600
    drawn = np.full((rows, columns), 230.0)
    drawn[100:104, 50:550] = 40
    drawn[50:350, 300:303] = 40
    shade = np.linspace(1.0, 0.4, columns)[None, :] * np.linspace(1.0, 0.8, rows)[:, None]
    seen = (drawn * shade).astype(np.uint8)
    even = even_light(seen)
    paper = even[(drawn > 200) & (np.arange(columns)[None, :] % 50 == 25)]
    assert np.ptp(seen[drawn > 200]) > 120
    assert np.abs(paper.astype(float) - PAPER).max() <= 15
    assert even[drawn < 100].max() < 90


def test_a_scrap_comes_back_as_it_is():
    scrap = np.arange(100, dtype=np.uint8).reshape(10, 10)
    assert (even_light(scrap) == scrap).all()
