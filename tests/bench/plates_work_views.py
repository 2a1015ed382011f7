"""Working drawings as shops and schools made them: views put together, sizes across the wood.

More ways of old draughtsmen than `plates_views` has: projection lines from view to view, sizes from
outline to outline without extension lines, numbers over grain and hatching, end grain, letters in
rings, tables of stock, photographs beside the drawing, parts drawn obliquely.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np

from tests.bench.plates_letters import Letters, write
from tests.bench.plates_pen import PX_PER_MM, XY, Floats, Lettered, Mark, arc_points
from tests.bench.plates_views import SOLID, WAYS, View

PROJECTED = ((4.0, 1.0), (2.2, 1.1), ())  # how projection lines are drawn
CLEARED_MM = 0.5  # about a number that grain is left out behind
SCREEN_MM = 0.36  # between the dots of a printed photograph
RECEDE = 0.5  # of true length: edges that run backwards in oblique drawings
RECEDE_DEG = 45.0


@dataclass(slots=True)
class WorkView(View):
    """A view, or several put together, with the ways of a workshop drawing."""

    def start(self) -> None:
        """Begin another part of an assembled view: what is drawn outside is measured anew."""
        self.box = [math.inf, math.inf, -math.inf, -math.inf]
        self.rows = {}

    def spell(self, value: Fraction) -> str:
        """Print a length; some mark fractions only, or write no inches of whole feet."""
        text = View.spell(self, value)
        if self.manner.mark_on == "fraction" and "/" not in text and text.endswith('"'):
            text = text[:-1]
        return text.replace("'-0\"", "'") if not self.manner.zero else text

    # lines

    def project(self, a: XY, b: XY) -> None:
        """A projection line from one view to another, begun and ended clear of both."""
        ends = np.array([self.at(*a), self.at(*b)], float)
        u = (ends[1] - ends[0]) / max(math.dist(*ends), 1e-9)
        ends += np.stack([0.8 * u, -0.8 * u])
        dashes = PROJECTED[int(self.rng.integers(len(PROJECTED)))]
        self._stroke(ends, width=self.manner.fine * 0.8, dashes=dashes, body=False)

    def rings(self, x0: float, y0: float, x1: float, y1: float) -> None:
        """End grain: parts of rings about a heart outside of the piece."""
        heart = np.array([x0 + 0.3 * (x1 - x0), y0 - 0.5 * (y1 - y0)])
        far = math.hypot(x1 - x0, 2 * (y1 - y0))
        step = max(1.1 / self.per_inch, far / 14)
        for k in range(1, int(far / step)):
            radius = step * (k + float(self.rng.uniform(-0.2, 0.2)))
            turn = np.radians(np.linspace(0, 180, 60))
            at = heart + radius * np.stack([np.cos(turn), np.sin(turn)], axis=1)
            inside = (at[:, 0] > x0) & (at[:, 0] < x1) & (at[:, 1] > y0) & (at[:, 1] < y1)
            for run in _runs(inside):
                paper = at[run] * np.array([self.per_inch, -self.per_inch])
                self._stroke(paper, width=self.manner.fine * 0.8, dashes=SOLID, body=False)

    def shade(self, x0: float, x1: float, y0: float, y1: float) -> None:
        """Lines along a round piece, closer towards one side."""
        for k in range(5):
            x = x1 - (x1 - x0) * 0.45 * (k / 5) ** 1.6 - 0.04 * (x1 - x0)
            ends = np.array([(x, y0), (x, y1)]) * np.array([self.per_inch, -self.per_inch])
            self._stroke(ends, width=self.manner.fine * 0.7, dashes=SOLID, body=False)

    def knot(self, x: float, y: float) -> None:
        """A knot in the wood."""
        at = (x * self.per_inch, -y * self.per_inch)
        for radius in (0.5, 0.9, 1.4):
            around = arc_points(at, radius, 0.0, 330.0)
            self._stroke(around, width=self.manner.fine * 0.8, dashes=SOLID, body=False)

    # words

    def ring(self, letter: str, at: XY, *, by: XY | None = None) -> None:
        """A letter in a ring, or bare, perhaps with a line to a part; `by` in mm from there."""
        tip = np.array(self.at(*at))
        middle = tip + np.array([by[0], -by[1]]) if by else tip
        mark = write(letter, self.manner.letters, self.rng).moved(
            (float(middle[0]), float(middle[1]))
        )
        radius = 1.25 * self.manner.letters.height
        if self.manner.ringed:
            around = arc_points((float(middle[0]), float(middle[1])), radius, 0.0, 360.0)
            self._stroke(around, width=self.manner.fine, dashes=SOLID, body=False)
        if by:
            u = (tip - middle) / math.dist(tip, middle)
            line = np.stack([middle + u * radius, tip])
            self._stroke(line, width=self.manner.fine, dashes=SOLID, body=False)
        self.marks.append(mark)

    def table(self, rows: tuple[tuple[str, ...], ...], letters: Letters, *, ruled: bool) -> None:
        """A bill of stock, in columns."""
        pieces = [[write(cell, letters, self.rng) for cell in row] for row in rows]
        widths = [max(r[k].size[0] for r in pieces) + 3.0 for k in range(len(rows[0]))]
        lefts, deep = np.concatenate([[0.0], np.cumsum(widths)]), 2.1 * letters.height
        for j, row in enumerate(pieces):
            for k, piece in enumerate(row):
                x = float(lefts[k]) + 1.5 + piece.size[0] / 2
                self.marks.append(piece.moved((x, (j + 0.5) * deep)))
        low = deep * len(rows)
        for j in range(len(rows) + 1) if ruled else (0, 1, len(rows)):
            self._rule((0.0, j * deep), (float(lefts[-1]), j * deep))
        for x in map(float, lefts if ruled else lefts[[0, -1]]):
            self._rule((x, 0.0), (x, low))

    def _rule(self, a: XY, b: XY) -> None:
        self._stroke(np.array([a, b]), width=self.manner.thin, dashes=SOLID, body=True)

    def photograph(self, wide: float, high: float) -> None:
        """A photograph printed through a screen, mm."""
        shape = round(high * PX_PER_MM), round(wide * PX_PER_MM)
        y, x = np.mgrid[: shape[0], : shape[1]] / PX_PER_MM
        tone = 0.45 + 0.25 * np.sin(x / wide * 3.0 + 0.6) * np.cos(y / high * 2.5)
        lit = (abs(x - wide / 2) < wide * 0.28) & (abs(y - high * 0.55) < high * 0.3)
        tone = np.clip(tone + np.where(lit, 0.22, 0.0), 0.05, 0.95)
        c, s = math.cos(math.pi / 4), math.sin(math.pi / 4)
        wave = np.cos((c * x + s * y) * math.tau / SCREEN_MM)
        wave += np.cos((c * y - s * x) * math.tau / SCREEN_MM)
        mask = np.where(wave / 4 + 0.5 > tone, 255, 0).astype(np.uint8)
        self.marks.append(Lettered(mask=mask, at=(wide / 2, high / 2)))
        self.box = [0.0, 0.0, wide, high]

    # sizes

    def size_at(self, a: XY, b: XY, side: str, off_mm: float) -> None:
        """A size with extension lines, its line so far from the further of its two points."""
        axis = 0 if side in "NS" else 1
        way = np.array(WAYS[side]) * (1.0, -1.0)
        ends = [np.array(self.at(*p)) for p in (a, b)]
        reach = max(float(e[1 - axis] * way[1 - axis]) for e in ends) + off_mm
        for k, start in enumerate(ends):
            end = start.copy()
            end[1 - axis] = reach * way[1 - axis]
            self._extend(start, end + way * self.manner.beyond, way)
            ends[k] = end
        self._dimension(ends[0], ends[1], abs(b[axis] - a[axis]), self._crossed(a, b))

    def _extend(self, start: Floats, stop: Floats, way: Floats) -> None:
        first = start + way * self.manner.gap
        if float((stop - first) @ way) > 0.2:
            self._stroke(
                np.stack([first, stop]), width=self.manner.fine,
                dashes=self.manner.extension_dash, body=False,
            )  # fmt: skip

    def within(self, a: XY, b: XY) -> None:
        """A size from edge to edge; what is drawn behind its number may be left out."""
        had = len(self.marks)
        View.within(self, a, b)
        if not self.manner.clears:
            return
        for k in range(len(self.marks) - 1, had - 1, -1):
            mark = self.marks[k]
            if isinstance(mark, Lettered):
                self.marks.insert(had, Mark(points=_grown(mark), blank=True))
                return

    def oblique(self, wide: float, high: float, deep: float) -> None:
        """A block seen from a corner, its front true, with sizes of all three edges."""
        back = RECEDE * deep * math.cos(math.radians(RECEDE_DEG))
        self.outline((0, 0), (wide, 0), (wide, high), (0, high))
        far = [(wide, 0), (wide + back, back), (wide + back, high + back), (back, high + back)]
        self.path([*far, (0, high)], width=self.manner.thick)
        self.path([(wide, high), (wide + back, high + back)], width=self.manner.thick)
        self.rings(0, 0, wide, high)
        self.size((0, 0), (wide, 0), "S")
        self.size((0, 0), (0, high), "W")
        self._recede((wide, 0), (wide + back, back), deep)

    def _recede(self, a: XY, b: XY, value: float) -> None:
        ends = [np.array(self.at(*p)) for p in (a, b)]
        way = np.array([1.0, 0.0])
        for k, start in enumerate(ends):
            ends[k] = start + 5.0 * way
            self._extend(start, ends[k] + self.manner.beyond * way, way)
        right = Fraction(round(value * 32), 32)
        text = self.spell(right)
        self._draw_size(ends[0], ends[1], text)
        self._tell("receding", (ends[0], ends[1]), text, printed=right, right=right)


def _runs(inside: np.ndarray) -> list[slice]:
    """Stretches of three or more that are true."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], inside.astype(int), [0]])))
    return [slice(a, b) for a, b in zip(edges[::2], edges[1::2], strict=True) if b - a >= 3]


def _grown(mark: Lettered) -> Floats:
    """The box of letters, a little larger."""
    high = mark.mask.shape[0] + round(2 * CLEARED_MM * PX_PER_MM)
    wide = mark.mask.shape[1] + round(2 * CLEARED_MM * PX_PER_MM)
    empty = np.zeros((high, wide), np.uint8)
    return replace(mark, mask=empty).corners()
