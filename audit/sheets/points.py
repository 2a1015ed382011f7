"""Points given in a table: ``sheet,kind,x1,y1,x2,y2[,x3,y3][,text]``."""

from __future__ import annotations

import csv
import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from audit.errors import BadUsage, NotReadable, TooLarge, one_line
from audit.geometry import Point
from audit.records import DimensionKind

COLUMNS = ("sheet", "kind", "x1", "y1", "x2", "y2", "x3", "y3", "text")
FORM = ",".join(COLUMNS[:6]) + "[,x3,y3][,text]"
MAX_BYTES = 20_000_000  # some 400,000 rows; nobody typed more
THREE_POINTS = frozenset({DimensionKind.ANGLE})


@dataclass(frozen=True, slots=True, kw_only=True)
class PointRow:
    """One row of the table.

    Attributes
    ----------
    line : int
        1-based line of the file, for messages.
    sheet : int
    kind : DimensionKind
    points : tuple of Point
        Two or three, in the sheet's frame.
    text : str
        The printed callout as typed; empty when not given.
    """

    line: int
    sheet: int
    kind: DimensionKind
    points: tuple[Point, ...]
    text: str = ""


def read_points(path: Path | str) -> tuple[PointRow, ...]:
    """Read a table of points.

    Parameters
    ----------
    path : Path or str
        A CSV file in UTF-8; commas, semicolons or tabs between the fields, a first row of names
        (then in any order) or none, lines beginning with # are left out.

    Returns
    -------
    tuple of PointRow

    Raises
    ------
    NotReadable
        If the file cannot be read as text.
    TooLarge
        If it is far larger than any table of points.
    BadUsage
        If a row makes no sense; the message names the line.
    """
    path = Path(path)
    name = one_line(path.name)
    try:
        if path.stat().st_size > MAX_BYTES:
            raise TooLarge(f"{name} is too large for a table of points", advice=f"give {FORM}")
        text = path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        raise NotReadable(f"{name} does not exist", advice="check the name and folder") from None
    except UnicodeDecodeError:
        raise NotReadable(f"{name} is no text in UTF-8", advice="save it as CSV UTF-8") from None
    except OSError as error:
        reason = error.strerror or str(error)
        advice = "check that it is a file you may read"
        raise NotReadable(f"{name} cannot be read ({reason})", advice=advice) from None
    return parse_points(text, name=name)


def parse_points(text: str, *, name: str = "points") -> tuple[PointRow, ...]:
    """Read the rows of a table; see `read_points`.

    Raises
    ------
    BadUsage
        If a row makes no sense, or there is none.

    Examples
    --------
    >>> row = parse_points("1,distance,10,20,110,20,3 1/2")[0]
    >>> row.points, row.text
    ((Point(x=10.0, y=20.0), Point(x=110.0, y=20.0)), '3 1/2')
    >>> parse_points("1,length,10,20,110,20")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    ...
    audit.errors.BadUsage: points, line 1: no kind 'length': use distance, ordinate, ...
    """
    separator = _find_separator(text)
    names: Sequence[str] | None = None
    rows: list[PointRow] = []
    reader = csv.reader(text.splitlines(), delimiter=separator)
    try:
        for fields in reader:
            cells = [f.strip() for f in fields]
            if not any(cells) or cells[0].startswith("#"):
                continue
            where = f"{name}, line {reader.line_num}"
            if names is None:
                names = _read_header(cells, where=where)
                if names:
                    continue
            rows.append(
                _read_row(cells, names, line=reader.line_num, where=where, separator=separator)
            )
    except csv.Error as error:
        raise BadUsage(f"{name}, line {reader.line_num}: {error}", advice=_row_form()) from error
    if not rows:
        raise BadUsage(f"{name} has no rows", advice=_row_form())
    return tuple(rows)


def _find_separator(text: str) -> str:
    lines = (line for line in text.splitlines() if line.strip() and not line.startswith("#"))
    first = next(lines, "")
    return max(",;\t", key=lambda c: (first.count(c), c == ",")) if first else ","


def _read_header(cells: list[str], *, where: str) -> tuple[str, ...]:
    """Column names, or an empty tuple when the first row is already data."""
    lower = tuple(c.lower() for c in cells)
    if "sheet" not in lower and "x1" not in lower:
        return ()
    unknown = [c for c in lower if c not in COLUMNS]
    if unknown:
        raise BadUsage(f"{where}: no column is called '{one_line(unknown[0])}'", advice=_row_form())
    missing = [c for c in COLUMNS[:6] if c not in lower]
    if missing:
        raise BadUsage(f"{where}: the column {missing[0]} is missing", advice=_row_form())
    return lower


def _read_row(
    cells: list[str], names: Sequence[str] | None, *, line: int, where: str, separator: str
) -> PointRow:
    cell = _name_cells(cells, names, where=where)
    kind = _read_kind(cell["kind"], where=where)
    count = 3 if cell.get("x3") or cell.get("y3") else 2
    if kind in THREE_POINTS and count == 2:
        advice = "give x1,y1 for the corner and x2,y2 and x3,y3 for a place on each leg"
        raise BadUsage(f"{where}: an {kind.value} needs three points", advice=advice)
    points = tuple(
        Point(
            *(_read_number(cell, f"{axis}{i}", where=where, separator=separator) for axis in "xy")
        )
        for i in range(1, count + 1)
    )
    if len(set(points)) < count:
        raise BadUsage(f"{where}: two points are the same", advice="give different points")
    sheet = _read_sheet(cell["sheet"], where=where)
    return PointRow(line=line, sheet=sheet, kind=kind, points=points, text=cell.get("text", ""))


def _name_cells(cells: list[str], names: Sequence[str] | None, *, where: str) -> dict[str, str]:
    if names:
        if len(cells) > len(names):
            problem = f"{where}: {len(cells)} fields under {len(names)} column names"
            raise BadUsage(problem, advice="put a text with commas in double quotes")
        found = dict(zip(names, cells, strict=False))
    else:
        found = dict(zip(_guess_columns(cells, where=where), cells, strict=True))
    for needed in COLUMNS[:6]:
        if not found.get(needed):
            raise BadUsage(f"{where}: {needed} is missing", advice=_row_form())
    return found


def _guess_columns(cells: list[str], *, where: str) -> tuple[str, ...]:
    count = len(cells)
    if count > len(COLUMNS):
        problem = f"{where}: {count} fields are more than a row has"
        raise BadUsage(problem, advice="put a text with commas in double quotes")
    if count == 7:
        return (*COLUMNS[:6], "text")
    return COLUMNS[:count]


def _read_kind(text: str, *, where: str) -> DimensionKind:
    try:
        return DimensionKind(text.lower().replace("-", " ").replace("_", " "))
    except ValueError:
        kinds = ", ".join(k.value for k in DimensionKind)
        raise BadUsage(f"{where}: no kind '{one_line(text)}'", advice=f"use {kinds}") from None


def _read_sheet(text: str, *, where: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) <= 6 and int(text) >= 1):
        problem = f"{where}: '{one_line(text)}' is no sheet number"
        raise BadUsage(problem, advice="sheets are numbered 1, 2, 3 …")
    return int(text)


def _read_number(cell: dict[str, str], name: str, *, where: str, separator: str) -> float:
    text = cell.get(name, "")
    if not text:
        raise BadUsage(f"{where}: {name} is missing", advice=_row_form())
    try:
        value = float(text.replace(",", ".") if separator == ";" else text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        problem = f"{where}: {name} is '{one_line(text)}', no number"
        raise BadUsage(problem, advice=_row_form())
    return value


def _row_form() -> str:
    return f"a row is {FORM}"
