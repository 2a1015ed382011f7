"""Scales of whole sheets, and the findings that go with them."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from scipy import stats

from audit.checks import judge
from audit.geometry import Box, Point
from audit.lengths import Length, Unit
from audit.records import (
    DimensionKind,
    KnownSize,
    NoScale,
    PageKind,
    ScaleFrom,
    Settings,
    Severity,
    Statement,
    StatementKind,
    Verdict,
    View,
    ViewKind,
)
from audit.scale import fix_scales
from audit.scale.stated_findings import unscaled_findings
from audit.scale.unevenness import least_ratio
from audit.uncertainty import measure
from tests.checks.simulated import Plan, make_sheet, simulate

VECTOR = PageKind.VECTOR


def drawn(seed=1, **plan):
    plan = {"page": VECTOR, "sigma": 0.01, "rounded": False, **plan}
    return simulate(Plan(**plan), np.random.default_rng(seed))


TITLE_BLOCK = Box(700, 590, 760, 600)


def stated(factor, box=TITLE_BLOCK, text="SCALE"):
    return Statement(sheet=1, kind=StatementKind.SCALE, text=text, box=box, factor=Fraction(factor))


def fix(drawing, *, known=(), statements=(), sheet=None, settings=None):
    return fix_scales(
        sheet or drawing.sheet,
        drawing.views,
        dimensions=drawing.dimensions,
        known_sizes=known,
        statements=statements,
        settings=settings,
    )


def codes(scaled):
    return [f.code for f in scaled.findings]


def known(a, b, inches):
    return KnownSize(
        sheet=1, a=Point(*a), b=Point(*b), length=Length(Fraction(inches), Unit.IN), u_ends=0.1
    )


def test_a_clean_sheet_at_its_stated_scale_has_nothing_to_tell():
    scaled = fix(drawn(factors=(2.0,)), statements=[stated(2)])
    assert codes(scaled) == []
    [view] = scaled.views
    assert (view.scale.drawn, view.scale.print_factor) == ("1:2", 1.0)
    assert view.scale.source is ScaleFrom.CONSENSUS
    assert scaled.compared == (stated(2),)


def test_a_print_at_97_percent_is_told_once_for_three_views():
    drawing = drawn(views=3, dimensions=24, stretch=(0.97, 0.97))
    scaled = fix(drawing, statements=[stated(1)])
    assert codes(scaled) == ["S102"]
    assert "97.0%" in scaled.findings[0].text
    assert scaled.findings[0].severity is Severity.NOTE
    assert all(v.scale.print_factor == pytest.approx(0.97, abs=1e-3) for v in scaled.views)


def test_letter_on_a4_is_recognised():
    scaled = fix(drawn(stretch=(0.9727, 0.9727)), statements=[stated(1)])
    assert "a Letter sheet fitted to A4" in scaled.findings[0].text


def test_a_wrong_title_block_is_one_finding_not_one_a_view():
    scaled = fix(drawn(views=3, dimensions=24, factors=(4.0,)), statements=[stated(2)])
    assert codes(scaled) == ["S104"]
    assert "1:2" in scaled.findings[0].text
    assert "1:4" in scaled.findings[0].text
    assert len(scaled.findings[0].places) == 3


def test_a_view_at_half_size_without_saying_so_is_named():
    scaled = fix(drawn(views=2, dimensions=16, factors=(1.0, 2.0)), statements=[stated(1)])
    assert codes(scaled) == ["S106"]
    assert "view 2" in scaled.findings[0].text.lower()
    assert scaled.findings[0].severity is Severity.WARNING


def test_a_view_beside_a_true_one_is_no_enlarged_print():
    """1.41 times as large, as A3 is to A4: but all views of a sheet are of one print."""
    scaled = fix(drawn(views=2, dimensions=16, factors=(1.0, 0.7071)), statements=[stated(1)])
    assert codes(scaled) == ["S106"]
    assert "view 2 is drawn at 1.41:1" in scaled.findings[0].text.lower()
    assert [v.scale.print_factor for v in scaled.views] == [1.0, None]


def test_a_view_that_states_its_own_scale_is_not_reproached():
    drawing = drawn(views=2, dimensions=16, factors=(1.0, 2.0))
    own = stated(2, box=Box(560, 400, 600, 410), text="SCALE 1:2")
    scaled = fix(drawing, statements=[stated(1, box=Box(700, 615, 760, 620)), own])
    assert codes(scaled) == []


def test_a_scale_behind_the_title_of_a_view_is_that_views_wherever_it_stands():
    """In a corner of the sheet, and in the box of another view."""
    drawing = drawn(views=2, dimensions=16, factors=(1.0, 2.0))
    views = [replace(v, title=t) for v, t in zip(drawing.views, ("DOWEL", "RAIL"), strict=True)]
    named = stated(1, text="DOWEL (FULL SIZE)")
    inside = stated(1, box=views[1].box.grown(-20), text="DOWEL (FULL SIZE)")
    for own in (named, inside):
        scaled = fix(replace(drawing, views=tuple(views)), statements=[own])
        assert codes(scaled) == []


@pytest.mark.parametrize("text", ["ROD HOLDER (FULL SIZE)", "RODS ARE DRAWN FULL SIZE"])
def test_a_scale_behind_another_word_than_a_title_is_not_that_views(text):
    """The second view, at half size, is no ROD HOLDER and no RODS."""
    drawing = drawn(views=2, dimensions=16, factors=(1.0, 2.0))
    titles = zip(drawing.views, ("ROD HOLDER", "ROD"), strict=True)
    views = tuple(replace(v, title=t) for v, t in titles)
    scaled = fix(replace(drawing, views=views), statements=[stated(1, text=text)])
    assert "S104" not in codes(scaled)


@pytest.mark.parametrize(
    ("says", "factor"), [('1/4" = 1\'-0"', 48.0), ("1:2", 2.0), ("HALF SIZE", 2.0)]
)
def test_a_scale_that_the_title_of_a_view_states_is_read_as_it_is_written(says, factor):
    drawing = drawn(dimensions=16, factors=(factor,))
    titled = replace(drawing, views=tuple(replace(v, stated_scale=says) for v in drawing.views))
    assert codes(fix(titled)) == []
    wrong = replace(drawing, views=tuple(replace(v, stated_scale="1:3") for v in drawing.views))
    assert codes(fix(wrong)) == ["S104"]


def test_views_at_two_scales_on_a_silent_sheet_are_a_note():
    scaled = fix(drawn(views=2, dimensions=16, factors=(1.0, 2.0)))
    assert codes(scaled) == ["S106"]
    assert scaled.findings[0].severity is Severity.NOTE


def test_two_views_of_two_scales_that_came_as_one_are_measured_each_by_its_own():
    drawing = drawn(views=2, dimensions=16, factors=(1.0, 2.0))
    one, two = drawing.views
    whole = replace(one, box=one.box.union(two.box))
    merged = tuple(replace(d, view=1) for d in drawing.dimensions)
    wrong = next(d for d in merged if d.id == drawing.dimensions[-1].id)
    scaled = fix_scales(drawing.sheet, [whole], dimensions=merged)
    assert codes(scaled) == ["S106"]
    assert "two scales" in scaled.findings[0].text
    assert scaled.findings[0].severity is Severity.NOTE
    done = judge(scaled, merged)
    assert {d.verdict for d in done.dimensions} == {Verdict.AGREES}
    unread = tuple(replace(d, reading=None) if d is wrong else d for d in merged)
    again = judge(fix_scales(drawing.sheet, [whole], dimensions=unread), unread)
    before, after = (next(d for d in j.dimensions if d.id == wrong.id) for j in (done, again))
    assert float(after.scaled.value) == pytest.approx(before.scaled.value, rel=1e-3)


def test_a_stretched_scan_is_told():
    drawing = drawn(page=PageKind.SCAN, dimensions=24, sigma=0.2, stretch=(1.013, 0.994))
    scaled = fix(drawing)
    assert "S105" in codes(scaled)
    text = next(f.text for f in scaled.findings if f.code == "S105")
    assert "too wide" in text
    assert "101.3% of its size across, 99.4% up and down" in text
    assert "S102" not in codes(scaled)


def test_a_sheet_with_three_sizes_asks_for_a_known_size():
    scaled = fix(drawn(dimensions=3))
    assert codes(scaled) == ["S103"]
    assert "known size" in scaled.findings[0].text
    assert isinstance(scaled.views[0].scale, NoScale)


def test_a_pictorial_view_has_no_scale_and_that_is_no_finding():
    drawing = drawn(views=2, dimensions=16)
    views = (drawing.views[0], replace(drawing.views[1], kind=ViewKind.PICTORIAL))
    scaled = fix_scales(drawing.sheet, views, dimensions=drawing.dimensions)
    assert isinstance(scaled.views[1].scale, NoScale)
    assert codes(scaled) == []


def test_a_known_size_rules_and_serves_views_without_sizes():
    drawing = drawn(dimensions=2, views=3)
    scaled = fix(drawing, known=[known((0, 0), (720, 0), 10), known((0, 0), (0, 504), 7)])
    assert [v.scale.source for v in scaled.views] == [ScaleFrom.KNOWN] * 3
    assert scaled.views[2].scale.x == pytest.approx(1.0, rel=1e-3)


def test_a_dimension_given_as_known_size_does_not_vouch_for_itself():
    drawing = drawn(dimensions=8)
    chosen = drawing.dimensions[3]
    size = KnownSize(
        sheet=1,
        a=chosen.ends[1].point,
        b=chosen.ends[0].point,
        length=chosen.printed,
        u_ends=0.1,
    )
    scaled = fix(drawing, known=[size])
    assert isinstance(scaled.judging_scale(chosen.id, scaled.views[0]).scale, NoScale)
    other = drawing.dimensions[0]
    assert not isinstance(scaled.judging_scale(other.id, scaled.views[0]).scale, NoScale)


def test_a_known_size_that_the_printed_sizes_contradict_is_the_suspect():
    drawing = drawn(dimensions=14)
    scaled = fix(drawing, known=[known((0, 0), (720, 0), Fraction(103, 10))])
    assert codes(scaled) == ["S101"]
    assert "Check the known size" in scaled.findings[0].text
    assert isinstance(scaled.views[0].scale, NoScale)


@pytest.mark.parametrize(
    ("unit", "sizes", "said"),
    [
        (Unit.MM, (150, 170), "The known sizes 150 mm and 170 mm of plan"),
        (Unit.IN, (Fraction(19, 2), 11), "The known sizes 9 1/2 in and 11 in of plan"),
    ],
)
def test_known_sizes_that_contradict_are_said_in_the_unit_they_were_given_in(unit, sizes, said):
    drawing = drawn(dimensions=0)
    given = [
        KnownSize(sheet=1, a=Point(0, y), b=Point(720, y), length=Length(Fraction(v), unit))
        for y, v in zip((10, 500), sizes, strict=True)
    ]
    told = next(f for f in fix(drawing, known=given).findings if f.code == "S101")
    assert told.text.startswith(said)


def test_a_view_at_twice_the_known_scale_is_recognised():
    drawing = drawn(views=2, dimensions=16, factors=(1.0, 2.0))
    scaled = fix(drawing, known=[known((0, 0), (360, 0), 5)], statements=[stated(1)])
    assert codes(scaled) == ["S106"]
    assert scaled.views[1].scale.x == pytest.approx(2.0, rel=2e-3)


def test_one_known_size_on_a_stretched_scan_lets_the_printed_sizes_tell_the_stretch():
    drawing = drawn(page=PageKind.SCAN, dimensions=24, sigma=0.2, stretch=(1.013, 0.994))
    across = known((100, 100), (100 + 8 * 200 * 1.013, 100), 8)
    scaled = fix(drawing, known=[across])
    [view] = scaled.views
    assert view.scale.source is ScaleFrom.KNOWN
    assert view.scale.x == pytest.approx(1 / 1.013, rel=5e-4)
    assert view.scale.y == pytest.approx(1 / 0.994, rel=1.5e-3)
    assert not view.scale.isotropic


def test_scattered_sizes_are_a_view_not_to_scale():
    drawing = drawn(dimensions=9)
    rng = np.random.default_rng(3)
    moved = []
    for d in drawing.dimensions:
        a, b = d.ends
        f = rng.uniform(0.6, 1.6)
        far = Point(
            a.point.x + f * (b.point.x - a.point.x), a.point.y + f * (b.point.y - a.point.y)
        )
        moved.append(replace(d, ends=(a, replace(b, point=far))))
    scaled = fix_scales(drawing.sheet, drawing.views, dimensions=moved)
    assert codes(scaled) == ["V101"]


def test_other_sheets_are_passed_over():
    drawing = drawn(dimensions=8)
    elsewhere = [replace(d, sheet=2) for d in drawing.dimensions]
    scaled = fix_scales(
        drawing.sheet,
        drawing.views,
        dimensions=elsewhere,
        known_sizes=[replace(known((0, 0), (72, 0), 1), sheet=2)],
    )
    assert isinstance(scaled.views[0].scale, NoScale)
    assert fix_scales(replace(drawing.sheet, id=5), drawing.views).views == ()


def test_unsure_readings_have_no_vote():
    drawing = drawn(dimensions=8)
    unsure = [replace(d, reading=replace(d.reading, confidence=0.5)) for d in drawing.dimensions]
    scaled = fix_scales(drawing.sheet, drawing.views, dimensions=unsure)
    assert isinstance(scaled.views[0].scale, NoScale)
    low = fix_scales(
        drawing.sheet,
        drawing.views,
        dimensions=unsure,
        settings=Settings(confidence_limit=0.4),
    )
    assert not isinstance(low.views[0].scale, NoScale)


def test_findings_leave_unnumbered():
    scaled = fix(drawn(stretch=(0.97, 0.97)))
    assert scaled.findings
    assert {f.id for f in scaled.findings} == {0}


def test_a_logo_on_a_drawn_page_costs_its_sizes_no_certainty():
    """A page with a picture in a corner scales and measures as the same page without it."""
    drawing = drawn(views=2, dimensions=16)
    logo = replace(drawing.sheet, kind=PageKind.BOTH, pictures=(Box(700, 560, 780, 600),))
    plain, mixed = fix(drawing), fix(drawing, sheet=logo)
    assert mixed.views == plain.views
    assert mixed.left_out == plain.left_out
    kind, scale = DimensionKind.DISTANCE, plain.views[0].scale
    size = drawing.dimensions[0].ends
    at = [measure(size, kind=kind, sheet=s, scale=scale).u for s in (drawing.sheet, logo)]
    assert at[0] == at[1]


def test_a_view_on_a_picture_of_a_mixed_page_is_measured_as_a_picture():
    drawing = drawn(views=2, dimensions=16)
    left, right = drawing.views
    sheet = replace(drawing.sheet, kind=PageKind.BOTH, pictures=(left.box,))
    mixed = fix(drawing, sheet=sheet)
    assert [v.id for v in mixed.views] == [left.id, right.id]
    assert 0.03 <= mixed.views[0].drafting < 0.13  # a picture is taken as plotted or drawn by hand
    assert mixed.views[1].drafting == 0.0
    own = {v.id: [d for d in drawing.dimensions if d.view == v.id] for v in (left, right)}
    scale = mixed.views[1].scale
    part = [
        measure(own[v][1].ends, kind=DimensionKind.DISTANCE, sheet=sheet, scale=scale) for v in own
    ]
    assert part[0].part("stretch") > 0
    assert part[1].part("stretch") == 0


def test_what_a_print_does_to_a_12_in_part_is_said():
    small = fix(drawn(stretch=(0.9727, 0.9727)), statements=[stated(1)])
    assert "12-in part traced from it comes out 11.67 in" in small.findings[0].text
    oval = fix(drawn(page=PageKind.SCAN, dimensions=24, sigma=0.2, stretch=(0.984, 0.994)))
    text = next(f.text for f in oval.findings if f.code == "S105")
    assert "98.4% of its size across, 99.4% up and down" in text
    assert "11.81 in wide and 11.93 in high" in text
    assert "off square" not in text


def test_what_a_print_does_is_said_in_mm_on_a_metric_plan():
    metric = Settings(unit=Unit.MM)
    small = fix(drawn(stretch=(0.9727, 0.9727)), statements=[stated(1)], settings=metric)
    assert "300-mm part traced from it comes out 291.8 mm" in small.findings[0].text


def slipped(drawing, by):
    """The scan as an uneven feed makes it: upright lengths grow towards the bottom."""
    high = drawing.sheet.height

    def put(p):
        y = p.y / high
        return Point(p.x, high * (y + by * (y * y / 2 - y / 2)))

    moved = tuple(
        replace(d, ends=tuple(replace(e, point=put(e.point)) for e in d.ends))
        for d in drawing.dimensions
    )
    return replace(drawing, dimensions=moved)


@pytest.mark.parametrize("seed", range(6))
def test_a_stretch_that_changes_along_the_scan_is_told_and_an_even_one_is_not(seed):
    drawing = drawn(seed, page=PageKind.SCAN, dimensions=40, sigma=0.2, longest=2.0)
    told = {f.code: f.text for f in fix(slipped(drawing, 0.03)).findings}
    assert "lengths at the bottom come out" in told["S108"]
    assert "S108" not in codes(fix(drawing))


@pytest.mark.parametrize("dof", [8, 12, 20, 60])
def test_from_how_many_uncertainties_on_it_is_no_chance(dof):
    """Student's t from scipy.stats."""
    assert least_ratio(dof) == pytest.approx(stats.t.ppf(1 - 0.0005, dof), rel=0.01)


