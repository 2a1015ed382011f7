"""Cut-outs stand upright whatever the angle. Reference: scikit-image turns the pictures."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from skimage.transform import resize, rotate

from audit.geometry import Box
from audit.sheets.crop import cut_upright, measure_turned


def letter_f() -> np.ndarray:
    """An F of 40 × 60 px: differs from all its turned and mirrored selves."""
    pixels = np.full((60, 40), 255, np.uint8)
    pixels[5:55, 5:13] = 0
    pixels[5:13, 5:36] = 0
    pixels[27:34, 5:28] = 60
    return pixels


def turned_sheet(angle: float) -> tuple[np.ndarray, Box]:
    """A sheet with an F in its middle that runs at `angle`, and the upright box around it."""
    sheet = np.full((200, 200), 255, np.uint8)
    sheet[70:130, 80:120] = letter_f()
    turned = rotate(sheet / 255.0, angle, order=3, cval=1.0)  # counter-clockwise as seen
    c, s = abs(np.cos(np.radians(angle))), abs(np.sin(np.radians(angle)))
    wide, high = 40 * c + 60 * s, 40 * s + 60 * c
    box = Box(100 - wide / 2, 100 - high / 2, 100 + wide / 2, 100 + high / 2)
    return np.clip(turned * 255, 0, 255).astype(np.uint8), box


def likeness(a, b):
    rows, columns = min(a.shape[0], b.shape[0]), min(a.shape[1], b.shape[1])
    a, b = (p[:rows, :columns].astype(float).ravel() for p in (a, b))
    return np.corrcoef(a, b)[0, 1]


@pytest.mark.parametrize("angle", [0, 90, 180, 270, -90])
def test_quarter_turns_are_exact(angle):
    sheet, box = turned_sheet(angle)
    crop = cut_upright(sheet, box, angle=angle)
    assert np.abs(crop.astype(int) - letter_f()).max() <= 1


@pytest.mark.parametrize("angle", [1, 7, 20, 33, 58, 75, 100, 160, 210, 300, -12])
def test_any_angle_comes_upright(angle):
    sheet, box = turned_sheet(angle)
    crop = cut_upright(sheet, box, angle=angle)
    assert abs(crop.shape[0] - 60) <= 1
    assert abs(crop.shape[1] - 40) <= 1
    assert likeness(crop, letter_f()) > 0.97


@pytest.mark.parametrize("angle", [45, 40, 135])
def test_near_45_degrees_the_whole_box_is_taken(angle):
    sheet, box = turned_sheet(angle)
    crop = cut_upright(sheet, box, angle=angle)
    rows, columns = crop.shape
    middle = crop[rows // 2 - 30 : rows // 2 + 30, columns // 2 - 20 : columns // 2 + 20]
    assert likeness(middle, letter_f()) > 0.9
    assert rows >= 60
    assert columns >= 40


@pytest.mark.parametrize("angle", [0, 90, 30])
def test_a_mirrored_sheet_gives_an_unmirrored_text(angle):
    sheet, box = turned_sheet(angle)
    mirrored = sheet[:, ::-1]
    moved = Box(200 - box.x1, box.y0, 200 - box.x0, box.y1)
    # Mirrored left to right, a text at the angle a runs at 180 - a.
    crop = cut_upright(mirrored, moved, angle=180 - angle, mirrored=True)
    assert likeness(crop, letter_f()) > 0.95


@pytest.mark.parametrize("scale", [0.5, 2.0, 3.0])
@pytest.mark.parametrize("angle", [0, 30])
def test_the_scale_changes_the_size_and_nothing_else(scale, angle):
    sheet, box = turned_sheet(angle)
    crop = cut_upright(sheet, box, angle=angle, scale=scale)
    assert abs(crop.shape[0] - 60 * scale) <= 2
    assert abs(crop.shape[1] - 40 * scale) <= 2
    assert likeness(crop, resize(letter_f() / 255.0, crop.shape, anti_aliasing=True)) > 0.93


def test_outside_the_sheet_is_paper():
    sheet = np.zeros((20, 20), np.uint8)
    crop = cut_upright(sheet, Box(10, 10, 30, 30), angle=0)
    assert crop.shape == (20, 20)
    assert (crop[:10, :10] == 0).all()
    assert (crop[10:] == 255).all()
    assert (cut_upright(sheet, Box(100, 100, 110, 105), angle=0) == 255).all()


def test_a_box_of_no_size_is_one_pixel():
    assert cut_upright(np.zeros((9, 9), np.uint8), Box(3.5, 3.5, 3.5, 3.5), angle=0).shape == (1, 1)


@given(
    st.floats(5, 300),
    st.floats(5, 300),
    st.floats(-180, 180).filter(lambda a: abs(a % 90 - 45) > 12),
)
def test_the_sides_follow_from_the_upright_box(along, across, angle):
    c, s = abs(np.cos(np.radians(angle))), abs(np.sin(np.radians(angle)))
    box = Box(0, 0, along * c + across * s, along * s + across * c)
    assert measure_turned(box, angle=angle) == pytest.approx((along, across), rel=1e-6)
