"""What became of the sizes on drawn sheets: judged right, asked about, missed, or worse.

Worst is what nobody is told: a wrong number that agrees, and a misread one that does.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from typing import TYPE_CHECKING

from rich.table import Table

from audit.records import Verdict

if TYPE_CHECKING:
    from tests.bench.hand import Outcome, Seen

FATES = (
    "right", "not found", "no text", "reading asked", "line asked", "no scale", "end asked",
    "too close", "misread, named", "right, named", "misread, agrees", "wrong, agrees", "other",
)  # fmt: skip
READING, LINE, END = "check the reading", "check whether", "place that end"


def fate_of(seen: Seen) -> str:
    """Say what became of a size, one of `FATES`."""
    if seen.judged_right:
        return "right"
    if not seen.found:
        return "not found"
    if seen.verdict == Verdict.AGREES:
        return "wrong, agrees" if seen.number_right else "misread, agrees"
    if seen.named:
        return "right, named" if seen.number_right else "misread, named"
    return _asked(seen)


def _asked(seen: Seen) -> str:
    """What is asked about a size that was found and neither agrees nor disagrees."""
    if seen.verdict == Verdict.NOT_PRINTED:
        return "no text"
    if seen.verdict == Verdict.TOO_CLOSE:
        return "too close"
    if seen.why.startswith(READING):
        return "reading asked"
    if seen.why.startswith(LINE):
        return "line asked"
    if seen.why.endswith(END):
        return "end asked"
    return "no scale" if seen.verdict == Verdict.NOT_SCALED else "other"


def fates(rows: Mapping[tuple[str, str], Outcome]) -> Table:
    """Count what became of the linear sizes, a row for each way to scan."""
    table = Table(title="What became of the linear sizes (share; a dot where none)")
    for name in ("set", "scan", "linear", *FATES):
        table.add_column(name)
    for (label, how), outcome in sorted(rows.items()):
        linear = [s for s in outcome.seen if s.drawn.kind == "distance"]
        of = Counter(map(fate_of, linear))
        shares = (f"{of[f] / len(linear):.2f}" if of[f] else "·" for f in FATES)
        table.add_row(label, how, str(len(linear)), *shares)
    return table
