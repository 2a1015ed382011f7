"""Crops brought into shape, on text set by MuPDF."""

from __future__ import annotations

import time

import cv2
import numpy as np
import pytest

from audit.networks.crops import (
    EASY_WIDTH_PX,
    HEIGHT_PX,
    MAX_WIDTH_PX,
    fit_height,
    level_contrast,
    prepare,
    settle_polarity,
    tighten,
)
from tests.snapping.drawn import degrade, new_page, render


def text_crop(text: str, *, border: int = 4) -> np.ndarray:
    page = new_page()
    page.insert_text((60, 80), text, fontsize=11)
    gray = render(page, 300).gray
    rows, columns = np.nonzero(gray < 128)
    return gray[
        rows.min() - border : rows.max() + border + 1,
        columns.min() - border : columns.max() + border + 1,
    ].copy()


def ink_box(gray: np.ndarray) -> tuple[int, int]:
    rows, columns = np.nonzero(gray < 128)
    return int(columns.max() - columns.min()), int(rows.max() - rows.min())


@pytest.mark.parametrize("border", [15, 30, 45])
def test_white_around_the_text_makes_no_difference_to_what_the_network_sees(border):
    tight, loose = (
        prepare(text_crop("3 9/32", border=10)),
        prepare(text_crop("3 9/32", border=border)),
    )
    assert tight.shape == loose.shape
    assert np.abs(tight.astype(int) - loose).mean() < 3


@pytest.mark.parametrize("text", [".375", "3'", '7"', "1,5", "(.5)", "-2", "12.", "Ø.5", "1/16"])
def test_nothing_of_the_text_is_cut_off(text):
    crop = text_crop(text, border=14)
    assert ink_box(tighten(crop)) == ink_box(crop)


def test_text_that_touches_the_crop_s_edges_is_kept_whole():
    crop = text_crop("111", border=0)
    assert ink_box(tighten(crop)) == ink_box(crop)


def test_lines_along_the_edges_are_left_out():
    crop = text_crop("4 1/2", border=24)
    wanted = tighten(crop).shape
    height = crop.shape[0]
    crop[3:6, :] = 0
    crop[height - 5 : height - 2, :] = 0
    crop[:, 2:5] = 0
    assert tighten(crop).shape == wanted


def test_a_frame_around_the_text_is_left_out():
    crop = text_crop("12.50", border=24)
    wanted = tighten(crop).shape
    for inset in (5, 6):
        crop[inset, inset:-inset] = crop[-1 - inset, inset:-inset] = 0
        crop[inset:-inset, inset] = crop[inset:-inset, -1 - inset] = 0
    assert tighten(crop).shape == wanted


def test_figures_that_touch_a_line_are_kept():
    crop = text_crop("(7.469)", border=24)
    wanted = tighten(crop).shape
    rows, columns = np.nonzero(crop < 128)
    # the dimension line under the text, an extension line beside it, both touching
    crop[rows.max() : rows.max() + 3, :] = 0
    crop[:, columns.max() : columns.max() + 2] = 0
    crop[rows.max() - 3 : rows.max() + 6, :20] = 0
    assert tighten(crop).shape[1] >= wanted[1] - 12
    assert tighten(crop).shape[0] >= wanted[0] - 6


def test_a_line_through_the_text_does_not_take_the_text_with_it():
    crop = text_crop('1/2"', border=4)
    width = crop.shape[1]
    wanted = tighten(crop).shape
    # from the top left down to the right edge, across all figures, the inch mark above it
    for x in range(width):
        y = round(x * 0.75 * (crop.shape[0] - 1) / (width - 1))
        crop[max(0, y - 1) : y + 2, x] = 0
    assert tighten(crop).shape[1] >= wanted[1]


@pytest.mark.parametrize("text", ["+.80", "2 13/32"])
def test_figures_that_an_upright_line_parts_are_kept(text):
    crop = text_crop(text, border=24)
    wanted = tighten(crop).shape[1]
    columns = np.flatnonzero((crop < 128).any(0))
    # through the sign in front, or through the last figure
    at = columns.min() + 11 if text[0] == "+" else columns.max() - 9
    crop[:, at : at + 3] = 0
    assert tighten(crop).shape[1] >= wanted - 4


def test_a_balloon_around_the_text_is_left_out():
    crop = text_crop("4", border=40)
    wanted = tighten(crop).shape
    yy, xx = np.mgrid[: crop.shape[0], : crop.shape[1]]
    middle = np.array(crop.shape) / 2
    radius = np.hypot(yy - middle[0], xx - middle[1])
    crop[np.abs(radius - min(crop.shape) / 2 + 4) < 1.5] = 0
    assert tighten(crop).shape == pytest.approx(wanted, abs=2)


def test_feet_of_the_line_above_are_left_out():
    crop = text_crop("4 1/2", border=14)
    wanted = tighten(crop).shape[0]
    for x in range(10, crop.shape[1] - 10, 25):
        crop[0:4, x : x + 3] = 0
    assert tighten(crop).shape[0] == wanted


