"""A stroke by itself is asked about as a 1 where it is as high as the figures around."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest

from audit.geometry import Box
from audit.reading.lone_strokes import ASKED, hear_lone_strokes, is_between_lines, is_stroke
from audit.reading.near import TextSpot
from audit.records import Candidate, ReadBy


def said(text, confidence):
    return (Candidate(text=text, confidence=confidence, by=ReadBy.NET),)


def crop(*lines, size=(48, 40)):
    drawn = np.full(size, 240, np.uint8)
    for a, b in lines:
        cv2.line(drawn, a, b, (20,), 3, cv2.LINE_AA)
    return drawn


LEVEL, LEANS = ((20, 6), (20, 42)), ((24, 6), (16, 42))
FLAG, SERIF = ((20, 6), (13, 14)), ((14, 42), (26, 42))


@pytest.mark.parametrize("lines", [[LEVEL], [LEANS], [LEVEL, FLAG], [LEVEL, FLAG, SERIF]])
def test_a_one_is_a_stroke(lines):
    assert is_stroke(crop(*lines))


@pytest.mark.parametrize(
    "lines",
    [
        [],
        [((20, 0), (20, 47))],  # runs out of the crop: a line
        [((6, 24), (34, 24))],  # a dash
        [((8, 6), (32, 6)), ((32, 6), (16, 42))],  # a 7
        [((10, 6), (10, 28)), ((10, 28), (32, 28)), ((28, 6), (28, 42))],  # a 4
        [LEVEL, ((30, 6), (30, 42))],  # two strokes
        [((16, 6), (24, 18)), ((24, 18), (16, 30)), ((16, 30), (24, 42))],  # a break line
        [((36, 6), (6, 42))],  # a slash
    ],
)
def test_other_marks_are_no_stroke(lines):
    assert not is_stroke(crop(*lines))


def spots(height):
    """Three sure sizes 36 px high, and a stroke."""
    known = TextSpot(box=Box(0, 0, 90, 36), angle=0.0, distance=0.0, crop=crop(), height=36.0)
    lone = TextSpot(box=Box(0, 0, 4, 36), angle=0.0, distance=0.0, crop=crop(LEVEL), height=height)
    return [known, known, known, lone]


SURE = [said("3/4", 0.99)] * 3


def beside(*lines, stroke=LEVEL):
    """A stroke in the gap of a level line, or beside something else."""
    shift = 40
    moved = [((a[0] + shift, a[1]), (b[0] + shift, b[1])) for a, b in (stroke, *lines)]
    return crop(*moved, size=(48, 120))


BEFORE, BEHIND = ((-40, 24), (6, 24)), ((34, 24), (80, 24))


@pytest.mark.parametrize("stroke", [LEVEL, LEANS])
def test_a_stroke_in_the_gap_of_its_line_is_a_1(stroke):
    assert is_between_lines(beside(BEFORE, BEHIND, stroke=stroke))
    first = spots(36.0)[3]
    whole = [*spots(36.0)[:3], replace(first, wider=beside(BEFORE, BEHIND, stroke=stroke))]
    heard = hear_lone_strokes(whole, [*SURE, said("1", 0.4)])[3]
    assert heard[0].text == "1"
    assert heard[0].confidence > 0.9


@pytest.mark.parametrize(
    "lines",
    [
        [BEFORE],  # the end of a line only
        [BEFORE, ((22, 24), (80, 24))],  # a line that ends at the stroke: a tick, an outline
        [BEFORE, ((34, 8), (80, 8))],  # a line elsewhere
        [BEFORE, ((34, 8), (34, 18))],  # a foot mark
        [BEFORE, BEHIND, ((30, 6), (30, 42))],  # another stroke
    ],
)
def test_a_stroke_beside_other_ink_stays_asked(lines):
    assert not is_between_lines(beside(*lines))
    whole = [*spots(36.0)[:3], replace(spots(36.0)[3], wider=beside(*lines))]
    assert hear_lone_strokes(whole, [*SURE, ()])[3][0].confidence == ASKED


def test_fractions_do_not_tell_how_high_a_1_is_where_plain_sizes_do():
    """Stacked ones are twice as high."""
    stacked = [replace(s, height=80.0) for s in spots(36.0)[:3]]
    known = [*spots(36.0)[:3], *stacked, *stacked, spots(36.0)[3]]
    votes = [*[said("34", 0.99)] * 3, *SURE, *SURE, ()]
    assert hear_lone_strokes(known, votes)[-1][0].text == "1"


@pytest.mark.parametrize("first", [(), said("1", 0.2), said("7", 0.3)])
def test_a_stroke_as_high_as_the_figures_is_asked_as_a_1(first):
    heard = hear_lone_strokes(spots(36.0), [*SURE, first])
    assert heard[:3] == SURE
    assert (heard[3][0].text, heard[3][0].confidence) == ("1", ASKED)


@pytest.mark.parametrize(
    ("height", "first"), [(20.0, ()), (80.0, ()), (36.0, said("1", 0.95)), (36.0, said("I", 0.8))]
)
def test_what_is_read_or_not_so_high_stays(height, first):
    assert hear_lone_strokes(spots(height), [*SURE, first])[3] == first


def test_without_other_sizes_nothing_tells_how_high_a_1_is():
    assert hear_lone_strokes(spots(36.0)[3:], [()]) == [()]
