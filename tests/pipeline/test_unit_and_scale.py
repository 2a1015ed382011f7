"""What bare numbers count, where nothing printed says so: decided together with the scale."""

from __future__ import annotations

from fractions import Fraction

import pytest

from audit.geometry import Box, Point
from audit.lengths import Unit, parse_callouts
from audit.pipeline.sheet import FoundSheet, judge_sheet
from audit.records import (
    Dimension,
    DimensionKind,
    End,
    EndKind,
    NoScale,
    PageKind,
    ReadBy,
    Reading,
    Settings,
    Statement,
    StatementKind,
    View,
    ViewKind,
)
from tests.checks.simulated import make_sheet

NUMBERS = (60, 80, 45, 30, 75, 52)


def size(number: int, k: int, *, pt: float) -> Dimension:
    """A length printed without a unit, drawn so many pt long for each unit."""
    y = 100.0 + 30 * k
    reading = Reading(
        text=str(number),
        callout=parse_callouts(str(number), unit=None)[0],
        confidence=0.99,
        by=ReadBy.PDF,
        box=Box(100, y - 10, 120, y - 2),
        angle=0.0,
    )
    ends = tuple(
        End(point=Point(x, y), kind=EndKind.EXTENSION, sigma=0.01) for x in (100, 100 + number * pt)
    )
    return Dimension(id=k, sheet=1, view=1, kind=DimensionKind.DISTANCE, ends=ends, reading=reading)


def judged(*, pt: float, stated: int | None = None):
    sheet = make_sheet(PageKind.VECTOR, width=792, height=612)
    said = ()
    if stated is not None:
        box = Box(700, 590, 760, 600)
        kind, text = StatementKind.SCALE, f"SCALE 1:{stated}"
        said = (Statement(sheet=1, kind=kind, text=text, box=box, factor=Fraction(stated)),)
    view = View(
        id=1,
        sheet=1,
        kind=ViewKind.TRUE,
        box=Box(90, 90, 500, 300),
        scale=NoScale(reason="not yet"),
    )
    found = FoundSheet(
        sheet=sheet,
        views=(view,),
        dimensions=tuple(size(n, k, pt=pt) for k, n in enumerate(NUMBERS, 1)),
        statements=said,
    )
    done = judge_sheet(found, settings=Settings())
    units = {d.printed.unit for d in done.dimensions if d.printed is not None}
    return units, [f for f in done.findings if f.code == "S107"]


@pytest.mark.parametrize("factor", [2, 3, 5, 6, 10])
def test_a_standard_scale_in_mm_that_none_in_inches_is(factor):
    units, told = judged(pt=72 / 25.4 / factor)
    assert units == {Unit.MM}
    assert "a standard scale" in told[0].text


def test_a_stated_scale_that_no_standard_has_decides_too():
    assert judged(pt=72 / 25.4 / 7) == (set(), [])
    units, told = judged(pt=72 / 25.4 / 7, stated=7)
    assert units == {Unit.MM}
    assert "the scale that it states" in told[0].text


def test_inches_at_their_stated_scale_are_no_millimetres():
    assert judged(pt=72 / 84, stated=84)[0] == {Unit.IN}
