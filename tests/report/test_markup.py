"""What the marked-up PDF shows, before it is drawn."""

from __future__ import annotations

from dataclasses import replace

import pytest

from audit.geometry import Box, Point, Transform
from audit.lengths import Length, Unit
from audit.records import (
    Audit,
    Decision,
    Finding,
    Frame,
    MarkShape,
    PageKind,
    Place,
    Settings,
    Severity,
    SheetText,
    TextState,
    Verdict,
    View,
    ViewKind,
)
from audit.report import plan_markup, summary_lines
from audit.report.phrases import CAUTIONS, VERDICT_STYLES
from audit.report.seen import see_page
from audit.report.unchecked import list_unchecked
from tests.report.builders import SIZES, Setting, make_audit, make_scale, make_sheet

SHAPES = {
    Verdict.DISAGREES: MarkShape.DIAMOND,
    Verdict.TOO_CLOSE: MarkShape.TRIANGLE,
    Verdict.NOT_PRINTED: MarkShape.SQUARE,
    Verdict.NOT_CHECKED: MarkShape.QUESTION,
    Verdict.NOT_SCALED: MarkShape.QUESTION,
    Verdict.AGREES: MarkShape.CIRCLE,
    Verdict.NOT_CRITICAL: MarkShape.DASH,
    Verdict.NOT_A_DIMENSION: MarkShape.DASH,
}


def overlap(a: Box, b: Box) -> bool:
    return a.x0 < b.x1 and b.x0 < a.x1 and a.y0 < b.y1 and b.y0 < a.y1


def test_every_verdict_has_its_shape_and_every_dimension_its_mark() -> None:
    assert {v: style.shape for v, style in VERDICT_STYLES.items()} == SHAPES
    audit = make_audit()
    marks = {mark.key: mark for mark in plan_markup(audit).sheets[0].marks}
    for dimension in audit.dimensions:
        mark = marks[f"d{dimension.id}"]
        assert mark.label == str(dimension.id)
        assert mark.style.shape is SHAPES[dimension.verdict]


def test_a_size_that_agrees_but_cannot_be_built_bears_no_circle() -> None:
    """A hole that its pin cannot enter agrees with the drawing; all that is printed says so."""
    audit = make_audit()
    agrees = next(d for d in audit.dimensions if d.verdict is Verdict.AGREES)
    fit = Finding(
        id=90, code="F102", severity=Severity.WARNING, dimensions=(agrees.id,), text="too small"
    )
    note = replace(fit, severity=Severity.NOTE)
    for told, shape in ((fit, MarkShape.DIAMOND), (note, MarkShape.CIRCLE)):
        marked = replace(audit, findings=(*audit.findings, told))
        plan = plan_markup(marked)
        (mark,) = [m for m in plan.sheets[0].marks if m.key == f"d{agrees.id}"]
        (listed,) = [f for f in plan.findings if f.text == "too small"]
        (said,) = [line for line in summary_lines(marked) if line.text.endswith("too small")]
        assert said.style is not None
        assert {mark.style.shape, listed.style.shape, said.style.shape} == {shape}


def test_colour_is_never_the_only_difference() -> None:
    """Printed in black and white, marks of different meaning differ in shape, fill or word."""
    by_look: dict[tuple[MarkShape, bool], set[tuple[float, ...]]] = {}
    for style in VERDICT_STYLES.values():
        by_look.setdefault((style.shape, style.solid), set()).add(style.colour)
    assert all(len(colours) == 1 for colours in by_look.values())


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_no_mark_covers_a_printed_size(turn: int) -> None:
    sheet = plan_markup(make_audit(Setting(turn=turn))).sheets[0]
    for mark in sheet.marks:
        assert not any(overlap(mark.box, size.at) for size in SIZES), mark.label


def test_the_same_drawing_gets_the_same_marks_however_its_page_is_turned() -> None:
    plans = [plan_markup(make_audit(Setting(turn=turn))) for turn in (0, 90, 180, 270)]
    places = [{m.key: m.box for m in plan.sheets[0].marks} for plan in plans]
    for turned in places[1:]:
        for key, box in places[0].items():
            assert turned[key] == pytest.approx(box, abs=1e-6)


def test_coverage_opens_and_lists_every_text_that_was_not_checked() -> None:
    plan = plan_markup(make_audit())
    assert plan.opening == "sheet 1: 6 of 9 sizes and notes checked; 3 not"
    assert [(t.head, t.label) for t in plan.coverage[0].unchecked] == [
        ("1", "15"),
        ("1 1/16", "16"),
        ("MAKE 6", "a"),
    ]
    keys = {mark.key for mark in plan.sheets[0].marks}
    assert all(t.mark in keys for t in plan.coverage[0].unchecked)


