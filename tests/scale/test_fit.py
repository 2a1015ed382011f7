"""Least squares for scales against other solvers."""

from __future__ import annotations

import math

import numpy as np
import pytest

from audit.geometry import Point
from audit.scale.fit import Prior, Tie, fit_scales
from audit.scale.pairs import Pair

OPEN = Prior(stretch=0.5, shear=0.5)


def pair(dx, dy, real, *, view=1, source=0, u=0.1):
    return Pair(
        source=source,
        view=view,
        dx=dx,
        dy=dy,
        real=real,
        u_paper=u,
        u_real=0.0,
        tolerance=0.4,
        middle=Point(0, 0),
    )


def noisy(rng, n=14, *, x=2.02, y=1.97, shear=0.01, u=0.1):
    pairs = []
    for k in range(n):
        t, length = rng.uniform(0, math.pi), rng.uniform(20, 200)
        dx, dy = length * math.cos(t), length * math.sin(t)
        real = math.sqrt((x * dx) ** 2 + (y * dy) ** 2 + 2 * x * y * shear * dx * dy)
        pairs.append(pair(dx, dy, real + rng.normal(0, 2 * u), source=k, u=u))
    return pairs


def relative(pairs):
    return np.array([p.u_paper / p.drawn for p in pairs])


def test_metric_of_exact_lengths_is_found_exactly():
    pairs = noisy(np.random.default_rng(1), u=1e-9)
    fit = fit_scales(pairs, [0] * len(pairs), relative_u=relative(pairs), prior=OPEN)
    mean, stretch, shear = fit.theta
    assert math.exp(mean + stretch / 2) == pytest.approx(2.02, rel=1e-6)
    assert math.exp(mean - stretch / 2) == pytest.approx(1.97, rel=1e-6)
    assert shear == pytest.approx(0.01, abs=1e-6)


def test_metric_and_covariance_against_statsmodels():
    """The squared lengths are linear in (x², xy·shear, y²): a second model, a second solver."""
    statsmodels = pytest.importorskip("statsmodels.regression.linear_model")
    pairs = noisy(np.random.default_rng(2), n=40, u=0.02)
    fit = fit_scales(pairs, [0] * len(pairs), relative_u=relative(pairs), prior=OPEN)
    design = np.array([[p.dx**2, 2 * p.dx * p.dy, p.dy**2] for p in pairs])
    squared = np.array([p.real**2 for p in pairs])
    weights = [1 / (2 * p.real**2 * p.u_paper / p.drawn) ** 2 for p in pairs]
    result = statsmodels.WLS(squared, design, weights=weights).fit()
    xx, xy, yy = result.params
    mean, stretch, shear = fit.theta
    assert mean + stretch / 2 == pytest.approx(math.log(xx) / 2, abs=2e-6)
    assert mean - stretch / 2 == pytest.approx(math.log(yy) / 2, abs=2e-6)
    assert shear == pytest.approx(xy / math.sqrt(xx * yy), abs=4e-6)
    u_log_x = math.sqrt(result.normalized_cov_params[0, 0]) / (2 * xx)
    pick = np.array([1, 0.5, 0])
    assert math.sqrt(pick @ fit.covariance @ pick) == pytest.approx(u_log_x, rel=0.01)


@pytest.mark.parametrize("k", [0, 5, 13])
def test_leaving_one_out_equals_a_second_fit(k):
    pairs = noisy(np.random.default_rng(3))
    groups = [i % 2 for i in range(len(pairs))]
    ties = [Tie(first=1, second=0, difference=0.0, u=0.001)]
    u = relative(pairs)
    whole = fit_scales(pairs, groups, relative_u=u, prior=OPEN, ties=ties)
    theta, covariance = whole.without(k)
    rest = [i for i in range(len(pairs)) if i != k]
    second = fit_scales(
        [pairs[i] for i in rest],
        [groups[i] for i in rest],
        relative_u=u[rest],
        prior=OPEN,
        ties=ties,
    )
    assert theta == pytest.approx(second.theta, abs=2e-6)
    assert covariance == pytest.approx(second.covariance, rel=2e-2, abs=1e-12)


def test_a_length_that_was_gated_away_changes_nothing_when_left_out():
    pairs = noisy(np.random.default_rng(4))
    use = np.ones(len(pairs))
    use[3] = 0.0
    fit = fit_scales(pairs, [0] * len(pairs), relative_u=relative(pairs), prior=OPEN, use=use)
    theta, covariance = fit.without(3)
    assert theta is fit.theta
    assert covariance is fit.covariance


def test_no_lengths_fix_no_scale():
    with pytest.raises(ValueError, match="at least one"):
        fit_scales([], [], relative_u=np.array([]), prior=OPEN)
