"""Texts over links narrower than themselves: their extension line looks like a 1."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest

from audit.geometry import Box, Point
from audit.pipeline.struck_texts import doubt_lone_denominators, doubt_struck_ones
from audit.records import Dimension, DimensionKind, End, EndKind, ReadBy, Reading


def link(text: str, ends: tuple[float, float], box: Box, *, upright: bool = False) -> Dimension:
    return Dimension(
        id=1,
        sheet=1,
        view=0,
        kind=DimensionKind.DISTANCE,
        ends=tuple(
            End(
                point=Point(200, -x) if upright else Point(x, 200),
                kind=EndKind.EXTENSION,
                sigma=0.1,
            )
            for x in ends
        ),
        reading=Reading(
            text=text,
            callout=None,
            confidence=0.99,
            by=ReadBy.NET,
            box=box,
            angle=90.0 if upright else 0.0,
        ),
    )


@pytest.mark.parametrize(
    ("text", "ends", "doubted"),
    [
        ("11'-10\"", (112.0, 140.0), True),  # 8 letters from 100 to 164: a line at the second
        ("11'-10\"", (124.0, 170.0), False),  # at the dash
        ("11'-10\"", (20.0, 190.0), False),  # beside the text
        ("22'-30\"", (112.0, 140.0), False),  # no 1 there
    ],
)
def test_a_1_where_an_extension_line_runs_is_doubted(text, ends, doubted):
    for upright in (False, True):
        box = Box(196, -164, 206, -100) if upright else Box(100, 196, 164, 206)
        [done] = doubt_struck_ones([link(text, ends, box, upright=upright)])
        assert done.reading is not None
        assert bool(done.reading.doubt) is doubted
        assert (done.reading.confidence < 0.9) is doubted


@pytest.mark.parametrize("upright", [False, True])
@pytest.mark.parametrize(
    ("read", "printed", "doubted"),
    [
        ("14.5", "14.5", False),
        ("14.5", "4.5", True),  # its 1 is the extension line beside it
        ("114.5", "14.5", True),
        ('145"', '145"', False),
        ('145"', '45"', True),  # the strokes of its mark are no figures
        ('1145"', '145"', True),
        ('11/4"', '1/4"', True),
        ("14'-5\"", "14'-5\"", True),  # marks that nobody counts
    ],
)
def test_figures_that_stand_apart_from_the_line_are_not_doubted(read, printed, doubted, upright):
    paper = np.full((260, 300), 255, np.uint8)
    cv2.putText(paper, printed, (104, 194), cv2.FONT_HERSHEY_SIMPLEX, 1.0, (0,), 2)
    cv2.line(paper, (98, 130), (98, 230), (0,), 2)
    columns = np.flatnonzero((paper[170:197, 101:] < 128).any(axis=0)) + 101
    box = Box(96, 171, int(columns[-1]) + 2, 196)
    one = link(read, (98.0, 200.0), box)
    if upright:  # turned a quarter, counter-clockwise
        paper = np.ascontiguousarray(np.rot90(paper))
        box = Box(171, 300 - box.x1, 196, 300 - box.x0)
        one = link(read, (98.0 - 300.0, 200.0 - 300.0), box, upright=True)
    [done] = doubt_struck_ones([one], paper)
    assert done.reading is not None
    assert bool(done.reading.doubt) is doubted
    assert bool(doubt_struck_ones([one])[0].reading.doubt)


def test_high_strokes_of_an_inch_mark_are_no_figures():
    paper = np.full((260, 300), 255, np.uint8)
    cv2.putText(paper, "45", (104, 194), cv2.FONT_HERSHEY_SIMPLEX, 1.0, (0,), 2)
    for x in (146, 152):
        cv2.line(paper, (x, 172), (x, 183), (0,), 2)
    for text, line, doubted in (('145"', 98, True), ('45"', 98, False)):
        cv2.line(paper, (line, 130), (line, 230), (0,), 2)
        [done] = doubt_struck_ones([link(text, (98.0, 200.0), Box(96, 171, 156, 196))], paper)
        assert bool(done.reading.doubt) is doubted
    cv2.putText(paper, "1", (76, 194), cv2.FONT_HERSHEY_SIMPLEX, 1.0, (0,), 2)
    [done] = doubt_struck_ones([link('145"', (98.0, 200.0), Box(79, 171, 156, 196))], paper)
    assert not done.reading.doubt


def test_pieces_of_a_broken_figure_are_not_counted_as_figures():
    paper = np.full((260, 300), 255, np.uint8)
    cv2.putText(paper, "4.5", (104, 194), cv2.FONT_HERSHEY_SIMPLEX, 2.0, (0,), 3)
    cv2.line(paper, (98, 100), (98, 240), (0,), 2)
    paper[173:175, 100:146] = 255  # the scan lost a part of the 4
    [done] = doubt_struck_ones([link("14.5", (98.0, 200.0), Box(96, 150, 210, 196))], paper)
    assert done.reading is not None
    assert done.reading.doubt


def test_a_line_of_a_neighbouring_dimension_counts_and_one_further_down_does_not():
    wide = link("11 1/2", (0.0, 400.0), Box(100, 196, 148, 206))
    for y, doubted in ((200.0, True), (300.0, False)):
        other = link("4", (110.0, 60.0), Box(80, y - 4, 88, y + 4))
        ends = tuple(
            End(point=Point(e.point.x, y), kind=EndKind.EXTENSION, sigma=0.1) for e in other.ends
        )
        done, _ = doubt_struck_ones([wide, replace(other, ends=ends)])
        assert done.reading is not None
        assert bool(done.reading.doubt) is doubted


@pytest.mark.parametrize(
    ("ends", "doubted"),
    [
        ((110.0, 60.0), False),  # a link of the chain: its extension lines end on its own line
        ((110.0, 600.0), True),  # a longer size further out: they pass the text
    ],
)
def test_extension_lines_of_shorter_sizes_end_before_they_reach_a_text(ends, doubted):
    wide = link("11 1/2", (0.0, 400.0), Box(100, 196, 148, 206))
    other = link("4", ends, Box(80, 176, 88, 184))
    moved = tuple(replace(e, point=Point(e.point.x, 188)) for e in other.ends)
    done, _ = doubt_struck_ones([wide, replace(other, ends=moved)])
    assert done.reading is not None
    assert bool(done.reading.doubt) is doubted


@pytest.mark.parametrize(
    ("text", "high", "doubted"), [("8", 7, True), ("8", 10, False), ("1 1/8", 7, False)]
)
def test_a_figure_as_small_as_those_of_fractions_is_doubted(text, high, doubted):
    sheet = [
        link(each, (0.0, 50.0), Box(20, 100, 30, 100 + tall))
        for each, tall in (("3", 10), ("5", 10.5), ("1 7/8", 18), ("12", 9.8), ("9", 10))
    ]
    lone = link(text, (0.0, 50.0), Box(20, 100, 26, 100 + high))
    *others, done = doubt_lone_denominators([*sheet, lone])
    assert done.reading is not None
    assert bool(done.reading.doubt) is doubted
    assert not any(d.reading.doubt for d in others if d.reading)


def test_too_few_figures_do_not_tell_the_usual_height():
    lone = link("8", (0.0, 50.0), Box(20, 100, 26, 107))
    [_, done] = doubt_lone_denominators([link("3", (0.0, 50.0), Box(20, 100, 30, 110)), lone])
    assert done.reading is not None
    assert not done.reading.doubt


def test_box_around_a_slanted_text_does_not_say_how_high_figures_are():
    slanted = [link("45°", (0.0, 50.0), Box(20, 100, 62, 150)) for _ in range(5)]
    slanted = [replace(d, reading=replace(d.reading, angle=60.0)) for d in slanted]
    lone = link("2", (0.0, 50.0), Box(20, 100, 35, 123))
    assert doubt_lone_denominators([*slanted, lone])[-1] == lone
