"""Texts that stand near a line or an arc and are not its size, on strokes made by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from audit.dimensions.assignment import Match
from audit.dimensions.candidates import Candidate
from audit.dimensions.raster_vetoes import without_vetoed
from audit.dimensions.texts import classify
from audit.geometry import Point
from audit.records import DimensionKind, End
from tests.dimensions.raster_builder import ink_of, text_at, tip

SHOULDER, SLANT = ((160, 100), (172, 100)), ((172, 100), (200, 70))
TIP = tip(201, 69, -135.0)
ENDS = End(point=Point(100, 110)), End(point=Point(150, 110))


def text_kept(
    text,
    lines=(SHOULDER, SLANT),
    tips=(TIP,),
    *,
    round_sweep=None,
    kind=DimensionKind.DISTANCE,
):
    """Whether a text stays with a length under it, or with an arc of so many degrees."""
    candidate = Candidate(
        kind=kind if round_sweep is None else DimensionKind.RADIUS,
        ends=ENDS,
        radius_ends=() if round_sweep is None else ENDS,
        sweep=round_sweep,
        leader=round_sweep is not None,
        line=(ENDS[0].point, ENDS[1].point),
        strength=1.0,
        wants=frozenset({"length"}),
    )
    match = Match(candidate=0, text=0, cost=0.5)
    (left,) = without_vetoed([match], [candidate], [text], ink_of(list(lines)), list(tips))
    return left.text == 0


DRILL = text_at("1/8 DRILL", (130, 100))  # 50 pt long: its side is at 155


def test_text_that_a_bent_leader_leads_to_is_no_length():
    assert not text_kept(DRILL)


@pytest.mark.parametrize(
    ("lines", "tips"),
    [
        ((), (TIP,)),
        ((SHOULDER,), (TIP,)),  # not bent: the tail of a dimension line
        ((SHOULDER, SLANT), (tip(240, 30),)),  # no arrowhead at its end
    ],
)
def test_without_a_bent_leader_with_an_arrowhead_it_may_be_one(lines, tips):
    assert text_kept(DRILL, lines, tips)


def test_plain_length_may_have_been_led_out_of_its_line():
    assert text_kept(text_at("1 3/8", (141, 100)))


@pytest.mark.parametrize(
    ("word", "kept"), [("an", False), ("i]", False), ("R l", True), ("?5", True)]
)
def test_doubtful_letters_without_a_figure_or_a_sign_are_no_size_of_a_circle(word, kept):
    line = replace(text_at(word, (141, 100)).line, trusted=False)
    assert text_kept(classify(line), round_sweep=360.0) is kept
    assert text_kept(classify(line), kind=DimensionKind.ANGLE) is kept
    assert text_kept(classify(line))


def test_diameter_is_not_printed_at_a_short_arc_but_a_radius_is():
    assert not text_kept(DRILL, round_sweep=90.0)
    assert text_kept(DRILL, round_sweep=360.0)
    assert text_kept(text_at("R 1/8", (130, 100)), round_sweep=90.0)
