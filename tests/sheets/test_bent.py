"""Paper that does not lie flat: what its sides show widens every ±, so that intervals hold."""

from __future__ import annotations

import numpy as np
import pytest

from audit.geometry import Box
from audit.sheets.plumb import fit_lens
from tests.sheets.bent import bend_sheet
from tests.sheets.camera import Curl

SEED = 3000  # development; the bench has the held-out ones


def test_intervals_on_bent_paper_hold_where_those_of_corners_and_lens_do_not():
    made = [bend_sheet(SEED + k, most_mm=12.0, lengths=25) for k in range(12)]
    seen = [sheet for sheet in made if sheet is not None]
    errors = np.concatenate([s.errors for s in seen])
    assert np.mean(np.abs(errors) <= np.concatenate([s.limits for s in seen])) > 0.90
    assert np.mean(np.abs(errors) <= np.concatenate([s.plain_limits for s in seen])) < 0.85
    assert any(s.told for s in seen)


def test_bent_paper_is_neither_stretched_nor_pressed():
    """Arc length, summed over fine steps, is that of the flat paper."""
    rng = np.random.default_rng(1)
    curl = Curl.draw((200.0, 300.0), rng, most_mm=20.0)
    steps = np.linspace(0, curl.size, len(curl.heights))
    rise = np.gradient(curl.heights, steps)
    run = np.sqrt(1 - rise**2)
    lengths = np.hypot(run, rise) * (steps[1] - steps[0])
    assert lengths[:-1].sum() == pytest.approx(curl.size, rel=1e-9)


def test_what_lens_and_noise_explain_is_no_bend():
    rng = np.random.default_rng(3)
    along = np.linspace(0, 1, 160)[:, None]
    ends = np.array([[(100, 100), (1500, 140)], [(1500, 140), (1450, 1100)],
                     [(1450, 1100), (120, 1060)], [(120, 1060), (100, 100)]], float)  # fmt: skip
    lines = [a + along * (b - a) + rng.normal(0, 0.2, (160, 2)) for a, b in ends]
    box = Box(0, 0, 1600, 1200)
    assert fit_lens(lines, box).unexplained < 0.1
    waves = 2.0 * np.sin(2 * np.pi * along) * [0, 1]
    assert fit_lens([lines[0] + waves, *lines[1:]], box).unexplained > 0.4
