"""The ledger: one row for each dimension, findings worst first."""

from __future__ import annotations

from collections.abc import Sequence

from audit.lengths import MM_PER_INCH, Unit
from audit.records import Audit, Dimension, Finding, LedgerRow, Severity, Verdict
from audit.report.naming import name_features, name_views
from audit.report.phrases import (
    VERDICT_STYLES,
    say_difference,
    say_reader,
    spell_printed,
    spell_scaled,
    spell_uncertainty,
)

# Worst first; what needs a decision stands above what does not.
VERDICT_ORDER = (
    Verdict.DISAGREES,
    Verdict.TOO_CLOSE,
    Verdict.NOT_PRINTED,
    Verdict.NOT_CHECKED,
    Verdict.NOT_SCALED,
    Verdict.AGREES,
    Verdict.NOT_CRITICAL,
    Verdict.NOT_A_DIMENSION,
)
SEVERITY_ORDER = (Severity.ERROR, Severity.WARNING, Severity.NOTE)


def list_rows(audit: Audit) -> tuple[LedgerRow, ...]:
    """Compose the ledger of an audit, by sheet and number."""
    views, features = name_views(audit), name_features(audit)
    dimensions = sorted(audit.dimensions, key=lambda d: (d.sheet, d.id))
    return tuple(_row(d, views.get(d.view, ""), features[d.id]) for d in dimensions)


def _row(dimension: Dimension, view: str, feature: str) -> LedgerRow:
    scaled, reading = dimension.scaled, dimension.reading
    printed = dimension.printed
    unit = scaled.unit.value if scaled else printed.unit.value if printed else ""
    return LedgerRow(
        key=f"d{dimension.id}",
        number=dimension.id,
        sheet=dimension.sheet,
        view=view,
        feature=feature,
        kind=dimension.kind.value,
        printed=spell_printed(dimension),
        scaled=spell_scaled(dimension),
        uncertainty=spell_uncertainty(scaled.expanded, scaled.unit) if scaled else "",
        unit=unit,
        difference=dimension.difference,
        says=say_difference(dimension),
        style=VERDICT_STYLES[dimension.verdict],
        verdict=dimension.verdict.value,
        why=dimension.why or "",
        confidence=reading.confidence if reading else None,
        by=say_reader(reading.by) if reading else "",
    )


def order_findings(audit: Audit) -> tuple[Finding, ...]:
    """Sort findings worst first: severity, witnesses, how far off, then place and number."""
    off = {d.id: _difference_mm(d) for d in audit.dimensions}
    return tuple(sorted(audit.findings, key=lambda f: _rank(f, off)))


def _difference_mm(dimension: Dimension) -> float:
    """Size of a difference; a degree counts as a millimetre, for want of better."""
    inches = dimension.scaled is not None and dimension.scaled.unit is Unit.IN
    return abs(dimension.difference or 0.0) * (float(MM_PER_INCH) if inches else 1.0)


def _rank(finding: Finding, off: dict[int, float]) -> tuple[int, int, float, int, int]:
    weight = max((off.get(d, 0.0) for d in finding.dimensions), default=0.0)
    sheet = finding.places[0].sheet if finding.places else 0
    witnesses = -len(finding.grade.split("+")) if finding.grade else 0
    return (SEVERITY_ORDER.index(finding.severity), witnesses, -weight, sheet, finding.id)


def count_verdicts(dimensions: Sequence[Dimension]) -> tuple[tuple[Verdict, int], ...]:
    """Count dimensions by verdict, worst first, without those that do not occur."""
    counts = {v: sum(d.verdict is v for d in dimensions) for v in VERDICT_ORDER}
    return tuple((verdict, n) for verdict, n in counts.items() if n)
