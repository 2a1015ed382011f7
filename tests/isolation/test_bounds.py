"""Hostile coordinates are cut; honest ones come back bit for bit."""

from __future__ import annotations

import math

import numpy as np
import pytest
from ezdxf.math import Vec2
from ezdxf.math.clipping import ClippingRect2d
from hypothesis import given
from hypothesis import strategies as st

from audit.geometry import Box, Point
from audit.isolation import bounds
from audit.isolation.bounds import bound_page, cut_lines
from audit.records import Arc, Fill, Fills, Glyphs, Stroke, Strokes, VectorPage

ROOM = Box(-100.0, -100.0, 200.0, 200.0)  # a page of 100 pt and as much around it
SOME = st.floats(-1e4, 1e4)
HUGE = 2147483647.0


def stroke(x0, y0, x1, y1):
    return Stroke(a=Point(x0, y0), b=Point(x1, y1), width=1.0, path=1)


def page(**parts):
    return VectorPage(width=100.0, height=100.0, turn=0, **parts)


def glyphs(*, size=9.0, x=10.0):
    box = Box(x, 10.0, x + size, 10.0 + size)
    quad = (Point(x, 10.0), Point(x + size, 10.0), Point(x + size, 19.0), Point(x, 19.0))
    return Glyphs(
        text="4", origin=Point(x, 19.0), angle=0.0, size=size, font="F", quad=quad,
        chars=(("4", box),), visible=True, trusted=True,
    )  # fmt: skip


@given(st.tuples(SOME, SOME, SOME, SOME))
def test_a_line_is_cut_where_ezdxf_cuts_it(line):
    """Against ezdxf's clipping rectangle: an independent clipper."""
    cut, inside = cut_lines(np.array([line]), np.array([ROOM]))
    other = ClippingRect2d(Vec2(-100, -100), Vec2(200, 200)).clip_line(
        Vec2(line[:2]), Vec2(line[2:])
    )
    length = math.dist(cut[0, :2], cut[0, 2:]) if inside[0] else 0.0
    assert length == pytest.approx(sum(a.distance(b) for a, b in other), abs=1e-6)


def test_honest_lines_come_back_bit_for_bit():
    ends = np.random.default_rng(3).uniform(-99, 199, (500, 4))
    cut, inside = cut_lines(ends, np.array([ROOM]))
    assert inside.all()
    assert (cut == ends).all()
    assert bound_page(page(strokes=Strokes.of([stroke(1, 2, 3, 4)]))).strokes[0] == stroke(
        1, 2, 3, 4
    )


def test_a_line_to_the_end_of_the_numbers_ends_beside_the_page():
    bounded = bound_page(
        page(strokes=Strokes.of([stroke(0, 50, HUGE, 50), stroke(HUGE, 0, HUGE, 9)]))
    )
    assert [s.b.x for s in bounded.strokes] == [200.0]
    assert not bounded.truncated


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
def test_what_is_not_finite_is_dropped(bad):
    arc = Arc(centre=Point(bad, 5), radius=3.0, start=0.0, sweep=90.0, width=1.0, path=1)
    fill = Fill(points=(Point(0, 0), Point(9, bad), Point(9, 9)), box=Box(0, 0, 9, 9), path=1)
    bounded = bound_page(
        page(
            strokes=Strokes.of([stroke(0, 0, bad, 1), stroke(0, 0, 9, 9)]),
            arcs=(arc,),
            fills=Fills.of([fill]),
            texts=(glyphs(size=bad), glyphs()),
            images=(Box(0, 0, bad, 1),),
        )
    )
    assert len(bounded.strokes) == 1
    assert (len(bounded.arcs), len(bounded.fills), len(bounded.images)) == (0, 0, 0)
    assert len(bounded.texts) == 1


def test_fills_and_texts_off_the_page_are_dropped_and_large_fills_pulled_in():
    off = Fill(
        points=(Point(900, 0), Point(909, 0), Point(909, 9)), box=Box(900, 0, 909, 9), path=1
    )
    large = Fill(
        points=(Point(0, 0), Point(HUGE, 0), Point(0, HUGE)), box=Box(0, 0, HUGE, HUGE), path=2
    )
    bounded = bound_page(page(fills=Fills.of([off, large]), texts=(glyphs(x=9e8),)))
    (kept,) = bounded.fills
    assert max(max(p) for p in kept.points) == 200.0
    assert bounded.texts == ()


def test_more_ink_than_any_sheet_has_is_left_out_and_said(monkeypatch):
    monkeypatch.setattr(bounds, "MAX_INK_PT", 250.0)
    bounded = bound_page(page(strokes=Strokes.of([stroke(0, y, 100, y) for y in range(5)])))
    assert len(bounded.strokes) == 2
    assert bounded.truncated
