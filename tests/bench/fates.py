"""What became of the sizes on drawn sheets: judged right, asked about, missed, or worse.

Asked about are the reading, whether it is their line, the scale, an end, or what is too close to
call. `lost ink`: the scan kept too little of the text for anybody to read. Then what is called
wrong (!) though it was misread or is right. Worst is what nobody is told: a misread number that
agrees (=), and a wrong one that does.
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
    "right", "missed", "no text", "reading", "line", "scale", "end", "close", "lost ink",
    "misread !", "false !", "misread =", "hidden =", "other",
)  # fmt: skip
READING, LINE, END = "check the reading", "check whether", "place that end"
LEGIBLE = 0.4  # of the worst figure's ink: with less nobody could tell what it was, by eye


def fate_of(seen: Seen) -> str:
    """Say what became of a size, one of `FATES`."""
    if seen.judged_right:
        return "right"
    if not seen.found:
        return "missed"
    if seen.kept < LEGIBLE and not (seen.verdict == Verdict.AGREES or seen.named):
        return "lost ink"
    if seen.verdict == Verdict.AGREES:
        return "hidden =" if seen.number_right else "misread ="
    if seen.named:
        return "false !" if seen.number_right else "misread !"
    return _asked(seen)


def _asked(seen: Seen) -> str:
    """What is asked about a size that was found and neither agrees nor disagrees."""
    if seen.verdict == Verdict.NOT_PRINTED:
        return "no text"
    if seen.verdict == Verdict.TOO_CLOSE:
        return "close"
    if seen.why.startswith(READING):
        return "reading"
    if seen.why.startswith(LINE):
        return "line"
    if seen.why.endswith(END):
        return "end"
    return "scale" if seen.verdict == Verdict.NOT_SCALED else "other"


def fates(rows: Mapping[tuple[str, str], Outcome]) -> Table:
    """Count what became of the linear sizes, a row for each way to scan."""
    table = Table(title="What became of the linear sizes; called wrong !, agreeing =")
    for name in ("set", "scan", "linear", *FATES, "with ink"):
        table.add_column(name)
    for (label, how), outcome in sorted(rows.items()):
        linear = [s for s in outcome.seen if s.drawn.kind == "distance"]
        of = Counter(map(fate_of, linear))
        shares = (f"{of[f] / len(linear):.2f}" if of[f] else "·" for f in FATES)
        table.add_row(label, how, str(len(linear)), *shares, _of_legible(linear))
    return table


def _of_legible(linear: list[Seen]) -> str:
    """Judged right of the sizes whose text the scan kept."""
    legible = [s for s in linear if s.kept >= LEGIBLE]
    right = sum(s.judged_right for s in legible)
    return f"{len(legible)}: {right / len(legible):.2f}" if legible else "–"
