"""Which texts a dimension placed by hand may take for its print."""

from __future__ import annotations

from dataclasses import replace

import pytest

from audit.geometry import Box, Point
from audit.lengths import Unit, parse_callouts
from audit.pipeline import pictures
from audit.pipeline.pictures import may_name
from audit.records import Dimension, DimensionKind, End, EndKind, FoundBy, ReadBy, Reading
from tests.store.builders import make_sheet

LENGTH = 400.0


def placed(kind=DimensionKind.DISTANCE):
    ends = tuple(
        End(point=Point(x, 100.0), kind=EndKind.EXTENSION, sigma=0.1) for x in (0.0, LENGTH)
    )
    return Dimension(id=1, sheet=1, view=1, kind=kind, ends=ends, found_by=FoundBy.USER)


def text(said, *, x, y):
    """A text 60 wide and 20 high about a place."""
    box = Box(x - 30, y - 10, x + 30, y + 10)
    callout = next(iter(parse_callouts(said, unit=Unit.IN)), None)
    return Reading(text=said, callout=callout, confidence=1.0, by=ReadBy.NET, box=box)


@pytest.mark.parametrize(
    ("said", "x", "y", "may"),
    [
        ("4 1/8", 60, 60, True),
        ("Ø1/4", 200, 100, True),  # in the line
        ("Ø1/4", 200, 78, True),  # over its middle
        ("Ø1/4", 450, 100, True),  # beyond a short one's end, in its line
        ("Ø1/4", 40, 78, False),  # on a leader near one end
        ("Ø1/4", 200, 50, False),
        ("R1/4", 200, 100, False),
        ("45", 40, 50, True),
    ],
)
def test_a_round_sign_names_a_length_only_in_or_over_its_line(said, x, y, may):
    assert may_name(placed(), text(said, x=x, y=y)) is may


def test_a_placed_diameter_takes_a_round_sign_anywhere():
    assert may_name(placed(DimensionKind.DIAMETER), text("Ø1/4", x=40, y=50))


@pytest.mark.parametrize("said", ["(", "-", '"', "."])
def test_a_lone_bracket_or_stroke_names_nothing(said):
    assert not may_name(placed(DimensionKind.DIAMETER), text(said, x=40, y=50))


@pytest.mark.parametrize(
    ("said", "confidence", "texts", "stays"),
    [
        ("1", 0.7, [], False),  # a dash of a centre line
        ("1", 0.7, None, True),  # nobody looked for texts
        ("1", 0.7, [Box(40, 50, 80, 75)], True),
        ("1", 0.95, [], True),
        ("Q", 0.7, [], False),  # a ring with a line to it
        ("Q", 0.7, [Box(40, 50, 80, 75)], True),  # may be a size, badly read: it is asked about
        ("1 3/4", 0.7, [], True),  # no dash looks like it: it is to be asked about
    ],
)
def test_an_unsure_1_or_letter_counts_only_where_a_text_was_seen(
    monkeypatch, said, confidence, texts, stays
):
    reading = replace(text(said, x=60, y=60), confidence=confidence)
    monkeypatch.setattr(
        pictures, "_read_one", lambda _, dimension, *__, **___: replace(dimension, reading=reading)
    )
    (read,) = pictures.read_placed(None, make_sheet(), [placed()], texts=texts, unit=Unit.IN)
    assert (read.reading is not None) is stays
