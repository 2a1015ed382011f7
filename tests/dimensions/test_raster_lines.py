"""What is looked up for all lines at once is what is found line by line."""

from __future__ import annotations

import math
from types import SimpleNamespace

import cv2
import numpy as np
import pytest

from audit.dimensions.raster_lines import Pieces, _Bins, _stretched, trace_pieces
from audit.dimensions.raster_sectors import CHORD_PT, LONGEST_CHORD, chords_of
from audit.geometry import Point

SIZE = 400


@pytest.fixture
def pieces():
    rng = np.random.default_rng(11)
    starts, turns = rng.uniform(20, SIZE - 20, (300, 2)), rng.uniform(0, 2 * np.pi, 300)
    turns[:100] = rng.choice([0.0, 0.5, 1.0, 1.5], 100) * np.pi
    ways = np.column_stack([np.cos(turns), np.sin(turns)]) * rng.uniform(5, 60, 300)[:, None]
    return Pieces(np.hstack([starts, starts + ways]), np.full(300, 2.0))


def test_every_piece_on_the_line_of_another_is_looked_at(pieces):
    """Nearly parallel, and its middle within three pixels of the line."""
    bins = _Bins(pieces)
    e = pieces.ends
    units = (e[:, 2:] - e[:, :2]) / pieces.lengths[:, None]
    middles = (e[:, :2] + e[:, 2:]) / 2
    fewer = 0
    for i in range(len(pieces)):
        across = np.array([-units[i, 1], units[i, 0]])
        parallel = np.abs(units @ across) < math.sin(math.radians(4.0))
        on = np.flatnonzero(parallel & (np.abs((middles - middles[i]) @ across) < 3.0))
        near = bins.near(i)
        assert i in near
        assert set(on) <= set(near)
        fewer += len(near) < len(pieces) / 4
    assert fewer > len(pieces) / 2


def test_strokes_are_followed_on_the_ink_as_each_by_itself(pieces):
    canvas = np.full((SIZE, SIZE), 255, np.uint8)
    for x0, y0, x1, y1 in np.round(pieces.ends).astype(int).tolist():
        cv2.line(canvas, (x0, y0), (x1, y1), 0, 2, cv2.LINE_AA)
    dark = np.asarray(1.0 - canvas / 255.0, np.float32)
    dots = Pieces(np.repeat(pieces.ends[:3, :2], 2, axis=0).reshape(-1, 4), np.ones(3))
    both = Pieces(np.vstack([pieces.ends, dots.ends]), np.append(pieces.widths, dots.widths))
    found = _stretched(both, dark)
    alone = [_stretched(both.take(np.array([k])), dark).ends[0] for k in range(len(both))]
    assert np.array_equal(found.ends, np.array(alone))
    assert np.array_equal(found.ends[-3:], dots.ends)
    assert (np.abs(found.ends - both.ends).max(axis=1) > 1.0).sum() > 100


def test_bits_of_circles_are_told_as_if_every_stroke_were_compared(pieces):
    rng = np.random.default_rng(5)
    arcs = [
        SimpleNamespace(centre=Point(*rng.uniform(0, SIZE, 2)), radius=radius)
        for radius in rng.uniform(2, 120, 200)
    ]
    for k, arc in enumerate(arcs):  # a chord of each, bulging as far as one may
        turns = 0.1 * k + np.array([0.0, 0.7])
        rim = np.array(arc.centre) + arc.radius * np.column_stack([np.cos(turns), np.sin(turns)])
        pieces.ends[k] = rim.ravel()
    ink = SimpleNamespace(ends=pieces.ends, lengths=pieces.lengths, arcs=arcs)
    expected = {
        k
        for k, (x0, y0, x1, y1) in enumerate(pieces.ends.tolist())
        for arc in arcs
        for length in [math.hypot(x1 - x0, y1 - y0)]
        if length < LONGEST_CHORD * arc.radius
        and all(
            abs(arc.centre.distance(Point(*end)) - arc.radius)
            < CHORD_PT + length**2 / (8 * arc.radius)
            for end in ((x0, y0), (x1, y1))
        )
    }
    assert 200 <= len(expected) < 300
    assert chords_of(ink) == expected


def test_pieces_are_the_same_to_the_bit_where_levels_are_looked_up():
    rng = np.random.default_rng(12)
    levels = rng.integers(0, 60, (90, 120), np.uint8)
    cv2.line(levels, (10, 12), (110, 70), (250,), 3)
    levels[:2] = np.arange(240).reshape(2, 120)  # nearly each there is
    dark = levels.astype(np.float32) / 255.0
    plain, looked_up = trace_pieces(dark), trace_pieces(dark, levels=levels)
    assert len(plain) > 1
    assert np.array_equal(plain.ends, looked_up.ends)
    assert np.array_equal(plain.widths, looked_up.widths)
