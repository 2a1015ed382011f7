"""Verdicts on single sizes, on views, and what is told about them."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from audit.checks import judge
from audit.lengths import CalloutKind, Length, Mark, Thread, Unit
from audit.records import (
    Candidate,
    DimensionKind,
    EndKind,
    FoundBy,
    NoScale,
    PageKind,
    ReadBy,
    Settings,
    Severity,
    Side,
    UserSet,
    Verdict,
    ViewKind,
    WitnessKind,
)
from audit.scale import fix_scales
from audit.scale.usable import OF_A_THREAD
from tests.checks.judging import (
    MM,
    SHEET,
    angle,
    inches,
    judged,
    size,
    verdict,
    view,
)
from tests.checks.simulated import Plan, make_sheet, reading_of, simulate


def test_printed_equal_to_drawn_agrees():
    got = verdict(size("27/8", 3.375))
    assert got.verdict is Verdict.AGREES
    assert got.difference == pytest.approx(0.0, abs=1e-12)
    assert got.tolerance == 1 / 64
    assert got.scaled.nearest == "3 3/8"
    assert got.scaled.unit is Unit.IN
    assert got.why is None


def test_a_thirty_second_too_little_disagrees_and_the_print_still_stands():
    done = judged(size("105/32", 3.375))
    [finding] = done.findings
    assert done.dimensions[0].verdict is Verdict.DISAGREES
    assert done.dimensions[0].difference == pytest.approx(-3 / 32)
    assert (finding.code, finding.severity, finding.grade) == ("A101", Severity.WARNING, "drawing")
    assert finding.suggestion is None
    assert "stands unless a second witness" in finding.text
    assert "“105/32” (3 9/32 in) is printed" in finding.text
    assert "3/32 in less" in finding.text
    assert {(w.kind, w.side) for w in finding.witnesses} == {
        (WitnessKind.PRINTED, Side.FOR),
        (WitnessKind.DRAWN, Side.AGAINST),
    }
    assert finding.id == 0


def test_tolerance_is_half_a_printed_step_when_that_is_larger():
    coarse = size("17/5", 3.44, callout={"step": Fraction(1, 10)})
    assert verdict(coarse).tolerance == pytest.approx(0.05)
    assert verdict(coarse).verdict is Verdict.AGREES
    fine = size("3401/1000", 3.375, callout={"step": Fraction(1, 1000)})
    assert verdict(fine).tolerance == 1 / 64


def test_tolerance_of_a_metric_size_is_half_a_millimetre():
    got = verdict(size("50", 50 / MM, unit=Unit.MM))
    assert (got.tolerance, got.scaled.unit) == (0.5, Unit.MM)


@pytest.mark.parametrize(
    ("dimension", "shown", "settings", "expected"),
    [
        (inches("1/8"), inches("1/16"), inches("1/32"), 1 / 8),
        (None, inches("1/16"), inches("1/32"), 1 / 16),
        (None, None, inches("1/32"), 1 / 32),
        (None, None, Length(Fraction(254, 100), Unit.MM), 0.1),
    ],
)
def test_the_nearest_tolerance_goes_first(dimension, shown, settings, expected):
    got = verdict(
        size("3", 3.0, tolerance_set=dimension),
        view=view(tolerance_set=shown),
        settings=Settings(tolerance=settings),
    )
    assert got.tolerance == pytest.approx(expected)


def test_an_unsure_reading_never_disagrees():
    got = verdict(size("9", 3.0, callout={"confidence": 0.6}))
    assert got.verdict is Verdict.NOT_CHECKED
    assert got.why.startswith("check the reading")
    assert got.scaled.value == pytest.approx(3.0)
    assert got.difference is None
    done = judged(size("9", 3.0, callout={"confidence": 0.6}))
    assert [f.code for f in done.findings] == ["A104"]


def test_unsure_readings_are_told_with_what_was_measured_and_what_else_was_heard():
    good = size("3", 3.0, number=10, callout={"confidence": 0.6})
    off = size("9", 3.0, number=11, callout={"confidence": 0.6})
    heard = tuple(
        Candidate(text=t, confidence=c, by=ReadBy.NET)
        for t, c in (("9", 0.6), ("3", 0.3), ("8", 0))
    )
    off = replace(off, reading=replace(off.reading, candidates=heard))
    [told] = judged(good, off).findings
    assert told.dimensions == (11, 10)  # what would disagree goes first
    assert "“9” (or “3”), “3”. Until" in told.text
    assert "As read, not all of them fit the drawing: “9” is drawn as 3.0" in told.text
    assert "As read" not in judged(good).findings[0].text


def test_a_confirmed_reading_is_judged_however_unsure_the_machine_was():
    got = verdict(size("9", 3.0, callout={"confidence": 0.1, "confirmed": True}))
    assert got.verdict is Verdict.DISAGREES


def test_a_doubted_reading_is_not_judged():
    base = size("9", 3.0)
    doubted = replace(base, reading=replace(base.reading, doubt="the picture shows another text"))
    assert verdict(doubted).verdict is Verdict.NOT_CHECKED
    assert "the picture shows another text" in verdict(doubted).why


def test_an_unsure_reading_of_an_unscaled_size_says_check_the_reading():
    got = verdict(
        size("9", 3.0, callout={"confidence": 0.6}), view=view(scale=NoScale(reason="none"))
    )
    assert (got.verdict, got.why[:17]) == (Verdict.NOT_CHECKED, "check the reading")


def test_a_text_without_a_unit_is_not_checked():
    base = size("3", 3.0)
    callout = replace(base.reading.callout, size=None, remark="no unit")
    got = verdict(replace(base, reading=replace(base.reading, callout=callout)))
    assert got.verdict is Verdict.NOT_CHECKED
    assert "unit" in got.why


def test_the_callout_grammar_remarks_a_missing_unit():
    from audit.lengths import parse_callouts

    base = size("3", 3.0)
    [callout, *_] = parse_callouts("3.5", unit=None)
    got = verdict(replace(base, reading=replace(base.reading, callout=callout)))
    assert (got.verdict, "unit" in got.why) == (Verdict.NOT_CHECKED, True)


def test_equal_spacing_may_span_one_step_or_all():
    steps = {"marks": frozenset({Mark.EQUALLY_SPACED}), "count": 5}
    assert verdict(size("3", 15.0, callout=steps)).verdict is Verdict.NOT_CHECKED


def test_a_text_that_is_no_size_is_not_checked():
    base = size("3", 3.0)
    got = verdict(replace(base, reading=replace(base.reading, callout=None, text="SEE NOTE")))
    assert got.verdict is Verdict.NOT_CHECKED
    assert "SEE NOTE" in got.why


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"across_break": True}, "break"),
        ({"kind": DimensionKind.THREAD}, "thread"),
        ({"kind": DimensionKind.DEPTH}, "depth"),
        ({"kind": DimensionKind.RADIUS, "sweep": 35.0}, "35° of the arc"),
        ({"ends": ()}, "ends"),
    ],
)
def test_what_the_drawing_cannot_show_is_not_scaled(change, words):
    got = verdict(replace(size("3", 1.0), **change))
    assert got.verdict is Verdict.NOT_SCALED
    assert words in got.why
    assert got.scaled is None


def test_a_flat_arc_on_a_scan_is_not_scaled():
    scan = make_sheet(PageKind.SCAN, width=792, height=612, dpi=72)
    small = replace(size("1/8", 1 / 8), kind=DimensionKind.RADIUS, sweep=90.0)
    large = replace(size("3", 3.0, sigma=0.1), kind=DimensionKind.RADIUS, sweep=90.0)
    assert "too small" in verdict(small, sheet=scan).why
    assert verdict(large, sheet=scan).verdict is not Verdict.NOT_SCALED


@pytest.mark.parametrize("mark", [Mark.NOT_TO_SCALE, Mark.MAXIMUM, Mark.TO_SUIT, Mark.STOCK])
def test_marks_that_take_a_size_out_of_the_drawing(mark):
    got = verdict(size("3", 1.0, callout={"marks": frozenset({mark})}))
    assert got.verdict is Verdict.NOT_SCALED


@pytest.mark.parametrize("mark", [Mark.TYPICAL, Mark.THROUGH, Mark.REFERENCE])
def test_marks_that_leave_a_size_what_it_is(mark):
    got = verdict(size("3", 3.0, callout={"marks": frozenset({mark})}))
    assert got.verdict is Verdict.AGREES


def test_a_reference_size_is_compared_but_has_no_vote():
    assert verdict(size("3", 2.0, callout={"reference": True})).verdict is Verdict.DISAGREES
    drawing = simulate(
        Plan(page=PageKind.VECTOR, dimensions=6, sigma=0.01, rounded=False),
        np.random.default_rng(1),
    )
    in_brackets = [
        replace(d, reading=replace(d.reading, callout=replace(d.reading.callout, reference=True)))
        for d in drawing.dimensions
    ]
    scaled = fix_scales(drawing.sheet, drawing.views, dimensions=in_brackets)
    assert isinstance(scaled.views[0].scale, NoScale)


@pytest.mark.parametrize("kind", [ViewKind.PICTORIAL, ViewKind.NOT_TO_SCALE])
def test_views_that_are_never_scaled(kind):
    got = verdict(size("3", 1.0), view=view(kind=kind))
    assert got.verdict is Verdict.NOT_SCALED


def test_nothing_printed_is_measured_and_proposed():
    got = verdict(size(None, 2.5), settings=Settings(unit=Unit.IN))
    assert got.verdict is Verdict.NOT_PRINTED
    assert got.scaled.nearest == "2 1/2"


def test_what_a_person_decided_stays():
    for kept in (Verdict.NOT_CRITICAL, Verdict.NOT_A_DIMENSION):
        assert verdict(size("9", 3.0, verdict=kept)).verdict is kept
    mine = size("9", 3.0, verdict=Verdict.AGREES, user_set=frozenset({UserSet.VERDICT}))
    assert verdict(mine).verdict is Verdict.AGREES
    assert judged(mine).findings == ()


def test_a_radius_text_on_a_diameter_is_compared_with_half_of_it():
    across = replace(
        size("3/4", 1.5, callout={"kind": CalloutKind.RADIUS}), kind=DimensionKind.DIAMETER
    )
    assert verdict(across).verdict is Verdict.AGREES
    assert verdict(across).scaled.value == pytest.approx(0.75)


def test_angles_have_a_degree_of_tolerance():
    assert verdict(angle(45, 45.6)).verdict is Verdict.AGREES
    assert verdict(angle(45, 47.0)).verdict is Verdict.DISAGREES
    assert verdict(angle(45, 45.6)).scaled.unit is Unit.DEG
    assert verdict(angle(300, 60.0)).verdict is Verdict.AGREES
    fine = Settings(angle_tolerance=Length(Fraction(1, 2), Unit.DEG))
    assert verdict(angle(45, 45.6), settings=fine).verdict is Verdict.DISAGREES


def test_an_angle_is_never_compared_with_a_length():
    got = verdict(replace(angle(45, 45.0), reading=reading_of(inches(3))))
    assert got.verdict is Verdict.NOT_CHECKED


def test_half_of_a_part_in_a_half_view_is_no_disagreement():
    base = size("6", 3.0)
    to_centre = replace(base, ends=(base.ends[0], replace(base.ends[1], kind=EndKind.CENTRE)))
    got = verdict(to_centre, view=view(kind=ViewKind.HALF))
    assert got.verdict is Verdict.NOT_SCALED
    assert "half" in got.why
    assert verdict(to_centre).verdict is Verdict.DISAGREES


@pytest.mark.parametrize(
    ("page", "found_by", "wanted"),
    [
        (PageKind.SCAN, FoundBy.TOOL, Verdict.NOT_SCALED),
        (PageKind.SCAN, FoundBy.USER, Verdict.DISAGREES),
        (PageKind.VECTOR, FoundBy.TOOL, Verdict.DISAGREES),
    ],
)
@pytest.mark.parametrize("bare", [EndKind.TIP, EndKind.EXACT])
def test_a_picture_that_shows_no_line_under_one_end_does_not_measure_it(
    bare, page, found_by, wanted
):
    lone = size("3", 2.5, found_by=found_by)
    on_line = replace(lone.ends[1], kind=EndKind.EXTENSION)
    lone = replace(lone, ends=(replace(lone.ends[0], kind=bare), on_line))
    sheet = make_sheet(page, width=792, height=612, dpi=72)
    assert verdict(lone, sheet=sheet).verdict is wanted
    both = replace(lone, ends=tuple(replace(e, kind=EndKind.TIP) for e in lone.ends))
    assert verdict(both, sheet=sheet).verdict is Verdict.DISAGREES


@pytest.mark.parametrize(
    ("more", "page", "wanted"),
    [
        ({"score": 0.5}, PageKind.SCAN, Verdict.NOT_CHECKED),
        ({"score": 0.7}, PageKind.SCAN, Verdict.DISAGREES),
        ({"score": 0.5, "found_by": FoundBy.USER}, PageKind.SCAN, Verdict.DISAGREES),
        ({"score": 0.5, "user_set": frozenset({UserSet.ENDS})}, PageKind.SCAN, Verdict.DISAGREES),
        ({"score": 0.5, "callout": {"confirmed": True}}, PageKind.SCAN, Verdict.DISAGREES),
        ({"score": 0.5}, PageKind.VECTOR, Verdict.DISAGREES),
    ],
)
def test_a_line_that_may_be_no_dimension_calls_no_number_wrong(more, page, wanted):
    sheet = make_sheet(page, width=792, height=612, dpi=72)
    done = judged(size("3", 2.5, **more), sheet=sheet)
    assert done.dimensions[0].verdict is wanted
    told = [f.text for f in done.findings if f.code == "A104"]
    assert len(told) == (wanted is Verdict.NOT_CHECKED)
    assert all("Look whether 1 line" in t and "“3” is drawn as 2.5" in t for t in told)
    right = judged(size("3", 3.0, **more), sheet=sheet)
    assert right.dimensions[0].verdict is Verdict.AGREES


def test_slip_is_a_remark_beside_the_verdict():
    done = judged(size("3/8", 1.375))
    assert "1 3/8" in done.findings[0].text
    assert "slip" in done.findings[0].text
    assert done.findings[0].suggestion is None
    plain = judged(size("3", 3.21))
    assert "slip" not in plain.findings[0].text


def test_finding_rests_on_the_reading_until_a_person_confirmed_it():
    machine = judged(size("3", 2.0)).findings[0]
    assert any("reading" in r for r in machine.rests_on)
    person = judged(size("3", 2.0, callout={"confirmed": True})).findings[0]
    assert not any("reading" in r for r in person.rests_on)


def test_candidates_are_multiples_of_the_plans_own_finest_step():
    eighths = [size(Fraction(k, 8), k / 8, number=k) for k in range(8, 16)]
    got = judged(*eighths, size("3", 3.26, number=99, sigma=1.0)).dimensions[-1]
    assert got.scaled.candidates == ("3 1/4",)


def test_dimension_without_a_view_is_not_scaled():
    got = judged(replace(size("3", 3.0), view=7)).dimensions[0]
    assert got.verdict is Verdict.NOT_SCALED
    assert "no view" in got.why


def test_a_known_dimension_is_not_judged_by_itself():
    base = size("9", 3.0)
    from audit.records import KnownSize

    known = KnownSize(
        sheet=1, a=base.ends[0].point, b=base.ends[1].point, length=inches(9), u_ends=0.1
    )
    scaled = fix_scales(SHEET, [view()], dimensions=[base], known_sizes=[known])
    got = judge(scaled, [base]).dimensions[0]
    assert got.verdict is Verdict.NOT_SCALED
    assert "itself" in got.why


THREAD = Thread(series="unified", size="1/4", major=inches("1/4"), threads_per_inch=Fraction(20))


@pytest.mark.parametrize("callout", [{"thread": THREAD}, {"marks": frozenset({Mark.TAP})}])
def test_a_hole_drawn_as_its_tap_drill_is_no_wrong_thread(callout):
    hole = size("1/4", 0.201, kind=DimensionKind.DIAMETER, callout=callout)
    assert verdict(hole).verdict is Verdict.NOT_CHECKED
    assert verdict(hole).why == OF_A_THREAD
    assert judged(hole).findings == ()
    drilled = {"marks": frozenset({Mark.DRILL})}
    plain = size("1/4", 0.201, kind=DimensionKind.DIAMETER, callout=drilled)
    assert verdict(plain).verdict is Verdict.DISAGREES
