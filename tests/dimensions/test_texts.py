"""What texts say on a dimension line, where they may say something else too."""

from __future__ import annotations

from audit.dimensions.texts import sizes_on_lines
from audit.geometry import Box, Point
from audit.lengths import Unit
from audit.reading.readers import vote
from audit.records import Candidate, Dimension, DimensionKind, End, ReadBy


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
