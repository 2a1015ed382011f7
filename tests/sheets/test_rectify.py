"""Photos made flat: against scikit-image's projective transform and against repeated picking."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from skimage.transform import ProjectiveTransform

from audit.errors import BadPlace
from audit.geometry import Transform
from audit.lengths import Length, Unit
from audit.records import Frame, PageKind, Sheet
from audit.sheets import rectify
from audit.uncertainty import photo_scatter

INCH = 25.4
CORNERS = ((310.0, 220.0), (2700.0, 340.0), (2900.0, 1950.0), (150.0, 1800.0))


def inches(value):
    return Length(Fraction(value), Unit.IN)


def photo(*, mirrored=False):
    return Sheet(
        id=3,
        name="photo.jpg",
        source="photo.jpg",
        digest="0" * 64,
        page=1,
        frame=Frame.PX,
        kind=PageKind.SCAN,
        width=3000.0,
        height=2200.0,
        mirrored=mirrored,
        to_paper=Transform.scaling(0.127),
        paper_known=False,
    )


def flat(corners=CORNERS, *, width=11, height="17/2", sigma=0.5, sheet=None, **keys):
    sheet = sheet or photo()
    return rectify(sheet, corners, inches(width), inches(height), sigma=sigma, **keys)


def test_corners_land_on_the_rectangle_and_the_rest_as_scikit_image_says():
    sheet = flat()
    target = np.array([(0, 0), (11, 0), (11, 8.5), (0, 8.5)]) * INCH
    assert sheet.paper_known
    for corner, place in zip(CORNERS, target, strict=True):
        assert sheet.to_paper.apply(corner) == pytest.approx(tuple(place), abs=1e-7)
    reference = ProjectiveTransform.from_estimate(np.array(CORNERS), target)
    places = np.array([(500, 500), (1500, 1100), (2600, 1700), (400, 1700)], float)
    assert sheet.to_paper.apply_many(places) == pytest.approx(reference(places), abs=1e-6)


def test_the_rest_of_the_sheet_stays_as_it_was():
    before, after = photo(), flat()
    for name in ("id", "name", "width", "height", "frame", "turn"):
        assert getattr(after, name) == getattr(before, name)


@pytest.mark.parametrize("corners", [CORNERS, ((500, 500), (2500, 500), (2500, 2045), (500, 2045))])
def test_the_stated_uncertainty_is_what_repeated_picking_gives(corners):
    """Monte Carlo, JCGM 101: the corners picked 400 times with the stated scatter.

    Every photograph departs from a plane view besides, also where the corners lie.
    """
    rng = np.random.default_rng(20)
    sigma = 1.5
    scatter_px = math.hypot(sigma, photo_scatter(photo()))
    u_paper = flat(corners, sigma=sigma).u_paper
    target = np.array([(0, 0), (11, 0), (11, 8.5), (0, 8.5)]) * INCH
    truth = ProjectiveTransform.from_estimate(np.array(corners, float), target)
    paper = np.array([(x, y) for x in (0, 1, 2, 3, 4) for y in (0, 1, 2, 3, 4)]) / 4
    places = truth.inverse(paper * (11 * INCH, 8.5 * INCH))
    i, j = np.triu_indices(25, k=1)
    lengths = []
    for _ in range(400):
        moved = np.array(corners) + rng.normal(0, scatter_px, (4, 2))
        seen = ProjectiveTransform.from_estimate(moved, target)(places)
        lengths.append(np.hypot(*(seen[i] - seen[j]).T))
    scatter = math.sqrt(np.var(lengths, axis=0).mean() / 2)
    assert u_paper == pytest.approx(scatter, rel=0.08)


def test_an_uncertain_rectangle_adds_to_the_uncertainty():
    sure, unsure = flat().u_paper, flat(u_size=1.0).u_paper
    assert unsure > 1.2 * sure
    drawn = replace(photo(), kind=PageKind.VECTOR)  # no camera: the corners alone
    one, two = (flat(sigma=s, sheet=drawn).u_paper for s in (0.5, 1.0))
    assert two == pytest.approx(2 * one, rel=0.02)
    assert sure > 2 * one  # half a pixel is less than what a photo of this size departs by


def test_a_mirrored_photo_takes_its_corners_as_seen_unmirrored():
    corners = tuple((3000 - x, y) for x, y in CORNERS)
    sheet = flat(corners, sheet=photo(mirrored=True))
    assert sheet.to_paper.apply(corners[1]) == pytest.approx((11 * INCH, 0), abs=1e-7)
    with pytest.raises(BadPlace, match="counter-clockwise"):
        flat(corners)


A, B, C, D = CORNERS
WRONG = {
    "crossed": ((A, C, B, D), "the sides of the rectangle cross or bend inwards"),
    "crossed the other way": ((A, B, D, C), "the sides of the rectangle cross or bend inwards"),
    "bent inwards": ((A, B, (1000, 800), D), "the sides of the rectangle cross or bend inwards"),
    "backwards": ((A, D, C, B), "the corners go counter-clockwise"),
    "in a line": ((A, B, C, (1605.0, 1085.0)), "three of the corners lie on one line"),
    "all in a line": (((1, 1), (9, 9), (30, 30), (99, 99)), "three of the corners lie on one line"),
    "outside": ((A, B, (3100, 1900), D), "the corner 3100,1900 lies outside photo.jpg"),
    "too close": ((A, (311, 221), C, D), "two corners are too close together"),
    "not a number": ((A, B, C, (float("nan"), 5)), "a corner is no number"),
    "three": ((A, B, C), "a rectangle has four corners, not 3"),
    "second corner first": ((D, A, B, C), "from these corners the rectangle is taller than wide"),
}


@pytest.mark.parametrize("name", WRONG)
def test_corners_that_cannot_be_are_refused_in_one_line(name):
    corners, problem = WRONG[name]
    with pytest.raises(BadPlace) as caught:
        flat(corners)
    assert caught.value.problem.startswith(problem)
    assert caught.value.advice


def test_a_rectangle_needs_a_size():
    with pytest.raises(BadPlace, match="a width and a height above zero"):
        flat(width=0)
    with pytest.raises(BadPlace, match="a width and a height above zero"):
        rectify(photo(), CORNERS, Length(Fraction(90), Unit.DEG), inches(8), sigma=0.5)


@given(st.floats(-0.35, 0.35), st.floats(-0.35, 0.35), st.floats(-35, 35), st.floats(0.4, 1.0))
def test_a_flat_sheet_seen_by_a_pinhole_camera_is_recovered(tilt, pan, turn, zoom):
    """Whatever the camera's place: 6 in on the paper are 6 in (projection written out here)."""
    camera = pinhole(tilt, pan, turn, zoom)
    corners = [camera(x, y) for x, y in ((0, 0), (11, 0), (11, 8.5), (0, 8.5))]
    assume(all(0 <= x <= 3000 and 0 <= y <= 2200 for x, y in corners))
    sheet = flat(corners)
    a, b = sheet.to_paper.apply(camera(2, 3)), sheet.to_paper.apply(camera(8, 3))
    assert a.distance(b) == pytest.approx(6 * INCH, rel=1e-6)


def pinhole(tilt, pan, turn, zoom):
    def rotation(angle, i, j):
        m = np.eye(3)
        m[i, i] = m[j, j] = math.cos(angle)
        m[i, j], m[j, i] = -math.sin(angle), math.sin(angle)
        return m

    r = rotation(tilt, 1, 2) @ rotation(pan, 0, 2) @ rotation(math.radians(turn), 0, 1)

    def see(x, y):
        p = r @ np.array([x - 5.5, y - 4.25, 0.0]) + (0, 0, 20)
        return float(1500 + 4200 * zoom * p[0] / p[2]), float(1100 + 4200 * zoom * p[1] / p[2])

    return see
