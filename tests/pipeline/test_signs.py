"""Signs at circles and arcs, and habits of a sheet. The readings are invented."""

from __future__ import annotations

from fractions import Fraction

import pytest

from audit.geometry import Box, Point
from audit.lengths import Unit, parse_callouts
from audit.pipeline.signs import settle_signs
from audit.records import Candidate, Dimension, DimensionKind, End, EndKind, ReadBy, Reading


def make_dimension(
    *heard: tuple[str, float],
    kind: DimensionKind = DimensionKind.RADIUS,
    angle: float = 45.0,
    sweep: float | None = 90.0,
) -> Dimension:
    """Build a dimension that was read in some ways, the surest first."""
    candidates = tuple(Candidate(text=t, confidence=c, by=ReadBy.NET) for t, c in heard)
    meanings = parse_callouts(heard[0][0], unit=Unit.IN)
    ends = tuple(End(point=p, kind=EndKind.EXACT, sigma=0.1) for p in (Point(0, 0), Point(30, 0)))
    reading = Reading(
        text=heard[0][0],
        callout=meanings[0] if meanings else None,
        confidence=heard[0][1],
        by=ReadBy.NET,
        candidates=candidates,
        box=Box(0, 0, 10, 10),
        angle=angle,
    )
    return Dimension(
        id=1, sheet=1, view=0, kind=kind, ends=ends, reading=reading, score=1.0, sweep=sweep
    )


def settle(dimension: Dimension, *others: Dimension) -> Reading:
    first, *_ = settle_signs([dimension, *others], unit=Unit.IN, upright=0.0)
    assert first.reading is not None
    return first.reading


@pytest.mark.parametrize(
    ("heard", "kind", "said"),
    [
        ([("3.245", 0.7), ("R.245", 0.3)], DimensionKind.RADIUS, "R.245"),
        ([("F1", 0.96)], DimensionKind.RADIUS, "R 1"),
        ([("P 10", 0.99)], DimensionKind.RADIUS, "R 10"),
        ([("3 .620", 0.9)], DimensionKind.DIAMETER, "Ø .620"),
        ([("1 .175", 0.8)], DimensionKind.RADIUS, "R .175"),
    ],
)
def test_at_a_circle_or_an_arc_a_misread_sign_is_read_and_stays_unsure(heard, kind, said):
    reading = settle(make_dimension(*heard, kind=kind))
    assert reading.text == said
    assert reading.callout is not None
    assert reading.callout.kind.value == kind.value
    assert reading.confidence <= 0.6
    assert heard[0][0] in reading.doubt


def test_a_sign_heard_far_less_surely_than_a_number_is_not_taken():
    assert settle(make_dimension(("3.245", 0.7), ("R.245", 0.05))).text == "3.245"


def test_a_size_written_along_a_leader_is_not_sure_of_a_first_figure_that_may_be_a_sign():
    slanted = settle(make_dimension(("9 3/16", 1.0)))
    assert slanted.text == "9 3/16"
    assert slanted.confidence <= 0.6
    assert "R" in slanted.doubt
    level = settle(make_dimension(("9 3/16", 1.0), angle=0.0))
    assert level.confidence == 1.0


def test_between_straight_lines_nothing_is_taken_for_a_sign():
    distance = make_dimension(("9 3/16", 1.0), kind=DimensionKind.DISTANCE, sweep=None)
    assert settle(distance).confidence == 1.0
    rod = make_dimension(("3 1/4", 1.0), kind=DimensionKind.DIAMETER, sweep=None)
    assert settle(rod).confidence == 1.0


def test_a_small_0_at_a_length_is_no_degree_sign_where_it_was_heard_as_well():
    heard = [("5°", 0.66), ("50", 0.28), ("5%", 0.01)]
    reading = settle(make_dimension(*heard, kind=DimensionKind.DISTANCE, sweep=None))
    assert [c.text for c in reading.candidates] == ["50", "5%"]
    assert (reading.text, reading.callout.is_angle) == ("50", False)
    assert 0.5 < reading.confidence < 0.9


@pytest.mark.parametrize(
    ("heard", "kind"),
    [
        ([("5°", 0.9), ("50", 0.05)], DimensionKind.DISTANCE),  # hardly heard
        ([("5°", 0.6), ("50", 0.3)], DimensionKind.ANGLE),
        ([("45° × 2", 0.6), ("450 × 2", 0.3)], DimensionKind.DISTANCE),
    ],
)
def test_other_degree_signs_stay(heard, kind):
    reading = settle(make_dimension(*heard, kind=kind, sweep=None))
    assert (reading.text, reading.confidence) == heard[0]


