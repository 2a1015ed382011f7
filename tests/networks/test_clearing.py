"""Crops cut with room around, lines and arrowheads of the drawing in them, drawn by MuPDF."""

from __future__ import annotations

import numpy as np
import pytest

from audit.networks.clearing import clear_edges
from audit.networks.reader import read_crops
from tests.snapping.drawn import new_page, render

ROOM = 24  # px around the text


def dimension_line(page, right):
    page.draw_line((60, 84), (right + 30, 84), width=0.5)


def leader_askew(page, right):
    page.draw_line((right + 3, 66), (right + 5, 100), width=0.5)


def arrowhead(page, right):
    y, x = 76, right + 3
    page.draw_line((x, y), (x + 40, y), width=0.5)
    page.draw_polyline([(x, y), (x + 8, y - 1.5), (x + 8, y + 1.5)], fill=(0, 0, 0), width=0.1)


def circle(page, right):
    page.draw_circle((right + 33, 76), 30, width=0.7)


def frame(page, right):
    page.draw_rect((76, 68, right + 4, 84), width=0.6)


def line_above(page, _):
    page.insert_text((80, 69), "888888", fontsize=11)


ALL = (dimension_line, leader_askew, arrowhead, circle, frame, line_above)


def crop_of(text: str, *drawn, room: int = ROOM) -> np.ndarray:
    page = new_page()
    page.insert_text((80, 80), text, fontsize=11)
    gray = render(page, 300).gray
    rows, columns = np.nonzero(gray < 128)
    for draw in drawn:
        draw(page, columns.max() * 72 / 300)
    gray = render(page, 300).gray
    return gray[
        rows.min() - room : rows.max() + room + 1, columns.min() - room : columns.max() + room + 1
    ].copy()


@pytest.mark.parametrize("draw", ALL)
@pytest.mark.parametrize("text", ["2.375", "R25 (TYP)"])
def test_what_comes_in_over_the_edge_goes_and_the_text_stays(draw, text):
    bare, drawn = crop_of(text) < 100, crop_of(text, draw)
    cleared = clear_edges(drawn)
    assert cleared is not None
    left = cleared.picture < 100
    assert (bare & ~left).sum() <= 0.02 * bare.sum()
    assert (left & ~bare).sum() <= 0.1 * ((drawn < 100) & ~bare).sum()


@pytest.mark.parametrize("text", ["12,5", "4X R 3/8", "[17]", "1.1", "R25 (TYP)"])
def test_text_alone_is_left_as_it_is(text):
    assert clear_edges(crop_of(text)) is None


@pytest.mark.parametrize("text", ["117", "LL 1/4", "E5"])
def test_a_crop_cut_through_its_letters_loses_none(text):
    drawn = crop_of(text, room=0)
    cleared = clear_edges(drawn)
    assert cleared is None or (cleared.picture < 100).sum() > 0.98 * (drawn < 100).sum()


def test_what_may_have_been_a_mark_is_told():
    def through_the_mark(page, right):
        page.draw_line((right - 1, 40), (right - 1, 110), width=0.5)

    cleared = clear_edges(crop_of('4"', through_the_mark))
    assert cleared is not None
    assert cleared.crossed
    assert not cleared.safe


def test_two_lines_of_text_are_read_beside_an_arc():
    def second_line(page, _):
        page.insert_text((80, 92), "TYP", fontsize=11)
        page.draw_circle((80 + 25 + 40, 84), 40, width=0.7)

    drawn = crop_of("R2", second_line, room=56)
    ((first, *_),) = read_crops([drawn])
    assert first.text == "R2 TYP"


def test_nothing_is_made_of_blank_and_tiny_crops():
    assert clear_edges(np.full((40, 90), 255, np.uint8)) is None
    assert clear_edges(np.zeros((5, 5), np.uint8)) is None
