"""A count on a drawing is a note, whatever is printed."""

from __future__ import annotations

from dataclasses import replace

import pytest

from audit.checks.drawn_counts import check_drawn_counts
from audit.geometry import Box, Point
from audit.records import DrawnCount, Severity
from tests.store.builders import make_found

PLACES = tuple(Point(20.0 * k, 10.0) for k in range(1, 7))


@pytest.mark.parametrize(
    ("printed", "says"),
    [(6, "as many as are printed"), (8, "but 8 printed"), (None, "no number is printed")],
)
def test_a_drawn_count_is_only_a_note(printed, says):
    count = DrawnCount(
        name="holes", sheet=1, example=Box(15, 5, 25, 15), places=PLACES, printed=printed
    )
    (told,) = check_drawn_counts(replace(make_found(count=2), drawn_counts=(count,)))
    assert (told.code, told.severity) == ("P107", Severity.NOTE)
    assert "holes: 6 seen" in told.text
    assert says in told.text
    assert told.places[0].box == Box(15, 5, 120, 15)
