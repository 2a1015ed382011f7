"""The adjustment against published networks and general libraries."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import sparse, stats

from audit.checks.network import adjust, critical_value, doubt_legs, drawn_test, lay_table
from audit.checks.stations import find_lines
from tests.checks.chain_nets import draw_net

# Ghilani and Wolf, Adjustment Computations, Example 12.1: a level net, A = 437.596 m.
# Unknowns B, C, D.
LEVELS = np.array([[1, 0, 0], [-1, 1, 0], [0, -1, 1], [0, 0, -1], [-1, 0, 1], [0, 1, 0]], float)
HEIGHTS = np.array([10.509 + 437.596, 5.360, -8.523, -7.348 - 437.596, -3.167, 15.881 + 437.596])
SIGMAS = np.array([0.006, 0.004, 0.005, 0.003, 0.004, 0.012])

# GNU Gama sample, one-dimensional output (vrmapper.com/gama/1doutput.html): 1a = 1000 m fixed,
# unknowns z4, z3, z2; all sigmas 5 mm.
GAMA = np.array(
    [[1, 0, 0], [-1, 1, 0], [0, -1, 1], [0, 0, -1], [0, 0, 1], [0, 1, -1], [1, -1, 0], [-1, 0, 0]],
    float,
)
GAMA_RISES = np.array([-1.225, -0.848, 1.342, 0.720, -0.724, -1.335, 0.842, 1.231])
GAMA_START = np.array([1000.0, 0, 0, -1000.0, 1000.0, 0, 0, -1000.0])


def test_level_net_of_ghilani_and_wolf_comes_out_to_every_printed_digit():
    done = adjust(LEVELS, HEIGHTS, SIGMAS)
    assert done.unknowns.round(4).tolist() == [448.1087, 453.4685, 444.9436]
    assert done.freedom == 3
    assert np.sqrt(done.chi2 / 3) == pytest.approx(0.65118, abs=5e-6)
    spread = np.sqrt(np.diag(done.cofactors)) * np.sqrt(done.chi2 / 3)
    assert spread.round(4).tolist() == [0.0023, 0.0026, 0.0018]
    assert done.redundancy.sum() == pytest.approx(3)


def test_level_net_agrees_with_statsmodels():
    """Hat matrix and internally studentized residuals, by another library."""
    from statsmodels.regression.linear_model import OLS, WLS  # a second to load, for one test

    done = adjust(LEVELS, HEIGHTS, SIGMAS)
    model = WLS(HEIGHTS, LEVELS, weights=1 / SIGMAS**2)
    assert np.allclose(done.unknowns, model.fit().params, atol=1e-9)
    influence = OLS(model.wendog, model.wexog).fit().get_influence()
    assert np.allclose(done.redundancy, 1 - influence.hat_matrix_diag, atol=1e-9)
    s0 = np.sqrt(done.chi2 / done.freedom)
    assert np.allclose(done.tests, -s0 * influence.resid_studentized_internal, atol=1e-5)


@pytest.mark.parametrize("k", range(6))
def test_a_blunder_of_50_mm_is_the_largest_w(k):
    spoiled = HEIGHTS.copy()
    spoiled[k] += 0.050
    done = adjust(LEVELS, spoiled, SIGMAS)
    assert np.abs(done.tests).argmax() == k
    assert done.errors[k] == pytest.approx(
        [0.0443, 0.0507, 0.0537, 0.0479, 0.0456, 0.0596][k], abs=6e-5
    )


def test_gama_sample_comes_out_as_printed():
    done = adjust(GAMA, GAMA_RISES + GAMA_START, np.full(8, 0.005))
    assert done.unknowns.round(5).tolist() == [998.77513, 997.93325, 999.27487] or np.allclose(
        done.unknowns, [998.775125, 997.93325, 999.274875], atol=1e-9
    )
    pvv = (done.residuals * 1e3) @ (done.residuals * 1e3)
    assert pvv == pytest.approx(146.625, abs=1e-6)
    assert np.sqrt(pvv / done.freedom) == pytest.approx(5.415, abs=5e-4)
    assert np.sqrt(np.diag(done.cofactors)).round(4).tolist() == [0.0031, 0.0035, 0.0031]
    s0 = np.sqrt(pvv / done.freedom) / 5
    assert int(np.abs(done.tests).argmax()) == 5
    assert abs(done.tests[5]) == pytest.approx(1.68, abs=5e-3)
    assert done.redundancy == pytest.approx(np.full(8, 0.625))
    assert s0 > 1


def test_a_sparse_table_is_adjusted_as_a_full_one():
    entries, rows, columns = [1.0, -1.0, 1.0, 1.0, 1.0], [0, 0, 1, 2, 2], [0, 1, 1, 0, 0]
    full = lay_table(entries, (rows, columns), (3, 2))
    kept = sparse.csr_array((entries, (rows, columns)), shape=(3, 2))
    assert (full == kept.toarray()).all()
    done, same = (adjust(t, [1.0, 2.0, 6.1], [0.1, 0.2, 0.3]) for t in (full, kept))
    for name in ("unknowns", "residuals", "redundancy", "tests", "cofactors"):
        assert getattr(done, name) == pytest.approx(getattr(same, name), abs=1e-12)
    assert sparse.issparse(lay_table([1.0], ([0], [0]), (1000, 1000)))


def test_a_chain_alone_cannot_tell_its_culprit_but_measured_it_can():
    """3 1/4 + 1 1/2 + 2 1/8 against 7: four equal w; with three measurements the third is named."""
    design = np.array([[1, 0, 0], [0, 1, 0], [0, 0, 1], [1, 1, 1]], float)
    printed = np.array([3.25, 1.5, 2.125, 7.0])
    alone = adjust(design, printed, np.full(4, 1 / 64))
    assert np.abs(alone.tests) == pytest.approx(np.full(4, 4.0))
    design = np.vstack([design, np.eye(3)])
    observed, spread = (
        np.r_[printed, 3.26, 1.49, 2.26],
        np.r_[np.full(4, 1 / 64), np.full(3, 1 / 32)],
    )
    done = adjust(design, observed, spread)
    least = np.linalg.lstsq(design / spread[:, None], observed / spread, rcond=None)[0]
    assert np.allclose(done.unknowns, least, atol=1e-12)
    assert np.abs(done.tests).argmax() == 2
    assert done.tests == pytest.approx(
        [2.574, 2.163, 5.142, -3.401, 0.524, 1.080, -2.953], abs=6e-4
    )


def test_critical_values_are_those_of_the_normal_distribution():
    """Baarda's usual 3.29 for one in a thousand, two-sided."""
    assert critical_value(1, false_alarm=0.001) == pytest.approx(3.2905, abs=1e-4)
    assert critical_value(1, false_alarm=0.05) == pytest.approx(stats.norm.ppf(0.975))
    assert critical_value(20) > critical_value(2)


