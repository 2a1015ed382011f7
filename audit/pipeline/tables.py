"""Rows of a printed parts list, joined from the cells of a table.

A heading names the columns; where there is none, texts that stand in one line are a row when they
read as one, and there is more than one such row.
"""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from audit.geometry import Box
from audit.lengths import FormKind, Length, StatementForm, Unit, parse_callouts, parse_statements
from audit.reading import TextLine

SAME_LINE = 0.5  # of the letter height, between the middles of cells of one row
ONE_CELL = 1.0  # letter heights between what is one cell: the whole and the fraction of 4 3/4
ROW_PITCH = 4.5  # letter heights; a wider gap ends the table
PAST_HEADING = 8.0  # letter heights a cell may reach past the outer headings
SAME_TURN_DEG = 2.0
LEAST_HEADINGS = 3
LEAST_CELLS = 3
LEAST_ROWS = 2  # without a heading
CELL_GAP = 12.0  # letter heights between neighbouring cells of a row without heading

HEADINGS = {
    "item": ("ITEM", "NO", "KEY", "MARK", "PC", "ITEM NO", "PART NO", "REF"),
    "name": ("PART", "NAME", "DESCRIPTION", "DESC", "PART NAME", "COMPONENT", "PIECE"),
    "count": ("QTY", "QUANTITY", "REQD", "NO REQD", "NUMBER", "PCS", "PIECES", "COUNT", "QUAN"),
    "T": ("T", "TH", "THK", "THICK", "THICKNESS"),
    "W": ("W", "WIDTH", "WIDE"),
    "L": ("L", "LENGTH", "LONG", "LG"),
    "D": ("D", "DIA", "DIAMETER", "Ø"),
    "size": ("SIZE", "SIZES", "DIMENSIONS", "FINISHED SIZE", "FINISH SIZE", "T X W X L"),
    "material": ("MATERIAL", "MATL", "STOCK", "WOOD", "SPECIES"),
}
_ROLES = {word: role for role, words in HEADINGS.items() for word in words}
SIZES = ("T", "W", "L", "D")
DITTO = re.compile(r"^(?:[\"”″']{1,2}|DO\.?|DITTO)$", re.IGNORECASE)


_NAMED = re.compile("[A-Za-z]{2}")


@dataclass(frozen=True, slots=True)
class TableRow:
    """A row with the cells it was joined from; `form` is what it says."""

    line: TextLine
    cells: tuple[TextLine, ...]
    form: StatementForm


@dataclass(frozen=True, slots=True)
class _Cell:
    """A text in a frame turned with the writing."""

    text: TextLine
    x0: float
    x1: float
    y: float
    height: float


def find_rows(texts: Iterable[TextLine], *, unit: Unit | None) -> tuple[TableRow, ...]:
    """Find the rows of parts lists among the texts of a sheet.

    Parameters
    ----------
    texts : iterable of TextLine
        Those that no dimension has taken.
    unit : Unit or None
        What a bare number counts.

    Returns
    -------
    tuple of TableRow
        From top to bottom.
    """
    rows: list[TableRow] = []
    for cells in _by_turn(texts):
        lines = _lines(cells)
        for k, line in enumerate(lines):
            heads = _headings(line)
            if heads:
                rows += _rows_below(heads, lines[k + 1 :], unit=unit)
        taken = {id(c) for row in rows for c in row.cells}
        rest = [[c for c in line if id(c.text) not in taken] for line in lines]
        rows += _rows_without_heading(rest, unit=unit)
    return tuple(rows)


def _by_turn(texts: Iterable[TextLine]) -> list[list[_Cell]]:
    groups: list[tuple[float, list[_Cell]]] = []
    for text in texts:
        if not text.visible or "\n" in text.text:
            continue
        near = next((g for g in groups if abs(g[0] - text.angle) <= SAME_TURN_DEG), None)
        if near is None:
            near = (text.angle, [])
            groups.append(near)
        near[1].append(_turned(text, near[0]))
    return [cells for _, cells in groups]


