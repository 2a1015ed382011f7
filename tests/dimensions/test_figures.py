"""Figures close together are told apart by their numbers, where nothing joins them."""

from __future__ import annotations

import pytest

from tests.dimensions.page_builder import PageBuilder


def close_together(*titles: str, aside: float = 0.0) -> PageBuilder:
    """Two plates 8 pt apart, each with a size over it and a title under it."""
    builder = PageBuilder()
    for x, text, title in zip((100, 208), ("4", "1 1/2"), titles, strict=True):
        builder.rectangle((x, 230, x + 100, 290))
        builder.dimension(x, x + 100, 200, text, foot=26)
        builder.text(title, (x + 50 + aside, 305))
    return builder


def views_of(builder: PageBuilder) -> dict[str, int]:
    return {d.reading.text: d.view for d in builder.find().dimensions if d.reading is not None}


@pytest.mark.parametrize("titles", [("Fig. 3", "Fig. 4"), ("FIG 3. RAIL", "FIG 4. POST")])
def test_two_numbered_figures_close_together_are_two_views(titles):
    found = views_of(close_together(*titles))
    assert found["4"] != found["1 1/2"]


def test_each_figure_has_its_own_title():
    page = close_together("Fig. 3", "Fig. 4").find()
    titles = {v.id: v.title for v in page.views}
    named = {d.reading.text: titles[d.view] for d in page.dimensions}
    assert named == {"4": "Fig. 3", "1 1/2": "Fig. 4"}


def test_a_front_and_its_end_close_together_are_one_view():
    found = views_of(close_together("FRONT", "END"))
    assert found["4"] == found["1 1/2"]


def test_two_named_figures_close_together_are_two_views():
    found = views_of(close_together("BRIDLE JOINT", "BLOCK"))
    assert found["4"] != found["1 1/2"]


def test_notes_that_do_not_stand_in_the_middle_under_figures_part_none():
    found = views_of(close_together("OAK", "PINE", aside=-34.0))
    assert found["4"] == found["1 1/2"]


def test_figures_that_a_size_joins_stay_one_view():
    builder = close_together("Fig. 3", "Fig. 4")
    builder.dimension(100, 308, 170, "6", foot=56)
    found = views_of(builder)
    assert found["4"] == found["1 1/2"] == found["6"]


def test_a_figure_under_another_is_a_view_of_its_own():
    builder = PageBuilder()
    for y, text, title in ((200, "4", "Fig. 1"), (308, "1 1/2", "Fig. 2")):
        builder.rectangle((100, y + 30, 200, y + 90))
        builder.dimension(100, 200, y, text, foot=26)
        builder.text(title, (118, y + 98), size=7.0)
    found = views_of(builder)
    assert found["4"] != found["1 1/2"]
