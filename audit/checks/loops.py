"""Exact loops: whether printed sizes can all hold at once, and which few cannot.

A leg says that two stations are value ± half apart. Legs contradict each other exactly when some
loop of them has a gap that the halves along it cannot explain. Everything is done in whole
numbers of one common fraction, so nothing is rounded.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import numpy as np
from numpy.typing import NDArray

from audit.checks.stations import Leg

PATIENCE = 16  # rounds of relaxation between looks for a negative cycle
EXACT_INT = 2**53
LONGEST_ASKED = 8  # legs of the loops looked at one by one where rounding is assumed
MOST_STEPS = 20_000  # along legs in that
SURE_ROUNDING = 2.7  # standard deviations of several roundings together

Neighbours = dict[int, list[tuple[int, int, int]]]
_Way = tuple[int, tuple[tuple[int, int], ...], frozenset[int]]  # ends at, legs, passed


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
        self.gave_up = False  # whether a search ended with loops not looked at

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
        return self._relax(kept, place) or self._ask_short_loops(kept)

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
        return _find_way(start, end, self._join(np.flatnonzero(keep)))

    def _join(self, kept: NDArray[Any]) -> Neighbours:
        """List for every station the stations that a leg joins to it, the leg and its sign."""
        neighbours: Neighbours = {}
        for leg in kept.tolist():
            a, b = int(self.a[leg]), int(self.b[leg])
            neighbours.setdefault(a, []).append((b, leg, 1))
            neighbours.setdefault(b, []).append((a, leg, -1))
        return neighbours

    def _ask_short_loops(self, kept: NDArray[Any]) -> Loop | None:
        """Look at every loop of few legs, as far as patience goes.

        Relaxing adds the halves up in full; where they are assumed, a loop of few legs may be open
        all the same (see `explain_gap`), and the tree need not go along it.
        """
        if not any(self.legs[k].assumed for k in kept):
            return None
        neighbours = self._join(kept)
        ways: deque[_Way] = deque((node, (), frozenset({node})) for node in sorted(neighbours))
        steps = 0
        while ways and steps < MOST_STEPS:  # short ways first
            node, way, passed = ways.popleft()
            start = min(passed)
            for other, leg, sign in neighbours[node]:
                steps += 1
                longer = (*way, (leg, sign))
                if other == start and len(way) > 1:
                    loop = self._open_loop(longer)
                    if loop is not None:
                        return loop
                elif other > start and other not in passed and len(longer) < LONGEST_ASKED:
                    ways.append((other, longer, passed | {other}))
        self.work += steps
        self.gave_up = self.gave_up or bool(ways)
        return None

    def _open_loop(self, way: Sequence[tuple[int, int]]) -> Loop | None:
        """Add up a closed way when it is open."""
        if sum(sign * self.values[k] for k, sign in way) == 0:
            return None
        loop = make_loop(self.legs, way)
        return loop if loop.is_open else None

    def _walk(self, kept: NDArray[Any]) -> tuple[NDArray[Any], NDArray[Any], NDArray[Any]]:
        """Place every station by a breadth-first walk; with its parent and the leg taken."""
        beside: dict[int, set[int]] = {}
        for a, b in zip(self.a[kept].tolist(), self.b[kept].tolist(), strict=True):
            beside.setdefault(a, set()).add(b)
            beside.setdefault(b, set()).add(a)
        chosen = {}
        for k in kept[::-1]:
            chosen[(int(self.a[k]), int(self.b[k]))] = int(k)
        place = np.zeros(self.count, self.values.dtype)
        parent = np.full(self.count, -1, np.int64)
        by = np.full(self.count, -1, np.int64)
        seen = np.zeros(self.count, np.bool_)
        for root in sorted(beside):
            if seen[root]:
                continue
            seen[root] = True
            row = deque([root])
            while row:
                up = row.popleft()
                for node in sorted(beside[up]):
                    if seen[node]:
                        continue
                    seen[node] = True
                    row.append(node)
                    forward = chosen.get((up, node))
                    k = forward if forward is not None else chosen[(node, up)]
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


def _find_way(start: int, end: int, neighbours: Neighbours) -> tuple[tuple[int, int], ...]:
    """Find the shortest way between two stations, breadth first."""
    before: dict[int, tuple[int, int, int]] = {start: (-1, -1, 0)}
    row = [start]
    for node in row:
        if end in before:
            break
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
