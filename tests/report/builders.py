"""Audits and small PDFs for the tests of the report: one drawing, drawn in any page setting."""

from __future__ import annotations

import hashlib
import io
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

import pymupdf
from PIL import Image

from audit.geometry import Box, Point, Transform
from audit.lengths import Callout, Length, Unit
from audit.records import (
    Audit,
    Dimension,
    DimensionKind,
    End,
    EndKind,
    Finding,
    Frame,
    NoScale,
    PageKind,
    Place,
    ReadBy,
    Reading,
    Scale,
    Scaled,
    ScaleFrom,
    Settings,
    Severity,
    Sheet,
    SheetText,
    Side,
    SourceFile,
    Statement,
    StatementKind,
    TextState,
    Verdict,
    View,
    ViewKind,
    Witness,
    WitnessKind,
)

MM_PER_PT = 25.4 / 72
SEEN = (612.0, 396.0)  # pt, of the drawing as seen
TEXT_PT = 9.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """One drawn dimension of the test drawing, seen frame."""

    text: str
    a: Point
    b: Point
    at: Box
    value: Fraction | None
    scaled: float | None
    verdict: Verdict
    vertical: bool = False
    why: str | None = None


def _over(x0: float, x1: float, y: float, text: str, **more: object) -> Size:
    """A horizontal dimension with its text above the line."""
    half, mid = 2.6 * len(text), (x0 + x1) / 2
    box = Box(mid - half, y - 12, mid + half, y - 3)
    return Size(text=text, a=Point(x0, y), b=Point(x1, y), at=box, **more)  # type: ignore[arg-type]


def _beside(x: float, y0: float, y1: float, text: str, **more: object) -> Size:
    half, mid = 2.6 * len(text), (y0 + y1) / 2
    box = Box(x - 12, mid - half, x - 3, mid + half)
    return Size(text=text, a=Point(x, y1), b=Point(x, y0), at=box, vertical=True, **more)  # type: ignore[arg-type]


SIZES = (
    _over(120, 420, 70, "5 1/2", value=Fraction(11, 2), scaled=5.5, verdict=Verdict.AGREES),
    _over(120, 161, 100, "3/4", value=Fraction(3, 4), scaled=0.7501, verdict=Verdict.AGREES),
    _over(
        161, 345, 100, "3 9/32", value=Fraction(105, 32), scaled=3.375, verdict=Verdict.DISAGREES
    ),
    _over(345, 420, 100, "1 3/8", value=Fraction(11, 8), scaled=1.375, verdict=Verdict.AGREES),
    _beside(90, 130, 240, "2", value=Fraction(2), scaled=2.013, verdict=Verdict.TOO_CLOSE),
    _beside(470, 130, 185, "1", value=Fraction(1), scaled=None, verdict=Verdict.NOT_SCALED,
            why="this view has no scale"),
    _over(120, 300, 280, "1 1/16", value=Fraction(17, 16), scaled=1.0625,
          verdict=Verdict.NOT_CHECKED, why="check the reading: 1 1/16 or 11/16"),
    _over(330, 420, 280, "REF 4", value=Fraction(4), scaled=3.9, verdict=Verdict.NOT_CRITICAL),
)  # fmt: skip
OUTLINES = (Box(120, 130, 420, 240), Box(490, 130, 560, 185), Box(120, 300, 420, 350))


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """Boxes and turn of the page that the drawing is put on."""

    turn: int = 0
    origin: tuple[float, float] = (0.0, 0.0)
    border: float = 0.0  # between MediaBox and CropBox, pt
    unit: float = 1.0


def frame_size(setting: Setting) -> tuple[float, float]:
    """Width and height of the unrotated CropBox, pt."""
    return SEEN if setting.turn % 180 == 0 else (SEEN[1], SEEN[0])


def seen_to_frame(point: Point, setting: Setting) -> Point:
    """Where a seen place lies in the unrotated frame (turning clockwise by hand, case by case)."""
    x, y = point
    w, h = SEEN
    if setting.turn == 90:
        return Point(y, w - x)
    if setting.turn == 180:
        return Point(w - x, h - y)
    if setting.turn == 270:
        return Point(h - y, x)
    return Point(x, y)


def box_to_frame(box: Box, setting: Setting) -> Box:
    return Box.around(seen_to_frame(corner, setting) for corner in box.corners)


def seen_to_user(point: Point, setting: Setting) -> Point:
    """Where a seen place lies in the user space of the page."""
    _, height = frame_size(setting)
    x, y = seen_to_frame(point, setting)
    left = setting.origin[0] + setting.border
    bottom = setting.origin[1] + setting.border
    return Point(left + x / setting.unit, bottom + (height - y) / setting.unit)


