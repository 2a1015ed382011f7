"""Reports: the marked-up PDF, tables, the result JSON, the summary, and the words they share."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from audit.report.markup import plan_markup
    from audit.report.placing import Ink
    from audit.report.result import Result, schema_json, to_result, write_json
    from audit.report.summary import LineKind, SummaryLine, summary_lines
    from audit.report.tables import to_csv, to_markdown, write_table

__all__ = [
    "Ink",
    "LineKind",
    "Result",
    "SummaryLine",
    "plan_markup",
    "schema_json",
    "summary_lines",
    "to_csv",
    "to_markdown",
    "to_result",
    "write_json",
    "write_table",
]

# Loaded on first use: pydantic models take a while to build, `--help` must not wait for them.
_HOMES = {
    "Ink": "placing",
    "LineKind": "summary",
    "Result": "result",
    "SummaryLine": "summary",
    "plan_markup": "markup",
    "schema_json": "result",
    "summary_lines": "summary",
    "to_csv": "tables",
    "to_markdown": "tables",
    "to_result": "result",
    "write_json": "result",
    "write_table": "tables",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(importlib.import_module(f"{__name__}.{_HOMES[name]}"), name)
