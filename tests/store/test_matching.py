"""Matching of proposals; the assignment is checked against a search through all of them."""

from __future__ import annotations

import itertools
import math
import random
import time
from dataclasses import replace

import pytest

from audit.geometry import Point, Transform
from audit.records import Dimension, DimensionKind, End, Frame
from audit.store.matching import (
    SAME_END_PAPER,
    assign,
    match_dimensions,
    match_sheets,
)
from tests.store.builders import PT_TO_MM, make_dimension, make_sheet

PT_PER_MM = 72 / 25.4


def pair(old: Dimension, new: Dimension, *, paper: Transform = PT_TO_MM) -> bool:
    return bool(match_dimensions([old], [new], papers={1: paper}))


def shifted(dimension: Dimension, mm: float) -> Dimension:
    ends = (replace(e, point=e.point.moved(0, mm * PT_PER_MM)) for e in dimension.ends)
    return replace(dimension, ends=tuple(ends), reading=None)


def points(kind: DimensionKind, *places: tuple[float, float]) -> Dimension:
    ends = tuple(End(point=Point(*p)) for p in places)
    return replace(make_dimension(1, at=(0, 0), kind=kind), ends=ends, reading=None)


def test_ends_within_the_limit_on_paper_match_and_beyond_it_do_not() -> None:
    old = make_dimension(1, at=(100, 100))
    assert pair(old, shifted(old, SAME_END_PAPER * 0.98))
    assert not pair(old, shifted(old, SAME_END_PAPER * 1.02))


def test_the_limit_is_on_paper_whatever_the_frame() -> None:
    old = make_dimension(1, at=(100, 100))
    fine = Transform.scaling(25.4 / 600)  # a scan at 600 dpi: 10 px are 0.42 mm
    moved = replace(
        old, ends=tuple(replace(e, point=e.point.moved(0, 10)) for e in old.ends), reading=None
    )
    assert pair(old, moved, paper=fine)
    assert not pair(old, moved)


def test_ends_may_come_the_other_way_round() -> None:
    old = make_dimension(1, at=(100, 100))
    assert pair(old, replace(old, ends=old.ends[::-1], reading=None))


def test_an_ordinate_has_a_first_end() -> None:
    old = points(DimensionKind.ORDINATE, (0, 0), (72, 0))
    assert pair(old, old)
    assert not pair(old, replace(old, ends=old.ends[::-1]))


def test_another_kind_in_the_same_place_is_another_dimension() -> None:
    old = make_dimension(1, at=(100, 100))
    assert not pair(old, replace(old, kind=DimensionKind.DIAMETER, reading=None))


def test_another_sheet_is_another_dimension() -> None:
    old = make_dimension(1, at=(100, 100))
    new = replace(old, sheet=2)
    assert not match_dimensions([old], [new], papers={1: PT_TO_MM, 2: PT_TO_MM})


def test_a_radius_is_known_by_centre_and_size_wherever_it_points() -> None:
    old = points(DimensionKind.RADIUS, (100, 100), (150, 100))
    turned = points(DimensionKind.RADIUS, (100, 100), (100, 150))
    larger = points(DimensionKind.RADIUS, (100, 100), (160, 100))
    assert pair(old, turned)
    assert not pair(old, larger)


def test_a_diameter_is_known_by_centre_and_size_wherever_it_points() -> None:
    old = points(DimensionKind.DIAMETER, (50, 100), (150, 100))
    assert pair(old, points(DimensionKind.DIAMETER, (100, 50), (100, 150)))
    assert not pair(old, points(DimensionKind.DIAMETER, (45, 100), (155, 100)))


def test_an_angle_is_known_by_vertex_and_directions() -> None:
    old = points(DimensionKind.ANGLE, (100, 100), (200, 100), (100, 40))
    assert pair(old, points(DimensionKind.ANGLE, (100, 100), (100, 70), (150, 100)))
    assert not pair(old, points(DimensionKind.ANGLE, (100, 100), (150, 100), (120, 40)))
    # The other way round the vertex: 270 degrees away.
    assert not pair(old, points(DimensionKind.ANGLE, (100, 100), (200, 100), (100, 160)))