@pytest.mark.parametrize("text", ["R 3/3", "R 3/116", "Ø 1/3", "1 37/94", "R 5/1"])
def test_a_fraction_that_no_rule_has_is_never_sure(text):
    reading = settle(make_dimension((text, 0.99), kind=DimensionKind.DISTANCE))
    assert reading.confidence <= 0.6
    assert "rule" in reading.doubt


@pytest.mark.parametrize("text", ["R 3/8", "1 63/64", "5 1/2"])
def test_fractions_of_an_inch_rule_stay_as_sure_as_they_were(text):
    reading = settle(make_dimension((text, 0.99), kind=DimensionKind.DISTANCE))
    assert (reading.text, reading.confidence) == (text, 0.99)


def test_a_fraction_that_a_rule_has_is_not_preferred_to_what_is_printed():
    reading = settle(make_dimension(("R 1 5/10", 0.9), ("R 1 5/16", 0.5)))
    assert reading.text == "R 1 5/10"
    assert reading.callout.size.value == Fraction(3, 2)
    assert reading.confidence <= 0.6


def test_a_point_that_was_hardly_heard_is_not_taken():
    others = [
        make_dimension((f"{k}.250", 1.0), kind=DimensionKind.DISTANCE, sweep=None)
        for k in range(1, 7)
    ]
    reading = settle(make_dimension(("R 330", 0.95), ("R .330", 0.05)), *others)
    assert (reading.text, reading.confidence) == ("R 330", 0.6)


def test_a_number_without_a_point_among_decimals_is_doubted_and_takes_its_point_if_heard():
    others = [
        make_dimension((f"{k}.250", 1.0), kind=DimensionKind.DISTANCE, sweep=None)
        for k in range(1, 7)
    ]
    reading = settle(make_dimension(("R 330", 0.95), ("R .330", 0.3)), *others)
    assert (reading.text, reading.confidence) == ("R .330", 0.6)
    assert "point" in reading.doubt
    pointed = settle(make_dimension((".330", 0.95), kind=DimensionKind.DISTANCE), *others)
    assert pointed.confidence == 0.95
    alone = settle(make_dimension(("R 330", 0.95), ("R .330", 0.3)), *others[:2])
    assert (alone.text, alone.confidence) == ("R 330", 0.95)


@pytest.mark.parametrize(
    ("text", "doubted"),
    [
        ("R 1'16", True),
        ("1'-12\"", True),
        ("1'-11\"", False),
        ("2'-6 15/16\"", False),
        ("1'-15/16", False),
    ],
)
def test_more_inches_than_a_foot_has_are_doubted(text, doubted):
    reading = settle(make_dimension((text, 0.99), kind=DimensionKind.DISTANCE, sweep=None))
    assert (reading.confidence < 0.9) is doubted


def test_a_number_of_few_figures_without_a_point_among_decimals_is_doubted_too():
    others = [
        make_dimension((f"{k}.250", 1.0), kind=DimensionKind.DISTANCE, sweep=None)
        for k in range(1, 7)
    ]
    reading = settle(make_dimension(("30", 0.99), kind=DimensionKind.DISTANCE), *others)
    assert (reading.text, reading.confidence) == ("30", 0.6)
    with_unit = settle(make_dimension(("30 mm", 0.99), kind=DimensionKind.DISTANCE), *others)
    assert with_unit.confidence == 0.99
    angle = settle(make_dimension(("30°", 0.99), kind=DimensionKind.ANGLE), *others)
    assert angle.confidence == 0.99


def test_a_dimension_without_a_reading_comes_back_as_it_is():
    bare = Dimension(
        id=1, sheet=1, view=0, kind=DimensionKind.RADIUS, ends=(), score=1.0, sweep=90.0
    )
    assert settle_signs([bare], unit=None, upright=0.0) == (bare,)


def test_a_bare_number_at_a_circle_is_doubted_among_circles_with_signs():
    signed = [make_dimension((f"R {k}", 0.98)) for k in (3, 4, 5)]
    bare = make_dimension(("50.5", 1.0), kind=DimensionKind.DIAMETER, angle=0.0)
    assert settle(bare, *signed).confidence <= 0.6
    assert "sign" in settle(bare, *signed).doubt
    assert settle(bare, *signed[:2]).confidence == pytest.approx(1.0)
    assert settle(bare, *signed, bare, bare).confidence == pytest.approx(1.0)
    thread = make_dimension(("M6", 1.0), kind=DimensionKind.DIAMETER, angle=0.0)
    assert settle(thread, *signed).confidence == pytest.approx(1.0)
    straight = make_dimension(("50.5", 1.0), kind=DimensionKind.DIAMETER, angle=0.0, sweep=None)
    assert settle(straight, *signed).confidence == pytest.approx(1.0)
