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


def parts_of(builder, *, marks, left, right, text_y, height=6.6):
    """The parts of the one text that stands from `left` to `right`, all in pt."""
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
    return [(round(p.centre.x / PX, 1), round(p.length / PX, 1)) for p in parts.spots]


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


def test_mark_without_a_line_through_the_text_parts_nothing():
    builder = PageBuilder()
    builder.line((60, 110), (140, 110))
    builder.line((100, 108), (100, 150))
    for x in (92, 108):
        builder.text("50", (x, 100))
    assert len(parts_of(builder, marks=[(100, 110)], left=86, right=114, text_y=100)) == 1
