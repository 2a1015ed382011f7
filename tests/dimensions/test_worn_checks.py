"""The bench's pictures: what is drawn lies where the truth is taken to be."""

from __future__ import annotations

import re

import numpy as np
import pytest

from tests.bench.ezdxf_sheets import make_sheet
from tests.bench.ezdxf_styles import DEVELOPMENT
from tests.bench.worn_checks import give

DPI = 100
DARK = 150  # gray levels; paper is lighter however it is worn here


# pages turned by 270, 90 and 0 degrees
@pytest.mark.parametrize(("how", "seed"), [("scan", 0), ("skewed", 12), ("photo", 2)])
def test_ends_of_dimensions_lie_on_ink_of_the_picture_that_is_checked(how, seed):
    rng = np.random.default_rng(seed)
    sheet = make_sheet(DEVELOPMENT[4], rng, factor=25.4)
    given = give(sheet, how=how, dpi=DPI, rng=rng)
    ends = [e for t in sheet.truths if t.kind == "distance" for e in t.ends]
    assert len(ends) > 20
    on_ink = [_is_dark(given.pixels, given.from_pt.apply(e)) for e in ends]
    assert np.mean(on_ink) > 0.95
    beside = [_is_dark(given.pixels, given.from_pt.apply((e[0] + 7, e[1] + 7))) for e in ends]
    assert np.mean(beside) < 0.75


def test_the_corners_given_for_a_photo_are_its_papers_clockwise_from_the_upper_left():
    rng = np.random.default_rng(0)
    sheet = make_sheet(DEVELOPMENT[4], rng, factor=25.4)
    given = give(sheet, how="photo", dpi=DPI, rng=rng)
    assert given.rectangle.startswith("12 x 9 in @ 1:")
    places = [tuple(map(float, p)) for p in re.findall(r"([\d.]+),([\d.]+)", given.rectangle)]
    h, w = given.pixels.shape
    for (x, y), (near_x, near_y) in zip(places, [(0, 0), (w, 0), (w, h), (0, h)], strict=True):
        assert abs(x - near_x) <= 0.06 * w
        assert abs(y - near_y) <= 0.06 * h


def _is_dark(pixels, p) -> bool:
    row, column = int(p.y), int(p.x)
    return bool(pixels[max(row - 2, 0) : row + 3, max(column - 2, 0) : column + 3].min() < DARK)
