"""The result as JSON, version 1: models at the boundary, and an audit turned into them.

Printed and proposed lengths are strings without unit marks, measured ones are numbers; field
names and words never change within a version.
"""

from __future__ import annotations

import json
import math
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, WithJsonSchema

from audit.geometry import Box
from audit.lengths import Length, Style, Unit, spell, spell_fraction
from audit.records import (
    Audit,
    Coverage,
    Dimension,
    DimensionKind,
    Finding,
    Fold,
    Frame,
    NoScale,
    ReadBy,
    Reading,
    Scale,
    Scaled,
    ScaleFrom,
    Severity,
    Sheet,
    StatementKind,
    TextState,
    Verdict,
    View,
    ViewKind,
)
from audit.report.ledger import order_findings
from audit.report.measures import MM_PER_IN, sheet_unit
from audit.scale import measure_folds

XY = tuple[float, float]
BoxJson = tuple[float, float, float, float]
Row = tuple[float, float, float]
Share = Annotated[float, Field(ge=0, le=1)]


# no length counts centimetres or metres, though the numbers on a sheet may
LengthUnit = Annotated[Unit, WithJsonSchema({"enum": ["in", "mm", "deg"], "type": "string"})]


class Model(BaseModel):
    """Base of all models: no unknown fields, never changed once made."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, populate_by_name=True, ser_json_inf_nan="null"
    )


class CoverageJson(Model):
    """Size-like texts that were checked, of all there are."""

    checked: Annotated[int, Field(ge=0)]
    texts: Annotated[int, Field(ge=0)]


class ScaleJson(Model):
    """Real mm for each mm on the paper; all null, with a reason, where there is no scale."""

    x: float | None
    y: float | None
    shear: float | None
    u_rel: float | None = Field(description="relative standard uncertainty of the scale")
    source: ScaleFrom = Field(alias="from")
    drawn: str | None = Field(description="nearest standard scale, as 1:2")
    print_factor: float | None = Field(
        alias="print", description="size of the print over the size it should have"
    )
    reason: str | None = Field(default=None, description="why there is no scale")


class ViewJson(Model):
    """A region of a sheet drawn at one scale."""

    id: int
    kind: ViewKind
    box: BoxJson
    to_paper: tuple[Row, Row, Row] = Field(description="sheet frame to mm on the paper, row-major")
    scale: ScaleJson
    shows: float | None = Field(description="smallest error this view can show, sheet's unit")


class PrintedJson(Model):
    """What is printed: an exact fraction of the unit."""

    value: Annotated[str, Field(pattern=r"^-?\d+(/\d+)?$")]
    unit: LengthUnit
    confidence: Share
    by: ReadBy
    confirmed: bool


class ScaledJson(Model):
    """What was measured on the drawing; U at k = 2."""

    value: float
    U: float | None = Field(description="null when it is not known")
    unit: LengthUnit
    nearest: str | None
    candidates: tuple[str, ...]


class DimensionJson(Model):
    """The size of a feature."""

    id: int
    view: int
    kind: DimensionKind
    points: tuple[XY, ...]
    text: str | None
    text_box: BoxJson | None
    text_angle: float | None = Field(description="degrees, counter-clockwise as seen")
    printed: PrintedJson | None
    scaled: ScaledJson | None
    difference: float | None = Field(description="printed minus scaled, in the scaled unit")
    verdict: Verdict
    why: str | None
    build_to: str | None


class StatementJson(Model):
    """Printed text that is no dimension but says something."""

    kind: StatementKind
    text: str
    box: BoxJson


class TextJson(Model):
    """A size-like text and what became of it."""

    text: str
    box: BoxJson
    state: TextState
    why: str | None


class FoldJson(Model):
    """A fold or taped joint that a person marked, a line from edge to edge."""

    points: tuple[XY, XY]
    step: str | None = Field(description="how far its sides may be shifted, as stated")
    unit: LengthUnit | None = Field(description="of `step`")
    u_paper: float | None = Field(
        description="standard uncertainty of a length across it, mm on the paper; null: not known, "
        "nothing across it is scaled"
    )


class LensJson(Model):
    """The lens of a photo: a place p belongs at c + (p - c)(1 + k1 s + k2 s²), s = (|p - c|/r)²."""

    centre: XY
    radius: float
    k1: float
    k2: float
    before_px: float = Field(description="scatter of followed lines about straight ones, without")
    after_px: float = Field(description="the same with the lens")


class FlatJson(Model):
    """How a photo was made flat, and what is left along the lines that were followed."""

    by: str
    lens: LensJson | None = Field(
        description="applied before `to_paper` of its views; null: none was measured"
    )
    rms_mm: float
    largest_mm: float
    curled: bool = Field(description="the paper does not lie flat")
    residuals: tuple[tuple[float, float, float, float], ...] = Field(
        description="x, y in the sheet's frame; how far aside of where it should, mm on the paper"
    )


class SheetJson(Model):
    """One page or photo."""

    id: int
    name: str
    source: str
    page: int
    frame: Frame
    width: float
    height: float
    unit: LengthUnit = Field(description="what `shows` of its views counts")
    coverage: CoverageJson
    views: tuple[ViewJson, ...]
    dimensions: tuple[DimensionJson, ...]
    statements: tuple[StatementJson, ...]
    texts: tuple[TextJson, ...]
    folds: tuple[FoldJson, ...] = ()
    flat: FlatJson | None = Field(default=None, description="of a photo made flat by its sides")


class PlaceJson(Model):
    """A box on a sheet, in that sheet's frame."""

    sheet: int
    box: BoxJson


