"""Heads of raster dimensions as marks: expectations follow from how each picture is made."""

from __future__ import annotations

import pytest

from audit.dimensions.lines import find_marked_lines
from audit.dimensions.raster_marks import set_marks, settle_on_arcs, stands_on_crossing
from tests.dimensions.raster_builder import ink_of, tip

UP, DOWN = 90.0, 270.0


def test_strokes_traced_in_the_blots_of_heads_are_no_ticks():
    # an upright chain, heads tip to tip at y 150; a blot shows as a stroke across its own head
    chain = ((100.0, 80.0), (100.0, 220.0))
    crossed = [((90.0, y), (150.0, y)) for y in (80.0, 150.0, 220.0)]
    blots = [
        ((98.9, 81.4), (101.1, 85.4)),
        ((98.9, 148.6), (101.1, 144.6)),
        ((98.9, 151.4), (101.1, 155.4)),
        ((98.9, 218.6), (101.1, 214.6)),
    ]
    ink = ink_of([chain, *crossed, *blots])
    tips = [tip(100, 80, DOWN), tip(100, 150, UP), tip(100, 150, DOWN), tip(100, 220, UP)]
    marks = set_marks(ink, tips)
    (line,) = (m for m in find_marked_lines(ink, marks) if abs(m.line.uy) > 0.9)
    assert [p.along for p in line.places if p.even is not None] == []
    ends = sorted(line.line.at(p.along).y for p in line.places)
    assert ends == pytest.approx([80.0, 150.0, 220.0], abs=0.3)


def test_a_slash_at_the_tip_of_a_head_stays_a_tick():
    # it reaches past the tip: no blot of the head does
    ink = ink_of([((60.0, 100.0), (200.0, 100.0)), ((57.0, 103.0), (63.0, 97.0))])
    (mark,) = set_marks(ink, [tip(60, 100, 0.0)])
    assert 1 not in mark.strokes


def test_heads_that_cannot_be_measured_are_as_long_as_the_others():
    # five heads with sides 5 pt long; of the sixth nothing but its shaft was traced
    tips = [tip(60, 40 * k, 0.0) for k in range(1, 7)]
    shafts = [((60.0, t.point.y), (200.0, t.point.y)) for t in tips]
    sides = [
        ((60.2, t.point.y + 0.1 * s), (65.0, t.point.y + 1.8 * s))
        for t in tips[:5]
        for s in (-1, 1)
    ]
    sizes = [m.size for m in set_marks(ink_of([*shafts, *sides]), tips)]
    assert sizes == pytest.approx([5.0] * 6, abs=0.1)


@pytest.mark.parametrize(("others", "usual"), [(5, 5.0), (0, 8.0)])
def test_a_head_is_no_longer_than_is_usual_because_grain_meets_its_tip(others, usual):
    tips = [tip(60, 40 * k, 0.0) for k in range(1, others + 2)]
    shafts = [((60.0, t.point.y), (200.0, t.point.y)) for t in tips]
    reach = [5.0] * others + [19.0]
    sides = [
        ((60.2, t.point.y + 0.1), (60.0 + far, t.point.y + 0.36 * far))
        for t, far in zip(tips, reach, strict=True)
    ]
    sizes = [m.size for m in set_marks(ink_of([*shafts, *sides]), tips)]
    assert sizes == pytest.approx([usual] * (others + 1), abs=0.1)


def test_sides_of_two_heads_tip_to_tip_are_no_shaft():
    # hollow heads about x 100 were traced as an X; their line is too short beside them to be seen
    sides = [((89.0, 98.0), (111.0, 102.0)), ((89.0, 102.0), (111.0, 98.0))]
    ink = ink_of([((100.0, 40.0), (100.0, 108.0)), *sides])
    marks = set_marks(ink, [tip(100, 100, 180.0), tip(100, 100, 0.0)])
    assert [abs(m.ux) for m in marks] == pytest.approx([1.0, 1.0], abs=1e-6)


