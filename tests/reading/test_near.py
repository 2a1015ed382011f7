"""Finding the text of a dimension on a picture; the pictures are rendered by MuPDF."""

from __future__ import annotations

import numpy as np
import pymupdf
import pytest

from audit.geometry import Box, Point
from audit.reading import find_text_near
from audit.reading.near import find_ink, group_blobs, remove_lines, turn_upright
from tests.snapping.drawn import Rendered, new_page, render

PX_PER_MM = 200 / 25.4


def dimension(text: str, *, vertical: bool = False, turned: bool = False) -> tuple[Rendered, Box]:
    """A dimension line with arrows and its text above it; returns the text's true box, px."""
    page = new_page()
    a, b = ((60, 100), (220, 100)) if not vertical else ((140, 190), (140, 40))
    shape = page.new_shape()
    shape.draw_line(a, b)
    for p in (a, b):
        shape.draw_line(
            (p[0], p[1]), (p[0] + (30 if vertical else 0), p[1] + (0 if vertical else 30))
        )
    shape.finish(width=0.5)
    shape.draw_polyline([a, (a[0] + 7, a[1] - 1.2), (a[0] + 7, a[1] + 1.2)])
    shape.finish(fill=(0, 0, 0), width=0.1, closePath=True)
    shape.commit()
    at = (128, 96) if not vertical else (136, 122)
    width = pymupdf.get_text_length(text, fontsize=10)
    page.insert_text(at, text, fontsize=10, rotate=90 if turned else 0)
    picture = render(page, 200)
    k = picture.px_per_pt
    box = (
        Box(at[0], at[1] - 10, at[0] + width, at[1] + 3)
        if not turned
        else Box(at[0] - 10, at[1] - width, at[0] + 3, at[1])
    )
    return picture, Box(*(v * k for v in box))


def test_text_above_a_level_line_is_found_whole():
    picture, true = dimension("3 9/32")
    (spot,) = find_text_near(
        picture.gray, picture.px(60, 100), picture.px(220, 100), px_per_mm=PX_PER_MM
    )
    assert spot.angle == 0.0
    assert true.grown(3).contains((spot.box.x0, spot.box.y0))
    assert true.grown(3).contains((spot.box.x1, spot.box.y1))
    assert spot.box.width > 0.8 * true.width


def test_text_turned_along_an_upright_line_is_found_at_its_angle():
    picture, true = dimension("2 1/4", vertical=True, turned=True)
    spots = find_text_near(
        picture.gray, picture.px(140, 190), picture.px(140, 40), px_per_mm=PX_PER_MM
    )
    spot = next(s for s in spots if s.angle == 90.0)
    assert true.grown(4).contains(spot.box.centre)
    assert spot.crop.shape[1] > 1.5 * spot.crop.shape[0]


def test_the_turn_of_the_sheet_is_taken_into_account():
    picture, _ = dimension("3 9/32")
    turned = np.ascontiguousarray(np.rot90(picture.gray))  # stored so that 90 brings it upright
    height = picture.gray.shape[1]
    a, b = picture.px(60, 100), picture.px(220, 100)
    ends = [Point(p.y, height - p.x) for p in (a, b)]
    upright = find_text_near(picture.gray, a, b, px_per_mm=PX_PER_MM)[0]
    found = find_text_near(turned, ends[0], ends[1], px_per_mm=PX_PER_MM, turn=90)[0]
    assert found.angle == pytest.approx(90.0)
    assert np.abs(found.crop.astype(int) - upright.crop.astype(int)).mean() < 12


def test_no_text_near_a_line_gives_nothing():
    page = new_page()
    page.draw_line((60, 100), (220, 100), width=0.5)
    page.insert_text((60, 200), "SHEET 2", fontsize=10)
    picture = render(page, 200)
    found = find_text_near(
        picture.gray, picture.px(60, 100), picture.px(220, 100), px_per_mm=PX_PER_MM
    )
    assert found == ()


def test_stacked_fraction_is_one_block_and_a_far_text_is_not_in_it():
    whole, top, bar = Box(0, 10, 12, 34), Box(20, 0, 30, 16), Box(18, 20, 32, 22)
    bottom, far = Box(18, 26, 34, 42), Box(200, 10, 212, 34)
    blocks = group_blobs([whole, top, bar, bottom, far], scale=8.0)
    assert blocks == [Box(0, 0, 34, 42), far]


def test_two_lines_without_a_bar_are_two_blocks():
    assert len(group_blobs([Box(0, 0, 20, 20), Box(0, 26, 20, 46)], scale=8.0)) == 2


def test_lines_are_removed_and_figures_stay():
    picture, true = dimension("5 1/2")
    ink = find_ink(picture.gray, scale=PX_PER_MM)
    kept = remove_lines(ink, scale=PX_PER_MM)
    y = int(picture.px(0, 100).y)
    assert (ink[y] > 0).sum() > 300
    assert (kept[y] > 0).sum() < 80
    x0, y0, x1, y1 = (int(v) for v in true)
    assert (kept[y0:y1, x0:x1] > 0).sum() > 0.9 * (ink[y0:y1, x0:x1] > 0).sum()


def test_turning_upright_is_undone_by_its_own_way_back():
    gray = np.full((200, 300), 255, np.uint8)
    gray[50:54, 120:124] = 0
    crop, back = turn_upright(gray, Point(122.0, 52.0), angle=30.0, width=40, height=40)
    rows, columns = np.nonzero(crop < 128)
    centre = back[:, :2] @ [columns.mean() + 0.5, rows.mean() + 0.5] + back[:, 2]
    assert centre == pytest.approx([122.0, 52.0], abs=0.3)