class FindingJson(Model):
    """One thing to tell the user."""

    id: int
    code: Annotated[str, Field(pattern=r"^[A-Z]\d{3}$")]
    severity: Severity
    grade: str
    places: tuple[PlaceJson, ...]
    dimensions: tuple[int, ...]
    rests_on: tuple[str, ...]
    text: str
    suggestion: str | None


class Result(Model):
    """The result of an audit."""

    version: Literal[1] = 1
    coverage: CoverageJson
    sheets: tuple[SheetJson, ...]
    findings: tuple[FindingJson, ...]


def to_result(audit: Audit) -> Result:
    """Turn an audit into the result model; findings worst first.

    Parameters
    ----------
    audit : Audit

    Returns
    -------
    Result
        `write_json` writes it with the names of the format (``from``, ``print``).
    """
    return Result(
        coverage=_coverage(audit.coverage),
        sheets=tuple(_sheet(audit, sheet) for sheet in audit.sheets),
        findings=tuple(_finding(f) for f in order_findings(audit)),
    )


def write_json(result: Result) -> str:
    """Write a result as JSON text, indented, ending in a line break."""
    return result.model_dump_json(by_alias=True, indent=2) + "\n"


def schema_json() -> str:
    """JSON Schema of the result (draft 2020-12), as committed under docs/."""
    schema = Result.model_json_schema(by_alias=True, mode="serialization")
    schema = {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}
    return json.dumps(schema, indent=2, ensure_ascii=False) + "\n"


def _coverage(coverage: Coverage) -> CoverageJson:
    return CoverageJson(checked=coverage.checked, texts=coverage.texts)


def _sheet(audit: Audit, sheet: Sheet) -> SheetJson:
    unit = sheet_unit(audit, sheet.id)
    decided = {d.dimension: d.value for d in audit.decisions if not d.hold}
    return SheetJson(
        id=sheet.id,
        name=sheet.name,
        source=sheet.source,
        page=sheet.page,
        frame=sheet.frame,
        width=sheet.width,
        height=sheet.height,
        unit=unit,
        coverage=_coverage(audit.coverage_of(sheet.id)),
        views=tuple(_view(v, sheet, unit) for v in audit.views if v.sheet == sheet.id),
        dimensions=tuple(
            _dimension(d, decided.get(d.id)) for d in audit.dimensions if d.sheet == sheet.id
        ),
        statements=tuple(
            StatementJson(kind=s.kind, text=s.text, box=_box(s.box))
            for s in audit.statements
            if s.sheet == sheet.id
        ),
        texts=tuple(
            TextJson(text=t.text, box=_box(t.box), state=t.state, why=t.why)
            for t in audit.texts
            if t.sheet == sheet.id
        ),
        folds=tuple(_fold(fold) for fold in measure_folds(sheet, audit.known_sizes).folds),
        flat=_flat(sheet),
    )


