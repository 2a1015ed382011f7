"""Cells joined to rows, lines to sentences, names to counts."""

from __future__ import annotations

from fractions import Fraction

import pytest

from audit.geometry import Box, Point
from audit.lengths import CalloutKind, Unit
from audit.pipeline.notes import find_sentences
from audit.pipeline.tables import find_rows
from audit.pipeline.written import join_written
from audit.reading import TextLine
from audit.records import StatementKind

H = 7.0


def at(text: str, x: float, y: float, *, turn: int = 0, height: float = H) -> TextLine:
    """A text of 4 pt a letter from x on, its base line at y; the page turned on request."""
    wide = 4.0 * len(text)
    corners = [(x, y - height), (x + wide, y - height), (x + wide, y), (x, y)]
    if turn == 90:  # the page's own frame when it is shown turned: reads upwards
        corners = [(cy, 800 - cx) for cx, cy in corners]
    quad = tuple(Point(*c) for c in corners)
    return TextLine(text=text, box=Box.around(quad), angle=float(turn), quad=quad, height=height)


HEADS = ("ITEM", "PART", "QTY", "T", "W", "L", "STOCK")
XS = (0, 50, 150, 200, 250, 300, 360)
ROWS = (
    ("1", "SIDE PLATE", "2", "1/4", "4 3/4", "5 1/2", "PLYWOOD"),
    ("2", "BASE", "1", "", "3", "6 3/4", "HARDWOOD"),
    ("3", "RAMP", "1", '"', '"', "9", "DO"),
)


def table(rows=ROWS, heads=HEADS, *, turn=0, y=100.0):
    cells = [at(h, x, y, turn=turn) for h, x in zip(heads, XS, strict=True) if h]
    for k, row in enumerate(rows, start=1):
        cells += [at(c, x, y + 15 * k, turn=turn) for c, x in zip(row, XS, strict=True) if c]
    return cells


def said(row):
    form = row.form
    sizes = [str(s.value) for s in form.sizes]
    return form.item, form.subject, form.count, form.columns, sizes, form.material


@pytest.mark.parametrize("turn", [0, 90])
def test_cells_under_headings_become_rows_whichever_way_the_page_lies(turn):
    rows = find_rows(table(turn=turn), unit=Unit.IN)
    assert [said(r) for r in rows[:2]] == [
        ("1", "SIDE PLATE", 2, ("T", "W", "L"), ["1/4", "19/4", "11/2"], "PLYWOOD"),
        ("2", "BASE", 1, ("W", "L"), ["3", "27/4"], "HARDWOOD"),
    ]
    assert rows[0].line.text == "1  SIDE PLATE  2  1/4  4 3/4  5 1/2  PLYWOOD"
    assert len(rows[0].cells) == 7


def test_column_whose_heading_was_not_read_hides_no_count():
    """A lone T above the thicknesses is lost on many a scan."""
    unread = [cell for cell in table() if cell.text != "T"]
    rows = find_rows(unread, unit=Unit.IN)
    assert [r.form.count for r in rows] == [2, 1, 1]
    assert said(rows[0])[3:5] == (("W", "L"), ["19/4", "11/2"])
    assert rows[0].line.text == "1  SIDE PLATE  2  1/4  4 3/4  5 1/2  PLYWOOD"


def test_whole_number_and_its_fraction_beside_it_are_one_cell():
    parted = [cell for cell in table() if cell.text != "4 3/4"]
    rows = find_rows([*parted, at("4", 250, 115), at("3/4", 260, 115)], unit=Unit.IN)
    assert said(rows[0])[3:5] == (("T", "W", "L"), ["1/4", "19/4", "11/2"])


def test_ditto_marks_repeat_the_cell_above():
    rows = find_rows(table(), unit=Unit.IN)
    assert said(rows[2]) == ("3", "RAMP", 1, ("W", "L"), ["3", "9"], "HARDWOOD")


def test_a_table_ends_where_its_rows_end():
    below = at("4  3/8", 150, 100 + 15 * 3 + 60)
    assert len(find_rows([*table(), below], unit=Unit.IN)) == 3


def test_marks_of_the_border_under_a_table_are_no_row():
    marks = [at(text, x, 160) for text, x in (("4", 0), ("3", 50), ("2", 150))]
    rows = find_rows([*table(), *marks], unit=Unit.IN)
    assert [r.form.subject for r in rows] == ["SIDE PLATE", "BASE", "RAMP"]


def test_rows_without_a_heading_are_read_when_there_are_two():
    bare = [c for c in table(ROWS[:1] * 2) if c.text not in HEADS]
    assert [r.form.subject for r in find_rows(bare, unit=Unit.IN)] == ["SIDE PLATE"] * 2
    one = [c for c in table(ROWS[:1]) if c.text not in HEADS]
    assert find_rows(one, unit=Unit.IN) == ()