def test_findings_stand_worst_first_and_each_has_its_mark() -> None:
    plan = plan_markup(make_audit())
    assert [f.label for f in plan.findings] == ["12", "14", "26"]
    assert plan.findings[0].head == "side plate, horizontal 3rd"
    assert plan.findings[2].head == "Print is not true to size"
    keys = {mark.key for mark in plan.sheets[0].marks}
    assert {f.mark for f in plan.findings} <= keys


def test_a_parts_list_is_one_group_with_every_text_outlined() -> None:
    cells = tuple(
        SheetText(
            sheet=1, text=f"{row} 1/{2 ** (column + 1)}", state=TextState.NOT_CHECKED,
            why="no dimension was found",
            box=Box(300 + 50 * column, 200 + 12 * row, 320 + 50 * column, 208 + 12 * row),
        )
        for row in range(1, 6) for column in range(3)
    )  # fmt: skip
    far = replace(cells[0], text="9", box=Box(20, 20, 30, 28))
    other = replace(cells[0], text="8", box=Box(300, 272, 320, 280), why="another reason")
    audit = replace(
        make_audit(), dimensions=(), findings=(), statements=(), texts=(*cells, far, other)
    )
    groups = list_unchecked(audit, audit.sheets[0])
    assert [len(g.texts) for g in groups] == [15, 1, 1]
    assert [g.label for g in groups] == ["a", "b", "c"]
    sheet = plan_markup(audit).sheets[0]
    assert len(sheet.outlines) == 17
    assert {o.mark for o in sheet.outlines} == {m.key for m in sheet.marks}
    for mark in sheet.marks:
        assert not any(overlap(mark.box, text.box) for text in audit.texts)


def test_the_popup_says_printed_scaled_sides_and_decision() -> None:
    audit = make_audit()
    value = Length(SIZES[2].value, Unit.IN)  # type: ignore[arg-type]
    decided = Decision(dimension=12, value=value, reason="asked the publisher")
    plan = plan_markup(replace(audit, decisions=(decided,)))
    said = next(m for m in plan.sheets[0].marks if m.key == "d12").contents.splitlines()
    assert said[0] == "side plate, horizontal 3rd"
    assert said[1] == "Printed: 3 9/32 in (read by text of the PDF, 98% sure)"
    assert said[2] == "Scaled: 3 3/8 (3.375) in ± 0.0091"
    assert said[3] == "Printed is 3/32 short."
    assert "Against it: 3 3/8 ± 0.009; 3/4 + 3 9/32 + 1 3/8 = 5 13/32, not 5 1/2" in said
    assert said[-1] == "Build to 3 9/32 in (asked the publisher)"


def test_a_finding_of_several_places_stands_beside_all_of_them() -> None:
    audit = make_audit()
    legs = tuple(Place(sheet=1, box=SIZES[i].at) for i in (1, 2, 3))
    chain = Finding(
        id=60, code="C101", severity=Severity.ERROR, places=legs, dimensions=(11, 12, 13),
        text="The chain does not close.",
    )  # fmt: skip
    sheet = plan_markup(replace(audit, findings=(chain,))).sheets[0]
    mark = next(m for m in sheet.marks if m.key == "f60")
    assert mark.label == "60"
    x0, x1 = SIZES[1].at.x0, SIZES[3].at.x1
    outside = mark.box.x1 < x0 or mark.box.x0 > x1 or mark.box.y1 < 88 or mark.box.y0 > 97
    assert outside


@pytest.mark.parametrize(("code", "beside"), [("P110", True), ("P111", True), ("C102", False)])
def test_a_number_of_holes_is_told_beside_its_callout(code: str, beside: bool) -> None:
    audit = make_audit()
    [callout, far] = [Box(100, 100, 130, 110), Box(500, 400, 530, 410)]
    places = tuple(Place(sheet=1, box=box) for box in (callout, far))
    told = Finding(id=90, code=code, severity=Severity.WARNING, places=places, text="count")
    plan = plan_markup(replace(audit, findings=(told,)))
    [mark] = [m for m in plan.sheets[0].marks if m.key == "f90"]
    assert (mark.box.centre.distance(callout.centre) < 60) is beside


def test_viewports_have_the_scale_of_their_view() -> None:
    sheet = plan_markup(make_audit()).sheets[0]
    assert [(v.name, v.ratio, v.unit) for v in sheet.viewports] == [
        ("side plate", "1 in = 2 in", "in")
    ]
    assert sheet.viewports[0].x == pytest.approx(2 / 72)
    metric = replace(make_audit(), settings=Settings(unit=Unit.MM))
    plan = plan_markup(metric)
    assert plan.sheets[0].viewports[0].x == pytest.approx(2 * 25.4 / 72)
    assert (plan.page_width, plan.page_height) == (595, 842)  # ISO 216 A4 in points


