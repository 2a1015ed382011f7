"""A small plan of three parts, put together from printed texts: list, titles, sizes, findings."""

from __future__ import annotations

from audit.geometry import Box, Point, Transform
from audit.lengths import FormKind, Unit, parse_callouts, parse_statements
from audit.records import (
    Audit,
    Decision,
    Dimension,
    DimensionKind,
    End,
    EndKind,
    Finding,
    Frame,
    PageKind,
    Place,
    ReadBy,
    Reading,
    Scaled,
    Severity,
    Sheet,
    Statement,
    StatementKind,
    Verdict,
    View,
    ViewKind,
)
from tests.report.builders import MM_PER_PT, make_scale

LEVER, WHEEL, LONG = Box(50, 50, 250, 150), Box(300, 50, 400, 150), Box(450, 50, 550, 350)


def statement(text: str, *, at: Box, kind: FormKind, columns: tuple[str, ...] = ()) -> Statement:
    form = next(f for f in parse_statements(text, unit=Unit.IN) if f.kind is kind)
    if columns:
        from dataclasses import replace

        form = replace(form, columns=columns)
    return Statement(
        sheet=1,
        kind=StatementKind(kind.value),
        text=text,
        box=at,
        value=form.value,
        count=form.count,
        subject=form.subject,
        form=form,
    )


def dimension(
    number: int,
    text: str,
    view: int,
    ends: tuple[tuple[float, float], ...],
    *,
    kind: DimensionKind = DimensionKind.DISTANCE,
    verdict: Verdict = Verdict.AGREES,
    scaled: float | None = None,
) -> Dimension:  # fmt: skip
    callout = parse_callouts(text, unit=Unit.IN)[0] if text else None
    middle = ends[0]
    box = Box(middle[0], middle[1] - 6, middle[0] + 20, middle[1])
    reading = None
    if callout is not None:
        reading = Reading(text=text, callout=callout, confidence=0.99, by=ReadBy.PDF, box=box)
    return Dimension(
        id=number,
        sheet=1,
        view=view,
        kind=kind,
        ends=tuple(End(point=Point(*p), kind=EndKind.EXACT) for p in ends),
        reading=reading,
        scaled=None
        if scaled is None
        else Scaled(value=scaled, expanded=0.01, unit=Unit.IN, nearest=None),
        verdict=verdict,
    )


def view(number: int, title: str, box: Box) -> View:
    return View(id=number, sheet=1, kind=ViewKind.TRUE, box=box, title=title, scale=make_scale(1.0))


def finding(number: int, code: str, text: str, *dimensions: int, **more: object) -> Finding:
    fields = {
        "severity": Severity.WARNING,
        "grade": "",
        "places": (Place(sheet=1, box=LEVER),),
        "witnesses": (),
        "rests_on": (),
        "suggestion": None,
    }
    return Finding(id=number, code=code, text=text, dimensions=dimensions, **{**fields, **more})


ROWS = (
    ("1  LEVER  2  3/4  2  6  OAK", ("T", "W", "L")),
    ("2  WHEEL  4  1/2  3  3  PLYWOOD", ("T", "W", "L")),
    ("3  AXLE  2  1/4  5 1/2  DOWEL", ("W", "L")),
)


def make_plan(*, decisions: tuple[Decision, ...] = (), findings: tuple[Finding, ...] = ()) -> Audit:
    """Lever (decided and held by need), wheel with two holes, axle that no drawing shows."""
    rows = [
        statement(text, at=Box(50, 400 + 12 * k, 300, 410 + 12 * k), kind=FormKind.PARTS_ROW,
                  columns=columns)
        for k, (text, columns) in enumerate(ROWS)
    ]  # fmt: skip
    sheet = Sheet(
        id=1, name="plan.pdf", source="plan.pdf", digest="", page=1, frame=Frame.PT,
        kind=PageKind.VECTOR, width=612, height=792, to_paper=Transform.scaling(MM_PER_PT),
    )  # fmt: skip
    return Audit(
        name="lever set",
        sheets=(sheet,),
        views=(view(1, "LEVER", LEVER), view(2, "WHEEL", WHEEL)),
        dimensions=(
            dimension(1, "6", 1, ((60, 140), (240, 140)), scaled=6.0),
            dimension(2, "2", 1, ((55, 60), (55, 120)), scaled=2.0),
            dimension(3, "2X Ø 17/64 THRU", 1, ((100, 90), (110, 90)), kind=DimensionKind.DIAMETER),
            dimension(4, "Ø 3", 2, ((310, 100), (390, 100)), kind=DimensionKind.DIAMETER),
            dimension(5, "Ø .257", 2, ((345, 100), (355, 100)), kind=DimensionKind.DIAMETER),
            dimension(6, "R 3/8", 1, ((240, 60), (246, 60)), kind=DimensionKind.RADIUS),
        ),
        statements=tuple(rows),
        decisions=decisions,
        findings=findings,
    )
