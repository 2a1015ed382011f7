"""The result JSON, version 1."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import jsonschema
import pytest

from audit.geometry import Lens, Point
from audit.lengths import Length, Unit
from audit.records import (
    Aside,
    Audit,
    Decision,
    DimensionKind,
    Flatness,
    Fold,
    Frame,
    ReadBy,
    ScaleFrom,
    Severity,
    StatementKind,
    TextState,
    Verdict,
    ViewKind,
)
from audit.report import Result, schema_json, to_result, write_json
from tests.report.builders import make_audit, make_sheet

VALIDATOR = jsonschema.Draft202012Validator(json.loads(schema_json()))


def as_json(audit: Audit) -> dict:  # type: ignore[type-arg]
    made = json.loads(write_json(to_result(audit)))
    VALIDATOR.validate(made)
    return made  # type: ignore[no-any-return]


def test_the_schema_itself_is_sound() -> None:
    jsonschema.Draft202012Validator.check_schema(json.loads(schema_json()))


def test_a_whole_audit_has_the_fields_of_the_format() -> None:
    made = as_json(make_audit())
    assert made["version"] == 1
    assert made["coverage"] == {"checked": 6, "texts": 9}
    sheet = made["sheets"][0]
    assert set(sheet) >= {
        "id", "name", "source", "page", "frame", "width", "height", "coverage", "views",
        "dimensions", "statements", "texts",
    }  # fmt: skip
    assert set(sheet["views"][0]) == {"id", "kind", "box", "to_paper", "scale", "shows"}
    scale = sheet["views"][0]["scale"]
    assert set(scale) >= {"x", "y", "shear", "u_rel", "from", "drawn", "print"}
    assert (scale["x"], scale["from"], scale["drawn"], scale["print"]) == (
        2.0, "consensus", "1:2", 0.97,
    )  # fmt: skip
    assert scale["u_rel"] == pytest.approx(2e-4)
    dimension = next(d for d in sheet["dimensions"] if d["id"] == 12)
    assert set(dimension) == {
        "id", "view", "kind", "points", "text", "text_box", "text_angle", "printed", "scaled",
        "difference", "verdict", "why", "build_to",
    }  # fmt: skip
    assert dimension["printed"] == {
        "value": "105/32", "unit": "in", "confidence": 0.98, "by": "pdf", "confirmed": False,
    }  # fmt: skip
    assert dimension["scaled"] == {
        "value": 3.375, "U": 0.0091, "unit": "in", "nearest": "3 3/8", "candidates": ["3 3/8"],
    }  # fmt: skip
    assert dimension["difference"] == pytest.approx(-3 / 32)
    assert dimension["verdict"] == "disagrees"
    assert dimension["points"] == [[161.0, 100.0], [345.0, 100.0]]
    finding = made["findings"][0]
    assert set(finding) == {
        "id", "code", "severity", "grade", "places", "dimensions", "rests_on", "text", "suggestion",
    }  # fmt: skip
    assert (finding["code"], finding["grade"], finding["suggestion"]) == (
        "A101", "drawing+chain", "3 3/8",
    )  # fmt: skip


def test_what_is_not_there_is_null() -> None:
    made = as_json(make_audit())["sheets"][0]
    by_id = {d["id"]: d for d in made["dimensions"]}
    assert by_id[18]["printed"] is None
    assert by_id[18]["text"] is None
    assert by_id[15]["scaled"] is None
    assert by_id[15]["difference"] is None
    nothing = made["views"][1]["scale"]
    assert nothing["from"] == "none"
    assert nothing["x"] is None
    assert "known size" in nothing["reason"]
    assert made["views"][1]["shows"] is None


def test_shows_is_in_the_units_of_the_sheet() -> None:
    audit = make_audit()
    assert as_json(audit)["sheets"][0]["views"][0]["shows"] == pytest.approx(0.4 / 25.4)
    metric = replace(audit, settings=replace(audit.settings, unit=Unit.MM))
    assert as_json(metric)["sheets"][0]["views"][0]["shows"] == pytest.approx(0.4)


@pytest.mark.parametrize(
    ("decided", "spelled"),
    [
        (Length(Fraction(27, 8), Unit.IN), "3 3/8"),
        (Length(Fraction(85, 2), Unit.MM), "42.5"),
        (Length(Fraction(45), Unit.DEG), "45"),
    ],
)
def test_build_to_is_spelled_without_unit_marks(decided: Length, spelled: str) -> None:
    decision = Decision(dimension=12, value=decided)
    made = as_json(replace(make_audit(), decisions=(decision,)))
    by_id = {d["id"]: d for d in made["sheets"][0]["dimensions"]}
    assert by_id[12]["build_to"] == spelled


def test_a_hold_is_no_value_to_build_to() -> None:
    held = Decision(dimension=12, value=None, hold=True, reason="ask")
    made = as_json(replace(make_audit(), decisions=(held,)))
    assert made["sheets"][0]["dimensions"][2]["build_to"] is None


def test_an_unknown_uncertainty_is_null_and_still_json() -> None:
    audit = make_audit()
    scaled = audit.dimensions[0].scaled
    assert scaled is not None
    loose = replace(audit.dimensions[0], scaled=replace(scaled, expanded=math.inf))
    result = to_result(replace(audit, dimensions=(loose,), findings=()))
    assert result.sheets[0].dimensions[0].scaled.U is None  # type: ignore[union-attr]
    text = write_json(result)
    assert "Infinity" not in text
    assert json.loads(text)["sheets"][0]["dimensions"][0]["scaled"]["U"] is None


@pytest.mark.parametrize("verdict", Verdict)
def test_every_verdict_is_written_by_its_word(verdict: Verdict) -> None:
    audit = make_audit()
    one = replace(audit.dimensions[0], verdict=verdict)
    made = as_json(replace(audit, dimensions=(one,), findings=()))
    assert made["sheets"][0]["dimensions"][0]["verdict"] == verdict.value


ENUMS = (
    Verdict, DimensionKind, ViewKind, ScaleFrom, ReadBy, TextState, StatementKind, Severity, Frame,
)  # fmt: skip


@pytest.mark.parametrize("words", ENUMS)
def test_the_schema_knows_every_word_and_no_other(words: type) -> None:
    schema = json.loads(schema_json())
    assert schema["$defs"][words.__name__]["enum"] == [member.value for member in words]  # type: ignore[attr-defined]


def test_the_schema_knows_the_units_that_lengths_have_and_no_other() -> None:
    printed = json.loads(schema_json())["$defs"]["PrintedJson"]["properties"]["unit"]
    assert printed["enum"] == list(dict.fromkeys(unit.counted.value for unit in Unit))


def test_every_kind_of_word_passes_the_schema() -> None:
    audit = make_audit()
    dimension, view, text = audit.dimensions[0], audit.views[0], audit.texts[0]
    reading, scale = dimension.reading, view.scale
    assert reading is not None
    dimensions = [replace(dimension, kind=kind) for kind in DimensionKind]
    dimensions += [replace(dimension, reading=replace(reading, by=by)) for by in ReadBy]
    views = [replace(view, kind=kind) for kind in ViewKind]
    views += [replace(view, scale=replace(scale, source=s)) for s in ScaleFrom]  # type: ignore[arg-type]
    made = as_json(
        replace(
            audit,
            sheets=(audit.sheets[0], replace(make_sheet(), id=2, frame=Frame.PX)),
            dimensions=tuple(dimensions),
            views=tuple(views),
            texts=tuple(replace(text, state=state) for state in TextState),
            statements=tuple(replace(audit.statements[0], kind=k) for k in StatementKind),
            findings=tuple(replace(audit.findings[0], severity=s) for s in Severity),
        )
    )
    assert len(made["sheets"][0]["dimensions"]) == len(DimensionKind) + len(ReadBy)


def test_the_model_reads_its_own_json() -> None:
    result = to_result(make_audit(sheets=2))
    assert Result.model_validate_json(write_json(result)) == result


def test_the_example_of_the_format_is_valid() -> None:
    """Written by hand after the description of the format, not by our own code."""
    example = json.loads((Path(__file__).parent / "example_result.json").read_text("utf-8"))
    VALIDATOR.validate(example)
    read = Result.model_validate(example)
    assert json.loads(write_json(read)) == example


def test_an_unknown_field_or_word_is_refused_by_the_schema() -> None:
    made = as_json(make_audit())
    made["sheets"][0]["dimensions"][0]["verdict"] = "fine"
    assert not VALIDATOR.is_valid(made)
    made = as_json(make_audit())
    made["extra"] = 1
    assert not VALIDATOR.is_valid(made)


def test_folds_and_what_is_left_of_a_photo_are_in_the_result() -> None:
    lens = Lens(centre=Point(500, 400), radius=640.0, k1=0.02, k2=-0.001)
    flat = Flatness(
        by="the edge of the paper", lens_before=2.0, lens_after=0.1, k1=0.02, k2=-0.001,
        rms_mm=0.05, largest_mm=0.1, asides=(Aside(Point(1, 2), 0.03, -0.04),),
    )  # fmt: skip
    audit = make_audit()
    fold = Fold(a=Point(1, 2), b=Point(3, 40), step=Length(Fraction(1, 32), Unit.IN))
    sheet = replace(
        audit.sheets[0],
        folds=(fold, replace(fold, step=None)),
        flatness=flat,
        to_paper=replace(audit.sheets[0].to_paper, lens=lens),
    )
    made = as_json(replace(audit, sheets=(sheet, *audit.sheets[1:])))["sheets"][0]
    stated, unknown = made["folds"]
    assert (stated["points"], stated["step"], stated["unit"]) == ([[1, 2], [3, 40]], "1/32", "in")
    assert stated["u_paper"] == pytest.approx(25.4 / 32 / math.sqrt(3))
    assert (unknown["step"], unknown["u_paper"]) == (None, None)
    assert made["flat"]["lens"] == {
        "centre": [500, 400], "radius": 640.0, "k1": 0.02, "k2": -0.001,
        "before_px": 2.0, "after_px": 0.1,
    }  # fmt: skip
    assert made["flat"]["residuals"] == [[1, 2, 0.03, -0.04]]
    assert as_json(audit)["sheets"][0]["flat"] is None