def test_a_turned_page_swaps_the_scales_of_its_directions() -> None:
    audit = make_audit(Setting(turn=90))
    views = (replace(audit.views[0], scale=make_scale(2.0, 3.0)), audit.views[1])
    viewport = plan_markup(replace(audit, views=views)).sheets[0].viewports[0]
    assert viewport.x == pytest.approx(3 / 72)
    assert viewport.y == pytest.approx(2 / 72)


def test_a_photo_in_perspective_gets_no_viewport() -> None:
    """One factor for a whole view would be wrong at its edges."""
    corners = [(0, 0), (1000, 0), (1000, 800), (0, 800)]
    paper = [(0, 0), (250, 10), (240, 190), (5, 200)]
    bent = Transform.from_points(corners, paper)
    straight = Transform.scaling(0.25)
    sheets = []
    for to_paper in (bent, straight):
        sheet = replace(
            make_sheet(), frame=Frame.PX, kind=PageKind.SCAN, width=1000, height=800,
            to_paper=to_paper,
        )  # fmt: skip
        view = View(
            id=1, sheet=1, kind=ViewKind.TRUE, box=Box(100, 100, 900, 700), scale=make_scale(1.0)
        )
        audit = Audit(name="x", sheets=(sheet,), views=(view,))
        sheets.append(plan_markup(audit).sheets[0])
    assert sheets[0].viewports == ()
    assert len(sheets[1].viewports) == 1


def test_cautions_and_remarks_are_always_there() -> None:
    audit = make_audit()
    sheet = replace(audit.sheets[0], remarks=("repaired while opening",))
    plan = plan_markup(replace(audit, sheets=(sheet,)))
    assert plan.cautions == CAUTIONS
    assert len(CAUTIONS) == 5
    assert plan.remarks == ("plan.pdf, page 1: repaired while opening",)


def test_an_audit_of_nothing_says_that_nothing_could_be_judged() -> None:
    audit = Audit(name="empty", sheets=(make_sheet(),))
    plan = plan_markup(audit)
    assert plan.opening == "sheet 1: nothing could be judged; no sizes or notes were found"
    assert plan.sheets[0].marks == ()


@pytest.mark.parametrize(
    ("known", "dpi", "pixels", "long_side"),
    [
        (True, None, 2200, 2200 * 0.127 * 72 / 25.4),  # 200 dpi by the paper: 11 in
        (False, 200.0, 2200, 792.0),
        (False, 72.0, 4032, 4032.0),  # 56 in: a plotter's sheet may be that long
        (False, 72.0, 8000, 792.0),  # 111 in: no sheet, a photo's habit
        (False, None, 4032, 792.0),
    ],
)
def test_a_picture_becomes_a_page_of_sensible_size(
    known: bool, dpi: float | None, pixels: int, long_side: float
) -> None:
    sheet = replace(
        make_sheet(), frame=Frame.PX, width=pixels, height=pixels * 0.75, paper_known=known,
        stated_dpi=dpi, to_paper=Transform.scaling(0.127 if known else 1.0),
    )  # fmt: skip
    page = see_page(sheet)
    assert page.width == pytest.approx(long_side)
    assert page.height == pytest.approx(long_side * 0.75)


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_the_way_to_the_seen_page_is_that_of_turned_arrays(turn: int, mirrored: bool) -> None:
    """Against numpy: mirror left to right, then turn clockwise."""
    import numpy as np

    stored = np.arange(12).reshape(3, 4)
    seen = np.rot90(np.fliplr(stored) if mirrored else stored, -turn // 90)
    sheet = replace(make_sheet(), width=4, height=3, turn=turn, mirrored=mirrored, frame=Frame.PT)
    page = see_page(sheet)
    for y in range(3):
        for x in range(4):
            at = page.place(Point(x + 0.5, y + 0.5))
            assert seen[int(at.y), int(at.x)] == stored[y, x]


def test_two_hundred_crowded_dimensions_are_placed_in_reasonable_time() -> None:
    import time

    base = make_audit()
    many = []
    for i in range(200):
        dimension = base.dimensions[i % 4]
        assert dimension.reading is not None
        dx, dy = 20.0 * (i % 25), 16.0 * (i // 25)
        reading = replace(
            dimension.reading,
            box=Box(5 + dx, 5 + dy, 15 + dx, 11 + dy),
        )
        many.append(replace(dimension, id=100 + i, reading=reading, line=()))
    start = time.process_time()
    plan_markup(replace(base, dimensions=tuple(many), findings=(), texts=()))
    assert time.process_time() - start < 10
