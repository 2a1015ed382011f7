"""A small part of the bench as a guard: truth from ezdxf's DIMENSION entities."""

from __future__ import annotations

import numpy as np
import pytest

from tests.bench.ezdxf_sheets import DEVELOPMENT, HELD_OUT, make_sheet
from tests.bench.find_vector import compare, find_on


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
