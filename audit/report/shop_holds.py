"""What must not be cut yet: open findings and decisions to hold, part by part."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from audit.checks.names import find_names
from audit.checks.parts import PlanPart
from audit.records import Audit, Finding, Hold, Severity
from audit.report.ledger import order_findings
from audit.report.phrases import spell_printed

# Findings about sizes of parts; those of sources and scales belong to a sheet.
ABOUT_PARTS = ("A", "C", "P", "M", "F", "V")
COUNT_CODES = frozenset(("P102", "P103"))
THICKNESS_WORDS = "thickness"
# Of two parts that do not go together either may be the wrong one: neither is cut.
PAIRS = ("F", "P111")


def find_holds(audit: Audit, parts: Sequence[PlanPart]) -> tuple[Hold, ...]:
    """Find what is open about each part, worst first.

    Parameters
    ----------
    audit : Audit
    parts : sequence of PlanPart

    Returns
    -------
    tuple of Hold
        Decisions to hold, then findings that nothing was decided about.
    """
    by_dimension = {d.id: p.name for p in parts for d in p.dimensions}
    held = [
        Hold(
            part=by_dimension.get(d.dimension, ""),
            says=_say_held(audit, d.dimension, d.reason),
            dimension=d.dimension,
        )
        for d in audit.decisions
        if d.hold
    ]
    settled = {d.dimension for d in audit.decisions}
    found = []
    for finding in order_findings(audit):
        if not _is_open(finding, settled, audit):
            continue
        names = parts_of(finding, parts, by_dimension)
        found += [_hold(finding, name) for name in names or ("",)]
    return (*held, *found)


def _say_held(audit: Audit, number: int, reason: str) -> str:
    dimension = next((d for d in audit.dimensions if d.id == number), None)
    printed = f" ({spell_printed(dimension)})" if dimension is not None else ""
    return f"No. {number}{printed} is on hold: {reason or 'ask the publisher'}."


def _is_open(finding: Finding, settled: set[int], audit: Audit) -> bool:
    if finding.severity is Severity.NOTE or not finding.code.startswith(ABOUT_PARTS):
        return False
    if finding.code == "C106":  # what was decided opens a chain: deciding does not settle that
        return True
    if finding.dimensions:
        return not settled & set(finding.dimensions)
    return not _is_given(finding, audit)


def _is_given(finding: Finding, audit: Audit) -> bool:
    """Whether a person gave the count or thickness that a finding asks for."""
    names = [p.name for p in audit.parts]
    about = {name for _, name in find_names(finding.text, names)}
    for part in audit.parts:
        if part.name not in about:
            continue
        if finding.code in COUNT_CODES and part.count is not None:
            return True
        thick = part.measured_thickness or part.nominal_thickness
        if finding.code == "M102" and THICKNESS_WORDS in finding.text and thick is not None:
            return True
    return False


def parts_of(
    finding: Finding, parts: Sequence[PlanPart], by_dimension: dict[int, str]
) -> tuple[str, ...]:
    """Name the parts that a finding is about: by its sizes, its words, else its places.

    Parameters
    ----------
    finding : Finding
    parts : sequence of PlanPart
    by_dimension : dict of int to str
        Name of the part by the number of a size.

    Returns
    -------
    tuple of str
        Without repeats; may be empty.
    """
    names = [by_dimension[n] for n in finding.dimensions if n in by_dimension]
    if finding.code.startswith(PAIRS):
        names += [p.name for p in parts if _lists(p, finding)]
    if not names:
        first = find_names(finding.text.split(":")[0].split("“")[0], [p.name for p in parts])
        names = [name for _, name in first[:1]]
    if not names:
        names = [p.name for p in parts if _is_placed_on(finding, p)]
    return tuple(dict.fromkeys(names))


def _lists(part: PlanPart, finding: Finding) -> bool:
    """Whether a finding points at the row of a part in the parts list."""
    rows = {(row.sheet, row.box) for row in part.rows}
    return any((place.sheet, place.box) in rows for place in finding.places)


def _is_placed_on(finding: Finding, part: PlanPart) -> bool:
    boxes = [(d.sheet, d.box) for d in part.drawings]
    boxes += [(s.sheet, s.box) for s in (*part.rows, *part.counts)]
    return any(
        place.sheet == sheet and box.contains(place.box.centre)
        for place in finding.places
        for sheet, box in boxes
    )


def _hold(finding: Finding, part: str) -> Hold:
    return Hold(
        part=part,
        says=finding.text,
        code=finding.code,
        finding=finding.id,
        dimension=finding.dimensions[0] if len(finding.dimensions) == 1 else None,
        suggestion=finding.suggestion or "",
    )


def general_findings(audit: Audit, holds: Iterable[Hold]) -> tuple[str, ...]:
    """Say what is open about sheets, not parts: a stretched print, a scale that contradicts."""
    told = {hold.finding for hold in holds}
    return tuple(
        f.text
        for f in order_findings(audit)
        if f.severity is not Severity.NOTE and f.id not in told and f.code[0] in "DS"
    )
