"""How much a drawing scatters, told from few residuals, some of them of wrong numbers."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import norm

from audit.geometry import Point
from audit.scale import Pair
from audit.scale.scatter import drafting_scatter

FLOOR = 0.1


def pair(number, drawn_mm, *, u_paper=0.05, tolerance=0.0):
    return Pair(
        source=number,
        view=1,
        dx=drawn_mm,
        dy=0.0,
        real=drawn_mm,
        u_paper=u_paper,
        u_real=0.0,
        tolerance=tolerance,
        middle=Point(0, 0),
    )


def scatter(misfits, *, u_paper=0.05, floor=FLOOR, use=None):
    misfits = np.array(misfits)
    known = np.broadcast_to(u_paper, misfits.shape)
    pairs = [pair(k, 30.0, u_paper=float(u)) for k, u in enumerate(known)]
    inside = np.ones(len(misfits)) if use is None else use
    return drafting_scatter(pairs, misfits, use=inside, scale=1.0, floor=floor)


def normal(sigma, count):
    """Residuals as evenly spread as their distribution."""
    return sigma * norm.ppf((np.arange(count) + 0.5) / count)


@pytest.mark.parametrize("sigma", [0.25, 0.4])
def test_many_residuals_tell_the_scatter_they_have(sigma):
    found = scatter(normal(sigma, 40))
    assert found.total == pytest.approx(sigma, rel=0.12)
    assert found.drafting == pytest.approx(sigma, rel=0.08)


def test_a_clean_picture_is_taken_for_as_true_as_it_is_drawn():
    """A drawing made large and printed small scatters less than a plotter does."""
    found = scatter(normal(0.05, 20))
    assert found.drafting < 0.5 * FLOOR
    assert scatter(normal(0.05, 3)).drafting > 1.5 * found.drafting  # three may be so by chance


def test_what_fixes_a_scale_is_never_taken_for_truer_than_its_kind():
    assert scatter(normal(0.02, 40)).total == pytest.approx(FLOOR, rel=0.01)


def test_residuals_that_are_known_badly_take_nothing_off_the_scatter_of_the_others():
    """Lengths between thick outlines: their own uncertainty is larger than what they are off."""
    sharp = normal(0.25, 12)
    alone = scatter(sharp).drafting
    both = scatter([*sharp, *normal(0.2, 12)], u_paper=np.repeat([0.05, 0.4], 12)).drafting
    assert alone > 0.2
    assert both > 0.8 * alone


@pytest.mark.parametrize("wrong", [2.0, 40.0])
def test_wrong_numbers_hardly_widen_it(wrong):
    good = normal(0.15, 18)
    assert scatter([*good, wrong, -wrong]).drafting < 1.15 * scatter(good).drafting


def test_fewer_residuals_are_told_with_more_room():
    few, many = np.array([0.3, -0.3, 0.3, -0.3]), np.tile([0.3, -0.3], 20)
    assert scatter(few).drafting > 1.1 * scatter(many).drafting


def test_of_few_residuals_those_outside_the_gate_do_not_count():
    outside = scatter([0.02, -0.03, 0.01, 1.9], use=np.array([1.0, 1.0, 1.0, 0.0]))
    assert outside.drafting < scatter([0.02, -0.03, 0.01, 1.9]).drafting


def test_what_rounding_within_the_tolerance_explains_is_no_fault_of_the_drawing():
    misfits = normal(0.2, 30)
    rounded = [pair(k, 30.0, tolerance=0.5) for k in range(30)]
    found = drafting_scatter(rounded, misfits, use=np.ones(30), scale=1.0, floor=FLOOR)
    assert found.drafting < 0.8 * scatter(misfits).drafting
    assert found.total == pytest.approx(scatter(misfits).total)


def test_a_size_is_judged_by_the_scatter_of_the_others():
    misfits = np.array([*normal(0.2, 12), 0.9])
    found = scatter(misfits)
    assert found.drafting_without[12] < found.drafting
    assert found.drafting_without[12] == pytest.approx(scatter(misfits[:12]).drafting)


def test_the_size_that_strays_furthest_makes_the_others_no_truer_than_their_kind():
    """Seven happen to fit within .05 mm, an eighth is .4 mm off: so may a plotter's be."""
    misfits = np.array([*normal(0.05, 7), 0.4])
    found = scatter(misfits)
    assert scatter(misfits[:7]).drafting < 0.8 * FLOOR
    assert found.drafting_without[7] == pytest.approx(FLOOR)


def test_a_wrong_number_leaves_the_others_as_true_as_they_are():
    good = normal(0.03, 20)
    assert scatter([*good, 2.0]).drafting_without[20] < 1.15 * scatter(good).drafting
