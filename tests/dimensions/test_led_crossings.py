"""What is led to a dimension line from afar is looked for about its end, not all over the page."""

from __future__ import annotations

import numpy as np

from audit.dimensions.crossings import find_parted_edge
from audit.dimensions.dashed_crossings import find_dashed
from audit.dimensions.ink import Ink, Line
from audit.records import Strokes, VectorPage


class _Everywhere(Ink):
    def straight_near(self, p, radius, *, longer):
        return self.straight[self.lengths[self.straight] >= longer]


def crowded(rng):
    """Level and upright strokes, 3 to 60 pt long."""
    n = 6000
    a, length = np.round(rng.uniform(0, 600, (n, 2)), 1), rng.uniform(3, 60, n)
    level = rng.random(n) < 0.5
    step = np.column_stack([np.where(level, length, 0), np.where(level, 0, length)])
    strokes = Strokes(
        ends=np.concatenate([a, a + step], axis=1),
        widths=np.ones(n),
        paths=np.arange(n),
        greys=np.zeros(n),
        curved=np.zeros(n, np.bool_),
        pattern=np.zeros(n, np.int64),
    )
    return VectorPage(width=600, height=600, turn=0, strokes=strokes)


def test_edges_and_dashes_found_near_an_end_are_those_of_the_whole_page():
    rng = np.random.default_rng(4)
    page = crowded(rng)
    near, everywhere = Ink(page), _Everywhere(page)
    found = 0
    for x, y in rng.uniform(100, 500, (60, 2)):
        line = Line(0.0, float(y), 1.0, 0.0)
        for find in (find_parted_edge, find_dashed):
            here = find(near, line, float(x))
            assert here == find(everywhere, line, float(x))
            found += here is not None
    assert found > 20
