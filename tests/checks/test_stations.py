"""Stations from several ends."""

from __future__ import annotations

import math

import numpy as np
import pytest

from audit.checks.stations import _make_station


def test_ends_said_to_be_exact_make_a_station_midway():
    """A file from outside may say that a place has no uncertainty at all."""
    station = _make_station(np.array([1.0, 3.0]), np.zeros(2), drafting=0.0, drawn=True)
    assert station.place == pytest.approx(2.0)
    assert math.isfinite(station.sigma)
    assert station.doubtful
