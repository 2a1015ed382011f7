"""The ledger as a file: CSV, Markdown or the result JSON, by the suffix."""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path

from audit.errors import BadUsage, one_line
from audit.records import Audit, LedgerRow
from audit.report.ledger import list_rows
from audit.report.phrases import say_coverage, sign
from audit.report.result import to_result, write_json
from audit.report.writing import write_whole

COLUMNS = (
    "No.",
    "sheet",
    "view",
    "feature",
    "kind",
    "printed",
    "scaled",
    "U",
    "unit",
    "printed minus scaled",
    "printed is",
    "verdict",
    "why",
    "confidence",
    "by",
)
_NUMBERS = ("No.", "sheet", "U", "printed minus scaled", "confidence")
# What a spreadsheet may take for a formula when a cell begins with it.
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
_PLAIN_NUMBER = re.compile(r"-?\d+(\.\d+)?")


def write_table(audit: Audit, path: Path) -> None:
    """Write the ledger of an audit; the suffix of the file says how.

    Parameters
    ----------
    audit : Audit
    path : Path
        ``.csv``, ``.md`` or ``.json`` (the result, version 1).

    Raises
    ------
    BadUsage
        If the suffix is another.
    """
    writers = {".csv": to_csv, ".md": to_markdown, ".json": _to_json}
    suffix = path.suffix.lower()
    if suffix not in writers:
        problem = f"a table cannot be written as {one_line(path.suffix) or 'a file without suffix'}"
        raise BadUsage(problem, advice="end the name in .csv, .md or .json")
    write_whole(path, writers[suffix](audit))


def _to_json(audit: Audit) -> str:
    return write_json(to_result(audit))


def to_csv(audit: Audit) -> str:
    """Compose the ledger as CSV (RFC 4180: CRLF, quotes doubled).

    Every cell of words is quoted, so that a spreadsheet takes none for a number or a date; one
    that begins like a formula also gets an apostrophe in front. Columns of numbers hold plain
    numbers, negative ones too. Control characters are taken out.
    """
    stream = io.StringIO(newline="")
    writer = csv.writer(stream, quoting=csv.QUOTE_NONNUMERIC, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for row in list_rows(audit):
        cells = zip(COLUMNS, _cells(row), strict=True)
        writer.writerow([_csv_cell(text, number=name in _NUMBERS) for name, text in cells])
    return stream.getvalue()


class _Number(float):
    """A number that is written as it was spelled."""

    def __new__(cls, text: str) -> _Number:
        made = super().__new__(cls, text)
        made.text = text
        return made

    text: str

    def __repr__(self) -> str:
        return self.text

    __str__ = __repr__


def _csv_cell(text: str, *, number: bool) -> str | float:
    text = one_line(text)
    if number and _PLAIN_NUMBER.fullmatch(text):
        return _Number(text)
    return f"'{text}" if text.startswith(_FORMULA_STARTS) else text


def _cells(row: LedgerRow) -> tuple[str, ...]:
    return (
        str(row.number),
        str(row.sheet),
        row.view,
        row.feature,
        row.kind,
        row.printed,
        row.scaled if row.scaled != "–" else "",
        row.uncertainty,
        row.unit,
        "" if row.difference is None else f"{row.difference:.4f}",
        row.says,
        row.verdict,
        row.why,
        "" if row.confidence is None else f"{row.confidence:.2f}",
        row.by,
    )


def to_markdown(audit: Audit) -> str:
    """Compose the ledger as a Markdown table, coverage first."""
    lines = [f"# {_md(audit.name)}", ""]
    lines.extend(
        f"- {say_coverage(audit.coverage_of(sheet.id), f'sheet {sheet.id}')}"
        for sheet in audit.sheets
    )
    lines += ["", f"| | {' | '.join(COLUMNS)} |"]
    lines.append("|---" + "".join("|--:" if name in _NUMBERS else "|---" for name in COLUMNS) + "|")
    for row in list_rows(audit):
        lines.append(f"| {sign(row.style)} | {' | '.join(_md(cell) for cell in _cells(row))} |")
    return "\n".join(lines) + "\n"


def _md(text: str) -> str:
    """Escape what Markdown or HTML would take for more than text."""
    return re.sub(r"([\\`*_{}\[\]<>|#~])", r"\\\1", one_line(text))
