"""Texts of neighbouring links that run into each other, on small pages drawn and rendered here."""

from __future__ import annotations

import numpy as np
import pymupdf
import pytest

from audit.dimensions.raster_page import TracedPage
from audit.dimensions.raster_parting import part_at_lines
from audit.geometry import Box, Point
from audit.networks.page import Terminator
from audit.reading import TextSpot
from tests.dimensions.page_builder import PageBuilder

PX = 200 / 72  # px to a pt


def parts_of(builder, **where):
    """Middles and lengths of the parts of the one text."""
    parts = parted(builder, **where).spots
    return [(round(p.centre.x / PX, 1), round(p.length / PX, 1)) for p in parts]


def parted(builder, *, marks, left, right, text_y, height=6.6):
    """What becomes of the one text that stands from `left` to `right`, all in pt."""
    page = builder.document()[0]
    pixels = page.get_pixmap(matrix=pymupdf.Matrix(PX, PX), colorspace="gray")
    gray = np.frombuffer(pixels.samples, np.uint8).reshape(pixels.height, pixels.stride)
    gray = gray[:, : pixels.width].copy()
    centre = Point((left + right) / 2 * PX, text_y * PX)
    length, high = (right - left) * PX, height * PX
    box = Box(centre.x - length / 2, centre.y - high, centre.x + length / 2, centre.y + high)
    spot = TextSpot(
        box=box, angle=0.0, distance=0.0, crop=gray, centre=centre, length=length, height=high
    )
    ends = tuple(Terminator(point=Point(*p), direction=None, score=0.9) for p in marks)
    traced = TracedPage(page=builder.page(), terminators=ends, px_per_pt=PX)
    [parts] = part_at_lines(gray, [spot], traced)
    return parts


def two_links(*texts, apart=8.0):
    builder = PageBuilder()
    builder.line((60, 110), (140, 110))
    for x in (80, 100, 120):
        builder.line((x, 103), (x, 150))
        builder.line((x - 2.5, 112.5), (x + 2.5, 107.5))
    for text, x in zip(texts, (100 - apart, 100 + apart), strict=True):
        builder.text(text, (x, 103))
    return builder


def test_texts_of_two_links_are_parted_at_the_marked_line_between_them():
    builder = two_links("50", "50")
    found = parts_of(builder, marks=[(100, 110)], left=86, right=114, text_y=103)
    assert [x for x, _ in found] == pytest.approx([92, 108], abs=0.5)
    assert [length for _, length in found] == pytest.approx([9.4, 9.4], abs=0.8)


def test_line_without_a_mark_parts_nothing():
    builder = two_links("50", "50")
    assert len(parts_of(builder, marks=[(80, 110)], left=86, right=114, text_y=103)) == 1


def test_marked_line_between_the_figures_of_one_number_parts_nothing():
    """A centre line of a chain runs through the overall's text: its figures stand too close."""
    builder = two_links("25", "00", apart=5.2)
    assert len(parts_of(builder, marks=[(100, 110)], left=89, right=111, text_y=103)) == 1


def under_the_text():
    builder = PageBuilder()
    builder.line((60, 110), (140, 110))
    builder.line((100, 108), (100, 150))
    for text, x in (("50", 92), ('5"', 108)):
        builder.text(text, (x, 100))
    return builder


def test_marked_line_that_ends_under_the_text_is_told_from_one_through_it():
    where = {"marks": [(100, 110)], "left": 86, "right": 114, "text_y": 100}
    assert not parted(under_the_text(), **where).crossed
    through = two_links("50", "50")
    assert parted(through, marks=[(100, 110)], left=86, right=114, text_y=103).crossed


def test_line_far_under_the_text_parts_nothing():
    where = {"marks": [(100, 130)], "left": 86, "right": 114, "text_y": 100}
    builder = PageBuilder()
    builder.line((60, 130), (140, 130))
    builder.line((100, 128), (100, 170))
    for x in (92, 108):
        builder.text("50", (x, 100))
    assert len(parts_of(builder, **where)) == 1


def test_part_keeps_the_inch_mark_after_its_figures():
    where = {"marks": [(100, 110)], "left": 86, "right": 114, "text_y": 100}
    _, second = parts_of(under_the_text(), **where)
    assert second[0] + second[1] / 2 > 110.5


def test_a_dot_in_line_with_two_sizes_is_no_figure_between_them():
    builder = PageBuilder()
    for x in (80, 100, 120):
        builder.line((x, 60), (x, 110))
    builder.line((98.5, 103), (101.5, 103), width=5.0)
    for text, x in zip(("50", "50"), (90, 110), strict=True):
        builder.text(text, (x, 103))
    dots = [(x, 103) for x in (80, 100, 120)]
    found = parts_of(builder, marks=dots, left=84, right=116, text_y=103)
    assert [x for x, _ in found] == pytest.approx([90, 110], abs=0.5)


def test_a_dot_that_a_figure_touches_is_no_part_of_it():
    builder = PageBuilder()
    for x in (80, 100, 120):
        builder.line((x, 60), (x, 102))
    builder.line((97.6, 103), (102.4, 103), width=4.0)
    for x in (91, 102, 107):
        builder.line((x, 98.5), (x, 107.5))
    dots = [(x, 103) for x in (80, 100, 120)]
    assert len(parts_of(builder, marks=dots, left=88, right=110, text_y=103)) == 2


def side_by_side(*xs, apart=24.0, size="2500"):
    """Upright lines broken for sizes that are set higher and lower by turns, and the sizes."""
    builder = PageBuilder()
    for x, y in zip(xs, (100, 106), strict=True):
        builder.line((x, 60), (x, y - 7))
        builder.line((x, y + 7), (x, 150))
    for x, y in zip((100, 100 + apart), (100, 106), strict=True):
        builder.text(size, (x, y))
    return builder


def test_sizes_at_the_middles_of_lines_broken_for_them_are_parted():
    builder = side_by_side(100, 124)
    found = parts_of(builder, marks=[], left=89, right=135, text_y=103)
    assert [x for x, _ in found] == pytest.approx([100, 124], abs=0.5)


def test_lines_that_are_broken_away_from_the_middles_of_sizes_part_nothing():
    where = {"marks": [], "left": 89, "right": 135, "text_y": 103}
    assert len(parts_of(side_by_side(94, 124), **where)) == 1


def test_lines_too_near_for_two_sizes_part_nothing():
    """As grain of the wood, which is broken wherever a number stands."""
    where = {"marks": [], "left": 94, "right": 118, "text_y": 103}
    assert len(parts_of(side_by_side(100, 112, apart=12.0, size="25"), **where)) == 1