def test_light_on_dark_comes_out_dark_on_light():
    crop = text_crop("3 9/32")
    assert np.array_equal(settle_polarity(255 - crop), crop)
    assert np.array_equal(settle_polarity(crop), crop)


def test_a_slope_of_light_is_taken_out():
    crop = text_crop("3 9/32", border=20)
    slope = np.linspace(0.5, 1.0, crop.shape[1])
    lit = (crop * slope).astype(np.uint8)
    even = level_contrast(lit)
    corners = [even[:6, :6].mean(), even[:6, -6:].mean()]
    assert min(corners) > 220  # 127 on the dark side before


def test_empty_paper_stays_white_however_grainy():
    paper = degrade(np.full((40, 200), 230, np.uint8), np.random.default_rng(1), noise=6, blur=0)
    assert prepare(paper).mean() > 215


@pytest.mark.parametrize("shape", [(10, 400), (48, 48), (200, 90), (30, 3000), (9, 9)])
def test_height_is_the_network_s_and_width_a_multiple_of_its_step(shape):
    fitted = fit_height(np.full(shape, 255, np.uint8))
    assert fitted.shape[0] == HEIGHT_PX
    assert fitted.shape[1] % 4 == 0
    assert 0 < fitted.shape[1] <= MAX_WIDTH_PX


def test_short_crops_are_widened_and_long_ones_keep_their_proportions():
    assert fit_height(np.zeros((48, 60), np.uint8)).shape[1] == 88
    assert fit_height(np.zeros((48, 140), np.uint8)).shape[1] == EASY_WIDTH_PX
    assert fit_height(np.zeros((96, 800), np.uint8)).shape[1] == 400


@pytest.mark.parametrize("border", [100, 400])
def test_a_small_mark_beside_the_text_counts_in_a_far_too_roomy_crop(border):
    wanted = tighten(text_crop("13'-11\"", border=14)).shape
    roomy = np.pad(text_crop("13'-11\"", border=4), border, constant_values=255)
    assert tighten(roomy).shape == wanted


def test_a_shadow_over_half_the_text_does_not_make_it_light_on_dark():
    crop = text_crop("15-20 TAP", border=6)
    shade = np.where(np.arange(crop.shape[1]) < 0.7 * crop.shape[1], 0.25, 1.0)
    shade = np.convolve(np.pad(shade, 20, mode="edge"), np.ones(41) / 41, mode="valid")
    lit = (crop * shade).astype(np.uint8)
    assert np.array_equal(settle_polarity(lit), lit)


def test_bold_light_text_in_a_tight_crop_is_seen_to_be_light():
    page = new_page()
    page.insert_text((60, 80), "985", fontsize=11, fontname="hebo")
    gray = render(page, 300).gray
    rows, columns = np.nonzero(gray < 128)
    crop = gray[rows.min() - 2 : rows.max() + 3, columns.min() - 2 : columns.max() + 3]
    assert np.array_equal(settle_polarity(255 - crop), crop)


def test_parentheses_in_paler_ink_are_kept():
    crop = text_crop("(8,383)", border=14)
    wanted = tighten(crop).shape[1]
    columns = np.flatnonzero((crop < 128).any(0))
    for part in (slice(0, columns.min() + 12), slice(columns.max() - 11, None)):
        crop[:, part] = 255 - ((255 - crop[:, part]) * 0.3).astype(np.uint8)
    assert tighten(crop).shape[1] == pytest.approx(wanted, abs=3)


def test_a_point_of_two_pixels_before_the_figures_is_kept():
    crop = text_crop("8570", border=45)
    rows, columns = np.nonzero(crop < 128)
    foot, left = rows.max(), columns.min()
    crop[foot - 1 : foot + 1, left - 17 : left - 15] = 0
    assert ink_box(tighten(crop))[0] == ink_box(crop)[0]


def test_a_low_figure_whose_foot_runs_along_its_line_is_kept():
    page = new_page()
    page.insert_text((60, 82), "2", fontsize=9)  # a hand's figure: lower than the others, deeper
    page.insert_text((66, 80), "7'-7\"", fontsize=11)
    gray = render(page, 300).gray
    rows, columns = np.nonzero(gray < 128)
    foot, left = int(rows.max()), int(columns.min())
    gray[foot - 5 : foot + 1, left - 20 : columns.max() + 21] = 20
    crop = gray[rows.min() - 14 : foot + 15, left - 20 : columns.max() + 21].copy()
    figures = tighten(crop) < 128
    assert figures[: figures.shape[0] // 2].any(0).nonzero()[0][0] < 20
    assert tighten(crop).shape[1] >= columns.max() - left


def test_a_crop_as_large_as_a_page_is_prepared_in_a_moment():
    """A file may say that a text is metres high: comparing each px with its third took minutes."""
    page = np.full((6000, 9000), 255, np.uint8)
    cv2.putText(page, "12", (1000, 5000), cv2.FONT_HERSHEY_SIMPLEX, 150.0, 0, 500)
    begun = time.process_time()
    large = prepare(page)
    assert time.process_time() - begun < 2.0
    small = prepare(cv2.resize(page, (720, 480), interpolation=cv2.INTER_AREA))
    assert np.array_equal(large, small)
