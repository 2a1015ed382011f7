"""What the terminal shows: progress on stderr, results on stdout, colours where they are wanted."""

from __future__ import annotations

import sys

from rich.console import Console
from rich.text import Text

from audit.records import Audit
from audit.report import LineKind, SummaryLine, summary_lines

STYLES = {
    LineKind.COVERAGE: "bold",
    LineKind.COUNT: "",
    LineKind.FINDING: "",
    LineKind.UNCHECKED: "",
    LineKind.DETAIL: "dim",
    LineKind.CAUTION: "italic dim",
}


def console(*, to_stderr: bool = False) -> Console:
    """Return a console; colours only on a terminal, never markup from foreign text."""
    stream = sys.stderr if to_stderr else sys.stdout
    return Console(file=stream, highlight=False, markup=False, soft_wrap=not stream.isatty())


def tell_progress(text: str) -> None:
    """Say on stderr what is being done."""
    console(to_stderr=True).print(Text(f"… {text}", style="dim"))


def print_summary(audit: Audit, *, to_stderr: bool = False) -> None:
    """Print an audit's summary: coverage, findings worst first, and what was not checked."""
    screen = console(to_stderr=to_stderr)
    last: LineKind | None = None
    for line in summary_lines(audit):
        block = last if line.kind is LineKind.DETAIL else line.kind
        if last is not None and block is not last:
            screen.print()
        screen.print(styled(line))
        last = block


def styled(line: SummaryLine) -> Text:
    """Colour one line of a summary by its mark."""
    indent = "    " if line.kind is LineKind.DETAIL else ""
    text = Text(indent + line.text, style=STYLES[line.kind])
    if line.style is not None:
        red, green, blue = (round(255 * part) for part in line.style.colour)
        text.stylize(f"bold rgb({red},{green},{blue})", 0, 1)
    return text
