"""Two or three sizes of a picture that agree exactly fix a scale; others do not."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from audit.geometry import Point
from audit.records import NoScale, PageKind
from audit.scale.consensus import find_consensus
from audit.scale.pairs import Pair

FLOOR = 0.1  # mm of paper, as of a plotted plan
TOLERANCE = 0.4  # mm, 1/64 in


def pair(source, inches, *, drawn_mm, view=1, standing=False):
    """A size of a detail at three quarters of full size, drawn so long on the paper."""
    return Pair(
        source=source,
        view=view,
        dx=0.0 if standing else drawn_mm,
        dy=drawn_mm if standing else 0.0,
        real=25.4 * inches,
        u_paper=0.03,
        u_real=0.0,
        tolerance=TOLERANCE,
        middle=Point(10.0 * source, 0.0),
    )


def scale_of(*pairs, page=PageKind.SCAN, paper_known=True):
    [view] = find_consensus(pairs, page=page, floor=FLOOR, paper_known=paper_known).views
    return view.scale


def drawn(inches):
    return inches * 25.4 * 0.75


TWO = (pair(1, 1.5, drawn_mm=drawn(1.5)), pair(2, 2.0, drawn_mm=drawn(2.0), standing=True))


@pytest.mark.parametrize("paper_known", [True, False])
def test_two_sizes_of_a_detail_that_agree_fix_its_scale(paper_known):
    assert scale_of(*TWO, paper_known=paper_known).x == pytest.approx(1 / 0.75, rel=0.02)


def test_two_sizes_that_do_not_agree_fix_none():
    off = pair(2, 2.125, drawn_mm=drawn(2.0), standing=True)
    assert isinstance(scale_of(TWO[0], off), NoScale)


def test_one_number_over_equal_lengths_fixes_none_however_often_it_stands_there():
    same = [pair(k, 1.5, drawn_mm=drawn(1.5)) for k in range(3)]
    assert isinstance(scale_of(*same), NoScale)
    assert not isinstance(scale_of(*same[:2], TWO[1]), NoScale)


def test_one_number_of_a_picture_outvotes_no_other():
    same = [pair(k, 1.125, drawn_mm=drawn(1.5)) for k in range(4)]
    other = pair(9, 6.0, drawn_mm=drawn(6.0))
    assert isinstance(scale_of(*same, other), NoScale)
    assert not isinstance(scale_of(*same, other, page=PageKind.VECTOR), NoScale)
    assert not isinstance(scale_of(*same, pair(9, 4.5, drawn_mm=drawn(6.0))), NoScale)


def test_two_sizes_too_short_to_be_told_from_others_fix_none():
    short = (pair(1, 0.125, drawn_mm=drawn(0.125)), pair(2, 0.25, drawn_mm=drawn(0.25)))
    assert isinstance(scale_of(*short), NoScale)


def test_a_third_size_nearly_right_is_judged_by_two():
    third = pair(3, 1.0625, drawn_mm=drawn(1.0))
    found = find_consensus((*TWO, third), page=PageKind.SCAN, floor=FLOOR)
    [view] = found.views
    assert (view.dimensions, view.agreeing) == (3, 2)
    [left] = [x for x in found.left_out if x.dimension == 3]
    assert left.scale.x == pytest.approx(1 / 0.75, rel=0.02)


def test_a_third_size_far_off_may_be_of_another_view():
    far = pair(3, 2.0, drawn_mm=drawn(1.0))
    assert isinstance(scale_of(*TWO, far), NoScale)


@pytest.mark.parametrize(("inches", "scaled"), [(1.2, False), (1.6, True), (0.6, True)])
def test_a_third_size_off_by_no_ratio_of_views_and_too_far_to_be_called_wrong_is_left(
    inches, scaled
):
    odd = pair(3, inches, drawn_mm=drawn(1.0))
    assert isinstance(scale_of(*TWO, odd), NoScale) is not scaled


@pytest.mark.parametrize(("lean_deg", "scaled"), [(45.0, True), (2.0, False)])
def test_an_edge_that_runs_backwards_on_a_block_leaves_its_front_a_scale(lean_deg, scaled):
    """It is drawn at half its length, as a detail would be: but no detail is drawn slantwise."""
    lean = math.radians(lean_deg)
    half = drawn(3.0) / 2
    back = replace(pair(3, 3.0, drawn_mm=half), dx=half * math.cos(lean), dy=half * math.sin(lean))
    assert isinstance(scale_of(*TWO, back), NoScale) is not scaled


def test_a_third_size_known_too_badly_to_tell_a_ratio_of_views_from_none_fixes_nothing():
    twice = replace(pair(3, 0.5, drawn_mm=drawn(1.0) * 1.03), u_paper=0.5)
    assert isinstance(scale_of(*TWO, twice), NoScale)


def test_a_drawn_page_with_two_sizes_still_asks_for_a_known_size():
    assert isinstance(scale_of(*TWO, page=PageKind.VECTOR), NoScale)


def rough(source, inches, *, view=1, drawn_mm=None):
    """A size so short on the paper that it is known to some percent only."""
    return pair(source, inches, drawn_mm=drawn_mm or 6.0 * inches, view=view)


def scales_of(*pairs):
    return {v.view: v.scale for v in find_consensus(pairs, page=PageKind.SCAN, floor=FLOOR).views}


def test_three_short_sizes_fix_a_scale_that_two_of_them_do_not():
    three = rough(1, 0.5), rough(2, 0.625), rough(3, 1.0)
    assert isinstance(scale_of(*three[:2]), NoScale)
    assert isinstance(scale_of(*three[1:]), NoScale)
    assert scale_of(*three).x == pytest.approx(25.4 / 6.0, rel=0.02)


def test_three_short_sizes_two_of_them_alike_fix_none():
    assert isinstance(scale_of(rough(1, 0.5), rough(2, 0.875), rough(3, 0.875)), NoScale)


@pytest.mark.parametrize(("stated", "fixed"), [(25.4 / 6.0, True), (0.95 * 25.4 / 6.0, False)])
def test_two_short_sizes_at_the_stated_scale_judge_a_third(stated, fixed):
    """Not where what is stated is 5 % off: a print may be, but two sizes do not show it."""
    sizes = rough(1, 0.7), rough(2, 2.3), rough(3, 4.4, drawn_mm=24.8)
    assert isinstance(scale_of(*sizes), NoScale)
    found = find_consensus(sizes, page=PageKind.SCAN, floor=FLOOR, stated={1: stated})
    assert isinstance(found.views[0].scale, NoScale) is not fixed


def test_a_view_of_one_size_bends_no_other_views_scale():
    """At 1.3 times the scale of the others, near the 4 : 3 that it is taken for."""
    own = [
        pair(1, 2.625, drawn_mm=9.14),
        pair(2, 15.0, drawn_mm=53.35, standing=True),
        pair(3, 1.25, drawn_mm=4.41),
    ]
    lone = pair(4, 17.0, view=2, drawn_mm=78.73)
    pairs = [replace(p, u_paper=0.087) for p in own] + [replace(lone, u_paper=0.49)]
    scales = scales_of(*pairs)
    assert scales[1].y == pytest.approx(15 * 25.4 / 53.35, rel=0.005)
    assert isinstance(scales[2], NoScale)


@pytest.mark.parametrize("slip", [1.06, 0.94])
def test_a_wrong_size_is_measured_by_two_exact_ones_of_another_view_and_one_beside_it(slip):
    """That the right one beside it meets their scale is no chance: no view is known to be there."""
    beside = pair(3, 1.75, drawn_mm=drawn(1.75), view=2, standing=True)
    off = pair(4, 3.0 * slip, drawn_mm=drawn(3.0), view=2)
    found = find_consensus((*TWO, beside, off), page=PageKind.SCAN, floor=FLOOR)
    [left] = [x for x in found.left_out if x.dimension == 4]
    assert left.scale.x == pytest.approx(1 / 0.75, rel=0.01)


def test_two_wrong_sizes_are_not_measured_by_those_of_another_view():
    both = [pair(3 + k, 1.06 * v, drawn_mm=drawn(v), view=2) for k, v in enumerate((1.75, 3.0))]
    found = find_consensus((*TWO, *both), page=PageKind.SCAN, floor=FLOOR)
    other = next(v.scale for v in found.views if v.view == 2)
    assert isinstance(other, NoScale) or other.x == pytest.approx(1.06 / 0.75, rel=0.01)


def test_numbers_of_other_lines_do_not_outvote_sizes_that_agree():
    """Four of seven agree, three different ones; each other one is off by a ratio of its own."""
    right = [pair(k, n, drawn_mm=drawn(n), standing=k % 2 == 0) for k, n in enumerate((1, 2, 4, 5))]
    strays = [pair(10 + k, 2.0, drawn_mm=drawn(2.0) * times) for k, times in enumerate((2.3, 0.11))]
    near = pair(20, 3.0, drawn_mm=drawn(3.0) * 1.06)
    assert scale_of(*right, near, *strays).x == pytest.approx(1 / 0.75, rel=0.02)
    # two that are off alike may be drawn so: the view holds two scales
    alike = [*strays, pair(30, 1.0, drawn_mm=drawn(1.0) * 2.3)]
    assert isinstance(scale_of(*right[:3], *alike), NoScale)
    # a file prints what it says
    assert isinstance(scale_of(*right, near, *strays, page=PageKind.VECTOR), NoScale)


MAIN = tuple(pair(30 + k, n, drawn_mm=20.0 * n, view=3) for k, n in enumerate((1, 2, 3, 4, 5)))


def across_by_view(*pairs, page=PageKind.SCAN):
    views = find_consensus(pairs, page=page, floor=FLOOR).views
    return {v.view: None if isinstance(v.scale, NoScale) else v.scale.x for v in views}


def test_many_sizes_that_agree_stand_though_one_number_is_far_off_on_two_lines():
    agree = [pair(k, size, drawn_mm=drawn(size)) for k, size in enumerate((2, 3, 4.5, 6, 8, 11))]
    near = pair(6, 9.5, drawn_mm=drawn(9.0))
    short = [
        pair(20 + k, size, drawn_mm=drawn(1.07 * size)) for k, size in enumerate((5, 7, 9, 10))
    ]
    third = pair(7, 3.25, drawn_mm=drawn(3.25 * 4 / 3))
    twice = [pair(8 + k, 1.0, drawn_mm=drawn(12.0)) for k in range(2)]
    assert math.isclose(scale_of(*agree, near, third, *twice).x, 1 / 0.75, rel_tol=0.01)
    assert math.isclose(scale_of(*agree, *short, third).x, 1 / 0.75, rel_tol=0.01)
    different = [
        pair(8 + k, size, drawn_mm=drawn(12 * size)) for k, size in enumerate((1, 0.8, 0.6))
    ]
    assert isinstance(scale_of(*agree, near, *different), NoScale)  # as at another scale


def test_a_wheel_and_its_section_share_a_scale_that_no_other_view_has():
    hub = pair(1, 0.15625, drawn_mm=drawn(0.15625))
    wheel, thick = pair(2, 2.0, drawn_mm=drawn(2.0)), pair(3, 0.75, drawn_mm=drawn(0.75), view=2)
    found = across_by_view(hub, wheel, thick, *MAIN)
    assert found[1] == pytest.approx(1 / 0.75, rel=0.02)
    assert found[2] == pytest.approx(1 / 0.75, rel=0.02)
    assert found[3] == pytest.approx(25.4 / 20, rel=0.01)
    # two are too few, and one number is one witness
    assert across_by_view(wheel, thick, *MAIN)[2] is None
    same = pair(4, 2.0, drawn_mm=drawn(2.0))
    assert across_by_view(same, wheel, thick, *MAIN)[2] is None
    # nor does a size speak for others that is wrong by six percent
    assert across_by_view(hub, wheel, pair(3, 0.80, drawn_mm=drawn(0.75), view=2), *MAIN)[2] is None
