"""A batch's summary: one row a plan, as CSV, JSON and a page to look through."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import asdict
from html import escape
from urllib.parse import quote

from audit.records.batch import PlanOutcome, PlanState
from audit.report.spreadsheet import compose_csv

COLUMNS = (
    "plan", "state", "errors", "warnings", "notes", "checked", "sizes", "sheets", "seconds",
    "files", "first finding", "problem",
)  # fmt: skip
_NUMBERS = ("errors", "warnings", "notes", "checked", "sizes", "sheets", "seconds")
_STYLE = """
:root { color-scheme: light dark; font: 15px/1.45 system-ui, sans-serif; }
body { margin: 2rem auto; max-width: 72rem; padding: 0 1rem; }
h1 { font-size: 1.35rem; margin: 0 0 .3rem; }
p.sum, td.n, th.n { font-variant-numeric: tabular-nums; }
table { border-collapse: collapse; width: 100%; }
th { text-align: left; font-weight: 600; border-bottom: 2px solid currentColor; }
th, td { padding: .5rem .6rem; vertical-align: top; }
td { border-bottom: 1px solid color-mix(in srgb, currentColor 22%, transparent); }
td.n, th.n { text-align: right; white-space: nowrap; }
td.pic { width: 132px; }
td.pic img { width: 120px; height: auto; display: block; background: #fff; }
small { opacity: .8; display: block; }
.sign { font-weight: 700; }
.error { color: #b34700; } .warning { color: #8a6100; } .failed { color: #8a2f6b; }
@media (prefers-color-scheme: dark) {
  .error { color: #ff8a3d; } .warning { color: #e8b53a; } .failed { color: #e08cc0; }
}
"""


def order_outcomes(outcomes: Iterable[PlanOutcome]) -> list[PlanOutcome]:
    """Sort outcomes by what needs a look: errors, failures, warnings, the rest; then by name."""

    def rank(one: PlanOutcome) -> tuple[int, int, int, str]:
        failed = one.state is not PlanState.DONE
        group = 0 if one.errors else 1 if failed else 2 if one.warnings else 3
        return (group, -one.errors, -one.warnings, one.name)

    return sorted(outcomes, key=rank)


def batch_csv(outcomes: Sequence[PlanOutcome]) -> str:
    """Compose the summary as CSV."""
    return compose_csv(COLUMNS, (_cells(one) for one in outcomes), numbers=_NUMBERS)


def _cells(one: PlanOutcome) -> tuple[str, ...]:
    counts = (one.errors, one.warnings, one.notes, one.checked, one.texts, one.sheets)
    numbers = tuple(str(n) for n in counts)
    words = (", ".join(one.sources), one.worst, one.problem)
    return (one.name, one.state, *numbers, f"{one.seconds:.1f}", *words)


def batch_json(outcomes: Sequence[PlanOutcome]) -> str:
    """Compose the summary as JSON: ``version`` and ``plans``, fields as in `PlanOutcome`."""
    plans = [asdict(one) for one in outcomes]
    return json.dumps({"version": 1, "plans": plans}, indent=2, ensure_ascii=False) + "\n"


def batch_page(outcomes: Sequence[PlanOutcome], *, title: str, pictures: frozenset[str]) -> str:
    """Compose the summary as a page that needs nothing but its own folder.

    Parameters
    ----------
    outcomes : sequence of PlanOutcome
        In the order to show.
    title : str
    pictures : frozenset of str
        Names of the plans that have a thumbnail in their folder.

    Returns
    -------
    str
        HTML; no scripts, and a policy that forbids any.
    """
    rows = "\n".join(_row(one, with_picture=one.name in pictures) for one in outcomes)
    policy = "default-src 'none'; img-src 'self'; style-src 'unsafe-inline'"
    return f"""<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="{policy}">
<title>{escape(title)}: plans audited</title>
<style>{_STYLE}</style>
</head>
<body>
<h1>{escape(title)}</h1>
<p class="sum">{escape(say_batch(outcomes))}</p>
<table>
<thead><tr><th>Sheet</th><th>Plan</th><th class="n">Checked</th><th>Found</th></tr></thead>
<tbody>
{rows}
</tbody>
</table>
<p>Printed dimensions govern. A scaled size is a last resort; cut a test piece first.</p>
</body>
</html>
"""


def say_batch(outcomes: Sequence[PlanOutcome]) -> str:
    """Say in one line what came of a batch.

    Examples
    --------
    >>> say_batch(())
    'No plan was audited.'
    """
    if not outcomes:
        return "No plan was audited."
    failed = sum(one.state is not PlanState.DONE for one in outcomes)
    wrong = sum(one.errors > 0 for one in outcomes)
    warned = sum(one.errors == 0 and one.warnings > 0 for one in outcomes)
    clean = len(outcomes) - failed - wrong - warned
    parts = [
        f"{wrong} with errors",
        f"{warned} with warnings only",
        f"{clean} with neither",
        f"{failed} not audited",
    ]
    count = "1 plan" if len(outcomes) == 1 else f"{len(outcomes)} plans"
    return f"{count}: {', '.join(parts)}."


def _row(one: PlanOutcome, *, with_picture: bool) -> str:
    folder = quote(one.name)
    picture = f'<img src="{folder}/sheet.png" alt="" loading="lazy">' if with_picture else ""
    sources = escape(", ".join(one.sources))
    pages = f" · {_count(one.sheets, 'sheet')}" if one.sheets else ""
    name = f'<a href="{folder}/">{escape(one.name)}</a><small>{sources}{pages}</small>'
    checked = f"{one.checked} of {one.texts}" if one.state is PlanState.DONE else "–"
    cells = (f'<td class="pic">{picture}</td>', f"<td>{name}</td>", f'<td class="n">{checked}</td>')
    return f"<tr>{''.join(cells)}<td>{_found(one)}</td></tr>"


def _found(one: PlanOutcome) -> str:
    parts: list[str] = []
    if one.state is not PlanState.DONE:
        parts.append(f'<span class="sign failed">✕ {escape(one.state)}</span>')
    if one.errors:
        parts.append(f'<span class="sign error">◆ {_count(one.errors, "error")}</span>')
    if one.warnings:
        parts.append(f'<span class="sign warning">▲ {_count(one.warnings, "warning")}</span>')
    if not parts:
        parts.append("nothing wrong found")
    said = [f"<small>{escape(text)}</small>" for text in (one.worst, one.problem) if text]
    return " ".join(parts) + "".join(said)


def _count(number: int, what: str) -> str:
    return f"1 {what}" if number == 1 else f"{number} {what}s"
