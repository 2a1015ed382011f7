"""Sheets found on photos made through a camera model, and made metric by what is seen."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest

from audit.geometry import Box, Point, Transform
from audit.isolation import GrayImage
from audit.records import DimensionKind, End, EndKind
from audit.sheets.border import Border, BorderKind, NoBorder, find_border, meet_sides
from audit.sheets.flat import flatten
from audit.sheets.papers import find_paper, usual_papers
from audit.sheets.photo import (
    flatten_by_border,
    flatten_by_corners,
    flatten_by_paper,
    propose_papers,
    shape_of_border,
)
from audit.sheets.plumb import fit_lens
from audit.sheets.residuals import draw_residuals
from audit.uncertainty import measure, photo_scatter
from tests.bench.photos import EXACT, border_size, corners_off, sheet_of
from tests.sheets.camera import DEVELOPMENT, HELD_OUT, Photo, photograph

PICTURE = (800, 600)


def made(seed: int, **keys) -> Photo:
    return photograph(np.random.default_rng(seed), picture=PICTURE, **keys)


@pytest.fixture(scope="module")
def bent() -> tuple[Photo, Border]:
    """A photo through a lens of strong barrel distortion, and what was found on it."""
    photo = made(43, bend=2.0)
    border = find_border(photo.pixels)
    assert isinstance(border, Border)
    return photo, border


@pytest.mark.parametrize("seed", range(40, 46))
def test_the_edge_of_the_paper_is_found_on_any_table(seed):
    photo = made(seed, backgrounds=DEVELOPMENT if seed % 2 else HELD_OUT)
    border = find_border(photo.pixels)
    assert isinstance(border, Border)
    assert border.kind is BorderKind.PAPER
    assert corners_off(np.array(border.corners), photo.corners_px) < 2.0


def test_nothing_is_found_where_no_sheet_lies():
    rng = np.random.default_rng(3)
    table = np.clip(120 + 25 * rng.standard_normal((300, 400)), 0, 255).astype(np.uint8)
    found = find_border(cv2.GaussianBlur(table, (0, 0), 2))
    assert isinstance(found, NoBorder) or not found.sure
    for shape in ((300, 400), (1, 1), (3, 500), (40, 33_000)):
        assert isinstance(find_border(np.full(shape, 200, np.uint8)), NoBorder)


def test_a_drawn_border_on_a_page_that_fills_the_picture_is_never_sure():
    page = np.full((600, 800), 235, np.uint8)
    cv2.rectangle(page, (60, 50), (740, 550), 30, 3)
    border = find_border(page)
    assert isinstance(border, Border)
    assert border.kind is BorderKind.DRAWN
    assert not border.sure
    drawn = np.array([(60, 50), (740, 50), (740, 550), (60, 550)]) + 0.5
    assert corners_off(np.array(border.corners), drawn) < 1


def test_the_lens_is_found_from_the_four_sides(bent):
    photo, border = bent
    lens = border.lens.lens
    assert lens is not None
    assert border.lens.after < border.lens.before / 3
    camera = photo.camera
    ideal = np.array([(0.8 * camera.radius, 0.0)])
    s = (ideal**2).sum() / camera.radius**2
    seen = ideal * (1 + s * (camera.d1 + s * camera.d2))
    grown = lens.straighten(seen + lens.centre) - lens.centre
    assert grown[0, 0] / seen[0, 0] == pytest.approx(ideal[0, 0] / seen[0, 0], abs=0.02)


def test_lengths_anywhere_on_the_sheet_are_right_within_their_uncertainty(bent):
    photo, border = bent
    flat = flatten_by_border(sheet_of(photo), border, *border_size(photo, border))
    assert photo_scatter(flat.sheet) < photo_scatter(sheet_of(photo))
    rng = np.random.default_rng(1)
    inside = []
    for _ in range(60):
        mm = rng.uniform(0.05, 0.95, (2, 2)) * photo.size_mm
        ends = tuple(
            End(point=Point(*map(float, p)), kind=EndKind.EXTENSION, sigma=0.05)
            for p in photo.camera.see(mm)
        )
        got = measure(ends, kind=DimensionKind.DISTANCE, sheet=flat.sheet, scale=EXACT)
        off = got.value - float(np.hypot(*(mm[1] - mm[0])))
        assert abs(off) < 0.01 * got.value + 0.6
        inside.append(abs(off) <= got.expanded)
    assert np.mean(inside) > 0.85


def test_the_flattened_picture_shows_the_drawing_where_it_is(bent):
    photo, border = bent
    sheet = flatten_by_border(sheet_of(photo), border, *border_size(photo, border)).sheet

    image = flatten(GrayImage(pixels=photo.pixels, to_frame=Transform()), sheet=sheet)
    rows, columns = image.pixels.shape
    places = np.random.default_rng(5).uniform(5, (columns - 5, rows - 5), (40, 2))
    back = image.to_frame.inverse().apply_many(image.to_frame.apply_many(places))
    assert back == pytest.approx(places, abs=1e-4)
    off = []
    for x, y in places:
        seen = image.to_frame.apply((x, y))
        there = cv2.getRectSubPix(photo.pixels, (1, 1), (seen.x - 0.5, seen.y - 0.5))[0, 0]
        here = cv2.getRectSubPix(image.pixels, (1, 1), (x - 0.5, y - 0.5))[0, 0]
        off.append(abs(float(there) - float(here)))
    assert np.median(off) < 5
    assert np.mean(np.array(off) < 25) > 0.9
    assert sheet.paper_box is not None
    assert min(image.pixels.shape) > 100


def test_the_papers_it_may_be_are_proposed_by_its_shape(bent):
    photo, border = bent
    shape = shape_of_border(sheet_of(photo), border)
    names = {p.name.lower() for p in propose_papers(shape)}
    assert photo.paper in names
    flat = flatten_by_paper(sheet_of(photo), border, find_paper(photo.paper))
    assert flat.sheet.paper_known


def test_given_corners_are_followed_along_their_sides_to_the_lens(bent):
    photo, border = bent
    rng = np.random.default_rng(4)
    clicked = [Point(c.x + rng.normal(0, 1), c.y + rng.normal(0, 1)) for c in border.corners]
    size = border_size(photo, border)
    flat = flatten_by_corners(sheet_of(photo), photo.pixels, clicked, size, sigma=1.5)
    assert flat.seen
    assert flat.lens.lens is not None
    whole = flatten_by_border(sheet_of(photo), border, *size)
    middle = sheet_of(photo).box.centre
    assert flat.sheet.to_paper.apply(middle).distance(whole.sheet.to_paper.apply(middle)) < 1.0


def test_corners_without_sides_count_as_four_corners(bent):
    """A rectangle of four marks, with nothing drawn between them."""
    photo, _ = bent
    blank = np.full_like(photo.pixels, 200)
    corners = [Point(100, 100), Point(700, 120), Point(680, 520), Point(90, 500)]
    size = find_paper("a4").sides(upright=False)
    flat = flatten_by_corners(sheet_of(photo), blank, corners, size, sigma=1.5)
    assert not flat.seen
    assert flat.sheet.scatter is None
    assert flat.sheet.to_paper.apply(corners[0]) == pytest.approx((0, 0), abs=1e-6)


def test_curled_paper_is_told_and_its_sizes_are_less_certain(bent):
    """The side of a sheet that bows by itself: no lens bends one side and leaves the others."""
    photo, border = bent
    flat = flatten_by_border(sheet_of(photo), border, *border_size(photo, border))
    side = border.sides[0]
    bow = 6.0 * np.sin(np.linspace(0, 2 * np.pi, len(side)))
    way = side[-1] - side[0]
    normal = np.array([-way[1], way[0]]) / np.hypot(*way)
    curled = replace(border, sides=(side + bow[:, None] * normal, *border.sides[1:]))

    box = Box(0, 0, *map(float, PICTURE))
    curled = replace(curled, lens=fit_lens(list(curled.sides), box))
    corners, sigma = meet_sides(list(curled.sides), curled.lens)
    a, b, c, d = corners
    curled = replace(curled, corners=(a, b, c, d), sigma=sigma)
    bowed = flatten_by_border(sheet_of(photo), curled, *border_size(photo, border))
    assert bowed.is_curled
    assert not flat.is_curled
    assert photo_scatter(bowed.sheet) > 5 * photo_scatter(flat.sheet)
    picture = draw_residuals(bowed.residuals, width_px=400)
    assert picture.shape[1] == 400
    assert len({tuple(c) for c in picture.reshape(-1, 3)}) > 3


def test_no_two_papers_of_one_name_and_short_sides_first():
    names = [p.name.lower() for p in usual_papers()]
    assert len(set(names)) == len(names)
    assert all(p.short < p.long for p in usual_papers())
    assert float(find_paper("tabloid").long) == pytest.approx(17 * 25.4)  # 11 × 17 in
