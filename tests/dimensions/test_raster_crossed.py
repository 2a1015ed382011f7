"""Dimension lines without heads that run past what they end on, on strokes and maps by hand."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest

from audit.dimensions.raster_crossed import find_crossed
from audit.dimensions.terminators import Mark, MarkKind
from audit.geometry import Point
from tests.dimensions.raster_builder import PX, ink_of, maps_of, text_at

Y = 100.0
HALVES = [((54.0, Y), (140.0, Y)), ((180.0, Y), (266.0, Y))]  # broken for a number at 160
ACROSS = [((x, 60.0), (x, 106.0)) for x in (60.0, 260.0)]
NUMBER = text_at("28", (160.0, Y))


def head(x, ux, *, sure=0.9):
    return Mark(kind=MarkKind.FILLED, point=Point(x, Y), ux=ux, uy=0.0, size=6.0, sure=sure)


def found(
    *,
    lines=HALVES,
    across=ACROSS,
    numbers=(NUMBER,),
    marks=(),
    called=255,
    blots=(),
    unsure=1.0,
    untraced=(),
):
    """What is found; the network calls a share of the sheet's columns, `unsure`, a line."""

    def draw(dark):
        for line in (*lines, *across, *untraced):
            a, b = (tuple(round(v * PX) for v in p) for p in line)
            cv2.line(dark, a, b, 255, 2)
        for x in blots:
            cv2.circle(dark, (round(x * PX), round(Y * PX)), 7, 255, -1)

    maps = maps_of(draw)
    line = np.full_like(maps.line, called)
    line[:, np.arange(line.shape[1]) % 10 >= 10 * unsure] = 0
    maps = replace(maps, line=line)
    return find_crossed(ink_of([*lines, *across]), marks, list(numbers), maps, px_per_pt=PX)


def ends_of(candidates, which="x"):
    return sorted(sorted(round(getattr(e.point, which)) for e in c.ends) for c in candidates)


def test_a_line_without_heads_ends_where_it_crosses():
    assert ends_of(found()) == [[60, 260]]


def test_an_upright_line_is_broken_for_a_level_number():
    upright = [((Y, 54.0), (Y, 145.0)), ((Y, 175.0), (Y, 266.0))]
    across = [((60.0, y), (106.0, y)) for y in (60.0, 260.0)]
    number = text_at("28", (Y, 160.0))
    assert ends_of(found(lines=upright, across=across, numbers=[number]), "y") == [[60, 260]]


def test_a_number_on_an_unbroken_line_ends_there_too():
    whole = [((54.0, Y), (266.0, Y))]
    assert ends_of(found(lines=whole, numbers=[text_at("28", (160.0, Y - 8.0))])) == [[60, 260]]


def test_each_number_of_a_chain_lies_between_the_crossings_next_to_it():
    links = [*HALVES, ((260.0, Y), (330.0, Y)), ((370.0, Y), (446.0, Y))]
    across = [*ACROSS, ((440.0, 60.0), (440.0, 106.0))]
    numbers = [NUMBER, text_at("25", (350.0, Y))]
    ends = ends_of(found(lines=links, across=across, numbers=numbers))
    assert ends == [[60, 260], [260, 440]]


def test_both_halves_of_a_line_on_warped_paper_find_their_ends():
    bent = [((54.0, Y + 1.5), (140.0, Y)), ((180.0, Y), (266.0, Y + 1.5))]
    assert ends_of(found(lines=bent)) == [[60, 260]]


def test_a_slanting_edge_ends_a_line_only_where_that_stops():
    slanting = [ACROSS[0], ((240.0, 70.0), (280.0, 130.0))]
    assert ends_of(found(across=slanting)) == [[60, 260]]
    between = [*ACROSS, ((205.0, 70.0), (245.0, 130.0))]
    assert ends_of(found(across=between)) == [[60, 260]]


BEHIND = text_at(".312", (160.0, Y))
SHORT = [((x, 60.0), (x, 106.0)) for x in (100.0, 116.0)]
THROUGH = [((90.0, Y), (146.0, Y))]
TAILS = [((90.0, Y), (104.0, Y)), ((112.0, Y), (146.0, Y))]


@pytest.mark.parametrize("lines", [THROUGH, TAILS], ids=["through", "tails alone"])
def test_a_short_line_leads_to_a_number_behind_both_ends(lines):
    assert ends_of(found(lines=lines, across=SHORT, numbers=[BEHIND])) == [[100, 116]]


