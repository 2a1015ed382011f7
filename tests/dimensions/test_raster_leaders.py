"""Leaders found from their circles, on strokes made by hand: every expected size is drawn so."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from audit.dimensions.assignment import Match
from audit.dimensions.candidates import Candidate
from audit.dimensions.raster_leader_choice import (
    doubt_rival_arcs,
    merge_leaders,
    without_bends_at_holes,
    without_crossed_rims,
    without_half_diameters,
    without_repeats,
)
from audit.dimensions.raster_leaders import find_leaders
from audit.geometry import Point
from audit.records import DimensionKind, End, EndKind
from tests.dimensions.raster_builder import ink_of, text_at, tip

CENTRE = (200.0, 200.0)
OUT = (math.cos(math.radians(40)), -math.sin(math.radians(40)))


def at(radius):
    return CENTRE[0] + radius * OUT[0], CENTRE[1] + radius * OUT[1]


def leaders(lines, circles, tips):
    arcs = [(CENTRE, r, 0.0, 360.0) for r in circles]
    ink = ink_of(lines, arcs)
    return find_leaders(ink, ink.arcs, tips)


def radius_of(candidate):
    a, b = candidate.radius_ends
    return a.point.distance(b.point)


def test_a_line_from_the_centre_with_a_dot_on_the_rim_shows_a_radius():
    (found,) = leaders([(CENTRE, at(90))], [50.0], [tip(*at(50))])
    assert found.kind is DimensionKind.RADIUS
    assert radius_of(found) == pytest.approx(50.0)


def test_a_line_across_with_marks_on_both_sides_shows_a_diameter():
    (found,) = leaders([(at(-50), at(90))], [50.0], [tip(*at(50)), tip(*at(-50))])
    assert found.kind is DimensionKind.DIAMETER
    assert found.ends[0].point.distance(found.ends[1].point) == pytest.approx(100.0)


def test_of_concentric_circles_the_one_that_carries_the_mark_is_meant():
    (found,) = leaders([(CENTRE, at(120))], [30.0, 70.0], [tip(*at(30))])
    assert radius_of(found) == pytest.approx(30.0)


def test_a_line_right_across_that_stops_at_a_rim_measures_that_circle():
    """What it crosses on its way looks like a mark there, even like a surer one."""
    sure = [tip(*at(30), score=0.7), tip(*at(-30), score=0.7)]
    at_rims = [tip(*at(70), score=0.5), tip(*at(-70), score=0.45)]
    (found,) = leaders([(at(-70), at(120))], [30.0, 70.0], [*sure, *at_rims])
    assert radius_of(found) == pytest.approx(70.0)
    (inner,) = leaders([(at(-90), at(120))], [30.0, 70.0], [*sure, *at_rims])
    assert radius_of(inner) == pytest.approx(30.0)


def test_a_short_leader_through_the_rim_is_no_tick_though_its_mark_points_nowhere():
    """An open arrowhead of a right angle and its line look like a star."""
    stub, star = [(at(3), at(14))], tip(*at(9), score=0.8)
    (found,) = leaders(stub, [9.0], [star])
    assert radius_of(found) == pytest.approx(9.0)
    aside = [((at(9)[0] - 6, at(9)[1]), (at(9)[0] + 6, at(9)[1]))]
    assert leaders(aside, [9.0], [star]) == []


def test_an_arrowhead_across_the_line_is_no_evidence():
    across = math.degrees(math.atan2(-OUT[1], OUT[0])) + 90.0
    along = leaders([(at(50), at(90))], [50.0], [tip(*at(50), direction=across - 90.0)])
    beside = leaders([(at(50), at(90))], [50.0], [tip(*at(50), direction=across)])
    assert [c.strict for c in along] == [False]
    assert [c.strict for c in beside] == [True]


def test_a_line_that_passes_beside_the_centre_is_no_leader():
    lines = [((CENTRE[0] - 20, CENTRE[1] - 90), (CENTRE[0] - 20, CENTRE[1] + 90))]
    half = math.sqrt(50.0**2 - 20.0**2)
    assert leaders(lines, [50.0], [tip(CENTRE[0] - 20, CENTRE[1] - half)]) == []


def test_centre_lines_without_marks_are_no_leaders():
    cross = [((140.0, 200.0), (260.0, 200.0)), ((200.0, 140.0), (200.0, 260.0))]
    assert leaders(cross, [50.0], []) == []


def test_one_leader_found_twice_stays_one():
    found = leaders([(CENTRE, at(90))], [50.0], [tip(*at(50))])
    assert len(merge_leaders(found, found)) == 1


def test_a_line_that_crosses_another_circle_on_its_way_is_no_leader_to_that_one():
    seen = leaders([(CENTRE, at(120))], [30.0, 70.0], [tip(*at(30))])
    blind = leaders([(CENTRE, at(120))], [70.0], [tip(*at(70))])
    (kept,) = merge_leaders(seen, blind)
    assert radius_of(kept) == pytest.approx(30.0)
    both = [(CENTRE, at(120)), (CENTRE, (200.0, 320.0))]
    other = leaders(both, [70.0], [tip(200.0, 270.0)])
    assert len(merge_leaders(seen, other)) == 2


def test_a_stray_text_at_a_circle_that_has_its_size_makes_no_second_one():
    found = leaders([(CENTRE, at(90))], [50.0], [tip(*at(50))])
    texts = [text_at("R 1.5", at(100)), text_at("x.", at(70)), text_at("R 1.6", at(80))]
    matches = [
        Match(candidate=k, text=text, cost=cost) for k, text, cost in ((0, 1, 0.1), (1, 0, 0.9))
    ]
    assert without_repeats(matches, found * 2, texts) == [matches[1]]
    both = [replace(matches[0], text=2), matches[1]]
    assert without_repeats(both, found * 2, texts) == both


def test_a_length_from_the_centre_to_the_rim_is_half_a_diameter_and_none():
    (circle,) = ink_of([], [((150, 150), 20, 0, 360)]).arcs

    def length(*ends):
        return Candidate(
            kind=DimensionKind.DISTANCE,
            ends=tuple(End(point=Point(*p), kind=EndKind.OUTLINE, sigma=0.1) for p in ends),
            line=tuple(Point(*p) for p in ends),
            strength=0.6,
            wants=frozenset({"length"}),
        )

    half, across, beside = (
        length((150, 150), (164.1, 135.9)),
        length((135.9, 164.1), (164.1, 135.9)),
        length((150, 150), (150, 190)),
    )
    assert without_half_diameters([half, across, beside], [circle]) == [across, beside]


def test_line_that_crosses_a_rim_on_its_way_to_an_inner_arrowhead_does_not_lead_to_that_rim():
    out = math.degrees(math.atan2(-OUT[1], OUT[0]))
    inner = tip(*at(12), direction=out, score=0.9)
    assert leaders([(at(12), at(90))], [50.0], [tip(*at(50), score=0.2), inner]) == []
    (found,) = leaders([(at(12), at(90))], [50.0], [tip(*at(50), score=0.8), inner])
    assert without_crossed_rims([found], [tip(*at(50), score=0.8), inner]) == [found]
    assert without_crossed_rims([found], [tip(*at(50), score=0.2), inner]) == []


@pytest.mark.parametrize(("stands", "leads"), [(40, False), (40, True), (23, True)])
def test_a_leader_that_ends_in_an_arrowhead_before_a_hole_does_not_lead_to_it(stands, leads):
    """The radius of a rounded end; a weak sign at the hole's rim is what else is drawn there."""
    outward = math.degrees(math.atan2(-OUT[1], OUT[0]))
    seen = tip(*at(stands), direction=outward + 180.0 * (leads and stands == 40), score=0.9)
    at_rim = tip(*at(20), score=0.2)
    found = leaders([(at(24), at(90))], [20.0], [seen, at_rim])
    assert bool(found) == leads


