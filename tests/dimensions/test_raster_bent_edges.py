"""Edges by hand are followed over their pieces, and no further."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from audit.dimensions.raster_bent_edges import follow_edge
from tests.dimensions.raster_builder import ink_of

FIRST = ((100, 200), (160, 200))


def followed(*others, start=0):
    return follow_edge(ink_of([FIRST, *others]), start)


def bent(degrees, *, gap=0.0):
    """A piece of 60 pt that goes on so far behind the first, turned so much."""
    turn = math.radians(degrees)
    x = 160 + gap
    return ((x, 200), (x + 60 * math.cos(turn), 200 + 60 * math.sin(turn)))


@pytest.mark.parametrize("start", [0, 1])
@pytest.mark.parametrize("gap", [0.0, 1.2, -8.0])
def test_pieces_that_meet_part_a_little_or_overlap_are_one_edge(start, gap):
    edge = followed(bent(5, gap=gap), start=start)
    assert edge.strokes == {0, 1}
    assert edge.high - edge.low == pytest.approx(120 + gap, abs=0.5)


def test_a_piece_further_off_is_another_edge():
    assert followed(bent(5, gap=4.0)).strokes == {0}


def test_a_stroke_that_ends_where_another_does_leads_no_further():
    assert followed(((130, 201), (160.5, 201))).strokes == {0}


def test_a_corner_or_a_bend_is_not_followed():
    assert followed(bent(12)).strokes == {0}
    assert followed(bent(90)).strokes == {0}


def test_an_arc_in_chords_is_followed_no_further_than_a_bend():
    chords = [(160.0, 200.0)]
    for k in range(1, 6):
        turn = math.radians(5 * k)
        x, y = chords[-1]
        chords.append((x + 20 * math.cos(turn), y + 20 * math.sin(turn)))
    assert followed(*pairwise(chords)).strokes == {0, 1}


def test_the_line_of_an_edge_lies_between_its_pieces():
    edge = followed(bent(6))
    assert edge.line.turned_from(1.0, 0.0) == pytest.approx(3.0, abs=0.3)


def test_a_stroke_alone_is_its_own_edge():
    edge = followed()
    assert (edge.low, edge.high) == (0.0, 60.0)