def _turned(text: TextLine, angle: float) -> _Cell:
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    along = [p.x * c - p.y * s for p in text.quad]
    down = [p.x * s + p.y * c for p in text.quad]
    height = text.height or (max(down) - min(down))
    return _Cell(text, min(along), max(along), (min(down) + max(down)) / 2, height)


def _lines(cells: Iterable[_Cell]) -> list[list[_Cell]]:
    lines: list[list[_Cell]] = []
    for cell in sorted(cells, key=lambda c: (c.y, c.x0)):
        if lines and cell.y - lines[-1][0].y <= SAME_LINE * cell.height:
            lines[-1].append(cell)
        else:
            lines.append([cell])
    return [sorted(line, key=lambda c: c.x0) for line in lines]


def _role(cell: _Cell) -> str | None:
    words = " ".join(re.sub(r"[^A-ZØ# ]", "", cell.text.text.upper().replace("×", "X")).split())
    return _ROLES.get(words)


def _headings(line: Sequence[_Cell]) -> list[tuple[_Cell, str]]:
    """Return the headings of a table when this line holds them, each role once."""
    heads = [(cell, role) for cell in line if (role := _role(cell)) is not None]
    roles = [role for _, role in heads]
    named = "name" in roles
    sized = bool({"count", "size", *SIZES} & set(roles))
    if len(roles) < LEAST_HEADINGS or len(set(roles)) < len(roles) or not (named and sized):
        return []
    return heads


def _rows_below(
    heads: Sequence[tuple[_Cell, str]], lines: Iterable[Sequence[_Cell]], *, unit: Unit | None
) -> list[TableRow]:
    height = heads[0][0].height
    left = heads[0][0].x0 - PAST_HEADING * height
    right = heads[-1][0].x1 + PAST_HEADING * height
    last, rows, above = heads[0][0].y, [], dict[str, str]()
    for line in lines:
        inside = [c for c in line if left <= (c.x0 + c.x1) / 2 <= right]
        if not inside:
            continue
        if inside[0].y - last > ROW_PITCH * height:
            break
        last = inside[0].y
        cells = _assign(inside, heads)
        if not _NAMED.search(cells.get("name", "")):
            continue  # the marks of the border's zones may stand under a table
        filled = {r: above.get(r, t) if DITTO.match(t) else t for r, t in cells.items()}
        form = _read(filled, unit=unit)
        if form is not None:
            above = filled
            rows.append(_join(inside, form))
    return rows


def _assign(cells: Iterable[_Cell], heads: Sequence[tuple[_Cell, str]]) -> dict[str, str]:
    """Give each cell the column whose heading it stands under.

    Of two that come under the heading of one number the nearer one is it: the heading of the
    other, a lone letter as a rule, was not read.
    """
    columns: dict[str, list[tuple[tuple[float, float], str]]] = {}
    last: tuple[str, float] = ("", -math.inf)
    for cell in cells:
        head, role = min(heads, key=lambda head: _away(cell, head[0]))
        told = (_away(cell, head), cell.text.text)
        if last[0] == role and cell.x0 - last[1] <= ONE_CELL * cell.height:
            (away, before) = columns[role].pop()
            told = (min(away, told[0]), f"{before} {told[1]}")
        columns.setdefault(role, []).append(told)
        last = (role, cell.x1)
    for role in [r for r in ("count", *SIZES) if len(columns.get(r, ())) > 1]:
        nearest = min(columns[role])
        columns.setdefault("unheaded", []).extend(c for c in columns[role] if c is not nearest)
        columns[role] = [nearest]
    return {role: " ".join(text for _, text in given) for role, given in columns.items()}


def _away(cell: _Cell, head: _Cell) -> tuple[float, float]:
    gap = max(cell.x0 - head.x1, head.x0 - cell.x1, 0.0)
    aligned = min(abs(cell.x0 - head.x0), abs(cell.x0 + cell.x1 - head.x0 - head.x1) / 2)
    return gap, aligned


