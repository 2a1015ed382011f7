"""Tolerance zones against the formulas of ISO 286-1 and values printed elsewhere."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest

from audit.lengths import FitLimits, Length, Unit, parse_callouts, read_fit
from audit.lengths.tables import read_blocks
from audit.lengths.zones import find_limits


def mm(size: float | str) -> Length:
    return Length(Fraction(size), Unit.MM)


def microns(fit: FitLimits) -> tuple[float, float]:
    return round(float(fit.least) * 1000), round(float(fit.most) * 1000)


@pytest.mark.parametrize(
    ("fit", "size", "clearance"),
    [
        # 25 mm: worked with the library pressfit 0.1.0 (MIT), whose tables were typed from the
        # standard; H7/g6 also by the standard's formulas
        ("H7/g6", 25, (7, 41)),
        ("H7/h6", 25, (0, 34)),
        ("H7/p6", 25, (-35, -1)),
        ("H8/f7", 25, (20, 74)),
        # 10 mm: the formula gives IT7 = 14.4, the standard prints 15
        ("H7/g6", 10, (5, 29)),
    ],
)
def test_clearances_are_those_of_the_standard(fit, size, clearance):
    assert microns(read_fit(fit, mm(size))) == clearance


@pytest.mark.parametrize(("size", "upper"), [(30, 21), ("30.001", 25), (18, 18), (50, 25)])
def test_ranges_end_with_their_own_last_size(size, upper):
    limits = find_limits("H7", mm(size))
    assert round(float(limits.upper - mm(size)) * 1000) == upper


def geometric_mean(ends: list[int], k: int) -> float:
    return math.sqrt(ends[k - 1] * ends[k])


def test_standard_tolerances_follow_their_formula():
    """i = 0.45 D^(1/3) + 0.001 D; IT5 = 7i, IT6 = 10i, IT7 = 16i … (ISO 286-1, annex)."""
    rows = [row.split() for row in read_blocks("iso286.txt")["standard tolerances"].rows]
    ends = [int(v) for v in rows[0][1:]]
    factors = {5: 7, 6: 10, 7: 16, 8: 25, 9: 40, 10: 64, 11: 100}
    for row in rows[1:]:
        # up to 3 mm the standard prints rounder numbers than its formulas give
        for k, value in list(enumerate(map(int, row[1:])))[1:]:
            d = geometric_mean(ends, k)
            by_formula = factors[int(row[0])] * (0.45 * d ** (1 / 3) + 0.001 * d)
            assert abs(value - by_formula) <= max(1.0, 0.04 * by_formula), (row[0], ends[k])


@pytest.mark.parametrize(
    ("letter", "factor", "power"),
    [("d", -16, 0.44), ("e", -11, 0.41), ("f", -5.5, 0.41), ("g", -2.5, 0.34), ("n", 5, 0.34)],
)
def test_deviations_follow_their_formulas(letter, factor, power):
    """Formulas of ISO 286-1 (annex, from memory)."""
    rows = [
        row.split()
        for block in ("shafts from below", "shafts from above")
        for row in read_blocks("iso286.txt")[block].rows
    ]
    ends = [int(v) for v in rows[0][1:]]
    values = next(row[1:] for row in rows if row[0] == letter)
    for k, value in list(enumerate(map(int, values)))[1:]:
        by_formula = factor * geometric_mean(ends, k) ** power
        assert abs(value - by_formula) <= max(0.85, 0.03 * abs(by_formula)), ends[k]


def test_medium_drive_is_it7_and_four_tenths_of_the_size():
    """s = IT7 + 0.4 D above 50 mm (ISO 286-1, annex, from memory)."""
    for low, high in ((65, 80), (140, 160), (280, 315)):
        d = math.sqrt(low * high)
        limits = find_limits("s6", mm(high))
        lower = float(limits.lower - mm(high)) * 1000
        it7 = float(find_limits("h7", mm(high)).upper - find_limits("h7", mm(high)).lower) * 1000
        assert abs(lower - (it7 + 0.4 * d)) <= 2.0


def test_js_lies_half_on_either_side_and_holes_mirror_shafts():
    js = find_limits("js7", mm(25))
    assert (float(js.upper), float(js.lower)) == (25.0105, 24.9895)
    hole, shaft = find_limits("F7", mm(25)), find_limits("f7", mm(25))
    assert hole.lower - mm(25) == mm(25) - shaft.upper


@pytest.mark.parametrize("zone", ["P7", "zc6", "H3", "H", "7", ""])
def test_a_zone_that_is_not_in_the_tables_has_no_limits(zone):
    assert find_limits(zone, mm(25)) is None


def test_sizes_the_tables_do_not_hold_have_none():
    assert find_limits("H7", mm(501)) is None
    assert find_limits("H7", mm(0)) is None
    assert find_limits("H7", Length(Fraction(30), Unit.DEG)) is None


def test_a_printed_callout_gives_its_limits_in_inches_too():
    [callout, *_] = parse_callouts("Ø25 H7/g6", unit=Unit.MM)
    assert microns(read_fit(callout.fit, callout.size)) == (7, 41)
    inch = read_fit("H7", Length(Fraction(1), Unit.IN))
    assert round(float(inch.hole.upper) - 25.4, 6) == 0.021


def test_every_block_names_its_source():
    assert all(block.sources for block in read_blocks("iso286.txt").values())
