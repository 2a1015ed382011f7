"""Dimension lines that turn off square to the text at their end."""

from __future__ import annotations

from tests.dimensions.page_builder import PageBuilder


def nested(shelf: float) -> dict[str, float]:
    """Upright sizes side by side, each bent at its end to a number over its neighbour's line."""
    builder = PageBuilder()
    builder.rectangle((300, 200, 420, 420))
    for x, top, text, bend in ((212, 200, "52", 160), (236, 306, "25", 452), (262, 364, "8", 472)):
        for y in (top, 420):
            builder.line((x - 6, y), (296, y))
        builder.line((x, min(top, bend)), (x, max(420, bend)))
        builder.arrow((x, top), (x, 420))
        builder.arrow((x, 420), (x, top))
        way = 1 if bend < top else -1
        builder.line((x, bend), (x + way * shelf, bend))
        builder.text(text, (x + way * (shelf + 8), bend))
    found = builder.find(unit=None).dimensions
    return {
        d.reading.text: round(d.ends[0].point.distance(d.ends[1].point)) for d in found if d.reading
    }


def test_a_number_belongs_to_the_line_that_is_bent_to_it_not_to_the_one_it_stands_over():
    assert nested(shelf=16) == {"52": 220, "25": 114, "8": 56}
