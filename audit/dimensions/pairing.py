"""Cheapest one-to-one pairs; scipy, which loads slowly, is asked only about large tables."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

FEW = 48  # rows: up to here its loading takes longer than the search


def cheapest_pairs(table: Floats) -> list[tuple[int, int]]:
    """Give each row a column of its own so that the sum is least.

    Parameters
    ----------
    table : (n, m) array, n ≤ m
        Finite costs.

    Returns
    -------
    list of (int, int)
        Row and column, by rows.

    References
    ----------
    Shortest augmenting paths, as R. Jonker and A. Volgenant use them, 1987.

    Examples
    --------
    >>> cheapest_pairs(np.array([[1.0, 2.0], [1.0, 5.0]]))
    [(0, 1), (1, 0)]
    >>> cheapest_pairs(np.zeros((0, 3)))
    []
    """
    if len(table) > FEW:
        from scipy.optimize import linear_sum_assignment  # noqa: PLC0415  # loads slowly

        return [(int(a), int(b)) for a, b in zip(*linear_sum_assignment(table), strict=True)]
    owner = np.full(table.shape[1], -1)  # row of each column
    row_price, column_price = np.zeros(len(table)), np.zeros(table.shape[1])
    for row in range(len(table)):
        _give_one_more(table, row, owner, row_price, column_price)
    return sorted((int(owner[k]), k) for k in np.flatnonzero(owner >= 0).tolist())


def _give_one_more(
    table: Floats, row: int, owner: NDArray[np.intp], row_price: Floats, column_price: Floats
) -> None:
    """Find a column for one more row; rows that have one may have to move on to another."""
    far = np.full(table.shape[1], np.inf)  # of each column, at reduced cost
    came_from = np.full(table.shape[1], -1)
    done = np.zeros(table.shape[1], bool)
    here, gone = row, 0.0
    while True:
        reach = gone + table[here] - row_price[here] - column_price
        nearer = ~done & (reach < far)
        far[nearer], came_from[nearer] = reach[nearer], here
        column = int(np.argmin(np.where(done, np.inf, far)))
        gone = float(far[column])
        if owner[column] < 0:
            break
        done[column] = True
        here = int(owner[column])
    passed = np.flatnonzero(done)
    row_price[row] += gone
    row_price[owner[passed]] += gone - far[passed]
    column_price[passed] -= gone - far[passed]
    while column >= 0:
        here = int(came_from[column])
        owner[column], column = here, _column_of(here, column, owner) if here != row else -1


def _column_of(row: int, but: int, owner: NDArray[np.intp]) -> int:
    """Column a row had so far."""
    return next(int(k) for k in np.flatnonzero(owner == row) if k != but)


def joined_groups(pairs: list[tuple[int, int]]) -> list[list[int]]:
    """Numbers of pairs that hang together by what they share.

    Parameters
    ----------
    pairs : list of (int, int)
        Left and right ones, each side numbered for itself.

    Returns
    -------
    list of list of int
        In the order of each group's first pair.

    Examples
    --------
    >>> joined_groups([(0, 5), (1, 6), (0, 6), (2, 7)])
    [[0, 1, 2], [3]]
    """
    parent: dict[tuple[int, int], tuple[int, int]] = {}

    def root(one: tuple[int, int]) -> tuple[int, int]:
        parent.setdefault(one, one)
        while parent[one] != one:
            parent[one] = parent[parent[one]]
            one = parent[one]
        return one

    for left, right in pairs:
        parent[root((1, right))] = root((0, left))
    groups: dict[tuple[int, int], list[int]] = {}
    for k, (left, _) in enumerate(pairs):
        groups.setdefault(root((0, left)), []).append(k)
    return list(groups.values())
