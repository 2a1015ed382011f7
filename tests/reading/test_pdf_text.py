"""Texts stored the way different programs store them, joined to what is printed."""

from __future__ import annotations

import pytest

from audit.reading.pdf_text import TextLine, join_texts
from tests.dimensions.page_builder import PageBuilder


def lines(builder: PageBuilder) -> list[str]:
    return [t.text for t in join_texts(builder.page())]


def show(builder: PageBuilder, text: str, x: float, y: float, size: float = 10.0) -> None:
    """Put text with its base line starting at x, y (y down)."""
    builder.raw(f"BT /F {size} Tf {x} {builder.height - y} Td ({text}) Tj ET")


def test_letters_stored_one_by_one_are_one_text_with_its_spaces():
    builder = PageBuilder()
    x = 100.0
    for letter, wide in zip("3 1/2", (5.56, 2.78, 5.56, 2.78, 5.56), strict=True):
        if letter != " ":
            show(builder, letter, x, 100)
        x += wide
    assert lines(builder) == ["3 1/2"]


@pytest.mark.parametrize("bar", ["stroke", "fill", "none"])
def test_stacked_fraction_reads_as_one_size(bar):
    builder = PageBuilder()
    show(builder, "3", 100, 104)
    show(builder, "9", 109.5, 98.5, 7)
    show(builder, "32", 107.6, 107.5, 7)
    if bar == "stroke":
        builder.line((107, 100.4), (116, 100.4), 0.4)
    if bar == "fill":
        builder.raw(f"107 {builder.height - 100.6} 9 .4 re f")
    assert lines(builder) == ["3 9/32"]


def test_stacked_fraction_in_turned_text():
    builder = PageBuilder()
    builder.text("3", (200, 300), 10, angle=90)
    builder.text("9", (196.3, 293), 7, angle=90)
    builder.text("32", (203.7, 293), 7, angle=90)
    builder.line((200, 298), (200, 288), 0.4)
    assert lines(builder) == ["3 9/32"]


def test_diagonal_fraction_with_raised_numerator():
    builder = PageBuilder()
    show(builder, "2", 100, 104)
    show(builder, "3", 106.5, 101, 6)
    show(builder, "/", 109.8, 104)
    show(builder, "8", 112.4, 104.5, 6)
    assert lines(builder) == ["2 3/8"]


def test_columns_of_numbers_are_no_fractions():
    builder = PageBuilder()
    for i, text in enumerate(("1", "2", "4", "8")):
        show(builder, text, 100, 100 + 14 * i)
    assert lines(builder) == ["1", "2", "4", "8"]


def test_table_rule_between_two_numbers_is_no_fraction_bar():
    builder = PageBuilder()
    show(builder, "3", 100, 100)
    show(builder, "4", 100, 112)
    builder.line((85, 102.5), (121, 102.5))
    assert lines(builder) == ["3", "4"]


def test_lengths_above_and_below_a_short_dimension_line_are_no_fraction():
    builder = PageBuilder()
    show(builder, "120", 100, 100)
    show(builder, "159", 100, 112)
    builder.line((92, 102.5), (124, 102.5))
    assert lines(builder) == ["120", "159"]


def test_feet_and_inches_with_a_stacked_fraction():
    builder = PageBuilder()
    show(builder, "3'-6", 100, 104)
    show(builder, "1", 119.9, 99, 7)
    show(builder, "2", 119.9, 107, 7)
    builder.line((119, 100.4), (124.5, 100.4), 0.4)
    show(builder, '"', 125, 104)
    assert lines(builder) == ["3'-6 1/2\""]


def test_sizes_of_neighbouring_dimensions_stay_apart():
    builder = PageBuilder()
    show(builder, "3/8", 100, 100)
    show(builder, "5/16", 117, 100)
    show(builder, "1.000", 200, 100)
    show(builder, ".600", 228, 100)
    assert lines(builder) == ["3/8", "5/16", "1.000", ".600"]


def test_extension_line_between_two_whole_numbers_keeps_them_apart():
    builder = PageBuilder()
    show(builder, "10", 100, 100)
    show(builder, "20", 112.2, 100)
    builder.line((111.7, 96), (111.7, 140))
    assert lines(builder) == ["10", "20"]


