"""The marks of one sheet: which, in which shape, and where.

A *draft* is a mark without its place yet; drafts are placed together, the worst first.
"""

from __future__ import annotations

import itertools
import statistics
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from audit.geometry import Box, Point
from audit.records import (
    Audit,
    Dimension,
    Finding,
    FoldLine,
    Mark,
    MarkedSheet,
    MarkShape,
    MarkStyle,
    Outline,
    Rgb,
    Severity,
    Sheet,
    Verdict,
)
from audit.report.evidence import describe_dimension, describe_finding, describe_unchecked
from audit.report.ledger import SEVERITY_ORDER, VERDICT_ORDER
from audit.report.measures import list_lines, list_viewports
from audit.report.naming import name_features, name_views, place_of
from audit.report.phrases import SEVERITY_STYLES, UNCHECKED_STYLE, VERDICT_STYLES
from audit.report.placing import Ink, Spot, Surroundings, Wish, place_marks
from audit.report.seen import SeenPage, see_page
from audit.report.unchecked import list_unchecked
from audit.scale import run_over

FOLD_COLOUR: Rgb = (0.478, 0.322, 0.0)
# Told by themselves, also where they name one dimension: of the sheet, or of how many there are,
# while the size itself may well agree.
STANDS_ALONE = frozenset({"S111", "P110", "P111"})
# Told at the callout that asks for so many; the other places are what was counted.
AT_CALLOUT = frozenset({"P110", "P111"})

# Half the height of a mark, pt: near the height of the lettering, but never too small to read
# nor large enough to hide the drawing.
SMALLEST_RADIUS_PT, USUAL_RADIUS_PT, LARGEST_RADIUS_PT = 4.6, 5.4, 8.0
LETTERING_SHARE = 0.45  # radius for each pt of lettering height
DIGIT_EM = 0.58  # room for a digit or letter, ems (Helvetica digits: 0.556)
# A place that fills more than this share of the sheet is the sheet itself.
WHOLE_SHEET_SHARE = 0.25

# Half width and half height of each shape, radii; the optical weight comes out alike.
_HALF_SIZES = {
    MarkShape.DIAMOND: (1.3, 1.3),
    MarkShape.LOZENGE: (1.3, 1.3),
    MarkShape.SQUARE: (1.0, 1.0),
    MarkShape.TRIANGLE: (1.0, 0.88),
    MarkShape.CIRCLE: (0.72, 0.72),
    MarkShape.QUESTION: (0.55, 0.9),
    MarkShape.DASH: (0.7, 0.4),
}
RIM_PT = 4.0  # of a link around a mark, pt
_POINTED = (MarkShape.DIAMOND, MarkShape.LOZENGE)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Draft:
    key: str
    label: str
    style: MarkStyle
    title: str
    contents: str
    text: Box | None = None
    line: tuple[Point, Point] | None = None
    around: Box | None = None
    whole_page: bool = False
    gathered: bool = False
    rank: tuple[int, int] = (0, 0)


def mark_sheet(audit: Audit, sheet: Sheet, *, ink: Ink | None = None) -> MarkedSheet:
    """Compose the marks, measured lines and viewports of one sheet.

    Parameters
    ----------
    audit : Audit
    sheet : Sheet
    ink : Ink or None
        What is drawn where on the page as seen, when known.

    Returns
    -------
    MarkedSheet
    """
    page = see_page(sheet)
    drafts = [
        *_draft_dimensions(audit, sheet, page),
        *_draft_findings(audit, sheet, page),
        *_draft_texts(audit, sheet, page),
    ]
    drafts.sort(key=lambda draft: draft.rank)
    radius = mark_radius(audit, sheet, page)
    wishes = [_wish(draft, radius) for draft in drafts]
    spots = place_marks(wishes, _surroundings(audit, sheet, page, ink))
    marks = (
        _mark(draft, wish, spot, radius)
        for draft, wish, spot in zip(drafts, wishes, spots, strict=True)
    )
    return MarkedSheet(
        id=sheet.id,
        name=sheet.name,
        digest=sheet.digest,
        page=sheet.page,
        frame=sheet.frame,
        width=sheet.width,
        height=sheet.height,
        to_seen=page.from_frame,
        page_width=page.width,
        page_height=page.height,
        marks=tuple(marks),
        lines=list_lines(audit, sheet, page),
        viewports=list_viewports(audit, sheet, page),
        outlines=_outlines(audit, sheet, page),
        folds=_folds(audit, sheet, page),
    )


