"""Exact loops: whether printed sizes can all hold at once, and which few cannot.

A leg says that two stations are value ± half apart. Legs contradict each other exactly when some
loop of them has a gap that the halves along it cannot explain. Everything is done in whole
numbers of one common fraction, so nothing is rounded.

Every open loop holds a wrong leg. The smallest sets of wrong legs are found by branching over the
legs of one open loop at a time, which tries every possibility and nothing else. Where there are
too many, `scipy.optimize.milp` finds one smallest set.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse import csgraph

from audit.checks.stations import Leg

MOST_OPTIMA = 50
MOST_WORK = 1_500_000  # legs looked at in branching; beyond, one smallest set is searched by milp
MOST_FOR_MILP = 400  # legs; more would take minutes
DEEPEST = 4  # wrong legs in one component that branching looks for
PATIENCE = 16  # rounds of relaxation between looks for a negative cycle
EXACT_INT = 2**53
SURE_ROUNDING = 2.7  # standard deviations of several roundings together


@dataclass(frozen=True, slots=True, kw_only=True)
class Loop:
    """A closed way along legs.

    Attributes
    ----------
    legs : tuple of (int, int)
        Place in the list of legs, and +1 when it is passed from `a` to `b`, -1 backwards.
    gap : Fraction
        Sum of the signed values; 0 when the loop closes.
    worst : Fraction
        Largest gap that print rounding explains: the sum of the halves.
    likely : float
        Root of the sum of their squares.
    explained : Fraction
        Largest gap that is put down to rounding: see `explain_gap`.
    """

    legs: tuple[tuple[int, int], ...]
    gap: Fraction
    worst: Fraction
    likely: float
    explained: Fraction

    @property
    def is_open(self) -> bool:
        """Whether the gap is more than is put down to rounding."""
        return abs(self.gap) > self.explained


@dataclass(frozen=True, slots=True, kw_only=True)
class SmallestSets:
    """The smallest sets of legs that must be wrong.

    `sets` holds places in the list of legs; `complete` says that no other set of this size does.
    """

    sets: tuple[frozenset[int], ...]
    complete: bool


def make_loop(legs: Sequence[Leg], way: Iterable[tuple[int, int]]) -> Loop:
    """Add up the legs of a closed way."""
    way = tuple(way)
    halves = [legs[k].half for k, _ in way]
    return Loop(
        legs=way,
        gap=sum((sign * legs[k].value for k, sign in way), Fraction(0)),
        worst=sum(halves, Fraction(0)),
        likely=math.sqrt(sum(float(h) ** 2 for h in halves)),
        explained=explain_gap(legs[k] for k, _ in way),
    )


def explain_gap(legs: Iterable[Leg]) -> Fraction:
    """Return the largest gap of a closed way that is put down to rounding.

    What the print or the drawing shows to be rounded counts in full. Where rounding is only
    assumed, a slip of a few units must not pass for it: then one unit of the last place is
    allowed, or 2.7 standard deviations of all those roundings together (of each, its step
    over the root of 12), never more than the halves add up to.

    Parameters
    ----------
    legs : Iterable[Leg]
        All along the way.

    Returns
    -------
    Fraction
        In the unit of the line.

    Examples
    --------
    Four whole millimetres, taken to be rounded:

    >>> one = Leg(dimension=1, a=0, b=1, value=Fraction(18), half=Fraction(1, 2), assumed=True)
    >>> round(float(explain_gap([one] * 4)), 2), float(explain_gap([one] * 2))
    (1.56, 1.0)
    """
    shown, assumed = Fraction(0), []
    for leg in legs:
        if leg.assumed:
            assumed.append(leg.half)
        else:
            shown += leg.half
    together = SURE_ROUNDING * math.sqrt(sum(float(half) ** 2 for half in assumed) / 3)
    allowed = max(2 * max(assumed, default=Fraction(0)), Fraction(together))
    return shown + min(allowed, sum(assumed, Fraction(0)))


class LegNetwork:
    """The legs of one line in whole numbers, to be asked often which loops are open.

    Parameters
    ----------
    legs : Sequence[Leg]
        Of one line.
    count : int
        Number of its stations.
    """

    def __init__(self, legs: Sequence[Leg], count: int) -> None:
        self.legs = tuple(legs)
        self.count = count
        parts = [f for leg in legs for f in (leg.value, leg.half)]
        common = math.lcm(*(f.denominator for f in parts)) if parts else 1
        values = [int(leg.value * common) for leg in legs]
        halves = [int(leg.half * common) for leg in legs]
        total = sum(map(abs, values)) + sum(halves)
        kind: Any = np.int64 if total < EXACT_INT else object
        self.values: NDArray[Any] = np.array(values, kind)
        self.halves: NDArray[Any] = np.array(halves, kind)
        self.a = np.array([leg.a for leg in legs], np.int64)
        self.b = np.array([leg.b for leg in legs], np.int64)
        # places of all legs that one printed size governs: they are right or wrong together
        self.alike = _group_governed(self.legs)
        self.work = 0

    def find_open_loop(self, without: Collection[int] = ()) -> Loop | None:
        """Find a loop that rounding cannot explain among the legs not left out.

        Parameters
        ----------
        without : Collection[int]
            Places of legs to leave out.

        Returns
        -------
        Loop | None
            A short one; `None` when the rest can all hold at once.
        """
        keep = np.ones(len(self.legs), bool)
        keep[list(without)] = False
        kept = np.flatnonzero(keep)
        self.work += len(kept)
        if len(kept) < 2:
            return None
        place, parent, by = self._walk(kept)
        off = place[self.b[kept]] - place[self.a[kept]] - self.values[kept]
        wide = kept[np.abs(off) > self.halves[kept]]
        if wide.size == 0:
            return None
        loops = [make_loop(self.legs, self._close(int(k), parent, by)) for k in wide[:30]]
        loops = [loop for loop in loops if loop.is_open]
        if loops:
            return min(loops, key=lambda loop: len(loop.legs))
        return self._relax(kept, place)

    def find_loops(self) -> tuple[Loop, ...]:
        """Find one loop for each leg that closes one (a basis)."""
        kept = np.arange(len(self.legs))
        if kept.size == 0:
            return ()
        _, parent, by = self._walk(kept)
        tree = set(by[by >= 0].tolist())
        return tuple(
            make_loop(self.legs, self._close(int(k), parent, by)) for k in kept if k not in tree
        )

    def span(self, start: int, end: int, without: Collection[int] = ()) -> Fraction | None:
        """Return the exact distance from one station to another along the legs, if they join."""
        keep = np.ones(len(self.legs), bool)
        keep[list(without)] = False
        _, parent, by = self._walk(np.flatnonzero(keep))
        up, down = _climb(start, parent), _climb(end, parent)
        if up[-1] != down[-1]:
            return None
        total = Fraction(0)
        for way, sign in ((up, -1), (down, 1)):
            for node in way[:-1]:
                leg = self.legs[int(by[node])]
                total += sign * leg.value * (1 if leg.b == node else -1)
        return total

    def way(
        self, start: int, end: int, without: Collection[int] = ()
    ) -> tuple[tuple[int, int], ...]:
        """Return the shortest way from one station to another; empty when there is none."""
        keep = np.ones(len(self.legs), bool)
        keep[list(without)] = False
        before: dict[int, tuple[int, int, int]] = {start: (-1, -1, 0)}
        row = [start]
        neighbours: dict[int, list[tuple[int, int, int]]] = {}
        for leg in np.flatnonzero(keep).tolist():
            a, b = int(self.a[leg]), int(self.b[leg])
            neighbours.setdefault(a, []).append((b, leg, 1))
            neighbours.setdefault(b, []).append((a, leg, -1))
        for node in row:
            for other, leg, sign in neighbours.get(node, ()):
                if other not in before:
                    before[other] = (node, leg, sign)
                    row.append(other)
        if end not in before or start == end:
            return ()
        steps = []
        here = end
        while here != start:
            here, leg, sign = before[here]
            steps.append((leg, sign))
        return tuple(reversed(steps))

    def _walk(self, kept: NDArray[Any]) -> tuple[NDArray[Any], NDArray[Any], NDArray[Any]]:
        """Place every station by a breadth-first walk; with its parent and the leg taken."""
        a, b = self.a[kept], self.b[kept]
        both = sparse.csr_array(
            (np.ones(2 * len(kept)), (np.r_[a, b], np.r_[b, a])), shape=(self.count,) * 2
        )
        chosen = {}
        for k in kept[::-1]:
            chosen[(int(self.a[k]), int(self.b[k]))] = int(k)
        place = np.zeros(self.count, self.values.dtype)
        parent = np.full(self.count, -1, np.int64)
        by = np.full(self.count, -1, np.int64)
        number, label = csgraph.connected_components(both, directed=False)
        roots = np.full(number, -1, np.int64)
        for node in range(self.count - 1, -1, -1):
            roots[label[node]] = node
        for root in roots:
            order, before = csgraph.breadth_first_order(both, int(root), directed=False)
            for node in order[1:]:
                up = int(before[node])
                forward = chosen.get((up, int(node)))
                k = forward if forward is not None else chosen[(int(node), up)]
                sign = 1 if forward is not None else -1
                place[node] = place[up] + sign * self.values[k]
                parent[node], by[node] = up, k
        return place, parent, by

    def _close(self, leg: int, parent: NDArray[Any], by: NDArray[Any]) -> list[tuple[int, int]]:
        """Return the loop a leg makes with the tree: forth along it, back through the tree."""
        up, down = _climb(int(self.b[leg]), parent), _climb(int(self.a[leg]), parent)
        while len(up) > 1 and len(down) > 1 and up[-2] == down[-2]:
            up, down = up[:-1], down[:-1]
        way = [(leg, 1)]
        way += [(int(by[n]), -1 if self.b[by[n]] == n else 1) for n in up[:-1]]
        back = [(int(by[n]), 1 if self.b[by[n]] == n else -1) for n in down[:-1]]
        return way + back[::-1]

    def _relax(self, kept: NDArray[Any], place: NDArray[Any]) -> Loop | None:
        """Bellman and Ford on value ± half: a negative cycle is an open loop."""
        a, b = self.a[kept], self.b[kept]
        tail, head = np.r_[a, b], np.r_[b, a]
        weight = np.r_[
            self.values[kept] + self.halves[kept], -(self.values[kept] - self.halves[kept])
        ]
        owner = np.r_[kept, kept]
        distance, before = place.copy(), np.full(self.count, -1, np.int64)
        for turn in range(1, 2 * self.count + PATIENCE + 2):
            reach = distance[tail] + weight
            better = np.flatnonzero(reach < distance[head])
            if better.size == 0:
                return None
            self.work += len(kept)
            order = better[np.argsort(-reach[better].astype(float), kind="stable")]
            distance[head[order]] = reach[order]
            before[head[order]] = order
            if turn % PATIENCE == 0 or turn > self.count:
                way = _find_cycle(before, tail)
                if way:
                    signed = [(int(owner[k]), 1 if k < len(kept) else -1) for k in way]
                    return make_loop(self.legs, signed)
        return None


def _group_governed(legs: Sequence[Leg]) -> tuple[frozenset[int], ...]:
    """For every leg the places of all that its printed size governs, itself among them."""
    governing = {leg.dimension for leg in legs if leg.governed}
    groups: dict[int, set[int]] = {}
    for place, leg in enumerate(legs):
        if leg.dimension in governing:
            groups.setdefault(leg.dimension, set()).add(place)
    whole = {dimension: frozenset(group) for dimension, group in groups.items()}
    return tuple(whole.get(leg.dimension, frozenset((k,))) for k, leg in enumerate(legs))


def _climb(node: int, parent: NDArray[Any]) -> list[int]:
    way = [node]
    while parent[way[-1]] >= 0:
        way.append(int(parent[way[-1]]))
    return way


def _find_cycle(before: NDArray[Any], tail: NDArray[Any]) -> list[int]:
    """Follow the edges that last improved each station until one comes round."""
    state = np.zeros(len(before), np.int8)
    for start in range(len(before)):
        way, node = [], start
        while state[node] == 0 and before[node] >= 0:
            state[node] = 1
            way.append(node)
            node = int(tail[before[node]])
        if state[node] == 1 and node in way:
            ring = way[way.index(node) :]
            return [int(before[n]) for n in reversed(ring)]
        state[way] = 2
    return []


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
    from scipy.optimize import (  # noqa: PLC0415  # loads slowly, seldom needed
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
    top = np.r_[values + halves, halves - values]
    most = np.ones(g) if among is None else np.isin(sizes, list(among)).astype(float)
    answer = milp(
        np.r_[np.zeros(n), np.ones(g)],
        constraints=LinearConstraint(table, ub=top + 1e-9),
        integrality=np.r_[np.zeros(n), np.ones(g)],
        bounds=Bounds(np.r_[np.full(n, -big), np.zeros(g)], np.r_[np.full(n, big), most]),
        options={"node_limit": 20_000},
    )
    if answer.x is None:
        return None
    wrong = frozenset(int(k) for k in rows[answer.x[n:][column] > 0.5])
    return wrong if network.find_open_loop(wrong) is None else None