def test_line_right_between_a_number_and_a_fraction_keeps_them_apart():
    builder = PageBuilder()
    show(builder, "2", 100, 100)
    show(builder, "1/2", 109, 100)
    assert lines(builder) == ["2 1/2"]
    builder.line((107.2, 85), (107.2, 140))
    assert lines(builder) == ["2", "1/2"]


@pytest.mark.parametrize(("first", "expected"), [("3 ", ["3 1/2"]), ("3", ["3", "1/2"])])
def test_line_through_a_size_that_is_written_on_from_its_own_space_does_not_cut_it(first, expected):
    builder = PageBuilder()
    show(builder, first, 100, 100)
    show(builder, "1/2", 100 + 5.56 + 2.78, 100)
    builder.line((107, 85), (107, 115), 0.4)
    assert lines(builder) == expected


def test_words_stored_apart_are_one_line():
    builder = PageBuilder()
    show(builder, "4", 100, 100)
    show(builder, "HOLES", 108.5, 100)
    show(builder, "1/4", 145, 100)
    assert lines(builder) == ["4 HOLES 1/4"]


def test_limits_over_each_other_follow_their_size():
    builder = PageBuilder()
    show(builder, "1.250", 100, 104)
    show(builder, "+.005", 126.5, 99.5, 6)
    show(builder, "-.000", 127.8, 105.7, 6)
    assert lines(builder) == ["1.250 +.005 -.000"]


def test_remark_under_a_size_belongs_to_it_and_a_paragraph_does_not():
    builder = PageBuilder()
    show(builder, "1/4", 100, 100)
    show(builder, "4 PLACES", 100, 111)
    for i, text in enumerate(("USE 1/4 STOCK", "TYP UNLESS NOTED", "ALL SIDES SANDED")):
        show(builder, text, 300, 100 + 11 * i)
    assert lines(builder) == [
        "1/4\n4 PLACES",
        "USE 1/4 STOCK",
        "TYP UNLESS NOTED",
        "ALL SIDES SANDED",
    ]


def test_second_unit_in_brackets_belongs_to_the_size_above():
    builder = PageBuilder()
    show(builder, "2.75", 100, 100)
    show(builder, "[69.85]", 95, 115)
    assert lines(builder) == ["2.75\n[69.85]"]


def test_text_printed_twice_for_boldness_is_one_text():
    builder = PageBuilder()
    show(builder, "3 1/2", 100, 100)
    show(builder, "3 1/2", 100.3, 100)
    assert lines(builder) == ["3 1/2"]


def test_small_raised_o_is_a_degree_sign():
    builder = PageBuilder()
    show(builder, "45", 100, 104)
    show(builder, "o", 111.4, 100.5, 6)
    assert lines(builder) == ["45°"]


@pytest.mark.parametrize("angle", [0, 17.5, 90, -60, 180])
def test_text_at_any_angle_keeps_its_direction_and_size(angle):
    builder = PageBuilder()
    builder.text("3 1/2", (300, 400), 10, angle=angle)
    [line] = join_texts(builder.page())
    assert line.text == "3 1/2"
    assert abs((line.angle - angle + 180) % 360 - 180) < 0.01
    assert line.centre == pytest.approx((300, 400), abs=0.3)
    assert line.length == pytest.approx(
        22.24, abs=0.1
    )  # Helvetica widths: AFM, 556 278 556 278 556
    assert line.height == pytest.approx(7.2, abs=0.01)


def test_invisible_text_is_kept_apart_and_flagged():
    builder = PageBuilder()
    builder.text("1/2", (100, 100))
    builder.text("1/2", (100, 100.5), mode=3)
    found = join_texts(builder.page())
    assert sorted(t.visible for t in found) == [False, True]


def test_empty_page_has_no_text():
    assert join_texts(PageBuilder().page()) == ()


def test_line_record_has_the_runs_it_was_joined_from():
    builder = PageBuilder()
    show(builder, "3", 100, 104)
    show(builder, "1/2", 108.4, 104)
    [line] = join_texts(builder.page())
    assert isinstance(line, TextLine)
    assert [r.text for r in line.runs] == ["3", "1/2"]


def test_nothing_of_a_number_follows_an_inch_mark():
    builder = PageBuilder()
    show(builder, "1'-0\"", 100, 100)
    show(builder, "3", 117.6, 100)
    assert lines(builder) == ["1'-0\"", "3"]


