"""Marks that crowd a text: what they touch, where they stand, and on what they are never drawn."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from audit.training.reader import crowding, in_place
from audit.training.reader.layout import Page, set_line
from audit.training.reader.pens import StrokePen, own_hand
from audit.training.reader.sizes import Line, Part

TURNS = 25


def page_of(text: str) -> Page:
    """A text in our own letters, 36 px high."""
    rng = np.random.default_rng(3)
    found = set_line(
        rng, StrokePen(rng, own_hand(), wild=0.0), Line("number", (Part("text", text),)), 36.0
    )
    assert found is not None
    return found


def drawn_by(draw, text: str) -> list[tuple[np.ndarray, Page]]:
    """What a mark adds to a text's ink, drawn some times over."""
    page, rng, out = page_of(text), np.random.default_rng(5), []
    before = page.ink.copy()
    for _ in range(TURNS):
        page.ink[:] = before
        draw(rng, page, in_place.window_on_sheet(rng, page))
        out.append((page.ink > before, page))
    return out


@pytest.mark.parametrize("draw", [crowding.run_into, crowding.stand_on])
def test_a_line_runs_into_a_figure_or_nearly_so(draw):
    near = np.ones((7, 7), np.uint8)
    text = page_of("38")
    reach = np.asarray(cv2.dilate(text.ink, near)) > crowding.INKED
    found = [added for added, _ in drawn_by(draw, "38") if added.any()]
    assert len(found) > TURNS // 3
    assert np.mean([bool((added & reach).any()) for added in found]) > 0.9


def test_no_line_stands_on_a_lone_1():
    assert not any(added.any() for added, _ in drawn_by(crowding.stand_on, "1"))


def test_a_stub_lies_beside_the_text_at_the_height_of_a_dash():
    for added, page in drawn_by(crowding.stub_beside, "38"):
        x0, _, x1, _ = page.box
        rows = np.flatnonzero(added.any(axis=1))
        assert not added[:, x0 + 5 : x1 - 5].any()  # but for the round ends of a line
        assert page.baseline - page.cap < rows[0] <= rows[-1] < page.baseline


@pytest.mark.parametrize("text", ["38", "-", "."])
def test_specks_lie_higher_than_points(text):
    for added, page in drawn_by(crowding.specks, text):
        high = max(page.box[3] - 0.45 * page.cap, page.box[1])
        assert added[: round(high) + 4].any()
        assert not added[round(high) + 4 :].any()
