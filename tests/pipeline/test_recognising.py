"""The same print in another scan is recognised and laid on; another sheet of the plan is not."""

from __future__ import annotations

from functools import cache

import cv2
import numpy as np
import pytest

from audit.geometry import Transform
from audit.pipeline.recognising import (
    AnotherSheet,
    Likeness,
    Registered,
    look_at_sheet_image,
    register,
)

WIDE, TALL = 1700, 1100  # px at 100 dpi: 17 × 11 in
MM_PER_PX = 25.4 / 100


def draw_sheet(number: int) -> np.ndarray:
    """A sheet with the border and title block that all sheets of its plan share."""
    rng = np.random.default_rng(number)
    sheet = np.full((TALL, WIDE), 255, np.uint8)
    cv2.rectangle(sheet, (20, 20), (WIDE - 20, TALL - 20), 0, 3)
    cv2.rectangle(sheet, (1220, 840), (1680, 1080), 0, 2)
    words = ("MARBLE LIFT", "FULL SIZE", "ALL PARTS 1/4 THICK", "UNLESS NOTED", f"SHEET {number}")
    for row, text in enumerate(words):
        cv2.putText(sheet, text, (1240, 880 + 42 * row), cv2.FONT_HERSHEY_SIMPLEX, 1.0, 0, 2)
    for _ in range(16):
        x, y = (int(v) for v in rng.integers(60, (1000, 700)))
        wide, tall = (int(v) for v in rng.integers(50, 170, 2))
        cv2.rectangle(sheet, (x, y), (x + wide, y + tall), 0, 2)
        cv2.circle(sheet, (x + wide // 2, y + tall // 2), int(rng.integers(6, 22)), 0, 2)
        text = "{} {}/{}".format(*rng.integers(1, 17, 3))
        cv2.putText(sheet, text, (x + 4, y - 6), cv2.FONT_HERSHEY_SIMPLEX, 0.8, 0, 2)
    return sheet


def scan_again(sheet: np.ndarray, *, way: str) -> tuple[np.ndarray, np.ndarray]:
    """Another scan or photo of a print; and the map from the sheet to it."""
    rng = np.random.default_rng(11)
    if way == "photo":
        corners = np.float32([[0, 0], [WIDE, 0], [WIDE, TALL], [0, TALL]])
        seen = np.float32([[90, 60], [1750, 40], [1690, 1130], [40, 1080]])
        matrix = cv2.getPerspectiveTransform(corners, seen)
    elif way == "turned":
        matrix = np.array([[0, -1.0, TALL], [1.0, 0, 0], [0, 0, 1]])
    else:
        turn = np.deg2rad(-1.7)
        c, s = np.cos(turn), np.sin(turn)
        matrix = np.array([[0.985 * c, -s, 40], [s, 1.004 * c, 70], [0, 0, 1]])
    size = (1250, 1850) if way == "turned" else (1850, 1250)
    seen = cv2.warpPerspective(sheet, matrix, size, borderValue=230).astype(float)
    shade = 0.8 + 0.2 * np.arange(size[0]) / size[0]
    seen = cv2.GaussianBlur(seen * shade, (0, 0), 0.8) + rng.normal(0, 7, seen.shape)
    return np.clip(seen, 0, 255).astype(np.uint8), matrix


@cache
def look_again(way: str) -> tuple[Likeness, np.ndarray]:
    """The second sheet, as another scan or photo of it looks; several tests ask."""
    seen, matrix = scan_again(draw_sheet(2), way=way)
    return look_at_sheet_image(seen, Transform()), matrix


@pytest.fixture(scope="module")
def known():
    return {n: look_at_sheet_image(draw_sheet(n), Transform()) for n in (1, 2, 3)}


@pytest.mark.parametrize("way", ["scan", "photo", "turned"])
def test_another_scan_of_a_print_lies_where_it_should(known, way):
    seen, matrix = look_again(way)
    found = register(known[2], seen)
    assert isinstance(found, Registered)
    grid = np.array([(x, y) for x in (200, 800, 1500) for y in (150, 500, 950)], np.float32)
    true = cv2.perspectiveTransform(grid[None], matrix)[0]
    assert np.abs(found.to_ours.apply_many(grid) - true).max() * MM_PER_PX < 0.5
    assert found.residual * MM_PER_PX < 0.5


@pytest.mark.parametrize("other", [1, 3])
@pytest.mark.parametrize("way", ["scan", "photo"])
def test_another_sheet_with_the_same_title_block_is_refused(known, other, way):
    seen, _ = look_again(way)
    assert isinstance(register(known[other], seen), AnotherSheet)


def test_a_mirrored_print_is_not_the_same(known):
    mirrored = np.ascontiguousarray(draw_sheet(2)[:, ::-1])
    found = register(known[2], look_at_sheet_image(mirrored, Transform()))
    assert isinstance(found, AnotherSheet)


def test_an_empty_sheet_is_not_recognised(known):
    empty = look_at_sheet_image(np.full((500, 400), 255, np.uint8), Transform())
    assert len(empty.places) == 0
    assert isinstance(register(empty, known[1]), AnotherSheet)
    assert isinstance(register(known[1], empty), AnotherSheet)


def test_places_are_told_in_the_frame_of_the_sheet(known):
    half = look_at_sheet_image(draw_sheet(2), Transform.scaling(0.5))
    assert np.allclose(half.places * 2, known[2].places, atol=1e-3)
    found = register(known[2], half)
    assert isinstance(found, Registered)
    assert found.to_ours.apply((800, 600)) == pytest.approx((400, 300), abs=0.1)


def made_up(places: np.ndarray) -> Likeness:
    """Places that all look different from each other, and alike in every likeness of this kind."""
    rng = np.random.default_rng(8)
    looks = rng.integers(0, 256, (len(places), 128)).astype(np.uint8)
    return Likeness(places=places.astype(np.float32), looks=looks, per_px=1.0)


def test_places_that_agree_on_a_mirrored_map_are_refused():
    places = np.random.default_rng(3).uniform(0, 1000, (200, 2))
    assert isinstance(register(made_up(places), made_up(places + 7)), Registered)
    assert isinstance(register(made_up(places), made_up(places * [-1, 1])), AnotherSheet)


def test_a_minority_of_places_all_over_the_sheet_is_not_enough():
    rng = np.random.default_rng(4)
    places = rng.uniform(0, 1000, (300, 2))
    other = rng.uniform(0, 1000, (300, 2))
    other[::3] = places[::3] + 11  # a third agrees: a frame and a form that many sheets share
    assert isinstance(register(made_up(places), made_up(other)), AnotherSheet)
    other[: 2 * 300 // 3] = places[: 2 * 300 // 3] + 11
    assert isinstance(register(made_up(places), made_up(other)), Registered)