def test_a_side_of_the_head_it_meets_is_no_shaft():
    # of either head tip to tip at x 100 one side was traced, and nothing of the lines behind
    sides = [((89.0, 103.5), (103.2, 99.2)), ((100.0, 99.7), (111.0, 103.2))]
    ink = ink_of([((100.0, 40.0), (100.0, 108.0)), *sides])
    marks = set_marks(ink, [tip(100, 100, 180.0), tip(100, 100, 0.0)])
    assert [abs(m.ux) for m in marks] == pytest.approx([1.0, 1.0], abs=1e-6)


@pytest.mark.parametrize(("x", "score"), [(97.0, 0.5), (106.0, 0.3)])
def test_two_heads_on_one_line_do_not_overlap(x, score):
    # body to the left; the other lies just behind its tip, or was seen where the line goes on
    crossing = [((v, 40.0), (v, 160.0)) for v in (100.0, 106.0)]
    ink = ink_of([((20.0, 100.0), (180.0, 100.0)), *crossing])
    tips = [tip(100, 100, 180.0), tip(x, 100, 180.0, score=score)]
    assert [m.point.x for m in set_marks(ink, tips)] == pytest.approx([100.0])


def test_heads_without_lines_behind_them_face_each_other():
    ends = [((90.0, y), (130.0, y)) for y in (100.0, 160.0)]
    upper, lower = set_marks(ink_of(ends), [tip(100, 100, 277.0), tip(101, 160, 84.0)])
    assert (upper.ux, upper.uy) == pytest.approx((-1 / 60, -1.0), abs=1e-3)
    assert (lower.ux, lower.uy) == pytest.approx((1 / 60, 1.0), abs=1e-3)


def test_heads_that_point_past_each_other_stay_as_they_were_seen():
    ends = [((90.0, 100.0), (130.0, 100.0)), ((120.0, 160.0), (160.0, 160.0))]
    upper, _ = set_marks(ink_of(ends), [tip(100, 100, 270.0), tip(140, 160, 90.0)])
    assert (upper.ux, upper.uy) == pytest.approx((0.0, -1.0), abs=1e-6)


@pytest.mark.parametrize(
    ("bend", "kept"),
    [
        (((98.2, 98.7), 1.26, 0.0, 90.0), True),  # between a barb and the shaft
        (((97.6, 100.0), 1.26, 0.0, 180.0), True),  # the round back of a hollow head
        (((104.4, 100.0), 3.0, 90.0, 180.0), False),  # a corner that a leader points at
    ],
)
def test_a_bend_in_the_blot_of_a_head_does_not_take_its_tip_from_the_line(bend, kept):
    ink = ink_of([((40.0, 100.0), (100.0, 100.0)), ((100.0, 40.0), (100.0, 160.0))], [bend])
    (mark,) = settle_on_arcs(ink, set_marks(ink, [tip(100, 100, 180.0)]))
    assert (mark.point.x == pytest.approx(100.0)) is kept


@pytest.mark.parametrize(("low", "seen"), [(130.0, True), (260.0, False)])
def test_a_weak_head_between_the_parts_of_an_edge_stands_on_it(low, seen):
    # a tenon stands in front of the shoulder that it points at
    parts = [((300.0, 20.0), (300.0, 70.0)), ((300.0, low), (300.0, low + 40.0))]
    ink = ink_of([((100.0, 100.0), (300.0, 100.0)), *parts])
    assert bool(set_marks(ink, [tip(300, 100, 180.0, score=0.25)])) is seen


@pytest.mark.parametrize(
    ("tail", "body", "stands"),
    [(30.0, 180.0, True), (30.0, 0.0, False), (30.0, None, False), (6.0, 180.0, False)],
)
def test_a_head_in_what_is_taken_for_letters_stands_on_a_line_at_its_own_tail(tail, body, stands):
    # the tails of a narrow size beside its number: no stroke of a letter leads to a line so
    ink = ink_of([((100.0, 40.0), (100.0, 160.0)), ((100.0 - tail / 2, 100.0), (100.5, 100.0))])
    assert stands_on_crossing(ink, tip(100, 100).point, body) is stands
