"""Known sizes in any directions."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest

from audit.geometry import Point
from audit.lengths import Length, Unit
from audit.records import KnownSize, NoScale, PageKind
from audit.scale import pairs_of_known, scale_from_known
from tests.checks.simulated import make_sheet

SHEET = make_sheet(PageKind.SCAN, width=4000, height=4000, dpi=25.4)  # 1 px = 1 mm of paper


def known(a, b, inches, *, u_ends=0.2):
    return KnownSize(
        sheet=1,
        a=Point(*a),
        b=Point(*b),
        length=Length(Fraction(inches), Unit.IN),
        u_ends=u_ends,
    )


def fit(*sizes, page=PageKind.SCAN):
    return scale_from_known(pairs_of_known(sizes, sheet=SHEET), page=page)


def test_board_with_unequal_pitch_has_two_scales():
    """OpenCV's chessboard.png: pitch 449.356 by 465.391 px, 3.57 % apart (measured before)."""
    found = fit(
        known((0, 0), (8 * 449.356, 0), 8),
        known((0, 500), (8 * 449.356, 500), 8),
        known((0, 0), (0, 7 * 465.391), 7),
    )
    scale = found.scale
    assert scale.x / scale.y - 1 == pytest.approx(0.0357, abs=2e-4)
    assert not scale.isotropic
    assert not found.contradict
    assert scale.x == pytest.approx(25.4 / 449.356, rel=1e-4)


def test_one_direction_leaves_the_other_to_a_guess_and_says_so():
    scale = fit(known((0, 0), (1000, 0), 40)).scale
    assert scale.isotropic
    assert scale.x == scale.y
    u_x, u_y = math.sqrt(scale.covariance[0][0]), math.sqrt(scale.covariance[1][1])
    assert u_x == pytest.approx(0.2 * math.sqrt(2) / 1000, rel=1e-3)
    assert u_y == pytest.approx(0.0058, rel=0.01)


def test_a_vector_page_needs_no_second_direction():
    scale = fit(known((0, 0), (1000, 0), 40), page=PageKind.VECTOR).scale
    assert math.sqrt(scale.covariance[1][1]) < 3.1e-4


def test_slanting_known_sizes_fix_shear_as_well():
    shear, x, y = 0.004, 1.02, 0.99
    places = [((0, 0), (3000, 0)), ((0, 0), (0, 3000)), ((0, 0), (2200, 2200))]
    places += [((0, 3000), (2200, 800))]
    sizes = []
    for a, b in places:
        dx, dy = b[0] - a[0], b[1] - a[1]
        real = math.sqrt((x * dx) ** 2 + (y * dy) ** 2 + 2 * x * y * shear * dx * dy)
        sizes.append(known(a, b, Fraction(real / 25.4).limit_denominator(10**6)))
    scale = fit(*sizes).scale
    assert (scale.x, scale.y) == pytest.approx((x, y), rel=1e-4)
    assert scale.shear == pytest.approx(shear, abs=1e-4)


def test_the_one_known_size_that_does_not_fit_is_named_and_left_out():
    found = fit(
        known((0, 0), (2540, 0), 100),
        known((0, 100), (1270, 100), 50),
        known((0, 200), (1270, 200), Fraction(51)),
        known((0, 0), (0, 2540), 100),
    )
    assert found.contradict
    assert found.bad == 2
    assert found.scale.x == pytest.approx(1.0, rel=1e-3)
    assert found.scale.agreeing == 3


def test_two_that_contradict_each_other_name_nobody():
    found = fit(known((0, 0), (2540, 0), 100), known((0, 100), (1270, 100), Fraction(203, 4)))
    assert found.contradict
    assert found.bad is None
    u = math.sqrt(found.scale.covariance[0][0])
    assert u > 0.004  # widened to what they disagree by


def test_known_sizes_a_tenth_apart_leave_no_scale():
    found = fit(known((0, 0), (2540, 0), 100), known((0, 100), (2540, 100), 110))
    assert isinstance(found.scale, NoScale)
    assert "contradict" in found.scale.reason


def test_good_known_sizes_are_seldom_called_contradictory():
    rng, calls = np.random.default_rng(7), 0
    for _ in range(300):
        sizes = []
        for _ in range(4):
            a = rng.uniform(0, 1000, 2)
            t, length = rng.uniform(0, 2 * math.pi), rng.uniform(400, 2500)
            b = a + length * np.array([math.cos(t), math.sin(t)])
            noise = rng.normal(0, 0.2, 4)
            inches = Fraction(length / 25.4).limit_denominator(10**7)
            sizes.append(known(a + noise[:2], b + noise[2:], inches))
        calls += fit(*sizes).contradict
    assert calls <= 6


def test_left_out_scale_comes_from_the_others():
    found = fit(known((0, 0), (1000, 0), 40), known((0, 9), (1000, 9), Fraction(4004, 100)))
    assert found.without(0).x == pytest.approx(1.001 * 40 * 25.4 / 1000, rel=1e-6)
    alone = fit(known((0, 0), (1000, 0), 40))
    assert isinstance(alone.without(0), NoScale)
