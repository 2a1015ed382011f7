"""The smallest sets of printed sizes that must be wrong for the others to hold.

Every open loop holds a wrong leg. The smallest sets of wrong legs are found by branching over the
legs of one open loop at a time, which tries every possibility and nothing else. Where there are
too many, `scipy.optimize.milp` finds one smallest set.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np

from audit.checks.loops import LegNetwork

MOST_OPTIMA = 50
MOST_WORK = 1_500_000  # legs looked at in branching; beyond, one smallest set is searched by milp
MOST_FOR_MILP = 400  # legs; more would take minutes
DEEPEST = 4  # wrong legs in one component that branching looks for
MOST_CUTS = 30  # loops that milp is told of one after the other


@dataclass(frozen=True, slots=True, kw_only=True)
class SmallestSets:
    """The smallest sets of legs that must be wrong.

    `sets` holds places in the list of legs; `complete` says that no other set of this size does.
    """

    sets: tuple[frozenset[int], ...]
    complete: bool


def find_smallest_sets(
    network: LegNetwork, *, among: Collection[int] | None = None
) -> SmallestSets:
    """Find the smallest sets of legs without which everything can hold.

    Parameters
    ----------
    network : LegNetwork
        With open loops.
    among : Collection[int] | None
        Legs that may be wrong; `None`: all.

    Returns
    -------
    SmallestSets
        Up to `MOST_OPTIMA` sets of the least size; none when nothing is open.
    """
    allowed = None if among is None else frozenset(among)
    network.work = 0
    for size in range(DEEPEST + 1):
        search = _Search(network, allowed)
        search.branch(frozenset(), size)
        if search.found:
            return SmallestSets(sets=tuple(search.found), complete=search.complete)
        if not search.complete:
            break
    if len(network.legs) <= MOST_FOR_MILP:
        one = search_by_milp(network, among=allowed)
        return SmallestSets(sets=(one,) if one is not None else (), complete=False)
    return SmallestSets(sets=(), complete=False)


class _Search:
    """One search for sets of a given size; what it has seen and found."""

    def __init__(self, network: LegNetwork, allowed: frozenset[int] | None) -> None:
        self.network = network
        self.allowed = allowed
        self.seen: set[frozenset[int]] = set()
        self.found: dict[frozenset[int], None] = {}
        self.complete = True

    def branch(self, removed: frozenset[int], left: int) -> None:
        """Try every way to break the open loops with `left` more legs."""
        if removed in self.seen:
            return
        self.seen.add(removed)
        if len(self.found) >= MOST_OPTIMA or self.network.work > MOST_WORK:
            self.complete = False
            return
        loop = self.network.find_open_loop(removed)
        if loop is None:
            self.found[removed] = None
            return
        for k, _ in loop.legs if left else ():
            if self.allowed is None or k in self.allowed:
                self.branch(removed | self.network.alike[k], left - 1)


def search_by_milp(
    network: LegNetwork, *, among: Collection[int] | None = None
) -> frozenset[int] | None:
    """Find one smallest set of wrong legs by mixed-integer programming.

    Stations are continuous, "this leg is wrong" is binary:
    abs(x[b] - x[a] - value) <= half + M z, with M the sum of all sizes.

    Parameters
    ----------
    network : LegNetwork
        Small enough to wait for.
    among : Collection[int] | None
        Legs that may be wrong; `None`: all.

    Returns
    -------
    frozenset[int] | None
        `None` when the search gave up or its answer does not hold exactly.
    """
    from scipy import sparse  # noqa: PLC0415  # loads slowly, seldom needed
    from scipy.optimize import (  # noqa: PLC0415
        Bounds,
        LinearConstraint,
        milp,
    )

    n, m = network.count, len(network.legs)
    largest = max((float(abs(v)) for v in network.values), default=1.0) or 1.0
    values = np.array([float(v) for v in network.values]) / largest
    halves = np.array([float(h) for h in network.halves]) / largest
    big = float(np.abs(values).sum() + halves.sum())
    rows = np.arange(m)
    ends = sparse.csr_array(
        (np.r_[np.ones(m), -np.ones(m)], (np.r_[rows, rows], np.r_[network.b, network.a])),
        shape=(m, n),
    )
    # one binary for each printed size, however many legs it governs
    owner = np.array([min(group) for group in network.alike])
    sizes = np.unique(owner)
    column = np.searchsorted(sizes, owner)
    g = len(sizes)
    wide = sparse.csr_array((np.full(m, big), (rows, column)), shape=(m, g))
    table = sparse.vstack(
        [sparse.hstack([ends, -wide]), sparse.hstack([-ends, -wide])], format="csr"
    )
    top = np.r_[values + halves, halves - values] + 1e-9
    most = np.ones(g) if among is None else np.isin(sizes, list(among)).astype(float)
    for _ in range(MOST_CUTS):
        answer = milp(
            np.r_[np.zeros(n), np.ones(g)],
            constraints=LinearConstraint(table, ub=top),
            integrality=np.r_[np.zeros(n), np.ones(g)],
            bounds=Bounds(np.r_[np.full(n, -big), np.zeros(g)], np.r_[np.full(n, big), most]),
            options={"node_limit": 20_000},
        )
        if answer.x is None:
            return None
        wrong = frozenset(int(k) for k in rows[answer.x[n:][column] > 0.5])
        loop = network.find_open_loop(wrong)
        if loop is None:
            return wrong
        # open by the stricter limit of assumed rounding, which no sum of halves can state
        cut = np.zeros((1, n + g))
        cut[0, n + column[[k for k, _ in loop.legs]]] = -1.0
        table = sparse.vstack([table, sparse.csr_array(cut)], format="csr")
        top = np.r_[top, -1.0]
    return None
