"""Numbers that stand at the middle of another stretch of their line, on ink drawn by hand."""

from __future__ import annotations

import pytest

from audit.dimensions.raster_middles import doubt_off_middle
from audit.geometry import Point
from audit.records import Dimension, DimensionKind, End, EndKind
from audit.scale.usable import SURELY_FOUND
from tests.dimensions.raster_builder import ink_of, text_at

ACROSS = [((x, 90), (x, 150)) for x in (100, 200, 260)]
LINE = [((100, 100), (260, 100))]
BROKEN = [((100, 100), (138, 100)), ((162, 100), (260, 100))]


def score_of(number, *, low=100, high=260, others=(), lines=(*ACROSS, *LINE)):
    ends = tuple(
        End(point=Point(x, 100), kind=EndKind.EXACT, sigma=0.1, line_width=0.6, along=90.0)
        for x in (low, high)
    )
    line = tuple(end.point for end in ends)
    d = Dimension(
        id=1, sheet=1, view=0, kind=DimensionKind.DISTANCE, ends=ends, line=line, score=0.9
    )
    texts = [text_at(text, at) for text, at in (number, *others)]
    return doubt_off_middle([d], [0], texts, ink_of(lines))[0].score


def test_a_number_at_the_middle_of_one_part_of_two_is_doubted():
    assert score_of(("38", (150, 94))) < SURELY_FOUND
    assert score_of(("38", (150, 100)), lines=(*ACROSS, *BROKEN)) < SURELY_FOUND


def test_the_number_of_the_next_stretch_is_doubted():
    assert score_of(("38", (150, 94)), low=200) < SURELY_FOUND


def test_a_number_over_a_short_line_between_two_dots_is_doubted():
    lines = (*ACROSS, ((103, 100), (260, 100)), ((118, 90), (118, 150)))
    assert score_of(("38", (109, 94)), lines=lines) < SURELY_FOUND


def test_two_numbers_in_a_row_are_doubted_though_no_line_parts_them():
    lines = (ACROSS[0], ACROSS[2], *LINE)
    assert score_of(("38", (150, 94)), lines=lines) == 0.9
    assert score_of(("38", (150, 94)), others=[("9", (230, 94))], lines=lines) < SURELY_FOUND


@pytest.mark.parametrize(
    "of",
    [
        {"number": ("38", (180, 94))},
        {"number": ("38", (161, 94))},
        {"number": ("38", (150, 94)), "lines": (*LINE, ACROSS[0], ACROSS[2])},
        {"number": ("38", (150, 94)), "lines": (*ACROSS, ((210, 100), (260, 100)))},
        {"number": ("38", (150, 100)), "low": 200, "lines": (*ACROSS, ((165, 100), (260, 100)))},
        {"number": ("38", (150, 94)), "lines": (*ACROSS[::2], *LINE, ((200, 110), (200, 150)))},
        {"number": ("38", (180, 94)), "others": [("9", (230, 94))]},
        {"number": ("38", (150, 94)), "lines": LINE, "others": [("9", (230, 84))]},
        {"number": ("3", (150, 94)), "lines": LINE, "others": [("4", (158, 94))]},
        {"number": ("38", (150, 94)), "lines": LINE, "others": [("TYP", (230, 94))]},
    ],
    ids=[
        "at the middle",
        "off both middles",
        "no other stretch",
        "a stretch not drawn",
        "a number at its tail's end",
        "an edge that stops short",
        "a number at the middle and one beside",
        "a number of another row",
        "figures of one number",
        "a word",
    ],
)
def test_any_other_number_is_kept(of):
    assert score_of(**of) == 0.9