def _folds(audit: Audit, sheet: Sheet, page: SeenPage) -> tuple[FoldLine, ...]:
    lines = []
    for fold in sheet.folds:
        ends = run_over(fold, sheet)
        told = [
            f.text
            for f in audit.findings
            if f.code == "S111"
            and any(p.sheet == sheet.id and p.box == Box.around(ends) for p in f.places)
        ]
        a, b = (page.place(p) for p in ends)
        said = told[0] if told else "marked as a fold"
        lines.append(FoldLine(a=a, b=b, colour=FOLD_COLOUR, contents=said))
    return tuple(lines)


def mark_key(finding: Finding) -> str:
    """Key of the mark a finding is shown by: that of its only dimension, else its own."""
    alone = len(finding.dimensions) == 1 and finding.code not in STANDS_ALONE
    return f"d{finding.dimensions[0]}" if alone else f"f{finding.id}"


def mark_style(dimension: Dimension, findings: Iterable[Finding]) -> MarkStyle:
    """Return what a dimension's mark looks like: no circle where it agrees and something is wrong.

    Parameters
    ----------
    dimension : Dimension
    findings : iterable of Finding
        Of the audit.

    Returns
    -------
    MarkStyle
        That of its verdict; where it agrees with the drawing, that of the gravest warning or error
        that is told at its mark (a pin that enters no hole).
    """
    told = [
        f.severity
        for f in findings
        if f.severity is not Severity.NOTE and mark_key(f) == f"d{dimension.id}"
    ]
    if dimension.verdict is Verdict.AGREES and told:
        return SEVERITY_STYLES[min(told, key=SEVERITY_ORDER.index)]
    return VERDICT_STYLES[dimension.verdict]


def mark_radius(audit: Audit, sheet: Sheet, page: SeenPage) -> float:
    """Half the height of the marks of a sheet, pt, from the height of its lettering."""
    heights = []
    for dimension in audit.dimensions:
        if dimension.sheet == sheet.id and dimension.reading is not None:
            box = page.place_box(dimension.reading.box)
            heights.append(min(box.width, box.height))
    radius = USUAL_RADIUS_PT
    if heights:
        radius = LETTERING_SHARE * statistics.median(heights)
    return min(max(radius, SMALLEST_RADIUS_PT), LARGEST_RADIUS_PT)


def _draft_dimensions(audit: Audit, sheet: Sheet, page: SeenPage) -> list[_Draft]:
    views, features = name_views(audit), name_features(audit)
    decisions = {d.dimension: d for d in audit.decisions}
    drafts = []
    for dimension in audit.dimensions:
        if dimension.sheet != sheet.id:
            continue
        style = mark_style(dimension, audit.findings)
        name = ", ".join(filter(None, (views.get(dimension.view, ""), features[dimension.id])))
        contents = describe_dimension(
            dimension,
            name=name,
            findings=[f for f in audit.findings if dimension.id in f.dimensions],
            decision=decisions.get(dimension.id),
        )
        drafts.append(
            _Draft(
                key=f"d{dimension.id}",
                label=str(dimension.id),
                style=style,
                title=f"{dimension.id} · {style.word}",
                contents=contents,
                text=page.place_box(dimension.reading.box) if dimension.reading else None,
                line=_seen_line(dimension, page),
                around=page.place_box(place_of(dimension)),
                rank=(VERDICT_ORDER.index(dimension.verdict), dimension.id),
            )
        )
    return drafts


def _seen_line(dimension: Dimension, page: SeenPage) -> tuple[Point, Point] | None:
    """Piece of the dimension line or leader that a mark stands beside."""
    points = dimension.line
    if len(points) < 2:
        points = tuple(end.point for end in dimension.ends)
    if len(points) != 2 or (dimension.reading is not None and not dimension.line):
        return None
    return page.place(points[0]), page.place(points[1])


def _draft_findings(audit: Audit, sheet: Sheet, page: SeenPage) -> list[_Draft]:
    """Draft marks for the findings that no single dimension stands for."""
    drafts = []
    area = page.width * page.height
    for finding in audit.findings:
        places = [p for p in finding.places if p.sheet == sheet.id]
        if not places or mark_key(finding).startswith("d"):
            continue
        style = SEVERITY_STYLES[finding.severity]
        # A finding of several places stands beside all of them, unless the first is what it is of.
        shown = places[:1] if finding.code in AT_CALLOUT else places
        around = page.place_box(_around([place.box for place in shown]))
        drafts.append(
            _Draft(
                key=f"f{finding.id}",
                label=str(finding.id),
                style=style,
                title=f"{finding.id} · {finding.code} {finding.severity.value}",
                contents=describe_finding(finding),
                around=around,
                whole_page=around.width * around.height > WHOLE_SHEET_SHARE * area,
                rank=(SEVERITY_ORDER.index(finding.severity), finding.id),
            )
        )
    return drafts


