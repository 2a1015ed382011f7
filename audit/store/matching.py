"""Which of the things found now are the ones found before.

Places are compared in mm on the paper, one to one: first by end points and kind, then, for what is
left, by the box of the printed text. The best joint assignment is taken, not the first one found.

References
----------
Joint assignment: D. F. Crouse, "On implementing 2D rectangular assignment algorithms", 2016, as
`scipy.optimize.linear_sum_assignment` cites it.
"""

from __future__ import annotations

import itertools
from collections.abc import Hashable, Iterable, Mapping, Sequence

from audit.geometry import Point, Transform, direction_deg
from audit.records import Dimension, DimensionKind, End, Finding, Sheet, UserSet, View
from audit.store.actions import shared_area

SAME_END_PAPER = 0.8  # mm; two pen widths, well under the 2 mm between neighbouring dimensions
SAME_ANGLE_DEG = 2.0  # legs of an angle may be pointed at anywhere along them
SAME_VIEW_OVERLAP = 0.3  # share of the joint area
SAME_TEXT_OVERLAP = 0.5
OTHER_TEXT_COST = 0.5  # in units of SAME_END_PAPER: breaks ties between dimensions in one place
OTHER_VIEW_COST = 0.1

_FROM_CENTRE = frozenset({DimensionKind.RADIUS, DimensionKind.ANGLE})


def match_sheets(old: Iterable[Sheet], new: Iterable[Sheet]) -> dict[int, int]:
    """Map numbers of new sheets to those of the same pages seen before.

    The same page is the same source bytes and page number, in the same frame; a page that occurs
    several times is matched in order.
    """
    waiting: dict[Hashable, list[int]] = {}
    for sheet in old:
        waiting.setdefault(_page_of(sheet), []).append(sheet.id)
    pairs: dict[int, int] = {}
    for sheet in new:
        if left := waiting.get(_page_of(sheet)):
            pairs[sheet.id] = left.pop(0)
    return pairs


def _page_of(sheet: Sheet) -> Hashable:
    return (sheet.digest, sheet.page, sheet.frame)


def match_views(old: Sequence[View], new: Sequence[View]) -> dict[int, int]:
    """Map numbers of new views to old ones of the same sheet by the area they share."""

    def cost(before: View, now: View) -> float | None:
        if before.sheet != now.sheet:
            return None
        shared = shared_area(before.box, now.box)
        return 1.0 - shared if shared >= SAME_VIEW_OVERLAP else None

    candidates = (
        (b, n, c)
        for (b, before), (n, now) in itertools.product(enumerate(old), enumerate(new))
        if (c := cost(before, now)) is not None
    )
    return {new[n].id: old[b].id for b, n in assign(candidates)}


def match_dimensions(
    old: Sequence[Dimension], new: Sequence[Dimension], *, papers: Mapping[int, Transform]
) -> dict[int, int]:
    """Map numbers of new dimensions to old ones.

    Parameters
    ----------
    old : Sequence[Dimension]
    new : Sequence[Dimension]
        Sheets and views already carry the same numbers on both sides.
    papers : Mapping[int, Transform]
        From each sheet's frame to mm on the paper.

    Returns
    -------
    dict of int to int
        New number to old number, one to one; dimensions without a partner are missing.
    """
    pairs = _match_by_ends(old, new, papers)
    taken, met = set(pairs.values()), set(pairs)
    rest_old = [d for d in old if d.id not in taken]
    rest_new = [d for d in new if d.id not in met]
    return pairs | _match_by_text(rest_old, rest_new)


def _match_by_ends(
    old: Sequence[Dimension], new: Sequence[Dimension], papers: Mapping[int, Transform]
) -> dict[int, int]:
    grid: dict[tuple[int, int, int], set[int]] = {}
    for index, dimension in enumerate(old):
        for ends in (dimension.ends, dimension.found_ends):
            for cell in _cells(dimension, ends, papers):
                grid.setdefault(cell, set()).add(index)
    candidates = []
    for n, now in enumerate(new):
        near = set().union(*(grid.get(c, set()) for c in _around(now, papers)))
        for b in sorted(near):
            cost = _end_cost(old[b], now, papers)
            if cost is not None:
                candidates.append((b, n, cost))
    return {new[n].id: old[b].id for b, n in assign(candidates)}


