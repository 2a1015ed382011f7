"""Plane transforms against scikit-image, numpy and the invariants of projective geometry."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from skimage.transform import ProjectiveTransform

from audit.geometry import NotInvertible, Point, Transform
from tests.geometry.shapes import SQUARE, corners, views

INSIDE = st.tuples(st.floats(0, 1000), st.floats(0, 1000)).map(lambda p: Point(*p))
GRID = np.array([(x, y) for x in np.linspace(0, 1000, 6) for y in np.linspace(0, 800, 5)])


@given(corners())
def test_homography_of_four_corners_is_that_of_scikit_image(seen):
    ours = Transform.from_points(seen, SQUARE)
    reference = ProjectiveTransform.from_estimate(seen, SQUARE)
    assert ours.apply_many(seen) == pytest.approx(SQUARE, abs=1e-6)
    assert ours.apply_many(GRID) == pytest.approx(reference(GRID), abs=1e-6)


@pytest.mark.parametrize("noise", [0.0, 0.3, 2.0])
@pytest.mark.parametrize("seed", range(5))
def test_homography_of_many_points_is_that_of_scikit_image(noise, seed):
    """Both solve the normalised algebraic problem; OpenCV, which refines, differs with noise."""
    rng = np.random.default_rng(seed)
    true = ProjectiveTransform(np.array([[1.1, 0.1, 30], [-0.2, 0.9, 80], [1e-4, -2e-4, 1.0]]))
    seen = true(GRID) + rng.normal(0, noise, GRID.shape)
    ours = Transform.from_points(GRID, seen)
    reference = ProjectiveTransform.from_estimate(GRID, seen)
    assert ours.apply_many(GRID) == pytest.approx(reference(GRID), abs=max(1e-7, 0.02 * noise))
    off = ours.apply_many(GRID) - true(GRID)
    assert np.sqrt((off**2).mean()) <= 0.7 * noise + 1e-7  # 8 parameters of 60 numbers: .37


@pytest.mark.parametrize(("shift", "stretch"), [(1e4, 1.0), (0.0, 1e-5), (0.0, 1e7)])
def test_homography_does_not_depend_on_where_and_how_large_the_points_are(shift, stretch):
    """Without normalising, the many-point problem is solved worse far from the origin."""
    rng = np.random.default_rng(3)
    seen = GRID + rng.normal(0, 1.0, GRID.shape)
    near = Transform.from_points(seen, GRID).apply_many(GRID)
    far = Transform.from_points(seen * stretch + shift, GRID).apply_many(GRID * stretch + shift)
    assert far == pytest.approx(near, abs=1e-5)


@given(views())
def test_four_collinear_points_keep_their_cross_ratio(view):
    """At 0, 1, 3, 7 of a line it is 9/7, before and after any plane view."""
    along = [view.apply((100 + 100 * t, 50 + 90 * t)) for t in (0, 1, 3, 7)]
    a, b, c, d = along
    ratio = a.distance(c) * b.distance(d) / (b.distance(c) * a.distance(d))
    assert ratio == pytest.approx(9 / 7, rel=1e-6)


@given(views(), INSIDE)
def test_inverse_takes_every_place_back(view, place):
    assert view.inverse().apply(view.apply(place)) == pytest.approx(place, abs=1e-6)


@given(views(), views(), INSIDE)
def test_then_is_one_after_the_other(first, second, place):
    step = first.apply(place)
    both = first.then(second).apply(place)
    assert np.isfinite(both).all()
    assert both == pytest.approx(second.apply(step), rel=1e-7, abs=1e-6)


@given(views(), INSIDE)
def test_jacobian_is_what_small_steps_come_to(view, place):
    step = 1e-3
    columns = [
        (np.array(view.apply(place.moved(*d))) - view.apply(place.moved(-d[0], -d[1]))) / (2 * step)
        for d in ((step, 0.0), (0.0, step))
    ]
    assert view.jacobian(place) == pytest.approx(np.array(columns).T, rel=1e-5, abs=1e-6)


@given(views(), st.lists(INSIDE, min_size=1, max_size=6))
def test_many_places_are_mapped_like_single_ones(view, places):
    together = view.apply_many(places)
    assert together == pytest.approx(np.array([view.apply(p) for p in places]), rel=1e-12)


def test_scaling_is_affine_and_a_view_askew_is_not():
    assert Transform().apply((3, 4)) == (3, 4)
    assert Transform.scaling(2).apply((3, 4)) == (6, 8)
    assert Transform.scaling(2, 3).apply((3, 4)) == (6, 12)
    assert Transform.scaling(2, 3).is_affine
    assert not Transform(((1, 0, 0), (0, 1, 0), (1e-9, 0, 1))).is_affine


def test_matrix_goes_in_and_comes_out():
    matrix = np.arange(9.0).reshape(3, 3)
    assert np.array_equal(Transform.from_matrix(matrix).matrix, matrix)
    assert Transform.from_matrix(matrix.ravel().tolist()) == Transform.from_matrix(matrix)


@pytest.mark.parametrize(
    ("source", "target"),
    [
        (SQUARE[:3], SQUARE[:3]),
        (SQUARE, SQUARE[:3]),
        ([(0, 0), (1, 1), (2, 2), (5, 0)], SQUARE),
        (SQUARE, [(0, 0), (1, 1), (2, 2), (5, 0)]),
        ([(1, 1)] * 4, SQUARE),
        ([(0, 0), (1, 1), (2, 2), (3, 3)], SQUARE),
        ([(0, 0), (0, 0), (5, 5), (5, 0)], SQUARE),
    ],
    ids=["three", "unequal", "three in line", "target in line", "one place", "line", "doubled"],
)
def test_points_that_fix_no_homography_are_refused(source, target):
    with pytest.raises(NotInvertible):
        Transform.from_points([tuple(p) for p in source], [tuple(p) for p in target])


@pytest.mark.parametrize(
    "rows",
    [
        ((0.0, 0.0, 0.0),) * 3,
        ((1.0, 2.0, 3.0), (2.0, 4.0, 6.0), (0.0, 0.0, 1.0)),
        ((float("nan"), 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
        ((float("inf"), 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
    ],
)
def test_a_transform_that_squeezes_the_plane_has_no_inverse(rows):
    with pytest.raises(NotInvertible):
        Transform(rows).inverse()


@given(st.floats(1e-3, 1e3))
def test_small_and_large_scalings_can_be_undone(factor):
    back = Transform.scaling(factor).inverse()
    assert back.apply((factor, 2 * factor)) == pytest.approx((1, 2))
