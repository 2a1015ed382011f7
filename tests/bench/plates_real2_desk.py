"""What a draughtsman of the held-out bought plans has at hand: ways, a scale, tables, notes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from tests.bench.plates_letters import Letters
from tests.bench.plates_pen import Rng
from tests.bench.plates_real2_views import Sheetview, write
from tests.bench.plates_real2_ways import Ways, near, right_of, spell

CELL = 1.9  # heights of a letter from row to row of a table
ASIDE = 1.2  # heights of a letter left free beside a cell's text


@dataclass(slots=True)
class Desk:
    """One sheet in the making: `scale` mm of paper to an inch."""

    ways: Ways
    letters: Letters
    scale: float
    rng: Rng

    def view(self, title: str, zoom: float = 1.0) -> Sheetview:
        """A new view, so many times as large as the sheet's scale."""
        return Sheetview(self.ways, self.letters, self.scale * zoom, self.rng, title=title)

    def near(self, low: float, high: float, *, step: float = 0.125) -> float:
        """A length in steps of this sheet."""
        return near(self.ways, self.rng, low, high, step=step)

    def stock(self, inches: float, mm: float) -> float:
        """A thickness that is bought: inches, or mm on metric sheets; in inches."""
        return mm / 25.4 if self.ways.unit == "mm" else inches

    def say(self, value: float) -> str:
        """A length as this sheet prints it."""
        return spell(self.ways, right_of(self.ways, value))

    def table(self, title: str, rows: Sequence[Sequence[str]], *, ruled: bool = True) -> Sheetview:
        """A list of parts; cells flush left, ruled or not."""
        view = self.view("")
        letters = replace(self.letters, height=self.letters.height * 0.9)
        cells = [[write(cell, letters, self.rng) for cell in row] for row in rows]
        pad, high = ASIDE * letters.height, CELL * letters.height
        high = max(high, 1.25 * max(c.size[1] for row in cells for c in row))
        wide = [max(row[k].size[0] for row in cells) + pad for k in range(len(rows[0]))]
        lefts = [0.0, *map(float, np.cumsum(wide))]
        for k, row in enumerate(cells):
            for left, cell in zip(lefts[:-1], row, strict=True):
                at = (float(left) + pad / 2 + cell.size[0] / 2, (k + 0.5) * high)
                view.marks.append(cell.moved(at))
        if ruled:
            self._rule(view, lefts, high, len(rows))
        head = write(title, letters, self.rng)
        view.marks.append(head.moved((float(lefts[-1]) / 2, -0.75 * high)))
        return view

    def _rule(self, view: Sheetview, lefts: Sequence[float], high: float, count: int) -> None:
        """The lines of a table."""
        width, level = self.ways.thin, self.ways.lines
        for x in lefts:
            line = np.array([(x, 0.0), (x, count * high)])
            view.stroke(line, width, level=level, body=False)
        for k in range(count + 1):
            line = np.array([(0.0, k * high), (lefts[-1], k * high)])
            view.stroke(line, width, level=level, body=False)

    def text(self, *lines: str, tall: float = 1.0) -> Sheetview:
        """Lines of notes, flush left."""
        view, letters = self.view(""), replace(self.letters, height=self.letters.height * tall)
        for k, line in enumerate(lines):
            mark = write(line, letters, self.rng)
            at = (mark.size[0] / 2, k * 2.0 * letters.height)
            view.marks.append(mark.moved(at))
        return view


Thing = Callable[[Desk], list[list[Sheetview]]]
