"""An overall that may run across a break on a picture is told, not called wrong."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from audit.checks import Judged, doubt_breaks
from audit.geometry import Box, Point, Transform
from audit.lengths import Callout, Length, Unit
from audit.records import (
    CODES,
    Dimension,
    DimensionKind,
    End,
    Finding,
    Frame,
    PageKind,
    ReadBy,
    Reading,
    Scaled,
    Sheet,
    Verdict,
)  # fmt: skip

SHEET = Sheet(
    id=1, name="s", source="s.png", digest="", page=1, frame=Frame.PX, kind=PageKind.SCAN,
    width=2000, height=1500, to_paper=Transform.scaling(0.127),
)  # fmt: skip


def distance(number: int, x0: float, x1: float, *, printed: Fraction, drawn: float) -> Dimension:
    text = str(printed)
    size = Length(printed, Unit.IN)
    reading = Reading(
        text=text, callout=Callout(text=text, size=size), confidence=0.99, by=ReadBy.NET,
        box=Box(x0, 90, x1, 110),
    )  # fmt: skip
    wrong = abs(float(printed) - drawn) > 0.05
    return Dimension(
        id=number, sheet=1, view=1, kind=DimensionKind.DISTANCE,
        ends=(End(point=Point(x0, 100)), End(point=Point(x1, 100))),
        reading=reading,
        scaled=Scaled(value=drawn, expanded=0.01, unit=Unit.IN, nearest=None),
        verdict=Verdict.DISAGREES if wrong else Verdict.AGREES,
    )  # fmt: skip


def judged(*dimensions: Dimension) -> Judged:
    code = CODES["A101"]
    findings = tuple(
        Finding(id=0, code="A101", severity=code.severity, dimensions=(d.id,), text="wrong")
        for d in dimensions
        if d.verdict is Verdict.DISAGREES
    )
    return Judged(dimensions=dimensions, views=(), findings=findings)


PART = distance(2, 200, 600, printed=Fraction(2), drawn=2.0)


def test_overall_of_a_shortened_part_is_not_scaled_and_one_note_says_why():
    overall = distance(1, 100, 1175, printed=Fraction(14), drawn=5.375)
    result = doubt_breaks(judged(overall, PART), sheet=SHEET)
    first = result.dimensions[0]
    assert (first.verdict, first.scaled) == (Verdict.NOT_SCALED, None)
    assert [f.code for f in result.findings] == ["V102"]
    assert result.dimensions[1] == PART


@pytest.mark.parametrize(
    ("printed", "drawn"), [(Fraction(4), 5.375), (Fraction(6), 5.375), (Fraction(43, 4), 5.375)]
)
def test_shorter_slightly_longer_or_doubled_prints_stay_disagreements(printed, drawn):
    overall = distance(1, 100, 1175, printed=printed, drawn=drawn)
    before = judged(overall, PART)
    assert doubt_breaks(before, sheet=SHEET) == before


def test_a_size_inside_a_longer_one_is_no_overall():
    inner = distance(1, 200, 600, printed=Fraction(5), drawn=2.0)
    outer = distance(2, 100, 1175, printed=Fraction(43, 8), drawn=5.375)
    before = judged(inner, outer)
    assert doubt_breaks(before, sheet=SHEET) == before


def test_drawn_pages_are_left_alone():
    overall = distance(1, 100, 1175, printed=Fraction(14), drawn=5.375)
    before = judged(overall, PART)
    assert doubt_breaks(before, sheet=replace(SHEET, kind=PageKind.VECTOR)) == before


def test_two_digits_swapped_stay_a_disagreement():
    overall = distance(1, 100, 1175, printed=Fraction(51), drawn=15.0)
    before = judged(overall, PART)
    assert doubt_breaks(before, sheet=SHEET) == before
