"""Fits, rows and holes once more with the values that were decided: what a decision breaks."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from audit.checks.fits import check_fits
from audit.checks.parts import find_parts
from audit.checks.parts_list import check_parts
from audit.checks.stations import find_lines
from audit.checks.words import name_dimension
from audit.lengths import Length
from audit.records import Audit, Dimension, Finding
from audit.scale.findings import join_words, say

BREAKING = frozenset({"F101", "F103", "F105", "F106", "F107", "F108", "P101"})


def decided_sizes(audit: Audit) -> dict[int, Length]:
    """Return the value to build to of every dimension for which one was decided.

    Parameters
    ----------
    audit : Audit
        With decisions.

    Returns
    -------
    dict[int, Length]
        By the number of the dimension.
    """
    sizes = {d.id: d.build_to for d in audit.dimensions if d.build_to is not None}
    return sizes | {d.dimension: d.value for d in audit.decisions if d.value is not None}


def check_rebuilt(audit: Audit, told: Iterable[Finding]) -> list[Finding]:
    """Check fits and rows again on the decided values.

    Parameters
    ----------
    audit : Audit
        With decisions.
    told : Iterable[Finding]
        What the printed values give already.

    Returns
    -------
    list[Finding]
        F111 for what only the decided values give.
    """
    sizes = decided_sizes(audit)
    changed = [d for d in audit.dimensions if d.id in sizes and d.printed != sizes[d.id]]
    if not changed:
        return []
    built = replace(audit, dimensions=tuple(_built(d, sizes) for d in audit.dimensions))
    parts = find_parts(built)
    lines = find_lines(built.dimensions, built.views, built.sheets, settings=built.settings)
    again = (*check_fits(parts, lines, built).findings, *check_parts(parts, lines, built).findings)
    known = {(f.code, f.dimensions) for f in told}
    new = [f for f in again if f.code in BREAKING and (f.code, f.dimensions) not in known]
    return [_tell(f, changed) for f in new]


def _built(dimension: Dimension, sizes: dict[int, Length]) -> Dimension:
    reading = dimension.reading
    if dimension.id not in sizes or reading is None or reading.callout is None:
        return dimension
    callout = replace(reading.callout, size=sizes[dimension.id], tolerance=None, rank=0)
    return replace(dimension, reading=replace(reading, callout=callout))


def _tell(finding: Finding, changed: list[Dimension]) -> Finding:
    mine = [d for d in changed if d.id in finding.dimensions] or changed
    names = join_words([name_dimension(d) for d in mine])
    again = say(
        "F111",
        f"With what was decided for {names}: {finding.text}",
        places=finding.places,
        witnesses=finding.witnesses,
        rests_on=[*finding.rests_on, f"what was decided for {names}"],
        dimensions=list(dict.fromkeys([*(d.id for d in mine), *finding.dimensions])),
        severity=finding.severity,
    )
    return replace(again, suggestion=finding.suggestion)
