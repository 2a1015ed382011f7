"""The drawings that other programs are given, and what a planted error is."""

from __future__ import annotations

import math

import numpy as np
import pytest

from audit.lengths import Unit, parse_length
from tests.bench.ezdxf_drawing import Truth
from tests.bench.program_clutter import make_crowded
from tests.bench.program_parts import HIGH, WIDE, Size, make_drawing, with_mistake
from tests.bench.program_sheets import on_drawn_line

SEEDS = range(40)


def inches(text):
    """The length in a text without a sign of mm, as if it counted inches."""
    return float(parse_length(text, unit=Unit.IN).value)


@pytest.mark.parametrize("seed", SEEDS)
def test_every_printed_size_is_as_long_as_it_is_drawn(seed):
    """Sizes of one part share a scale: printed over drawn has at most two values on a sheet."""
    drawing = make_drawing(np.random.default_rng(seed))
    scales = {round(math.log(inches(s.text) / math.dist(*s.ends)), 3) for s in drawing.sizes}
    assert 1 <= len(scales) <= 2


def test_a_mistake_is_about_six_percent_and_only_one():
    for seed in SEEDS:
        rng = np.random.default_rng(seed)
        sizes = make_drawing(rng).sizes
        [wrong] = [s for s in with_mistake(sizes, rng) if s.right]
        assert 0.03 < abs(inches(wrong.text) / inches(wrong.right) - 1) < 0.09


@pytest.mark.parametrize(
    ("text", "form", "printed"),
    [
        ("30", "limits", ("30.1", "29.9")),
        ("1.20", "dual", ("1.20", "[30.5]")),
        ("25", "dual", ("25", "[0.984]")),
        ("0.50", "tolerance", ("0.50 ±0.01",)),
        ("3 1/2", "typical", ("3 1/2 TYP",)),
    ],
)
def test_a_size_may_print_more_than_its_number(text, form, printed):
    assert Size(a=(0, 0), b=(30, 0), aside=5, text=text, form=form).printed == printed


@pytest.mark.parametrize("seed", SEEDS[:10])
def test_a_crowded_sheet_keeps_on_its_page_and_leaves_the_sizes_where_they_are(seed):
    crowded = make_crowded(np.random.default_rng(seed))
    bare = {(s.a, s.b, s.text) for s in make_drawing(np.random.default_rng(seed)).sizes}
    assert crowded.sizes
    assert {(s.a, s.b, s.text) for s in crowded.sizes} <= bare
    for x, y in [p for line in crowded.thin for p in line] + [t.at for t in crowded.labels]:
        assert 0 < x < WIDE
        assert 0 < y < HIGH


def test_a_truth_moves_aside_onto_the_line_that_a_program_drew_for_it():
    strokes = np.array([[10.0, 54, 40, 54], [0, 50, 0, 90], [10, 70, 40, 70]])
    asked = Truth(kind="distance", ends=((0.0, 50.0), (50.0, 50.0)), text="50", style="")
    assert on_drawn_line(asked, strokes).ends == ((0.0, 54.0), (50.0, 54.0))
    assert on_drawn_line(asked, strokes[1:2]) == asked