def _draft_texts(audit: Audit, sheet: Sheet, page: SeenPage) -> list[_Draft]:
    last = len(VERDICT_ORDER)
    return [
        _Draft(
            key=group.key,
            label=group.label,
            style=UNCHECKED_STYLE,
            title=f"{group.label} · not checked",
            contents=describe_unchecked(group),
            text=page.place_box(_around([text.box for text in group.texts])),
            gathered=len(group.texts) > 1,
            rank=(last, number),
        )
        for number, group in enumerate(list_unchecked(audit, sheet))
        if group.key.startswith("t")
    ]


def _around(boxes: Sequence[Box]) -> Box:
    return Box.around([corner for box in boxes for corner in box.corners])


def _outlines(audit: Audit, sheet: Sheet, page: SeenPage) -> tuple[Outline, ...]:
    """Outline every text that goes by a letter; the others have a mark of their own."""
    return tuple(
        Outline(mark=group.key, box=page.place_box(text.box), colour=UNCHECKED_STYLE.colour)
        for group in list_unchecked(audit, sheet)
        if group.key.startswith("t")
        for text in group.texts
    )


def _surroundings(audit: Audit, sheet: Sheet, page: SeenPage, ink: Ink | None) -> Surroundings:
    boxes = [t.box for t in audit.texts if t.sheet == sheet.id]
    boxes += [s.box for s in audit.statements if s.sheet == sheet.id]
    lines = []
    for dimension in audit.dimensions:
        if dimension.sheet != sheet.id:
            continue
        if dimension.reading is not None:
            boxes.append(dimension.reading.box)
        seen = [page.place(point) for point in dimension.line]
        lines += list(itertools.pairwise(seen))
    return Surroundings(
        page=page.box,
        texts=tuple(dict.fromkeys(page.place_box(box) for box in boxes)),
        lines=tuple(lines),
        ink=ink,
    )


def _sizes(style: MarkStyle, label: str, radius: float) -> tuple[float, float, float, float]:
    """Width and height of the shape, size and width of the label, pt."""
    half_width, half_height = (radius * share for share in _HALF_SIZES[style.shape])
    size = radius * (1.22 if style.inside else 1.3)
    room = len(label) * DIGIT_EM * size
    if style.inside:
        # The sloping sides of a diamond cut into the corners of the number.
        corner = 0.42 * size if style.shape in _POINTED else 0.22 * size
        half_width = max(half_width, room / 2 + corner)
    return 2 * half_width, 2 * half_height, size, room


def _wish(draft: _Draft, radius: float) -> Wish:
    width, height, size, room = _sizes(draft.style, draft.label, radius)
    if not draft.style.inside:
        width, height = width + 0.2 * size + room, max(height, 0.8 * size)
    # A thick outline stands half outside its shape.
    return Wish(
        width=width + 1.0,
        height=height + 1.0,
        text=draft.text,
        line=draft.line,
        around=draft.around,
        whole_page=draft.whole_page,
        number_beside=not draft.style.inside,
    )


def _mark(draft: _Draft, wish: Wish, spot: Spot, radius: float) -> Mark:
    width, height, size, room = _sizes(draft.style, draft.label, radius)
    box, middle = spot.box.grown(-0.5), spot.box.centre.y
    # A link over a whole view or table would catch every click there: a rim around the mark then.
    narrow = draft.line is not None or (draft.text is not None and not draft.gathered)
    shape = Box(box.x0, middle - height / 2, box.x0 + width, middle + height / 2)
    number = shape
    if not draft.style.inside:
        left = box.x1 - room
        number = Box(left, middle - 0.4 * size, box.x1, middle + 0.4 * size)
    return Mark(
        key=draft.key,
        label=draft.label,
        style=draft.style,
        shape=shape,
        number=number,
        size=size,
        target=wish.target if narrow else box.grown(RIM_PT),
        leader=spot.leader,
        title=draft.title,
        contents=draft.contents,
    )