def enlarge(percent):
    return Statement(
        sheet=1,
        kind=StatementKind.ENLARGE,
        text=f"ENLARGE {percent}%",
        box=TITLE_BLOCK,
        factor=Fraction(percent, 100),
    )


def test_a_print_that_is_still_to_be_enlarged_is_told_so():
    """Half size as printed, full size after the enlarging that it asks for: nothing contradicts."""
    scaled = fix(drawn(factors=(2.0,)), statements=[stated(1), enlarge(200)])
    assert codes(scaled) == ["S109"]
    assert "has not been" in scaled.findings[0].text
    assert "6.00 in" in scaled.findings[0].text
    assert enlarge(200) in scaled.compared


def test_a_print_that_was_enlarged_already_is_told_so():
    scaled = fix(drawn(factors=(1.0,)), statements=[stated(1), enlarge(200)])
    assert codes(scaled) == ["S109"]
    assert "this print has been" in scaled.findings[0].text


def test_a_print_enlarged_by_something_else_still_contradicts_its_scale():
    scaled = fix(drawn(factors=(4.0,)), statements=[stated(1), enlarge(200)])
    assert codes(scaled) == ["S104"]


def bare(number, title="", *, why="too few printed sizes", advice="give a known size"):
    box = Box(100.0 * number, 100, 100.0 * number + 80, 180)
    lacking = NoScale(reason=why, advice=advice)
    return View(id=number, sheet=1, kind=ViewKind.TRUE, box=box, title=title, scale=lacking)


def test_views_that_lack_a_scale_for_one_reason_share_a_sentence():
    views = [bare(1), bare(2, "RAMP"), bare(3, why="they do not agree"), bare(4)]
    [told] = unscaled_findings(views, sheet=make_sheet(VECTOR, width=600, height=400))
    assert told.text.endswith(
        "views 1, 2 (RAMP) and 4: too few printed sizes; give a known size. "
        "view 3: they do not agree; give a known size."
    )
    assert len(told.places) == 4