def test_sizes_of_a_drawing_in_one_line_are_no_row():
    line = [at(t, x, 100) for t, x in (("3/4", 0), ("3 3/8", 60), ("1 3/8", 140))]
    lower = [at(t, x, 115) for t, x in (("3/4", 0), ("3 3/8", 60), ("1 3/8", 140))]
    assert find_rows([*line, *lower], unit=Unit.IN) == ()


def test_one_size_column_holds_all_three_sizes():
    heads = ("NO", "NAME", "QTY", "SIZE", "", "", "MATERIAL")
    row = ("3", "CAM", "4", "3/8 x 1 5/8 x 1 5/8", "", "", "MAPLE")
    [one] = find_rows(table((row,), heads), unit=Unit.IN)
    assert [str(s.value) for s in one.form.sizes] == ["3/8", "13/8", "13/8"]
    assert (one.form.count, one.form.material) == (4, "MAPLE")


NOTE = ("ONE LIFT STEP STANDS ON", "EACH OF THE 8 CAMS.", "GLUE RAILS, CAM ROD AND RAMP.")


def test_a_sentence_of_two_lines_is_joined_and_ends_with_its_stop():
    found = find_sentences([at(t, 0, 100 + 13 * k) for k, t in enumerate(NOTE)])
    assert [s.line.text for s in found] == [
        "ONE LIFT STEP STANDS ON EACH OF THE 8 CAMS.",
        "GLUE RAILS, CAM ROD AND RAMP.",
    ]
    assert all(s.assembly for s in found)


def test_lines_that_stand_apart_or_end_without_a_stop_are_not_joined():
    far = [at(NOTE[0], 0, 100), at(NOTE[1], 0, 160)]
    assert find_sentences(far) == ()
    labels = [at("FRONT VIEW OF THE", 0, 100), at("SIDE PLATE", 0, 113)]
    assert find_sentences(labels) == ()


def test_a_name_above_a_count_is_what_the_count_is_of():
    texts = [at("LIFT STEP", 10, 100), at("MAKE 6", 16, 115), at("RAMP", 200, 100)]
    done = join_written(texts, texts, sheet=1, unit=Unit.IN)
    [count] = done.statements
    assert (count.kind, count.count, count.subject) == (StatementKind.COUNT, 6, "LIFT STEP")
    assert "MAKE 6" not in [t.text for t in done.leftover]
    assert "MAKE 6" in [t.text for t in done.texts]


def test_a_piece_of_a_sentence_above_a_count_is_no_name():
    texts = [at("of this part in", 10, 100), at("MAKE 6", 16, 115)]
    assert not [
        s for s in join_written(texts, texts, sheet=1, unit=Unit.IN).statements if s.subject
    ]


def test_a_thickness_by_itself_says_what_the_part_is_made_of():
    texts = [at("SPACER", 10, 100), at("1/8 THICK", 10, 115)]
    [stock] = join_written(texts, texts, sheet=1, unit=Unit.IN).statements
    assert (stock.kind, stock.value.value) == (StatementKind.STOCK, Fraction(1, 8))
    assert stock.form.value_kind is CalloutKind.THICKNESS


def test_cells_are_covered_by_their_row_and_nothing_else_is_lost():
    texts = [
        *table(),
        *(at(t, 500, 100 + 13 * k) for k, t in enumerate(NOTE)),
        at("5 1/2", 700, 90),
    ]
    done = join_written(texts, texts, sheet=1, unit=Unit.IN)
    left = [t.text for t in done.texts]
    assert "1/4" not in left
    assert "5 1/2" in left
    assert "1  SIDE PLATE  2  1/4  4 3/4  5 1/2  PLYWOOD" in left
    assert len([s for s in done.statements if s.kind is StatementKind.PARTS_ROW]) == 3


@pytest.mark.parametrize(
    "text",
    [
        "ROUT POCKETS WITH A 1/4 BIT",
        "GENERAL TOLERANCES ISO 2768-mK",
        "1 AS SHOWN, 1 OPPOSITE HAND",
    ],
)
def test_notes_that_only_the_checks_understand_are_kept(text):
    line = at(text, 0, 0)
    written = join_written([line], [line], sheet=1, unit=Unit.IN)
    assert [(s.kind, s.text) for s in written.statements] == [(StatementKind.NOTE, text)]


def test_a_count_of_both_hands_under_a_name_is_of_that_name():
    lines = [at("SIDE", 20, 0), at("MAKE 2 (1 LH & 1 RH)", 0, 10)]
    [count] = join_written(lines, lines, sheet=1, unit=Unit.IN).statements
    assert (count.kind, count.count, count.subject) == (StatementKind.COUNT, 2, "SIDE")
