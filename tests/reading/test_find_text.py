"""Texts cut from a picture where lines touch them, stand between them or run beside them.

The network's maps are stood in for by ones that mark the text exactly; figures are drawn by OpenCV.
"""

from __future__ import annotations

import time
from dataclasses import replace

import cv2
import numpy as np
import pytest

from audit.geometry import Box, angle_between
from audit.networks.page import STRIDE, PageMaps
from audit.reading.beside import cut_along_lines, slanted_lines
from audit.reading.find_text import cut_at, find_text, tight_spots
from audit.reading.text_rows import rows_of

FONT = cv2.FONT_HERSHEY_SIMPLEX


def make_maps(gray, boxes, *, turn=0):
    h, w = gray.shape
    text = np.zeros((h // STRIDE, w // STRIDE), np.uint8)
    for x0, y0, x1, y1 in boxes:
        text[y0 // STRIDE : y1 // STRIDE, x0 // STRIDE : x1 // STRIDE] = 255
    empty = np.zeros_like(text)
    turns = np.full_like(text, turn // 2)
    return PageMaps((), text, empty, empty, turns, (240 - gray).clip(0), 1.0)


def paper():
    return np.full((200, 400), 240, np.uint8)


def test_two_texts_with_a_line_between_them_are_two():
    gray = paper()
    cv2.putText(gray, "65", (60, 110), FONT, 0.9, (20,), 2)
    cv2.putText(gray, "41", (130, 110), FONT, 0.9, (20,), 2)
    boxes = [(54, 82, 176, 116)]
    assert len(find_text(gray, maps=make_maps(gray, boxes))) == 1
    cv2.line(gray, (114, 20), (114, 180), (20,), 2)
    assert len(find_text(gray, maps=make_maps(gray, boxes))) == 2


def test_a_figure_that_touches_a_line_is_not_cut_off():
    gray = paper()
    cv2.putText(gray, "65", (60, 110), FONT, 0.9, (20,), 2)
    (spot,) = find_text(gray, maps=make_maps(gray, [(54, 82, 106, 116)]))
    cv2.line(gray, (20, 111), (380, 111), (20,), 2)  # under the 6 and the 5
    cv2.line(gray, (93, 20), (93, 180), (20,), 2)
    (touched,) = find_text(gray, maps=make_maps(gray, [(54, 82, 106, 116)]))
    assert touched.box.x1 == pytest.approx(spot.box.x1, abs=5)  # a figure is 16 wide
    assert touched.height == pytest.approx(spot.height, abs=4)


def test_a_short_stack_on_its_dimension_line_keeps_both_figures_and_no_line():
    gray = paper()
    cv2.putText(gray, "7", (190, 90), FONT, 0.6, (20,), 2)
    cv2.line(gray, (184, 95), (208, 95), (20,), 1)
    cv2.putText(gray, "16", (184, 114), FONT, 0.6, (20,), 2)
    mask = [(180, 72, 212, 120)]
    (alone,) = find_text(gray, maps=make_maps(gray, mask))
    cv2.line(gray, (20, 115), (380, 115), (20,), 2)  # the 16 stands on it
    (spot,) = find_text(gray, maps=make_maps(gray, mask))
    assert spot.length == pytest.approx(alone.length, abs=3)
    assert spot.height == pytest.approx(alone.height, abs=3)


def test_lines_are_left_out_of_a_cut_when_asked():
    gray = paper()
    cv2.putText(gray, "65", (60, 110), FONT, 0.9, (20,), 2)
    cv2.line(gray, (20, 95), (380, 95), (20,), 2)
    maps = make_maps(gray, [(54, 82, 106, 116)])
    box = Box(58, 88, 100, 112)
    through = cut_at(gray, maps, box, angle=0.0)
    without = cut_at(gray, maps, box, angle=0.0, lines=False)
    assert through is not None
    assert without is not None
    assert (without.crop < 120).sum() < (through.crop < 120).sum()
    assert (without.crop < 120).sum() > 150  # the figures are there


def test_where_the_network_sees_no_text_nothing_is_cut():
    gray = paper()
    assert cut_at(gray, make_maps(gray, []), Box(50, 50, 90, 70), angle=0.0) is None


def test_a_square_text_is_cut_along_the_slanted_line_beside_it():
    gray = paper()
    cv2.putText(gray, "6", (180, 110), FONT, 0.9, (20,), 2)
    cv2.line(gray, (140, 150), (220, 20), (20,), 1)
    maps = make_maps(gray, [(176, 84, 202, 116)])
    (spot,) = find_text(gray, maps=maps)
    drawn = float(np.degrees(np.arctan2(130, 80)))
    (way,) = slanted_lines(maps, spot, level=0.0)
    assert angle_between(way, drawn) < 2.0
    (cut,) = cut_along_lines(gray, maps, spot, level=0.0)
    assert angle_between(cut.angle, drawn) < 2.0


def test_level_lines_beside_a_text_turn_nothing():
    gray = paper()
    cv2.putText(gray, "6", (180, 110), FONT, 0.9, (20,), 2)
    cv2.line(gray, (140, 125), (260, 125), (20,), 1)
    maps = make_maps(gray, [(176, 84, 202, 116)])
    (spot,) = find_text(gray, maps=maps)
    assert slanted_lines(maps, spot, level=0.0) == []


def crowd(side):
    """Figures in rows so close that they are one patch, with a mask over all of them."""
    crop = np.full((side, side), 250, np.uint8)
    rng = np.random.default_rng(5)
    for y in range(20, side, 24):
        for x in range(5, side - 40, 44):
            text = str(rng.integers(100, 999))
            cv2.putText(crop, text, (x, y), cv2.FONT_HERSHEY_SIMPLEX, 0.5, 20, 1, cv2.LINE_AA)
    return crop, cv2.dilate(np.asarray(crop < 200, np.uint8), np.ones((9, 9), np.uint8)) > 0


def test_rows_of_a_crowded_patch_are_cut_each_without_the_others_in_a_moment():
    crop, mask = crowd(1800)
    begun = time.process_time()
    spots = tight_spots(crop, mask, np.eye(2, 3), angle=0.0)
    assert time.process_time() - begun < 8.0  # a second; asking every box of every other took 23
    assert len(spots) == 75
    for spot in spots:
        x0, y0, x1, y1 = (int(v) for v in spot.box)
        assert np.array_equal(spot.crop[2:-2, 2:-2], crop[y0:y1, x0:x1])  # 2 px of paper around
        assert min(spot.crop[[0, -1]].min(), spot.crop[:, [0, -1]].min()) > 200


def test_a_numerator_over_a_bar_that_touches_the_denominator_stays_in_its_mixed_number():
    whole, above, below = Box(33, 35, 62, 75), Box(76, 11, 81, 44), Box(72, 47, 106, 87)
    assert len(rows_of([whole, above, below])) == 1
    far_below = [Box(33, 58, 62, 98), Box(72, 70, 106, 110)]
    assert len(rows_of([above, *far_below])) == 2


def decimal(*, point: tuple[int, int]) -> tuple[np.ndarray, np.ndarray]:
    """Figures with a point beside them that the mask leaves out."""
    crop = np.full((60, 160), 250, np.uint8)
    cv2.putText(crop, "320", (50, 42), FONT, 0.9, (20,), 2, cv2.LINE_AA)
    mask = cv2.dilate(np.asarray(crop < 200, np.uint8), np.ones((5, 5), np.uint8)) > 0
    cv2.rectangle(crop, point, (point[0] + 3, point[1] + 3), (20,), -1)
    return crop, mask


def test_a_point_before_the_first_figure_belongs_to_the_text_though_the_mask_frays_there():
    crop, mask = decimal(point=(42, 39))
    (spot,) = tight_spots(crop, mask, np.eye(2, 3), angle=0.0)
    assert spot.box.x0 == 42
    assert spot.crop[:, :8].min() < 60


@pytest.mark.parametrize("at", [(42, 28), (20, 39), (42, 18)])
def test_what_is_no_point_at_the_foot_of_a_text_is_none_of_it(at):
    crop, mask = decimal(point=at)
    (spot,) = tight_spots(crop, mask, np.eye(2, 3), angle=0.0)
    assert spot.box.x0 > 46


def test_nothing_of_blurred_figures_soft_seam_is_whitened():
    gray = paper()
    cv2.putText(gray, "65", (60, 110), FONT, 0.9, (20,), 2)
    mask = np.zeros(gray.shape, bool)
    mask[84:116, 56:104] = True
    alone = cv2.GaussianBlur(gray, (0, 0), 2.5)
    (spot,) = tight_spots(alone, mask, np.eye(2, 3), angle=0.0)
    assert cv2.matchTemplate(alone, spot.crop, cv2.TM_SQDIFF).min() == 0.0


def test_a_text_cut_askew_is_cut_straight_too():
    gray = paper()
    cv2.putText(gray, "17", (160, 110), FONT, 0.9, (20,), 2)
    maps = make_maps(gray, [(156, 84, 202, 116)])
    (spot,) = find_text(gray, maps=maps)
    (cut,) = cut_along_lines(gray, maps, replace(spot, angle=20.0), level=0.0)
    assert cut.angle == 0.0
    assert cut_along_lines(gray, maps, spot, level=0.0) == ()


def test_a_level_and_an_upright_text_that_touch_are_two():
    gray = paper()
    upright = paper()[:150, :150]
    cv2.putText(upright, "3125", (20, 100), FONT, 0.9, (20,), 2)
    gray[20:170, 100:250] = np.rot90(upright)
    cv2.putText(gray, "4625", (180, 175), FONT, 0.9, (20,), 2)
    box = (175, 74, 204, 153), (176, 150, 262, 180)
    maps = make_maps(gray, list(box))
    maps.turn[box[0][1] // STRIDE : 148 // STRIDE, box[0][0] // STRIDE : box[0][2] // STRIDE] = 45
    assert sorted(round(spot.angle) for spot in find_text(gray, maps=maps)) == [0, 90]


@pytest.mark.parametrize("turn", [0.0, 90.0, 180.0])
def test_texts_found_before_are_those_that_are_found_anew(turn):
    gray = paper()
    cv2.putText(gray, "65.5", (60, 110), FONT, 0.9, (20,), 2)
    gray[:, 250:] = np.rot90(gray[:150, :200]).copy()[:, :150]
    maps = make_maps(gray, [(54, 82, 136, 116), (330, 60, 366, 150)])
    maps.turn[:, 125:] = 45
    known = {}
    assert len(find_text(gray, maps=maps, known=known)) == len(known) == 2
    again, anew = (
        find_text(gray, maps=maps, turn=turn, known=known),
        find_text(gray, maps=maps, turn=turn),
    )
    assert [(s.box, s.angle, s.crop.tobytes()) for s in again] == [
        (s.box, s.angle, s.crop.tobytes()) for s in anew
    ]
    assert len(known) == {0.0: 2, 90.0: 3, 180.0: 4}[turn]


def test_a_mark_behind_a_figure_makes_no_text_slanted():
    gray = paper()
    cv2.putText(gray, "6", (160, 110), FONT, 0.9, (20,), 2)
    for x in (188, 195):
        cv2.line(gray, (x, 88), (x, 93), (20,), 2)
    (spot,) = find_text(gray, maps=make_maps(gray, [(156, 82, 200, 116)]))
    assert spot.angle == 0.0


def test_a_long_text_askew_is_cut_the_way_its_ink_runs():
    level = paper()
    cv2.putText(level, "3125.75", (140, 110), FONT, 0.9, (20,), 2)
    turned = cv2.warpAffine(
        level, cv2.getRotationMatrix2D((200, 100), 15.0, 1.0), (400, 200), borderValue=(240,)
    )
    (spot,) = find_text(turned, maps=make_maps(turned, [(130, 60, 275, 140)]))
    assert angle_between(spot.angle, 15.0) < 2.0


def test_a_short_text_that_leans_is_cut_level_first_and_as_it_leans_too():
    level = paper()
    cv2.putText(level, "R2", (180, 110), FONT, 0.9, (20,), 2)
    turned = cv2.warpAffine(
        level, cv2.getRotationMatrix2D((200, 100), 25.0, 1.0), (400, 200), borderValue=(240,)
    )
    maps = make_maps(turned, [(172, 78, 224, 124)])
    (spot,) = find_text(turned, maps=maps)
    assert spot.angle == 0.0
    (cut,) = cut_along_lines(turned, maps, spot, level=0.0)
    assert angle_between(cut.angle, 25.0) < 6.0
