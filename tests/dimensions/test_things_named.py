"""Notes about several things are known by their plural."""

from __future__ import annotations

import pytest

from audit.dimensions.things_named import names_several


@pytest.mark.parametrize("text", ["5 PEGS 1/2", "3/8 BOLTS", "1/2 Strips", "4 HOLES 1/2 DRILL"])
def test_a_note_names_several_things(text: str):
    assert names_several(text)


@pytest.mark.parametrize(
    "text",
    [
        "4 1/2",
        "3 PLACES",
        "2 1/2 BOTH ENDS",
        "14 RISERS @ 7",
        "6 EQUAL PARTS",
        "1/4 GLASS",
        "5 INS",
    ],
)
def test_how_often_or_where_a_size_holds_and_steps_are_no_things(text: str):
    assert not names_several(text)
