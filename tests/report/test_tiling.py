"""Pages over a pattern: nothing is left out, neighbours share enough, the fewest pages win."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.errors import BadUsage
from audit.geometry import Box
from audit.report.tiling import MARGIN_MM, PAPERS, STRIP_MM, find_paper, plan_tiles, row_name

SIDES = st.floats(1.0, 1500.0)


@given(width=SIDES, height=SIDES, paper=st.sampled_from(sorted(PAPERS)))
def test_tiles_cover_the_whole_pattern_and_share_the_overlap(width, height, paper):
    area = Box(-20.0, 35.0, -20.0 + width, 35.0 + height)
    tiling = plan_tiles(area, PAPERS[paper])
    windows = [tile.window for tile in tiling.tiles]
    assert len(windows) == tiling.rows * tiling.columns
    around = Box.around([corner for window in windows for corner in window.corners])
    slack = 1e-6
    assert max(around.x0 - area.x0, around.y0 - area.y0) <= slack
    assert min(around.x1 - area.x1, around.y1 - area.y1) >= -slack
    by_place = {(t.row, t.column): t.window for t in tiling.tiles}
    for (row, column), window in by_place.items():
        right = by_place.get((row, column + 1))
        below = by_place.get((row + 1, column))
        if right is not None:
            assert window.x1 - right.x0 == pytest.approx(tiling.overlap)
        if below is not None:
            assert window.y1 - below.y0 == pytest.approx(tiling.overlap)


@given(width=SIDES, height=SIDES)
def test_a_page_shows_its_window_inside_its_own_margins(width, height):
    tiling = plan_tiles(Box(0, 0, width, height), PAPERS["a4"])
    for tile in tiling.tiles:
        x, y = tile.at
        assert min(x, y) >= MARGIN_MM
        assert x + tile.window.width <= tiling.paper.width - MARGIN_MM + 1e-9
        assert y + tile.window.height <= tiling.paper.height - MARGIN_MM - STRIP_MM + 1e-9


def test_paper_is_turned_where_that_saves_pages():
    lying = plan_tiles(Box(0, 0, 240, 120), PAPERS["a4"])
    assert (lying.rows, lying.columns, lying.paper.width) == (1, 1, 297.0)
    upright = plan_tiles(Box(0, 0, 120, 240), PAPERS["a4"])
    assert (upright.rows, upright.columns, upright.paper.width) == (1, 1, 210.0)


def test_a_pattern_that_fits_exactly_takes_one_page():
    wide, tall = 210 - 2 * MARGIN_MM - STRIP_MM, 297 - 2 * MARGIN_MM - STRIP_MM
    assert len(plan_tiles(Box(0, 0, wide, tall), PAPERS["a4"]).tiles) == 1
    assert len(plan_tiles(Box(0, 0, wide + 0.1, tall), PAPERS["a4"]).tiles) == 2


def test_paper_sizes_are_those_of_the_standards():
    # ISO 216:2007 A4 210 × 297 mm; ANSI/ASME Y14.1 size A 8.5 × 11 in
    assert (find_paper("A4").width, find_paper("A4").height) == (210.0, 297.0)
    letter = find_paper(" Letter ")
    assert (letter.width / 25.4, letter.height / 25.4) == (pytest.approx(8.5), pytest.approx(11))


REFUSED = {
    "paper": lambda: find_paper("a3x"),
    "pages": lambda: plan_tiles(Box(0, 0, 9e4, 9e4), PAPERS["a4"]),
    "overlap": lambda: plan_tiles(Box(0, 0, 9, 9), PAPERS["a4"], overlap=90),
}


@pytest.mark.parametrize("ask", REFUSED.values(), ids=REFUSED)
def test_what_cannot_be_printed_is_refused_in_one_line(ask):
    with pytest.raises(BadUsage) as caught:
        ask()
    assert "\n" not in str(caught.value)
    assert caught.value.advice


def test_rows_go_on_after_z():
    assert row_name(701) == "ZZ"
    assert row_name(702) == "AAA"
