"""What the page is told: tabs, order of the list, chains, decisions."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from audit.checks import VOUCHED
from audit.geometry import Box, Point, Transform
from audit.lengths import Length, Unit, parse_callouts
from audit.records import (
    Audit,
    Decision,
    Dimension,
    DimensionKind,
    End,
    Finding,
    Frame,
    NoScale,
    PageKind,
    Place,
    ReadBy,
    Reading,
    Scaled,
    Severity,
    Sheet,
    SheetText,
    TextState,
    Verdict,
    View,
)
from audit.web.chains import show_chains
from audit.web.models import TabState
from audit.web.showing import judge_tab, list_rows

SHEET = Sheet(
    id=1,
    name="s",
    source="s.pdf",
    digest="0" * 64,
    page=1,
    frame=Frame.PT,
    kind=PageKind.VECTOR,
    width=600,
    height=400,
    to_paper=Transform.scaling(25.4 / 72),
)
VIEW = View(id=1, sheet=1, box=SHEET.box, scale=NoScale(reason="none"))


def dimension(number, verdict, *, x0=0.0, x1=100.0, text="3", difference=None):
    callout = parse_callouts(text, unit=Unit.IN)[0]
    middle = (x0 + x1) / 2
    box = Box(middle - 5, 90, middle + 5, 98)
    reading = Reading(text=text, callout=callout, confidence=0.99, by=ReadBy.PDF, box=box)
    return Dimension(
        id=number,
        sheet=1,
        view=1,
        kind=DimensionKind.DISTANCE,
        ends=(End(point=Point(x0, 100.0)), End(point=Point(x1, 100.0))),
        reading=reading,
        scaled=Scaled(value=3.0, expanded=0.01, unit=Unit.IN, nearest="3"),
        difference=difference,
        verdict=verdict,
    )


def audit_of(*dimensions, findings=(), texts=(), decisions=()):
    return Audit(
        name="a",
        sheets=(SHEET,),
        views=(VIEW,),
        dimensions=dimensions,
        findings=findings,
        texts=texts,
        decisions=decisions,
    )


def finding(number, severity, dimensions=(), code="S106", suggestion=None):
    return Finding(
        id=number,
        code=code,
        severity=severity,
        places=(Place(sheet=1, box=SHEET.box),),
        dimensions=dimensions,
        text="Something.",
        suggestion=suggestion,
    )


def test_a_sheet_nobody_looked_at_is_not_begun_rather_than_agreeing():
    assert judge_tab(audit_of(), SHEET) == (TabState.NOT_BEGUN, 0)
    unread = audit_of(dimension(1, Verdict.NOT_CHECKED))
    assert judge_tab(unread, SHEET) == (TabState.NOT_BEGUN, 0)


def test_all_agree_needs_every_text_checked():
    agrees = dimension(1, Verdict.AGREES)
    assert judge_tab(audit_of(agrees), SHEET) == (TabState.ALL_AGREE, 0)
    left = SheetText(sheet=1, text="5", box=Box(1, 1, 9, 9), state=TextState.NOT_CHECKED)
    assert judge_tab(audit_of(agrees, texts=(left,)), SHEET) == (TabState.OPEN, 1)


def test_decided_disagreements_count_no_more():
    wrong = dimension(1, Verdict.DISAGREES, difference=0.2)
    other = dimension(2, Verdict.DISAGREES, difference=0.1)
    assert judge_tab(audit_of(wrong, other), SHEET) == (TabState.DISAGREES, 2)
    made = (Decision(dimension=1, value=Length(Fraction(3), Unit.IN), basis="printed"),)
    assert judge_tab(audit_of(wrong, other, decisions=made), SHEET) == (TabState.DISAGREES, 1)


def test_a_warning_about_the_sheet_counts_and_a_note_does_not():
    agrees = dimension(1, Verdict.AGREES)
    warned = audit_of(agrees, findings=(finding(9, Severity.WARNING),))
    noted = audit_of(agrees, findings=(finding(9, Severity.NOTE),))
    assert judge_tab(warned, SHEET)[0] is TabState.DISAGREES
    assert judge_tab(noted, SHEET)[0] is TabState.ALL_AGREE


def test_the_list_has_the_worst_first_and_the_larger_difference_before_the_smaller():
    audit = audit_of(
        dimension(1, Verdict.AGREES),
        dimension(2, Verdict.DISAGREES, difference=0.1),
        dimension(3, Verdict.NOT_CHECKED),
        dimension(4, Verdict.DISAGREES, difference=-0.5),
        findings=(finding(8, Severity.ERROR), finding(9, Severity.NOTE)),
    )
    keys = [row.key for row in list_rows(audit, SHEET)]
    assert keys == ["f8", "d4", "d2", "f9", "d3", "d1"]


def test_nothing_is_picked_unless_it_agrees_or_was_decided():
    audit = audit_of(
        *(dimension(n, verdict) for n, verdict in enumerate(Verdict, start=1)),
    )
    picked = {row.verdict: row.preselected for row in list_rows(audit, SHEET)}
    assert picked.pop(Verdict.AGREES) == "printed"
    assert set(picked.values()) == {None}


def test_nothing_is_picked_where_the_drawing_vouches_for_an_unsure_reading():
    vouched = replace(dimension(1, Verdict.AGREES), why=VOUCHED)
    (row,) = list_rows(audit_of(vouched), SHEET)
    assert row.preselected is None


CHAIN = (
    dimension(1, Verdict.AGREES, x0=0, x1=30, text="3/4"),
    dimension(2, Verdict.DISAGREES, x0=30, x1=165, text="3 9/32"),
    dimension(3, Verdict.AGREES, x0=165, x1=220, text="1 3/8"),
    dimension(4, Verdict.AGREES, x0=0, x1=220, text="5 1/2"),
)


def test_a_chain_is_summed_exactly_and_set_against_its_overall():
    """3/4 + 3 9/32 + 1 3/8 = 5 13/32: worked by hand."""
    told = finding(9, Severity.ERROR, (2, 1, 3, 4), code="C101", suggestion="3 3/8")
    (chain,) = show_chains(audit_of(*CHAIN, findings=(told,)), SHEET)
    assert [leg.dimension for leg in chain.legs] == [1, 2, 3]
    assert chain.overall is not None
    assert (chain.overall.dimension, chain.total, chain.gap) == (4, "5 13/32", "short by 3/32")


def test_the_value_that_closes_the_chain_is_offered_for_the_culprit_only():
    told = finding(9, Severity.ERROR, (2, 1, 3, 4), code="C101", suggestion="3 3/8")
    rows = {row.key: row for row in list_rows(audit_of(*CHAIN, findings=(told,)), SHEET)}
    assert [o.value for o in rows["d2"].options if o.basis == "chain"] == ["3 3/8"]
    assert not [o for o in rows["d1"].options if o.basis == "chain"]


@pytest.mark.parametrize("missing", [0, 1, 2])
def test_dimensions_with_a_gap_between_them_are_no_chain(missing):
    members = [d for n, d in enumerate(CHAIN) if n != missing]
    assert show_chains(audit_of(*members), SHEET) == ()


def test_a_chain_that_adds_up_closes():
    right = dimension(2, Verdict.AGREES, x0=30, x1=165, text="3 3/8")
    (chain,) = show_chains(audit_of(CHAIN[0], right, *CHAIN[2:]), SHEET)
    assert (chain.closes, chain.gap, chain.total) == (True, "closes", "5 1/2")


def test_a_leg_that_nothing_is_printed_at_makes_no_sum():
    bare = replace(CHAIN[1], reading=None)
    assert show_chains(audit_of(CHAIN[0], bare, *CHAIN[2:]), SHEET) == ()


def test_a_warning_about_an_agreeing_size_counts_and_unpicks_it():
    warned = audit_of(dimension(1, Verdict.AGREES), findings=(finding(9, Severity.WARNING, (1,)),))
    assert judge_tab(warned, SHEET) == (TabState.DISAGREES, 1)
    (row,) = list_rows(warned, SHEET)
    assert row.preselected is None
    assert row.needs_you


def test_an_agreeing_size_that_cannot_be_built_bears_the_same_sign_as_on_the_sheet():
    warning = Finding(
        id=9, code="F101", severity=Severity.WARNING, text="cannot go in", dimensions=(1,)
    )
    for findings, word in (((), "agrees"), ((warning,), "warning")):
        audit = Audit(
            name="a",
            sheets=(SHEET,),
            views=(VIEW,),
            dimensions=(dimension(1, Verdict.AGREES),),
            findings=findings,
        )
        [row] = list_rows(audit, SHEET)
        assert row.mark.word == word


def test_a_count_that_differs_stands_in_the_list_by_itself_beside_a_size_that_agrees():
    told = finding(9, Severity.WARNING, (1,), code="P110")
    audit = audit_of(dimension(1, Verdict.AGREES), findings=(told,))
    rows = {row.key: row for row in list_rows(audit, SHEET)}
    assert set(rows) == {"d1", "f9"}
    assert rows["d1"].mark.word == "agrees"
    assert not rows["d1"].needs_you
    assert judge_tab(audit, SHEET) == (TabState.DISAGREES, 1)
