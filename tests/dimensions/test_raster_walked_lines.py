"""Lines by hand that bow, with marks at their ends, on strokes and ink by hand."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from audit.dimensions.raster_walked_lines import find_walked_lines
from audit.dimensions.terminators import Mark, MarkKind
from audit.geometry import Point
from tests.dimensions.raster_builder import PX, ink_of, maps_of, text_at

Y, BOW = 100.0, 5.0
X = np.linspace(60.0, 260.0, 60)
LINE = np.column_stack([X, Y + BOW * np.sin((X - 60.0) / 200.0 * np.pi)])
ACROSS = [((x, 60.0), (x, 106.0)) for x in (60.0, 260.0)]
NUMBER = text_at("7 1/2", (160.0, Y + BOW - 6.0))


def tick(x, ux=1.0, uy=0.0):
    return Mark(kind=MarkKind.TICK, point=Point(x, Y), ux=ux, uy=uy, size=6.0)


def head(x, ux):
    return Mark(kind=MarkKind.FILLED, point=Point(x, Y), ux=ux, uy=0.0, size=6.0)


def walked(marks, *, waver=0.15, number=NUMBER, others=()):
    """What is found; the bowed line is traced in chords."""

    def draw(dark):
        for line in (LINE, *ACROSS):
            cv2.polylines(dark, [np.round(np.array(line) * PX).astype(np.int32)], False, 255, 2)
        for text in (number, *others):
            x, y = (round(v * PX) for v in text.line.centre)
            cv2.rectangle(dark, (x - 15, y - 9), (x + 15, y + 9), 255, -1)  # its own ink

    ink = ink_of([*((LINE[k], LINE[k + 11]) for k in (0, 12, 24, 36, 48)), *ACROSS])
    ink.waver = waver
    return find_walked_lines(ink, marks, [number, *others], maps_of(draw), px_per_pt=PX)


def found(marks, **how):
    """Ends of what is found."""
    return [sorted(round(e.point.x) for e in c.ends) for c in walked(marks, **how)]


@pytest.mark.parametrize("marks", [(tick(60.0), tick(260.0)), (head(60.0, -1.0), head(260.0, 1.0))])
def test_a_line_that_bows_ends_at_its_marks(marks):
    assert found(marks) == [[60, 260]]


def test_heads_that_point_at_each_other_end_nothing_between_them():
    assert found((head(60.0, 1.0), head(260.0, -1.0))) == []


def test_ticks_that_measure_along_other_lines_end_nothing():
    assert found((tick(60.0, 0.0, 1.0), tick(260.0, 0.0, 1.0))) == []


def test_one_tick_may_have_been_taken_for_another_lines():
    assert found((tick(60.0, 0.0, 1.0), tick(260.0))) == [[60, 260]]


def test_but_not_where_the_number_is_off_the_middle():
    off = text_at("7 1/2", (110.0, Y - 6.0))
    assert found((tick(60.0), tick(260.0)), number=off) == [[60, 260]]
    assert found((tick(60.0, 0.0, 1.0), tick(260.0)), number=off) == []


def test_a_head_and_a_tick_end_no_size_together():
    assert found((tick(60.0), head(260.0, 1.0))) == []


def test_lines_of_a_machine_do_not_bow():
    assert found((tick(60.0), tick(260.0)), waver=0.0) == []


def test_the_ink_of_a_number_in_a_line_is_not_the_lines_whichever_number_leads_to_it():
    inside = text_at("7 1/2", (160.0, Y + BOW / 2))
    beside = text_at("3", (110.0, Y - 6.0))
    (made,) = walked((tick(60.0), tick(260.0)), number=beside, others=[inside])
    (place,) = made.places
    low, high = (place.line.place(inside.line.quad[k])[0] for k in (0, 1))
    assert all(b <= low + 0.1 or a >= high - 0.1 for a, b in place.ink)
