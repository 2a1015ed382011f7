"""What keeps apart a line and a number that suit each other better is told, and nothing else."""

from __future__ import annotations

from audit.dimensions.better_pairs import MUCH_WORSE, edges_that_part

LITTLE, MUCH = 0.9 * MUCH_WORSE, 1.1 * MUCH_WORSE


def test_a_pair_parts_a_line_and_a_number_that_are_both_much_worse_off():
    costs = {(0, 0): 0.3, (0, 1): 0.3 + MUCH, (1, 0): 0.3 + MUCH}
    assert edges_that_part(costs, [(0, 1), (1, 0)]) == {(1, 0)}


def test_a_number_that_is_nearly_as_good_for_one_of_both_stays():
    costs = {(0, 0): 0.3, (0, 1): 0.3 + MUCH, (1, 0): 0.3 + MUCH}
    given = [(0, 1), (1, 0)]
    assert edges_that_part({**costs, (0, 1): 0.3 + LITTLE}, given) == set()
    assert edges_that_part({**costs, (1, 0): 0.3 + LITTLE}, given) == set()


def test_what_suits_each_other_best_is_parted_by_nothing():
    costs = {(0, 0): 0.3, (0, 1): 2.0, (1, 0): 2.0, (1, 1): 1.0}
    assert edges_that_part(costs, [(0, 0), (1, 1)]) == set()


def test_a_line_without_a_number_claims_none():
    assert edges_that_part({(0, 0): 0.3, (1, 0): 2.0}, [(1, 0)]) == set()


def test_a_line_claims_only_the_number_that_suits_it_best():
    best, good, bad = 0.3, 1.0, 3.0
    costs = {(0, 0): best, (0, 1): good, (0, 2): bad, (1, 0): bad, (2, 1): bad}
    assert edges_that_part(costs, [(0, 2), (1, 0), (2, 1)]) == {(1, 0)}