def draw_pdf(setting: Setting | None = None, *, pages: int = 1) -> bytes:
    """Draw the test drawing as a PDF, in pure operators, with the boxes of a setting."""
    setting = setting or Setting()
    doc = pymupdf.open()
    width, height = (side / setting.unit + 2 * setting.border for side in frame_size(setting))
    for _ in range(pages):
        page = doc.new_page(width=width, height=height)
        page.insert_font(fontname="Hv", fontbuffer=pymupdf.Font("helv").buffer, set_simple=True)
        xref = doc.get_new_xref()
        doc.update_object(xref, "<<>>")
        doc.update_stream(xref, _operators(setting).encode("latin-1"))
        doc.xref_set_key(page.xref, "Contents", f"{xref} 0 R")
        x, y = setting.origin
        b = setting.border
        doc.xref_set_key(page.xref, "MediaBox", f"[{x} {y} {x + width} {y + height}]")
        crop = f"[{x + b} {y + b} {x + width - b} {y + height - b}]"
        doc.xref_set_key(page.xref, "CropBox", crop)
        doc.xref_set_key(page.xref, "Rotate", str(setting.turn))
        if setting.unit != 1:
            doc.xref_set_key(page.xref, "UserUnit", f"{setting.unit:g}")
    return bytes(doc.tobytes(deflate=True))


def _operators(setting: Setting) -> str:
    def place(x: float, y: float) -> str:
        p = seen_to_user(Point(x, y), setting)
        return f"{p.x:.4f} {p.y:.4f}"

    k = 1 / setting.unit
    lines = [f"{0.9 * k} w 0 G"]
    for box in OUTLINES:
        corners = [place(*corner) for corner in box.corners]
        lines.append(f"{corners[0]} m " + " ".join(f"{c} l" for c in corners[1:]) + " s")
    lines.append(f"{0.35 * k} w")
    for size in SIZES:
        lines.append(f"{place(*size.a)} m {place(*size.b)} l S")
        lines.append(_text(size.text, size.at, setting, vertical=size.vertical))
    return "\n".join(lines)


def _text(text: str, box: Box, setting: Setting, *, vertical: bool) -> str:
    start = Point(box.x1 - 1.5, box.y1) if vertical else Point(box.x0, box.y1 - 1.5)
    ahead = start.moved(0, -1) if vertical else start.moved(1, 0)
    a, b = seen_to_user(start, setting), seen_to_user(ahead, setting)
    k = setting.unit
    ux, uy = (b.x - a.x) * k, (b.y - a.y) * k
    matrix = f"{ux:.5f} {uy:.5f} {-uy:.5f} {ux:.5f} {a.x:.4f} {a.y:.4f}"
    return f"BT /Hv {TEXT_PT / k} Tf {matrix} Tm ({text}) Tj ET"


def make_scale(x: float = 2.0, y: float | None = None) -> Scale:
    small = 4e-8
    return Scale(
        x=x,
        y=x if y is None else y,
        covariance=((small, 0.0, 0.0), (0.0, small, 0.0), (0.0, 0.0, small)),
        source=ScaleFrom.CONSENSUS,
        drawn="1:2",
        print_factor=0.97,
        used=8,
        agreeing=7,
    )


def make_sheet(
    setting: Setting | None = None, *, number: int = 1, digest: str = "", source: str = "plan.pdf"
) -> Sheet:
    setting = setting or Setting()
    width, height = frame_size(setting)
    return Sheet(
        id=number,
        name=f"{source}, page {number}",
        source=source,
        digest=digest,
        page=number,
        frame=Frame.PT,
        kind=PageKind.VECTOR,
        width=width,
        height=height,
        turn=setting.turn,
        to_paper=Transform.scaling(MM_PER_PT),
    )


def make_dimension(
    size: Size, number: int, *, sheet: int, view: int, setting: Setting
) -> Dimension:
    unit = Unit.IN
    difference = None
    scaled = None
    if size.scaled is not None:
        value = size.scaled
        steps = round(value * 64)
        near = Fraction(steps, 64)
        spelled = f"{near // 1} {near % 1}" if near > 1 and near % 1 else str(near)
        scaled = Scaled(
            value=value, expanded=0.0091, unit=unit, nearest=spelled, candidates=(spelled,)
        )
        if size.value is not None:
            difference = float(size.value) - value
    reading = None
    if size.value is not None:
        callout = Callout(text=size.text, size=Length(size.value, unit))
        reading = Reading(
            text=size.text,
            callout=callout,
            confidence=0.98,
            by=ReadBy.PDF,
            box=box_to_frame(size.at, setting),
            angle=90.0 if size.vertical else 0.0,
        )
    a, b = (seen_to_frame(p, setting) for p in (size.a, size.b))
    return Dimension(
        id=number,
        sheet=sheet,
        view=view,
        kind=DimensionKind.DISTANCE,
        ends=(End(point=a, kind=EndKind.EXACT), End(point=b, kind=EndKind.EXACT)),
        line=(a, b) if reading else (),
        reading=reading,
        scaled=scaled,
        difference=difference,
        tolerance=1 / 64 if scaled else None,
        verdict=size.verdict,
        why=size.why,
    )


SLOT = Size(
    text="",
    a=Point(205, 190),
    b=Point(205, 225),
    at=Box(0, 0, 0, 0),
    value=None,
    scaled=0.4844,
    verdict=Verdict.NOT_PRINTED,
    vertical=True,
)


