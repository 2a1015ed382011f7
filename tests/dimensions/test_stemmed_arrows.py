"""Lines and their heads as one filled outline, the way solid sketches are exported."""

from __future__ import annotations

import pytest

from audit.dimensions.stemmed_arrows import find_stemmed_arrows
from audit.lengths import Unit
from tests.dimensions.page_builder import PageBuilder, shown


def solid(builder, tip, end, *, head=8.0, half=1.6, stem=0.3, barb=0.0):
    """One filled outline of a level arrow; the back of a barbed head is cut in."""
    way = 1 if end > tip[0] else -1
    x, y = tip
    neck = x + way * (head - barb)
    back = x + way * head
    outline = [(x, y), (back, y - half), (neck, y - stem / 2), (end, y - stem / 2)]
    builder.path([*outline, *((p, 2 * y - q) for p, q in outline[:0:-1])], close=True, paint="f")


@pytest.mark.parametrize("barb", [0.0, 2.0])
def test_solid_lines_with_heads_end_a_dimension(barb):
    builder = PageBuilder()
    builder.rectangle((100, 260, 300, 340))
    for x in (100, 180, 300):
        builder.line((x, 196), (x, 255))
    for a, b in ((100, 180), (180, 300)):
        middle = (a + b) / 2
        solid(builder, (a, 200), middle - 12, barb=barb)
        solid(builder, (b, 200), middle + 12, barb=barb)
        builder.text(str(b - a), (middle, 200))
    found = sorted(shown(d) for d in builder.find(Unit.MM).dimensions)
    assert found == [("distance", "120", 120.0), ("distance", "80", 80.0)]


def test_bars_and_triangles_have_no_stemmed_head():
    builder = PageBuilder()
    builder.path([(100, 100), (160, 100), (160, 101), (100, 101)], close=True, paint="f")
    builder.path([(100, 150), (140, 146), (140, 154)], close=True, paint="f")
    builder.path(
        [(100, 200), (101, 198), (130, 198), (131, 200), (130, 202), (101, 202), (100.5, 201)],
        close=True,
        paint="f",
    )
    assert find_stemmed_arrows(builder.page().fills) == []


def test_a_line_shorter_than_its_head_is_still_a_line():
    builder = PageBuilder()
    solid(builder, (100, 200), 109.8, head=6.2)
    [arrow] = find_stemmed_arrows(builder.page().fills)
    assert arrow.tip == pytest.approx((100, 200), abs=0.01)
    assert arrow.length == pytest.approx(6.2, abs=0.01)
