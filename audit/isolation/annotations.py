"""Marks, measured lines, viewports and links as PDF objects with their own appearances.

Appearances are written here, not left to the viewer: they look alike in every one. Links come
first on a page, then the measured lines, then the marks on top.
"""

from __future__ import annotations

from typing import Any

import pymupdf as _pymupdf

from audit.geometry import Box, Point
from audit.isolation.findings_pages import FindingsPages
from audit.isolation.mark_shapes import draw_shape
from audit.isolation.page_frame import PageFrame, read_page_frame
from audit.records import FoldLine, Mark, MarkedSheet, MeasuredLine, Outline, Rgb, Viewport

pymupdf: Any = _pymupdf  # ships without types

AUTHOR = "plan-audit"
PRINT_FLAG = 4  # annotation flag bit 3, ISO 32000-1 table 165
BAND_OPACITY = 0.36
LEADER_PT = 0.7
OUTLINE_PT, OUTLINE_GAP_PT = 0.6, 1.3  # a fine line that keeps off the text it surrounds
FOLD_DASHES = (9.0, 3.0, 1.5, 3.0)  # pt
ROOM_PT = 90.0  # shown around a place that a link leads to, pt
LINK_GROWN_PT = 1.5


def draw_sheet(doc: Any, sheet: MarkedSheet, *, page: int, findings: FindingsPages) -> None:
    """Draw everything of one sheet on its page.

    Parameters
    ----------
    doc : pymupdf.Document
    sheet : MarkedSheet
    page : int
        Of the document, from 0.
    findings : FindingsPages
        Already in front of the document.
    """
    xref = doc.page_xref(page)
    frame = read_page_frame(doc, xref)
    measures = _add_viewports(doc, xref, sheet.viewports, frame)
    writer = _Writer(doc, frame, page_xref=xref)
    anchors = {link.mark: link for link in reversed(findings.links)}
    targets = [(mark.key, mark.target) for mark in sheet.marks]
    targets += [(outline.mark, outline.box) for outline in sheet.outlines]
    for key, target in dict.fromkeys(targets):
        if key in anchors:
            link = anchors[key]
            writer.add_link(target, to_page=doc.page_xref(link.page), top=link.box.y0)
    marks = {mark.key: doc.get_new_xref() for mark in sheet.marks}
    for line in sheet.lines:
        writer.add_line(line, measure=measures.get(line.view), group=marks.get(line.mark))
    for outline in sheet.outlines:
        writer.add_outline(outline, group=marks.get(outline.mark))
    for number, fold in enumerate(sheet.folds, start=1):
        writer.add_fold(fold, name=f"fold-{number}")
    for mark in sheet.marks:
        writer.add_mark(mark, xref=marks[mark.key])
    writer.finish()


def link_findings(
    doc: Any,
    sheets: tuple[MarkedSheet, ...],
    *,
    page_numbers: dict[int, int],
    findings: FindingsPages,
) -> None:
    """Let the lines of the findings pages lead to their places on the sheets.

    Parameters
    ----------
    doc : pymupdf.Document
    sheets : tuple of MarkedSheet
    page_numbers : dict of int to int
        Page of the document, from 0, by sheet id.
    findings : FindingsPages
    """
    places: dict[str, str] = {}
    for sheet in sheets:
        xref = doc.page_xref(page_numbers[sheet.id])
        frame = read_page_frame(doc, xref)
        for mark in sheet.marks:
            around = _on_page(mark.box.union(mark.target).grown(ROOM_PT), sheet)
            box = frame.to_user_box(around)
            places[mark.key] = f"[{xref} 0 R /FitR {_numbers(box)}]"
    for number in range(findings.pages):
        xref = doc.page_xref(number)
        writer = _Writer(doc, read_page_frame(doc, xref), page_xref=xref)
        for link in findings.links:
            if link.page == number and link.mark in places:
                writer.add_link_to(link.box, places[link.mark])
        writer.finish()