def test_unknowns_that_nothing_determines_are_refused():
    with pytest.raises(ValueError, match="do not determine"):
        adjust([[1.0, -1.0]], [3.0], [0.1])
    with pytest.raises(ValueError, match="positive"):
        adjust([[1.0]], [3.0], [0.0])


def test_an_observation_nothing_checks_is_never_doubted():
    done = adjust([[1.0, 0.0], [0.0, 1.0], [0.0, 1.0]], [5.0, 3.0, 3.1], [1.0, 1.0, 1.0])
    assert (done.redundancy[0], done.tests[0], done.errors[0]) == (0.0, 0.0, 0.0)


def test_the_drawing_fits_only_without_the_wrong_size():
    net = draw_net(np.random.default_rng(3), stations=8, wrong=1)
    [line] = find_lines(net.dimensions, net.views, net.sheets)
    [(wrong, _)] = net.wrong.items()
    places = {leg.dimension: k for k, leg in enumerate(line.used)}
    assert drawn_test(line, [places[wrong]]).fits
    assert not any(drawn_test(line, [k]).fits for n, k in places.items() if n != wrong)
    assert doubt_legs(line) == (places[wrong],)


def test_a_drawing_without_scale_says_nothing():
    net = draw_net(np.random.default_rng(3), stations=8, wrong=1, scaled=False)
    [line] = find_lines(net.dimensions, net.views, net.sheets)
    assert drawn_test(line, []) is None
    assert doubt_legs(line) == ()