@pytest.mark.parametrize(
    "other",
    [
        {"across": [*SHORT, ((130.0, 60.0), (130.0, 106.0))]},  # which two of three?
        {"across": SHORT[:1]},
        {"lines": [((40.0, Y), (146.0, Y))]},  # runs on
        {"lines": [((90.0, Y), (104.0, Y)), TAILS[1], ((174.0, Y), (200.0, Y))]},  # and beyond it
        {"called": 100},  # a leader to the network
    ],
)
def test_a_line_that_leads_to_a_number_otherwise_is_no_size(other):
    assert found(**{"lines": THROUGH, "across": SHORT, "numbers": [BEHIND]} | other) == []


def test_the_last_dash_of_a_centre_line_ends_a_line_that_stops_there():
    dashed = [ACROSS[0], ((260.0, 40.0), (260.0, 86.0)), ((260.0, 92.0), (260.0, 96.5))]
    assert ends_of(found(across=dashed)) == [[60, 260]]


def test_on_a_sheet_with_arrowheads_only_a_line_that_stops_at_its_ends_is_a_size():
    heads = [head(500.0 + k, 1.0) for k in range(8)]
    stops = [((60.0, Y), (140.0, Y)), ((180.0, Y), (260.0, Y))]
    assert ends_of(found(lines=stops, marks=heads)) == [[60, 260]]
    assert found(marks=heads) == []
    assert found(lines=THROUGH, across=SHORT, numbers=[BEHIND], marks=heads) == []
    assert found(lines=stops, marks=heads, untraced=[((260.0, Y), (330.0, Y))]) == []


def test_edges_just_inside_its_ends_lead_no_line_of_a_sheet_with_arrowheads_astray():
    heads = [head(500.0 + k, 1.0) for k in range(8)]
    stops = [((60.0, Y), (140.0, Y)), ((180.0, Y), (260.0, Y))]
    across = [((x, 60.0), (x, 160.0)) for x in (60.0, 64.0, 256.0, 260.0)]
    assert ends_of(found(lines=stops, across=across, marks=heads)) == [[60, 260]]
    wider = [((x, 60.0), (x, 160.0)) for x in (60.0, 72.0, 248.0, 260.0)]
    assert found(lines=stops, across=wider, marks=heads) == []


def test_a_line_with_an_arrowhead_at_one_end_alone_is_that_of_another_size():
    """An arrowhead outside points at one end, and a rule's tick lies in line behind the number."""
    heads = [head(500.0 + k, 1.0) for k in range(8)]
    stops = [((60.0, Y), (140.0, Y)), ((180.0, Y), (260.0, Y))]
    one, two = head(60.0, -1.0), head(260.0, 1.0)
    assert found(lines=stops, marks=[*heads, one]) == []
    assert ends_of(found(lines=stops, marks=[*heads, one, two])) == [[60, 260]]


@pytest.mark.parametrize(("past", "ends"), [(106.0, [[60, 260]]), (140.0, []), (100.0, [])])
def test_a_number_on_a_line_of_which_the_network_is_not_sure_needs_extension_lines(past, ends):
    """They run just past it; what an edge or a rule ends on runs far past it, or not at all."""
    across = [((x, 60.0), (x, past)) for x in (60.0, 260.0)]
    whole, number = [((54.0, Y), (266.0, Y))], text_at("28", (160.0, Y - 8.0))
    assert ends_of(found(lines=whole, across=across, numbers=[number], unsure=0.4)) == ends


def test_a_drawn_mark_says_more_than_a_crossing():
    mark = Mark(kind=MarkKind.DOT, point=Point(60.0, Y), size=4.0, sure=0.9)
    (bare,), (marked,) = found(marks=[mark]), found(marks=[mark], blots=[60.0])
    assert marked.strength < bare.strength


@pytest.mark.parametrize(
    "other",
    [
        {"across": ACROSS[1:]},  # nothing at one end
        {"across": [((x, 60.0), (x, 106.0)) for x in (100.0, 220.0)]},  # runs on behind them
        {"numbers": [text_at("28", (160.0, 140.0))]},  # no number
        {"lines": [((54.0, Y), (90.0, Y)), ((130.0, Y), (266.0, Y))],
         "numbers": [text_at("28", (110.0, Y))]},  # off the middle
        {"called": 0},  # an edge to the network
        {"marks": [head(130.0, 1.0)]},  # a link of a chain ends before
        {"marks": [head(500.0 + k, 1.0) for k in range(8)]},  # the sheet has arrowheads
    ],
)  # fmt: skip
def test_a_crossing_that_leaves_doubt_ends_nothing(other):
    assert found(**other) == []