def test_a_leader_from_an_arrowhead_elsewhere_that_only_points_at_a_circle_is_left_out():
    (found,) = leaders([(at(20), at(90))], [20.0], [tip(*at(20))])
    away = replace(found, line=(Point(*at(40)), *found.line[1:]))
    outward = math.degrees(math.atan2(-OUT[1], OUT[0]))
    head = tip(*at(40), direction=outward, score=0.9)
    assert without_crossed_rims([found, away], [tip(*at(20))]) == [found, away]
    assert without_crossed_rims([away], [head]) == []


def test_an_arrowhead_seen_at_the_very_centre_leaves_the_radius_that_begins_there():
    out = math.degrees(math.atan2(-OUT[1], OUT[0]))
    (found,) = leaders(
        [(CENTRE, at(90))], [50.0], [tip(*at(50), score=0.3), tip(*CENTRE, out, score=0.7)]
    )
    assert found.kind is DimensionKind.RADIUS
    assert radius_of(found) == pytest.approx(50.0)


def test_a_small_hole_with_a_mark_at_its_rim_is_no_ring_though_centre_lines_cross_in_it():
    line, crossing = [(at(4), at(60))], tip(*CENTRE, score=0.31)
    (found,) = leaders(line, [4.4], [tip(*at(4.4), score=0.31), crossing])
    assert radius_of(found) == pytest.approx(4.4)
    assert leaders(line, [4.4], [crossing]) == []


