"""What texts say on a dimension line, where they may say something else too."""

from __future__ import annotations

from dataclasses import replace

import pytest

from audit.dimensions.texts import TextForm, classify, sizes_on_lines, without_second_rows
from audit.geometry import Box, Point
from audit.lengths import Unit
from audit.reading import TextLine
from audit.reading.readers import vote
from audit.records import Candidate, Dimension, DimensionKind, End, ReadBy
from tests.dimensions.raster_builder import text_at


def heard(text: str) -> Dimension:
    """A size read off a picture."""
    box = Box(100, 100, 140, 110)
    votes = [Candidate(text=text, confidence=0.99, by=ReadBy.NET)]
    return Dimension(
        id=1,
        sheet=1,
        view=1,
        kind=DimensionKind.DISTANCE,
        ends=(End(point=Point(0, 120)), End(point=Point(300, 120))),
        reading=vote(votes, box=box, angle=0.0, unit=Unit.MM),
    )


def settled(*texts: str) -> list[tuple[float | None, bool]]:
    """Sizes, and whether they are in doubt."""
    found = sizes_on_lines([heard(t) for t in texts], unit=Unit.MM)
    return [
        (None if d.printed is None else float(d.printed.value), bool(d.reading and d.reading.doubt))
        for d in found
    ]


def test_a_number_in_parentheses_alone_on_a_line_is_a_reference_size():
    assert settled("(6)", "(1.25)", "30") == [(6.0, False), (1.25, False), (30.0, False)]


def test_among_sizes_in_two_units_it_may_be_the_other_unit_of_one():
    [first, _] = settled("(1.25)", "31.8 [1.252]")
    assert first[1]


def test_what_else_was_doubted_stays_doubted():
    doubted = heard("30 x 40")
    assert sizes_on_lines([doubted], unit=Unit.MM) == (doubted,)


def row(text: str, x: float, y: float, *, trusted: bool = True) -> TextLine:
    """A row of a picture, 10 high, its left end and its middle given."""
    box = Box(x, y - 5, x + 7 * len(text), y + 5)
    return TextLine(text=text, box=box, angle=0.0, quad=box.corners, height=10.0, trusted=trusted)


@pytest.mark.parametrize(("x", "y", "own"), [(100, 114, False), (100, 140, True), (160, 114, True)])
def test_a_count_under_a_size_is_no_size_of_its_own(x, y, own):
    rows = [classify(row("R7", 100, 100)), classify(row("(2) PLACES", x, y))]
    size, count = without_second_rows(rows)
    assert size.form is TextForm.RADIUS
    assert (count.form is not TextForm.OTHER) is own


def test_a_long_text_that_could_not_be_read_is_no_size():
    assert classify(row("?" * 60, 0, 0, trusted=False)).form is TextForm.OTHER
    assert classify(row("?" * 20, 0, 0, trusted=False)).form is TextForm.UNREADABLE


@pytest.mark.parametrize(
    ("text", "size"), [("30 LOWER SECTION", 30.0), ("30 A1B", None), ("LOWER SECTION", None)]
)
def test_a_size_with_the_name_of_what_it_measures_is_read_on_its_line(text, size):
    assert settled(text)[0][0] == size


def test_on_a_drawn_page_a_number_and_a_name_may_be_a_part():
    base = heard("30 LOWER SECTION")
    drawn = replace(base, reading=replace(base.reading, by=ReadBy.PDF))
    assert sizes_on_lines([drawn], unit=Unit.MM)[0].printed is None


@pytest.mark.parametrize(("text", "own"), [("+/- 1mm)", False), ("(±0.5", False), ("(19)", True)])
def test_a_tolerance_in_a_row_of_its_own_is_no_size(text, own):
    assert (classify(row(text, 0, 0)).form is not TextForm.OTHER) is own


@pytest.mark.parametrize("text", ["Fig. 3. Secrion on A", "FIGURE 2", "Section A A"])
def test_the_name_of_a_figure_is_no_size_however_badly_it_was_read(text):
    assert classify(row(text, 0, 0, trusted=False)).form is TextForm.OTHER


@pytest.mark.parametrize(
    "text",
    [
        "C'BORE 1/2", "COUNTERBORE 1/2", "DRILLED 1/4 & REAMED", "TAPPED 1/4-20", "SPOTFACE 3/4",
        "1/4 HOLE", '3/4" PEG', ".25 DOWEL", "3/8 ROD", 'PEG 3/4" DIA', "1/4 HOLES (4)",
    ],
)  # fmt: skip
def test_what_is_done_to_a_hole_and_what_is_round_are_printed_with_a_diameter(text):
    assert text_at(text, (0, 0)).form is TextForm.DIAMETER
    assert text_at(text, (0, 0)).plain


@pytest.mark.parametrize("text", ["4 PEGS", "6 HOLES", "2 PINS", "3/4 PLY", "1/4 SLOT", "12 SPOTS"])
def test_a_count_of_round_things_is_no_diameter(text):
    assert text_at(text, (0, 0)).form is not TextForm.DIAMETER


@pytest.mark.parametrize("text", ["RAD. 1/4", "RADIUS 3/8", "1/4 FILLET", "R. 1/4"])
def test_a_radius_is_one_in_words_before_or_behind(text):
    assert text_at(text, (0, 0)).form is TextForm.RADIUS


@pytest.mark.parametrize(
    "text", ["2 REQD", "4 REQ'D.", "(2) REQUIRED", "6 PIECES", "2 WANTED", "1/2 POPLAR, 2 REQD"]
)
def test_how_many_parts_to_make_is_no_size(text):
    assert classify(row(text, 0.0, 0.0)).form is TextForm.OTHER


@pytest.mark.parametrize(
    "text", ["2 HOLES", "4 PLACES", "12 OFFSET", "3/8 PIN, 2 REQD", "3/4 2 REQD"]
)
def test_what_else_is_counted_may_stand_with_a_size(text):
    assert classify(row(text, 0.0, 0.0)).form is not TextForm.OTHER


@pytest.mark.parametrize(
    ("text", "form"),
    [
        ("SPINDLE.", TextForm.OTHER),
        ("MTTRED CORNER", TextForm.OTHER),
        ("BRIO", TextForm.UNREADABLE),
        ("1 Z16", TextForm.UNREADABLE),
    ],
)
def test_a_word_that_is_not_sure_is_no_size_that_was_misread(text, form):
    assert classify(row(text, 0.0, 0.0, trusted=False)).form is form