def make_audit(setting: Setting | None = None, *, digest: str = "", sheets: int = 1) -> Audit:
    """An audit of the test drawing with one dimension of every verdict but the last."""
    setting = setting or Setting()
    made: list[Audit] = [
        _one_sheet(setting, number=n, digest=digest, first=10 + 20 * (n - 1))
        for n in range(1, sheets + 1)
    ]
    whole = made[0]
    for part in made[1:]:
        whole = replace(
            whole,
            sheets=whole.sheets + part.sheets,
            views=whole.views + part.views,
            dimensions=whole.dimensions + part.dimensions,
            statements=whole.statements + part.statements,
            texts=whole.texts + part.texts,
            findings=whole.findings + part.findings,
        )
    return whole


def _one_sheet(setting: Setting, *, number: int, digest: str, first: int) -> Audit:
    view, other = 2 * number - 1, 2 * number
    dimensions = tuple(
        make_dimension(
            size, first + i, sheet=number, view=other if i == 5 else view, setting=setting
        )
        for i, size in enumerate((*SIZES, SLOT))
    )
    count_box = box_to_frame(Box(250, 355, 300, 364), setting)
    texts = [
        SheetText(
            sheet=number,
            text=d.reading.text,
            box=d.reading.box,
            state=(
                TextState.COMPARED
                if d.verdict in (Verdict.AGREES, Verdict.DISAGREES, Verdict.TOO_CLOSE)
                else TextState.SET_ASIDE
                if d.verdict is Verdict.NOT_CRITICAL
                else TextState.NOT_CHECKED
            ),
            why=d.why,
        )
        for d in dimensions
        if d.reading is not None
    ]
    texts.append(
        SheetText(
            sheet=number,
            text="MAKE 6",
            box=count_box,
            state=TextState.NOT_CHECKED,
            why="what the assembly needs is not known",
        )
    )
    wrong = dimensions[2]
    assert wrong.reading is not None
    return Audit(
        name="Marble lift",
        settings=Settings(unit=Unit.IN),
        sheets=(make_sheet(setting, number=number, digest=digest),),
        views=(
            View(id=view, sheet=number, kind=ViewKind.TRUE, title="SIDE PLATE",
                 box=box_to_frame(Box(60, 50, 440, 260), setting),
                 scale=make_scale(), shows=0.4),
            View(id=other, sheet=number, kind=ViewKind.UNKNOWN,
                 box=box_to_frame(Box(450, 110, 580, 200), setting),
                 scale=NoScale(reason="no dimension and no known size")),
        ),
        dimensions=dimensions,
        statements=(
            Statement(
                sheet=number, kind=StatementKind.COUNT, text="MAKE 6", box=count_box, count=6
            ),
        ),
        texts=tuple(texts),
        findings=(
            Finding(
                id=first + 15, code="A101", severity=Severity.ERROR, grade="drawing+chain",
                places=(Place(sheet=number, box=wrong.reading.box),), dimensions=(wrong.id,),
                witnesses=(
                    Witness(kind=WitnessKind.PRINTED, side=Side.FOR, says="3 9/32"),
                    Witness(kind=WitnessKind.DRAWN, side=Side.AGAINST, says="3 3/8 ± 0.009"),
                    Witness(kind=WitnessKind.CHAIN, side=Side.AGAINST,
                            says="3/4 + 3 9/32 + 1 3/8 = 5 13/32, not 5 1/2"),
                ),
                rests_on=("the scale of this view", "the readings 5 1/2, 3/4 and 1 3/8"),
                text="3 9/32 is printed 3/32 short. The drawing and the chain both say 3 3/8.",
                suggestion="3 3/8",
            ),
            Finding(
                id=first + 16, code="S102", severity=Severity.NOTE,
                places=(Place(sheet=number, box=make_sheet(setting).box),),
                text="This print is 97 % of its size: a pattern traced from it comes out small.",
            ),
            Finding(
                id=first + 17, code="A102", severity=Severity.NOTE, dimensions=(dimensions[4].id,),
                places=(Place(sheet=number, box=dimensions[4].reading.box),),  # type: ignore[union-attr]
                text="2 may be printed 1/64 short. A known size along this view would settle it.",
            ),
        ),
    )  # fmt: skip


def write_source(folder: Path, data: bytes, *, name: str = "plan.pdf") -> SourceFile:
    path = folder / name
    path.write_bytes(data)
    return SourceFile(digest=hashlib.sha256(data).hexdigest(), path=path)


def make_picture(width: int, height: int, *, kind: str = "JPEG", orientation: int = 1) -> bytes:
    """A white picture with a red square at its stored top left and a blue one at the top right."""
    image = Image.new("RGB", (width, height), "white")
    side = min(width, height) // 8
    image.paste((255, 0, 0), (0, 0, side, side))
    image.paste((0, 0, 255), (width - side, 0, width, side))
    exif = Image.Exif()
    exif[0x0112] = orientation
    stream = io.BytesIO()
    image.save(stream, kind, exif=exif, **({"quality": 92} if kind == "JPEG" else {}))
    return stream.getvalue()
