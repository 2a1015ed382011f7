"""What the printed sizes of a sheet agree on."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest

from audit.geometry import Point
from audit.records import NoScale, PageKind
from audit.scale import Pair, find_consensus

MM = 25.4


def pair(source, inches, *, view=1, factor=1.0, upright=False, print_factor=1.0, off=0.0):
    """A printed size and its drawing, exact but for `off` mm of paper."""
    drawn = inches * MM / factor * print_factor + off
    return Pair(
        source=source,
        view=view,
        dx=0.0 if upright else drawn,
        dy=drawn if upright else 0.0,
        real=inches * MM,
        u_paper=0.005,
        u_real=0.0,
        tolerance=MM / 64,
        middle=Point(10.0 * source, 0),
    )


def wrong(good, factor):
    """The same drawing under another printed size."""
    return Pair(**{**{f: getattr(good, f) for f in Pair.__slots__}, "real": good.real * factor})


def consensus(pairs, *, page=PageKind.VECTOR, **more):
    return find_consensus(pairs, page=page, floor=0.0, **more)


SIZES = (1.25, 2.5, 3.375, 0.75, 4.0, 5.5, 2.0625, 1.875, 6.25, 3.0)


def test_four_agreeing_sizes_fix_a_scale():
    [view] = consensus([pair(k, SIZES[k], factor=2.0) for k in range(4)]).views
    assert view.scale.x == pytest.approx(2.0, rel=1e-4)
    assert (view.dimensions, view.agreeing) == (4, 4)


def test_three_sizes_do_not():
    [view] = consensus([pair(k, SIZES[k]) for k in range(3)]).views
    assert isinstance(view.scale, NoScale)
    assert "3 printed sizes" in view.scale.reason


@pytest.mark.parametrize("slip", [2.0, 0.5, 25.4, 1 / 25.4, 1.3, 1.01])
def test_a_wrong_size_moves_nothing(slip):
    pairs = [pair(k, SIZES[k]) for k in range(6)]
    pairs[2] = wrong(pairs[2], slip)
    [view] = consensus(pairs).views
    assert view.scale.x == pytest.approx(1.0, rel=1e-4)
    assert view.agreeing == 5


def test_two_of_five_wrong_is_still_a_third_too_many():
    pairs = [pair(k, SIZES[k]) for k in range(5)]
    pairs[1], pairs[3] = wrong(pairs[1], 1.2), wrong(pairs[3], 0.7)
    [view] = consensus(pairs).views
    assert isinstance(view.scale, NoScale)


@pytest.mark.parametrize("share", [0.08, 0.2])
def test_wrong_sizes_of_all_kinds_do_not_bias_the_scale(share):
    rng, errors = np.random.default_rng(20), []
    for _ in range(60):
        pairs = []
        for k in range(16):
            good = pair(k, rng.integers(16, 400) / 64, upright=bool(k % 2), off=rng.normal(0, 0.05))
            slip = rng.choice([2.0, 0.5, 25.4, 1 + 4 / 64 / (good.real / MM)])
            pairs.append(wrong(good, slip) if rng.random() < share else good)
        [view] = consensus(pairs).views
        if not isinstance(view.scale, NoScale):
            errors.append(math.log(view.scale.x))
    assert len(errors) >= 50
    assert abs(np.mean(errors)) < 2e-4
    assert np.max(np.abs(errors)) < 3e-3


def test_two_views_with_few_sizes_at_two_scales_are_told_apart():
    pairs = [pair(k, SIZES[k], view=1) for k in range(3)]
    pairs += [pair(10 + k, SIZES[k + 3], view=2, factor=2.0) for k in range(3)]
    one, two = consensus(pairs).views
    assert one.scale.x == pytest.approx(1.0, rel=2e-4)
    assert two.scale.x == pytest.approx(2.0, rel=2e-4)


def test_a_view_with_one_size_borrows_the_scale_it_agrees_with():
    pairs = [pair(k, SIZES[k], view=1) for k in range(6)] + [pair(9, 2.25, view=2)]
    _, two = consensus(pairs).views
    assert two.scale.x == pytest.approx(1.0, rel=1e-3)


def test_a_view_with_one_odd_size_is_not_scaled_rather_than_called_wrong():
    pairs = [pair(k, SIZES[k], view=1) for k in range(6)] + [pair(9, 2.25, view=2, factor=1.7)]
    _, two = consensus(pairs).views
    assert isinstance(two.scale, NoScale)


def two_sure_views():
    return [pair(k, SIZES[k], view=1 + k // 7) for k in range(7)] + [
        pair(20 + k, SIZES[k], view=2) for k in range(7)
    ]


@pytest.mark.parametrize("slip", [1.06, 0.94])
@pytest.mark.parametrize("beside", [0, 1])
def test_a_view_with_one_size_near_a_sure_scale_is_measured_by_it(slip, beside):
    """No two scales in use are as near as 6 %: it is the size that is wrong."""
    lone = wrong(pair(40, 2.25, view=3), slip)
    more = [pair(41, 3.5, view=3)] * beside
    found = consensus([*two_sure_views(), lone, *more])
    assert found.views[2].scale.x == pytest.approx(1.0, rel=1e-3)
    [judged] = [x for x in found.left_out if x.dimension == 40]
    assert judged.scale.x == pytest.approx(1.0, rel=1e-3)


def test_a_wrong_size_beside_a_right_one_is_measured_where_other_views_agree():
    pairs = [pair(k, SIZES[k], view=1 + k // 3) for k in range(6)]
    two = [wrong(pair(40, 2.25, view=3), 1.06), pair(41, 3.5, view=3)]
    assert consensus([*pairs, *two]).views[2].scale.x == pytest.approx(1.0, rel=1e-3)


def test_two_sizes_that_agree_on_another_scale_are_not_called_wrong():
    """ISO 5455 has no such pair of scales, but somebody may have drawn it."""
    lone = [wrong(pair(40 + k, SIZES[k], view=3), 1.06) for k in range(2)]
    found = consensus([*two_sure_views(), *lone])
    assert isinstance(found.views[2].scale, NoScale)


def test_views_without_sizes_share_the_only_scale_of_a_sheet():
    pairs = [pair(k, SIZES[k]) for k in range(6)]
    assert consensus(pairs).shared.x == pytest.approx(1.0, rel=1e-4)
    mixed = pairs + [pair(10 + k, SIZES[k], view=2, factor=4.0) for k in range(6)]
    assert isinstance(consensus(mixed).shared, NoScale)


def test_a_vector_page_has_one_scale_both_ways_unless_each_has_six():
    few = [pair(k, SIZES[k], upright=k % 2 == 0, print_factor=1.0) for k in range(8)]
    few = [wrong(p, 1.004) if p.dx == 0 else p for p in few]
    many = [pair(k, 1 + 0.37 * k, upright=k % 2 == 0) for k in range(16)]
    many = [wrong(p, 1.004) if p.dx == 0 else p for p in many]
    scale = consensus(many).views[0].scale
    assert scale.y / scale.x == pytest.approx(1.004, abs=1e-4)
    single = consensus(few).views[0].scale
    assert isinstance(single, NoScale) or single.y == pytest.approx(single.x, rel=1e-4)


def test_a_stretched_scan_gets_both_of_its_scales():
    pairs = []
    for k in range(12):
        good = pair(k, 1 + 0.41 * k, upright=k % 2 == 0)
        pairs.append(wrong(good, 1 / 1.013 if good.dy == 0 else 1 / 0.994))
    scale = consensus(pairs, page=PageKind.SCAN).views[0].scale
    assert (scale.x, scale.y) == pytest.approx((1 / 1.013, 1 / 0.994), rel=2e-4)
    assert not scale.isotropic


def test_a_size_is_judged_by_the_others_only():
    pairs = [pair(k, SIZES[k]) for k in range(5)]
    off = wrong(pairs[4], 1.002)  # stays inside the gate of a coarse view
    found = consensus([*pairs[:4], off])
    left = {x.dimension: x for x in found.left_out}
    assert left[4].scale.x == pytest.approx(1.0, abs=1e-6)


def test_sizes_agree_on_a_scale_however_large_the_paper_is():
    pairs = [pair(k, SIZES[k]) for k in range(4)]
    [view] = consensus(pairs, paper_known=False).views
    assert view.scale == consensus(pairs).views[0].scale


def test_a_stated_scale_stands_behind_nothing_where_nobody_knows_the_paper():
    pairs = [pair(k, SIZES[k]) for k in range(2)]
    assert consensus(pairs, stated={1: 1.0}).views[0].backed
    [view] = consensus(pairs, stated={1: 1.0}, paper_known=False).views
    assert isinstance(view.scale, NoScale)


def test_no_sizes_no_views():
    found = consensus([])
    assert found.views == ()
    assert isinstance(found.shared, NoScale)


def test_decimals_count_their_last_place():
    from dataclasses import replace

    rounded = [replace(pair(k, round(SIZES[k] + 0.004, 1)), u_real=0.73) for k in range(5)]
    [view] = consensus(rounded).views
    assert math.sqrt(view.scale.covariance[0][0]) > 1e-3
    assert Fraction(1, 2) == Fraction(view.agreeing, 10)


def test_a_lone_size_at_the_scale_of_other_details_is_measured_by_it():
    pairs = [pair(k, SIZES[k], view=1 + k // 5) for k in range(10)]
    details = [pair(10 + k, SIZES[k], view=3, factor=0.5) for k in range(4)]
    lone = pair(20, 2.25, view=4, factor=0.5)
    assert consensus([*pairs, *details, lone]).views[3].scale.x == pytest.approx(0.5, rel=1e-3)
    assert isinstance(consensus([*pairs, *details[:3], lone]).views[3].scale, NoScale)


def two_scales():
    """Two views at the main scale of a picture, and one at two thirds of it."""
    first = [pair(k, SIZES[k], view=1 + 3 * (k % 2), off=0.02 * (-1) ** k) for k in range(10)]
    second = [pair(20 + k, SIZES[k], view=2, factor=2 / 3, off=0.02 * (-1) ** k) for k in range(5)]
    return [*first, *second]


@pytest.mark.parametrize("slip", [1.06, 0.94])
def test_a_wrong_size_is_measured_by_the_second_scale_that_other_views_show(slip):
    """Alone, the short size beside it would rather have a scale of its own with it."""
    view = [wrong(pair(40, 2.25, view=3, factor=2 / 3), slip)]
    view += [pair(41, 0.375, view=3, factor=2 / 3, off=0.05)]
    found = find_consensus([*two_scales(), *view], page=PageKind.SCAN, floor=0.1)
    [judged] = [x for x in found.left_out if x.dimension == 40]
    assert judged.scale.x == pytest.approx(2 / 3, rel=5e-3)
    alone = find_consensus([*two_scales()[:10], *view], page=PageKind.SCAN, floor=0.1)
    assert isinstance(alone.views[1].scale, NoScale)


def test_sizes_that_agree_on_a_scale_beside_the_second_one_are_not_called_wrong():
    view = [wrong(pair(40 + k, SIZES[k], view=3, factor=2 / 3), 1.06) for k in range(2)]
    found = find_consensus([*two_scales(), *view], page=PageKind.SCAN, floor=0.1)
    third = found.views[2].scale
    assert isinstance(third, NoScale) or third.x == pytest.approx(1.06 * 2 / 3, rel=5e-3)


def test_a_lone_size_at_no_scale_of_its_sheet_is_not_measured():
    pairs = [pair(k, SIZES[k], view=1) for k in range(6)]
    details = [pair(10 + k, SIZES[k], view=2, factor=0.5) for k in range(5)]
    lone = pair(20, 2.25, view=3, factor=0.25)
    assert isinstance(consensus([*pairs, *details, lone]).views[2].scale, NoScale)


def test_sizes_misread_a_hundredfold_give_no_error():
    """Each way of stretch fits one of two contradicting sizes: nothing may run away."""
    lengths = (2, 0, 81.12, 16223.64), (4, 99.57, 0, 99572.67), (2, 60.3, 0, 241.19)
    lengths += (1, 0, 9.76, 0.1), (1, 79.7, 0, 79.7)
    pairs = [
        Pair(
            source=k,
            view=view,
            dx=dx,
            dy=dy,
            real=real,
            u_paper=0.05,
            u_real=0.0,
            tolerance=0.4,
            middle=Point(10.0 * k, 0),
        )
        for k, (view, dx, dy, real) in enumerate(lengths)
    ]
    assert all(
        math.isfinite(x.drafting)
        for x in find_consensus(pairs, page=PageKind.SCAN, floor=0.1).left_out
    )
