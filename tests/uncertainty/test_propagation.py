"""The law of propagation against the worked examples of the GUM and other libraries."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from audit.uncertainty import (
    combine,
    combine_many,
    expand,
    few_values_factor,
    rectangular,
)

uncertainties = pytest.importorskip("uncertainties")
umath = pytest.importorskip("uncertainties.umath")


def test_end_gauge_of_gum_h1_has_32_nm():
    """JCGM 100:2008 H.1: l = 50 000 838 nm, u = 32 nm (31.66 by the library GTC)."""
    ls, d, alpha, theta, d_alpha, d_theta = 50_000_623.0, 215.0, 11.5e-6, -0.1, 0.0, 0.0
    u_d = math.sqrt(5.8**2 + 3.9**2 + 6.7**2)
    u_theta = math.hypot(0.2, 0.5 / math.sqrt(2))  # mean temperature and an arcsine cycle
    inputs = [25.0, u_d, rectangular(2e-6), u_theta, rectangular(1e-6), rectangular(0.05)]
    gradient = [
        1 - (d_alpha * theta + alpha * d_theta),
        1.0,
        -ls * d_theta,
        -ls * d_alpha,
        -ls * theta,
        -ls * alpha,
    ]
    u = combine(gradient, np.diag(np.square(inputs)))
    assert u == pytest.approx(31.66, abs=0.01)
    with_library = [
        uncertainties.ufloat(v, s)
        for v, s in zip((ls, d, alpha, theta, d_alpha, d_theta), inputs, strict=True)
    ]
    a, b, c, t, dc, dt = with_library
    length = a + b - a * (dc * t + c * dt)
    assert length.nominal_value == pytest.approx(50_000_838.0)
    assert u == pytest.approx(length.std_dev, rel=1e-9)


def test_correlated_impedance_of_gum_h2():
    """JCGM 100:2008 H.2: u .070, .30, .24 ohm for R, X, Z; r -.59, -.49, +.99."""
    volt, ampere, phi = 4.999, 19.661e-3, 1.04446
    u = np.array([0.0032, 0.0095e-3, 0.00075])
    r = np.array([[1, -0.36, 0.86], [-0.36, 1, -0.65], [0.86, -0.65, 1]])
    z = volt / ampere
    jacobian = [
        [math.cos(phi) / ampere, -z * math.cos(phi) / ampere, -z * math.sin(phi)],
        [math.sin(phi) / ampere, -z * math.sin(phi) / ampere, z * math.cos(phi)],
        [1 / ampere, -z / ampere, 0.0],
    ]
    spread = combine_many(jacobian, r * np.outer(u, u))
    sigma = np.sqrt(np.diag(spread))
    assert sigma == pytest.approx([0.06998, 0.29572, 0.23660], abs=1e-5)
    correlation = spread / np.outer(sigma, sigma)
    assert correlation[0, 1:] == pytest.approx([-0.59, -0.49], abs=0.005)
    assert correlation[1, 2] == pytest.approx(0.99, abs=0.005)
    v, i, p = uncertainties.correlated_values_norm(
        list(zip((volt, ampere, phi), u, strict=True)), r
    )
    library = [v * umath.cos(p) / i, v * umath.sin(p) / i, v / i]
    assert sigma == pytest.approx([x.std_dev for x in library], rel=1e-6)


def test_sums_of_jcgm_101_section_9_2():
    """JCGM 101:2008 9.2 (from memory): four unit inputs give u 2.00, one of them 10: 10.1."""
    ones = [1.0] * 4
    assert combine(ones, np.eye(4)) == pytest.approx(2.0)
    assert expand(combine(ones, np.eye(4))) == pytest.approx(3.92, rel=0.03)
    # unit variance rectangulars: half width sqrt(3)
    assert rectangular(math.sqrt(3)) == pytest.approx(1.0)
    assert combine(ones, np.diag([1, 1, 1, 100.0])) == pytest.approx(10.1, abs=0.05)


def test_rectangular_inputs_are_covered_by_two_u():
    """Monte Carlo of 9.2.3 (four rectangulars): 95 % lie within 3.88, so within U = 4.00."""
    rng = np.random.default_rng(101)
    total = rng.uniform(-math.sqrt(3), math.sqrt(3), (200_000, 4)).sum(axis=1)
    assert np.quantile(np.abs(total), 0.95) == pytest.approx(3.88, abs=0.03)


def test_widening_for_few_values_is_students_t():
    for dof in (1, 2, 3, 5, 10, 30, 60):
        expected = stats.t.ppf(0.975, dof) / 2
        assert few_values_factor(dof) == pytest.approx(expected, abs=5e-5)
    assert few_values_factor(0) == few_values_factor(1)


def test_negative_rounding_counts_as_zero():
    assert combine([1.0, -1.0], [[1.0, 1.0 + 1e-15], [1.0 + 1e-15, 1.0]]) == 0.0