def _fold(fold: Fold) -> FoldJson:
    return FoldJson(
        points=((fold.a.x, fold.a.y), (fold.b.x, fold.b.y)),
        step=spell(fold.step, style=Style.PLAIN) if fold.step else None,
        unit=fold.step.unit if fold.step else None,
        u_paper=_finite(fold.u_paper),
    )


def _flat(sheet: Sheet) -> FlatJson | None:
    flat, lens = sheet.flatness, sheet.to_paper.lens
    if flat is None:
        return None
    seen = (
        LensJson(
            centre=(lens.centre.x, lens.centre.y),
            radius=lens.radius,
            k1=lens.k1,
            k2=lens.k2,
            before_px=flat.lens_before,
            after_px=flat.lens_after,
        )
        if lens
        else None
    )
    return FlatJson(
        by=flat.by,
        lens=seen,
        rms_mm=flat.rms_mm,
        largest_mm=flat.largest_mm,
        curled=flat.curled,
        residuals=tuple((a.place.x, a.place.y, a.dx, a.dy) for a in flat.asides),
    )


def _view(view: View, sheet: Sheet, unit: Unit) -> ViewJson:
    shows = view.shows
    if shows is not None and unit is Unit.IN:
        shows /= MM_PER_IN
    return ViewJson(
        id=view.id,
        kind=view.kind,
        box=_box(view.box),
        to_paper=sheet.to_paper.rows,
        scale=_scale(view.scale),
        shows=_finite(shows),
    )


def _scale(scale: Scale | NoScale) -> ScaleJson:
    if isinstance(scale, NoScale):
        reason = f"{scale.reason}; {scale.advice}" if scale.advice else scale.reason
        return _scale_json(source=ScaleFrom.NONE, reason=reason)
    variance = max(scale.covariance[0][0], scale.covariance[1][1], 0.0)
    return _scale_json(
        x=scale.x,
        y=scale.y,
        shear=scale.shear,
        u_rel=_finite(math.sqrt(variance)),
        source=scale.source,
        drawn=scale.drawn,
        print_factor=scale.print_factor,
    )


def _scale_json(**fields: object) -> ScaleJson:
    """Build the model by field names; the type checker only knows the names of the format."""
    empty = dict.fromkeys(("x", "y", "shear", "u_rel", "drawn", "print_factor", "reason"))
    return ScaleJson.model_validate(empty | fields)


def _dimension(dimension: Dimension, decided: Length | None) -> DimensionJson:
    reading = dimension.reading
    build_to = dimension.build_to if dimension.build_to is not None else decided
    return DimensionJson(
        id=dimension.id,
        view=dimension.view,
        kind=dimension.kind,
        points=tuple((end.point.x, end.point.y) for end in dimension.ends),
        text=reading.text if reading else None,
        text_box=_box(reading.box) if reading else None,
        text_angle=reading.angle if reading else None,
        printed=_printed(reading, dimension.printed),
        scaled=_scaled(dimension.scaled),
        difference=_finite(dimension.difference),
        verdict=dimension.verdict,
        why=dimension.why,
        build_to=spell(build_to, style=Style.PLAIN) if build_to is not None else None,
    )


def _printed(reading: Reading | None, size: Length | None) -> PrintedJson | None:
    if reading is None or size is None:
        return None
    return PrintedJson(
        value=spell_fraction(size),
        unit=size.unit,
        confidence=reading.confidence,
        by=reading.by,
        confirmed=reading.confirmed,
    )


def _scaled(scaled: Scaled | None) -> ScaledJson | None:
    if scaled is None or not math.isfinite(scaled.value):
        return None
    return ScaledJson(
        value=scaled.value,
        U=_finite(scaled.expanded),
        unit=scaled.unit,
        nearest=scaled.nearest,
        candidates=scaled.candidates,
    )


def _finding(finding: Finding) -> FindingJson:
    return FindingJson(
        id=finding.id,
        code=finding.code,
        severity=finding.severity,
        grade=finding.grade,
        places=tuple(PlaceJson(sheet=p.sheet, box=_box(p.box)) for p in finding.places),
        dimensions=finding.dimensions,
        rests_on=finding.rests_on,
        text=finding.text,
        suggestion=finding.suggestion,
    )


def _box(box: Box) -> BoxJson:
    return (box.x0, box.y0, box.x1, box.y1)


def _finite(value: float | None) -> float | None:
    """JSON has no infinity."""
    return value if value is not None and math.isfinite(value) else None
