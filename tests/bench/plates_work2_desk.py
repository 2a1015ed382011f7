"""What a draughtsman of the later working drawings has at hand: boards, pictures, lists, notes."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from tests.bench.plates_pen import Mark, Rng
from tests.bench.plates_work2_board import Board, toned
from tests.bench.plates_work2_letters import Lettering, letter
from tests.bench.plates_work2_ways import Ways, right_of, snap, spell

Block = tuple[float, float, float, float, float, float]  # x, y, z of a corner; width, height, depth
ROW, COLUMN = 2.1, 1.6  # heights of a letter: from row to row of a list, between columns
SHADE = 0.72  # gray of a picture's sides, to its faces'


@dataclass(slots=True)
class Desk:
    """One sheet in the making: `scale` mm of paper to an inch."""

    ways: Ways
    letters: Lettering
    scale: float
    rng: Rng

    def board(self, title: str = "", zoom: float = 1.0) -> Board:
        """A new view, so many times as large as the sheet's scale."""
        title = self.ways.caption.format(title) if title else ""
        return Board(self.ways, self.letters, self.scale * zoom, self.rng, title)

    def snap(self, value: float, step: float = 0.25) -> float:
        """The nearest length that is usual here."""
        return snap(self.ways, value, step)

    def some(self, low: float, high: float, step: float = 0.25) -> float:
        """A usual length between two."""
        return snap(self.ways, float(self.rng.uniform(low, high)), step)

    def stock(self, inches: float, mm: float) -> float:
        """A bought thickness, inches."""
        return mm / 25.4 if self.ways.metric else inches

    def say(self, value: float) -> str:
        """A length as this sheet prints it."""
        return spell(self.ways, right_of(self.ways, value))

    def picture(self, title: str, blocks: Sequence[Block], zoom: float = 1.0) -> Board:
        """A pictorial view of blocks, drawn from the furthest on; it tells no size."""
        board = self.board(title, zoom)
        board.beside = False
        lean = math.radians(float(self.rng.choice([30.0, 40.0, 45.0])))
        deep = float(self.rng.uniform(0.45, 0.65))
        for block in blocks:
            self._block(board, block, deep * math.cos(lean), deep * math.sin(lean))
        return board

    def _block(self, board: Board, block: Block, right: float, up: float) -> None:
        """Three faces of a block, each hiding what is behind it."""
        x, y, z, w, h, d = block
        x, y = x + z * right, y + z * up
        a, b = d * right, d * up
        faces = (
            ([(x, y + h), (x + w, y + h), (x + w + a, y + h + b), (x + a, y + h + b)], 255),
            ([(x + w, y), (x + w + a, y + b), (x + w + a, y + h + b), (x + w, y + h)],
             round(SHADE * self.ways.tint)),
            ([(x, y), (x + w, y), (x + w, y + h), (x, y + h)], self.ways.tint),
        )  # fmt: skip
        for corners, level in faces:
            at = np.array([board.at(*c) for c in (*corners, corners[0])])
            board.marks.append(Mark(points=at[:-1], blank=True))
            if self.ways.tint < 255 and level < 255:
                board.marks += toned(at[:-1], level, screened=self.ways.screened)
            board.stroke(at, self.ways.thin)

    def table(self, title: str, rows: Sequence[Sequence[str]], *, ruled: bool = True) -> Board:
        """A list; cells flush left, ruled or not."""
        board, how = self.board(), self.letters.sized(0.9)
        board.beside = False
        cells = [[letter(cell, how, self.rng) for cell in row] for row in rows]
        pad = COLUMN * how.height
        high = max(ROW * how.height, 1.25 * max(c.size[1] for row in cells for c in row))
        wide = [max(row[k].size[0] for row in cells) + pad for k in range(len(rows[0]))]
        lefts = [0.0, *(float(v) for v in np.cumsum(wide))]
        for k, row in enumerate(cells):
            for left, cell in zip(lefts[:-1], row, strict=True):
                board.put(cell.moved((left + pad / 2 + cell.size[0] / 2, (k + 0.5) * high)))
        if ruled:
            for x in lefts:
                board.stroke(np.array([(x, 0.0), (x, len(rows) * high)]), self.ways.fine)
            for k in range(len(rows) + 1):
                board.stroke(np.array([(0.0, k * high), (lefts[-1], k * high)]), self.ways.fine)
        board.put(letter(title, how, self.rng).moved((lefts[-1] / 2, -0.7 * high)))
        return board

    def text(self, *lines: str, tall: float = 0.9) -> Board:
        """Lines of notes, flush left."""
        board, how = self.board(), self.letters.sized(tall)
        board.beside = False
        for k, line in enumerate(lines):
            mark = letter(line, how, self.rng)
            board.put(mark.moved((mark.size[0] / 2, k * ROW * how.height)))
        return board


Rows = list[list[Board]]
Thing = Callable[[Desk], Rows]
