"""Texts in rows of boxes are no sizes; texts between extension lines are."""

from __future__ import annotations

import pytest

from audit.dimensions.compartments import readmit_at_tails, set_aside_compartments
from audit.dimensions.texts import TextForm, classify_all
from audit.geometry import Point
from audit.reading.pdf_text import join_texts
from tests.dimensions.page_builder import PageBuilder


def kept(builder: PageBuilder, *lines: tuple[Point, Point]) -> list[str]:
    page = builder.page()
    marked = set_aside_compartments(classify_all(join_texts(page)), page.strokes.ends, lines=lines)
    return [s.line.text for s in marked if s.form is not TextForm.OTHER]


def grid(builder: PageBuilder, xs: list[float], ys: list[float], past: float = 0.0) -> None:
    for x in xs:
        builder.line((x, ys[0] - past), (x, ys[-1] + past), 0.4)
    for y in ys:
        builder.line((xs[0], y), (xs[-1], y), 0.4)


@pytest.mark.parametrize("rows", [1, 3])
def test_numbers_of_a_table_and_of_a_frame_are_no_sizes(rows):
    builder = PageBuilder()
    ys = [200 + 14.0 * k for k in range(rows + 1)]
    grid(builder, [100, 140, 190], ys)
    for y in ys[:-1]:
        builder.text("12.5", (120, y + 7))
        builder.text("6.3", (165, y + 7))
    assert kept(builder) == []


def test_a_number_alone_in_its_box_is_a_basic_size():
    builder = PageBuilder()
    grid(builder, [100, 140], [200, 214])
    builder.text("12.5", (120, 207))
    assert kept(builder) == ["12.5"]


def test_numbers_between_extension_lines_are_sizes():
    """Two chains close over each other look like a table, but extension lines run past them."""
    builder = PageBuilder()
    grid(builder, [100, 140, 190], [200, 214], past=5.0)
    builder.text("12.5", (120, 207))
    builder.text("6.3", (165, 207))
    assert kept(builder) == ["12.5", "6.3"]


def test_what_stands_on_a_dimension_line_is_a_size_boxed_in_as_it_may_be():
    builder = PageBuilder()
    grid(builder, [100, 140, 190], [200, 214])
    builder.text("12.5", (120, 207))
    builder.text("6.3", (165, 207))
    assert kept(builder, (Point(100, 214), Point(140, 214))) == ["12.5"]


def test_strokes_of_drawn_letters_are_no_sides_of_a_box():
    builder = PageBuilder()
    grid(builder, [100, 140, 190], [200, 214])
    builder.text("12.5", (120, 207))
    builder.line((117, 210.3), (123, 210.3), 0.4)  # the foot of a letter
    assert kept(builder) == []


def test_what_stands_at_the_tail_of_a_head_is_a_size():
    """As the number of a narrow dimension, past one of the heads outside it, in a frame."""
    builder = PageBuilder()
    grid(builder, [100, 140, 190], [200, 214])
    builder.text("12.5", (120, 207))
    builder.text("6.3", (165, 207))
    texts = classify_all(join_texts(builder.page()))
    left = set_aside_compartments(texts, builder.page().strokes.ends)
    tails = [(Point(80, 207), Point(106, 207)), (Point(165, 260), Point(165, 240))]
    back = readmit_at_tails(left, texts, tails=tails)
    assert [s.line.text for s in back if s.form is not TextForm.OTHER] == ["12.5"]
