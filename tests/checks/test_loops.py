"""Exact loops and smallest sets, with mixed-integer programming as the second opinion."""

from __future__ import annotations

import itertools
from dataclasses import replace
from fractions import Fraction

import networkx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from audit.checks.culprits import find_smallest_sets, search_by_milp
from audit.checks.loops import LegNetwork, make_loop
from audit.checks.stations import Leg


def leg(a, b, value, half=0):
    return Leg(dimension=0, a=a, b=b, value=Fraction(value), half=Fraction(half))


def network(*legs):
    return LegNetwork(legs, 1 + max(max(g.a, g.b) for g in legs))


SHORT = (leg(0, 1, "3/4"), leg(1, 2, "105/32"), leg(2, 3, "11/8"), leg(0, 3, "11/2"))


def test_a_chain_three_thirty_seconds_short_is_open_by_as_much():
    loop = network(*SHORT).find_open_loop()
    assert abs(loop.gap) == Fraction(3, 32)
    assert {k for k, _ in loop.legs} == {0, 1, 2, 3}


def test_a_chain_with_one_missing_link_is_not_reported_as_open():
    assert network(SHORT[0], SHORT[2], SHORT[3]).find_open_loop() is None


def test_without_a_drawing_every_leg_of_one_chain_is_as_good_a_culprit():
    sets = find_smallest_sets(network(*SHORT))
    assert set(sets.sets) == {frozenset({k}) for k in range(4)}
    assert sets.complete


def test_nothing_open_has_no_culprit():
    closed = network(leg(0, 1, 1), leg(1, 2, 2), leg(0, 2, 3))
    assert find_smallest_sets(closed).sets == (frozenset(),)


def test_rounding_explains_as_much_as_the_halves_add_up_to():
    half = Fraction(1, 200)
    thirds = [leg(k, k + 1, "3.33", half) for k in range(3)]
    assert network(*thirds, leg(0, 3, 10)).find_open_loop() is None
    assert network(*thirds, leg(0, 3, "10.01")).find_open_loop() is not None
    loop = make_loop([*thirds, leg(0, 3, 10)], [(0, 1), (1, 1), (2, 1), (3, -1)])
    assert (loop.worst, loop.likely) == (Fraction(3, 200), pytest.approx(0.005 * 3**0.5))


def test_loops_that_close_one_by_one_but_not_together_are_found():
    """Each fundamental loop is within its rounding, all together they are not."""
    legs = [leg(0, 1, 1, "1/10"), leg(0, 1, "1.15", "1/10"), leg(0, 1, "1.3", "1/10")]
    loop = LegNetwork(legs, 2).find_open_loop()
    assert {k for k, _ in loop.legs} == {0, 2}


def test_a_size_that_spans_several_steps_is_measured_by_the_others():
    net = network(*SHORT)
    assert net.span(1, 2, without={1}) == Fraction(27, 8)
    assert net.span(0, 3) in {Fraction(11, 2), Fraction(173, 32)}
    assert network(leg(0, 1, 1), leg(2, 3, 1)).span(0, 3) is None


def is_feasible(legs, stations):
    """Linear programming, for the rounding case."""
    rows, top = [], []
    for g in legs:
        row = np.zeros(stations)
        row[g.b] += 1
        row[g.a] -= 1
        rows += [row, -row]
        top += [float(g.value + g.half) + 1e-9, float(g.half - g.value) + 1e-9]
    return linprog(np.zeros(stations), A_ub=rows, b_ub=top, bounds=(None, None)).status == 0


@settings(max_examples=60, deadline=None)
@given(seed=st.integers(0, 10**6), rounded=st.booleans())
def test_open_loops_are_what_linear_programming_calls_infeasible(seed, rounded):
    rng = np.random.default_rng(seed)
    stations = int(rng.integers(3, 8))
    half = Fraction(1, 20) if rounded else Fraction(0)
    place = np.cumsum(rng.integers(1, 9, stations))
    legs = []
    for _ in range(int(rng.integers(3, 14))):
        a, b = sorted(rng.choice(stations, 2, replace=False).tolist())
        off = Fraction(int(rng.integers(-1, 2)), 20) * int(rng.random() < 0.5)
        legs.append(leg(a, b, int(place[b] - place[a]) + off, half))
    net = LegNetwork(legs, stations)
    assert (net.find_open_loop() is None) == is_feasible(legs, stations)


