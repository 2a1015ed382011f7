"""Small audits to store: sheets, views and dimensions of an invented marble lift."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from audit.geometry import Box, Point, Transform
from audit.lengths import Callout, Length, Unit
from audit.records import (
    Audit,
    Dimension,
    DimensionKind,
    End,
    EndKind,
    Finding,
    FoundBy,
    Frame,
    NoScale,
    PageKind,
    Place,
    ReadBy,
    Reading,
    Scale,
    Scaled,
    ScaleFrom,
    Severity,
    Sheet,
    SheetText,
    TextState,
    UserSet,
    Verdict,
    View,
)

PT_TO_MM = Transform.scaling(25.4 / 72)
SCALE = Scale(
    x=2.0,
    y=2.0,
    covariance=((1e-8, 0.0, 0.0), (0.0, 1e-8, 0.0), (0.0, 0.0, 1e-8)),
    source=ScaleFrom.CONSENSUS,
    used=5,
    agreeing=5,
)


def inches(text: str) -> Length:
    return Length(Fraction(text), Unit.IN)


def make_sheet(number: int = 1, *, page: int = 1, digest: str = "ab" * 32) -> Sheet:
    return Sheet(
        id=number,
        name=f"lift.pdf, page {page}",
        source="lift.pdf",
        digest=digest,
        page=page,
        frame=Frame.PT,
        kind=PageKind.VECTOR,
        width=1224.0,
        height=792.0,
        to_paper=PT_TO_MM,
    )


def make_view(number: int = 1, *, sheet: int = 1, box: Box | None = None) -> View:
    return View(id=number, sheet=sheet, box=box or Box(0, 0, 600, 792), scale=SCALE)


def make_reading(text: str, box: Box, **changes: object) -> Reading:
    callout = Callout(text=text, size=inches(text))
    reading = Reading(text=text, callout=callout, confidence=0.97, by=ReadBy.PDF, box=box)
    return replace(reading, **changes)  # type: ignore[arg-type]


def make_dimension(
    number: int,
    *,
    at: tuple[float, float],
    length: float = 72.0,
    text: str = "2",
    sheet: int = 1,
    view: int = 1,
    kind: DimensionKind = DimensionKind.DISTANCE,
) -> Dimension:
    """A dimension from `at` to the right, `length` pt long, its text above its middle."""
    x, y = at
    box = Box(x + length / 2 - 8, y - 12, x + length / 2 + 8, y - 2)
    ends = tuple(End(point=Point(px, y), kind=EndKind.EXACT, sigma=0.01) for px in (x, x + length))
    return Dimension(
        id=number,
        sheet=sheet,
        view=view,
        kind=kind,
        ends=ends,
        line=(ends[0].point, ends[1].point),
        reading=make_reading(text, box),
        scaled=Scaled(value=length / 36, expanded=0.001, unit=Unit.IN, nearest=text),
        difference=0.0,
        tolerance=1 / 64,
        verdict=Verdict.AGREES,
    )


def make_text(dimension: Dimension) -> SheetText:
    assert dimension.reading is not None
    return SheetText(
        sheet=dimension.sheet,
        text=dimension.reading.text,
        box=dimension.reading.box,
        state=TextState.COMPARED,
    )


def make_finding(
    number: int, *dimensions: Dimension, code: str = "A101", text: str = ""
) -> Finding:
    return Finding(
        id=number,
        code=code,
        severity=Severity.WARNING,
        grade="drawing",
        places=tuple(Place(sheet=d.sheet, box=_box(d)) for d in dimensions),
        dimensions=tuple(d.id for d in dimensions),
        text=text or f"{code} about {len(dimensions)} dimensions",
    )


def _box(dimension: Dimension) -> Box:
    return Box.around([end.point for end in dimension.ends])


def make_found(*, count: int = 8, name: str = "marble lift") -> Audit:
    """What a run finds on one sheet: `count` dimensions 20 pt apart, one of them wrong."""
    dimensions = tuple(
        make_dimension(n, at=(50.0, 60.0 + 20 * n), length=36.0 * (n + 1), text=str(n + 1))
        for n in range(1, count + 1)
    )
    wrong = make_dimension(1, at=(50.0, 80.0), text="17/8")
    wrong = replace(wrong, verdict=Verdict.DISAGREES, difference=0.125)
    dimensions = (wrong, *dimensions[1:])
    loose = SheetText(
        sheet=1,
        text="MAKE 6",
        box=Box(700, 700, 760, 712),
        state=TextState.NOT_CHECKED,
        why="loose",
    )
    return Audit(
        name=name,
        sheets=(make_sheet(),),
        views=(make_view(1), make_view(2, box=Box(620, 0, 1224, 600))),
        dimensions=dimensions,
        texts=(*(make_text(d) for d in dimensions), loose),
        findings=(make_finding(count + 1, wrong), make_finding(count + 2, code="S103")),
    )


def judge(audit: Audit) -> Audit:
    """Judge by a toy rule: a dimension disagrees when its printed number is over its length.

    The real rule belongs to another layer; here it matters only that verdicts follow from
    readings, ends and verdicts set by hand, and that findings are numbered from 1.
    """
    judged = tuple(_judge_one(d) for d in audit.dimensions)
    wrong = [d for d in judged if d.verdict is Verdict.DISAGREES]
    states = {d.reading.box: d.verdict for d in judged if d.reading is not None}
    texts = tuple(
        replace(t, state=TextState.COMPARED, why=None) if t.box in states else t
        for t in audit.texts
    )
    findings = tuple(make_finding(n, d) for n, d in enumerate(wrong, start=1))
    return replace(audit, dimensions=judged, texts=texts, findings=findings)


def _judge_one(dimension: Dimension) -> Dimension:
    by_hand = UserSet.VERDICT in dimension.user_set
    if dimension.printed is None:
        bare = replace(dimension, scaled=None, difference=None, tolerance=None)
        return bare if by_hand else replace(bare, verdict=Verdict.NOT_PRINTED, why=None)
    a, b = (end.point for end in dimension.ends[:2])
    drawn = a.distance(b) / 36
    difference = float(dimension.printed) - drawn
    measured = replace(
        dimension,
        scaled=Scaled(value=drawn, expanded=0.001, unit=Unit.IN, nearest=None),
        difference=difference,
        tolerance=1 / 64,
    )
    if by_hand:
        return measured
    verdict = Verdict.AGREES if abs(difference) < 1 / 64 else Verdict.DISAGREES
    return replace(measured, verdict=verdict, why=None)


def unscaled(view: View) -> View:
    return replace(view, scale=NoScale(reason="nothing fixes it"), shows=None)


def by_hand(dimension: Dimension) -> Dimension:
    return replace(dimension, id=0, found_by=FoundBy.USER)
