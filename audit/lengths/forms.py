"""The table of printed forms: what they are read as. Test data and documentation at once.

The rows are in forms.txt; `docs/callouts.md` is made from them, and a test reads every row again.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from audit.lengths.callouts import parse_callouts
from audit.lengths.describing import describe_callout, describe_statement
from audit.lengths.length import Unit
from audit.lengths.statements import parse_statements

_UNITS = {"in": Unit.IN, "mm": Unit.MM, "cm": Unit.CM, "m": Unit.M, "?": None}
_ROW = re.compile(r"(?:\{(?P<unit>in|mm|cm|m|\?)\} )?(?P<text>.*?) ⇒ ?(?P<readings>.*)")
_STATEMENTS = "Statements"


@dataclass(frozen=True, slots=True, kw_only=True)
class FormRow:
    """One row of the table of forms.

    Attributes
    ----------
    section : str
    text : str
        As printed.
    unit : Unit or None
        What a bare number counts on that sheet.
    readings : tuple of str
        Descriptions, best first; in statements, everything that is said, in order. Empty when the
        text must not be taken for a callout (or says nothing known).
    is_statement : bool
    """

    section: str
    text: str
    unit: Unit | None
    readings: tuple[str, ...]
    is_statement: bool = False

    def read(self) -> tuple[str, ...]:
        """Read the text again and describe what comes out."""
        if self.is_statement:
            forms = parse_statements(self.text, unit=self.unit)
            return tuple(describe_statement(form) for form in forms)
        callouts = parse_callouts(self.text, unit=self.unit)
        return tuple(f"{describe_callout(c)}{_RANKS[c.rank]}" for c in callouts)


_RANKS = ("", " (as likely)", " (far-fetched)")


@cache
def form_rows() -> tuple[FormRow, ...]:
    """Return the rows of forms.txt, in its order."""
    text = (files("audit.lengths") / "forms.txt").read_text(encoding="utf-8")
    rows: list[FormRow] = []
    section = ""
    for line in text.splitlines():
        if line.startswith("[") and line.endswith("]") and "⇒" not in line:
            section = line[1:-1]
        elif line and line.split()[0] != "#":
            rows.append(_read_row(line, section))
    return tuple(rows)


def _read_row(line: str, section: str) -> FormRow:
    match = _ROW.fullmatch(line)
    if match is None:
        raise ValueError(f"not a row of forms.txt: {line}")
    readings = tuple(part.strip() for part in match["readings"].split("¦") if part.strip())
    return FormRow(
        section=section,
        text=match["text"].replace("\\n", "\n").replace("\\t", "\t"),
        unit=_UNITS[match["unit"] or "in"],
        readings=readings,
        is_statement=section.startswith(_STATEMENTS),
    )


def forms_markdown() -> str:
    """Write the table of forms as the page docs/callouts.md.

    Returns
    -------
    str
        Markdown, one table for each section.
    """
    lines = [*_INTRODUCTION]
    section = ""
    for row in form_rows():
        if row.section != section:
            section = row.section
            lines += ["", f"## {section}", "", *_table_head(row)]
        lines.append(_markdown_row(row))
    return "\n".join(lines) + "\n"


_INTRODUCTION = (
    "# What printed texts are read as",
    "",
    "Each row is also a test. The sheet is in inches unless the row says otherwise. Nothing is",
    "corrected to a usual size: the first reading is what is printed, the others are what it could",
    "be if a gap was lost, a dash or a comma meant something else, or a number in parentheses was",
    "a count. *As likely* means that the tool asks instead of choosing; *far-fetched* that it",
    "looks there only when the first reading fits nothing.",
    "",
    "A number without a unit counts what the sheet says. Where nobody said so, a fraction counts",
    "inches and a decimal or whole number has no size.",
)


def _table_head(row: FormRow) -> tuple[str, str]:
    other = "and" if row.is_statement else "or"
    return f"| printed | read as | {other} |", "| --- | --- | --- |"


def _markdown_row(row: FormRow) -> str:
    sheet = "without a unit" if row.unit is None else f"in {row.unit.value}"
    unit = "" if row.unit is Unit.IN else f" (sheet {sheet})"
    shown = row.text.replace("\n", " ⏎ ").replace("\t", "  ")
    first, *others = row.readings or ("nothing known" if row.is_statement else "no callout",)
    cells = (f"`{shown}`{unit}", first, "; ".join(others))
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"