@settings(max_examples=30, deadline=None)
@given(seed=st.integers(0, 10**6))
def test_smallest_sets_are_all_that_trying_every_set_finds(seed):
    rng = np.random.default_rng(seed)
    place = np.cumsum(rng.integers(1, 20, 5))
    legs = []
    for _ in range(8):
        a, b = sorted(rng.choice(5, 2, replace=False).tolist())
        legs.append(leg(a, b, int(place[b] - place[a])))
    for k in rng.choice(8, 2, replace=False).tolist():
        legs[k] = leg(legs[k].a, legs[k].b, legs[k].value + 1 + int(rng.integers(0, 3)))
    net = LegNetwork(legs, 5)
    for size in range(3):
        tried = {
            frozenset(s)
            for s in itertools.combinations(range(8), size)
            if net.find_open_loop(s) is None
        }
        if tried:
            break
    assert set(find_smallest_sets(net).sets) == tried
    by_milp = search_by_milp(net)
    assert by_milp in tried


def test_one_size_in_two_places_is_one_change_by_both_searches():
    """5/8 + 2 + 5/8 is not 3: one change of the typical size, or of one of the others."""
    legs = [leg(0, 1, 5), leg(1, 2, 16), leg(2, 3, 5), leg(0, 3, 24), leg(0, 2, 20)]
    legs = [replace(one, dimension=k) for k, one in enumerate(legs)]
    legs[2] = replace(legs[2], dimension=0, governed=True)
    net = LegNetwork(legs, 4)
    assert find_smallest_sets(net).sets == (frozenset({0, 2}),)
    assert search_by_milp(net) == frozenset({0, 2})
    assert search_by_milp(net, among=[0]) == frozenset({0, 2})


def taken(a, b, value):
    """A leg whose rounding to the millimetre is only assumed."""
    return replace(leg(a, b, value, Fraction(1, 2)), assumed=True)


WHEEL = (
    *(taken(0, k, 100 * k) for k in (1, 2, 3, 4)),
    *(taken(1, 2, 101), taken(2, 3, 100), taken(3, 4, 101), taken(1, 4, 300)),
)


def test_assumed_rounding_is_limited_in_loops_that_the_tree_does_not_go_along():
    """Every loop through the hub is 1 mm off; the ring of four legs is 2 mm off."""
    net = network(*WHEEL)
    assert not any(loop.is_open for loop in net.find_loops())
    loop = net.find_open_loop()
    assert (sorted(k for k, _ in loop.legs), abs(loop.gap)) == ([4, 5, 6, 7], 2)
    shown = [replace(g, assumed=False) for g in WHEEL]
    assert network(*shown).find_open_loop() is None
    one = search_by_milp(net)
    assert len(one) == 1
    assert one in find_smallest_sets(net).sets


def all_to_all(count):
    """Legs between every two of so many stations, one of them off by what rounding explains."""
    legs = [taken(a, b, 100 * (b - a)) for a, b in itertools.combinations(range(count), 2)]
    return [replace(legs[0], value=legs[0].value + 1), *legs[1:]]


def test_a_search_of_sums_that_ends_before_all_are_tried_says_so():
    few, many = network(*all_to_all(4)), network(*all_to_all(12))
    assert few.find_open_loop() is None
    assert not few.gave_up
    assert many.find_open_loop() is None
    assert many.gave_up


@pytest.mark.parametrize("seed", range(12))
def test_what_is_open_by_assumed_rounding_is_what_every_loop_of_the_graph_says(seed):
    """All loops are listed by networkx."""
    rng = np.random.default_rng(seed)
    places = [0, *np.cumsum(rng.integers(20, 60, 5)).tolist()]
    ends = [(a, b) for a, b in itertools.combinations(range(6), 2) if rng.random() < 0.6]
    legs = [taken(a, b, int(places[b] - places[a] + rng.integers(-1, 2))) for a, b in ends]
    net = network(*legs)
    at = {frozenset(pair): k for k, pair in enumerate(ends)}
    is_open = False
    for ring in networkx.simple_cycles(networkx.Graph(ends)):
        steps = zip(ring, [*ring[1:], ring[0]], strict=True)
        way = [(at[frozenset(s)], 1 if s[0] < s[1] else -1) for s in steps]
        is_open |= make_loop(legs, way).is_open
    assert (net.find_open_loop() is not None) == is_open
