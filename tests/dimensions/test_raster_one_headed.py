"""Dimension lines of which one head shows, or none, on strokes and maps made by hand."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest

from audit.dimensions import raster_one_headed
from audit.dimensions.raster_one_headed import find_one_headed
from audit.dimensions.terminators import Mark, MarkKind
from audit.geometry import Point
from tests.dimensions.raster_builder import PX, ink_of, maps_of, text_at

LINE = ((100.0, 60.0), (100.0, 260.0))
ACROSS = [((60.0, y), (110.0, y)) for y in (60.0, 260.0)]
NUMBER = text_at("2 5/8", (118.0, 160.0))


def head(x, y, ux, uy):
    return Mark(
        kind=MarkKind.FILLED, point=Point(x, y), ux=ux, uy=uy, size=6.0, strokes=frozenset()
    )


def found(*, line=LINE, across=ACROSS, marks=(), number=NUMBER, called=255):
    def draw(dark):
        a, b = (tuple(round(v * PX) for v in p) for p in line)
        cv2.line(dark, a, b, 255, 2)

    maps = maps_of(draw)
    maps = replace(maps, line=np.full_like(maps.line, called))
    heads = [head(100.0, 260.0, 0.0, 1.0), *marks]
    return find_one_headed(ink_of([line, *across]), heads, [number], maps, px_per_pt=PX)


def test_a_line_with_one_head_ends_where_it_stops_on_a_line():
    (candidate,) = found()
    assert sorted(e.point.y for e in candidate.ends) == pytest.approx([60.0, 260.0], abs=0.1)


@pytest.mark.parametrize(
    "other",
    [
        {"across": ACROSS[1:]},  # stops on nothing
        {"across": [((60.0, 64.0), (110.0, 64.0)), ACROSS[1]]},  # runs past it
        {"across": [((60.0, 37.0), (140.0, 83.0)), ACROSS[1]]},  # stops on a slanting line
        {"marks": [head(100.0, 60.0, 0.0, -1.0)]},  # has another head there
        {"marks": [head(100.0, 120.0, 0.0, -1.0)]},  # and so has a link of a chain
        {"number": text_at("2 5/8", (118.0, 90.0))},  # carries the number elsewhere
        {"called": 0},  # is an edge to the network
    ],
)
def test_a_line_with_one_head_that_leaves_doubt_is_none(other):
    assert found(**other) == []


def test_a_number_between_a_head_and_a_frame_does_not_lead_the_line_there():
    tail = ((100.0, 238.0), (100.0, 260.0))
    number = text_at("4 3/4", (100.0, 210.0), angle=90.0, height=12.0)
    frame = ((60.0, 177.0), (140.0, 177.0))
    assert found(line=tail, across=[frame, ACROSS[1]], number=number) == []


def headless(
    *, stop=60.0, called=255, marks=(), at=160.0, more=(), across=ACROSS, untraced=(), first=()
):
    """What is found of a line broken for a number, without its heads."""
    halves = [((100.0, stop), (100.0, at - 14)), ((100.0, at + 14), (100.0, 260.0))]
    halves = [*first, *halves, *more]

    def draw(dark):
        for line in (*halves, *untraced):
            a, b = (tuple(round(v * PX) for v in p) for p in line)
            cv2.line(dark, a, b, 255, 2)

    maps = maps_of(draw)
    maps = replace(maps, line=np.full_like(maps.line, called))
    number = text_at("28", (100.0, at))
    return find_one_headed(ink_of([*halves, *across]), marks, [number], maps, px_per_pt=PX)


def test_a_line_broken_for_its_number_ends_where_it_stops_on_lines():
    (candidate, *more) = headless()
    assert not more
    assert sorted(e.point.y for e in candidate.ends) == pytest.approx([60.0, 260.0], abs=0.1)


@pytest.mark.parametrize(
    "other",
    [
        {"stop": 66.0},  # stops short of a line, as grain does
        {"stop": 54.0},  # runs past it
        {"called": 0},
        {"at": 110.0},  # the number is not at its middle
        {"marks": [head(100.0, 60.0, 0.0, -1.0), head(100.0, 260.0, 0.0, 1.0)]},  # both show
    ],
)
def test_a_line_without_heads_that_leaves_doubt_is_none(other):
    assert headless(**other) == []


def test_a_line_ends_on_an_edge_that_only_the_ink_shows():
    # a narrow piece, drawn for 4 pt to either side of the line: too short to be traced
    edge = ((96.0, 58.5), (104.0, 58.5))
    (candidate,) = headless(across=ACROSS[1:], untraced=[edge])
    assert sorted(e.point.y for e in candidate.ends) == pytest.approx([58.5, 260.0], abs=0.4)


@pytest.mark.parametrize(("rows", "least"), [(1, 0.15), (3, 0.3)])
def test_the_wider_the_ink_of_an_edge_the_less_its_place_is_known(rows, least):
    # hatching that meets an edge at the line looks like more of it
    edge = [((96.0, 58.5 + 0.6 * k), (104.0, 58.5 + 0.6 * k)) for k in range(rows)]
    (candidate,) = headless(across=ACROSS[1:], untraced=edge)
    upper = min(candidate.ends, key=lambda e: e.point.y)
    assert least <= upper.sigma < 2.5 * least


def test_a_line_traced_past_an_edge_into_the_hatching_behind_it_ends_on_the_edge():
    edge, hatching = ((95.0, 64.0), (105.0, 64.0)), ((96.0, 58.0), (104.0, 50.0))
    (candidate,) = headless(across=ACROSS[1:], untraced=[edge, hatching])
    assert sorted(e.point.y for e in candidate.ends) == pytest.approx([64.0, 260.0], abs=0.4)


def test_a_line_does_not_run_on_where_grain_goes_on_behind_its_edge():
    (candidate,) = headless(more=[((100.0, 48.0), (100.0, 58.0)), ((100.0, 30.0), (100.0, 45.0))])
    assert sorted(e.point.y for e in candidate.ends) == pytest.approx([60.0, 260.0], abs=0.1)


def test_a_weak_mark_where_grain_crosses_a_line_without_heads_does_not_part_it():
    assert headless(marks=[replace(head(100.0, 120.0, 0.0, -1.0), sure=0.3)])
    assert not headless(marks=[replace(head(100.0, 120.0, 0.0, -1.0), sure=0.8)])


def test_a_line_of_dashes_is_led_on_though_each_of_them_leans():
    # by hand: the dashes beside the number lean half a degree, and miss the others in the end
    dashes = [((99.9, 60.0), (99.9, 90.0)), ((99.95, 93.0), (100.0, 120.0))]
    dashes += [((100.0, 123.0), (100.2, 146.0)), ((99.8, 174.0), (100.0, 197.0))]
    dashes += [((100.05, 200.0), (100.0, 228.0)), ((100.1, 231.0), (100.1, 260.0))]
    ink = ink_of([*dashes, *ACROSS])
    maps = maps_of(lambda dark: cv2.line(dark, (278, 167), (278, 722), 255, 2))
    maps = replace(maps, line=np.full_like(maps.line, 255))
    (candidate,) = find_one_headed(ink, [], [text_at("28", (100.0, 160.0))], maps, px_per_pt=PX)
    assert sorted(e.point.y for e in candidate.ends) == pytest.approx([60.0, 260.0], abs=0.1)


def test_numbers_far_from_a_line_are_not_tried_on_it(monkeypatch):
    """A large sheet has hundreds of heads and as many numbers."""
    tried = []
    monkeypatch.setattr(raster_one_headed, "_parting", lambda _, text: tried.append(text))
    far = [text_at("2 5/8", (300.0 + 40 * k, 160.0)) for k in range(50)]
    maps = maps_of(lambda dark: None)
    heads = [head(100.0, 260.0, 0.0, 1.0)]
    find_one_headed(ink_of([LINE, *ACROSS]), heads, [NUMBER, *far], maps, px_per_pt=PX)
    assert set(map(id, tried)) == {id(NUMBER)}


def test_grain_that_is_left_out_behind_a_number_does_not_hide_its_line():
    grain = [((62.0, 161.0), (85.0, 161.0)), ((115.0, 161.0), (138.0, 161.0))]
    (candidate,) = headless(first=grain)
    assert sorted(e.point.y for e in candidate.ends) == pytest.approx([60.0, 260.0], abs=0.1)


def hatching(*, step):
    return [((80.0, y + 20.0), (120.0, y - 20.0)) for y in np.arange(62.0, 98.0, step)]


def test_a_line_through_hatching_ends_where_its_ink_does():
    """No stroke of it is traced there."""
    through = ((100.0, 60.0), (100.0, 100.0))
    (candidate,) = headless(stop=100.0, untraced=[through, *hatching(step=6.0)])
    assert sorted(e.point.y for e in candidate.ends) == pytest.approx([60.0, 260.0], abs=0.1)
