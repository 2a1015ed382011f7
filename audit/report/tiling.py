"""Cut a pattern into pages that overlap, with marks that bring them together again."""

from __future__ import annotations

import math
from dataclasses import dataclass

from audit.errors import BadUsage
from audit.geometry import Box

MARGIN_MM = 10.0  # that a printer may leave blank at any edge; common practice, no source
STRIP_MM = 14.0  # for check bars and words along two sides of every page
OVERLAP_MM = 10.0  # that neighbouring pages share
MOST_PAGES = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """A sheet of paper, upright or lying, mm."""

    name: str
    width: float
    height: float

    @property
    def turned(self) -> Paper:
        """The same sheet the other way."""
        return Paper(name=self.name, width=self.height, height=self.width)


# ISO 216:2007 (A4); ANSI/ASME Y14.1, size A (Letter).
PAPERS = {
    "a4": Paper(name="A4", width=210.0, height=297.0),
    "letter": Paper(name="Letter", width=215.9, height=279.4),
}


def find_paper(name: str) -> Paper:
    """Return a paper by its name.

    Raises
    ------
    BadUsage
        If there is no such paper here.
    """
    paper = PAPERS.get(name.strip().lower())
    if paper is None:
        raise BadUsage(f"no paper is called {name}", advice=f"say {' or '.join(PAPERS)}")
    return paper


@dataclass(frozen=True, slots=True, kw_only=True)
class Tile:
    """One page of a pattern.

    `row` and `column` count from 0; `window` is the piece of the pattern it shows, pattern mm, and
    `at` where the window's top left corner lies on the page, mm.
    """

    row: int
    column: int
    window: Box
    at: tuple[float, float]

    @property
    def name(self) -> str:
        """Row letter and column number: ``B3``."""
        return f"{row_name(self.row)}{self.column + 1}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tiling:
    """The pages of a pattern on one paper, row by row."""

    paper: Paper
    rows: int
    columns: int
    overlap: float
    tiles: tuple[Tile, ...]


def row_name(row: int) -> str:
    """Name a row by letters, as columns of spreadsheets are.

    Examples
    --------
    >>> [row_name(n) for n in (0, 25, 26, 51, 52)]
    ['A', 'Z', 'AA', 'AZ', 'BA']
    """
    name = ""
    row += 1
    while row:
        row, rest = divmod(row - 1, 26)
        name = chr(65 + rest) + name
    return name


def window_size(paper: Paper) -> tuple[float, float]:
    """Width and height of what one page can show, mm."""
    return paper.width - 2 * MARGIN_MM - STRIP_MM, paper.height - 2 * MARGIN_MM - STRIP_MM


def plan_tiles(area: Box, paper: Paper, *, overlap: float = OVERLAP_MM) -> Tiling:
    """Lay pages over an area: the way round that takes fewer of them, spread evenly.

    Parameters
    ----------
    area : Box
        Of the pattern, mm.
    paper : Paper
    overlap : float
        That neighbours share at least, mm.

    Returns
    -------
    Tiling

    Raises
    ------
    BadUsage
        If the pattern would take more pages than anybody would glue.

    Examples
    --------
    >>> plan_tiles(Box(0, 0, 300, 100), PAPERS["a4"]).columns
    2
    >>> plan_tiles(Box(0, 0, 100, 100), PAPERS["a4"]).tiles[0].name
    'A1'
    """
    if not 0 <= overlap <= 50:
        raise BadUsage(f"an overlap of {overlap:g} mm makes no sense", advice="give 0 to 50 mm")
    ways = [_lay(area, p, overlap) for p in (paper, paper.turned)]
    best = min(ways, key=lambda t: (t.rows * t.columns, t.paper.width > t.paper.height))
    pages = best.rows * best.columns
    if pages > MOST_PAGES:
        problem = f"the pattern would take {pages} pages of {paper.name}"
        raise BadUsage(problem, advice="pick a smaller view, or check the scale of this one")
    return best


def _count(length: float, window: float, overlap: float) -> int:
    if length <= window + 1e-9:
        return 1
    return math.ceil((length - overlap) / (window - overlap) - 1e-9)


def _lay(area: Box, paper: Paper, overlap: float) -> Tiling:
    wide, tall = window_size(paper)
    columns, rows = _count(area.width, wide, overlap), _count(area.height, tall, overlap)
    # All pages together show more than the area; the rest is shared on all sides.
    left = area.centre.x - (columns * wide - (columns - 1) * overlap) / 2
    top = area.centre.y - (rows * tall - (rows - 1) * overlap) / 2
    at = (MARGIN_MM + STRIP_MM, MARGIN_MM)
    if rows * columns > MOST_PAGES:
        return Tiling(paper=paper, rows=rows, columns=columns, overlap=overlap, tiles=())
    tiles = []
    for row in range(rows):
        for column in range(columns):
            x, y = left + column * (wide - overlap), top + row * (tall - overlap)
            window = Box(x, y, x + wide, y + tall)
            tiles.append(Tile(row=row, column=column, window=window, at=at))
    return Tiling(paper=paper, rows=rows, columns=columns, overlap=overlap, tiles=tuple(tiles))
