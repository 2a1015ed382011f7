"""Write what is made from the code, documents and parsers, or check that it is up to date.

Run ``python docs/generate.py`` to write, ``--check`` to compare (exit 1 with the names of the
documents that are out of date).
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

from commands import commands_markdown

from audit.lengths import forms_markdown
from audit.lengths.grammar import build_parser
from audit.lengths.ready_parsers import load_ready, store_parser
from audit.records import CODES
from audit.report import schema_json

DOCS = Path(__file__).parent
LENGTHS = DOCS.parent / "audit" / "lengths"
PARSERS = ("callouts", "lengths", "statements")

FINDINGS_HEAD = """# Finding codes

Every finding carries one of these codes. A code is never reused. The severity is the usual one; a
finding that a second witness supports may be an error. (Generated from `audit/records/codes.py`.)

| code | severity | what it says | what it means |
|---|---|---|---|
"""


def findings() -> str:
    """Return the table of finding codes."""
    rows = [
        f"| {code.code} | {code.severity} | {code.title} | {code.meaning} |"
        for code in sorted(CODES.values(), key=lambda c: c.code)
    ]
    return FINDINGS_HEAD + "\n".join(rows) + "\n"


PAGES: dict[str, Callable[[], str]] = {
    "callouts.md": forms_markdown,
    "commands.md": commands_markdown,
    "findings.md": findings,
    "result.schema.json": schema_json,
}


def settle_parsers(*, write: bool) -> list[str]:
    """Return the names of the parsers that were not built from today's grammars; or build them."""
    old = [name for name in PARSERS if load_ready(name) is None]
    for name in old if write else ():
        store_parser(name, build_parser(name), LENGTHS)
    return [] if write else [f"{name}.ready.gz" for name in old]


def main(arguments: list[str]) -> int:
    """Write or check every generated document, and the parsers."""
    stale = []
    for name, make in PAGES.items():
        path, text = DOCS / name, make()
        if "--check" in arguments:
            if not path.exists() or path.read_text("utf-8") != text:
                stale.append(name)
        else:
            path.write_text(text, "utf-8")
    stale += settle_parsers(write="--check" not in arguments)
    if stale:
        sys.stderr.write(f"out of date, run `make docs`: {', '.join(stale)}\n")
    return 1 if stale else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
