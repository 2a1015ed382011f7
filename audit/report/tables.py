"""The ledger as a file: CSV, Markdown or the result JSON, by the suffix."""

from __future__ import annotations

import re
from pathlib import Path

from audit.errors import BadUsage, one_line
from audit.records import Audit, LedgerRow
from audit.report.ledger import list_rows, order_findings
from audit.report.phrases import say_coverage, sign
from audit.report.result import to_result, write_json
from audit.report.spreadsheet import compose_csv
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
    """Compose the ledger as CSV; columns of numbers hold plain numbers, negative ones too."""
    return compose_csv(COLUMNS, (_cells(row) for row in list_rows(audit)), numbers=_NUMBERS)


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
        "" if row.difference is None else f"{row.difference:z.4f}",
        row.says,
        row.verdict,
        row.why,
        "" if row.confidence is None else f"{row.confidence:.2f}",
        row.by,
    )


def to_markdown(audit: Audit) -> str:
    """Compose the ledger as a Markdown table: coverage first, then what was found."""
    lines = [f"# {escape_markdown(audit.name)}", ""]
    lines.extend(
        f"- {say_coverage(audit.coverage_of(sheet.id), f'sheet {sheet.id}')}"
        for sheet in audit.sheets
    )
    lines += _found(audit)
    lines += ["", f"| | {' | '.join(COLUMNS)} |"]
    lines.append("|---" + "".join("|--:" if name in _NUMBERS else "|---" for name in COLUMNS) + "|")
    for row in list_rows(audit):
        lines.append(
            f"| {sign(row.style)} | {' | '.join(escape_markdown(cell) for cell in _cells(row))} |"
        )
    return "\n".join(lines) + "\n"


def _found(audit: Audit) -> list[str]:
    """Say every finding, worst first: the table alone has no chain and no missing size."""
    said = [
        f"- {f.severity.value} {f.code}: {escape_markdown(f.text)}" for f in order_findings(audit)
    ]
    return ["", *said] if said else []


def escape_markdown(text: str) -> str:
    """Escape what Markdown or HTML would take for more than text."""
    return re.sub(r"([\\`*_{}\[\]<>|#~])", r"\\\1", one_line(text))
