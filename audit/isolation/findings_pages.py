"""The findings pages: coverage on top, findings worst first, marks, cautions, every dimension."""

from __future__ import annotations

import math
from dataclasses import dataclass

from audit.geometry import Box
from audit.isolation.mark_shapes import draw_shape
from audit.isolation.page_flow import PageFlow
from audit.isolation.typesetting import INK, RULE, SOFT, Piece, Typesetter
from audit.records import (
    FlatPicture,
    LedgerRow,
    MarkedText,
    MarkShape,
    MarkStyle,
    MarkupPlan,
    Rgb,
    SheetCoverage,
)

MARGIN, FOOT = 54.0, 46.0  # pt; three quarters of an inch, what any printer can print
COLUMN = 50.0  # of the marks, pt
TINT: Rgb = (0.984, 0.953, 0.910)
PALE: Rgb = (0.965, 0.961, 0.945)
HEADING = 12.5
ROW = 17.5  # of the ledger, pt
LIST_ROW, LIST_TOGETHER = 15.0, 120.0  # of a list, pt; so much of one is kept on one page
BAR_WIDTH = 120.0  # of the coverage bar, pt
PICTURE_WIDE, PICTURE_HIGH = 300.0, 230.0  # pt, the most a picture of residuals may take
ARROW: Rgb = (0.659, 0.271, 0.0)
HEAD = 3.0  # of an arrow, pt
HOW_TO_USE = (
    "Point at a mark to read the evidence. Click a printed size on a sheet to come to its line "
    "here, and a line here to go to its place on the sheet. Letters stand for texts that were not "
    "checked."
)
# Columns of the ledger: heading, right edge as a share of the width, right-aligned.
_COLUMNS = (
    ("No.", 0.0, False),
    ("Feature", 0.105, False),
    ("Printed", 0.555, True),
    ("Scaled", 0.725, True),
    ("± U", 0.825, True),
    ("Printed is", 1.0, True),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PageLink:
    """A place on a findings page that leads to a mark; `box` with y down from the top left."""

    page: int
    box: Box
    mark: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingsPages:
    """The findings pages as a PDF of their own, with the places that lead to the sheets.

    The first link of a mark is also where the mark leads back to.
    """

    data: bytes
    pages: int
    links: tuple[PageLink, ...]


def set_findings_pages(plan: MarkupPlan, *, remarks: tuple[str, ...] = ()) -> FindingsPages:
    """Set the findings pages of a plan.

    Parameters
    ----------
    plan : MarkupPlan
    remarks : tuple of str
        What happened to the sources while copying, told with the plan's own remarks.

    Returns
    -------
    FindingsPages
    """
    flow = _Flow(plan)
    flow.opening()
    flow.coverage()
    flow.findings()
    flow.pictures()
    flow.marks_and_cautions(plan.remarks + remarks)
    flow.ledger()
    flow.footers()
    return FindingsPages(
        data=flow.setter.to_pdf(), pages=len(flow.setter.pages), links=tuple(flow.links)
    )


class _Flow(PageFlow[Typesetter]):
    """Lets the contents run down the pages."""

    def __init__(self, plan: MarkupPlan) -> None:
        self.plan = plan
        setter = Typesetter(width=plan.page_width, height=plan.page_height)
        super().__init__(
            setter,
            setter.add_page,
            width=plan.page_width,
            margin=MARGIN,
            bottom=plan.page_height - FOOT - 14,
        )
        self.links: list[PageLink] = []

    def _heading(self, text: str, *, room: float) -> None:
        self.y += 16
        self.need(HEADING * 2 + room)
        self.text(self.left, 400, Piece(text=text, size=HEADING, bold=True))
        self.y += 1
        self.setter.rule(self.left, self.y, self.right, self.y)
        self.y += 7

    def _link(self, mark: str, top: float, bottom: float, *, page: int | None = None) -> None:
        page = len(self.setter.pages) - 1 if page is None else page
        box = Box(self.left - 4, top, self.right + 4, bottom)
        self.links.append(PageLink(page=page, box=box, mark=mark))

    def _mark(self, style: MarkStyle, label: str, x: float, y: float) -> float:
        """Draw a mark with its number, centred on the height y; return its right edge."""
        radius, size = 6.2, 7.4
        wide = self.setter.measure(label, size=size, bold=True)
        half_w, half_h = _half_size(style.shape, radius)
        if style.inside:
            corner = 3.1 if style.shape in (MarkShape.DIAMOND, MarkShape.LOZENGE) else 1.8
            half_w = max(half_w, wide / 2 + corner)
        middle = x + 9 if not style.inside else x + max(half_w, 9)
        shape = Box(middle - half_w, -half_h, middle + half_w, half_h)
        self.setter.stamp(draw_shape(style, shape), 0, y)
        colour = (1.0, 1.0, 1.0) if style.solid else style.colour
        text = Piece(text=label, size=size, bold=True, colour=colour)
        if style.inside:
            self.setter.show(middle - wide / 2, y + 0.36 * size, label, style=text)
            return middle + half_w
        beside = middle + half_w + 2.2
        dark = Piece(text=label, size=8.4, bold=True, colour=INK)
        return self.setter.show(beside, y + 0.36 * dark.size, label, style=dark)

    def opening(self) -> None:
        """Set name, first sentence and counts."""
        plan = self.plan
        width = self.right - self.left
        self.text(self.left, width, Piece(text=plan.name, size=20, bold=True, plain=True))
        self.text(
            self.left,
            width,
            Piece(
                text="Dimension audit: what was checked, and what was found", size=10, colour=SOFT
            ),
        )
        self.y += 10
        first = plan.opening[:1].upper() + plan.opening[1:]
        self.text(self.left, width, Piece(text=first, size=12.5, bold=True))
        self.y += 5
        x = self.left
        for style, number in plan.counts:
            word = Piece(text=f"{style.word} {number}", size=9.5)
            wide = self.setter.measure(word.text, size=word.size) + 38
            if x + wide > self.right:
                x, self.y = self.left, self.y + 19
            after = self._mark(style, "", x, self.y + 7) + 4
            x = self.setter.show(after, self.y + 10.4, word.text, style=word) + 14
        self.y += 20 if plan.counts else 0

    def coverage(self) -> None:
        """Set coverage, sheet by sheet, with every text that was not checked."""
        self._heading("Coverage", room=60)
        for sheet in self.plan.coverage:
            self._sheet_coverage(sheet)

    def _sheet_coverage(self, sheet: SheetCoverage) -> None:
        self.need(34)
        base = self.y + 10
        says = sheet.says[:1].upper() + sheet.says[1:]
        bar = self.right - BAR_WIDTH
        end = self.setter.show_line(
            self.left,
            base,
            self.setter.break_lines([Piece(text=says, size=10, bold=True)], 10_000)[0],
        )
        room = bar - end - 20
        if room > 40 and sheet.name:
            name = self.setter.break_lines(
                [Piece(text=sheet.name, size=8.5, colour=SOFT, plain=True)], room
            )
            self.setter.show_line(end + 10, base, name[0])
        self.setter.fill(bar, base - 6.5, self.right, base - 1.5, colour=RULE)
        if sheet.texts:
            done = BAR_WIDTH * sheet.checked / sheet.texts
            self.setter.fill(bar, base - 6.5, bar + done, base - 1.5, colour=INK)
        self.y += 19
        for line in sheet.unchecked:
            self._unchecked(line)
        self.y += 5 if sheet.unchecked else 0

    def _unchecked(self, line: MarkedText) -> None:
        pieces = (
            Piece(text=line.head, size=9.5, bold=True),
            Piece(text=f"  {line.text}", size=9, colour=SOFT),
        )
        width = self.right - self.left - COLUMN
        self.need(self.height(width, *pieces))
        top = self.y
        self._mark(line.style, line.label, self.left, top + 7)
        self.text(self.left + COLUMN, width, *pieces)
        self._link(line.mark, top, self.y)

    def findings(self) -> None:
        """Set the findings, worst first."""
        self._heading("Findings", room=70)
        if not self.plan.findings:
            self.text(self.left, self.right - self.left, Piece(text=self._nothing_found()))
        for finding in self.plan.findings:
            self._finding(finding)

    def _nothing_found(self) -> str:
        missing = sum(s.texts - s.checked for s in self.plan.coverage)
        judged = any(s.checked for s in self.plan.coverage)
        if not judged:
            return "Nothing could be judged, so nothing was found. That is no approval."
        rest = f" {missing} not checked: see above." if missing else ""
        return f"Nothing wrong was found in what was checked.{rest}"

    def _finding(self, finding: MarkedText) -> None:
        x, width = self.left + COLUMN, self.right - self.left - COLUMN - 8
        head = Piece(text=finding.head, size=10.5, bold=True)
        body = Piece(text=finding.text, size=9.5)
        facts = [_fact(fact) for fact in finding.facts]
        tall = 13 + self.height(width - 120, head) + self.height(width, body)
        tall += sum(self.height(width, fact) for fact in facts)
        self.need(min(tall, self.bottom - MARGIN))
        top = self.y
        if self.y + tall <= self.bottom:
            self.setter.fill(
                self.left - 4, top, self.right + 4, top + tall, colour=_ground(finding)
            )
            self.setter.fill(
                self.left - 4, top, self.left - 1.5, top + tall, colour=finding.style.colour
            )
        page = len(self.setter.pages)
        self.y += 5
        self._mark(finding.style, finding.label, self.left + 6, self.y + 7.5)
        where = f"sheet {finding.sheet}" if finding.sheet is not None else ""
        label = " · ".join(filter(None, (where, finding.place)))
        self.show_right(self.y + 9.5, Piece(text=label, size=8, colour=SOFT), edge=self.right - 4)
        self.text(x, width - 120, head)
        self.text(x, width, body)
        for fact in facts:
            self.text(x, width, fact)
        self.y += 8
        bottom = self.y if page == len(self.setter.pages) else self.bottom
        self._link(finding.mark, top, bottom, page=page - 1)
        self.y += 5

    def pictures(self) -> None:
        """Set what is left after photos were made flat."""
        for number, picture in enumerate(self.plan.pictures):
            if number == 0:
                self._heading("How flat the photos lie", room=PICTURE_HIGH)
            self._picture(picture)

    def _picture(self, picture: FlatPicture) -> None:
        times = min(PICTURE_WIDE / picture.width, PICTURE_HIGH / picture.height)
        wide, high = picture.width * times, picture.height * times
        self.need(high + 12)
        top, left = self.y, self.left + 4
        self.setter.fill(left, top, left + wide, top + high, colour=PALE)
        for start, tip in picture.arrows:
            self._arrow(
                (left + start.x * times, top + start.y * times),
                (left + tip.x * times, top + tip.y * times),
            )
        x, room = left + wide + 16, self.right - left - wide - 16
        self.text(x, room, Piece(text=f"Sheet {picture.sheet}", size=10, bold=True))
        self.text(x, room, Piece(text=picture.says, size=9, colour=SOFT))
        self.y += 12
        self._arrow((x, self.y), (x + picture.scale_length * times, self.y))
        after = x + picture.scale_length * times + 6
        style = Piece(text=picture.scale_says, size=9, colour=INK)
        self.setter.show(after, self.y + 3, picture.scale_says, style=style)
        self.y = max(self.y + 8, top + high) + 10

    def _arrow(self, start: tuple[float, float], tip: tuple[float, float]) -> None:
        """Draw an arrow; one too short for a head is a dot with a tail."""
        (x0, y0), (x1, y1) = start, tip
        self.setter.fill(x0 - 0.7, y0 - 0.7, x0 + 0.7, y0 + 0.7, colour=ARROW)
        self.setter.rule(x0, y0, x1, y1, colour=ARROW, width=0.7)
        size = math.hypot(x1 - x0, y1 - y0)
        if size < 2 * HEAD:
            return
        ux, uy = (x1 - x0) / size, (y1 - y0) / size
        for turn in (0.4, -0.4):
            bx, by = x1 - HEAD * (ux + turn * uy), y1 - HEAD * (uy - turn * ux)
            self.setter.rule(x1, y1, bx, by, colour=ARROW, width=0.7)

    def marks_and_cautions(self, remarks: tuple[str, ...]) -> None:
        """Set the legend of the marks, the cautions, and what to know of the sources."""
        self._heading("Marks", room=50)
        x = self.left
        for style in self.plan.legend:
            word = Piece(text=style.word, size=9.5)
            wide = self.setter.measure(word.text, size=9.5) + 42
            if x + wide > self.right:
                x, self.y = self.left, self.y + 20
            after = self._mark(style, "12" if style.inside else "", x, self.y + 7) + 4
            x = self.setter.show(after, self.y + 10.4, word.text, style=word) + 16
        self.y += 20
        self.text(
            self.left,
            self.right - self.left,
            Piece(text=HOW_TO_USE, size=9, colour=SOFT),
        )
        self._list("Cautions", self.plan.cautions)
        if remarks:
            self._list("About the files", remarks)

    def _list(self, heading: str, lines: tuple[str, ...]) -> None:
        self._heading(heading, room=min(LIST_ROW * len(lines), LIST_TOGETHER))
        for line in lines:
            self.need(13)
            self.setter.fill(self.left + 1, self.y + 5.2, self.left + 3.6, self.y + 7.8, colour=INK)
            self.text(self.left + 12, self.right - self.left - 12, Piece(text=line, size=9.5))
            self.y += 1.5

    def ledger(self) -> None:
        """Set one line for every dimension."""
        if not self.plan.ledger:
            return
        self._heading("Every dimension", room=80)
        self._column_heads()
        for sheet in dict.fromkeys(row.sheet for row in self.plan.ledger):
            for number, row in enumerate(r for r in self.plan.ledger if r.sheet == sheet):
                if self.need(ROW * (3 if number == 0 else 1)):
                    self._column_heads()
                if number == 0:
                    self.text(
                        self.left, 300, Piece(text=f"Sheet {sheet}", size=9, bold=True, colour=SOFT)
                    )
                self._ledger_row(row)

    def _column_heads(self) -> None:
        for text, edge, right in _COLUMNS:
            piece = Piece(text=text, size=8, bold=True, colour=SOFT)
            x = self.left + edge * (self.right - self.left)
            if right:
                self.show_right(self.y + 8, piece, edge=x)
            else:
                self.setter.show(x, self.y + 8, text, style=piece)
        self.y += 12
        self.setter.rule(self.left, self.y, self.right, self.y, colour=INK, width=0.5)
        self.y += 3

    def _ledger_row(self, row: LedgerRow) -> None:
        top, base = self.y, self.y + 11.5
        self._mark(row.style, str(row.number), self.left, top + 8.4)
        span = self.right - self.left
        x = self.left + _COLUMNS[1][1] * span
        name = f"{row.view}, {row.feature}" if row.view else row.feature
        words = self.setter.break_lines([Piece(text=name, size=9)], 0.36 * span)
        self.setter.show_line(x, base, words[0])
        unit = "°" if row.unit == "deg" else ""
        scaled = f"{row.scaled}{unit}" if row.scaled != "–" else row.scaled
        says = row.says or row.style.word
        loud = row.style.colour if row.says and row.says != "agrees" else INK if row.says else SOFT
        cells = (
            (row.printed, SOFT if row.printed == "none" else INK),
            (scaled, INK if row.scaled != "–" else SOFT),
            (row.uncertainty, SOFT),
            (says, loud),
        )
        for (text, colour), (_, edge, _right) in zip(cells, _COLUMNS[2:], strict=True):
            self.show_right(
                base, Piece(text=text, size=9, colour=colour), edge=self.left + edge * span
            )
        self.y += ROW
        self.setter.rule(self.left, self.y, self.right, self.y, colour=PALE, width=0.5)
        self._link(row.key, top, self.y)

    def footers(self) -> None:
        """Set name and page number at the foot of every page."""
        pages = self.setter.pages
        total = len(pages)
        for number in range(total):
            self.setter.pages = pages[: number + 1]
            y = self.plan.page_height - FOOT
            self.setter.rule(self.left, y - 10, self.right, y - 10)
            style = Piece(text="", size=8, colour=SOFT)
            self.setter.show(
                self.left, y, "Printed dimensions govern. Cut a test piece first.", style=style
            )
            self.show_right(y, Piece(text=f"findings {number + 1} of {total}", size=8, colour=SOFT))
        self.setter.pages = pages


def _half_size(shape: MarkShape, radius: float) -> tuple[float, float]:
    share = {
        MarkShape.DIAMOND: (1.3, 1.3),
        MarkShape.LOZENGE: (1.3, 1.3),
        MarkShape.SQUARE: (1.05, 1.05),
        MarkShape.TRIANGLE: (1.0, 0.88),
        MarkShape.CIRCLE: (0.75, 0.75),
        MarkShape.QUESTION: (0.5, 0.85),
        MarkShape.DASH: (0.7, 0.4),
    }[shape]
    return share[0] * radius, share[1] * radius


def _fact(text: str) -> Piece:
    """A line of evidence, soft; what to do about it, strong."""
    if text.startswith("Suggestion"):
        return Piece(text=text, size=9.5, bold=True)
    return Piece(text=text, size=9, colour=SOFT)


def _ground(finding: MarkedText) -> Rgb:
    return TINT if finding.style.shape is MarkShape.DIAMOND else PALE
