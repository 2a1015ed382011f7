"""`plan-audit demo`: the whole job on the sample plan, compared with its truth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from rich.table import Table
from rich.text import Text

from audit.cli.checking import make_settings, prepare_folder
from audit.cli.printing import console, print_summary, tell_progress
from audit.cli.truth import TrueDimension, TrueMistake, Truth, read_truth
from audit.errors import EXIT_FINDINGS
from audit.pipeline import CheckRequest, check
from audit.pipeline.keeping import keep_audit
from audit.pipeline.marking import mark_up_files
from audit.records import Audit, Dimension, Finding, Severity, Verdict
from audit.report import to_result, write_json, write_table
from audit.report.writing import write_whole

# What the program can find by now; the other planted mistakes are listed, not counted.
LANDED = frozenset(
    {"agreement", "chains", "counts", "fits", "missing", "parts list", "print", "scale"}
)
SAME_PLACE = 8.0  # sheet units between a dimension's middle and the true one's
HONEST_CODES = frozenset({"S102", "S105"})  # true of a stretched scan whether planted or not


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """One planted mistake, and whether it was reported."""

    mistake: TrueMistake
    landed: bool
    found: bool


def run_demo(samples: Path | None, out: Path | None) -> int:
    """Audit the sample plan, write everything, compare with the truth.

    Returns
    -------
    int
        0 when every planted mistake that can be found by now was, and nothing false.
    """
    folder = samples or find_samples()
    truth = read_truth(folder / "truth.json")
    target = prepare_folder(out or Path("out") / "demo")
    plans = tuple(folder / name for name in truth.files)
    request = CheckRequest(
        plans=plans,
        settings=make_settings(None, None),
        known=truth.known,
        rectangles=truth.rectangles,
        points=tuple(folder / name for name in truth.points),
    )
    checked = check(request, progress=tell_progress)
    audit = _write_results(checked.audit, plans, target)
    print_summary(audit)
    compared = compare(audit, truth)
    false = find_false(audit, truth)
    _print_comparison(compared, false, target)
    missed = [c for c in compared if c.landed and not c.found]
    return EXIT_FINDINGS if missed or false else 0


def find_samples() -> Path:
    """Return the folder of the sample plan: here, or beside the package."""
    here = Path("sample_scans")
    return here if here.is_dir() else Path(__file__).parents[2] / "sample_scans"


def _write_results(audit: Audit, plans: Sequence[Path], target: Path) -> Audit:
    stem = plans[0].stem
    path = target / f"{stem}.audit"
    path.unlink(missing_ok=True)
    kept = keep_audit(audit, plans, path).audit
    tell_progress("marking up")
    mark_up_files(kept, plans, target / f"{stem}-marked.pdf")
    write_whole(target / f"{stem}.json", write_json(to_result(kept)))
    write_table(kept, target / f"{stem}.csv")
    write_table(kept, target / f"{stem}.md")
    return kept


def compare(audit: Audit, truth: Truth) -> tuple[Comparison, ...]:
    """Look for every planted mistake among the findings."""
    matched = match_dimensions(audit, truth)
    return tuple(
        Comparison(
            mistake=mistake,
            landed=mistake.capability in LANDED,
            found=_is_found(mistake, audit, matched),
        )
        for mistake in truth.mistakes
    )


def match_dimensions(audit: Audit, truth: Truth) -> dict[int, TrueDimension]:
    """Pair the audit's dimensions with the true ones by their places."""
    matched = {}
    for dimension in audit.dimensions:
        near = [
            t
            for t in truth.dimensions
            if t.sheet == dimension.sheet and _distance(dimension, t) <= SAME_PLACE
        ]
        if near:
            matched[dimension.id] = min(near, key=lambda t: _distance(dimension, t))
    return matched


def _distance(dimension: Dimension, true: TrueDimension) -> float:
    ours = [end.point for end in dimension.ends]
    if len(ours) != len(true.points):
        return float("inf")
    straight = max(a.distance(b) for a, b in zip(ours, true.points, strict=True))
    turned = max(a.distance(b) for a, b in zip(ours[::-1], true.points, strict=True))
    return min(straight, turned)


def _is_found(mistake: TrueMistake, audit: Audit, matched: dict[int, TrueDimension]) -> bool:
    mine = {ours for ours, true in matched.items() if true.id in mistake.dimensions}
    for finding in audit.findings:
        if finding.code not in mistake.codes:
            continue
        if mine & set(finding.dimensions) or _is_there(finding, mistake):
            return mistake.verdict is None or any(
                d.id in mine and d.verdict.value == mistake.verdict for d in audit.dimensions
            )
    return False


def _is_there(finding: Finding, mistake: TrueMistake) -> bool:
    """Whether a finding about a whole view or sheet is about the mistake's view or sheet."""
    if mistake.dimensions:
        return False
    places = [p for p in finding.places if p.sheet == mistake.sheet]
    if not mistake.views:
        return bool(places)
    return any(view.overlaps(place.box) for place in places for view in mistake.views)


def find_false(audit: Audit, truth: Truth) -> tuple[str, ...]:
    """List what was reported and is not wrong: sizes called wrong, errors and warnings."""
    matched = match_dimensions(audit, truth)
    wrong = {true.id for true in truth.dimensions if not true.right}
    planted = {code for mistake in truth.mistakes for code in mistake.codes}
    told = []
    for dimension in audit.dimensions:
        true = matched.get(dimension.id)
        if dimension.verdict is Verdict.DISAGREES and (true is None or true.id not in wrong):
            text = dimension.reading.text if dimension.reading else "a size"
            told.append(f"sheet {dimension.sheet}: {text} is called wrong and is right")
        if true is not None and true.across_break and dimension.scaled is not None:
            told.append(f"sheet {dimension.sheet}: {true.text} runs across a break, yet is scaled")
    for finding in audit.findings:
        serious = finding.severity is not Severity.NOTE
        if serious and finding.code not in planted | HONEST_CODES:
            told.append(f"{finding.code}: {finding.text}")
    return tuple(told)


def _print_comparison(compared: Sequence[Comparison], false: Sequence[str], target: Path) -> None:
    screen = console()
    table = Table(title="planted mistakes of the sample plan", title_justify="left")
    for column in ("sheet", "mistake", "found by", "result"):
        table.add_column(column)
    for one in compared:
        result = Text("found", style="green") if one.found else Text("not yet landed", style="dim")
        if one.landed and not one.found:
            result = Text("MISSED", style="bold red")
        mistake = one.mistake
        table.add_row(str(mistake.sheet), Text(mistake.what), mistake.capability, result)
    screen.print()
    screen.print(table)
    for line in false:
        screen.print(Text(f"FALSE: {line}", style="bold red"))
    landed = [c for c in compared if c.landed]
    found = sum(c.found for c in landed)
    screen.print(f"{found} of {len(landed)} found, {len(false)} false. Results are in {target}")
