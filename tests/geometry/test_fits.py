"""Lines and circles through points, against scikit-image, numpy and scipy."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import least_squares
from skimage.measure import CircleModel, LineModelND

from audit.geometry import angle_between, direction_deg, fit_circle, fit_line
from tests.geometry.shapes import PLACES

# scikit-image 0.26 calls what scipy 1.18 is going to drop; that is for them to settle.
pytestmark = pytest.mark.filterwarnings("ignore:.minkowski_distance:DeprecationWarning")
TURN = st.floats(0, 2 * math.pi)


def arc(centre, radius, *, start=0.0, sweep=2 * math.pi, count=40):
    angles = start + np.linspace(0, sweep, count, endpoint=False)
    return centre + radius * np.column_stack([np.cos(angles), np.sin(angles)])


def along(direction) -> float:
    return direction_deg((0, 0), direction)


@given(st.lists(PLACES, min_size=3, max_size=30))
def test_line_is_that_of_scikit_image(points):
    p = np.array(points)
    spread = np.linalg.svd(p - p.mean(axis=0), compute_uv=False)
    assume(spread[0] > 1 and spread[1] < 0.9 * spread[0])  # else no direction is the best
    ours = fit_line(p)
    reference = LineModelND.from_estimate(p)
    assert tuple(ours.point) == pytest.approx(tuple(reference.origin), abs=1e-6)
    assert angle_between(along(ours.direction), along(reference.direction)) == pytest.approx(
        0, abs=1e-4
    )
    residuals = reference.residuals(p)
    assert ours.rms == pytest.approx(math.sqrt(np.mean(residuals**2)), rel=1e-6, abs=1e-6)
    assert ours.count == len(p)


@given(st.lists(PLACES, min_size=2, max_size=8), st.data())
def test_a_whole_weight_counts_like_so_many_points(points, data):
    p = np.array(points)
    weights = data.draw(st.lists(st.integers(1, 4), min_size=len(p), max_size=len(p)))
    repeated = np.repeat(p, weights, axis=0)
    spread = np.linalg.svd(repeated - repeated.mean(axis=0), compute_uv=False)
    assume(spread[0] > 1 and spread[1] < 0.9 * spread[0])
    ours, reference = fit_line(p, weights=weights), fit_line(repeated)
    assert tuple(ours.point) == pytest.approx(tuple(reference.point), abs=1e-6)
    assert ours.rms == pytest.approx(reference.rms, rel=1e-6, abs=1e-5)


@pytest.mark.parametrize("points", [[], [(1, 2)], [(1, 2), (1, 2)], [(3, 3)] * 5])
def test_fewer_than_two_places_make_no_line(points):
    with pytest.raises(ValueError, match="two different points"):
        fit_line(points)


@given(PLACES, st.floats(0.5, 2000), TURN, st.floats(0.7, 2 * math.pi))
def test_circle_through_exact_points_is_found_also_from_an_arc(centre, radius, start, sweep):
    points = arc(np.array(centre), radius, start=start, sweep=sweep)
    ours = fit_circle(points)
    assert ours.radius == pytest.approx(radius, rel=1e-6)
    assert tuple(ours.centre) == pytest.approx(tuple(centre), abs=1e-5 * radius + 1e-6)
    assert ours.rms < 1e-6 * radius


def test_circle_is_that_of_scikit_image_where_points_are_exact():
    points = arc(np.array([120.0, -40.0]), 33.0, sweep=4.0)
    reference = CircleModel.from_estimate(points)
    ours = fit_circle(points)
    assert (*ours.centre, ours.radius) == pytest.approx(
        (*reference.center, reference.radius), rel=1e-9
    )


@pytest.mark.parametrize("seed", range(6))
def test_circle_through_scattered_points_has_the_least_distances(seed):
    """Against scipy's general least squares on the same distances; scikit-image is algebraic."""
    rng = np.random.default_rng(seed)
    points = arc(np.array([500.0, 300.0]), 80.0, start=seed, sweep=1.6) + rng.normal(
        0, 0.8, (40, 2)
    )
    ours = fit_circle(points)

    def distances(p):
        return np.hypot(points[:, 0] - p[0], points[:, 1] - p[1]) - p[2]

    best = least_squares(distances, (500.0, 300.0, 80.0), xtol=1e-14, ftol=1e-14)
    assert (*ours.centre, ours.radius) == pytest.approx(tuple(best.x), rel=1e-5)
    assert ours.rms == pytest.approx(math.sqrt(2 * best.cost / 40), rel=1e-8)
    algebraic = CircleModel.from_estimate(points)
    assert ours.rms <= math.sqrt(np.mean(algebraic.residuals(points) ** 2)) + 1e-12


def test_far_from_the_origin_a_small_circle_is_still_found():
    ours = fit_circle(arc(np.array([1e6, -2e6]), 0.5))
    assert ours.radius == pytest.approx(0.5, rel=1e-6)
    assert tuple(ours.centre) == pytest.approx((1e6, -2e6), rel=1e-12)


@pytest.mark.parametrize(
    ("points", "says"),
    [
        ([], "three points"),
        ([(0, 0), (1, 0)], "three points"),
        ([(4, 4)] * 6, "three different points"),
        ([(0, 0), (1, 1), (2, 2), (7, 7)], "on a line"),
    ],
)
def test_points_without_a_circle_are_refused(points, says):
    with pytest.raises(ValueError, match=says):
        fit_circle(points)
