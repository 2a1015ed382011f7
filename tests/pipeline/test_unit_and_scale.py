"""What bare numbers count, where nothing printed says so: decided together with the scale."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from audit.geometry import Box, Point, Transform
from audit.isolation import GrayImage
from audit.lengths import Length, Unit, parse_callouts, parse_statements
from audit.pipeline.acting import Placing, make_known, type_reading
from audit.pipeline.placing import SnapGround
from audit.pipeline.rejudging import rejudge
from audit.pipeline.sheet import FoundSheet, JudgedSheet, judge_sheet
from audit.pipeline.texts import SheetUnit, find_unit, likely_unit, with_unit
from audit.pipeline.unit_and_scale import is_likely
from audit.records import (
    Audit,
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
    Verdict,
    View,
    ViewKind,
)
from audit.store import ChangeSettings, CorrectReading, create_audit
from tests.checks.simulated import make_sheet
from tests.pipeline.test_texts import line

NUMBERS = (60, 80, 45, 30, 75, 52)
VIEW = View(
    id=1,
    sheet=1,
    kind=ViewKind.TRUE,
    box=Box(90, 90, 500, 300),
    scale=NoScale(reason="not yet"),
)


def size(
    number: float, k: int, *, pt: float, printed: float | None = None, mark: str = "."
) -> Dimension:
    """A length printed without a unit, drawn so many pt long for each unit."""
    text = f"{printed or number:g}".replace(".", mark)
    y = 100.0 + 30 * k
    reading = Reading(
        text=text,
        callout=parse_callouts(text, unit=None)[0],
        confidence=0.99,
        by=ReadBy.PDF,
        box=Box(100, y - 10, 120, y - 2),
        angle=0.0,
    )
    ends = tuple(
        End(point=Point(x, y), kind=EndKind.EXTENSION, sigma=0.01) for x in (100, 100 + number * pt)
    )
    return Dimension(id=k, sheet=1, view=1, kind=DimensionKind.DISTANCE, ends=ends, reading=reading)


def judged(*, pt: float, stated: int | None = None, numbers=NUMBERS, mark: str = "."):
    done = judge_numbers(pt=pt, stated=stated, numbers=numbers, mark=mark)
    units = {d.printed.unit for d in done.dimensions if d.printed is not None}
    return units, [f for f in done.findings if f.code == "S107"]


def judge_numbers(
    *,
    pt: float,
    stated: int | None = None,
    numbers=NUMBERS,
    wrong: int = -1,
    places: int = 0,
    mark: str = ".",
):
    """The audit of a sheet of bare numbers; one, if any, is printed six percent too large."""
    sheet = make_sheet(PageKind.VECTOR, width=792, height=612)
    said = ()
    if stated is not None:
        box = Box(700, 590, 760, 600)
        kind, text = StatementKind.SCALE, f"SCALE 1:{stated}"
        said = (Statement(sheet=1, kind=kind, text=text, box=box, factor=Fraction(stated)),)
    found = FoundSheet(
        sheet=sheet,
        views=(VIEW,),
        dimensions=tuple(
            size(n, k, pt=pt, printed=round(n * 1.06, places) if k == wrong else None, mark=mark)
            for k, n in enumerate(numbers, 1)
        ),
        statements=said,
    )
    return judge_sheet(found, settings=Settings())


@pytest.mark.parametrize("factor", [2, 3, 5, 6, 10])
def test_a_standard_scale_in_mm_that_none_in_inches_is(factor):
    units, told = judged(pt=72 / 25.4 / factor)
    assert units == {Unit.MM}
    assert "a standard scale" in told[0].text


def test_a_stated_scale_that_no_standard_has_decides_too():
    assert "the scale that it states" not in judged(pt=72 / 25.4 / 7)[1][0].text
    units, told = judged(pt=72 / 25.4 / 7, stated=7)
    assert units == {Unit.MM}
    assert "the scale that it states" in told[0].text


def test_inches_at_their_stated_scale_are_no_millimetres():
    assert judged(pt=72 / 84, stated=84)[0] == {Unit.IN}


def test_a_scale_in_inches_that_is_only_near_is_no_witness_against_the_numbers():
    near = 72 / 24 * 0.98
    assert judged(pt=near, numbers=(84, 62, 46, 40, 30, 16, 10, 8))[0] == {Unit.IN}
    units, told = judged(pt=near, numbers=(85, 65, 45, 40, 30, 15, 10, 8))
    assert units == {Unit.MM}
    assert is_likely(told)  # centimetres are printed so as well


def test_numbers_with_decimal_commas_are_no_inches_at_any_scale():
    numbers = (84.5, 62.5, 46.5, 40.5, 30.5, 16.5, 10, 8)
    inches = 72 / 24  # 1:24 as inches, 1:0.94 as millimetres
    assert judged(pt=inches, numbers=numbers)[0] == {Unit.IN}
    assert judged(pt=inches, numbers=numbers, mark=",")[0] == {Unit.MM}


def test_numbers_of_no_known_unit_are_judged_all_the_same_and_the_unit_is_told():
    done = judge_numbers(pt=72 / 25.4 / 7, wrong=2)
    verdicts = {d.id: d.verdict for d in done.dimensions}
    assert verdicts.pop(2) is Verdict.DISAGREES
    assert set(verdicts.values()) == {Verdict.AGREES}
    (told,) = (f for f in done.findings if f.code == "S107")
    assert "hardly depends on it" in told.text


@pytest.mark.parametrize(
    ("texts", "unit"),
    [
        (("60", "115", "12.5"), Unit.MM),
        (("60", "3/4", "24"), Unit.IN),  # a bare fraction is no metric size
        (("5.00", "4.25", "2.5"), Unit.IN),  # idle zeros: ASME Y14.5 has none in millimetres
        (("60", ".5"), Unit.IN),
        (("1.375", "12"), Unit.IN),
        (("1.0", "12"), Unit.IN),
    ],
)
def test_the_likelier_unit_is_told_by_how_numbers_are_printed(texts, unit):
    read = [
        replace(size(1, k, pt=1.0), reading=replace(size(1, k, pt=1.0).reading, text=text))
        for k, text in enumerate(texts)
    ]
    assert likely_unit(read) is unit


@pytest.mark.parametrize(
    ("numbers", "pt", "places"),
    [((3, 4, 2.25, 1.5, 3.75, 2.6), 26.64, 2), ((3.4, 4.6, 2.2, 1.5, 3.7, 2.6), 43.2, 1)],
)
def test_small_decimals_of_no_known_unit_are_judged_by_their_last_place(numbers, pt, places):
    """They may count inches, centimetres or metres; half a millimetre would hide six percent."""
    done = judge_numbers(pt=pt, numbers=numbers, wrong=3, places=places)
    verdicts = {d.id: d.verdict for d in done.dimensions}
    assert verdicts.pop(3) is Verdict.DISAGREES
    assert set(verdicts.values()) == {Verdict.AGREES}


@pytest.mark.parametrize("pt", [1.4, 1.136, 1.407])
def test_what_hangs_on_a_unit_that_is_only_likely_is_not_told(pt):
    done = judge_numbers(pt=pt)
    assert [f.code for f in done.findings] == ["S107"]
    assert done.views[0].scale.drawn is None


def test_a_sheet_in_a_likely_unit_is_judged_anew_as_before():
    done = judge_numbers(pt=43.2, numbers=(3.4, 4.6, 2.2, 1.5, 3.7, 2.6), wrong=3, places=1)
    assert is_likely(done.findings)
    stored = replace(done.found, views=done.views, unit=SheetUnit(Unit.MM, "", likely=True))
    again = judge_sheet(stored, settings=Settings())
    assert again.dimensions == done.dimensions
    assert again.views == done.views


@pytest.mark.parametrize(
    ("note", "times", "name"), [("CM", 10, "centimetres"), ("METRES", 1000, "metres")]
)
def test_numbers_that_count_other_units_are_made_into_millimetres(note, times, name):
    """And not taken for so many mm, of which half a one is allowed: 1.9 for 1.6 is no rounding."""
    [said] = parse_statements(f"DIMENSIONS IN {note}", unit=None)
    unit = find_unit([line(said.text)], Settings())
    assert (unit.unit, unit.likely) == (said.unit, False)
    sheet = make_sheet(PageKind.VECTOR, width=792, height=612)
    sizes = [size(n, k, pt=5.1) for k, n in enumerate((45.5, 60, 38, 24.5, 52, 30.5), 1)]
    sizes.append(size(16, 7, pt=0.51, printed=1.9))
    found = FoundSheet(
        sheet=sheet,
        views=(VIEW,),
        dimensions=with_unit(sizes, unit.unit),
        unit=unit,
    )
    done = judge_sheet(found, settings=Settings())
    assert done.dimensions[6].verdict is Verdict.DISAGREES
    assert done.dimensions[1].printed == Length(Fraction(60 * times), Unit.MM)
    (told,) = [f for f in done.findings if f.code == "S107"]
    assert f'the note "DIMENSIONS IN {note}" says that its numbers count {name}' in told.text
    assert f"{times} mm for each" in told.text
    again = judge_sheet(replace(done.found, findings=done.findings), settings=Settings())
    assert [f for f in again.findings if f.code == "S107"] == [told]


@pytest.mark.parametrize(
    ("unit", "length", "told"),
    [
        (Unit.CM, Length(Fraction(600), Unit.MM), "taken as mm. Now they count what you say, cent"),
        (Unit.IN, Length(Fraction(60), Unit.IN), "taken as mm. Now they count what you say, inch"),
    ],
)
def test_numbers_taken_for_millimetres_count_what_the_user_says(tmp_path, unit, length, told):
    """As the page does it: settings are changed, and what is stored is judged anew; and undone."""
    done = judge_numbers(pt=5.1)
    first = replace(audit_of(done), views=done.views, findings=done.findings)
    change = ChangeSettings(settings=Settings(unit=unit))
    with create_audit(tmp_path / "plan.audit", name="plan") as file:
        file.add_run(first, revision=file.revision, judge=rejudge)
        before = file.load()
        file.record(change, revision=file.revision, judge=rejudge)
        said = file.load()
        file.undo(revision=file.revision, judge=rejudge)
        undone = file.load()
    assert said.dimensions[0].printed == length
    assert {d.verdict for d in said.dimensions} == {Verdict.AGREES}
    assert [told in f.text for f in said.findings] == [True]
    assert (undone.dimensions, undone.findings) == (before.dimensions, before.findings)


def thick(text="STOCK 18 THICK"):
    [form] = parse_statements(text, unit=Unit.MM)
    kind, box = StatementKind.STOCK, Box(600, 500, 700, 510)
    return Statement(sheet=1, kind=kind, text=text, box=box, value=form.value, form=form)


def test_as_the_plan_prints_brings_back_what_was_read_before_a_unit_was_set(tmp_path):
    """Sizes and statements; a size that was typed meanwhile counts as the others do again."""
    done = judge_numbers(pt=5.1)
    first = replace(audit_of(done), views=done.views, findings=done.findings, statements=(thick(),))
    with create_audit(tmp_path / "plan.audit", name="plan") as file:
        file.add_run(first, revision=file.revision, judge=rejudge)
        before = file.load()

        def record(entry):
            file.record(entry, revision=file.revision, judge=rejudge)
            return file.load()

        said = record(ChangeSettings(settings=Settings(unit=Unit.CM)))
        typed = type_reading(said, said.dimensions[1], "90")
        record(CorrectReading(dimension=2, reading=typed))
        record(ChangeSettings(settings=Settings(unit=Unit.IN)))
        back = record(ChangeSettings(settings=Settings()))
    assert said.statements[0].value == Length(Fraction(180), Unit.MM)
    assert back.statements == before.statements
    printed = [d.printed for d in before.dimensions]
    printed[1] = Length(Fraction(90), Unit.MM)
    assert [d.printed for d in back.dimensions] == printed


def test_as_the_plan_prints_is_what_its_note_says_where_a_unit_was_set_from_the_first(tmp_path):
    settings = Settings(unit=Unit.CM)
    sizes = with_unit([size(n, k, pt=5.1) for k, n in enumerate(NUMBERS, 1)], Unit.CM)
    [form] = parse_statements("DIMENSIONS IN MM", unit=None)
    note = Statement(sheet=1, kind=StatementKind.UNIT, text=form.text, box=VIEW.box, form=form)
    sheet = make_sheet(PageKind.VECTOR, width=792, height=612)
    done = judge_sheet(FoundSheet(sheet=sheet, views=(VIEW,), dimensions=sizes), settings=settings)
    first = replace(audit_of(done), views=done.views, settings=settings, statements=(note,))
    with create_audit(tmp_path / "plan.audit", name="plan", settings=settings) as file:
        file.add_run(first, revision=file.revision, judge=rejudge)
        assert file.load().dimensions[0].printed == Length(Fraction(600), Unit.MM)
        file.record(ChangeSettings(settings=Settings()), revision=file.revision, judge=rejudge)
        assert file.load().dimensions[0].printed == Length(Fraction(60), Unit.MM)


def test_a_known_size_typed_bare_counts_what_the_user_says():
    done = judge_numbers(pt=5.1)
    audit = replace(audit_of(done), views=done.views, settings=Settings(unit=Unit.CM))
    image = GrayImage(pixels=np.full((60, 60), 255, np.uint8), to_frame=Transform())
    blank = SnapGround(image=image, from_frame=Transform(), px_per_mm=None)
    ends = (Point(10, 10), Point(50, 10))
    placed = Placing(sheet=1, kind=DimensionKind.DISTANCE, points=ends, free=frozenset({0, 1}))
    assert make_known(blank, audit, placed, "60").length == Length(Fraction(600), Unit.MM)


def test_numbers_that_the_user_says_count_centimetres_are_told_in_millimetres():
    settings = Settings(unit=Unit.CM)
    unit = find_unit([line("DIMENSIONS IN MM")], settings)
    sizes = with_unit([size(n, k, pt=5.1) for k, n in enumerate(NUMBERS, 1)], Unit.CM)
    sheet = make_sheet(PageKind.VECTOR, width=792, height=612)
    found = FoundSheet(sheet=sheet, views=(VIEW,), dimensions=sizes, unit=unit)
    done = judge_sheet(found, settings=settings)
    assert done.dimensions[1].printed == Length(Fraction(800), Unit.MM)
    assert done.dimensions[1].scaled.unit is Unit.MM
    (told,) = done.findings
    assert "you say that its numbers count centimetres" in told.text
    audit = replace(audit_of(done), views=done.views, findings=done.findings, settings=settings)
    assert rejudge(audit).findings[0].text == told.text
    assert rejudge(replace(audit, settings=Settings())).findings[0].text != told.text


@pytest.mark.parametrize("pt", [2.306, 5.526])
def test_a_scale_by_which_the_unit_was_chosen_says_nothing_of_the_print(pt):
    """Of sheets drawn at no scale at all a quarter are near one in one of the units."""
    done = judge_numbers(pt=pt)
    assert [f.code for f in done.findings] == ["S107"]
    assert "near a standard scale" in done.findings[0].text
    assert done.views[0].scale.print_factor is None


def audit_of(done: JudgedSheet) -> Audit:
    return Audit(name="plan", sheets=(done.found.sheet,), dimensions=done.dimensions)


@pytest.mark.parametrize(("stated", "name"), [("1:20", "centimetres"), ("1:2", "mm")])
def test_a_stated_scale_tells_centimetres_from_millimetres(stated, name):
    """60 drawn 30 mm long are millimetres at 1:2 and centimetres at 1:20."""
    [said] = parse_statements(f"SCALE {stated}", unit=None)
    scale = Statement(
        sheet=1,
        kind=StatementKind.SCALE,
        text=said.text,
        box=Box(100, 320, 180, 330),
        factor=said.factor,
        form=said,
    )
    numbers = (60, 45.5, 30, 24.5, 52, 12.5)
    sizes = [size(n, k, pt=36 / 25.4) for k, n in enumerate(numbers, 1)]
    found = FoundSheet(
        sheet=make_sheet(PageKind.VECTOR, width=792, height=612),
        views=(VIEW,),
        dimensions=tuple(sizes),
        statements=(scale,),
    )
    done = judge_sheet(found, settings=Settings())
    (told,) = [f for f in done.findings if f.code == "S107"]
    assert f"so they are taken as {name}" in told.text
    assert done.dimensions[0].printed.value == (600 if name == "centimetres" else 60)
    typed = type_reading(audit_of(done), done.dimensions[1], "46,5")
    assert typed.callout.size.value == (465 if name == "centimetres" else Fraction(93, 2))


def test_metres_are_told_where_a_bare_number_counts_them_and_not_else():
    sheet = make_sheet(PageKind.VECTOR, width=792, height=612)
    unit = SheetUnit(Unit.M, "3 printed sizes")
    for text, told in (("{:g} m", 0), ("{:g}", 1)):
        sizes = []
        for k, n in enumerate((4.5, 6, 3.8, 2.4, 5.2, 3.1), 1):
            bare, said = size(n, k, pt=51), text.format(n)
            read = replace(bare.reading, text=said, callout=parse_callouts(said, unit=Unit.M)[0])
            sizes.append(replace(bare, reading=read))
        found = FoundSheet(sheet=sheet, views=(VIEW,), dimensions=tuple(sizes), unit=unit)
        done = judge_sheet(found, settings=Settings())
        assert done.dimensions[0].printed == Length(Fraction(4500), Unit.MM)
        notes = [f.text for f in done.findings if f.code == "S107"]
        assert len(notes) == told
        assert all("3 printed sizes say that its numbers count metres" in note for note in notes)


def test_a_size_with_the_name_of_what_it_measures_is_given_the_unit_too():
    """`sizes_on_lines` takes ``60 DOORWAY`` on a line for 60, of no unit yet."""
    bare = size(60, 1, pt=1.0)
    named = replace(bare, reading=replace(bare.reading, text="60 DOORWAY"))
    assert with_unit([named], Unit.IN)[0].printed == Length(Fraction(60), Unit.IN)
