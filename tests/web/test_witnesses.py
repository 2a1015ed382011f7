"""The one sentence of the card: who speaks for what."""

from __future__ import annotations

from dataclasses import replace

from audit.records import Finding, Severity, Side, Verdict, Witness, WitnessKind
from audit.web.witnesses import say_witnesses
from tests.store.builders import make_found

DIMENSION = make_found(count=2).dimensions[0]
DRAWN = Witness(kind=WitnessKind.DRAWN, side=Side.AGAINST, says="drawn as 3.3750 ± 0.0004 in")
CHAIN = Witness(kind=WitnessKind.CHAIN, side=Side.AGAINST, says="3/4 + 3 9/32 = 4 1/32, not 4 1/8")
CLOSES = Witness(kind=WitnessKind.CHAIN, side=Side.FOR, says="3/4 + 3 9/32 = 4 1/32")
PRINT = Witness(kind=WitnessKind.PRINTED, side=Side.FOR, says="3 9/32 in is printed")


def finding(*witnesses, code="A101", suggestion=None):
    return Finding(
        id=9,
        code=code,
        severity=Severity.WARNING,
        text="text",
        witnesses=witnesses,
        suggestion=suggestion,
    )


def test_two_witnesses_that_come_to_one_size_are_counted_and_named():
    said = say_witnesses(DIMENSION, [finding(DRAWN, CHAIN, PRINT, code="C101", suggestion="3 3/8")])
    assert "Two witnesses speak against it: the drawing (drawn as 3.3750" in said
    assert "and the chain (3/4 + 3 9/32 = 4 1/32, not 4 1/8); both come to 3 3/8." in said
    assert "For it" not in said  # the printed number does not speak for itself


def test_the_drawing_alone_never_says_that_the_print_is_wrong():
    said = say_witnesses(DIMENSION, [finding(DRAWN, PRINT)])
    assert "One witness speaks against it: the drawing" in said
    assert said.endswith("The printed size stands unless another speaks against it.")


def test_a_chain_that_closes_speaks_for_the_print():
    said = say_witnesses(DIMENSION, [finding(DRAWN, CLOSES)])
    assert said.endswith("For it: the chain (3/4 + 3 9/32 = 4 1/32).")


def test_the_difference_is_said_first_and_only_where_there_is_one():
    off = replace(DIMENSION, verdict=Verdict.DISAGREES, difference=-0.09375)
    assert say_witnesses(off, [finding(DRAWN)]).startswith("Printed is 3/32 short. One")
    agrees = replace(DIMENSION, verdict=Verdict.AGREES)
    assert say_witnesses(agrees, [finding(DRAWN)]).startswith("One witness")


def test_witnesses_against_the_parts_list_do_not_speak_against_the_print():
    assert say_witnesses(DIMENSION, [finding(DRAWN, CHAIN, code="P101")]) == ""
    assert say_witnesses(DIMENSION, []) == ""
