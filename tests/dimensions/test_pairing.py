"""Pairs are as cheap as scipy's, and groups as scipy joins them."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import linear_sum_assignment
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from audit.dimensions.pairing import FEW, cheapest_pairs, joined_groups


@pytest.mark.parametrize("seed", range(200))
def test_no_pairs_are_cheaper(seed):
    """scipy.optimize.linear_sum_assignment finds the least sum; with equal costs in some tables."""
    rng = np.random.default_rng(seed)
    n = int(rng.integers(1, 12))
    m = n + int(rng.integers(0, 8))
    table = rng.random((n, m)) if seed % 2 else rng.integers(0, 4, (n, m)).astype(float)
    pairs = cheapest_pairs(table)
    assert [row for row, _ in pairs] == list(range(n))
    assert len({column for _, column in pairs}) == n
    rows, columns = linear_sum_assignment(table)
    assert sum(table[r, c] for r, c in pairs) == pytest.approx(table[rows, columns].sum())
    if seed % 2:
        assert pairs == list(zip(rows.tolist(), columns.tolist(), strict=True))


def test_a_large_table_gives_the_same_either_way(monkeypatch):
    table = np.random.default_rng(0).random((FEW + 5, FEW + 9))
    large = cheapest_pairs(table)
    monkeypatch.setattr("audit.dimensions.pairing.FEW", 1000)
    assert cheapest_pairs(table) == large


@pytest.mark.parametrize("seed", range(50))
def test_groups_are_the_connected_ones(seed):
    """scipy.sparse.csgraph.connected_components joins the same."""
    rng = np.random.default_rng(seed)
    pairs = [tuple(map(int, pair)) for pair in rng.integers(0, 12, (int(rng.integers(1, 20)), 2))]
    left, right = np.array(pairs).T
    graph = coo_array((np.ones(len(pairs)), (left, right + 12)), shape=(24, 24))
    _, label = connected_components(graph, directed=False)
    expected = {}
    for k, row in enumerate(left):
        expected.setdefault(int(label[row]), []).append(k)
    assert joined_groups(pairs) == list(expected.values())
