"""The traps of reading sizes, one by one; text set by MuPDF, lines drawn by it."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from audit.checks import judge
from audit.geometry import Box, Point
from audit.lengths import Mark, Unit
from audit.reading import vote
from audit.reading.network import NetworkReader
from audit.records import (
    Candidate,
    Dimension,
    DimensionKind,
    End,
    EndKind,
    PageKind,
    ReadBy,
    Scale,
    ScaleFrom,
    Verdict,
    View,
    ViewKind,
)
from audit.scale import ScaledSheet
from tests.checks.simulated import make_sheet
from tests.snapping.drawn import new_page, render

BOX = Box(0, 0, 10, 5)
SIZE = 11.0


def crop_of(page, *, margin: int = 5) -> np.ndarray:
    gray = render(page, 300).gray
    rows, columns = np.nonzero(gray < 128)
    return gray[
        rows.min() - margin : rows.max() + margin + 1,
        columns.min() - margin : columns.max() + margin + 1,
    ]


def inline(text: str) -> np.ndarray:
    page = new_page()
    page.insert_text((60, 80), text, fontsize=SIZE)
    return crop_of(page)


def stacked(whole: str, top: str, bottom: str, *, gap: float) -> np.ndarray:
    page = new_page()
    page.insert_text((60, 80), whole, fontsize=SIZE)
    x = 60 + 0.556 * SIZE * len(whole) + gap
    for text, y in ((top, 74), (bottom, 84.5)):
        page.insert_text((x + 2.2 * (2 - len(text)), y), text, fontsize=8)
    page.draw_line((x - 0.5, 76.2), (x + 9.5, 76.2), width=0.6)
    return crop_of(page)


def read(crop: np.ndarray, unit: Unit | None = Unit.IN):
    (said,) = NetworkReader().read([crop])
    reading = vote(said, box=BOX, angle=0.0, unit=unit)
    assert reading is not None
    return reading


def settle(text: str, confidence: float = 0.97, unit: Unit | None = Unit.IN):
    said = Candidate(text=text, confidence=confidence, by=ReadBy.NET)
    return vote([said], box=BOX, angle=0.0, unit=unit)


def value(reading) -> Fraction | None:
    size = reading.callout.size if reading.callout else None
    return size.value if size else None


@pytest.mark.parametrize("gap", [1.0, 2.5, 5.0])
def test_one_and_a_sixteenth_is_told_from_eleven_sixteenths(gap):
    assert value(read(stacked("1", "1", "16", gap=gap))) == Fraction(17, 16)
    assert value(read(stacked("", "11", "16", gap=gap))) == Fraction(11, 16)
    assert value(read(stacked("1", "11", "16", gap=gap))) == Fraction(27, 16)


def test_inline_the_gap_tells_them_apart():
    assert value(read(inline("1 1/16"))) == Fraction(17, 16)
    assert value(read(inline("11/16"))) == Fraction(11, 16)


def test_where_the_gap_is_lost_both_meanings_are_asked():
    reading = settle("111/16")
    assert reading.confidence < 0.9
    assert "1 11/16" in reading.doubt
    assert "11 1/16" in reading.doubt


def test_one_dash_one_half_is_one_and_a_half_and_no_difference():
    assert value(read(inline("1-1/2"))) == Fraction(3, 2)


@pytest.mark.parametrize("text", ['"', "DO", "DO."])
def test_a_lone_inch_mark_or_do_is_a_ditto_and_no_size(text):
    reading = read(inline(text))
    assert reading.text == text
    assert reading.callout.ditto
    assert reading.callout.size is None


def test_two_in_parentheses_is_a_count_a_reference_or_the_metric_equivalent():
    alone = read(inline("(2)"))
    assert alone.confidence < 0.9
    assert alone.doubt
    counted = read(inline("(2) 1/4"))
    assert (counted.callout.count, value(counted)) == (2, Fraction(1, 4))
    dual = read(inline("2 1/2 (63)"))
    assert (dual.callout.count, value(dual)) == (None, Fraction(5, 2))
    assert settle("(2.500)").callout.reference


@pytest.mark.parametrize("below", [1.5, 3.0, 4.5])
def test_text_over_its_dimension_line_is_not_taken_for_underlined(below):
    page = new_page()
    page.insert_text((60, 80), "3 9/32", fontsize=SIZE)
    page.draw_line((40, 80 + below), (120, 80 + below), width=0.5)
    gray = render(page, 300).gray
    reading = read(gray[270:365, 235:400].copy())
    assert value(reading) == Fraction(105, 32)
    assert Mark.NOT_TO_SCALE not in reading.callout.marks


def test_bare_inches_on_a_millimetre_sheet_are_asked():
    doubted = settle("1 1/2", unit=Unit.MM)
    assert doubted.confidence < 0.9
    assert doubted.doubt == "it may be 3/2 inches on a sheet in mm"
    assert settle("1 1/2", unit=Unit.IN).doubt == ""
    assert settle("38", unit=Unit.MM).doubt == ""
    assert settle('1 1/2"', unit=Unit.MM).doubt == ""


def test_an_unconfirmed_reading_below_the_limit_never_disagrees():
    ends = tuple(End(point=Point(x, 0), kind=EndKind.EXTENSION, sigma=0.01) for x in (0, 576))
    plain = Dimension(
        id=1, sheet=1, view=1, kind=DimensionKind.DISTANCE, ends=ends, reading=settle("9", 0.6)
    )
    scale = Scale(x=1.0, y=1.0, covariance=((0.0,) * 3,) * 3, source=ScaleFrom.KNOWN)
    view = View(id=1, sheet=1, kind=ViewKind.TRUE, box=Box(-9, -9, 600, 9), scale=scale)
    sheet = make_sheet(PageKind.VECTOR, width=792, height=612)
    scaled = ScaledSheet(sheet=sheet, views=(view,), findings=(), left_out=())

    def verdict(reading) -> Verdict:
        return judge(scaled, [replace(plain, reading=reading)]).dimensions[0].verdict

    assert verdict(settle("9", 0.6)) is Verdict.NOT_CHECKED
    assert verdict(settle("9", 0.95)) is Verdict.DISAGREES
    assert verdict(settle("8", 0.95)) is Verdict.AGREES
    # what means two things is below the limit however well it was seen
    assert verdict(settle("111/16", 0.99)) is Verdict.NOT_CHECKED
