"""Photos that were not made flat: what their slant alone may do is said beside every alarm."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from audit.records import Finding, Severity

NOT_FLAT = "D107"  # a sheet was seen on the picture, and not used
BY_DRAWING = frozenset({"A101", "S105", "V101"})  # rest on lengths measured on the picture
SLANTS = "This may be a photo that was not made flat: its slant alone may do this."


def doubt_slanting(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Say beside each warning that rests on a drawing alone that its picture may slant.

    Parameters
    ----------
    findings : Iterable[Finding]
        Of a plan. Errors have a second witness, which no slant makes.

    Returns
    -------
    tuple[Finding, ...]
        In their order; those of sheets without a D107 as they are.
    """
    every = tuple(findings)
    slanting = {p.sheet for f in every if f.code == NOT_FLAT for p in f.places}
    return tuple(
        replace(f, text=f"{f.text} {SLANTS}") if _may_be_slant(f, slanting) else f for f in every
    )


def _may_be_slant(finding: Finding, slanting: set[int]) -> bool:
    by_drawing = finding.code in BY_DRAWING and finding.severity is Severity.WARNING
    return by_drawing and any(p.sheet in slanting for p in finding.places)
