"""Of two doubts about a size the one that no measurement settles is told."""

from __future__ import annotations

import pytest

from audit.geometry import Box
from audit.lengths.around import BESIDE_LETTER, LOST_BRACKET
from audit.pipeline.doubting import doubt_size
from tests.pipeline.test_abutting import size

OTHERWISE = "this is no size we know"


@pytest.mark.parametrize(
    ("first", "then", "kept"),
    [
        (BESIDE_LETTER, OTHERWISE, OTHERWISE),
        (OTHERWISE, BESIDE_LETTER, OTHERWISE),
        (BESIDE_LETTER, LOST_BRACKET, BESIDE_LETTER),
        (OTHERWISE, "a line runs through it", OTHERWISE),
    ],
)
def test_a_doubt_that_the_drawing_may_settle_gives_way_to_one_that_it_may_not(first, then, kept):
    dimension = size("3/16", Box(100, 190, 120, 200))
    for why in (first, then):
        dimension = doubt_size(dimension, dimension.reading, why)
    assert dimension.reading.doubt == kept
    assert dimension.reading.confidence == 0.5