def test_moved_ends_are_also_known_by_where_they_were_found() -> None:
    found = make_dimension(1, at=(100, 100))
    by_hand = shifted(found, 20)
    moved = replace(by_hand, found_ends=found.ends, reading=None)
    assert pair(moved, found)
    assert pair(moved, by_hand)
    assert not pair(by_hand, replace(found, reading=None))


def test_the_box_of_the_text_tells_when_the_ends_were_found_anew() -> None:
    old = make_dimension(1, at=(100, 100))
    better = replace(shifted(old, 4), reading=old.reading)
    assert pair(old, better)


def test_a_text_counts_only_after_all_ends_are_matched() -> None:
    old = make_dimension(1, at=(100, 100))
    by_ends = replace(old, id=5, reading=None)
    by_text = replace(shifted(old, 4), id=6, reading=old.reading)
    assert match_dimensions([old], [by_text, by_ends], papers={1: PT_TO_MM}) == {5: 1}


def test_a_crowd_is_matched_as_a_whole() -> None:
    """Taking the nearest first would leave the last one alone."""
    old = [replace(make_dimension(n, at=(100, 100 + 2 * n)), reading=None) for n in range(1, 6)]
    new = [shifted(d, 0.6) for d in old]  # each now nearer to its neighbour (0.7 mm away)
    pairs = match_dimensions(old, new, papers={1: PT_TO_MM})
    assert pairs == {n: n for n in range(1, 6)}


@pytest.mark.parametrize("seed", range(40))
def test_the_assignment_is_the_best_of_all(seed: int) -> None:
    """Checked by trying all assignments (itertools), not with our own code."""
    rng = random.Random(seed)
    cells = list(itertools.product(range(4), range(4)))
    chosen = rng.sample(cells, rng.randint(1, 12))
    costs = {cell: rng.randint(0, 100) / 10 for cell in chosen}
    got = assign((r, c, cost) for (r, c), cost in costs.items())
    assert len({r for r, _ in got}) == len({c for _, c in got}) == len(got)
    total = sum(costs[cell] for cell in got)
    assert (len(got), -total) == pytest.approx(_best(costs))


def _best(costs: dict[tuple[int, int], float]) -> tuple[int, float]:
    best = (0, 0.0)
    for order in itertools.permutations(range(4)):
        cells = [cell for cell in enumerate(order) if cell in costs]
        for size in range(len(cells) + 1):
            for part in itertools.combinations(cells, size):
                best = max(best, (size, -math.fsum(costs[cell] for cell in part)))
    return best


def test_a_thousand_dimensions_are_matched_in_a_moment() -> None:
    old = [make_dimension(n, at=(n % 40 * 30.0, n // 40 * 30.0)) for n in range(1, 1001)]
    new = [replace(d, id=2001 - d.id) for d in old]
    start = time.process_time()
    pairs = match_dimensions(old, new, papers={1: PT_TO_MM})
    assert pairs == {2001 - n: n for n in range(1, 1001)}
    assert time.process_time() - start < 3.0


def test_sheets_are_known_by_their_bytes_and_page() -> None:
    old = [make_sheet(1), make_sheet(2, page=2), make_sheet(3, digest="cd" * 32)]
    new = [make_sheet(1, digest="cd" * 32), make_sheet(2), make_sheet(3, page=3)]
    assert match_sheets(old, new) == {1: 3, 2: 1}
    assert match_sheets(old, [replace(make_sheet(1), frame=Frame.PX)]) == {}


def test_a_page_that_comes_twice_is_matched_in_order() -> None:
    twice = [make_sheet(1), make_sheet(2)]
    assert match_sheets(twice, [make_sheet(7), make_sheet(8)]) == {7: 1, 8: 2}
    assert match_sheets(twice, [make_sheet(7)]) == {7: 1}