def test_two_touching_fractions_stay_apart():
    builder = PageBuilder()
    show(builder, "15/16", 100, 100)
    show(builder, "1/4", 125.6, 100)
    assert lines(builder) == ["15/16", "1/4"]


def test_two_whole_numbers_that_nearly_touch_stay_apart():
    """Texts of two narrow dimensions of a chain, each set whole; a number set in parts goes on."""
    builder = PageBuilder()
    show(builder, "45", 100, 100)
    show(builder, "100", 112.0, 100)
    show(builder, "1,5", 100, 130)
    show(builder, "00", 113.9, 130)  # 1,5 is 2 figures of .556 and a comma of .278 wide
    assert lines(builder) == ["45", "100", "1,500"]


def test_two_decimals_that_touch_stay_apart():
    builder = PageBuilder()
    show(builder, "0.44", 100, 100)
    show(builder, "0.05", 119.5, 100)
    assert lines(builder) == ["0.44", "0.05"]


@pytest.mark.parametrize(
    ("upper", "lower", "joined"),
    [
        ("12.50", "12.45", ["12.50/12.45"]),
        ("R.250", ".248", ["R.250/.248"]),
        (".250", ".248", [".250/.248"]),
        ("12.45", "12.50", ["12.45", "12.50"]),  # the upper limit stands above
        ("12.5", "12.45", ["12.5", "12.45"]),  # both have as many places
        ("12.50", "11.50", ["12.50", "11.50"]),  # too far apart for limits
        ("125", "124", ["125", "124"]),
    ],
)
def test_limits_over_each_other_are_one_text(upper, lower, joined):
    builder = PageBuilder()
    show(builder, upper, 100, 100)
    show(builder, lower, 100, 112)
    assert lines(builder) == joined


def test_two_sizes_with_a_dimension_line_between_them_are_no_limits():
    builder = PageBuilder()
    show(builder, "12.50", 100, 100)
    show(builder, "12.45", 100, 112)
    builder.line((60, 102.4), (180, 102.4))
    assert lines(builder) == ["12.50", "12.45"]


@pytest.mark.parametrize(
    ("levels", "joined"), [((97, 109), ["12.50", "12.45"]), ((103,), ["12.50/12.45"])]
)
def test_two_sizes_each_in_its_own_broken_line_are_no_limits(levels, joined):
    """As the outer and the inner size of a frame; a line between two rows is that of one."""
    builder = PageBuilder()
    show(builder, "12.50", 100, 100)
    show(builder, "12.45", 100, 112)
    for y in levels:
        builder.line((20, y), (96, y))
        builder.line((128, y), (200, y))
    assert lines(builder) == joined


def test_a_column_of_numbers_is_no_limits():
    builder = PageBuilder()
    for k, text in enumerate(("12.60", "12.50", "12.40")):
        show(builder, text, 100, 100 + 12 * k)
    assert lines(builder) == ["12.60", "12.50", "12.40"]


def test_sizes_in_two_units_under_each_other_are_as_many_texts():
    builder = PageBuilder()
    for k, text in enumerate(("41", "[1.614]", "111", "[4.370]")):
        show(builder, text, 100, 100 + 12 * k)
    assert lines(builder) == ["41\n[1.614]", "111\n[4.370]"]


@pytest.mark.parametrize(
    ("upper", "lower", "joined"),
    [
        ("1.969", "50.0", ["1.969 [50.0]"]),
        ("50", "1.969", ["50 [1.969]"]),
        ("1.969", "50.2", ["1.969", "50.2"]),  # another size
        ("2", "51", ["2", "51"]),  # too coarse to tell
    ],
)
def test_a_size_in_two_units_is_one_text_without_brackets_too(upper, lower, joined):
    builder = PageBuilder()
    show(builder, upper, 100, 100)
    show(builder, lower, 100, 114)
    builder.line((60, 102.4), (180, 102.4))  # the dimension line between them
    assert lines(builder) == joined


@pytest.mark.parametrize("below", ["±0.1", "+0.1 -0.2", "+/- .005"])
def test_a_tolerance_in_the_next_row_belongs_to_its_size(below):
    builder = PageBuilder()
    show(builder, "2X 50.0", 100, 100)
    show(builder, below, 104, 111)
    assert lines(builder) == [f"2X 50.0\n{below}"]
