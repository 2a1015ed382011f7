"""The plates of `tests.bench plates` hold what their truth says: ink where ends are, one slip."""

from __future__ import annotations

import numpy as np
import pytest

from tests.bench.plates_pen import Mark
from tests.bench.plates_scan import lay, scan
from tests.bench.plates_sheets import HALVES, ink, make_plate


def draw(label, number, *, planted):
    """A plate in the face that Pillow brings, so that none need be installed."""
    return make_plate(HALVES[label], number, find_face=lambda stem: None, planted=planted)


@pytest.fixture(scope="module")
def plate():
    return draw("development", 1, planted=True)


def test_ends_of_lengths_stand_on_ink(plate):
    page = ink(plate, np.random.default_rng(5))
    picture = scan(page, dpi=150, bilevel=False, rng=np.random.default_rng(26))  # lies far off
    ends = [picture.to_px(e) for d in plate.drawn if d.kind == "distance" for e in d.ends]
    paper = np.median(picture.pixels)
    dark = 0
    for x, y in ends:
        around = picture.pixels[round(y) - 2 : round(y) + 3, round(x) - 2 : round(x) + 3]
        dark += int(around.min()) < 0.75 * paper
    assert len(ends) >= 16
    assert dark > 0.97 * len(ends)


def test_one_number_of_a_plate_is_about_6_percent_off(plate):
    wrong = [d for d in plate.drawn if d.printed != d.right]
    assert len(wrong) == 1
    assert 0.045 < abs(float(wrong[0].printed / wrong[0].right) - 1) < 0.08


def test_what_is_printed_right_fits_one_scale_in_every_view():
    plate = draw("held out", 1, planted=False)
    assert all(d.printed == d.right for d in plate.drawn)
    scales = [d.length_mm / float(d.right) for d in plate.drawn if d.kind == "distance"]
    main = float(np.median(scales))
    assert all(abs(s / main - 1) < 0.05 or s > 3 * main for s in scales)


def test_a_bent_page_is_unbent_where_it_was_bent():
    lie = lay((150.0, 220.0), np.random.default_rng(3))
    assert lie.rise or lie.squeeze
    flat = np.random.default_rng(4).uniform((12, 8), (140, 210), (50, 2))
    assert np.abs(lie.undo(lie.apply(flat)) - flat).max() < 2e-3
    assert np.abs(lie.apply(flat) - flat).max() > 0.05


@pytest.fixture(scope="module", params=range(3))
def working(request):
    return draw("work, development", request.param, planted=False)


def off_lines(point, lines):
    """How far a point lies off the nearest of some lines, mm."""
    ends = np.concatenate([np.hstack([m.points[:-1], m.points[1:]]) for m in lines])
    a, along = ends[:, :2], ends[:, 2:] - ends[:, :2]
    long = np.maximum((along**2).sum(axis=1), 1e-12)
    t = np.clip(((point - a) * along).sum(axis=1) / long, 0, 1)
    return float(np.hypot(*(a + t[:, None] * along - point).T).min())


def test_ends_of_a_working_drawings_sizes_lie_on_two_lines(working):
    lines = [m for m in working.marks if isinstance(m, Mark) and m.width]
    sizes = [d for d in working.drawn if d.kind == "distance"]
    assert len(sizes) >= 9
    for end in (np.array(e) for d in sizes for e in d.ends):
        assert off_lines(end, lines) < 1e-6


def test_figures_of_joints_are_each_at_a_scale_of_their_own():
    plate = draw("work, development", 2, planted=False)
    scales = [d.length_mm / float(d.right) for d in plate.drawn if d.kind == "distance"]
    apart = np.diff(np.sort(np.log([s for s in scales if s])))
    assert 3 <= 1 + int((apart > 0.05).sum()) <= 5


def test_an_edge_that_recedes_is_drawn_at_half_its_length():
    plate = draw("work, development", 2, planted=False)
    [edge] = [d for d in plate.drawn if d.kind == "receding"]
    front = [d for d in plate.drawn if d.kind == "distance"][-1]
    shares = [d.length_mm / float(d.right) for d in (edge, front)]
    assert shares[0] / shares[1] == pytest.approx(0.5, rel=0.05)
