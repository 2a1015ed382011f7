"""`plan-audit markup` and `table`: reports from an audit file."""

from __future__ import annotations

from pathlib import Path

from audit.cli.printing import tell_progress
from audit.cli.strangers import open_checked
from audit.errors import BadUsage
from audit.pipeline.marking import mark_up_audit
from audit.report import write_table


def run_markup(audit: Path, output: Path) -> int:
    """Write the marked-up PDF.

    Raises
    ------
    BadUsage
        If the output is not named as a PDF.
    """
    if output.suffix.lower() != ".pdf":
        raise BadUsage(f"{output.name} is no PDF name", advice="end the output's name in .pdf")
    with open_checked(audit, read_only=True) as file:
        for remark in mark_up_audit(file, output):
            tell_progress(remark)
    tell_progress(f"wrote {output}")
    return 0


def run_table(audit: Path, output: Path) -> int:
    """Write the table, as CSV, Markdown or JSON."""
    with open_checked(audit, read_only=True) as file:
        write_table(file.load(), output)
    tell_progress(f"wrote {output}")
    return 0