def test_a_ring_that_ends_a_dimension_line_is_no_hole():
    line = [(at(4), at(60))]
    assert leaders(line, [4.4], [tip(*at(4.4), score=0.7), tip(*CENTRE, score=0.8)]) == []


def led(centre, radius, tip_at, *, sweep, strict=False):
    """A leader from outside whose arrowhead stands at a place."""
    towards = (tip_at[0] - centre[0], tip_at[1] - centre[1])
    far = math.hypot(*towards)
    rim = Point(centre[0] + radius * towards[0] / far, centre[1] + radius * towards[1] / far)
    ends = (
        End(point=Point(*centre), kind=EndKind.EXACT, sigma=0.01),
        End(point=rim, kind=EndKind.OUTLINE, sigma=0.1),
    )
    return Candidate(
        kind=DimensionKind.RADIUS,
        ends=ends,
        radius_ends=ends,
        line=(Point(*tip_at), Point(tip_at[0] - 30, tip_at[1] - 40)),
        strength=0.9,
        places=(),
        claims=frozenset(),
        strokes=frozenset({1}),
        leader=True,
        strict=strict,
        wants=frozenset({"radius"}),
        sweep=sweep,
    )


def test_an_arrowhead_at_a_hole_means_the_hole_not_the_bend_traced_beside_it():
    hole = led((443.5, 182.9), 4.3, (440.6, 179.5), sweep=360.0)
    bend = led((434.9, 174.2), 8.5, (440.6, 179.5), sweep=90.0)
    assert without_bends_at_holes([bend, hole]) == [hole]
    assert without_bends_at_holes([bend]) == [bend]


def test_a_corner_whose_arrowhead_stands_nearer_than_at_any_hole_keeps_its_leader():
    corner = led((434.9, 174.2), 7.8, (440.6, 179.5), sweep=90.0)
    far = led((446.0, 186.0), 4.3, (440.6, 179.5), sweep=360.0)
    assert without_bends_at_holes([corner, far]) == [corner, far]


def test_a_line_drawn_on_to_an_arrowhead_at_a_hole_means_the_hole():
    """Where it crosses the hub the network sees as sure an arrowhead."""
    inward = math.degrees(math.atan2(OUT[1], -OUT[0]))
    heads = [tip(*at(30), direction=inward), tip(*at(8), direction=inward)]
    (found,) = leaders([(at(8), at(90))], [30.0, 8.0], heads)
    assert radius_of(found) == pytest.approx(8.0)
    (short,) = leaders([(at(30), at(90))], [30.0, 8.0], heads)
    assert radius_of(short) == pytest.approx(30.0)


def test_two_arcs_at_one_arrowhead_make_the_radius_as_doubtful_as_they_differ():
    small = led((100, 100), 20.0, (120, 100), sweep=84.0)
    large = led((90, 100), 30.0, (120, 100), sweep=75.0)
    doubted = doubt_rival_arcs([small, large])
    assert [c.radius_ends[1].sigma for c in doubted] == [5.0, 5.0]
    assert [radius_of(c) for c in doubted] == [20.0, 30.0]
    across = led((150, 100), 30.0, (120, 100), sweep=75.0)
    assert doubt_rival_arcs([small, across]) == [small, across]
