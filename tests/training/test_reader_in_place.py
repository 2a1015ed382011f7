"""The generator's crops in their place on a sheet: nothing of the text may be missing in them."""

from __future__ import annotations

import numpy as np
import pytest

from audit.training.reader import clutter, crowding, in_place
from audit.training.reader.aiming import aim_at
from audit.training.reader.layout import Page, set_line
from audit.training.reader.pens import StrokePen, own_hand
from audit.training.reader.sizes import Line, Part


@pytest.fixture
def page() -> Page:
    rng = np.random.default_rng(3)
    line = Line("number", (Part("text", "12"), Part("stack", "3", "8"), Part("text", '"')))
    found = set_line(rng, StrokePen(rng, own_hand(), wild=0.0), line, 36.0)
    assert found is not None
    return found


def test_a_crop_cut_in_its_place_is_tight_around_all_of_the_text(page: Page) -> None:
    x0, y0, x1, y1 = page.box
    crop = in_place.draw_in_place(np.random.default_rng(1), page, look="clean", cap_px=24.0)
    assert crop is not None
    high, wide = crop.shape
    assert 0.9 < wide / high * (y1 - y0) / (x1 - x0) < 1.4
    assert high < 1.6 * 24.0 / page.cap * (y1 - y0)


def test_a_line_that_stands_off_the_text_is_whitened(page: Page, monkeypatch) -> None:
    def across(rng: object, drawn: Page, window: clutter.Window) -> None:
        drawn.ink[drawn.box[1] - 9 : drawn.box[1] - 6] = 255

    rng = np.random.default_rng(2)
    monkeypatch.setattr(crowding, "ON_SHEETS", ((1.0, across),))
    monkeypatch.setattr(in_place, "CLUTTERED", 1.0)
    crop = in_place.draw_in_place(rng, page, look="clean", cap_px=24.0)
    assert crop is not None
    assert (crop < 128).mean(axis=1).max() < 0.9


def test_a_crop_that_lost_a_mark_of_the_text_is_no_crop_of_it(page: Page) -> None:
    rng = np.random.default_rng(4)
    aim = aim_at(rng, page, in_place.window_on_sheet(rng, page), cap_px=24.0)
    text = aim.take(page.ink)
    picture = 255 - text
    rows, columns = np.nonzero(text > in_place.OWN)
    box = (columns.min(), rows.min(), columns.max() + 1, rows.max() + 1)
    room = in_place.MARGIN * (box[3] - box[1])
    whole = picture[int(box[1] - room) : box[3] + 5, int(box[0] - room) : box[2] + 5]
    assert in_place.holds(picture, text, box, whole)
    without = whole.copy()
    without[: whole.shape[0] // 2, -(whole.shape[1] // 6) :] = 255
    assert not in_place.holds(picture, text, box, without)


def test_marks_taken_for_text_are_those_joined_to_it_and_no_farther(page: Page) -> None:
    ink, (_, y0, x1, y1) = page.ink.copy(), page.box
    middle, high = (y0 + y1) // 2, y1 - y0
    first = int(np.flatnonzero(page.ink[middle] > in_place.OWN)[0])
    ink[middle, first - high // 2 - 9 : first] = 255  # a dimension line that runs into the text
    ink[y0:y1, x1 + 4] = 255  # a line that stands by itself
    taken = in_place.with_marks(np.random.default_rng(5), page.ink, ink)
    assert taken[middle, first - 3] == 255
    assert taken[middle, first - high // 2 - 9] == 0
    assert not taken[y0:y1, x1 + 4].any()
    assert np.array_equal(taken[:, first:x1], page.ink[:, first:x1])


def test_a_dimension_by_hand_stands_on_both_sides_of_its_text(page: Page) -> None:
    before, rng = page.ink.copy(), np.random.default_rng(6)
    x0, _, x1, _ = page.box
    sides = [0, 0]
    for _ in range(20):
        page.ink[:] = before
        clutter.dimension_by_hand(rng, page, in_place.window_on_sheet(rng, page))
        assert (page.ink >= before).all()
        drawn = page.ink != before
        sides[0] += bool(drawn[:, :x0].any())
        sides[1] += bool(drawn[:, x1:].any())
    assert min(sides) > 12
