"""Dots of narrow chains, on ink: two heads outside point at each other, no line leads to the dot.

Dots in the place of heads where there is no room are common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest

from audit.dimensions.raster_lines import Pieces
from audit.dimensions.raster_lone_dots import with_lone_dots
from audit.geometry import Point
from audit.networks.page import Terminator

PX = 3.0  # of the ink to a pt
LINES = [((x, 20.0), (x, 62.0)) for x in (50.0, 80.0, 110.0)]
HEADS = ((50.0, 60.0, 180.0), (110.0, 60.0, 0.0))  # bodies outside


def ink_with(*, blots=((80.0, 60.0, 1.8),), lines=LINES, more=()):
    dark = np.zeros((400, 500), np.uint8)
    for line in (*lines, *more):
        a, b = (tuple(round(v * PX) for v in p) for p in line)
        cv2.line(dark, a, b, 255, 3)
    for x, y, radius in blots:
        cv2.circle(dark, (round(x * PX), round(y * PX)), round(radius * PX), 255, -1)
    return dark.astype(np.float32) / 255.0


def seen(*, heads=HEADS, lines=LINES, known=(), dark=None):
    """Return what is added or set anew, pt."""
    tips = [Terminator(point=Point(x * PX, y * PX), direction=d, score=0.8) for x, y, d in heads]
    tips += known
    ends = np.array([[*a, *b] for a, b in lines]) * PX
    strokes = Pieces(ends, np.full(len(ends), 3.0))
    found = with_lone_dots(tips, strokes, ink_with() if dark is None else dark, px_per_pt=PX)
    return [t for t in found if t not in tips], found


def places(**of):
    return [(t.point.x / PX, t.point.y / PX) for t in seen(**of)[0]]


def test_a_blot_on_a_line_between_two_heads_is_a_dot():
    [(x, y)] = places()
    assert (x, y) == pytest.approx((80.0, 60.0), abs=0.5)


def test_a_dot_at_the_very_end_of_its_line_and_one_off_the_row_are_seen():
    short = [LINES[0], ((80.0, 20.0), (80.0, 60.0)), LINES[2]]
    assert len(places(lines=short, dark=ink_with(lines=short))) == 1
    [(_, y)] = places(dark=ink_with(blots=[(80.0, 61.0, 1.8)]))
    assert y == pytest.approx(61.0, abs=0.5)


def test_every_line_of_a_longer_chain_may_have_its_dot():
    lines = [((x, 20.0), (x, 62.0)) for x in (50.0, 70.0, 90.0, 110.0)]
    dark = ink_with(lines=lines, blots=[(70.0, 60.0, 1.8), (90.0, 60.0, 1.8)])
    assert [round(x) for x, _ in places(lines=lines, dark=dark)] == [70, 90]


def test_a_row_that_runs_up_the_sheet_is_seen_as_well():
    lines = [(a[::-1], b[::-1]) for a, b in LINES]
    heads = [(60.0, 50.0, 90.0), (60.0, 110.0, 270.0)]
    dark = ink_with(lines=lines, blots=[(60.0, 80.0, 1.8)])
    assert len(places(lines=lines, heads=heads, dark=dark)) == 1


@pytest.mark.parametrize(
    "of",
    [
        {"dark": ink_with(blots=[])},
        {"dark": ink_with(blots=[(80.0, 60.0, 4.5)])},
        {"dark": ink_with(blots=[], more=[((80.0, 60.0), (84.0, 60.0))])},
        {"dark": ink_with(blots=[], more=[((60.0, 60.0), (100.0, 60.0))])},
        {"dark": ink_with(blots=[(80.0, 40.0, 1.8)])},
        {"heads": [(50.0, 60.0, 0.0), (110.0, 60.0, 180.0)]},
        {"heads": HEADS[:1]},
        {"heads": [HEADS[0], (110.0, 80.0, 0.0)]},
        {"lines": [LINES[0], LINES[2]]},
        {"lines": [LINES[0], ((80.0, 54.0), (80.0, 62.0)), LINES[2]]},
    ],
    ids=[
        "plain line",
        "hole",
        "to one side",
        "a line crosses",
        "elsewhere",
        "heads inside",
        "one head",
        "not in line",
        "no line",
        "a figure",
    ],
)
def test_what_is_no_dot_between_two_heads_is_left_as_it_is(of):
    assert places(**of) == []


def test_a_dot_takes_the_place_of_a_weak_one_and_leaves_sure_ones_and_heads():
    weak = Terminator(point=Point(80.5 * PX, 60.0 * PX), direction=None, score=0.2)
    added, found = seen(known=[weak])
    assert len(added) == 1
    assert weak not in found
    for other in (replace(weak, score=0.9), replace(weak, direction=180.0)):
        assert seen(known=[other])[0] == []
