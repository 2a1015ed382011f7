"""Places along a line: those of an array are those of each of its points."""

from __future__ import annotations

import math

import numpy as np
import pytest

from audit.dimensions.ink import COLLINEAR_PT, Ink, Line
from audit.records import Strokes, VectorPage


@pytest.mark.parametrize("turn", [0.0, 37.0, 90.0, 200.0])
def test_places_of_an_array_are_those_of_each_point(turn):
    line = Line(3.0, -2.0, math.cos(math.radians(turn)), math.sin(math.radians(turn)))
    points = np.random.default_rng(1).uniform(-50, 50, (7, 2, 2))
    along, aside = line.places(points)
    expected = np.array([line.place(p) for p in points.reshape(-1, 2)]).reshape(7, 2, 2)
    assert np.array_equal(np.stack([along, aside], axis=-1), expected)
    foot = np.stack([line.x + along * line.ux, line.y + along * line.uy], axis=-1)
    assert np.hypot(*np.moveaxis(points - foot, -1, 0)) == pytest.approx(np.abs(aside))


def test_strokes_on_a_line_are_those_of_all_that_lie_there():
    rng = np.random.default_rng(5)
    ways = np.radians(rng.choice([0.0, 30.0, 90.0, 179.6, 121.0], 300))
    starts = np.round(rng.uniform(0, 60, (300, 2)))
    along = np.column_stack([np.cos(ways), np.sin(ways)]) * rng.uniform(5, 40, (300, 1))
    n = len(starts)
    page = VectorPage(
        width=100.0,
        height=100.0,
        turn=0,
        strokes=Strokes(
            ends=np.hstack([starts, starts + along]),
            widths=np.ones(n),
            paths=np.arange(n, dtype=np.int32),
            greys=np.zeros(n),
            curved=np.zeros(n, np.bool_),
            pattern=np.zeros(n, np.int32),
        ),
        arcs=(),
    )
    ink = Ink(page)
    found = 0
    for i in range(n):
        line = ink.line_of(i)
        off = np.abs(line.places(ink.ends.reshape(-1, 2, 2))[1])
        turned = [line.turned_from(*u) for u in ink.units.tolist()]
        on = np.flatnonzero((off < COLLINEAR_PT).all(axis=1) & (np.array(turned) < 1.0))
        assert set(on.tolist()) <= set(ink.on_line(line)[0].tolist())
        found += len(on)
    assert found > 2 * n
