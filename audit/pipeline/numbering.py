"""One number series for dimensions and findings."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from audit.records import Dimension, Finding, Severity

_RANK = {Severity.ERROR: 0, Severity.WARNING: 1, Severity.NOTE: 2}


def number_dimensions(dimensions: Sequence[Dimension], first: int) -> tuple[Dimension, ...]:
    """Number dimensions from `first` on, in their order."""
    return tuple(replace(d, id=n) for n, d in enumerate(dimensions, start=first))


def number_findings(findings: Iterable[Finding], first: int) -> tuple[Finding, ...]:
    """Number findings from `first` on, worst first, then by sheet."""

    def rank(finding: Finding) -> tuple[int, int, str]:
        sheet = min((p.sheet for p in finding.places), default=0)
        return _RANK[finding.severity], sheet, finding.code

    ordered = sorted(findings, key=rank)
    return tuple(replace(f, id=n) for n, f in enumerate(ordered, start=first))
