"""A small part of the bench as a guard: truth from ezdxf's DIMENSION entities."""

from __future__ import annotations

import numpy as np
import pytest

from tests.bench.ezdxf_sheets import make_sheet
from tests.bench.ezdxf_styles import DEVELOPMENT, HELD_OUT
from tests.bench.find_vector import compare, find_on
from tests.bench.planted import by_hand


@pytest.mark.parametrize(("styles", "seed"), [(DEVELOPMENT, 21), (HELD_OUT, 22)])
def test_nearly_every_linear_dimension_of_any_style_is_found_with_its_text(styles, seed):
    rng = np.random.default_rng(seed)
    truths = right = reported = 0
    for style in styles:
        sheet = make_sheet(style, rng)
        dimensions, _ = find_on(sheet)
        pairs = compare(sheet.truths, dimensions)
        linear = [i for i, t in enumerate(sheet.truths) if t.kind == "distance"]
        truths += len(linear)
        right += sum(ok and i in linear for i, _, ok in pairs)
        others = {j for i, j, _ in pairs if i not in linear}
        reported += sum(
            d.kind.value == "distance" for j, d in enumerate(dimensions) if j not in others
        )
        reported += sum(dimensions[j].kind.value != "distance" for i, j, _ in pairs if i in linear)
    assert truths > 100
    assert right / truths >= 0.97
    assert right / reported >= 0.97


def test_sheets_are_the_same_for_the_same_seed():
    one, two = (make_sheet(DEVELOPMENT[0], np.random.default_rng(4)) for _ in range(2))
    assert one.truths == two.truths


def test_a_slip_is_printed_and_what_should_stand_there_is_remembered():
    always = make_sheet(
        DEVELOPMENT[0], np.random.default_rng(4), slip=lambda real, *_: "99 1/2", factor=1.0
    )
    lengths = [t for t in always.truths if t.kind != "angle"]
    assert all(t.text.endswith("99 1/2") for t in lengths)
    assert all(t.right and t.right != t.text for t in lengths)
    assert all(t.text.startswith("R ") for t in lengths if t.kind == "radius")
    never = make_sheet(DEVELOPMENT[0], np.random.default_rng(4), slip=lambda *_: None, factor=1.0)
    assert not any(t.right for t in never.truths)


@pytest.mark.parametrize(
    ("real", "right", "unit", "said"),
    [
        (5 / 16, "5/16", "fraction", {"5/32"}),
        (2.375, "2 3/8", "fraction", {"3/8", "2 3/16"}),
        (3.75, "3.750", "decimal", {"7.350", "3.570", ".750"}),
        (42.0, "42", "mm", {"24"}),
        (0.25, "R 1/4", "fraction", {"1/2"}),
        (1.5, "Ø 1 1/2", "fraction", {"3/4"}),
    ],
)
def test_slips_are_those_that_people_make(real, right, unit, said):
    seeds = range(400)
    texts = {by_hand(real, right, unit, np.random.default_rng(seed)) for seed in seeds} - {None}
    assert texts
    assert texts <= said
