"""Every size-like text is accounted for."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from audit.checks import account_for
from audit.geometry import Box, Point
from audit.lengths import Length, Unit
from audit.records import (
    Coverage,
    Dimension,
    DimensionKind,
    KnownSize,
    SheetText,
    Statement,
    StatementKind,
    TextState,
    Verdict,
)
from tests.checks.simulated import reading_of


def at(k, width=20.0):
    return Box(100.0 * k, 0.0, 100.0 * k + width, 10.0)


def text(k, words, **more):
    return SheetText(
        sheet=1, text=words, box=more.pop("box", at(k)), state=TextState.NOT_CHECKED, **more
    )


def dimension(k, words, verdict, *, why=None, box=None):
    reading = reading_of(Length(1, Unit.IN), text=words, box=box or at(k))
    return Dimension(
        id=k,
        sheet=1,
        view=1,
        kind=DimensionKind.DISTANCE,
        ends=(),
        reading=reading,
        verdict=verdict,
        why=why,
    )


def states(*texts):
    return [(t.text, t.state.value, t.why) for t in texts]


@pytest.mark.parametrize(
    ("verdict", "state"),
    [
        (Verdict.AGREES, TextState.COMPARED),
        (Verdict.DISAGREES, TextState.COMPARED),
        (Verdict.TOO_CLOSE, TextState.COMPARED),
        (Verdict.NOT_SCALED, TextState.NOT_CHECKED),
        (Verdict.NOT_CHECKED, TextState.NOT_CHECKED),
        (Verdict.NOT_CRITICAL, TextState.SET_ASIDE),
        (Verdict.NOT_A_DIMENSION, TextState.SET_ASIDE),
    ],
)
def test_each_verdict_ends_somewhere(verdict, state):
    [told] = account_for([text(1, "3/8")], [dimension(1, "3/8", verdict, why="because")])
    assert told.state is state
    if state is TextState.NOT_CHECKED:
        assert told.why == "because"


def test_a_size_used_in_sums_is_arithmetic():
    size = dimension(1, "3/8", Verdict.NOT_SCALED, why="no scale")
    [told] = account_for([text(1, "3/8")], [size], summed={1})
    assert told.state is TextState.ARITHMETIC


def test_a_text_that_belongs_to_nothing_is_not_checked_and_says_so():
    [told] = account_for([text(1, "3/8")], [])
    assert (told.state, bool(told.why)) == (TextState.NOT_CHECKED, True)


def test_a_reading_that_is_not_among_the_texts_is_added():
    told = account_for([text(1, "3/8")], [dimension(2, "1/2", Verdict.AGREES)])
    assert states(*told)[1] == ("1/2", "compared", None)
    assert Coverage.of(told) == Coverage(checked=1, texts=2)


def test_a_text_shared_by_two_dimensions_counts_once():
    both = [dimension(k, "2X 3/8", Verdict.AGREES, box=at(1)) for k in (1, 2)]
    both[0] = replace(both[0], verdict=Verdict.NOT_SCALED, why="no scale")
    told = account_for([text(1, "2X 3/8")], both)
    assert states(*told) == [("2X 3/8", "compared", None)]


def test_a_neighbour_under_a_slanting_box_is_not_vouched_for():
    slanting = dimension(1, "5 1/4", Verdict.AGREES, box=Box(0, 0, 60, 60))
    told = account_for([text(1, "3/8", box=Box(40, 40, 55, 50))], [slanting])
    assert states(*told)[0][1] == "not-checked"


def test_a_retyped_text_is_still_the_same_text():
    told = account_for([text(1, "8/3")], [dimension(1, "3/8", Verdict.AGREES)])
    assert states(*told) == [("8/3", "compared", None)]


def test_set_aside_by_a_person_stays_set_aside():
    aside = replace(text(1, "3/8"), state=TextState.SET_ASIDE, why="a part number")
    told = account_for([aside], [dimension(1, "3/8", Verdict.AGREES)])
    assert told == (aside,)


def test_statements_are_accounted_for_in_plain_words():
    count = Statement(sheet=1, kind=StatementKind.COUNT, text="MAKE 6", box=at(1), count=6)
    title = Statement(sheet=1, kind=StatementKind.TITLE, text="END PLATE", box=at(2))
    texts = [text(1, "MAKE 6"), text(2, "END PLATE")]
    [told] = account_for(texts, [], statements=[count, title])
    assert told.state is TextState.NOT_CHECKED
    assert "assembly" in told.why
    [told] = account_for(texts, [], statements=[count, title], used=[count])
    assert told.state is TextState.COMPARED


def test_a_text_is_no_lone_number_where_it_states_a_count_too():
    words = "END (PART 2), 2 REQUIRED"
    item = Statement(sheet=1, kind=StatementKind.ITEM, text=words, box=at(1))
    count = Statement(sheet=1, kind=StatementKind.COUNT, text=words, box=at(1), count=2)
    [told] = account_for([text(1, words)], [], statements=[item, count])
    assert told.why == "a count; it was not compared with what the assembly needs"
    [told] = account_for([text(1, words)], [], statements=[item, count], used=[count])
    assert told.state is TextState.COMPARED


def test_texts_of_other_sheets_do_not_mix():
    told = account_for([text(1, "3/8")], [replace(dimension(1, "3/8", Verdict.AGREES), sheet=2)])
    assert [t.state for t in told] == [TextState.NOT_CHECKED, TextState.COMPARED]


def test_nothing_gives_nothing():
    assert account_for([], []) == ()


def test_a_printed_rule_is_used_once_it_is_given_as_a_known_size():
    rule = text(1, "CHECK RULE 4 IN")
    (asked,) = account_for([rule], [])
    assert asked.state is TextState.NOT_CHECKED
    assert "give it as a known size" in asked.why
    places = {"a": Point(0, 0), "b": Point(100, 0), "u_ends": 0.1}
    given = KnownSize(sheet=1, length=Length(Fraction("101.6"), Unit.MM), **places)
    (used,) = account_for([rule], [], known=[given])
    assert (used.state, used.why) == (TextState.ARITHMETIC, "used as a known size")
    other = KnownSize(sheet=2, length=Length(Fraction(4), Unit.IN), **places)
    assert account_for([rule], [], known=[other]) == (asked,)
