"""Text at any angle; turned by scikit-image, set by MuPDF."""

from __future__ import annotations

import numpy as np
import pytest
from skimage import transform

from audit.networks.decoding import NetCandidate
from audit.networks.turns import _decide, looks_turnable, measure_slant, read_any_turn
from tests.snapping.drawn import new_page, render


def crop_of(text: str) -> np.ndarray:
    page = new_page()
    page.insert_text((60, 60), text, fontsize=11)
    gray = render(page, 300).gray
    rows, columns = np.nonzero(gray < 128)
    return gray[rows.min() - 6 : rows.max() + 7, columns.min() - 6 : columns.max() + 7]


@pytest.mark.parametrize(("quarters", "angle"), [(0, 0), (1, 90), (2, 180), (3, -90)])
@pytest.mark.parametrize("text", ["3 5/32", "12.75", "4X R 3/8"])
def test_text_is_brought_upright_from_every_quarter_turn(text, quarters, angle):
    (upright,) = read_any_turn([np.rot90(crop_of(text), quarters).copy()])
    assert upright.candidates[0].text == text
    assert abs(upright.angle) == abs(angle)
    if angle != 180:
        assert upright.angle == angle


@pytest.mark.parametrize("slant", [20.0, 35.0, -25.0, 60.0])
def test_slanted_text_is_levelled(slant):
    level = crop_of("3 5/32 TYP")
    turned = transform.rotate(level, slant, resize=True, cval=1.0, order=3)
    crop = np.clip(turned * 255, 0, 255).astype(np.uint8)
    assert measure_slant(crop) == pytest.approx(slant, abs=1.5)
    (upright,) = read_any_turn([crop])
    assert upright.candidates[0].text == "3 5/32 TYP"
    assert upright.angle == pytest.approx(slant, abs=1.5)


def test_text_that_reads_both_ways_up_gives_both_readings():
    (upright,) = read_any_turn([crop_of("68")])
    assert [c.text for c in upright.candidates[:2]] == ["68", "89"]
    assert upright.candidates[0].confidence < 1.0


def test_turnable_is_only_what_other_figures_can_look_like():
    assert looks_turnable("961")
    assert not looks_turnable("3 5/8")
    assert not looks_turnable("")


def test_nothing_to_read_is_nothing_at_any_turn():
    blank = np.full((40, 120), 250, np.uint8)
    assert [u.candidates for u in read_any_turn([blank, np.zeros((2, 2), np.uint8)])] == [(), ()]
    assert read_any_turn([]) == ()


def test_wide_text_is_not_turned_on_end_however_sure_a_turned_look_is():
    crop = crop_of("6-17/32")
    level, turned = (NetCandidate("6-17/32", 0.35),), (NetCandidate("87", 0.43),)
    heard = {(0.0, 0): level, (0.0, 1): turned, (0.0, 3): turned}
    assert _decide(crop, heard).candidates[0].text == "6-17/32"
    assert _decide(np.rot90(crop).copy(), heard).candidates[0].text == "87"