def _anchor(dimension: Dimension, ends: tuple[End, ...], paper: Transform) -> Point | None:
    if not ends:
        return None
    if dimension.kind in _FROM_CENTRE:
        return paper.apply(ends[0].point)
    points = [paper.apply(end.point) for end in ends]
    return Point(sum(p.x for p in points) / len(points), sum(p.y for p in points) / len(points))


def _cells(
    dimension: Dimension, ends: tuple[End, ...], papers: Mapping[int, Transform]
) -> Iterable[tuple[int, int, int]]:
    at = _anchor(dimension, ends, papers[dimension.sheet])
    if at is not None:
        yield (dimension.sheet, int(at.x // SAME_END_PAPER), int(at.y // SAME_END_PAPER))


def _around(
    dimension: Dimension, papers: Mapping[int, Transform]
) -> Iterable[tuple[int, int, int]]:
    for sheet, x, y in _cells(dimension, dimension.ends, papers):
        for dx, dy in itertools.product((-1, 0, 1), repeat=2):
            yield (sheet, x + dx, y + dy)


def _end_cost(before: Dimension, now: Dimension, papers: Mapping[int, Transform]) -> float | None:
    if before.kind is not now.kind and UserSet.KIND not in before.user_set:
        return None
    paper = papers[now.sheet]
    gaps = [
        _end_gap(ends, now, paper)
        for ends in (before.ends, before.found_ends)
        if len(ends) == len(now.ends)
    ]
    gap = min(gaps, default=SAME_END_PAPER * 2)
    if gap > SAME_END_PAPER:
        return None
    other_text = OTHER_TEXT_COST * (_text_of(before) != _text_of(now))
    return gap / SAME_END_PAPER + other_text + OTHER_VIEW_COST * (before.view != now.view)


def _text_of(dimension: Dimension) -> str:
    return "" if dimension.reading is None else dimension.reading.text


def _end_gap(ends: tuple[End, ...], now: Dimension, paper: Transform) -> float:
    """Largest distance between partners among the ends, mm on the paper."""
    a = [paper.apply(end.point) for end in ends]
    b = [paper.apply(end.point) for end in now.ends]
    if now.kind is DimensionKind.RADIUS and len(a) == 2:
        return max(a[0].distance(b[0]), abs(a[0].distance(a[1]) - b[0].distance(b[1])))
    if now.kind is DimensionKind.ANGLE and len(a) == 3:
        return a[0].distance(b[0]) + SAME_END_PAPER * 2 * (not _same_legs(a, b))
    straight = max(p.distance(q) for p, q in zip(a, b, strict=True))
    if now.kind is DimensionKind.ORDINATE:
        return straight
    if now.kind is DimensionKind.DIAMETER and len(a) == 2:
        return _diameter_gap(a, b)
    return min(straight, max(p.distance(q) for p, q in zip(a, reversed(b), strict=True)))


def _diameter_gap(a: list[Point], b: list[Point]) -> float:
    centres = a[0].midpoint(a[1]).distance(b[0].midpoint(b[1]))
    return max(centres, abs(a[0].distance(a[1]) - b[0].distance(b[1])))


def _same_legs(a: list[Point], b: list[Point]) -> bool:
    def turn(p: Point, q: Point) -> float:
        return abs(_signed_turn(a[0], p, b[0], q))

    straight = max(turn(a[1], b[1]), turn(a[2], b[2]))
    crossed = max(turn(a[1], b[2]), turn(a[2], b[1]))
    return min(straight, crossed) <= SAME_ANGLE_DEG


def _signed_turn(a0: Point, a1: Point, b0: Point, b1: Point) -> float:
    turn = direction_deg(a0, a1) - direction_deg(b0, b1)
    return (turn + 180.0) % 360.0 - 180.0


def _match_by_text(old: Sequence[Dimension], new: Sequence[Dimension]) -> dict[int, int]:
    candidates = [
        (b, n, 1.0 - shared)
        for (b, before), (n, now) in itertools.product(enumerate(old), enumerate(new))
        if before.sheet == now.sheet and (shared := _shared_text(before, now)) >= SAME_TEXT_OVERLAP
    ]
    return {new[n].id: old[b].id for b, n in assign(candidates)}


def _shared_text(before: Dimension, now: Dimension) -> float:
    if before.reading is None or now.reading is None:
        return 0.0
    return shared_area(before.reading.box, now.reading.box)


def match_findings(old: Sequence[Finding], new: Sequence[Finding]) -> dict[int, int]:
    """Map numbers of new findings to old ones: same code, same dimensions, same places.

    A finding about dimensions is known by them; one without, by overlapping places.
    """
    candidates = []
    groups: dict[Hashable, list[int]] = {}
    for index, finding in enumerate(old):
        groups.setdefault(_subject_of(finding), []).append(index)
    for n, now in enumerate(new):
        for b in groups.get(_subject_of(now), []):
            cost = _finding_cost(old[b], now)
            if cost is not None:
                candidates.append((b, n, cost))
    return {new[n].id: old[b].id for b, n in assign(candidates)}


def _subject_of(finding: Finding) -> Hashable:
    sheets = frozenset(place.sheet for place in finding.places)
    return (finding.code, frozenset(finding.dimensions), sheets)


def _finding_cost(before: Finding, now: Finding) -> float | None:
    other_text = 0.5 * (before.text != now.text)
    if before.dimensions or not (before.places or now.places):
        return other_text
    shared = max(
        shared_area(p.box, q.box)
        for p, q in itertools.product(before.places, now.places)
        if p.sheet == q.sheet
    )
    return other_text + 1.0 - shared if shared > 0 else None


def assign(candidates: Iterable[tuple[int, int, float]]) -> list[tuple[int, int]]:
    """Choose pairs one to one: as many as possible, then at the smallest total cost.

    Parameters
    ----------
    candidates : Iterable[tuple[int, int, float]]
        Row, column and cost (0 to 10) of each allowed pair.

    Returns
    -------
    list of (int, int)
        Sorted by row.

    Examples
    --------
    >>> assign([(0, 0, 0.1), (0, 1, 0.2), (1, 0, 0.2)])
    [(0, 1), (1, 0)]
    >>> assign([])
    []
    """
    pairs: list[tuple[int, int]] = []
    for group in _connected(list(candidates)):
        pairs.extend(_assign_group(group))
    return sorted(pairs)


def _connected(
    candidates: list[tuple[int, int, float]],
) -> Iterable[list[tuple[int, int, float]]]:
    leader: dict[tuple[str, int], tuple[str, int]] = {}

    def find(node: tuple[str, int]) -> tuple[str, int]:
        leader.setdefault(node, node)
        while leader[node] != node:
            leader[node] = leader[leader[node]]
            node = leader[node]
        return node

    for row, column, _ in candidates:
        leader[find(("row", row))] = find(("column", column))
    groups: dict[tuple[str, int], list[tuple[int, int, float]]] = {}
    for candidate in candidates:
        groups.setdefault(find(("row", candidate[0])), []).append(candidate)
    return groups.values()


def _assign_group(group: list[tuple[int, int, float]]) -> list[tuple[int, int]]:
    if len(group) == 1:
        return [group[0][:2]]
    import numpy as np  # noqa: PLC0415
    from scipy.optimize import linear_sum_assignment  # noqa: PLC0415  # slow to load, seldom needed

    rows = sorted({row for row, _, _ in group})
    columns = sorted({column for _, column, _ in group})
    forbidden = 1000.0 * max(len(rows), len(columns))
    costs = np.full((len(rows), len(columns)), forbidden)
    for row, column, cost in group:
        costs[rows.index(row), columns.index(column)] = cost
    chosen = zip(*linear_sum_assignment(costs), strict=True)
    return [(rows[r], columns[c]) for r, c in chosen if costs[r, c] < forbidden]
