"""Folds and taped joints: what runs across one carries its step, or is not scaled."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from audit.checks import account_for, judge
from audit.geometry import Box, Point
from audit.lengths import Length, Unit
from audit.records import (
    Dimension,
    DimensionKind,
    End,
    EndKind,
    Fold,
    KnownSize,
    NoScale,
    PageKind,
    Scale,
    TextState,
    Verdict,
    View,
)
from audit.scale import fix_scales, measure_folds, run_over
from audit.scale.usable import ACROSS_A_FOLD
from audit.uncertainty import measure
from tests.checks.simulated import make_sheet, reading_of

MM = 25.4
SHEET = make_sheet(PageKind.SCAN, width=8000, height=6000, dpi=10 * MM)  # 10 px = 1 mm of paper
FOLD = Fold(a=Point(4000, 0), b=Point(4000, 6000))
ONE_MM = Length(Fraction(1), Unit.MM)


def folded(*folds):
    return replace(SHEET, folds=folds or (FOLD,))


def known(x0, x1, mm, *, y=500, y1=None):
    length = Length(Fraction(mm), Unit.MM)
    y1 = y if y1 is None else y1
    return KnownSize(sheet=1, a=Point(x0, y), b=Point(x1, y1), length=length, u_ends=0.5)


BESIDE = (known(500, 3500, 300), known(4500, 7500, 300, y=900))


def dimension(x0, x1, mm, *, number=1, y=2000):
    ends = tuple(End(point=Point(x, y), kind=EndKind.EXTENSION, sigma=0.3) for x in (x0, x1))
    middle = (x0 + x1) / 2
    size = Length(Fraction(mm), Unit.MM)
    reading = reading_of(size, box=Box(middle - 80, y - 40, middle + 80, y - 5))
    return Dimension(
        id=number, sheet=1, view=1, kind=DimensionKind.DISTANCE, ends=ends, reading=reading
    )


def view():
    return View(id=1, sheet=1, box=SHEET.box, scale=NoScale(reason="nobody looked"))


def judged(sheet, dimensions, knowns=BESIDE):
    scaled = fix_scales(sheet, [view()], dimensions=dimensions, known_sizes=knowns)
    return scaled, judge(scaled, dimensions)


def test_a_fold_parts_only_what_lies_on_both_sides_of_its_whole_line():
    short = Fold(a=Point(4000, 10), b=Point(4000, 20))
    assert short.parts(Point(1, 5000), Point(7000, 4000))
    assert not short.parts(Point(1, 1), Point(3999, 6000))
    assert not short.parts(Point(1, 1), Point(4000, 500))  # an end on the fold is on neither side


def test_a_size_across_an_unknown_step_is_not_scaled_and_coverage_says_why():
    sizes = [dimension(1000, 3000, 200), dimension(3000, 6000, 300, number=2, y=2500)]
    scaled, result = judged(folded(), sizes)
    beside, across = result.dimensions
    assert beside.verdict is Verdict.AGREES
    assert across.verdict is Verdict.NOT_SCALED
    assert across.why == ACROSS_A_FOLD
    texts = account_for((), result.dimensions)
    assert [(t.state, t.why) for t in texts] == [
        (TextState.COMPARED, None),
        (TextState.NOT_CHECKED, ACROSS_A_FOLD),
    ]
    (told,) = [f for f in scaled.findings if f.code == "S111"]
    assert told.dimensions == (2,)
    assert "1 dimension runs across" in told.text


def test_a_stated_step_is_carried_as_a_rectangular_limit():
    """JCGM 100:2008, 4.3.7: a limit ±a, nothing more known, has the standard uncertainty a/√3."""
    across = dimension(3000, 6000, 300)
    flat = measure(
        across.ends, kind=across.kind, sheet=SHEET, scale=judged(SHEET, [])[0].views[0].scale
    )
    sheet = folded(replace(FOLD, step=ONE_MM))
    scaled, result = judged(sheet, [across])
    bent = measure(across.ends, kind=across.kind, sheet=sheet, scale=scaled.views[0].scale)
    assert bent.part("fold") == pytest.approx(1 / math.sqrt(3), rel=1e-3)
    assert bent.u**2 - flat.u**2 == pytest.approx(1 / 3, rel=0.02)
    assert result.dimensions[0].scaled.expanded > 2 / math.sqrt(3)


def test_known_sizes_across_a_fold_measure_its_step_and_leave_the_scale_alone():
    """Both sides are true; one is shifted by 1.2 mm (12 px), which only the long size sees."""
    across = known(500, 7512, 700, y=1300)
    sheet = measure_folds(folded(), (*BESIDE, across))
    assert sheet.folds[0].measured == pytest.approx(1.2, abs=0.15)
    scaled, _ = judged(folded(), [], (*BESIDE, across))
    assert isinstance(scaled.views[0].scale, Scale)
    assert scaled.views[0].scale.x == pytest.approx(1.0, abs=1e-4)
    assert "S101" not in [f.code for f in scaled.findings]


def test_one_known_size_across_a_fold_alone_measures_nothing():
    sheet = measure_folds(folded(), (known(500, 7500, 700),))
    assert sheet.folds[0].measured is None


def test_intervals_across_a_taped_joint_hold_when_the_step_was_measured():
    """Sheets taped with a random shift; a size across one, and another nearby, is then judged."""
    rng = np.random.default_rng(5)
    held = 0
    for _ in range(300):
        shift, slide = rng.normal(0, 8.0, 2)  # px; 0.8 mm on the paper
        noise = rng.normal(0, 0.5, 4)
        sizes = (
            *BESIDE,
            known(600 + noise[0], 7000 + shift + noise[1], 640, y=1200, y1=1200 + slide),
        )
        sheet = measure_folds(folded(), sizes)
        x0, x1 = 1500 + noise[2], 6500 + shift + noise[3]
        ends = (
            End(point=Point(x0, 3000), kind=EndKind.EXTENSION, sigma=0.5),
            End(point=Point(x1, 3000 + slide), kind=EndKind.EXTENSION, sigma=0.5),
        )
        scale = fix_scales(sheet, [view()], known_sizes=sizes).views[0].scale
        got = measure(ends, kind=DimensionKind.DISTANCE, sheet=sheet, scale=scale)
        held += abs(got.value - 500.0) <= got.expanded
    assert held / 300 > 0.93


def test_printed_sizes_across_a_fold_hint_at_its_step_but_measure_nothing():
    sizes = [
        dimension(1000 + 40 * n, 6012 + 40 * n, 500, number=n + 1, y=2000 + 300 * n)
        for n in range(5)
    ]
    scaled, result = judged(folded(), sizes)
    (told,) = [f for f in scaled.findings if f.code == "S111"]
    assert "drawn 1.2 mm longer" in told.text
    assert {d.verdict for d in result.dimensions} == {Verdict.NOT_SCALED}


def test_a_fold_is_drawn_from_edge_to_edge():
    a, b = run_over(Fold(a=Point(1000, 1000), b=Point(2000, 2000)), SHEET)
    assert {(round(p.x), round(p.y)) for p in (a, b)} == {(0, 0), (6000, 6000)}


def test_an_angle_across_a_fold_carries_its_step_by_the_length_of_the_leg():
    vertex, on, over = Point(1000, 3000), Point(3000, 3000), Point(7000, 1000)
    ends = tuple(End(point=p, kind=EndKind.CORNER, sigma=0.3) for p in (vertex, on, over))
    sheet = folded(replace(FOLD, step=ONE_MM))
    scale = judged(SHEET, [])[0].views[0].scale
    got = measure(ends, kind=DimensionKind.ANGLE, sheet=sheet, scale=scale)
    leg_mm = math.hypot(600, 200)
    assert got.part("fold") == pytest.approx(math.degrees(1 / math.sqrt(3) / leg_mm), rel=1e-6)