def _read(cells: dict[str, str], *, unit: Unit | None) -> StatementForm | None:
    """Read the cells of a row by their columns; `None` when it lists nothing."""
    count = re.fullmatch(r"\D{0,2}(\d{1,3})(?: ?(?:EA|PCS?|REQ'?D)\.?)?", cells.get("count", ""))
    columns = [c for c in SIZES if c in cells and (_length(cells[c], unit) is not None)]
    sizes = [s for c in columns if (s := _length(cells[c], unit)) is not None]
    if "size" in cells:
        sizes, columns = _read_sizes(cells["size"], unit)
    if count is None and not sizes:
        return None
    order = ("item", "name", "count", "unheaded", "size", *SIZES, "material")
    text = "  ".join(cells[role] for role in order if role in cells)
    return StatementForm(
        kind=FormKind.PARTS_ROW,
        text=text,
        value=sizes[0] if sizes else None,
        count=int(count[1]) if count else None,
        subject=cells["name"].upper(),
        sizes=tuple(sizes),
        columns=tuple(columns),
        material=cells.get("material", "").upper(),
        item=cells.get("item", ""),
    )


def _length(text: str, unit: Unit | None) -> Length | None:
    meanings = parse_callouts(text, unit=unit)
    return meanings[0].size if meanings else None


def _read_sizes(text: str, unit: Unit | None) -> tuple[list[Length], list[str]]:
    """Read the sizes of one cell, and what each is where a sign says so."""
    forms = parse_statements(f"PART  1  {text}", unit=unit)
    row = next((f for f in forms if f.kind is FormKind.PARTS_ROW), None)
    return ([], []) if row is None else ([*row.sizes], [*row.columns])


def _rows_without_heading(lines: Iterable[Sequence[_Cell]], *, unit: Unit | None) -> list[TableRow]:
    rows = []
    for line in lines:
        for run in _runs(line):
            if len(run) < LEAST_CELLS or not _may_be_row(run):
                continue
            text = "  ".join(cell.text.text for cell in run)
            forms = parse_statements(text, unit=unit)
            if len(forms) == 1 and forms[0].kind is FormKind.PARTS_ROW:
                rows.append((run, _join(run, replace(forms[0], text=text))))
    near = [
        row
        for run, row in rows
        if any(_is_next(run, other) for other, _ in rows if other is not run)
    ]
    return near if len(near) >= LEAST_ROWS else []


def _may_be_row(run: Sequence[_Cell]) -> bool:
    """A quick look before parsing: a name, and something with a number."""
    texts = [cell.text.text for cell in run]
    return any(re.search("[A-Za-z]{2}", t) for t in texts) and any(
        re.search(r"\d", t) for t in texts
    )


def _runs(line: Sequence[_Cell]) -> list[list[_Cell]]:
    runs = [[line[0]]] if line else []
    for before, cell in itertools.pairwise(line):
        if cell.x0 - before.x1 > CELL_GAP * cell.height:
            runs.append([cell])
        else:
            runs[-1].append(cell)
    return runs


def _is_next(run: Sequence[_Cell], other: Sequence[_Cell]) -> bool:
    near = abs(run[0].y - other[0].y) <= ROW_PITCH * run[0].height
    return near and run[0].x0 <= other[-1].x1 and other[0].x0 <= run[-1].x1


def _join(cells: Sequence[_Cell], form: StatementForm) -> TableRow:
    """Make one text of a row: its cells, two spaces between."""
    texts = [cell.text for cell in cells]
    corners = [p for t in texts for p in t.quad]
    first, last = texts[0], texts[-1]
    line = replace(
        first,
        text="  ".join(t.text for t in texts),
        box=Box.around(corners),
        quad=(first.quad[0], last.quad[1], last.quad[2], first.quad[3]),
        runs=tuple(r for t in texts for r in t.runs),
        trusted=all(t.trusted for t in texts),
    )
    return TableRow(line, tuple(texts), form)
