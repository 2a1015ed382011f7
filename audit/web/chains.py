"""Chains as the strip below the sheet shows them: legs, exact sum, overall, gap."""

from __future__ import annotations

from collections.abc import Sequence

from audit.geometry import Point
from audit.lengths import Length, Unit
from audit.records import Audit, Dimension, Finding, Sheet
from audit.report.phrases import spell_length
from audit.web import models as m

CHAIN_GROUP = "C"
ALIGNED = 0.05  # of the overall: legs and overall begin and end within this of each other


def show_chains(audit: Audit, sheet: Sheet) -> tuple[m.ChainJson, ...]:
    """Show the chains that a finding of this sheet speaks of.

    Parameters
    ----------
    audit : Audit
    sheet : Sheet

    Returns
    -------
    tuple of ChainJson
        Those whose legs and overall can be told apart by where they lie.
    """
    by_id = {d.id: d for d in audit.dimensions}
    shown = []
    for finding in audit.findings:
        if not finding.code.startswith(CHAIN_GROUP):
            continue
        members = [by_id[n] for n in finding.dimensions if n in by_id]
        if any(d.sheet != sheet.id for d in members):
            continue
        chain = _show(finding, members)
        if chain is not None:
            shown.append(chain)
    return tuple(shown)


def _show(finding: Finding, members: Sequence[Dimension]) -> m.ChainJson | None:
    parted = part_chain(members)
    if parted is None:
        return None
    legs, overall = parted
    sizes = [d.printed for d in legs]
    whole = overall.printed
    if whole is None or any(size is None for size in sizes):
        return None
    total = Length(whole.value * 0, whole.unit)
    for size in sizes:
        assert size is not None  # looked at above
        total = total + size
    gap = total - whole
    word = "short by" if gap.value < 0 else "long by"
    return m.ChainJson(
        finding=finding.id,
        name="",
        legs=tuple(m.LegJson(dimension=d.id, says=_says(d), count=1) for d in legs),
        total=spell_length(total),
        overall=m.LegJson(dimension=overall.id, says=_says(overall), count=1),
        gap=f"{word} {spell_length(abs(gap))}" if gap.value else "closes",
        text=finding.text,
        closes=gap.value == 0,
    )


def _says(dimension: Dimension) -> str:
    return spell_length(dimension.printed) if dimension.printed else "?"


def part_chain(
    members: Sequence[Dimension],
) -> tuple[list[Dimension], Dimension] | None:
    """Tell the legs of a chain, in order, from its overall: the one as long as all the others.

    Parameters
    ----------
    members : sequence of Dimension

    Returns
    -------
    legs, overall
        `None` when the dimensions do not lie end to end under one of them.
    """
    usable = [
        d for d in members if len(d.ends) == 2 and d.printed and d.printed.unit is not Unit.DEG
    ]
    if len(usable) < 3 or len(usable) != len(members):
        return None
    overall = max(usable, key=_drawn)
    a, b = overall.ends[0].point, overall.ends[1].point
    legs = sorted((d for d in usable if d is not overall), key=lambda d: _span(d, a, b)[0])
    reach = ALIGNED * _drawn(overall)
    at = 0.0
    for leg in legs:
        start, end = _span(leg, a, b)
        if abs(start - at) > reach:
            return None
        at = end
    return (legs, overall) if abs(at - _drawn(overall)) <= reach else None


def _drawn(dimension: Dimension) -> float:
    return dimension.ends[0].point.distance(dimension.ends[1].point)


def _span(dimension: Dimension, a: Point, b: Point) -> tuple[float, float]:
    """Where a dimension begins and ends along the line from a to b."""
    length = a.distance(b) or 1.0
    ux, uy = (b.x - a.x) / length, (b.y - a.y) / length
    along = [(e.point.x - a.x) * ux + (e.point.y - a.y) * uy for e in dimension.ends]
    return min(along), max(along)