def _on_page(box: Box, sheet: MarkedSheet) -> Box:
    return Box(
        max(box.x0, 0.0),
        max(box.y0, 0.0),
        min(box.x1, sheet.page_width),
        min(box.y1, sheet.page_height),
    )


def _add_viewports(
    doc: Any, xref: int, viewports: tuple[Viewport, ...], frame: PageFrame
) -> dict[int | None, int]:
    """Write /VP after what the page has already; return the measure objects by view."""
    measures: dict[int | None, int] = {}
    entries = []
    for viewport in viewports:
        measure = int(doc.get_new_xref())
        doc.update_object(measure, _measure(viewport, frame))
        measures[viewport.view] = measure
        name = pymupdf.get_pdf_str(viewport.name)
        box = _numbers(frame.to_user_box(viewport.box))
        entries.append(f"<</Type/Viewport/BBox[{box}]/Name{name}/Measure {measure} 0 R>>")
    if entries:
        kind, old = doc.xref_get_key(xref, "VP")
        if kind == "xref":
            old = doc.xref_object(int(old.split()[0]), compressed=True)
        before = old.strip()[1:-1] if old.strip().startswith("[") else ""
        doc.xref_set_key(xref, "VP", f"[{before} {' '.join(entries)}]")
    return measures


def _measure(viewport: Viewport, frame: PageFrame) -> str:
    """Measure dictionary of a rectilinear view (ISO 32000-1 tables 261 to 263)."""
    turned = frame.turn % 180 == 90
    across, up = (viewport.y, viewport.x) if turned else (viewport.x, viewport.y)
    x, y = across * frame.unit, up * frame.unit
    shown = f"/F/F/D {viewport.denominator}" if viewport.denominator else "/F/D/D 100"
    unit = pymupdf.get_pdf_str(viewport.unit)
    area = pymupdf.get_pdf_str(f"sq {viewport.unit}")
    both = "" if f"{x:.9g}" == f"{y:.9g}" else f"/Y[{_format(unit, y, shown)}]/CYX {y / x:.9f}"
    return (
        f"<</Type/Measure/Subtype/RL/R{pymupdf.get_pdf_str(viewport.ratio)}"
        f"/X[{_format(unit, x, shown)}]{both}"
        f"/D[{_format(unit, 1, shown)}]/A[{_format(area, 1, '/F/D/D 100')}]"
        f"/T[{_format('(deg)', 1, '/F/D/D 10')}]>>"
    )


def _format(unit: str, factor: float, shown: str) -> str:
    return f"<</Type/NumberFormat/U{unit}/C {factor:.12f}{shown}>>"


