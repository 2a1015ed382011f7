"""Sums made by hand: exact, with what rounding could explain; values worked by hand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from audit.checks.decided import check_decided
from audit.checks.sums import add_up, say_gap, say_rounding, say_sum
from audit.errors import BadUsage
from audit.lengths import Length, Unit
from audit.records import Audit, ChainLeg, Decision, HandChain
from tests.store.builders import make_found


def inches(text: str) -> Length:
    whole, _, part = text.rpartition(" ")
    return Length(Fraction(whole or 0) + Fraction(part), Unit.IN)


def typed(text: str, count: int = 1) -> ChainLeg:
    return ChainLeg(length=inches(text), count=count, text=text)


EMPTY = Audit(name="none")
TYPED = HandChain(
    name="sum",
    legs=(typed("3 1/2"), typed("2 1/4"), typed("1 1/8", count=4)),
    overall=typed("10 1/4"),
)


def test_a_typed_sum_is_exact_and_needs_no_sheet():
    added = add_up(TYPED, EMPTY)
    assert added.total == inches("10 1/4")
    assert added.closes
    assert say_sum(added) == "3 1/2 + 2 1/4 + 4 × 1 1/8 = 10 1/4"
    assert say_gap(added) == "closes exactly"


def test_fractions_round_nothing_so_a_64th_is_told():
    added = add_up(replace(TYPED, overall=typed("10 17/64")), EMPTY)
    assert added.gap == inches("1/64")
    assert not added.closes
    assert say_gap(added) == "1/64 short"
    assert say_rounding(added) == "rounding explains none of it"


def test_decimals_hide_half_their_last_place_worst_case_and_root_sum_square():
    """JCGM 100:2008, 5.1.2: independent contributions add as squares (numpy adds them here)."""
    legs = tuple(typed(text) for text in ("1.33", "1.33", "1.33"))
    added = add_up(HandChain(name="d", legs=legs, overall=typed("4.00")), EMPTY)
    halves = np.full(4, 0.005)
    assert added.gap == Length(Fraction(1, 100), Unit.IN)
    assert float(added.worst) == pytest.approx(halves.sum())
    assert added.likely == pytest.approx(np.linalg.norm(halves))
    assert added.closes
    assert "which rounding may explain" in say_gap(added)
    assert say_rounding(added).startswith("rounding explains 0.02 in at worst, 0.01 as a rule")
    assert not add_up(HandChain(name="d", legs=legs, overall=typed("4.02")), EMPTY).closes


def test_equal_legs_are_rounded_once_not_each():
    added = add_up(HandChain(name="n", legs=(typed("1.33", count=3),)), EMPTY)
    assert float(added.worst) == pytest.approx(0.015)
    assert added.closes is None
    assert say_gap(added) == ""


def test_millimetres_and_inches_meet_exactly():
    mm = ChainLeg(length=Length(Fraction(127, 5), Unit.MM))
    added = add_up(HandChain(name="u", legs=(mm, typed("1")), overall=typed("2")), EMPTY)
    assert added.gap == Length(Fraction(0), Unit.IN)


@pytest.mark.parametrize(
    ("legs", "says"),
    [
        ((), "needs a leg"),
        ((ChainLeg(dimension=7),), "no dimension 7"),
        ((typed("1", count=0),), "once at least"),
        ((typed("1"), ChainLeg(length=Length(Fraction(5), Unit.DEG))), "angles and lengths"),
    ],
)
def test_what_cannot_be_added_is_said(legs, says):
    with pytest.raises(BadUsage, match=says):
        add_up(HandChain(name="x", legs=legs), EMPTY)


def test_a_kept_sum_is_told_open_or_closed():
    closed = check_decided(replace(EMPTY, chains=(TYPED,)))
    assert [f.code for f in closed] == ["C108"]
    assert "3 1/2 + 2 1/4 + 4 × 1 1/8 = 10 1/4" in closed[0].text
    wrong = replace(TYPED, overall=typed("10 1/2"))
    (told,) = check_decided(replace(EMPTY, chains=(wrong,)))
    assert told.code == "C102"
    assert "10 1/4, not 10 1/2; 1/4 in short" in told.text
    lost = HandChain(name="lost", legs=(ChainLeg(dimension=9),), overall=typed("1"))
    (said,) = check_decided(replace(EMPTY, chains=(lost,)))
    assert (said.code, "cannot be added up" in said.text) == ("C108", True)


def test_a_decision_that_opens_a_kept_sum_is_told():
    audit = make_found(count=2)
    size = audit.dimensions[0].printed
    assert size is not None
    number = audit.dimensions[0].id
    legs = (ChainLeg(dimension=number, count=2),)
    chain = HandChain(name="two", legs=legs, overall=ChainLeg(length=size * 2))
    audit = replace(audit, chains=(chain,))
    assert [f.code for f in check_decided(audit)] == ["C108"]
    built = Decision(dimension=number, value=size + inches("1/8"), reason="cut so")
    codes = [f.code for f in check_decided(replace(audit, decisions=(built,)))]
    assert codes[:2] == ["C108", "C106"]
