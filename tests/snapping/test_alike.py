"""COUNT ALIKE on drawn pictures with known counts (drawn by OpenCV, an outside renderer)."""

from __future__ import annotations

import math

import cv2
import numpy as np
import pytest

from audit.errors import BadPlace
from audit.geometry import Box
from audit.snapping import find_alike

PAPER, INK = 245, 30
FINE = 4  # bits of a pixel's fraction, for OpenCV's drawing


def sheet(width: int = 700, height: int = 500) -> np.ndarray:
    return np.full((height, width), PAPER, np.uint8)


def ring(picture: np.ndarray, x: float, y: float, r: float) -> None:
    centre = (round(x * 2**FINE), round(y * 2**FINE))
    cv2.circle(picture, centre, round(r * 2**FINE), INK, 2, cv2.LINE_AA, FINE)


def flag(picture: np.ndarray, x: float, y: float, *, turn: float = 0.0, size: float = 1.0) -> None:
    """A shape that is neither turned nor mirrored the same: an L with a ring in its corner."""
    c, s = size * math.cos(math.radians(turn)), size * math.sin(math.radians(turn))
    corners = [(-20, -20), (22, -20), (22, -8), (-8, -8), (-8, 10), (-20, 10)]
    placed = [(x + c * u - s * v, y + s * u + c * v) for u, v in corners]
    points = np.array([[round(a * 2**FINE), round(b * 2**FINE)] for a, b in placed], np.int32)
    cv2.polylines(picture, [points], True, INK, 2, cv2.LINE_AA, FINE)
    ring(picture, x + c * 8 - s * 8, y + s * 8 + c * 8, 6 * size)


def around(x: float, y: float, half: float = 28.0) -> Box:
    return Box(x - half, y - half, x + half, y + half)


def test_equal_holes_are_counted_and_others_are_not():
    picture = sheet()
    for x in (80, 200, 320, 440, 560):
        ring(picture, x, 120, 20)
    ring(picture, 120, 300, 14)
    ring(picture, 240, 300, 28)
    cv2.rectangle(picture, (360, 280), (400, 320), INK, 2)
    cv2.circle(picture, (480, 300), 20, INK, -1)
    found = find_alike(picture, around(80, 120))
    assert sorted(round(f.centre.x) for f in found) == [80, 200, 320, 440, 560]


def test_turned_and_slightly_scaled_copies_are_found_with_their_turn_and_size():
    picture = sheet()
    placed = [(90, 100, 0, 1.0), (250, 100, 37, 1.0), (420, 110, 151, 0.93), (580, 120, 290, 1.07)]
    for x, y, turn, size in placed:
        flag(picture, x, y, turn=turn, size=size)
    flag(picture, 150, 330, turn=80, size=1.4)
    flag(picture, 400, 330, turn=10, size=0.7)
    found = {round(f.centre.x / 10) * 10: f for f in find_alike(picture, around(90, 100))}
    assert sorted(found) == [90, 250, 420, 580]
    for x, y, turn, size in placed:
        find = found[round(x / 10) * 10]
        assert math.hypot(find.centre.x - x, find.centre.y - y) < 2
        assert abs((find.angle - turn + 180) % 360 - 180) < 4
        assert abs(find.scale - size) < 0.03


def test_mirrored_copy_is_not_alike():
    picture = sheet()
    flag(picture, 90, 100)
    other = sheet()
    flag(other, 300, 100)
    picture = np.minimum(picture, other[:, ::-1])
    assert len(find_alike(picture, around(90, 100))) == 1


def test_upright_only_leaves_turned_ones_out():
    picture = sheet()
    flag(picture, 90, 100)
    flag(picture, 250, 100)
    flag(picture, 420, 100, turn=90)
    assert len(find_alike(picture, around(90, 100), turned=False)) == 2


def test_lines_that_cross_or_touch_do_not_matter_on_the_example_or_elsewhere():
    picture = sheet()
    for x, y in ((90, 100), (250, 100), (410, 100), (90, 300), (250, 300)):
        ring(picture, x, y, 20)
        ring(picture, x, y, 8)
    cv2.line(picture, (40, 100), (500, 100), INK, 1)
    cv2.line(picture, (250, 60), (250, 460), INK, 1)
    cv2.line(picture, (70, 286), (20, 240), INK, 1)
    cv2.line(picture, (0, 420), (300, 250), INK, 1)
    assert len(find_alike(picture, around(90, 100))) == 5
    assert len(find_alike(picture, around(90, 300))) == 5


def test_worn_scan_counts_the_same():
    rng = np.random.default_rng(4)
    picture = sheet()
    places = [(70 + 110 * k, 90 + 130 * j) for k in range(6) for j in range(3)]
    for k, (x, y) in enumerate(places):
        flag(picture, x, y, turn=23.0 * k)
    soft = cv2.GaussianBlur(picture.astype(np.float32), (0, 0), 1.1)
    light = np.linspace(0.7, 1.0, picture.shape[1])[None, :]
    worn = np.clip(soft * light + rng.normal(0, 8, picture.shape), 0, 255).astype(np.uint8)
    assert len(find_alike(worn, around(*places[0]))) == len(places)


def test_only_where_asked():
    picture = sheet()
    for x in (80, 200, 320, 440, 560):
        ring(picture, x, 120, 20)
    found = find_alike(picture, around(560, 120), where=Box(0, 0, 260, 500))
    assert sorted(round(f.centre.x) for f in found) == [80, 200]


def test_large_features_and_large_sheets_are_counted_in_the_sheets_own_pixels():
    picture = sheet(5200, 900)
    for x in (300, 2990, 4800):
        ring(picture, x, 450, 150)
    found = find_alike(picture, around(300, 450, 190))
    assert sorted(round(f.centre.x / 10) for f in found) == [30, 299, 480]


@pytest.mark.parametrize(
    ("box", "what"),
    [
        (Box(900, 10, 960, 60), "outside"),
        (Box(10, 10, 14, 60), "smaller"),
        (Box(300, 300, 360, 360), "shows nothing"),
    ],
)
def test_box_that_is_no_example_is_refused_in_a_line(box, what):
    picture = sheet()
    ring(picture, 80, 120, 20)
    with pytest.raises(BadPlace, match=what):
        find_alike(picture, box)