class _Writer:
    """Adds annotations to one page; `finish` hangs them on it."""

    def __init__(self, doc: Any, frame: PageFrame, *, page_xref: int) -> None:
        self.doc, self.frame, self.page_xref = doc, frame, page_xref
        self.font_xref = _bold_font(doc)
        self.added: list[int] = []

    def finish(self) -> None:
        """Append the annotations to those the page has; its own stay below."""
        if not self.added:
            return
        kind, value = self.doc.xref_get_key(self.page_xref, "Annots")
        if kind == "xref":
            value = self.doc.xref_object(int(value.split()[0]), compressed=True)
        before = value.strip()[1:-1] if value.strip().startswith("[") else ""
        new = " ".join(f"{xref} 0 R" for xref in self.added)
        self.doc.xref_set_key(self.page_xref, "Annots", f"[{before} {new}]")

    def _add(self, text: str, *, xref: int | None = None) -> int:
        number = int(self.doc.get_new_xref()) if xref is None else xref
        self.doc.update_object(number, f"<</Type/Annot{text}/P {self.page_xref} 0 R>>")
        self.added.append(number)
        return number

    def add_link(self, seen: Box, *, to_page: int, top: float) -> None:
        """Let a place on the sheet lead to a line of a findings page, `top` from its top."""
        height = read_page_frame(self.doc, to_page).box.height
        self.add_link_to(
            seen.grown(LINK_GROWN_PT), f"[{to_page} 0 R /XYZ 0 {height - top + 12:.2f} null]"
        )

    def add_link_to(self, seen: Box, destination: str) -> None:
        """Add an invisible link."""
        rect = _numbers(self.frame.to_user_box(seen))
        self._add(f"/Subtype/Link/Rect[{rect}]/Border[0 0 0]/H/N/F {PRINT_FLAG}/Dest{destination}")

    def add_line(self, line: MeasuredLine, *, measure: int | None, group: int | None) -> None:
        """Add a measured line: a translucent band along a dimension line."""
        a, b = self.frame.to_user(line.a), self.frame.to_user(line.b)
        width = line.width / self.frame.unit
        box = Box.around((a, b)).grown(width)
        body = (
            f"q /G gs {_rgb(line.colour)} RG {width:.3f} w 0 J "
            f"{a.x:.3f} {a.y:.3f} m {b.x:.3f} {b.y:.3f} l S Q"
        )
        state = f"/ExtGState<</G<</CA {BAND_OPACITY}/ca {BAND_OPACITY}/BM/Multiply>>>>"
        form = self._form(body, f"/BBox[{_numbers(box)}]/Resources<<{state}>>")
        self._add(
            f"/Subtype/Line/IT/LineDimension/Rect[{_numbers(box)}]"
            f"/L[{a.x:.4f} {a.y:.4f} {b.x:.4f} {b.y:.4f}]/LE[/None/None]"
            f"/C[{_rgb(line.colour)}]/CA {BAND_OPACITY}/BS<</W {width:.3f}>>/Cap false"
            f"{f'/Measure {measure} 0 R' if measure else ''}"
            f"{f'/IRT {group} 0 R/RT/Group' if group else ''}"
            f"{_said(f'line-{line.mark}', 'measured', line.contents)}/AP<</N {form} 0 R>>"
        )

    def add_outline(self, outline: Outline, *, group: int | None) -> None:
        """Add a fine broken line around a text."""
        width = OUTLINE_PT / self.frame.unit
        box = self.frame.to_user_box(outline.box.grown(OUTLINE_GAP_PT))
        dash = f"{2.2 / self.frame.unit:.3f} {1.6 / self.frame.unit:.3f}"
        body = (
            f"q {_rgb(outline.colour)} RG {width:.3f} w [{dash}] 0 d "
            f"{box.x0:.3f} {box.y0:.3f} {box.width:.3f} {box.height:.3f} re S Q"
        )
        around = box.grown(width)
        form = self._form(body, f"/BBox[{_numbers(around)}]/Resources<<>>")
        self._add(
            f"/Subtype/Square/Rect[{_numbers(around)}]/C[{_rgb(outline.colour)}]"
            f"/BS<</W {width:.3f}/S/D/D[{dash}]>>/F {PRINT_FLAG}"
            f"{f'/IRT {group} 0 R/RT/Group' if group else ''}/AP<</N {form} 0 R>>"
        )

    def add_fold(self, fold: FoldLine, *, name: str) -> None:
        """Add a fold: a fine line of long and short dashes."""
        width = OUTLINE_PT / self.frame.unit
        a, b = self.frame.to_user(fold.a), self.frame.to_user(fold.b)
        dash = " ".join(f"{part / self.frame.unit:.3f}" for part in FOLD_DASHES)
        box = Box.around((a, b)).grown(2 * width)
        body = (
            f"q {_rgb(fold.colour)} RG {width:.3f} w [{dash}] 0 d "
            f"{a.x:.3f} {a.y:.3f} m {b.x:.3f} {b.y:.3f} l S Q"
        )
        form = self._form(body, f"/BBox[{_numbers(box)}]/Resources<<>>")
        self._add(
            f"/Subtype/Line/Rect[{_numbers(box)}]"
            f"/L[{a.x:.4f} {a.y:.4f} {b.x:.4f} {b.y:.4f}]/LE[/None/None]"
            f"/C[{_rgb(fold.colour)}]/BS<</W {width:.3f}/S/D/D[{dash}]>>/F {PRINT_FLAG}/Cap false"
            f"{_said(name, 'fold', fold.contents)}/AP<</N {form} 0 R>>"
        )

    def add_mark(self, mark: Mark, *, xref: int) -> None:
        """Add a mark with its pop-up; upright as the page is seen."""
        seen = mark.box
        if mark.leader:
            seen = seen.union(Box.around(mark.leader))
        seen = seen.grown(1.0)
        body = "\n".join(self._mark_operators(mark, seen))
        turn = " ".join(f"{value:.6f}" for value in self.frame.upright_matrix)
        form = self._form(
            body,
            f"/BBox[0 0 {seen.width:.3f} {seen.height:.3f}]/Matrix[{turn} 0 0]"
            f"/Resources<</Font<</Fb {self.font_xref} 0 R>>>>",
        )
        rect = _numbers(self.frame.to_user_box(seen))
        self._add(
            f"/Subtype/Stamp/Name/PlanAudit/Rect[{rect}]/C[{_rgb(mark.style.colour)}]"
            f"{_said(mark.key, mark.title, mark.contents)}/AP<</N {form} 0 R>>",
            xref=xref,
        )

    def _mark_operators(self, mark: Mark, seen: Box) -> list[str]:
        """Operators in the mark's own square: origin bottom left, y up, as seen."""

        def local(box: Box) -> Box:
            return Box(box.x0 - seen.x0, seen.y1 - box.y1, box.x1 - seen.x0, seen.y1 - box.y0)

        operators = []
        if mark.leader:
            (x0, y0), (x1, y1) = (_local_point(point, seen) for point in mark.leader)
            operators.append(
                f"q {_rgb(mark.style.colour)} RG {LEADER_PT} w "
                f"{x0:.3f} {y0:.3f} m {x1:.3f} {y1:.3f} l S Q"
            )
        operators.append(draw_shape(mark.style, local(mark.shape)))
        colour = (1.0, 1.0, 1.0) if mark.style.solid else mark.style.colour
        operators.append(self._number(mark, local(mark.number), colour))
        return operators

    def _number(self, mark: Mark, box: Box, colour: Rgb) -> str:
        font = pymupdf.Font("hebo")
        glyphs = "".join(f"{font.has_glyph(ord(c)):04x}" for c in mark.label)
        wide = font.text_length(mark.label, fontsize=mark.size)
        x, y = box.centre.x - wide / 2, box.centre.y - 0.36 * mark.size
        text = f"/Fb {mark.size:.3f} Tf 1 0 0 1 {x:.3f} {y:.3f} Tm <{glyphs}> Tj"
        halo = "" if mark.style.inside else f"BT 1 1 1 RG 1.6 w 1 j 1 Tr {text} ET "
        return f"q {halo}BT {_rgb(colour)} rg 0 Tr {text} ET Q"

    def _form(self, body: str, entries: str) -> int:
        xref = int(self.doc.get_new_xref())
        self.doc.update_object(xref, f"<</Type/XObject/Subtype/Form{entries}>>")
        self.doc.update_stream(xref, body.encode("ascii"))
        return xref


def _local_point(point: Point, seen: Box) -> Point:
    return Point(point.x - seen.x0, seen.y1 - point.y)


def _bold_font(doc: Any) -> int:
    """Object number of the bold font that the findings pages brought along."""
    resources = doc.xref_get_key(doc.page_xref(0), "Resources/Font/Fb")
    return int(resources[1].split()[0])


def _said(key: str, title: str, contents: str) -> str:
    words = pymupdf.get_pdf_str
    return (
        f"/T{words(AUTHOR)}/Subj{words(title)}/NM{words(f'audit-{key}')}"
        f"/Contents{words(contents)}/F {PRINT_FLAG}"
    )


def _numbers(box: Box) -> str:
    return " ".join(f"{value:.4f}" for value in box)


def _rgb(colour: Rgb) -> str:
    return " ".join(f"{value:.3f}" for value in colour)
