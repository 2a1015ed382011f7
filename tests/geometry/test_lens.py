"""Lenses and maps through them: against OpenCV's distortion and numeric derivatives."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.geometry import Lens, NotInvertible, Point, Transform

CENTRE, RADIUS = Point(330.0, 235.0), 400.0
PLACES = np.array([(0.5, 0.5), (320.0, 240.0), (630.0, 20.0), (100.0, 470.0), (330.0, 235.0)])
VIEW = Transform(((0.3, 0.02, -7.0), (-0.01, 0.28, 4.0), (1e-4, -5e-5, 1.0)))
BARREL = Lens(CENTRE, RADIUS, 0.17, 0.05)

lenses = st.builds(
    Lens,
    st.builds(Point, st.floats(250, 400), st.floats(180, 300)),
    st.just(RADIUS),
    st.floats(-0.08, 0.25),
    st.floats(-0.03, 0.08),
)


@given(lenses)
def test_bending_undoes_straightening(lens):
    assert lens.bend(lens.straighten(PLACES)) == pytest.approx(PLACES, abs=1e-7)


def test_a_barrel_lens_is_undone_as_opencv_undoes_it():
    """OpenCV distorts the other way round; its inverse (iterated) is compared with our series."""
    focal, k1 = 520.0, -0.12
    matrix = np.array([[focal, 0, CENTRE.x], [0, focal, CENTRE.y], [0, 0, 1]])
    bent = np.array([k1, 0.0, 0.0, 0.0])
    straight = cv2.undistortPoints(PLACES[:, None], matrix, bent, P=matrix)[:, 0]
    r = np.hypot(*(PLACES - CENTRE).T)
    wanted = np.divide(np.hypot(*(straight - CENTRE).T), r, out=np.ones_like(r), where=r > 0) - 1
    s = (r / RADIUS) ** 2
    k = np.linalg.lstsq(np.column_stack([s, s * s]), wanted, rcond=None)[0]
    lens = Lens(CENTRE, RADIUS, *map(float, k))
    assert k[0] > 0  # barrel
    assert lens.straighten(PLACES) == pytest.approx(straight, abs=0.15)


@pytest.mark.parametrize(
    "transform",
    [Transform(VIEW.rows, lens=BARREL), Transform(VIEW.rows, lens=BARREL).inverse()],
    ids=["picture to paper", "paper to picture"],
)
def test_the_jacobian_is_the_derivative(transform):
    for place in (Point(20.0, 30.0), Point(60.0, 75.0)):
        step = 1e-4
        numeric = np.column_stack(
            [
                np.subtract(
                    transform.apply(place.moved(*d)),
                    transform.apply(place.moved(-d[0], -d[1])),
                )
                / (2 * step)
                for d in ((step, 0.0), (0.0, step))
            ]
        )
        assert transform.jacobian(place) == pytest.approx(numeric, rel=1e-5, abs=1e-8)


def test_there_and_back_is_nowhere():
    there = Transform(VIEW.rows, lens=BARREL)
    assert there.inverse().apply_many(there.apply_many(PLACES)) == pytest.approx(PLACES, abs=1e-6)
    around = there.inverse().then(there)
    assert around.apply(Point(12.0, 34.0)) == pytest.approx((12.0, 34.0), abs=1e-9)
    assert around.lens is None
    assert around.bent is None
    assert not there.is_affine


def test_a_lens_is_carried_through_even_scaling_and_turns():
    half = Transform(((0.0, 2.0, 5.0), (-2.0, 0.0, 700.0), (0.0, 0.0, 1.0)))
    there = Transform(VIEW.rows, lens=BARREL)
    one, two = half.then(there), there.apply_many(half.apply_many(PLACES / 4))
    assert one.apply_many(PLACES / 4) == pytest.approx(two, abs=1e-9)
    back = there.inverse().then(half)
    assert back.apply_many(PLACES / 9) == pytest.approx(
        half.apply_many(there.inverse().apply_many(PLACES / 9)), abs=1e-6
    )


def test_a_lens_is_not_carried_where_its_circles_would_become_oval():
    there = Transform(VIEW.rows, lens=BARREL)
    with pytest.raises(NotInvertible, match="even scaling"):
        Transform.scaling(1.0, 1.1).then(there)
    with pytest.raises(NotInvertible, match="two different lenses"):
        there.then(there)
