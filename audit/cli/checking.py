"""`plan-audit check`: the audit file, the marked-up PDF, the JSON, and the exit code."""

from __future__ import annotations

import re
import sys
from dataclasses import dataclass
from pathlib import Path

from audit.cli.printing import print_summary, tell_progress
from audit.errors import (
    EXIT_BAD_INPUT,
    EXIT_CLEAN,
    EXIT_FINDINGS,
    EXIT_UNCHECKED,
    AuditError,
    BadUsage,
    CannotWrite,
)
from audit.lengths import Length, Unit, parse_length
from audit.pipeline import CheckRequest, check
from audit.pipeline.checking import NOT_READ
from audit.pipeline.keeping import keep_audit, recall_audit
from audit.pipeline.marking import mark_up_audit
from audit.records import Audit, Settings, Severity
from audit.report import to_result, write_json
from audit.report.writing import write_whole
from audit.sheets import LoadedPlan, load_plan
from audit.store import open_audit

DOUBTS = frozenset({"D103", NOT_READ, "D105"})  # codes that say: not everything was looked at


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckOptions:
    """The options of `check` as typed."""

    plans: tuple[Path, ...]
    known: tuple[str, ...] = ()
    rectangles: tuple[str, ...] = ()
    papers: tuple[str, ...] = ()
    folds: tuple[str, ...] = ()
    points: tuple[Path, ...] = ()
    tolerance: str | None = None
    unit: str | None = None
    out: Path | None = None
    json: str | None = None


def run_check(options: CheckOptions) -> int:
    """Check plans and write the results.

    Returns
    -------
    int
        The exit code.
    """
    settings = make_settings(options.tolerance, options.unit)
    folder = prepare_folder(options.out or options.plans[0].parent)
    wanted = folder / f"{options.plans[0].stem}.audit"
    request = CheckRequest(
        plans=options.plans,
        settings=settings,
        before=recall_audit(options.plans, wanted),
        known=options.known,
        rectangles=options.rectangles,
        papers=options.papers,
        folds=options.folds,
        points=options.points,
    )
    with load_plan(request.plans) as plan:
        checked = check(request, plan=plan, progress=tell_progress)
        opened = tuple(
            p for p in options.plans if p.name in {s.source for s in checked.audit.sheets}
        )
        kept = keep_audit(checked.audit, opened, wanted, options=_as_typed(options))
        if kept.path.name != wanted.name:
            tell_progress(f"{wanted.name} holds another plan and is left alone")
        written = folder / kept.path.name  # told as the folder was typed
        unmarked = _mark_up(written, folder / f"{kept.path.stem}-marked.pdf", plan)
    audit = kept.audit
    show(audit, options.json)
    for unopened in checked.unopened:
        print(f"plan-audit: {unopened.source}: {unopened.error}", file=sys.stderr)
    for finding in checked.audit.findings if checked.unread else ():
        if finding.code == NOT_READ:
            print(f"plan-audit: {finding.text}", file=sys.stderr)
    code = max_code(audit, failed=bool(checked.unopened or checked.unread))
    if unmarked is None:
        return code
    print(f"plan-audit: no marked-up PDF was written: {unmarked}", file=sys.stderr)
    return unmarked.exit_code


def _mark_up(audit: Path, target: Path, plan: LoadedPlan) -> AuditError | None:
    """Write the marked-up PDF; what was found is told even where that cannot be done."""
    tell_progress("marking up")
    try:
        with open_audit(audit, read_only=True) as file:
            mark_up_audit(file, target, plan=plan)
    except AuditError as error:
        tell_progress(f"wrote {audit}")
        return error
    tell_progress(f"wrote {audit} and {target}")
    return None


def make_settings(tolerance: str | None, unit: str | None) -> Settings:
    """Make settings of the typed tolerance and unit.

    Raises
    ------
    BadUsage
        If either makes no sense.
    """
    units = {"inch": Unit.IN, "inches": Unit.IN, '"': Unit.IN}
    units |= {u.value: u for u in (Unit.IN, Unit.MM, Unit.CM, Unit.M)}
    if unit is not None and unit.strip().lower() not in units:
        raise BadUsage(f"'{unit}' is no unit", advice="say in, mm, cm or m")
    chosen = units[unit.strip().lower()] if unit is not None else None
    length: Length | None = None
    if tolerance is not None:
        # half a centimetre is a typing slip, not a tolerance: there it is written with its unit
        counts = None if chosen in (Unit.CM, Unit.M) else chosen
        length = parse_length(tolerance, unit=counts)
        if length.unit is Unit.DEG or length.value <= 0:
            raise BadUsage(
                f"'{tolerance}' is no tolerance", advice='write it as "1/64in" or "0.5 mm"'
            )
    return Settings(unit=chosen, tolerance=length)


def prepare_folder(folder: Path) -> Path:
    """Make the folder for results.

    Raises
    ------
    CannotWrite
        If it cannot be made.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        reason = error.strerror or str(error)
        raise CannotWrite(
            f"the folder {folder} cannot be made ({reason})", advice="choose another with --out"
        ) from error
    return folder


def show(audit: Audit, json: str | None) -> None:
    """Print the summary, and write the JSON where it was asked for."""
    if json is None:
        print_summary(audit)
        return
    text = write_json(to_result(audit))
    if json == "-":
        sys.stdout.write(text)
        print_summary(audit, to_stderr=True)
    else:
        write_whole(Path(json), text)
        print_summary(audit)


def max_code(audit: Audit, *, failed: bool) -> int:
    """Return the exit code: worst of bad input, findings, unchecked, clean."""
    if failed:
        return EXIT_BAD_INPUT
    if any(f.severity in (Severity.ERROR, Severity.WARNING) for f in audit.findings):
        return EXIT_FINDINGS
    coverage = audit.coverage
    doubtful = any(f.code in DOUBTS for f in audit.findings)
    if doubtful or coverage.texts == 0 or coverage.checked < coverage.texts:
        return EXIT_UNCHECKED
    return EXIT_CLEAN


def _as_typed(options: CheckOptions) -> tuple[tuple[str, str], ...]:
    pairs = [("known", text) for text in options.known]
    pairs += [("rectangle", text) for text in options.rectangles]
    pairs += [("paper", text) for text in options.papers]
    pairs += [("fold", text) for text in options.folds]
    pairs += [("points", path.name) for path in options.points]
    pairs += [("tolerance", options.tolerance)] if options.tolerance else []
    pairs += [("unit", options.unit)] if options.unit else []
    return tuple((name, re.sub(r"\s+", " ", text)) for name, text in pairs)
