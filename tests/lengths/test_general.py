"""General tolerances at the ends of their ranges, and how notes name their class."""

from __future__ import annotations

import itertools
from fractions import Fraction

import pytest

from audit.lengths import Length, Unit, general_tolerance, read_general_class
from audit.lengths.tables import read_blocks


def allowed(size, grade, **more):
    found = general_tolerance(Length(Fraction(size), Unit.MM), grade, **more)
    return None if found is None else float(found)


@pytest.mark.parametrize(
    ("size", "grade", "tolerance"),
    [
        # ISO 2768-1:1989 table 1, read in three pages that agree
        (100, "m", 0.3),
        (120, "m", 0.3),
        ("120.1", "m", 0.5),
        (6, "m", 0.1),
        (30, "f", 0.1),
        (31, "f", 0.15),
        (400, "c", 1.2),
        (400, "v", 2.5),
        (3, "v", None),
        (2500, "f", None),
        (2500, "m", 2.0),
        ("0.4", "m", None),
        (4001, "m", None),
    ],
)
def test_lengths_are_looked_up_in_ranges_that_end_with_their_last_size(size, grade, tolerance):
    assert allowed(size, grade) == tolerance


@pytest.mark.parametrize(
    ("size", "grade", "tolerance"), [(3, "m", 0.2), (6, "f", 0.5), (10, "c", 2.0), (5, "v", 1.0)]
)
def test_radii_and_chamfers_have_their_own_table(size, grade, tolerance):
    """Table 2: a page that swaps the two tables gives .1, .1, .5 and .5 here."""
    assert allowed(size, grade, broken_edge=True) == tolerance


def test_a_finer_class_is_never_wider_and_a_longer_size_never_tighter():
    for block in read_blocks("iso2768.txt").values():
        rows = [row.split()[1:] for row in block.rows if not row.startswith("sizes")]
        numbers = [[float(v) if v != "-" else None for v in row] for row in rows]
        for row in numbers:
            known = [v for v in row if v is not None]
            assert known == sorted(known)
        for finer, coarser in itertools.pairwise(numbers):
            pairs = zip(finer, coarser, strict=True)
            assert all(a <= b for a, b in pairs if a is not None and b is not None)


def test_inches_are_looked_up_by_their_millimetres():
    assert float(general_tolerance(Length(Fraction(4), Unit.IN), "m")) == 0.3


@pytest.mark.parametrize(
    ("text", "grade"),
    [
        ("GENERAL TOLERANCES ISO 2768-m", "m"),
        ("Tolerances to ISO 2768-mK", "m"),
        ("ISO 2768 - 1 f", "f"),
        ("TOLERANCE ISO2768-c", "c"),
        ("ISO 2768", None),
        ("ISO 286", None),
    ],
)
def test_the_class_is_read_from_notes(text, grade):
    assert read_general_class(text) == grade
