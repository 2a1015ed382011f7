"""Set a `Booklet`: headings, paragraphs, tick lists, tables and crops that run down the pages.

Runs in the worker process only.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import takewhile

from audit.geometry import Box
from audit.isolation.mark_shapes import draw_shape
from audit.isolation.page_flow import PageFlow
from audit.isolation.print_pages import PageSetter
from audit.isolation.typesetting import INK, LEADING, RULE, SOFT, Piece
from audit.records import (
    Block,
    Booklet,
    Bullet,
    Cell,
    Column,
    Crop,
    Gap,
    Heading,
    MarkShape,
    MarkStyle,
    Paragraph,
    Rgb,
    SideBySide,
    Table,
)

MARGIN, FOOT = 50.0, 44.0  # pt; more than any printer leaves blank
TINT: Rgb = (0.984, 0.953, 0.910)
PALE: Rgb = (0.965, 0.961, 0.945)
TICK = 8.5  # side of a tick box, pt
BULLET_ROOM = 24.0
CELL_SIZE, CELL_GAP, ROW_GAP = 8.8, 7.0, 3.4
CROP_WIDTH, CROP_HEIGHT = 235.0, 150.0  # pt, the most a crop may take
MARK_RADIUS = 6.2
HEADING_ROOM = 44.0  # that a heading takes with what is above and below it, pt
KEPT_SHARE = 0.3  # of a page: a list shorter than this is not torn
NAME_ROOM = 62.0  # of the names of facts, pt


def set_booklet(booklet: Booklet) -> bytes:
    """Set a booklet as a PDF."""
    flow = _Flow(booklet)
    flow.opening()
    for number, block in enumerate(booklet.blocks):
        flow.keep_together(booklet.blocks[number:])
        flow.set_block(block)
    flow.footers()
    return flow.setter.to_pdf(title=booklet.title)


class _Flow(PageFlow[PageSetter]):
    """Lets the blocks run down the pages."""

    def __init__(self, booklet: Booklet) -> None:
        self.booklet = booklet
        wide, high = booklet.page_width, booklet.page_height
        setter = PageSetter()
        super().__init__(
            setter,
            lambda: setter.begin_page(wide, high),
            width=wide,
            margin=MARGIN,
            bottom=high - FOOT - 12,
        )

    def opening(self) -> None:
        """Set title and first sentence."""
        book = self.booklet
        self.text(self.left, self.width, Piece(text=book.title, size=20, bold=True, plain=True))
        if book.subtitle:
            self.text(self.left, self.width, Piece(text=book.subtitle, size=10, colour=SOFT))
        self.y += 9
        if book.opening:
            self.text(self.left, self.width, Piece(text=book.opening, size=12, bold=True))
            self.y += 5

    def keep_together(self, blocks: Sequence[Block]) -> None:
        """Begin a new page before a heading whose short list would else be torn."""
        if not isinstance(blocks[0], Heading) or len(blocks) < 2:
            return
        listed = list(takewhile(lambda block: isinstance(block, Bullet), blocks[1:]))
        tall = HEADING_ROOM + sum(self._bullet_height(b) for b in listed if isinstance(b, Bullet))
        if listed and tall < KEPT_SHARE * (self.bottom - MARGIN):
            self.need(tall)

    def set_block(self, block: object) -> None:
        """Set one block."""
        match block:
            case Heading():
                self._heading(block)
            case Paragraph():
                self._paragraph(block)
            case Bullet():
                self._bullet(block)
            case Table():
                self._table(block)
            case SideBySide():
                self._side_by_side(block)
            case Gap(new_page=True):
                if self.is_begun:
                    self.new_page()
            case Gap():
                self.y += block.height

    def _heading(self, block: Heading) -> None:
        size = 13.0 if block.level == 1 else 10.5
        self.y += 14 if block.level == 1 else 9
        self.need(size * 2 + 54)
        top = self.y
        self.text(self.left, self.width - 120, Piece(text=block.text, size=size, bold=True))
        if block.aside:
            style = Piece(text=block.aside, size=8.5, colour=SOFT)
            base = top + size * LEADING * 0.74
            self._cell_line(style, self.left, self.right, base, right=True)
        if block.level == 1:
            self.y += 1
            self.setter.rule(self.left, self.y, self.right, self.y)
        self.y += 6 if block.level == 1 else 2

    def _paragraph(self, block: Paragraph) -> None:
        style = Piece(
            text=block.text,
            size=block.size,
            bold=block.bold,
            colour=SOFT if block.soft else INK,
            plain=block.plain,
        )
        self.text(self.left + block.indent, self.width - block.indent, style)
        self.y += 3

    def _bullet(self, block: Bullet) -> None:
        x, width = self._bullet_room(block)
        tall = self._bullet_height(block)
        self.need(min(tall, self.bottom - MARGIN))
        top = self.y
        if block.loud and top + tall <= self.bottom:
            self.setter.fill(self.left - 4, top, self.right + 4, top + tall, colour=TINT)
            colour = block.style.colour if block.style else INK
            self.setter.fill(self.left - 4, top, self.left - 1.5, top + tall, colour=colour)
        self.y += 3.5
        self._bullet_mark(block)
        for piece in _bullet_pieces(block):
            self.text(x, width, piece)
        self.y += 3.5 + (4 if block.loud else 0)

    def _bullet_room(self, block: Bullet) -> tuple[float, float]:
        """Where the text of a bullet begins, and its width."""
        x, width = self.left + BULLET_ROOM, self.width - BULLET_ROOM - 6
        return (x + 22, width - 22) if block.tick and block.style is not None else (x, width)

    def _bullet_height(self, block: Bullet) -> float:
        _, width = self._bullet_room(block)
        return 7 + sum(self.height(width, piece) for piece in _bullet_pieces(block))

    def _bullet_mark(self, block: Bullet) -> None:
        x = self.left + 4
        if block.tick:
            self.tick_box(x, self.y + 2.2)
            x += 20
        if block.style is not None:
            self.mark(block.style, block.label, x, self.y + 7.0)
        elif not block.tick:
            self.setter.rule(x + 3, self.y + 6.4, x + 9, self.y + 6.4, colour=INK, width=0.9)

    def tick_box(self, x: float, y: float, *, side: float = TICK) -> None:
        """Draw an empty box to tick, its top left at (x, y)."""
        bottom = -side
        self.setter.stamp(
            f"0.122 0.161 0.200 RG 0.9 w 0 {bottom:.2f} {side:.2f} {side:.2f} re S", x, y
        )

    def mark(self, style: MarkStyle, label: str, x: float, y: float) -> None:
        """Draw a mark with its number, centred on the height y."""
        size = 7.4
        wide = self.setter.measure(label, size=size, bold=True)
        half_w = half_h = MARK_RADIUS
        if style.inside:
            corner = 3.4 if style.shape in (MarkShape.DIAMOND, MarkShape.LOZENGE) else 1.8
            half_w = max(half_w * 1.15, wide / 2 + corner)
            half_h *= 1.15
        else:
            half_w, half_h = half_w * 0.8, half_h * 0.8
        middle = x + half_w
        self.setter.stamp(
            draw_shape(style, Box(middle - half_w, -half_h, middle + half_w, half_h)), 0, y
        )
        colour = (1.0, 1.0, 1.0) if style.solid else style.colour
        if style.inside:
            text = Piece(text=label, size=size, bold=True, colour=colour)
            self.setter.show(middle - wide / 2, y + 0.36 * size, label, style=text)
        else:
            text = Piece(text=label, size=8.4, bold=True, colour=INK)
            self.setter.show(middle + half_w + 2, y + 3.0, label, style=text)

    def _table(self, table: Table) -> None:
        edges = self._edges(table.columns)
        # A heading line alone at the foot of a page helps nobody.
        first = self._row_height(table.rows[0], edges) if table.rows else 0.0
        self.need(20 + first)
        self._table_head(table.columns, edges)
        for row in table.rows:
            tall = self._row_height(row, edges)
            if self.need(tall):
                self._table_head(table.columns, edges)
            self._row(row, table.columns, edges, tall)
        self.y += 6

    def _edges(self, columns: Sequence[Column]) -> list[tuple[float, float]]:
        total = sum(column.share for column in columns)
        edges, x = [], self.left
        for column in columns:
            wide = self.width * column.share / total
            edges.append((x, x + wide - CELL_GAP))
            x += wide
        last = edges[-1]
        edges[-1] = (last[0], last[1] + CELL_GAP)
        return edges

    def _table_head(self, columns: Sequence[Column], edges: Sequence[tuple[float, float]]) -> None:
        for column, (x0, x1) in zip(columns, edges, strict=True):
            piece = Piece(text=column.head, size=7.8, bold=True, colour=SOFT)
            self._cell_line(piece, x0, x1, self.y + 8.5, right=column.right)
        self.y += 12
        self.setter.rule(self.left, self.y, self.right, self.y, colour=INK, width=0.6)
        self.y += 1

    def _cell_line(self, piece: Piece, x0: float, x1: float, base: float, *, right: bool) -> None:
        words = self.setter.break_lines([piece], max(x1 - x0, 8.0))[0]
        wide = sum(w.width for w in words) + sum(w.space for w in words[1:])
        self.setter.show_line(x1 - wide if right else x0, base, words)

    def _cell_pieces(self, cell: Cell) -> list[Piece]:
        colour = cell.colour or (SOFT if cell.soft else INK)
        pieces = []
        if cell.text:
            pieces.append(
                Piece(
                    text=cell.text,
                    size=CELL_SIZE,
                    bold=cell.bold,
                    colour=colour,
                    plain=cell.plain,
                )
            )
        pieces += [Piece(text=line, size=7.8, colour=SOFT) for line in cell.lines]
        return pieces

    def _row_height(self, row: Sequence[Cell], edges: Sequence[tuple[float, float]]) -> float:
        tall = [TICK + 2.0]
        for cell, (x0, x1) in zip(row, edges, strict=True):
            tall.append(sum(self.height(max(x1 - x0, 8.0), p) for p in self._cell_pieces(cell)))
        return max(tall) + 2 * ROW_GAP

    def _row(
        self,
        row: Sequence[Cell],
        columns: Sequence[Column],
        edges: Sequence[tuple[float, float]],
        tall: float,
    ) -> None:
        top = self.y
        for cell, column, (x0, x1) in zip(row, columns, edges, strict=True):
            y = top + ROW_GAP
            if cell.tick:
                self.tick_box(x0, y + 1.2)
            for piece in self._cell_pieces(cell):
                for line in self.setter.break_lines([piece], max(x1 - x0, 8.0)):
                    wide = sum(w.width for w in line) + sum(w.space for w in line[1:])
                    at = x1 - wide if column.right else x0
                    self.setter.show_line(at, y + piece.size * LEADING * 0.74, line)
                    y += piece.size * LEADING
        self.y = top + tall
        self.setter.rule(self.left, self.y, self.right, self.y, colour=RULE, width=0.5)

    def _side_by_side(self, block: SideBySide) -> None:
        wide, tall = _crop_size(block)
        x = self.left + CROP_WIDTH + 16
        room = self.right - x
        note = [Piece(text=block.note, size=9, colour=SOFT)] if block.note else []
        said = [Piece(text=s, size=11 if k < 3 else 9.5) for k, (_, s) in enumerate(block.facts)]
        facts = sum(self.height(room - NAME_ROOM, piece) + 2 for piece in said)
        facts += sum(self.height(room, piece) + 4 for piece in note)
        total = max(tall + 14, facts) + 36
        self.need(total)
        top = self.y
        self._bar(block)
        self.y = top + 26
        if block.crop is not None:
            self._lay_crop(block.crop, self.left + (CROP_WIDTH - wide) / 2, wide, tall)
        for (name, _), piece in zip(block.facts, said, strict=True):
            base = self.y + piece.size * LEADING * 0.74
            self.setter.show(x, base, name, style=Piece(text=name, size=8.5, colour=SOFT))
            self.text(x + NAME_ROOM, room - NAME_ROOM, piece)
            self.y += 2
        for piece in note:
            self.y += 4
            self.text(x, room, piece)
        self.y = max(self.y, top + total - 8) + 8

    def _bar(self, block: SideBySide) -> None:
        """Set the shaded head of a block: tick box, mark, words."""
        top, at = self.y, self.left + 2
        self.setter.fill(self.left - 4, top, self.right + 4, top + 19, colour=PALE)
        if block.tick:
            self.tick_box(at, top + 5)
            at += 16
        if block.style is not None:
            self.mark(block.style, block.label, at, top + 9.5)
            at += 28
        head = self.setter.break_lines([Piece(text=block.head, size=10, bold=True)], 1e6)[0]
        self.setter.show_line(at, top + 13, head)

    def _lay_crop(self, crop: Crop, left: float, wide: float, tall: float) -> None:
        y = self.y
        self.setter.lay_picture(crop.pixels, left, y, left + wide, y + tall)
        frame = f"0.85 0.83 0.78 RG 0.6 w 0 0 {wide:.2f} {tall:.2f} re S"
        self.setter.stamp(frame, left, y + tall)
        if crop.caption:
            style = Piece(text=crop.caption, size=7.8, colour=SOFT)
            self._cell_line(style, left, self.left + CROP_WIDTH, y + tall + 9.5, right=False)

    def footers(self) -> None:
        """Set foot and page number on every page."""
        pages, total = self.setter.pages, len(self.setter.pages)
        for number in range(total):
            self.setter.pages = pages[: number + 1]
            y = self.booklet.page_height - FOOT + 6
            self.setter.rule(self.left, y - 10, self.right, y - 10)
            style = Piece(text="", size=8, colour=SOFT)
            self.setter.show(self.left, y, self.booklet.foot, style=style)
            label = f"{self.booklet.title} · page {number + 1} of {total}"
            piece = Piece(text=label, size=8, colour=SOFT, plain=True)
            self._cell_line(piece, self.left + 200, self.right, y, right=True)
        self.setter.pages = pages


def _bullet_pieces(block: Bullet) -> list[Piece]:
    first = [Piece(text=block.head, size=10, bold=True)] if block.head else []
    body = [Piece(text=block.text, size=9.5)] if block.text else []
    return [*first, *body, *(Piece(text=line, size=9, colour=SOFT) for line in block.lines)]


def _crop_size(block: SideBySide) -> tuple[float, float]:
    """Width and height that the crop of a block takes, pt."""
    if block.crop is None:
        return 0.0, 0.0
    rows, columns = block.crop.pixels.shape
    scale = min(CROP_WIDTH / columns, CROP_HEIGHT / rows)
    return columns * scale, rows * scale
