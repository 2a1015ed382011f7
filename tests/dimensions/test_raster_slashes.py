"""Slashes told along their line by the way they lean, on lines and ink made by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import cv2
import numpy as np
import pytest

from audit.dimensions.ink import Line
from audit.dimensions.raster_aiming import aim_along_runs
from audit.dimensions.raster_slashes import aim_by_slash, lean_of, slash_habit
from audit.dimensions.terminators import Mark, MarkKind
from audit.geometry import Point
from tests.dimensions.raster_builder import PX, ink_of, maps_of, text_at

LEVEL, UPRIGHT = Line(200.0, 150.0, 1.0, 0.0), Line(200.0, 150.0, 0.0, 1.0)
MIDDLE = Point(200.0, 150.0)
SIZES = [  # each from mark to mark, and where its number stands
    ((100, 40), (300, 40), (200, 34)),
    ((100, 60), (200, 60), (150, 54)),
    ((200, 60), (300, 60), (250, 54)),
    ((70, 80), (70, 200), (62, 140)),
    ((330, 80), (330, 200), (338, 140)),
    ((100, 90), (100, 230), (92, 160)),
    ((300, 90), (300, 230), (308, 160)),
    ((140, 245), (260, 245), (200, 237)),
]
BASE = ((100, 230), (300, 230))  # two of the sizes end on it: drawn from slash to slash
FEET = ((100, 230), (300, 230))  # of which it would be a dimension line as well
REACH = 4.2  # half of a slash, pt


def stroke(dark, a, b, width=2):
    cv2.line(dark, *(tuple(round(v * PX) for v in p) for p in (a, b)), 255, width)


def slash(dark, p, turn, reach=REACH):
    """A slash at an angle, degrees counter-clockwise as seen."""
    u = reach * math.cos(math.radians(turn)), -reach * math.sin(math.radians(turn))
    stroke(dark, (p[0] - u[0], p[1] - u[1]), (p[0] + u[0], p[1] + u[1]), 4)


def seen(*turns, line=LEVEL, reach=REACH):
    def draw(dark):
        stroke(dark, (150, 150), (250, 150))
        stroke(dark, (200, 100), (200, 200))
        for turn in turns:
            slash(dark, MIDDLE, turn, reach)

    return lean_of(line, MIDDLE, maps_of(draw), px_per_pt=PX)


def aimed(lean_of_upright):
    """Directions of the marks on the feet of the sizes, slashes of upright ones lying so."""

    def draw(dark):
        for a, b, _ in SIZES:
            stroke(dark, a, b)
            for p in (a, b):
                slash(dark, p, 45.0 if a[1] == b[1] else lean_of_upright)
        stroke(dark, *BASE)

    lines = [*((a, b) for a, b, _ in SIZES), BASE]
    places = sorted({p for a, b, _ in SIZES for p in (a, b)})
    texts = [
        text_at("8", at, angle=0.0 if a[1] == b[1] else 90.0, height=7.0) for a, b, at in SIZES
    ]
    marks = [Mark(kind=MarkKind.DOT, point=Point(*p), size=4) for p in places]
    maps = maps_of(draw)
    called = np.zeros_like(maps.line)  # the network takes the base for a dimension line
    cv2.line(called, *(tuple(round(v * PX / 2) for v in p) for p in BASE), 255, 2)
    found = aim_along_runs(ink_of(lines), marks, texts, replace(maps, line=called), px_per_pt=PX)
    by_place = dict(zip(places, found, strict=True))
    return [(abs(round(by_place[p].ux)), abs(round(by_place[p].uy))) for p in FEET]


@pytest.mark.parametrize("turn", [38.0, 45.0, 52.0])
def test_a_slash_leans_one_way_to_a_level_line_and_the_other_way_to_an_upright_one(turn):
    assert (seen(turn), seen(turn, line=UPRIGHT)) == (1, -1)
    assert (seen(-turn), seen(-turn, line=UPRIGHT)) == (-1, 1)


def test_a_cross_a_dot_and_nothing_lean_no_way():
    assert (seen(45.0, -45.0), seen(45.0, reach=1.5), seen()) == (0, 0, 0)


def test_a_line_that_only_ends_at_a_place_is_no_slash():
    def draw(dark):
        stroke(dark, MIDDLE, (210, 140))

    assert lean_of(LEVEL, MIDDLE, maps_of(draw), px_per_pt=PX) == 0


def test_slashes_that_are_turned_with_their_line_tell_an_extension_line():
    assert aimed(135.0) == [(0, 1)] * 2


def test_slashes_that_lie_one_way_on_all_of_a_sheet_tell_nothing():
    assert aimed(45.0) == [(1, 0)] * 2


def test_a_few_slashes_are_no_habit():
    assert slash_habit([(LEVEL, 1)] * 3 + [(UPRIGHT, 1)] * 9) == 0
    assert slash_habit([(LEVEL, -1)] * 4 + [(UPRIGHT, -1)] * 4) == -1


def test_slashes_that_lean_as_they_please_are_no_habit():
    assert slash_habit([(LEVEL, 1)] * 5 + [(LEVEL, -1)] * 4 + [(UPRIGHT, 1)] * 9) == 0


@pytest.mark.parametrize(
    ("turn", "habit", "along"),
    [(135.0, 1, (0, 1)), (45.0, 1, (1, 0)), (45.0, -1, (0, 1))],
    ids=["of an upright line", "of a level line", "another habit"],
)
def test_a_slash_measures_along_the_line_it_leans_to_as_those_of_its_sheet(turn, habit, along):
    def draw(dark):
        for line in lines:
            stroke(dark, *line)
        slash(dark, MIDDLE, turn)

    lines = [((150, 150), (208, 150)), ((200, 130), (200, 158))]
    mark = Mark(kind=MarkKind.TICK, point=MIDDLE, size=8.0)
    found = aim_by_slash(ink_of(lines), mark, maps_of(draw), px_per_pt=PX, habit=habit)
    assert (abs(found.ux), abs(found.uy)) == along


def test_a_slash_on_one_line_only_is_left_as_it_is():
    line = ((150, 150), (208, 150))

    def draw(dark):
        stroke(dark, *line)
        slash(dark, MIDDLE, 45.0)

    mark = Mark(kind=MarkKind.TICK, point=MIDDLE, size=8.0)
    assert aim_by_slash(ink_of([line]), mark, maps_of(draw), px_per_pt=PX, habit=1) == mark
