"""Rings of one radius on a picture."""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np
import pytest

from audit.geometry import Box, Point
from audit.pipeline.drawn_rings import find_rings

WHERE = Box(0, 0, 800, 300)
OWN = (100, 150)


def picture(
    holes: Sequence[tuple[int, int]], *, radius: int = 25, blur: float = 0.0, noise: float = 0.0
) -> np.ndarray:
    """A plate with holes that have centre lines; a leader points at the first."""
    gray = np.full((300, 800), 235, np.uint8)
    cv2.rectangle(gray, (40, 60), (760, 240), 60, 3)
    for x, y in holes:
        cv2.circle(gray, (x, y), radius, 60, 3, cv2.LINE_AA)
        cv2.line(gray, (x - radius - 8, y), (x + radius + 8, y), 90, 1)
        cv2.line(gray, (x, y - radius - 8), (x, y + radius + 8), 90, 1)
    cv2.line(gray, (OWN[0] + 18, OWN[1] + 18), (200, 270), 60, 2)
    cv2.putText(gray, "5X O 1/2", (205, 280), cv2.FONT_HERSHEY_SIMPLEX, 0.9, 60, 2)
    if blur:
        gray = cv2.GaussianBlur(gray, (0, 0), blur)
    worn = gray + np.random.default_rng(5).normal(0, noise, gray.shape)
    return np.clip(worn, 0, 255).astype(np.uint8)


def whole(gray: np.ndarray, radius: float = 25.0) -> list[tuple[int, int]]:
    rings = find_rings(gray, Point(*OWN), radius, where=WHERE)
    return sorted(
        (10 * round(r.centre.x / 10), 10 * round(r.centre.y / 10)) for r in rings if r.whole
    )


@pytest.mark.parametrize(("blur", "noise"), [(0.0, 0.0), (1.5, 10.0)])
@pytest.mark.parametrize("radius", [12, 25, 40])
def test_rings_are_counted_on_clean_and_worn_pictures(radius, blur, noise):
    holes = [OWN, (300, 150), (500, 150), (640, 150)]
    gray = picture(holes, radius=radius, blur=blur, noise=noise)
    assert whole(gray, radius) == holes


def test_rings_of_another_size_and_filled_discs_are_not_counted():
    gray = picture([OWN, (300, 150)])
    cv2.circle(gray, (500, 150), 33, 60, 3)
    cv2.circle(gray, (640, 150), 26, 60, -1)
    assert whole(gray) == [OWN, (300, 150)]


def test_half_a_ring_is_counted_apart():
    gray = picture([OWN])
    cv2.ellipse(gray, (500, 150), (25, 25), 0, 0, 290, 60, 3)
    rings = find_rings(gray, Point(*OWN), 25.0, where=WHERE)
    assert sorted(r.whole for r in rings) == [False, True]


def test_nothing_is_known_where_the_hole_itself_is_not_seen():
    assert find_rings(picture([(300, 150)]), Point(*OWN), 25.0, where=WHERE) == ()


def test_rings_too_small_to_tell_from_letters_and_places_off_the_picture_are_left_alone():
    assert find_rings(picture([OWN], radius=6), Point(*OWN), 6.0, where=WHERE) == ()
    for off in (Box(900, 0, 990, 90), Box(-90, 0, -10, 400), Box(0, -90, 600, -10)):
        assert find_rings(picture([OWN]), Point(*OWN), 25.0, where=off) == ()
