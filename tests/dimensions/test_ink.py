"""Places along a line: those of an array are those of each of its points."""

from __future__ import annotations

import math

import numpy as np
import pytest

from audit.dimensions.ink import Line


@pytest.mark.parametrize("turn", [0.0, 37.0, 90.0, 200.0])
def test_places_of_an_array_are_those_of_each_point(turn):
    line = Line(3.0, -2.0, math.cos(math.radians(turn)), math.sin(math.radians(turn)))
    points = np.random.default_rng(1).uniform(-50, 50, (7, 2, 2))
    along, aside = line.places(points)
    expected = np.array([line.place(p) for p in points.reshape(-1, 2)]).reshape(7, 2, 2)
    assert np.array_equal(np.stack([along, aside], axis=-1), expected)
    foot = np.stack([line.x + along * line.ux, line.y + along * line.uy], axis=-1)
    assert np.hypot(*np.moveaxis(points - foot, -1, 0)) == pytest.approx(np.abs(aside))
