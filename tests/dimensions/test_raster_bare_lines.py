"""Dimension lines of sheets without any heads, on strokes and ink by hand."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from audit.dimensions.raster_bare_lines import find_bare_lines, is_bare
from audit.dimensions.raster_ink_walks import walk
from audit.geometry import Point
from audit.networks.page import Terminator
from tests.dimensions.raster_builder import PX, ink_of, maps_of, text_at, tip

Y = 100.0
LINE = ((60.0, Y), (260.0, Y))
ACROSS = [((60.0, 60.0), (60.0, 106.0)), ((260.0, 60.0), (260.0, 106.0))]
ON = text_at("7 1/2", (160.0, Y - 6.0))
ELSEWHERE = tuple(text_at("3", (500.0, 40.0 + 30.0 * k)) for k in range(6))


def draw_lines(dark, lines, ink=255):
    for line in lines:
        cv2.polylines(dark, [np.round(np.array(line) * PX).astype(np.int32)], False, ink, 2)


def found(lines, texts, *, faint=(), drawn=None, tips=()):
    """Ends of what is found, rounded; `faint` lines are printed paler, `drawn` is other ink."""

    def draw(dark):
        draw_lines(dark, lines if drawn is None else drawn)
        draw_lines(dark, faint, ink=90)
        for text in texts:
            box = [tuple(round(v * PX) for v in p) for p in (text.line.quad[0], text.line.quad[2])]
            cv2.rectangle(dark, *box, 255, -1)

    numbers = [*texts, *ELSEWHERE]
    ink = ink_of([*lines, *faint])
    candidates = find_bare_lines(ink, tips, numbers, maps_of(draw), px_per_pt=PX)
    return sorted(sorted((round(e.point.x), round(e.point.y)) for e in c.ends) for c in candidates)


def test_a_line_without_heads_ends_on_the_lines_across_it():
    assert found([LINE, *ACROSS], [ON]) == [[(60, 100), (260, 100)]]


def test_a_level_number_stands_beside_an_upright_line():
    upright = [tuple((y, x) for x, y in line) for line in (LINE, *ACROSS)]
    beside = text_at("7 1/2", (Y + 14.0, 160.0))
    assert found(upright, [beside]) == [[(100, 60), (100, 260)]]


def test_a_sheet_with_heads_is_another_matter():
    heads = [tip(60.0 * k, Y, 0.0) for k in range(1, 4)]
    assert found([LINE, *ACROSS], [ON], tips=heads) == []
    assert is_bare(heads[:1], [ON, *ELSEWHERE])


def test_heads_that_a_poor_scan_blurs_are_heads():
    numbers = [ON, *ELSEWHERE]
    blurred = [Terminator(Point(9.0 * k, 9.0), 0.0, 0.7) for k in range(len(numbers))]
    assert not is_bare(blurred, numbers)
    assert is_bare(blurred[::2], numbers)


def test_a_few_numbers_show_no_habit():
    assert not is_bare([], ELSEWHERE[:5])


def test_each_number_of_a_chain_has_its_leg():
    parting = ((180.0, 60.0), (180.0, 106.0))
    numbers = [text_at(text, (x, Y - 6.0)) for text, x in (("4 1/2", 120.0), ("3", 220.0))]
    legs = [[(60, 100), (180, 100)], [(180, 100), (260, 100)]]
    assert found([LINE, *ACROSS, parting], numbers) == legs


def test_what_runs_on_through_a_line_ends_no_leg_of_it():
    through = ((180.0, 60.0), (180.0, 160.0))
    assert found([LINE, *ACROSS, through], [ON]) == [[(60, 100), (260, 100)]]


def test_but_between_two_numbers_it_does():
    through = ((180.0, 60.0), (180.0, 160.0))
    numbers = [text_at(text, (x, Y - 6.0)) for text, x in (("4 1/2", 120.0), ("3", 220.0))]
    legs = [[(60, 100), (180, 100)], [(180, 100), (260, 100)]]
    assert found([LINE, *ACROSS, through], numbers) == legs


def test_printed_squares_end_nothing():
    rules = [((180.0, 80.0), (180.0, 106.0))]
    assert found([LINE, *ACROSS], [ON], faint=rules) == [[(60, 100), (260, 100)]]


def test_of_two_lines_side_by_side_the_inner_one_ends_it():
    double = ((263.5, 60.0), (263.5, 140.0))
    inner = ((260.0, 60.0), (260.0, 140.0))
    assert found([LINE, ACROSS[0], inner, double], [ON]) == [[(60, 100), (260, 100)]]


def test_an_outline_is_no_dimension_line():
    sides = [((60.0, Y), (60.0, 160.0)), ((260.0, Y), (260.0, 160.0))]
    assert found([LINE, *sides], [ON]) == []


def test_a_number_in_line_behind_a_short_size_is_its_own():
    short = [((60.0, Y), (80.0, Y)), *(((x, 60.0), (x, 106.0)) for x in (60.0, 80.0))]
    assert found(short, [text_at("3/4", (112.0, Y))]) == [[(60, 100), (80, 100)]]


def test_a_line_broken_for_its_number_is_one():
    halves = [((60.0, Y), (145.0, Y)), ((175.0, Y), (260.0, Y))]
    assert found([*halves, *ACROSS], [text_at("7 1/2", (160.0, Y))]) == [[(60, 100), (260, 100)]]


def dimension(left, right, y):
    return [((left, y), (right, y)), *(((x, y - 20.0), (x, y + 6.0)) for x in (left, right))]


def test_numbers_stand_on_one_side_of_their_lines():
    levels = [60.0 + 60.0 * k for k in range(5)]
    lines = [line for y in levels for line in dimension(60.0, 260.0, y)]
    above = [text_at("7 1/2", (160.0, y - 6.0)) for y in levels[:-1]]
    between = text_at("7 1/2", (160.0, 293.0))  # nearer to the line that it stands below
    ends = found([*lines, *dimension(100.0, 220.0, 287.0)], [*above, between])
    assert ends[-1] == [(60, 300), (260, 300)]


@pytest.mark.parametrize("bow", [0.0, 4.0])
def test_a_line_is_followed_however_it_bows(bow):
    x = np.linspace(60.0, 260.0, 60)
    y = Y + bow * np.sin((x - 60.0) / 200.0 * np.pi)
    line = np.column_stack([x, y])
    maps = maps_of(lambda dark: draw_lines(dark, [line]))
    piece = ink_of([((150.0, Y + bow), (170.0, Y + bow))])
    walked = walk([(piece.line_of(0), 20.0)], [Point(160.0, Y + bow)], maps, PX)
    assert walked.length == pytest.approx(200.0, abs=2.0)
    assert walked.at(100.0).y == pytest.approx(Y + bow, abs=0.6)
